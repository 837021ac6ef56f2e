"""Balloons, claps and shots: found in a recording, cut apart, and limited to what they can
carry."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from roomcheck.facts import Fact, fact
from roomcheck.measure.faults import ChooseChannel, NoSweepFound, RecordingError
from roomcheck.measure.files.audio import Audio
from roomcheck.measure.kinds import Record, Take
from roomcheck.measure.signal.envelopes import Array
from roomcheck.measure.signal.signals import IMPULSE, LOSSY, ImpulseResponse, Limits, TakeCheck

STEP_S = 0.005
RISE_DB = 25.0
"""An impulse stands so far over the half second before it. [dB]"""

WEAKER_DB = 25.0
"""Weaker than the strongest by more, it is no impulse but its echo or a footstep. [dB]"""

APART_S = 0.4
LEAD_S = 0.05
NEAR_FULL_DB = -3.0
"""Common practice: a peak within 3 dB of full scale is not trusted. [dB re full scale]"""

LONGEST_S, LEAST_LONG_S = 30.0, 8.0
"""After an impulse so much is kept; less where there are many. No room sounds longer. [s]"""

MOST_SAMPLES = 1 << 24
"""Of all impulses of a recording, 128 MiB."""

LEAST_S = 0.3
LEAST_FLAT = 4
"""So many samples at the top are a clipped one. [1]"""
ALIKE_DB = 12.0

LEAST_MANY = 3
"""Common practice: three bursts a position, those within 3 dB of full scale rejected, the spread
given. [1]"""


@dataclass(frozen=True, slots=True, eq=False)
class Impulse:
    """One balloon, clap or shot of a recording."""

    at_s: float
    """Where it lies in the file [s]."""
    peak_dbfs: float
    """Highest sample [dB re full scale]."""
    response: ImpulseResponse
    """From shortly before it to shortly before the next; its `limits` say what it can carry."""
    overloaded: bool
    """Whether its top is cut off, or too near full scale to be trusted."""


def find_impulses(audio: Audio, channel: int) -> tuple[Impulse, ...]:
    """Every impulse of a recording, in order.

    Parameters
    ----------
    audio : Audio
    channel : int
        From 1.

    Raises
    ------
    NoSweepFound
        Nothing in it rises like a balloon, a clap or a shot.
    RecordingError
        More than can be kept in memory at once.
    """
    starts = _starts(audio, channel)
    if not starts:
        raise NoSweepFound(
            where=audio.where,
            found="nothing in it rises like a balloon, a clap or a shot",
            needed=f"an impulse {RISE_DB:.0f} dB over what is there before it",
            todo="Record in silence, half a second before the first one, and let each die away.",
        )
    ends = _ends(audio, starts)
    return tuple(
        _cut(audio, channel, start, end, number, len(starts))
        for number, (start, end) in enumerate(zip(starts, ends, strict=True), 1)
    )


def several(audio: Audio, channel: int) -> tuple[Impulse, ...]:
    """The impulses of a file that holds two or more, nearly as loud as one another; else none."""
    if len(_starts(audio, channel)) < 2:
        return ()
    found = find_impulses(audio, channel)
    loudest = max(one.peak_dbfs for one in found)
    return found if sum(one.peak_dbfs > loudest - ALIKE_DB for one in found) >= 2 else ()


def numbered(impulses: tuple[Impulse, ...], number: int, where: str) -> Impulse:
    """The one that is meant.

    Raises
    ------
    ChooseChannel
        There are not so many.
    """
    if not 1 <= number <= len(impulses):
        raise ChooseChannel(
            where=where,
            found=f"impulse {number} of {len(impulses)}",
            needed=f"1 to {len(impulses)}",
            todo="They lie at " + ", ".join(f"{one.at_s:.1f} s" for one in impulses) + ".",
            levels_dbfs=tuple(one.peak_dbfs for one in impulses),
        )
    return impulses[number - 1]


def judge_impulses(
    impulses: tuple[Impulse, ...], lossy: bool
) -> tuple[tuple[ImpulseResponse, ...], TakeCheck]:
    """Those that can be used, and the verdict of the take: overloaded ones are left out while there
    are others."""
    good = tuple(one for one in impulses if not one.overloaded)
    bad_s = tuple(one.at_s for one in impulses if one.overloaded)
    peak_dbfs = max(one.peak_dbfs for one in impulses)
    low_hz = max(one.response.limits.low_hz for one in impulses if one.response.limits)
    notes = [fact(Take.IMPULSES, count=len(impulses), peak_dbfs=peak_dbfs, from_hz=low_hz)]
    reasons: tuple[Fact[Take], ...] = ()
    if good:
        notes += [fact(Take.ONE_OVERLOADED, at_s=at_s) for at_s in bad_s]
    else:
        reasons = (fact(Take.ALL_OVERLOADED, at_s=bad_s),)
    if len(good) < LEAST_MANY:
        notes.append(fact(Take.FEW_IMPULSES, usable=len(good), wanted=LEAST_MANY))
    used = tuple(one.response for one in good or impulses)
    if lossy:
        used = tuple(
            ImpulseResponse(samples=r.samples, rate_hz=r.rate_hz, limits=LOSSY) for r in used
        )
        notes.append(fact(Take.LOSSY_IMPULSES, low_hz=LOSSY.low_hz, high_hz=LOSSY.high_hz))
    check = TakeCheck(
        keep=bool(good),
        reasons=reasons,
        warnings=tuple(notes),
        peak_dbfs=peak_dbfs,
        noise_dbfs=None,
    )
    return used, check


def best_of(impulses: tuple[Impulse, ...]) -> Impulse:
    """The loudest that is not overloaded, or the loudest."""
    return max(impulses, key=lambda one: (not one.overloaded, one.peak_dbfs))


def _ends(audio: Audio, starts: list[int]) -> list[int]:
    """Where each impulse's part ends: before the next, at the end, or when nothing sounds on."""
    before_next = [start - int(LEAD_S * audio.rate_hz) for start in starts[1:]] + [audio.frames]
    lengths = [end - start for start, end in zip(starts, before_next, strict=True)]
    for longest_s in (LONGEST_S, LEAST_LONG_S):
        longest = int(longest_s * audio.rate_hz)
        if sum(min(length, longest) for length in lengths) <= MOST_SAMPLES:
            return [
                start + min(length, longest) for start, length in zip(starts, lengths, strict=True)
            ]
    raise RecordingError(
        where=audio.where,
        found=f"{len(starts)} impulses in one recording of {audio.seconds / 60:.0f} min",
        needed="a few of one position",
        todo="Cut each position's out of a copy and add them one by one.",
    )


