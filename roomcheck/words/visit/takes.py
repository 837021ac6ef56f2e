"""Takes, levels and visits in words: what is said while somebody records."""

from __future__ import annotations

from collections.abc import Callable

from roomcheck.facts import fact
from roomcheck.measure import (
    Flown,
    Level,
    LevelLimit,
    Record,
    Scale,
    Signal,
    Take,
    Unusable,
    Walk,
    Way,
)
from roomcheck.units import band_label, band_name
from roomcheck.words.numbers import length
from roomcheck.words.reader import Reader
from roomcheck.words.saying import joined, register, sentence


def _percent_of(level_db: float) -> str:
    """An amplitude ratio in per cent, two digits."""
    return f"{100 * 10 ** (level_db / 20):.2g} %"


def _overdriven(_reader: Reader, *, harmonics_db: float) -> str:
    return (
        f"harmonics at {harmonics_db:.0f} dB ({_percent_of(harmonics_db)}) of the sweep from 500 "
        "Hz to 4 kHz: the loudspeaker or an input is overdriven; play 6 dB softer"
    )


def _harmonics(_reader: Reader, *, harmonics_db: float, band_hz: float) -> str:
    return (
        f"harmonics up to {harmonics_db:.0f} dB ({_percent_of(harmonics_db)}) of the sweep, most "
        f"in the {band_name(band_hz)} octave; they are cut off, but softer would be better"
    )


def _clipped(_reader: Reader, *, tops: int, level_dbfs: float, share: float) -> str:
    return (
        f"clipped in the recorder: {tops} flat tops at {level_dbfs:.1f} dB re full scale "
        f"({100 * share:.2g} % of the sweep); turn the input down by 6 dB"
    )


def _stands_still(_reader: Reader, *, at_s: float, places: int, longest_s: float) -> str:
    return (
        f"dropout: the recording stands still during the sweep, first {at_s:.1f} s after its start "
        f"(places: {places}, longest {1000 * longest_s:.0f} ms); close other programs, use a "
        "cable, and record again"
    )


def _jump(what: str, arrive: str) -> str:
    return (
        f"dropout: about {{jump_ms:.0f}} ms {what} near {{at_s:.1f}} s of the sweep (octaves above "
        f"arrive {arrive}); close other programs, use a cable, and record again"
    )


def _lost(_reader: Reader, *, jump_s: float, at_s: float) -> str:
    return _jump("lost", "early").format(jump_ms=1000 * jump_s, at_s=at_s)


def _added(_reader: Reader, *, jump_s: float, at_s: float) -> str:
    return _jump("added", "late").format(jump_ms=1000 * jump_s, at_s=at_s)


def _arrivals(apart_s: float, level_db: float) -> str:
    return f"two arrivals {1000 * apart_s:.1f} ms apart, the second {level_db:+.1f} dB to the first"


PLAY_ONE = "two loudspeakers at once? Play one alone"


def _comes_twice(
    _reader: Reader, *, apart_s: float, level_db: float, likeness: float, chance: float
) -> str:
    return (
        f"{_arrivals(apart_s, level_db)}, and what follows comes twice as well (likeness "
        f"{likeness:.2f} at that delay, by chance under {chance:g}): {PLAY_ONE}"
    )


def _no_reflection(
    reader: Reader,
    *,
    apart_s: float,
    level_db: float,
    farther_m: float,
    loss_db: float,
    away_m: float,
) -> str:
    farther, away = (length(length_m, reader) for length_m in (farther_m, away_m))
    return (
        f"{_arrivals(apart_s, level_db)}; a reflection that travels {farther} farther arrives "
        f"{loss_db:.1f} dB weaker or more at {away} and nearer: {PLAY_ONE}, or move off the hard "
        "surface nearby"
    )


def _late_arrival(_reader: Reader, *, apart_s: float, level_db: float) -> str:
    return f"{_arrivals(apart_s, level_db)}: {PLAY_ONE}"


def _strong_reflection(_reader: Reader, *, apart_s: float, level_db: float) -> str:
    return (
        f"{_arrivals(apart_s, level_db)}: a strong reflection, as off a desk, or two loudspeakers; "
        "if two played, repeat with one"
    )


