"""A recording heard against what was played: resampled, cut, deconvolved, judged."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from roomcheck.measure.checks.checks import check_take
from roomcheck.measure.checks.clock import (
    OFF_S,
    RATE_RATIOS,
    Clock,
    marker_offsets_s,
    read_markers,
    resample,
)
from roomcheck.measure.checks.codec import lossy_signs
from roomcheck.measure.checks.find_sweep import near_the_sweep
from roomcheck.measure.checks.take_record import Heard
from roomcheck.measure.faults import ChooseChannel, ClockJump, NoSweepFound, TooShort, WrongRate
from roomcheck.measure.files.audio import Audio, check_rate, choose_channel
from roomcheck.measure.files.played import Pass, Played
from roomcheck.measure.signal.deconvolution import Lags, all_lags, crest_db, crop, deconvolve
from roomcheck.measure.signal.signals import LOSSY, ImpulseResponse, TakeCheck
from roomcheck.measure.signal.sweep import Sweep

SETTLE_S = 0.5

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
    faults : tuple of str
        What the sound card reported while it recorded.
    away_m : float or None
        Source to microphone, by the job. [m]
    """

    channel: int | None = None
    side: str | None = None
    wrong_machine: str | None = None
    keep_anyway: bool = False
    faults: tuple[str, ...] = ()
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
    raw, channel, said = choose_channel(audio, decisions.channel)
    raw, told = near_the_sweep(raw, audio.rate_hz, played)
    notes = [text for text in (said, told) if text]
    rate = played.sweep.rate_hz
    y = resample(raw, rate / audio.rate_hz)
    if audio.rate_hz != rate:
        notes.append(f"recorded at {audio.rate_hz} Hz, resampled to the sweep's {rate} Hz")
    if min(audio.rate_hz, rate) < 2 * 11_314:
        notes.append(f"at {audio.rate_hz} Hz the 8 kHz octave is not carried")
    clock = None
    if played.marker is not None:
        clock = read_markers(y, played, audio.where)
        y = resample(y, 1 / clock.ratio)
        if abs(clock.drift_ppm) >= 2:
            notes.append(
                f"the recorder's clock runs {clock.drift_ppm:+.1f} ppm against the player's: "
                "corrected"
            )
    segment, quiet, at = _cut(y, played, clock, decisions.side, audio.where)
    lags = _lags(segment, played.sweep, audio.where)
    if clock is not None:
        notes += _check_steady(y, played, clock, audio.where)
    heard = dataclasses.replace(
        _heard(raw, audio, segment, quiet, at, lags, clock, played), away_m=decisions.away_m
    )
    response = crop(lags)
    signs = "from a lossy file" if audio.lossy else lossy_signs(heard)
    if signs:
        notes.append(
            f"{signs}: decay times are indicative from 500 Hz to 2 kHz, reflections and clarity "
            "are not given"
        )
        response = ImpulseResponse(samples=response.samples, rate_hz=response.rate_hz, limits=LOSSY)
    check = check_take(heard, tuple(notes))
    if clock is not None and clock.rate_mismatch:
        response, check = _mismatch(response, check, clock, decisions.wrong_machine)
    return response, decided(check, decisions), channel


def decided(check: TakeCheck, decisions: Decisions) -> TakeCheck:
    """The verdict with what the sound card reported and what a person decided."""
    if decisions.faults:
        told = tuple(f"the sound card reported: {fault}" for fault in decisions.faults)
        check = changed(check, keep=False, reasons=(*told, *check.reasons))
    if decisions.keep_anyway and not check.keep:
        told = tuple(f"kept by decision although: {reason}" for reason in check.reasons)
        check = changed(check, keep=True, reasons=(), warnings=(*told, *check.warnings))
    return check


def _lags(y: Array, sweep: Sweep, where: str) -> Lags:
    """The deconvolution; where there is none, whether the other common rate gives one."""
    try:
        return all_lags(y, sweep, where)
    except (NoSweepFound, TooShort):
        plain_db = crest_db(deconvolve(y, sweep)[0])
        for ratio, named in RATE_RATIOS.items():
            if crest_db(deconvolve(resample(y, 1 / ratio), sweep)[0]) < plain_db + 6:
                continue
            raise WrongRate(
                where=where,
                found=f"the sweep runs at {ratio:.4f} of its length: {named}",
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


def _check_steady(y: Array, played: Played, clock: Clock, where: str) -> list[str]:
    """Whether the first sweep lies where both markers say; a note where that cannot be told."""
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
        return ["noise hides whether samples were lost between the markers"]
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
) -> Heard:
    rate, ratio = played.sweep.rate_hz, clock.ratio if clock else 1.0
    start = lags.start - lags.zero
    if clock is None:
        quiet = segment[: max(start - round(0.02 * rate), 0)]
    scale = audio.rate_hz / rate * ratio
    first, last = ((at + start + n) * scale for n in (0, len(played.sweep.samples)))
    return Heard(
        raw=raw[max(int(first), 0) : int(last)],
        raw_rate_hz=audio.rate_hz * ratio,
        y=segment,
        noise_before=quiet,
        lags=lags,
        where=audio.where,
        drift_ppm=clock.drift_ppm if clock else None,
    )


def _mismatch(
    response: ImpulseResponse, check: TakeCheck, clock: Clock, machine: str | None
) -> tuple[ImpulseResponse, TakeCheck]:
    """Two machines at two rates: only a person knows whose was wrong, and all times hang on it."""
    told = f"the markers' spacing is {clock.ratio:.4f} of what was played: {clock.rate_mismatch}"
    if machine is None:
        reason = (
            f"{told}; if the player was wrong, add it with --wrong-machine player, if the "
            "recorder, with --wrong-machine recorder: all times hang on it (8.8 %); else set "
            "both to one rate and record again"
        )
        return response, changed(check, keep=False, reasons=(reason, *check.reasons))
    if machine == "player":
        # The recorder's time is true; a sample of the player's file took ratio times as long.
        nominal = clock.ratio / (1 + clock.drift_ppm / 1e6)
        rate_hz = round(response.rate_hz / nominal)
        response = ImpulseResponse(
            samples=response.samples, rate_hz=rate_hz, limits=response.limits
        )
    return response, changed(
        check, warnings=(f"{told}, by the {machine}'s fault: corrected", *check.warnings)
    )


def changed(check: TakeCheck, **fields: Any) -> TakeCheck:
    return dataclasses.replace(check, **fields)
