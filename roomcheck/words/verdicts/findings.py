"""What a client would hear, in words: its name, what one notices, the numbers, and whose limit."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from roomcheck.judge import Finding, FindingKind, LimitSource
from roomcheck.standards.iec_60268_16_2020 import rating
from roomcheck.units import band_name
from roomcheck.words.numbers import beside, limit_text
from roomcheck.words.places import surface, tape
from roomcheck.words.reader import Reader
from roomcheck.words.saying import Saying, in_words, joined, register, sentence, sentences
from roomcheck.words.verdicts.phrases import band_names, give_or_take, times_as_long, way
from roomcheck.words.visit.analysis import order_name


@dataclass(frozen=True, slots=True, kw_only=True)
class _Words:
    title: Saying
    notice: Saying
    """What one notices, for a client."""
    numbers: Saying
    limit: Saying
    """Up to the colon after which its source stands."""


def finding_title(finding: Finding, reader: Reader) -> str:
    """Name a finding, as a heading."""
    return in_words(_WORDS[finding.kind].title, reader, _values(finding))


def finding_notice(finding: Finding, reader: Reader) -> str:
    """Say what one notices."""
    return sentence(finding.measured, reader)


def finding_numbers(finding: Finding, reader: Reader) -> str:
    """Give the evidence."""
    return in_words(_WORDS[finding.kind].numbers, reader, _values(finding))


def finding_limit(finding: Finding, reader: Reader) -> str:
    """Give what was exceeded, and whose limit it is."""
    limit = in_words(_WORDS[finding.kind].limit, reader, _values(finding))
    return f"{limit}: {sentence(finding.source, reader)}."


def finding_certainty(finding: Finding, reader: Reader) -> str:
    """Say how sure it is; nothing where the numbers say all."""
    return " ".join(sentences(finding.sure, reader))


def _values(finding: Finding) -> Mapping[str, Any]:
    return dict(finding.measured.values)


def _too_live_numbers(reader: Reader, **v: Any) -> str:
    value = beside(v["mean_s"], *_ends(v["mean_s"], v["limit_s"]))
    mean = (
        f"Mean decay {value} s{give_or_take(v.get('mean_u_s'))} over {band_names(v['bands_hz'])}."
    )
    if "people_needed" not in v:
        return mean
    return (
        f"{mean} Measured with {v['people_there']} in the room; the document means it in use, and "
        f"about {v['people_needed']} more people seated would bring it to the limit."
    )


def _too_live_notice(reader: Reader, **v: Any) -> str:
    return f"Sound lingers {times_as_long(v['mean_s'] / v['limit_s'])} it should here."


def _ends(value: float, limit: float) -> tuple[float | None, float | None]:
    """A finding's value lies beyond its limit: above an upper one, below a lower one."""
    return (None, limit) if value > limit else (limit, None)


def _at_most_s(reader: Reader, **v: Any) -> str:
    return f"At most {limit_text(v['limit_s'], upper=True, value=v['mean_s'])} s"


def _at_least_s(reader: Reader, **v: Any) -> str:
    return f"At least {limit_text(v['limit_s'], upper=False, value=v['mean_s'])} s"


def _boomy_notice(reader: Reader, **v: Any) -> str:
    ratio = beside(v["ratio"], high=v["limit_ratio"], digits=1)
    return f"Bass rings {ratio} times as long as the middle: voices and music boom."


def _boomy_numbers(reader: Reader, **v: Any) -> str:
    modes = " (single modes, below the transition frequency)" if v["modal"] else ""
    return f"125 Hz {v['bass_s']:.2f} s{modes}, 500 Hz {v['middle_s']:.2f} s."


def _boomy_limit(reader: Reader, **v: Any) -> str:
    limit = limit_text(v["limit_ratio"], upper=True, value=v["ratio"], digits=1)
    return f"Bass at most {limit} times as long as the middle"


def _dull_numbers(reader: Reader, **v: Any) -> str:
    ratio = beside(v["ratio"], low=v["limit_ratio"], digits=1)
    return f"4 kHz {v['treble_s']:.2f} s, 250 Hz {v['low_middle_s']:.2f} s: {ratio} times."


def _uneven_notice(reader: Reader, **v: Any) -> str:
    how = "linger" if v["longer"] else "die away sooner"
    if v["longer"] and v["shorter"]:
        how = "linger and others die away sooner"
    than = " longer than the rest" if how == "linger" else " than the rest"
    return f"Some pitches {how}{than}, so the room colours what is said and played in it."


