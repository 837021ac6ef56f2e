"""Speech, noise, reflections, modes, and what a visit lacks, in words."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from typing import Any, Literal

from roomcheck.analyse import (
    BoxMode,
    Closing,
    EchoReason,
    GradeLack,
    LeftOut,
    ModesReason,
    NoiseOutcome,
    NoiseWarning,
    SourceNote,
    SpeechReason,
    SpeechRemark,
    VisitGap,
)
from roomcheck.facts import fact
from roomcheck.measure import Record
from roomcheck.standards.iec_60268_16_2020 import Rating
from roomcheck.units import band_name
from roomcheck.words.numbers import length, with_limit
from roomcheck.words.reader import Reader
from roomcheck.words.saying import joined, register, sentence, sentences
from roomcheck.words.visit.decays import band_sentences

ORDINALS = ("first", "second", "third", "fourth", "fifth", "sixth")

NEEDED = {
    GradeLack.TOO_FEW_SOURCES: ("source position", "source positions"),
    GradeLack.TOO_FEW_MICROPHONES: ("microphone position", "microphone positions"),
    GradeLack.TOO_FEW_PAIRS: ("pair of source and microphone", "pairs of source and microphone"),
}

DIRECTIONAL = (
    "Our loudspeaker does not radiate equally in all directions, as ISO 3382-1 requires: EDT, "
    "clarity, definition, centre time and reflection levels depend on where it faces, above 1 kHz "
    "most; T20 and T30 barely."
)


def mode_name(box: BoxMode, reader: Reader) -> str:
    """A standing wave of a box: its axes and orders in words, or as the books write them.

    >>> mode = BoxMode(frequency_hz=42.9, order=(0, 2, 0))
    >>> mode_name(mode, Reader()), mode_name(mode, Reader(who="acoustician"))
    ('second along the width', 'axial, width (0 2 0)')
    """
    return order_name(box.order, reader)


def order_name(order: tuple[int, int, int], reader: Reader) -> str:
    """A standing wave of a box by its half waves along length, width and height."""
    box = BoxMode(frequency_hz=0.0, order=order)
    if reader.who == "acoustician":
        numbers = " ".join(map(str, box.order))
        return f"{box.kind}, {' and '.join(box.axes)} ({numbers})"
    along = zip(box.axes, [n for n in box.order if n], strict=True)
    return joined([f"{_ordinal(n)} along the {axis}" for axis, n in along])


def _ordinal(n: int) -> str:
    return ORDINALS[n - 1] if n <= len(ORDINALS) else f"{n}th"


def left_out(takes: tuple[LeftOut, ...], reader: Reader) -> tuple[str, ...]:
    """Takes that were not used, each with the reason."""
    return tuple(
        f"{take.take} is left out: {'; '.join(sentences(take.reasons, reader))}" for take in takes
    )


def _survey_record(reader: Reader, *, take: str, record: str, **values: Any) -> str:
    return f"{take}: {sentence(fact(Record(record), **values), reader)}"


def closing_sentences(closing: Closing, reader: Reader) -> Iterator[str]:
    """Why a visit is not complete."""
    yield from sentences(closing.missing, reader)
    for band in closing.no_t20:
        why = " ".join(line.partition(": ")[2] for line in band_sentences(band, reader)[:1])
        yield f"{band_name(band.band_hz)}: no T20 at any position. {why}".strip()


def _too_few(kind: GradeLack) -> Callable[..., str]:
    def words(_: Reader, *, grade: str, needed: int, there: int) -> str:
        is_are = "is" if there == 1 else "are"
        noun = NEEDED[kind][needed > 1]
        return f"{grade.capitalize()} grade needs {needed} {noun}; there {is_are} {there}."

    return words


def _near(stands: str, share: str) -> Callable[..., str]:
    def words(
        reader: Reader,
        *,
        away_m: float,
        needed_m: float,
        needed_from_hz: float,
        serves_from_hz: float | None = None,
        **names: str,
    ) -> str:
        away, needed = (length(length_m, reader) for length_m in (away_m, needed_m))
        text = (
            f"{stands.format(**names, away=away)}; ISO 3382-2 asks for {needed}. {share} "
            f"wavelength is that long at {needed_from_hz:.0f} Hz"
        )
        if serves_from_hz is None:
            return f"{text}."
        return f"{text}; as it is, the position serves from {serves_from_hz:.0f} Hz on."

    return words


def _near_source(
    reader: Reader, *, position: str, other: str, away_m: float, needed_m: float
) -> str:
    away, needed = (length(length_m, reader) for length_m in (away_m, needed_m))
    return f"{position} stands {away} from {other}; ISO 3382-2 asks for {needed}."


def _speech(template: str) -> Callable[..., str]:
    """Put the octave in front, where the reason is one octave's."""

    def words(_: Reader, *, band_hz: float | None = None, **values: object) -> str:
        where = "" if band_hz is None else f"{band_name(band_hz)}: "
        return where + template.format(**values)

    return words


