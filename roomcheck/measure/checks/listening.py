"""A recording heard against what was played: resampled, cut, deconvolved, judged."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from hashlib import blake2b
from typing import Any

import numpy as np
from numpy.typing import NDArray

from roomcheck.facts import Fact, fact
from roomcheck.measure.checks.checks import check_take
from roomcheck.measure.checks.clock import (
    OFF_S,
    RATE_RATIOS,
    Clock,
    marker_offsets_s,
    mismatch_named,
    read_markers,
    resample,
)
from roomcheck.measure.checks.codec import lossy_signs
from roomcheck.measure.checks.find_sweep import is_long, near_the_sweep, needed_s
from roomcheck.measure.checks.take_record import TakeRecord
from roomcheck.measure.faults import ChooseChannel, ClockJump, NoSweepFound, TooShort, WrongRate
from roomcheck.measure.files.audio import Audio, check_rate, choose_channel
from roomcheck.measure.files.played import Pass, Played
from roomcheck.measure.kinds import Machine, Take
from roomcheck.measure.signal.deconvolution import Lags, all_lags, crest_db, crop, deconvolve
from roomcheck.measure.signal.signals import LOSSY, ImpulseResponse, TakeCheck
from roomcheck.measure.signal.sweep import Sweep
from roomcheck.parts import OnPart, Parts
from roomcheck.units import OCTAVES_HZ

SETTLE_S = 0.5
"""Kept of the silence before a pass. [s]"""

EDGE_S = 0.05
"""Left out next to a marker. [s]"""

LEAST_DRIFT_PPM = 2.0
"""Corrected below this without a word: no result shows it. [1e-6]"""

TOP_EDGE_HZ = 11_314
"""Upper edge of the 8 kHz octave. [Hz]"""

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Decisions:
    """What a person decided about a take, and what else is known of it."""

    channel: int | None = None
    """Channel of the recording, from 1."""
    side: str | None = None
    """Which pass of a sweep file."""
    wrong_machine: Machine | None = None
    """Which of the two ran at the wrong rate, where their rates do not match."""
    keep_anyway: bool = False
    """Kept although roomcheck would repeat it; its reasons are then overruled."""
    faults: tuple[Fact[Take], ...] = ()
    """What the sound card reported while it recorded."""
    away_m: float | None = None
    """Source to microphone, by the job [m]."""


@dataclass(frozen=True, slots=True, eq=False)
class _Pass:
    """One pass of the sweep, cut out of a record."""

    y: Array
    """The pass with the silence around it, at the sweep's rate: (frames,) [1]."""
    quiet: Array
    """The silence before anything was played; empty without markers: (frames,) [1]."""
    first: int
    """Where the cut begins in the record [samples]."""


LISTENED = 6
"""Listening to a second of a recording is so many times the work of searching it for chirps. [1]"""

SEARCHED = 0.6
"""The same of searching a long recording for its strongest sweep. [1]"""

_STEPS = 4
"""Of listening, alike in work: clock, response, and a verdict of two."""


def work_of(frames: int, rate_hz: int, played: Played) -> tuple[int, int]:
    """How much work a recording of so many frames is: searching it, and listening to what was
    found. [s of searching for chirps]"""
    seconds = frames / rate_hz
    if not is_long(frames, rate_hz, played):
        return 0, round(LISTENED * seconds)
    return round(SEARCHED * seconds), round(LISTENED * needed_s(played))