def _uneven_numbers(reader: Reader, **v: Any) -> str:
    octaves = "; ".join(f"{band_name(hz)} {value_s:.2f} s" for hz, value_s in v["octaves"])
    return f"{octaves}; mean of the judged octaves {v['mean_s']:.2f} s."


def _uneven_limit(reader: Reader, **v: Any) -> str:
    if "limit_s" in v:
        return f"An octave within {v['limit_s']:g} s of the mean"
    if "limit_pct" in v:
        return f"An octave within {v['limit_pct']:g} % of the mean"
    return "The limits of each octave"


def _ringing_numbers(reader: Reader, **v: Any) -> str:
    decay = beside(v["decay_s"], high=v["limit_s"])
    wave = ", between surfaces that the room's size does not tell"
    if "order" in v:
        wave = f", {order_name(v['order'], reader)}"
    others = "".join(f"; so does {hz:.0f} Hz, {decay_s:.2f} s" for hz, decay_s in v["others"])
    return (
        f"{v['frequency_hz']:.1f} Hz{wave}: decays in {decay} s{give_or_take(v['decay_u_s'])}, its "
        f"neighbours in {v['beside_s']:.2f} s; {v['late_db']:.0f} dB over what is beside it after "
        f"150 ms{others}."
    )


def _ringing_limit(reader: Reader, **v: Any) -> str:
    limit = limit_text(v["limit_s"], upper=True, value=v["decay_s"])
    return f"Longer than {limit} s and {v['limit_db']:.0f} dB over its neighbours after 150 ms"


def _missing_numbers(reader: Reader, **v: Any) -> str:
    return " ".join(
        f"From {source}: {depth_db:.0f} dB below what is around it at {hz:.0f} Hz, "
        f"{octaves:.2f} octaves wide; at the other places {elsewhere_db:.0f} dB."
        for source, depth_db, hz, octaves, elsewhere_db in v["holes"]
    )


def _boundary_surfaces(v: Mapping[str, Any]) -> str:
    return joined([surface(name, kind) for name, kind, _ in v["surfaces"]], "or")


def _boundary_title(reader: Reader, **v: Any) -> str:
    return f"{v['source']} and the {_boundary_surfaces(v)} cancel a note"


def _boundary_notice(reader: Reader, **v: Any) -> str:
    return (
        f"The bass of {v['source']} has a hole near {v['frequency_hz']:.0f} Hz: sound coming back "
        f"from the {_boundary_surfaces(v)} cancels it."
    )


def _boundary_numbers(reader: Reader, **v: Any) -> str:
    stands = joined(
        [
            f"{tape(distance_m, reader)} from the {surface(name, kind)}"
            for name, kind, distance_m in v["surfaces"]
        ]
    )
    return (
        f"{v['depth_db']:.0f} dB at {v['frequency_hz']:.0f} Hz on the mean over {v['places']} "
        f"places; {v['source']} stands {stands}."
    )


def _boundary_limit(reader: Reader, **v: Any) -> str:
    return (
        f"A dip of {v['limit_db']:.0f} dB that most places have, within {100 * v['within']:.0f} % "
        "of c / 4d"
    )


def _only(v: Mapping[str, Any]) -> str:
    return f", at {v['only_at']} only" if "only_at" in v else ""


def _arrival(reader: Reader, v: Mapping[str, Any], where: str) -> str:
    level = beside(v["level_db"], high=v["limit_db"], digits=0)
    others = [
        f"{source} to {microphone} {level_db:.0f} dB"
        for source, microphone, level_db in v["others"]
    ]
    also = f" Also {', '.join(others)}." if others else ""
    return (
        f"{level} dB, {1000 * v['delay_s']:.1f} ms after the direct sound, from {v['source']} to "
        f"{v['microphone']}{where}. Comb: first notch at {v['comb_first_hz']:.0f} Hz, then every "
        f"{v['comb_step_hz']:.0f} Hz, {v['comb_db']:.0f} dB from crest to notch.{also}"
    )


def _early_notice(reader: Reader, **v: Any) -> str:
    names = [name for name, _ in v["surfaces"]]
    what = f"corner of {joined(names)}" if len(names) > 1 else surface(*v["surfaces"][0])
    return (
        f"The {what} reflects sound so early and so loud that it blurs and colours what you "
        f"hear{_only(v)}."
    )


def _early_numbers(reader: Reader, **v: Any) -> str:
    return _arrival(reader, v, f", at {way(v['places'], reader)}")