def _speech_range(
    _: Reader, *, band_hz: float, range_db: float, needed_db: float, lacking_db: float
) -> str:
    range_, needed = with_limit(range_db, needed_db, upper=False, digits=0)
    return (
        f"{band_name(band_hz)}: {range_} dB from peak to noise, the index needs {needed} dB; play "
        f"{math.ceil(lacking_db)} dB louder, or use a longer sweep (twice the time is 3 dB)."
    )


Family = Literal["NC", "NR", "dB(A)"]


def _rated(family: Family, value: str) -> str:
    return f"{value} dB(A)" if family == "dB(A)" else f"{family} {value}"


def _noise(outcome: str) -> Callable[..., str]:
    def words(
        _: Reader,
        *,
        family: Family,
        level: float,
        limit: float,
        source: str,
        beyond: str | None = None,
    ) -> str:
        value, bound = with_limit(level, limit, upper=True, digits=0)
        if beyond:
            value, bound = f"{level:g}", f"{limit:g}"
        side = f"{beyond} " if beyond else ""
        return f"{outcome}: {side}{_rated(family, value)} (limit {_rated(family, bound)}), {source}"

    return words


def _relative(_: Reader, *, family: Family, limit: float, **_source: str) -> str:
    return (
        f"the levels are relative, so they cannot be compared with {_rated(family, f'{limit:g}')}"
    )


def _no_octaves(_: Reader, *, rate_hz: int, bands_hz: tuple[float, ...]) -> str:
    return f"at {rate_hz} Hz it carries no {joined([band_name(hz) for hz in bands_hz])} octave"


def _pairs_left(_: Reader, *, pairs: tuple[tuple[str, str], ...]) -> str:
    names = [f"{source} to {microphone}" for source, microphone in pairs]
    return f"The job also lists {', '.join(names)}: no good take."


def _grade_not_reached(_: Reader, *, wanted: str, reached: str) -> str:
    reached = "no grade" if reached == "none" else reached
    return f"{wanted.capitalize()} grade is wanted, {reached} is reached."


def _moved(_: Reader, *, position: str, shift_m: float) -> str:
    return (
        f"{position} seems to have stood {100 * shift_m:.0f} cm from where job.toml has it: "
        "measure it again."
    )


def _misfit(_: Reader, *, misfit_s: float) -> str:
    return (
        f"The arrivals miss the floor plan by {1000 * misfit_s:.2f} ms: check the room's size, the "
        "positions and the temperature before a surface is treated."
    )


def _rules_broken(_: Reader, *, grade: str) -> str:
    return f"{grade.capitalize()} grade needs the position rules kept."


register({rating: str(rating) for rating in Rating})
register({kind: _too_few(kind) for kind in NEEDED})


def _would_fit(
    reader: Reader,
    *,
    position: str,
    away_m: float,
    x_m: float,
    y_m: float,
    z_m: float,
    came: int,
    due: int,
) -> str:
    spot = ", ".join(
        f"{axis} {length(at_m, reader)}" for axis, at_m in (("x", x_m), ("y", y_m), ("z", z_m))
    )
    return (
        f"If only {position} stood elsewhere, it would be {length(away_m, reader)} away at the "
        f"least, such as at {spot}, where {came} of {due} first reflections come when they are "
        "due: measure both places again with a tape."
    )