def listen(
    audio: Audio, played: Played, decisions: Decisions, on_part: OnPart | None = None
) -> tuple[ImpulseResponse, TakeCheck, int]:
    """Deconvolve and judge one recording; return its response, the verdict and the channel.

    `on_part` gets how much of `work_of` is done, and of how much.

    Raises
    ------
    RecordingError
        Nothing can be made of it.
    """
    check_rate(audio.rate_hz, audio.where)
    channel, chosen = choose_channel(audio, decisions.channel)
    search, rest = work_of(audio.frames, audio.rate_hz, played)
    parts = Parts(on_part, search + rest)
    raw, cut = near_the_sweep(audio, channel, played, parts.of_own(search))
    parts.add(search)
    notes = [note for note in (chosen, cut) if note is not None]
    notes += _rate_notes(audio.rate_hz, played.sweep.rate_hz)
    y, clock = _on_players_clock(raw, audio, played)
    parts.add(rest // _STEPS)
    if clock is not None and abs(clock.drift_ppm) >= LEAST_DRIFT_PPM:
        notes.append(fact(Take.CLOCK_CORRECTED, drift_ppm=clock.drift_ppm))
    segment = _cut(y, played, clock, decisions.side, audio.where)
    lags = _lags(segment.y, played.sweep, audio.where)
    parts.add(rest // _STEPS)
    if clock is not None:
        offsets_s = _offsets_s(y, played, clock, (segment, lags), audio.where)
        notes += _check_steady(offsets_s, clock, audio.where)
    record = _record(raw, audio, segment, lags, clock, decisions.away_m)
    response = crop(lags)
    lossy = fact(Take.LOSSY_FILE) if audio.lossy else lossy_signs(record)
    if lossy is not None:
        notes.append(lossy)
        response = dataclasses.replace(response, limits=LOSSY)
    check = _checked(record, tuple(notes))
    if clock is not None:
        response, check = _mismatch(response, check, clock, decisions.wrong_machine)
    return response, decided(check, decisions), channel


_KNOWN: dict[bytes, TakeCheck] = {}
"""Verdicts of this process by what was heard: a visit is read again right after its takes."""

_MOST_KNOWN = 256


def _checked(record: TakeRecord, notes: tuple[Fact[Take], ...]) -> TakeCheck:
    """The verdict on a take; that of the very same samples is not worked out twice."""
    key = _digest(record, notes)
    if key not in _KNOWN:
        if len(_KNOWN) >= _MOST_KNOWN:
            _KNOWN.pop(next(iter(_KNOWN)))
        _KNOWN[key] = check_take(record, notes)
    return _KNOWN[key]


def _digest(record: TakeRecord, notes: tuple[Fact[Take], ...]) -> bytes:
    """Of all that a verdict depends on."""
    sweep = record.lags.sweep
    sizes = (sweep.low_hz, sweep.high_hz, sweep.seconds, sweep.rate_hz, record.raw_rate_hz)
    known = (sizes, record.drift_ppm, record.away_m, len(record.raw), len(record.y), notes)
    found = blake2b(repr(known).encode())
    for part in (record.raw, record.y, record.noise_before, sweep.samples):
        found.update(np.ascontiguousarray(part).data)
    return found.digest()


def _rate_notes(recorded_hz: int, sweep_hz: int) -> list[Fact[Take]]:
    """What the recorder's rate means for the response."""
    notes = []
    if recorded_hz != sweep_hz:
        notes.append(fact(Take.RESAMPLED, recorded_hz=recorded_hz, sweep_hz=sweep_hz))
    if min(recorded_hz, sweep_hz) < 2 * TOP_EDGE_HZ:
        notes.append(fact(Take.BAND_NOT_CARRIED, rate_hz=recorded_hz, band_hz=OCTAVES_HZ[-1]))
    return notes


def _on_players_clock(raw: Array, audio: Audio, played: Played) -> tuple[Array, Clock | None]:
    """Resample a record to the player's clock, as its markers say; (frames,)."""
    y = resample(raw, played.sweep.rate_hz / audio.rate_hz)
    if played.marker is None:
        return y, None
    clock = read_markers(y, played, audio.where)
    return resample(y, 1 / clock.ratio), clock


def decided(check: TakeCheck, decisions: Decisions) -> TakeCheck:
    """The verdict with what the sound card reported and what a person decided."""
    if decisions.faults:
        check = changed(check, keep=False, reasons=(*decisions.faults, *check.reasons))
    if decisions.keep_anyway and not check.keep:
        check = changed(check, keep=True, reasons=(), overruled=check.reasons)
    return check


def _lags(y: Array, sweep: Sweep, where: str) -> Lags:
    """The deconvolution; where there is none, whether the other common rate gives one."""
    try:
        return all_lags(y, sweep, where)
    except (NoSweepFound, TooShort):
        plain_db = crest_db(deconvolve(y, sweep)[0])
        for ratio, rates_hz in RATE_RATIOS.items():
            if crest_db(deconvolve(resample(y, 1 / ratio), sweep)[0]) < plain_db + 6:
                continue
            raise WrongRate(
                where=where,
                found=f"the sweep runs at {ratio:.4f} of its length: {mismatch_named(rates_hz)}",
                needed="player and recorder at one rate",
                todo="Set both to 48 kHz and record again, or use a sweep file with markers.",
            ) from None
        raise


def _cut(y: Array, played: Played, clock: Clock | None, side: str | None, where: str) -> _Pass:
    """Cut one pass out of a record; the whole record where there are no markers."""
    rate = played.sweep.rate_hz
    if clock is None or played.marker is None:
        return _Pass(y, y[:0], 0)
    run = _chosen_pass(played, side, where)
    first_marker = clock.first / clock.ratio
    start = first_marker + (run.start_s - played.first_s) * rate
    begin = max(round(start - SETTLE_S * rate), 0)
    end = round(start + len(played.sweep.samples) + (played.silence_s - EDGE_S) * rate)
    quiet_end = max(round(first_marker - EDGE_S * rate), 0)
    return _Pass(y[begin:end], y[:quiet_end], begin)


def _offsets_s(
    y: Array, played: Played, clock: Clock, taken: tuple[_Pass, Lags], where: str
) -> tuple[float, float] | None:
    """How far the markers lie from where the first sweep says they must; the take's own
    deconvolution serves where it is of that one. [s]"""
    first, lags = _cut(y, played, clock, played.passes[0].side, where), taken[1]
    if first.first != taken[0].first:
        lags = all_lags(first.y, played.sweep, where)
    return marker_offsets_s(y, played, lags, first.first)


def _check_steady(
    offsets_s: tuple[float, float] | None, clock: Clock, where: str
) -> list[Fact[Take]]:
    """Refuse a take whose first sweep lies off the markers; a note where noise hides it."""
    todo = "Play from a file on the machine, by wire, keep the recorder still, and record again."
    if offsets_s is None and clock.alike > 0.9:
        raise ClockJump(
            where=where,
            found="the two markers are alike, but the sweep between them shows another room: "
            "samples were lost or doubled within it, or the recorder was moved",
            needed="one steady recording",
            todo=todo,
        )
    if offsets_s is None:
        return [fact(Take.JUMPS_UNCHECKED)]
    worst_s = max(offsets_s, key=abs)
    if abs(worst_s) > OFF_S:
        raise ClockJump(
            where=where,
            found=f"the markers' spacing looks like a clock {clock.drift_ppm:+.0f} ppm off, but "
            f"the sweep between them lies {1000 * abs(worst_s):.1f} ms from where they say: "
            "samples were lost or doubled",
            needed=f"within {1000 * OFF_S:g} ms",
            todo=todo,
        )
    return []


def _chosen_pass(played: Played, side: str | None, where: str) -> Pass:
    sides = [run.side for run in played.passes]
    if side is None and len(sides) == 1:
        return played.passes[0]
    if side not in sides:
        raise ChooseChannel(
            where=where,
            found=f"the sweep was played {len(sides)} times in it ({', '.join(sides)})",
            needed="which one is meant",
            todo=f"Name it: --side {' or '.join(sides)}.",
            levels_dbfs=(),
        )
    return played.passes[sides.index(side)]


def _record(
    raw: Array,
    audio: Audio,
    segment: _Pass,
    lags: Lags,
    clock: Clock | None,
    away_m: float | None,
) -> TakeRecord:
    """Put together what the checks look at."""
    sweep, ratio = lags.sweep, clock.ratio if clock else 1.0
    start = lags.start - lags.zero
    quiet = segment.quiet
    if clock is None:
        quiet = segment.y[: max(start - round(0.02 * sweep.rate_hz), 0)]
    # The recorder's own samples for each of the player's.
    scale = audio.rate_hz / sweep.rate_hz * ratio
    first = (segment.first + start) * scale
    last = (segment.first + start + len(sweep.samples)) * scale
    return TakeRecord(
        raw=raw[max(int(first), 0) : int(last)],
        raw_rate_hz=audio.rate_hz * ratio,
        y=segment.y,
        noise_before=quiet,
        lags=lags,
        where=audio.where,
        drift_ppm=clock.drift_ppm if clock else None,
        away_m=away_m,
    )


def _mismatch(
    response: ImpulseResponse, check: TakeCheck, clock: Clock, machine: Machine | None
) -> tuple[ImpulseResponse, TakeCheck]:
    """Two machines at two rates: only a person knows whose was wrong, and all times hang on it."""
    if clock.rate_mismatch is None:
        return response, check
    true_hz, taken_hz = clock.rate_mismatch
    rates = {"ratio": clock.ratio, "rate_hz": true_hz, "taken_for_hz": taken_hz}
    if machine is None:
        reason = fact(Take.RATES_DIFFER, **rates)
        return response, changed(check, keep=False, reasons=(reason, *check.reasons))
    if machine == "player":
        # The recorder's time is true; a sample of the player's file took ratio times as long.
        nominal = clock.ratio / (1 + clock.drift_ppm / 1e6)
        rate_hz = round(response.rate_hz / nominal)
        response = ImpulseResponse(
            samples=response.samples, rate_hz=rate_hz, limits=response.limits
        )
    corrected = fact(Take.RATES_CORRECTED, **rates, machine=machine)
    return response, changed(check, warnings=(corrected, *check.warnings))


def changed(check: TakeCheck, **fields: Any) -> TakeCheck:
    return dataclasses.replace(check, **fields)