def _early_limit(reader: Reader, **v: Any) -> str:
    limit = limit_text(v["limit_db"], upper=True, value=v["level_db"], digits=0)
    return f"Below {limit} dB within {1000 * v['limit_to_s']:.0f} ms, 1 to 8 kHz"


def _object_notice(reader: Reader, **v: Any) -> str:
    effect = "makes it hollow" if v["hollow"] else "colours it"
    return (
        f"Something that is no wall throws sound back and {effect}{_only(v)}: perhaps a cupboard, "
        "a screen or a beam."
    )


def _hollow_notice(reader: Reader, **v: Any) -> str:
    effect = "makes it hollow" if v["hollow"] else "colours it"
    return (
        f"Something that is no wall throws sound back and {effect}{_only(v)}: a desk, a screen or "
        "equipment."
    )


def _object_numbers(reader: Reader, **v: Any) -> str:
    return _arrival(reader, v, f": {tape(v['detour_m'], reader)} of detour")


def _slap_title(reader: Reader, **v: Any) -> str:
    return "Slap off the wall behind" if v["behind"] else "Slap echo"


def _slap_notice(reader: Reader, **v: Any) -> str:
    return (
        "A single echo stands apart from the rest and throws back what is said or "
        f"played{_only(v)}."
    )


def _slap_numbers(reader: Reader, **v: Any) -> str:
    level = beside(v["level_db"], high=v["limit_db"], digits=0)
    where = way(v["places"], reader) if v["places"] else "a place that no wall explains"
    return (
        f"{level} dB, {1000 * v['delay_s']:.0f} ms after the direct sound, "
        f"{v['stands_out_db']:.0f} dB above what arrives around it, from {v['source']} to "
        f"{v['microphone']}: {where}."
    )


def _slap_limit(reader: Reader, **v: Any) -> str:
    limit = limit_text(v["limit_db"], upper=True, value=v["level_db"], digits=0)
    when = f"after {1000 * v['limit_from_s']:.0f} ms"
    if "limit_to_s" in v:
        when = f"from {1000 * v['limit_from_s']:.0f} to {1000 * v['limit_to_s']:.0f} ms"
    return f"Below {limit} dB {when}, 1 to 8 kHz"


def _flutter_title(reader: Reader, **v: Any) -> str:
    pairs = [f"{first} and {second}" for first, second in v["between"]]
    return f"Flutter between {joined(pairs, 'or')}"


def _flutter_notice(reader: Reader, **v: Any) -> str:
    return (
        "Clap, and it zings: sound bounces back and forth between two bare surfaces that face each "
        f"other{_only(v)}."
    )


def _flutter_numbers(reader: Reader, **v: Any) -> str:
    return (
        f"A beat every {1000 * v['period_s']:.1f} ms: {tape(v['apart_m'], reader)} between the "
        f"faces. {v['repeats']} repeats stand {v['stands_out_db']:.0f} dB above the decay around "
        f"them and fall by {v['fall_db']:.1f} dB each; heard in {v['heard_in']} of {v['pairs']} "
        "pairs."
    )


def _left_right_numbers(reader: Reader, **v: Any) -> str:
    differs = beside(v["differs_db"], high=v["limit_db"], digits=1)
    what = "early energy" if v["early_energy"] else "loudest wall reflection"
    sides = "; ".join(
        f"{source}: {face} {level_db:.1f} dB at {1000 * delay_s:.1f} ms"
        for source, face, level_db, delay_s in v["sides"]
    )
    first, second = v["sources"]
    return (
        f"The {what} of {first} and {second} differs by {differs} dB; {v['louder']} gets more. "
        f"{sides}."
    )


def _left_right_limit(reader: Reader, **v: Any) -> str:
    limit = limit_text(v["limit_db"], upper=True, value=v["differs_db"], digits=1)
    return f"At most {limit} dB within {1000 * v['within_s']:.0f} ms"


def _unclear_title(reader: Reader, **v: Any) -> str:
    return "Unclear speech" if v["everywhere"] else f"Unclear speech at {v['microphone']}"


def _unclear_notice(reader: Reader, **v: Any) -> str:
    if v.get("understood"):
        words = "words can be made out, but each runs into the next, and listening tires."
        return words.capitalize() if v["everywhere"] else f"At {v['microphone']} {words}"
    if v["everywhere"]:
        return "Each word runs into the next, so people have to strain to follow."
    return f"At {v['microphone']} each word runs into the next."