def _range_lacking(
    _reader: Reader,
    *,
    bands_hz: tuple[float, ...],
    lacking_db: tuple[float, ...],
    louder_db: float,
    sweep_s: float | None = None,
) -> str:
    pairs = zip(bands_hz, lacking_db, strict=True)
    lacking = ", ".join(f"{band_label(hz)} Hz {short_db:.0f} dB" for hz, short_db in pairs)
    remedies = [f"play {louder_db:.0f} dB louder"]
    if sweep_s is not None:
        remedies.append(f"use a sweep of {sweep_s:.0f} s")
    remedies.append("stop the noise")
    return f"T20 lacks {lacking} of decay over the noise; {', or '.join(remedies)}"


def _burst(ending: str) -> Callable[..., str]:
    def words(
        _reader: Reader,
        *,
        over_db: float,
        octaves: int,
        under_db: float,
        into_s: float | None = None,
        after_s: float | None = None,
    ) -> str:
        when = f"{into_s:.1f} s into" if into_s is not None else f"{after_s:.1f} s after"
        return (
            f"a burst {when} the sweep, {over_db:.0f} dB over what was there before in {octaves} "
            f"octaves, {under_db:.0f} dB under the sweep (door, voice, knock, lost samples?)"
            f"{ending}"
        )

    return words


def _noise_changes(
    _reader: Reader,
    *,
    after_db: float | None = None,
    rise_db: float | None = None,
    under_db: float | None = None,
) -> str:
    changes = []
    if after_db is not None:
        changes.append(f"is {after_db:+.0f} dB after the sweep against before")
    if rise_db is not None:
        verb = "rises" if rise_db > 0 else "falls"
        changes.append(f"{verb} by {abs(rise_db):.0f} dB after the sweep")
    if under_db is not None:
        changes.append(f"is {under_db:+.0f} dB under the sweep against the silence")
    return (
        f"the noise {' and '.join(changes)}: automatic gain or noise suppression, or something was "
        "switched; switch it off and record again"
    )


def _long_record(_reader: Reader, *, record_s: float, at_s: float) -> str:
    minutes, seconds = divmod(at_s, 60)
    return (
        f"the record lasts {record_s / 60:.0f} min; the strongest sweep in it, at {minutes:.0f} "
        f"min {seconds:.0f} s, was taken"
    )


INDICATIVE = (
    "decay times are indicative from 500 Hz to 2 kHz, reflections and clarity are not given"
)


def _lossy_signs(
    _reader: Reader,
    *,
    holes: float | None = None,
    fall_db: float | None = None,
    at_hz: float | None = None,
) -> str:
    signs = []
    if holes is not None:
        signs.append(f"{100 * holes:.0f} % of the silence above 6 kHz is holes (noise has 1 %)")
    if fall_db is not None and at_hz is not None:
        signs.append(
            f"the sweep falls by {fall_db:.0f} dB within a twelfth of an octave at "
            f"{at_hz / 1000:.1f} kHz"
        )
    evidence = " and ".join(signs)
    return f"signs of a lossy codec or a lossy wireless link: {evidence}: {INDICATIVE}"


def _rates(ratio: float, rate_hz: int, taken_for_hz: int) -> str:
    return (
        f"the markers' spacing is {ratio:.4f} of what was played: {rate_hz / 1000:g} kHz taken for "
        f"{taken_for_hz / 1000:g} kHz"
    )


def _rates_differ(_reader: Reader, *, ratio: float, rate_hz: int, taken_for_hz: int) -> str:
    return (
        f"{_rates(ratio, rate_hz, taken_for_hz)}; if the player was wrong, add it with "
        "--wrong-machine player, if the recorder, with --wrong-machine recorder: all times hang on "
        "it (8.8 %); else set both to one rate and record again"
    )


def _rates_corrected(
    _reader: Reader, *, ratio: float, rate_hz: int, taken_for_hz: int, machine: str
) -> str:
    return f"{_rates(ratio, rate_hz, taken_for_hz)}, by the {machine}'s fault: corrected"


def _impulses(_reader: Reader, *, count: int, peak_dbfs: float, from_hz: float) -> str:
    plural = "" if count == 1 else "s"
    return (
        f"{count} impulse{plural} found, the loudest at {peak_dbfs:.1f} dB re full scale; a survey "
        f"at most, from the {band_name(from_hz)} octave"
    )


