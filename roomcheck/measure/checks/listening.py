"""A recording heard against what was played: resampled, cut, deconvolved, judged."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
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
from roomcheck.measure.checks.find_sweep import near_the_sweep
from roomcheck.measure.checks.take_record import TakeRecord
from roomcheck.measure.faults import ChooseChannel, ClockJump, NoSweepFound, TooShort, WrongRate
from roomcheck.measure.files.audio import Audio, check_rate, choose_channel
from roomcheck.measure.files.played import Pass, Played
from roomcheck.measure.kinds import Machine, Take
from roomcheck.measure.signal.deconvolution import Lags, all_lags, crest_db, crop, deconvolve
from roomcheck.measure.signal.signals import LOSSY, ImpulseResponse, TakeCheck
from roomcheck.measure.signal.sweep import Sweep
from roomcheck.units import OCTAVES_HZ

SETTLE_S = 0.5
TOP_EDGE_HZ = 11_314
"""Upper edge of the 8 kHz octave. [Hz]"""

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Decisions:
    """What a person decided about a take.

    Attributes
    ----------
    channel : int or None
        From 1.
    side : str or None
        Which pass of a sweep file.
    wrong_machine : "player", "recorder" or None
        Which of the two ran at the wrong rate, where their rates do not match.
    keep_anyway : bool
        Kept although roomcheck would repeat it; its reasons become warnings.
    faults : tuple of Fact
        What the sound card reported while it recorded.
    away_m : float or None
        Source to microphone, by the job. [m]
    """

    channel: int | None = None
    side: str | None = None
    wrong_machine: Machine | None = None
    keep_anyway: bool = False
    faults: tuple[Fact[Take], ...] = ()
    away_m: float | None = None


def listen(
    audio: Audio, played: Played, decisions: Decisions
) -> tuple[ImpulseResponse, TakeCheck, int]:
    """Response and verdict of one recording, and the channel it was taken from.

    Raises
    ------
    RecordingError
        Nothing can be made of it.
    """
    check_rate(audio.rate_hz, audio.where)
    raw, channel, chosen = choose_channel(audio, decisions.channel)
    raw, cut = near_the_sweep(raw, audio.rate_hz, played)
    notes = [note for note in (chosen, cut) if note is not None]
    rate = played.sweep.rate_hz
    y = resample(raw, rate / audio.rate_hz)
    if audio.rate_hz != rate:
        notes.append(fact(Take.RESAMPLED, recorded_hz=audio.rate_hz, sweep_hz=rate))
    if min(audio.rate_hz, rate) < 2 * TOP_EDGE_HZ:
        notes.append(fact(Take.BAND_NOT_CARRIED, rate_hz=audio.rate_hz, band_hz=OCTAVES_HZ[-1]))
    clock = None
    if played.marker is not None:
        clock = read_markers(y, played, audio.where)
        y = resample(y, 1 / clock.ratio)
        if abs(clock.drift_ppm) >= 2:
            notes.append(fact(Take.CLOCK_CORRECTED, drift_ppm=clock.drift_ppm))
    segment, quiet, at = _cut(y, played, clock, decisions.side, audio.where)
    lags = _lags(segment, played.sweep, audio.where)
    if clock is not None:
        notes += _check_steady(y, played, clock, audio.where)
    heard = dataclasses.replace(
        _heard(raw, audio, segment, quiet, at, lags, clock, played), away_m=decisions.away_m
    )
    response = crop(lags)
    signs = fact(Take.LOSSY_FILE) if audio.lossy else lossy_signs(heard)
    if signs is not None:
        notes.append(signs)
        response = ImpulseResponse(samples=response.samples, rate_hz=response.rate_hz, limits=LOSSY)
    check = check_take(heard, tuple(notes))
    if clock is not None:
        response, check = _mismatch(response, check, clock, decisions.wrong_machine)
    return response, decided(check, decisions), channel


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


def _cut(
    y: Array, played: Played, clock: Clock | None, side: str | None, where: str
) -> tuple[Array, Array, int]:
    """One pass with the silence around it, the silence before anything was played, and where the
    pass's cut begins."""
    rate = played.sweep.rate_hz
    if clock is None or played.marker is None:
        return y, y[:0], 0
    one = _pass(played, side, where)
    first = clock.first / clock.ratio
    start = first + (one.start_s - played.first_s) * rate
    a = max(round(start - SETTLE_S * rate), 0)
    b = round(start + len(played.sweep.samples) + (played.silence_s - 0.05) * rate)
    return y[a:b], y[: max(round(first - 0.05 * rate), 0)], a


def _check_steady(y: Array, played: Played, clock: Clock, where: str) -> list[Fact[Take]]:
    """Refuse a take whose first sweep lies off the markers; a note where noise hides it."""
    segment, _, start = _cut(y, played, clock, played.passes[0].side, where)
    offsets = marker_offsets_s(y, played, all_lags(segment, played.sweep, where), start)
    if offsets is None and clock.alike > 0.9:
        raise ClockJump(
            where=where,
            found="the two markers are alike, but the sweep between them tells of another room: samples were lost or "
            "doubled within it, or the recorder was moved",
            needed="one steady recording",
            todo="Play from a file on the machine, by wire, keep the recorder still, and record again.",
        )
    if offsets is None:
        return [fact(Take.JUMPS_UNCHECKED)]
    worst = max(offsets, key=abs)
    if abs(worst) > OFF_S:
        raise ClockJump(
            where=where,
            found=f"the markers' spacing looks like a clock {clock.drift_ppm:+.0f} ppm off, but the sweep between them "
            f"lies {1000 * abs(worst):.1f} ms from where they say: samples were lost or doubled",
            needed=f"within {1000 * OFF_S:g} ms",
            todo="Play from a file on the machine, by wire, keep the recorder still, and record again.",
        )
    return []


def _pass(played: Played, side: str | None, where: str) -> Pass:
    sides = [p.side for p in played.passes]
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
    return next(p for p in played.passes if p.side == side)


def _heard(
    raw: Array,
    audio: Audio,
    segment: Array,
    quiet: Array,
    at: int,
    lags: Lags,
    clock: Clock | None,
    played: Played,
) -> TakeRecord:
    rate, ratio = played.sweep.rate_hz, clock.ratio if clock else 1.0
    start = lags.start - lags.zero
    if clock is None:
        quiet = segment[: max(start - round(0.02 * rate), 0)]
    scale = audio.rate_hz / rate * ratio
    first, last = ((at + start + n) * scale for n in (0, len(played.sweep.samples)))
    return TakeRecord(
        raw=raw[max(int(first), 0) : int(last)],
        raw_rate_hz=audio.rate_hz * ratio,
        y=segment,
        noise_before=quiet,
        lags=lags,
        where=audio.where,
        drift_ppm=clock.drift_ppm if clock else None,
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