def _unclear_numbers(reader: Reader, **v: Any) -> str:
    clarity = beside(v["clarity_db"], low=v["limit_db"] - v["jnd_db"], digits=1)
    where = "on the mean" if v["everywhere"] else f"from {v['source']} to {v['microphone']}"
    return (
        f"C50 {clarity} dB {where} ({band_names(v['bands_hz'])}); least, {v['least_db']:.1f} dB, "
        f"at {v['microphone']}."
    )


def _index_notice(reader: Reader, **v: Any) -> str:
    return f"Words get lost between talker and listener: intelligibility is {rating(v['sti'])}."


def _index_numbers(reader: Reader, **v: Any) -> str:
    sti = beside(v["sti"], low=v["limit_sti"] - v["jnd_sti"])
    return (
        f"Speech transmission index {sti} on the mean of {v['pairs']} pairs; least, "
        f"{v['least_sti']:.2f}, from {v['source']} to {v['microphone']}."
    )


def _slope_numbers(reader: Reader, **v: Any) -> str:
    octaves = [
        f"{band_name(hz)} by {beside(pct, high=v['limit_pct'], digits=0)} %"
        for hz, pct in v["octaves"]
    ]
    return f"T30 longer than T20: {', '.join(octaves)}."


def _noise_numbers(reader: Reader, **v: Any) -> str:
    level = beside(v["level"], high=v["limit"], digits=0)
    if v["curves_end"]:
        level = f"{level} and more (the published curves end there)"
    octave = f", by the {band_name(v['band_hz'])} octave" if "band_hz" in v else ""
    tone = ""
    if "tone_hz" in v:
        tone = f" The {band_name(v['tone_hz'])} octave stands out: a hum or a whistle."
    conditions = v["conditions"] or "nothing noted"
    return f"{_noise(v['family'], level)} with {conditions}{octave}.{tone}"


def _noise_limit(reader: Reader, **v: Any) -> str:
    limit = limit_text(v["limit"], upper=True, value=v["level"], digits=0)
    return f"{_noise(v['family'], limit)} at most"


def _noise(family: str, level: str) -> str:
    """NC 30, NR 25, 35 dB(A)."""
    return f"{level} dB(A)" if family == "dB(A)" else f"{family} {level}"


def _buzz_notes(v: Mapping[str, Any]) -> str:
    return joined([f"{buzz[0]:.0f} Hz" for buzz in v["buzzes"]])


def _rattle_title(reader: Reader, **v: Any) -> str:
    return f"Something buzzes at {_buzz_notes(v)}"


def _rattle_notice(reader: Reader, **v: Any) -> str:
    return (
        f"Something loose in the room buzzes when {_buzz_notes(v)} is played; it is not the room's "
        "own sound."
    )


def _rattle_numbers(reader: Reader, **v: Any) -> str:
    buzzes = "; ".join(
        f"{hz:.0f} Hz in {takes} of {of} takes, {over_db:.0f} dB over what else is left, "
        f"{-under_db:.0f} dB under the sweep"
        for hz, takes, of, over_db, under_db in v["buzzes"]
    )
    return f"While the sweep passes {buzzes}."