def _all_overloaded(_reader: Reader, *, at_s: tuple[float, ...]) -> str:
    times = joined([f"{time_s:.1f} s" for time_s in at_s])
    return f"overloaded, at {times}; turn the input down by 10 dB and make others"


register(
    {
        Take.CLIPPED: _clipped,
        Take.OVERDRIVEN: _overdriven,
        Take.HARMONICS: _harmonics,
        Take.STANDS_STILL: _stands_still,
        Take.SAMPLES_LOST: _lost,
        Take.SAMPLES_ADDED: _added,
        Take.COMES_TWICE: _comes_twice,
        Take.NO_REFLECTION: _no_reflection,
        Take.LATE_ARRIVAL: _late_arrival,
        Take.STRONG_REFLECTION: _strong_reflection,
        Take.RANGE_LACKING: _range_lacking,
        Take.STILL_SOUNDING: "the record ends {after_s:.1f} s after the sweep while the room still "
        "sounds (it falls by {fall_db:.0f} dB over its last third); let it run longer",
        Take.BURST: _burst("; wait until it is quiet and record again"),
        Take.WEAK_BURST: _burst(": too weak to matter"),
        Take.SHAKEN_LOOSE: "something rattles while the sweep passes {low_hz:.0f} to {high_hz:.0f} "
        "Hz, {under_db:.0f} dB under it; it lands ahead of the direct sound and is cut off, but "
        "find it: it will be heard",
        Take.GAIN_UNCHECKED: "too little silence around the sweep to check for automatic gain; "
        "leave half a second",
        Take.NOISE_CHANGES: _noise_changes,
        Take.NOISE_UNDER_SWEEP: "the noise is {under_db:+.0f} dB under the sweep against the "
        "silence, all along: noise suppression or a lossy recorder; switch it off and record again",
        Take.CLOCKS_SMEAR: "two clocks about {drift_ppm:+.0f} ppm apart smear the direct sound "
        "({lost_db:.1f} dB off its peak); decay times hold, reflections do not: use a sweep file "
        "with markers",
        Take.CHANNELS_ALIKE: "all {channels} channels are the same; channel 1 was taken",
        Take.ONLY_CHANNEL: "channel {channel} was taken: no other carries signal",
        Take.LONG_RECORD: _long_record,
        Take.RESAMPLED: "recorded at {recorded_hz} Hz, resampled to the sweep's {sweep_hz} Hz",
        Take.BAND_NOT_CARRIED: "at {rate_hz} Hz the {band_hz:band} octave is not carried",
        Take.CLOCK_CORRECTED: "the recorder's clock runs {drift_ppm:+.1f} ppm against the "
        "player's: corrected",
        Take.JUMPS_UNCHECKED: "noise hides whether samples were lost between the markers",
        Take.LOSSY_FILE: f"from a lossy file: {INDICATIVE}",
        Take.LOSSY_SIGNS: _lossy_signs,
        Take.RATES_DIFFER: _rates_differ,
        Take.RATES_CORRECTED: _rates_corrected,
        Take.OUTPUT_RAN_DRY: "the sound card reported: the output ran dry {after_s:.1f} s after "
        "the start",
        Take.INPUT_LOST: "the sound card reported: input samples were lost {after_s:.1f} s after "
        "the start",
        Take.IMPULSES: _impulses,
        Take.FEW_IMPULSES: "{usable} may be used; make {wanted} at each position, so that their "
        "spread is known",
        Take.ALL_OVERLOADED: _all_overloaded,
        Take.ONE_OVERLOADED: "the one at {at_s:.1f} s is overloaded",
        Take.LOSSY_IMPULSES: "from a lossy file: indicative from {low_hz:band} to {high_hz:band}",
        Take.MICROPHONE_CORRECTED: "corrected for the microphone, {file}: {low_hz:g} Hz to "
        "{high_hz:g} Hz",
        Take.UNREADABLE: "it cannot be read: {why}",
        Take.AS_WRITTEN: "the sound card reported: {text}",
    }
)