register(
    {
        GradeLack.RULES_BROKEN: _rules_broken,
        GradeLack.NO_PLACE: "{position} has no place in the job; its distances are not checked.",
        GradeLack.NEAR_SURFACE: _near(
            "{position} stands {away} from the nearest surface", "A quarter"
        ),
        GradeLack.NEAR_MICROPHONE: _near("{position} and {other} stand {away} apart", "Half a"),
        GradeLack.NEAR_SOURCE: _near_source,
        GradeLack.SURVEY_RECORD: _survey_record,
        GradeLack.DIRECTED_SOURCE: (
            "{grade} grade asks for a source that sends alike in all directions: where yours does, "
            "say so in job.toml (omnidirectional = true)."
        ),
        GradeLack.DIRECTIONS: "Averaged over the directions of the source: {directions:and}.",
        SourceNote.DIRECTIONS_AVERAGED: (
            f"{DIRECTIONAL} Every pair is the average of {{takes}} takes or more; turned between "
            "them, they stand for directions."
        ),
        SourceNote.SOURCES_AVERAGED: (
            f"{DIRECTIONAL} The average over {{sources}} source positions evens out part of that."
        ),
        SourceNote.ONE_DIRECTION: (
            f"{DIRECTIONAL} One direction from one place: turn the loudspeaker by 120 degrees "
            "twice at the same place and record each time, or add a source position; takes of one "
            "pair are averaged."
        ),
        VisitGap.GRADE_NOT_REACHED: _grade_not_reached,
        VisitGap.MOVE_STANDS: (
            "Move the stands and measure those places again; where the room is too small for it, "
            'be content with survey: grade = "survey" in job.toml.'
        ),
        VisitGap.NO_CONDITIONS: (
            "The visit's conditions are not noted: temperature, humidity, people, doors, "
            "ventilation."
        ),
        VisitGap.PAIRS_LEFT: _pairs_left,
        VisitGap.NO_NOISE: "No background noise was recorded.",
        SpeechReason.SILENCE: "Silence: the record holds no sound at all.",
        SpeechReason.NEEDS_SWEEP: "The index needs a sweep.",
        SpeechReason.TOO_SHORT: (
            "The response lasts {length_s:.2f} s, the index needs {needed_s:g} s, one period of "
            "the slowest modulation; record longer after the sweep."
        ),
        SpeechReason.RATE_TOO_LOW: _speech(
            "a rate of {rate_hz} Hz does not carry this band; record at 48 kHz."
        ),
        SpeechReason.NO_DECAY: _speech(
            "nothing in it decays towards the end of the record; play louder, or stop the noise."
        ),
        SpeechReason.RANGE_TOO_SMALL: _speech_range,
        SpeechRemark.WITHOUT_NOISE: (
            "Without noise: what the room alone leaves; with noise it is lower."
        ),
        SpeechRemark.WITHOUT_MASKING: (
            "Without masking by level and the threshold of hearing, which need calibrated levels."
        ),
        NoiseWarning.UNSTEADY: (
            "not steady: the loudest second is {over_db:.0f} dB(A) above the quietest tenth (a "
            "car, a voice, a door?); record again when it is still, or say what it was"
        ),
        NoiseWarning.NO_OCTAVES: _no_octaves,
        NoiseWarning.OWN_NOISE: (
            "the microphone's and the interface's own noise is in it: in a very quiet room the "
            "true level is lower"
        ),
        NoiseOutcome.QUIET_ENOUGH: _noise("quiet enough"),
        NoiseOutcome.TOO_LOUD: _noise("too loud"),
        NoiseOutcome.RELATIVE: _relative,
        EchoReason.NO_PLACE: (
            "{position} has no place in the job, so no wall can be named; add it to job.toml."
        ),
        EchoReason.NOT_SEEN: (
            "{microphone} does not see {source} by the floor plan: there is no direct sound to "
            "hold reflections against."
        ),
        EchoReason.NO_DIRECT_SOUND: (
            "Too little direct sound from 1 to 8 kHz, or too low a rate: no reflections can be "
            "read."
        ),
        EchoReason.LOUDER_THAN_DIRECT: (
            "Something arrives louder than the direct sound: the loudspeaker looks away or "
            "something stands in between; levels say nothing of the surfaces then."
        ),
        EchoReason.MOVED: _moved,
        EchoReason.FEW_CAME: (
            "Of {due} first reflections that plan and materials make due, {came} came: positions, "
            "plan or direction of the loudspeaker are not as typed; name no surface before that is "
            "cleared up."
        ),
        EchoReason.PLAN_MISFIT: _misfit,
        EchoReason.WOULD_FIT: _would_fit,
        ModesReason.RECORDS_TOO_SHORT: (
            "The records are silent or too short for the modes below {to_hz:.0f} Hz; record until "
            "the room is silent."
        ),
        ModesReason.NO_SPAN: (
            "Between {from_hz:.0f} and {to_hz:.0f} Hz there is no room for a mode."
        ),
        ModesReason.FAINT_LINES: (
            "{count} faint lines ring more than {times:.0f} times as long as the room's octaves: "
            "hum or noise."
        ),
        ModesReason.NOT_STABLE: (
            "Below {to_hz:.0f} Hz no room resonance is sure: {refuted} candidates lie too close "
            "together or differ from place to place, so none is listed. Measure at more positions, "
            "with a source that reaches lower."
        ),
        ModesReason.NOT_SEPARATED: "{count} more could not be separated from their neighbours.",
        ModesReason.UNLIKE_THE_ROOM: (
            "Left out: {count} whose strengths at the places are those of no standing wave that "
            "the room's size predicts there; check the room's size and the places."
        ),
        ModesReason.CROWDED: (
            "Looked for up to {to_hz:.0f} Hz; from there to {transition_hz:.0f} Hz they lie too "
            "close to be separated."
        ),
        ModesReason.RECORDS_END: (
            "The records end before the low frequencies have died away; record a second longer."
        ),
        ModesReason.FEW_POSITIONS: (
            "Fewer than three positions: a mode with a node at each of them is missed."
        ),
        ModesReason.NOT_A_BOX: (
            "The plan is no rectangle: which surfaces a mode stands between is not predicted, only "
            "listed."
        ),
    }
)