_WORDS: dict[FindingKind, _Words] = {
    FindingKind.TOO_LIVE: _Words(
        title="Too live",
        notice=_too_live_notice,
        numbers=_too_live_numbers,
        limit=_at_most_s,
    ),
    FindingKind.TOO_DEAD: _Words(
        title="Too dead",
        notice="The room swallows sound: it feels lifeless, and people raise their voices.",
        numbers=_too_live_numbers,
        limit=_at_least_s,
    ),
    FindingKind.BOOMY: _Words(
        title="Boomy",
        notice=_boomy_notice,
        numbers=_boomy_numbers,
        limit=_boomy_limit,
    ),
    FindingKind.DULL: _Words(
        title="Dull",
        notice="Treble dies away long before the rest: the room sounds muffled.",
        numbers=_dull_numbers,
        limit="Treble at least {limit_ratio:.1f} times as long as the low middle",
    ),
    FindingKind.UNEVEN: _Words(
        title="Uneven",
        notice=_uneven_notice,
        numbers=_uneven_numbers,
        limit=_uneven_limit,
    ),
    FindingKind.RINGING_MODE: _Words(
        title="A bass note rings at {frequency_hz:.0f} Hz",
        notice="One bass note, near {frequency_hz:.0f} Hz, rings on after the rest has stopped.",
        numbers=_ringing_numbers,
        limit=_ringing_limit,
    ),
    FindingKind.MISSING_NOTE: _Words(
        title="A bass note is missing at {seat}",
        notice=(
            "At {seat} one bass note, near {frequency_hz:.0f} Hz, is nearly gone; elsewhere it is "
            "there."
        ),
        numbers=_missing_numbers,
        limit=(
            "More than {limit_db:.0f} dB, narrower than a third of an octave, not at the other "
            "places"
        ),
    ),
    FindingKind.BOUNDARY_DIP: _Words(
        title=_boundary_title,
        notice=_boundary_notice,
        numbers=_boundary_numbers,
        limit=_boundary_limit,
    ),
    FindingKind.EARLY_REFLECTION: _Words(
        title=lambda reader, **v: (
            f"Early reflection: {joined([name for name, _ in v['surfaces']])}"
        ),
        notice=_early_notice,
        numbers=_early_numbers,
        limit=_early_limit,
    ),
    FindingKind.EARLY_OBJECT: _Words(
        title="Early reflection off something in the room",
        notice=_object_notice,
        numbers=_object_numbers,
        limit=_early_limit,
    ),
    FindingKind.HOLLOW: _Words(
        title="Hollow: something near the direct path",
        notice=_hollow_notice,
        numbers=_object_numbers,
        limit=_early_limit,
    ),
    FindingKind.SLAP: _Words(
        title=_slap_title,
        notice=_slap_notice,
        numbers=_slap_numbers,
        limit=_slap_limit,
    ),
    FindingKind.FLUTTER: _Words(
        title=_flutter_title,
        notice=_flutter_notice,
        numbers=_flutter_numbers,
        limit="{limit_repeats} repeats or more that fall by less than {limit_fall_db:.0f} dB each",
    ),
    FindingKind.LEFT_RIGHT: _Words(
        title="Left and right differ at {seat}",
        notice="The room answers the two loudspeakers differently, so the sound leans to one side.",
        numbers=_left_right_numbers,
        limit=_left_right_limit,
    ),
    FindingKind.UNCLEAR_SPEECH: _Words(
        title=_unclear_title,
        notice=_unclear_notice,
        numbers=_unclear_numbers,
        limit="At least {limit_db:.1f} dB, less the {jnd_db:g} dB that one just hears",
    ),
    FindingKind.POOR_SPEECH_INDEX: _Words(
        title="Speech is hard to follow",
        notice=_index_notice,
        numbers=_index_numbers,
        limit="{limit_sti:.2f} and more is good, less the {jnd_sti:.2f} that one just hears",
    ),
    FindingKind.DOUBLE_SLOPE: _Words(
        title="Two decays at once",
        notice=(
            "Sound dies away fast at first and then lingers: two bare surfaces keep passing it on, "
            "or a space next door answers."
        ),
        numbers=_slope_numbers,
        limit="T30 at most {limit_pct:.0f} % longer than T20",
    ),
    FindingKind.NOISE: _Words(
        title="Noisy before anybody speaks",
        notice=(
            "What disturbs is noise in the room, from a fan, a machine or outside; it is not the "
            "room's own sound."
        ),
        numbers=_noise_numbers,
        limit=_noise_limit,
    ),
    FindingKind.RATTLE: _Words(
        title=_rattle_title,
        notice=_rattle_notice,
        numbers=_rattle_numbers,
        limit=(
            "{limit_db:.0f} dB over what the sweep leaves at other notes, beating with it or found "
            "again in another take"
        ),
    ),
}

register({kind: words.notice for kind, words in _WORDS.items()})

register(
    {
        LimitSource.DOCUMENT: lambda reader, document: document.rstrip("."),
        LimitSource.COMMON_PRACTICE: "common practice",
        LimitSource.VOICE_BOOTHS: "common practice in voice booths",
        LimitSource.BS_1116: "ITU-R BS.1116-3 and EBU Tech 3276, from memory",
        LimitSource.AFTER_BS_1116: (
            "common practice, after ITU-R BS.1116-3 and EBU Tech 3276, from memory"
        ),
        LimitSource.ISO_3382_2_ANNEX_B: "ISO 3382-2:2008, Annex B, as quoted in open analysis code",
        LimitSource.IEC_60268_16: "IEC 60268-16:2020, as a meter's manual has it",
        LimitSource.OUR_MARGIN: "our margin; noise scatters by 1 dB",
    }
)