register(
    {
        Record.LOSSY: "A lossy file: decay times are indicative from {low_hz:band} to "
        "{high_hz:band}; early sound is not what was heard.",
        Record.IMPULSE: "A balloon, clap or shot: no two are alike, so a survey at most; early "
        "sound is the source's own.",
        Record.NUMBER: "Impulse {number} of {count}, {at_s:.1f} s into the file.",
        Record.FLAT_TOP: "Overloaded: {samples} samples at its top; turn the input down by 10 dB "
        "and make another.",
        Record.NEAR_FULL_SCALE: "Overloaded: its peak is {peak_dbfs:.1f} dB re full scale; turn "
        "the input down by 10 dB and make another.",
        Record.CUT_SHORT: "The next impulse, or the end, follows after {after_s:.2f} s: let each "
        "die away.",
        Record.NO_LOWS: "It has no energy below the {band_hz:band} octave; a larger balloon has.",
        Scale.CALIBRATOR: "calibrator of {level_db:g} dB at {tone_hz:.0f} Hz ({recording})",
        Scale.SENSITIVITY: "sensitivity given as {level_at_94_dbfs:g} dB re full scale at 94 dB",
        Scale.RELATIVE: "relative: without a calibrator recording or a sensitivity nobody knows "
        "how loud full scale is; record a calibrator of 94 or 114 dB at the same input gain",
        Unusable.NO_CHANNELS: "no channels",
        Unusable.NO_RATE: "another program holds it, or it runs at none of 44.1 to 96 kHz",
        Unusable.ODD_RATES: "neither 44.1 nor 48 kHz",
    }
)


def _sweep(_reader: Reader, *, low_hz: float, high_hz: float, seconds: float, rate_hz: int) -> str:
    return (
        f"exponential sweep, {low_hz:g} Hz to {high_hz / 1000:g} kHz in {seconds:g} s, "
        f"{rate_hz / 1000:g} kHz sampling"
    )


FLIGHT = (
    "the sound took {flight_ms:.2f} ms from the loopback, {distance}; by the job's positions it is "
    "{planned}"
)


def _flight(reader: Reader, flight_s: float, distance_m: float, planned_m: float) -> str:
    return FLIGHT.format(
        flight_ms=1000 * flight_s,
        distance=length(distance_m, reader),
        planned=length(planned_m, reader),
    )


def _as_planned(reader: Reader, *, flight_s: float, distance_m: float, planned_m: float) -> str:
    return _flight(reader, flight_s, distance_m, planned_m)


def _too_near(reader: Reader, *, flight_s: float, distance_m: float, planned_m: float) -> str:
    flight = _flight(reader, flight_s, distance_m, planned_m)
    return f"{flight}: nearer than it should be; is the stand at another position?"


def _too_far(reader: Reader, *, flight_s: float, distance_m: float, planned_m: float) -> str:
    flight = _flight(reader, flight_s, distance_m, planned_m)
    return f"{flight}: the loudspeaker delays the sound, or the stand is at another position"


register(
    {
        Signal.SWEEP: _sweep,
        Signal.IMPULSES: "impulses",
        Flown.AS_PLANNED: _as_planned,
        Flown.TOO_NEAR: _too_near,
        Flown.TOO_FAR: _too_far,
        Flown.NO_LOOPBACK: "no loopback channel: delays are relative to the direct sound, "
        "distances come from the tape",
        Way.FROM_WALL: "{along_m:length} along the {wall} wall from its corner with the {corner} "
        "wall, then {out_m:length} straight out; {height_m:length} above the floor",
        Way.ON_PLAN: "x {x_m:length}, y {y_m:length} on the plan, {height_m:length} above the "
        "floor",
    }
)


def _level(reader: Reader, level_dbfs: float, why: str) -> str:
    """A level with the reason why it is no higher."""
    level = f"{level_dbfs:.0f} dB re full scale"
    reason = sentence(fact(LevelLimit(why)), reader)
    return f"{level}, {reason}" if reason else level


def _found(
    reader: Reader,
    *,
    level_dbfs: float,
    why: str,
    seconds: float,
    range_db: float,
    band_hz: float,
    wanted_db: float,
    needed_db: float,
) -> str:
    sweep = (
        f"Sweep of {seconds:g} s at {_level(reader, level_dbfs, why)}: about {range_db:.0f} dB "
        f"over the noise, least in the {band_name(band_hz)} octave"
    )
    lacking_db = wanted_db - range_db
    if lacking_db <= 0:
        return f"{sweep}, as wanted ({wanted_db:.0f} dB)."
    short = "T20 may be missing there, and T30 will be"
    if range_db < needed_db:
        short = "T20 will be missing there"
    return (
        f"{sweep}, {lacking_db:.0f} dB less than wanted: {short}. Stop the noise, go nearer, or "
        "play louder."
    )


