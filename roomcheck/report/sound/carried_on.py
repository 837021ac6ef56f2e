"""A measured response without its noise, and the same as the plan says it will die away.

Each octave is carried on by its own decay from where the noise begins, so no noise is heard as a
tail; the tail is noise of a fixed seed under that decay.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from math import log

import numpy as np
from numpy.typing import NDArray

from roomcheck.analyse import Analysis, LateDecay, late_decays, quiet_t20_s
from roomcheck.measure import ImpulseResponse
from roomcheck.predict import Prediction
from roomcheck.units import OCTAVES_HZ

LEAD_S = 0.005
"""Kept ahead of the direct sound. [s]"""

FALLEN_DB, LONGEST_S = 75.0, 8.0
"""A response is kept until its slowest octave has fallen so far, at most so long. [dB], [s]"""

LEAST_T60_S = 0.03
"""Shorter is no room: it is the fall after a direct sound that the room answers late. [s]"""

FADE_S = 0.02
"""From the record to what carries it on. [s]"""

CROSSING = 1 / 3
"""Width of the crossing between two octaves. [octave]"""

SUB_HZ = (22.4, 44.7)
"""Below the 63 Hz octave nothing is kept; the crossing. [Hz]"""

NEPERS = 3 * log(10)

STEPS, DAMPED, NEAR_ENOUGH = 12, 0.5, 0.005
"""How often a simulated decay is read and put right, by what share of what lacks (a bent decay
answers by more than its rate), and when it is right. [1]"""

FURTHEST = 0.5
"""A rate is put right by at most this share of the one wanted: what a neighbour outlasts reads ever
longer the faster it dies away itself. [1]"""

_SEED = 17

Sound = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Carried:
    """A response in octaves, each carried on by its own decay."""

    parts: Mapping[float, Sound]
    """By octave [Hz], (frames,) each; the direct sound lies at `LEAD_S`."""
    t60_s: Mapping[float, float]
    """By octave [Hz]: the reverberation time heard: T20 as read off this response, which holds no
    noise, else that of the line it is carried on by [s]."""
    rate_hz: int

    @property
    def sound(self) -> Sound:
        """All octaves together, (frames,)."""
        return np.asarray(np.sum(list(self.parts.values()), axis=0))

    def only(self, octaves_hz: set[float]) -> Carried:
        """The same without the other octaves."""
        parts = {hz: part for hz, part in self.parts.items() if hz in octaves_hz}
        return replace(self, parts=parts)


def carried_on(response: ImpulseResponse) -> Carried:
    """A response without its noise.

    Octaves that show no decay of a room over their noise are left out.
    """
    onset_s, found = late_decays(response)
    lates = [late for late in found if late.t60_s >= LEAST_T60_S]
    rate_hz = response.rate_hz
    slowest_s = max((late.t60_s for late in lates), default=0.0)
    frames = round(min(FALLEN_DB / 60 * slowest_s + LEAD_S, LONGEST_S) * rate_hz)
    if not lates:
        return Carried(parts={}, t60_s={}, rate_hz=rate_hz)
    begin = round((onset_s - LEAD_S) * rate_hz)
    x = response.samples[max(begin, 0) :]
    x = np.concatenate([np.zeros(max(-begin, 0)), x, np.zeros(frames)])
    parts = octave_parts(_over_sub(x, rate_hz), rate_hz, frames)
    noise = octave_parts(np.random.default_rng(_SEED).standard_normal(frames), rate_hz)
    carried = Carried(
        parts={
            late.band_hz: _joined(parts[late.band_hz], noise[late.band_hz], late, rate_hz)
            for late in lates
        },
        t60_s={late.band_hz: late.t60_s for late in lates},
        rate_hz=rate_hz,
    )
    return read(carried)


def read(carried: Carried) -> Carried:
    """The same with the decays that are read off it, where they can be."""
    return replace(carried, t60_s={**carried.t60_s, **_read(carried)})


def _joined(part: Sound, noise: Sound, late: LateDecay, rate_hz: int) -> Sound:
    """An octave, and noise along its line from where the line takes over, (frames,)."""
    t = np.arange(len(noise)) / rate_hz - LEAD_S - late.from_s
    until = int(np.searchsorted(t, 0.0))
    along = noise * np.exp(-NEPERS / late.t60_s * np.maximum(t, -FADE_S))
    wanted = late.share * float(np.sum(part[:until] ** 2))
    is_now = float(np.sum(along[until:] ** 2))
    if is_now <= 0:
        return part
    turn = np.pi / 2 * np.clip(1 + t / FADE_S, 0.0, 1.0)
    gain = np.sqrt(wanted / is_now)
    return np.asarray(part * np.cos(turn) + gain * along * np.sin(turn))


def _read(carried: Carried) -> dict[float, float]:
    """T20 by octave of the response as a whole, as a meter would read it. [s]"""
    response = ImpulseResponse(samples=carried.sound, rate_hz=carried.rate_hz)
    found = quiet_t20_s(response)
    return {hz: t20_s for hz, t20_s in found.items() if hz in carried.parts}


@dataclass(frozen=True, slots=True, kw_only=True)
class Aim:
    """What an octave is made to die away in."""

    t60_s: float
    """[s]"""
    like_hz: float | None = None
    """The octave whose predicted change it follows; None where it is predicted itself [Hz]."""


def aims(
    carried: Carried,
    analysis: Analysis | None,
    prediction: Prediction | None,
    added_m2: Mapping[float, float],
) -> dict[float, Aim]:
    """What each octave is to die away in; empty where no change is predicted.

    An octave without a prediction follows the nearest one that has one, in the measure in which the
    pieces absorb there: decay rates grow in proportion to the absorption added, after Sabine. Where
    that is not known it changes by the same factor.

    Parameters
    ----------
    carried : Carried
    analysis : Analysis or None
    prediction : Prediction or None
    added_m2 : mapping
        What the plan's pieces take, by octave [Hz] [m2].
    """
    if analysis is None or prediction is None:
        return {}
    likely_s = {b.band_hz: b.likely_s for b in prediction.after if b.likely_s}
    was_s = {band.band_hz: band.t20_s for band in analysis.octaves if band.t20_s}
    known = likely_s.keys() & was_s.keys()
    if not known:
        return {}
    found = {hz: Aim(t60_s=likely_s[hz]) for hz in carried.parts if hz in likely_s}
    for hz in carried.parts.keys() - found.keys():
        like_hz = min(known, key=lambda other_hz: abs(log(other_hz / hz)))
        share = _share(added_m2, hz, like_hz)
        was, then = was_s[like_hz], likely_s[like_hz]
        t60_s = carried.t60_s[hz]
        if share is None:
            t60_s *= then / was
        else:
            t60_s = 1 / (1 / t60_s + share * (1 / then - 1 / was))
        found[hz] = Aim(t60_s=t60_s, like_hz=like_hz)
    return found


def _share(added_m2: Mapping[float, float], hz: float, like_hz: float) -> float | None:
    """What pieces take in one octave over what they take in another; None where that is not known.

    Where they take less than the surface behind them the octave is left as it is.
    """
    there = added_m2.get(like_hz, 0.0)
    return max(added_m2.get(hz, 0.0), 0.0) / there if there > 0 else None


def as_predicted(carried: Carried, wanted: Mapping[float, Aim]) -> Carried:
    """A response with each octave dying away as wanted.

    `wanted` has the octaves of the response, all of them. Each is multiplied by an exponential from
    the direct sound on; its rate is put right until the decay read off the whole is the one wanted,
    or as near as it can be brought.
    """
    is_s = {**carried.t60_s, **_read(carried)}
    first = {hz: NEPERS * (1 / aim.t60_s - 1 / is_s[hz]) for hz, aim in wanted.items()}
    tried: dict[float, list[_Try]] = {hz: [] for hz in wanted}
    rates, read_s = dict(first), dict[float, float]()
    for _ in range(STEPS):
        read_s = _read(_steepened(carried, rates))
        for hz, t60_s in read_s.items():
            tried[hz].append(_Try(rate=rates[hz], lack=1 / wanted[hz].t60_s - 1 / t60_s))
        if all(abs(tried[hz][-1].lack) * wanted[hz].t60_s <= NEAR_ENOUGH for hz in read_s):
            break
        for hz in read_s:
            most = FURTHEST * NEPERS / wanted[hz].t60_s
            rates[hz] = float(np.clip(_next(tried[hz]), first[hz] - most, first[hz] + most))
    best = {hz: _best(tries).rate if tries else first[hz] for hz, tries in tried.items()}
    treated = _steepened(carried, best)
    stands_for = {hz: aim.t60_s for hz, aim in wanted.items()}
    if best != rates:
        read_s = _read(treated)
    return replace(treated, t60_s={**carried.t60_s, **stands_for, **read_s})


@dataclass(frozen=True, slots=True)
class _Try:
    """An exponential, and what the decay read then lacks of the one wanted."""

    rate: float
    """[neper/s]"""
    lack: float
    """Of 1/T; positive where the octave must die away faster [1/s]"""


def _best(tries: Sequence[_Try]) -> _Try:
    return min(tries, key=lambda one: abs(one.lack))


def _next(tries: Sequence[_Try]) -> float:
    """Half-way between the nearest two that lie on either side; until there are, further on."""
    best = _best(tries)
    beyond = [one.rate for one in tries if one.lack * best.lack <= 0 and one is not best]
    if not beyond:
        return tries[-1].rate + DAMPED * NEPERS * tries[-1].lack
    return (best.rate + min(beyond, key=lambda rate: abs(rate - best.rate))) / 2


def _steepened(carried: Carried, steeper: Mapping[float, float]) -> Carried:
    """Each octave times an exponential of so many nepers a second."""
    parts = {}
    for hz, part in carried.parts.items():
        t = np.maximum(np.arange(len(part)) / carried.rate_hz - LEAD_S, 0.0)
        parts[hz] = part * np.exp(-steeper.get(hz, 0.0) * t)
    return replace(carried, parts=parts)


def _over_sub(x: Sound, rate_hz: int) -> Sound:
    """A sound without what lies below the lowest octave, (frames,)."""
    from scipy import fft

    n = fft.next_fast_len(2 * len(x), real=True)
    place = np.log2(np.maximum(fft.rfftfreq(n, 1 / rate_hz), 1.0) / SUB_HZ[0])
    rise = np.clip(place / np.log2(SUB_HZ[1] / SUB_HZ[0]), 0.0, 1.0)
    spectrum = fft.rfft(x, n) * np.sin(np.pi / 2 * rise) ** 2
    return np.asarray(fft.irfft(spectrum, n, overwrite_x=True)[: len(x)])


def octave_parts(x: Sound, rate_hz: int, frames: int | None = None) -> dict[float, Sound]:
    """A sound in octave parts that add up to it again, lowest and highest open-ended, (frames,)
    each; the first so many frames, or all.

    Zero-phase, crossing over in a raised cosine about the octaves' edges: for listening, not for
    measuring.
    """
    from scipy import fft

    centres = [band_hz for band_hz in OCTAVES_HZ if band_hz < rate_hz / 2]
    n = fft.next_fast_len(2 * len(x), real=True)
    octaves = np.log2(np.maximum(fft.rfftfreq(n, 1 / rate_hz), 1.0) / centres[0])
    place = np.clip(octaves, 0, len(centres) - 1)
    spectrum = fft.rfft(x, n)
    parts = {}
    for i, hz in enumerate(centres):
        away = np.clip((np.abs(place - i) - 0.5) / CROSSING + 0.5, 0.0, 1.0)
        part = fft.irfft(spectrum * np.cos(np.pi / 2 * away) ** 2, n, overwrite_x=True)
        parts[hz] = part[: len(x) if frames is None else frames].copy()
    return parts