def _steps(audio: Audio, channel: int, width: int) -> Array:
    """Highest sample of every `width` samples, without what is left at the end: (steps,)."""
    tops, rest = [np.zeros(0)], np.zeros(0)
    for part in audio.parts(channel):
        x = np.concatenate([rest, part])
        whole = len(x) // width * width
        tops.append(np.abs(x[:whole].reshape(-1, width)).max(axis=1))
        rest = x[whole:]
    return np.concatenate(tops)


def _starts(audio: Audio, channel: int) -> list[int]:
    rate_hz = audio.rate_hz
    width = int(STEP_S * rate_hz)
    steps = _steps(audio, channel, width)
    if not steps.size or not steps.max() > 0:
        return []
    back = round(0.5 / STEP_S)
    floor = 10 ** (-RISE_DB / 20)
    least = steps.max() * 10 ** (-WEAKER_DB / 20)
    found: list[int] = []
    for i in np.flatnonzero(steps >= least):
        before = steps[max(i - back, 0) : i]
        quiet = float(np.median(before if len(before) >= 4 else steps[-len(steps) // 3 :]))
        just = float(before[-4:].max(initial=0.0))
        after = found and (i * width - found[-1]) / rate_hz < APART_S
        if (
            not after
            and quiet <= floor * steps[i : i + 4].max()
            and just < 0.2 * steps[i : i + 4].max()
        ):
            found.append(int(i * width))
    return found


def _cut(audio: Audio, channel: int, start: int, end: int, number: int, count: int) -> Impulse:
    rate_hz = audio.rate_hz
    part = audio.mono(channel, start - int(LEAD_S * rate_hz), end)
    peak = float(np.abs(part).max())
    peak_dbfs = 20 * np.log10(peak)
    flat = int(np.sum(np.abs(part) >= 0.9999 * peak))
    overloaded = bool(peak_dbfs > NEAR_FULL_DB or flat >= LEAST_FLAT)
    at_s = start / rate_hz
    notes: list[Fact[Record]] = []
    if count > 1:
        notes.append(fact(Record.NUMBER, number=number, count=count, at_s=at_s))
    if flat >= LEAST_FLAT:
        notes.append(fact(Record.FLAT_TOP, samples=flat))
    elif overloaded:
        notes.append(fact(Record.NEAR_FULL_SCALE, peak_dbfs=float(peak_dbfs)))
    lasts_s = (end - start) / rate_hz
    if lasts_s < LEAST_S:
        notes.append(fact(Record.CUT_SHORT, after_s=lasts_s))
    limits = _with_low_end(part, rate_hz, replace(IMPULSE, notes=tuple(notes)))
    return Impulse(
        at_s,
        float(peak_dbfs),
        ImpulseResponse(samples=part, rate_hz=rate_hz, limits=limits),
        overloaded,
    )


def _with_low_end(part: Array, rate_hz: int, limits: Limits) -> Limits:
    """Raises the lowest octave to where the impulse has energy: its first 0.1 s 20 dB over the
    silence around it."""
    from roomcheck.standards.iec_61260_1_2014 import band_edges_hz

    lead, first = int(0.8 * LEAD_S * rate_hz), int(LEAD_S * rate_hz)
    quiet, loud = part[:lead], part[first - int(0.005 * rate_hz) : first + int(0.1 * rate_hz)]
    rest = part[-max(lead, len(part) // 10) :]
    low_hz = limits.low_hz
    for band_hz in (125.0, 250.0, 500.0):
        low, high = band_edges_hz(band_hz)
        signal = _power(loud, rate_hz, low, high)
        noise = max(min(_power(y, rate_hz, low, high) for y in (quiet, rest) if len(y)), 1e-30)
        if signal >= 100 * noise:
            break
        low_hz = 2 * band_hz
    if low_hz == limits.low_hz:
        return limits
    lacking = fact(Record.NO_LOWS, band_hz=low_hz)
    return replace(limits, low_hz=low_hz, notes=(*limits.notes, lacking))


def _power(y: Array, rate_hz: int, low_hz: float, high_hz: float) -> float:
    spectrum = np.abs(np.fft.rfft(y)) ** 2
    hz = np.fft.rfftfreq(len(y), 1 / rate_hz)
    return float(spectrum[(hz >= low_hz) & (hz < high_hz)].sum()) / len(y) ** 2
