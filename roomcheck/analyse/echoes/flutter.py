"""Flutter: sound that runs to and fro between two parallel faces and comes by at a steady beat.

The level of the response, less its own smooth decay, is compared with itself one, two, three and
four beats later. In diffuse sound they have nothing to do with each other; where they are alike at
the beat that the distance between two parallel faces gives, it is flutter.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from roomcheck.analyse.decay.onset import start
from roomcheck.analyse.echoes.results import Flutter
from roomcheck.geometry import Face, Point, Room
from roomcheck.measure import ImpulseResponse

Real = NDArray[np.float64]

BAND_HZ = (1000.0, 8000.0)
STEP_S, SMOOTH_S = 0.00025, 0.00075
CLIP_DB = 10.0
"""One loud echo must not count for many: levels further than this from the decay are held to it.
[dB]"""

LATEST_S = 1.0
ABOVE_NOISE_DB = 10.0
LEAST_BEATS = 5
"""What is looked at must hold so many beats: three repeats, and two to begin with (common practice:
three or more)."""

BEATS = 4
"""How many beats later the level is still held against itself."""

CLEAR = 4.5
"""How far the likeness must lie above what chance does, in its standard deviations. [1]"""

POOLED, HEARD = 6.0, 3.0
"""Several takes together say flutter where their sum over the root of their number lies this far
above chance; it is then said to be heard where it lies 3 above. [1]"""

OWN = 2.0
"""How far the likeness after one beat alone must lie above chance. [1]"""

FROM_S = 0.03
"""Earlier sound is first reflections, whose distances repeat by chance. [s]"""

LEAST_REPEATS = 3
"""Repeats from which a beat is a flutter (common practice)."""

FALL_DB = 6.0
"""Repeats that fall faster are no flutter (common practice). [dB]"""

STANDS_DB = 1.0
"""From here above the smooth decay a repeat is counted. [dB]"""

OFF_SHARE = 0.015
"""By how much the beat may miss the one that the distance gives: tape, temperature, walls not quite
parallel. [1]"""

LEAST_APART_M, LEAST_AREA_M2 = 0.9, 0.4


@dataclass(frozen=True, slots=True)
class ParallelFaces:
    """Two parallel faces that look at each other. [m]"""

    first: str
    second: str
    apart_m: float


@dataclass(frozen=True, slots=True)
class Beat:
    """What one response says about one beat: its period [s], how far beyond chance [1], and its
    repeats."""

    period_s: float
    clear: float
    repeats: int
    stands_out_db: float
    fall_db: float


def flutter(
    room: Room, takes: Sequence[tuple[str, str, ImpulseResponse]], speed_m_s: float
) -> tuple[Flutter, ...]:
    """Pairs of faces between which flutter is heard.

    Parameters
    ----------
    room : Room
    takes : sequence of (source, microphone, response)
    speed_m_s : float
        [m/s]

    Returns
    -------
    tuple of Flutter
        The clearest first.
    """
    levels = [(s, m, level) for s, m, ir in takes if (level := level_db(ir)) is not None]
    heard: list[tuple[float, Flutter]] = []
    for group in _groups(facing(room)):
        apart = group[0].apart_m
        found = [
            (s, m, b)
            for s, m, level in levels
            if (b := beat(level, 2 * apart / speed_m_s)) is not None
        ]
        pooled = sum(b.clear for _, _, b in found) / math.sqrt(max(len(levels), 1))
        if not found or (max(b.clear for _, _, b in found) < CLEAR and pooled < POOLED):
            continue
        found.sort(key=lambda row: -row[2].clear)
        best = found[0][2]
        heard.append(
            (
                best.clear,
                Flutter(
                    faces=tuple((f.first, f.second) for f in group),
                    apart_m=best.period_s * speed_m_s / 2,
                    period_s=best.period_s,
                    repeats=best.repeats,
                    stands_out_db=best.stands_out_db,
                    fall_db=best.fall_db,
                    heard_at=tuple((s, m) for s, m, _ in found),
                ),
            )
        )
    heard.sort(key=lambda row: -row[0])
    kept: list[Flutter] = []
    for _, one in heard:
        # Three beats of one pair may be two, or four, of another: the clearer of the two is named.
        if not any(_multiple(one.period_s, other.period_s) for other in kept):
            kept.append(one)
    return tuple(kept)


def facing(room: Room) -> tuple[ParallelFaces, ...]:
    """Parallel faces that look at each other over more than 0.4 m2 and are 0.9 m or more apart."""
    found = []
    for i, a in enumerate(room.faces):
        for b in room.faces[i + 1 :]:
            opposed = sum(x * y for x, y in zip(a.normal, b.normal, strict=True)) < -0.9998
            apart = a.to_face(b.origin)[2]
            if opposed and apart >= LEAST_APART_M and _shared_m2(a, b, room) > LEAST_AREA_M2:
                found.append(ParallelFaces(a.name, b.name, apart))
    return tuple(found)


def _shared_m2(a: Face, b: Face, room: Room) -> float:
    """How much of two parallel faces looks at each other. [m2]"""
    if a.kind != "wall":
        return room.floor_area_m2
    ends = [b.to_room(u, 0.0) for u in (0.0, b.width_m)]
    at = sorted(a.to_face(Point(*end))[0] for end in ends)
    return max(0.0, min(at[1], a.width_m) - max(at[0], 0.0)) * room.height_m


def _groups(pairs: Sequence[ParallelFaces]) -> list[list[ParallelFaces]]:
    """Pairs whose beats cannot be told apart, together."""
    groups: list[list[ParallelFaces]] = []
    for pair in sorted(pairs, key=lambda p: p.apart_m):
        if groups and pair.apart_m < groups[-1][0].apart_m * (1 + 2 * OFF_SHARE):
            groups[-1].append(pair)
        else:
            groups.append([pair])
    return groups


def _multiple(period: float, other: float) -> bool:
    """Whether one, two or three beats of the first are some beats of the other."""
    ratio = period / other
    return any(abs(q * ratio / max(round(q * ratio), 1) - 1) < 2 * OFF_SHARE for q in (1, 2, 3))


def level_db(response: ImpulseResponse) -> Real | None:
    """Level of the response from 1 to 8 kHz every 0.25 ms, from its start to where it sinks into
    its noise: (steps,).

    None where there is no such band or nothing to see. [dB]
    """
    from scipy import fft

    rate = response.rate_hz
    if rate < 2 * BAND_HZ[1]:
        return None
    x = start(response).samples
    x = x[: round(4 * LATEST_S * rate)]
    if len(x) < 0.05 * rate:
        return None
    size = fft.next_fast_len(len(x), real=True)
    f = fft.rfftfreq(size, 1 / rate)
    spectrum = np.where((f >= BAND_HZ[0]) & (f <= BAND_HZ[1]), fft.rfft(x, size), 0)
    # Every frequency alike, so that a loudspeaker's colour does not narrow the band.
    power = fft.irfft(spectrum, size)[: len(x)] ** 2
    sums = np.concatenate([[0.0], np.cumsum(power)])
    at = np.arange(0.0, len(x) / rate - SMOOTH_S, STEP_S) * rate
    mean = (sums[(at + SMOOTH_S * rate).astype(int)] - sums[at.astype(int)]) / (SMOOTH_S * rate)
    level = 10 * np.log10(np.maximum(mean, 1e-30))
    smooth = _smoothed(level, 0.02)
    noise = float(np.mean(smooth[-max(len(smooth) // 10, 1) :]))
    quiet = np.flatnonzero(smooth < noise + ABOVE_NOISE_DB)
    if smooth[0] < noise + 2 * ABOVE_NOISE_DB:
        return None
    until = int(quiet[0]) if len(quiet) else len(level)
    return np.asarray(level[: min(until, round(LATEST_S / STEP_S))], dtype=float)


def beat(level: Real, period_s: float) -> Beat | None:
    """A steady beat near a period in the level of a response; None where there is no trace of one.

    Parameters
    ----------
    level : (steps,)
        From `level_db`. [dB]
    period_s : float
        [s]
    """
    lag = period_s / STEP_S
    off = _detrended(level, period_s)
    if len(off) < LEAST_BEATS * lag:
        return None
    lags = np.arange(lag * (1 - OFF_SHARE), lag * (1 + OFF_SHARE) + 0.125, 0.25)
    times = range(1, BEATS + 1)
    each = np.array([[_alike(off, round(k * at)) for k in times] for at in lags])
    # Three points are one independent sample, and the later beats have fewer of them.
    sigmas = each * np.sqrt(np.maximum(len(off) - np.array(times) * lag, 3) / 3)
    clear = sigmas.sum(axis=1) / math.sqrt(len(times))
    best = int(np.argmax(clear))
    # Two or four beats of one pair may be three of another; one beat is its own.
    if clear[best] < HEARD or sigmas[best][0] < OWN or (sigmas[best] > 1).sum() < len(times) - 1:
        return None
    return _repeats(off, level[-len(off) :], float(lags[best]) * STEP_S, float(clear[best]))


def _detrended(level: Real, period_s: float) -> Real:
    """The level less its own smooth decay, from 30 ms and one and a half beats on."""
    off = np.clip(level - _smoothed(level, max(2 * period_s, 0.02)), -CLIP_DB, CLIP_DB)
    off = off[round(max(1.5 * period_s, FROM_S) / STEP_S) :]
    return np.asarray(off - off.mean() if len(off) else off, dtype=float)


def _smoothed(level: Real, seconds: float) -> Real:
    """Running mean, shorter at the ends. (steps,)"""
    half = max(round(seconds / STEP_S / 2), 1)
    sums = np.concatenate([[0.0], np.cumsum(level)])
    i = np.arange(len(level))
    low, high = np.maximum(i - half, 0), np.minimum(i + half + 1, len(level))
    return np.asarray((sums[high] - sums[low]) / (high - low), dtype=float)


def _alike(off: Real, lag: int) -> float:
    if lag >= len(off) - 8:
        return 0.0
    a, b = off[:-lag], off[lag:]
    size = math.sqrt(float(a @ a) * float(b @ b))
    return float(a @ b) / size if size else 0.0


def _repeats(off: Real, level: Real, period_s: float, clear: float) -> Beat | None:
    """How the beat looks when all its repeats are laid over one another."""
    lag = period_s / STEP_S
    count = int(len(off) / lag)
    rows = np.array(
        [
            [off[min(round(k * lag) + j, len(off) - 1)] for j in range(int(lag))]
            for k in range(count)
        ]
    )
    place = int(np.argmax(rows.mean(axis=0)))
    at = np.clip(np.round(np.arange(count) * lag).astype(int) + place, 0, len(off) - 1)
    near = np.clip(at[:, None] + np.arange(-2, 3), 0, len(off) - 1)
    out = off[near].max(axis=1)
    standing = out > STANDS_DB
    repeats = int(standing.sum())
    slope = float(np.polyfit(np.arange(count), level[near].max(axis=1), 1)[0])
    if repeats < LEAST_REPEATS or -slope > FALL_DB:
        return None
    return Beat(period_s, clear, repeats, float(out[standing].mean()), -slope)