def _no_noise(reader: Reader, *, level_dbfs: float, why: str, seconds: float) -> str:
    level = _level(reader, level_dbfs, why)
    return f"Sweep of {seconds:g} s at {level}: there is no noise in the record."


def _unheard(reader: Reader, *, level_dbfs: float, why: str) -> str:
    return (
        f"Nothing of the test sweep was heard at {_level(reader, level_dbfs, why)}. Is the "
        "loudspeaker on, and the right output chosen? Turn the volume up a little, or the input "
        "gain."
    )


PROBE = "Test sweep at {level_dbfs:.0f} dB: peak in the recording {peak_dbfs:.0f} dB"

register(
    {
        Level.PROBE: PROBE + ", {range_db:.0f} dB over the noise at {band_hz:band}; with "
        "{seconds:g} s of sweep {expected_db:.0f} dB, {wanted_db:.0f} dB are wanted",
        Level.PROBE_CLIPPED: PROBE + ", clipped",
        Level.PROBE_UNHEARD: PROBE + ", the sweep does not stand out of the noise yet",
        Level.PROBE_NO_NOISE: PROBE + ", no noise in the record",
        Level.YIELDS: "The sound no longer rises with the signal: loudspeaker or limiter; back to "
        "{level_dbfs:g} dB.",
        Level.FOUND: _found,
        Level.NO_NOISE: _no_noise,
        Level.UNHEARD: _unheard,
        Level.CAUTION: "A sweep is loud in the treble: it can hurt ears and burn tweeters. Turn "
        "the amplifier down before you start, wear ear protection near the loudspeaker, keep "
        "everybody else out of the room, and stop with Ctrl-C if it sounds wrong.",
        LevelLimit.ENOUGH: "",
        LevelLimit.SPEAKER_LIMIT: "because the loudspeaker came to its limit above",
        LevelLimit.CEILING: "which is as loud as you allowed",
        LevelLimit.STOPPED: "where you stopped it",
        LevelLimit.INPUT_FULL: "because the input is near its end above; turn the input gain down "
        "to play louder",
        LevelLimit.INPUT_FULL_AT_ONCE: "because the input is near its end; "
        "turn the input gain down",
    }
)


def _speaker_to(reader: Reader, *, name: str, way: str, **measured: float | str) -> str:
    return f"  Loudspeaker to {name}: {sentence(fact(Way(way), **measured), reader)}."


def _microphone_to(reader: Reader, *, name: str, way: str, **measured: float | str) -> str:
    return f"  Microphone to {name}: {sentence(fact(Way(way), **measured), reader)}."


def _recording(
    _reader: Reader, *, source: str, microphone: str, wait_s: float, seconds: float
) -> str:
    soon = f" in {wait_s:g} s" if wait_s else ""
    return f"Recording {source} to {microphone}{soon}, {seconds:.0f} s long: quiet please …"


register(
    {
        Walk.PAIR_DONE: "{number} of {count}, {source} to {microphone}: there is a good take "
        "already.",
        Walk.PAIR_NEXT: "\n{number} of {count}: {source} to {microphone}",
        Walk.SPEAKER_STAYS: "  Loudspeaker: leave it at {name}.",
        Walk.SPEAKER_TO: _speaker_to,
        Walk.MICROPHONE_TO: _microphone_to,
        Walk.STEP_BACK: "  Step back or leave, shut the door, be quiet.",
        Walk.RECORDING: _recording,
        Walk.GOOD: "Good take.",
        Walk.NOT_GOOD: "Not good enough.",
        Walk.NOT_OF_PLACE: "It may not be of {source} to {microphone}, {visit}. (With --sure "
        "nothing is asked.)",
        Walk.PUT_ASIDE: "Put aside as {take}; roomcheck takes brings it back.",
        Walk.NOTHING_KEPT: "Nothing was kept of this take.",
        Walk.IN_MEMORY: "The recording is still in memory: make room, then save it.",
        Walk.NO_FLIGHT: "No time of flight: {text}",
        Walk.LEFTOVER_TAKEN: "Left from last time, and brought in now:",
        Walk.LEFTOVER_USELESS: "The recording that was left from last time is of no use: {text}",
        Walk.PROBLEM: "{text}",
    }
)
