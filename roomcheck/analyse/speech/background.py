"""Background noise: octave levels, A-weighted level, NC and NR, absolute where full scale is
known."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from roomcheck.analyse.speech.results import NoiseLevel, NoiseWarning
from roomcheck.facts import Fact, fact
from roomcheck.measure import NO_FULL_SCALE, NoiseTake
from roomcheck.standards.curves import nc_1957, nr_as_1469_1983
from roomcheck.standards.iec_61260_1_2014 import band_gain, exact_hz
from roomcheck.standards.iec_61672_1_2013 import a_weighting_db
from roomcheck.units import OCTAVES_HZ

UNSTEADY_DB = 5.0
"""Seconds whose A-weighted level exceeds the quietest tenth by more hold a car, a voice or a door.
Common practice. [dB]"""

Array = NDArray[np.float64]


def noise_level(take: NoiseTake) -> NoiseLevel:
    """The levels of one recording of the background noise, energy-averaged over all of it.

    Parameters
    ----------
    take : NoiseTake

    Returns
    -------
    NoiseLevel
        In dB re 20 uPa where full scale is known; else in dB re full scale, without ratings.
    """
    hz = np.asarray(np.fft.rfftfreq(take.rate_hz, 1 / take.rate_hz), dtype=np.float64)
    gain = np.ones_like(hz)
    if take.correction is not None:
        gain = 10 ** (-take.correction.gain_db_at(hz) / 10)
    offset = 0.0 if take.full_scale is None else take.full_scale.level_db
    known = [b for b in OCTAVES_HZ if exact_hz(b) * 2**0.5 <= take.rate_hz / 2]
    audible = hz >= 20
    weight = np.zeros_like(hz)
    weight[audible] = 10 ** (a_weighting_db(hz[audible]) / 10)
    mean, weighted = _energies(take, gain, weight)
    octaves = tuple((b, _db(float(np.sum(mean * band_gain(hz, b) ** 2))) + offset) for b in known)
    seconds = np.array([_db(p) for p in weighted]) + offset
    a_db = _db(float(mean @ weight)) + offset
    warnings = (*_unsteady(seconds), *_missing(take, known), *_by_recorder(take))
    levels = dict(octaves)
    absolute = take.full_scale is not None
    return NoiseLevel(
        take=take.take,
        conditions=take.conditions,
        seconds=take.audio.seconds,
        absolute=absolute,
        reference=NO_FULL_SCALE if take.full_scale is None else take.full_scale.source,
        octaves_db=octaves,
        a_weighted_db=a_db,
        nc=nc_1957.nc(levels) if absolute else None,
        nr=nr_as_1469_1983.nr(levels) if absolute else None,
        warnings=warnings,
    )


def _energies(take: NoiseTake, gain: Array, weight: Array) -> tuple[Array, list[float]]:
    """Mean square per frequency line over all seconds, half overlapping: (lines,); and the weighted
    mean square of every one of them."""
    size = take.rate_hz
    window = np.hanning(size)
    scale = 2 / size / np.sum(window**2)
    total, weighted = np.zeros_like(gain), list[float]()
    rest = np.zeros(0)
    for part in take.audio.parts(take.channel):
        x = np.concatenate([rest, part])
        starts = range(0, len(x) - size + 1, size // 2)
        for a in starts:
            power = np.abs(np.fft.rfft(x[a : a + size] * window)) ** 2 * scale * gain
            total += power
            weighted.append(float(power @ weight))
        rest = x[len(starts) * (size // 2) :]
    return total / max(len(weighted), 1), weighted


def _unsteady(seconds_db: Array) -> tuple[Fact[NoiseWarning], ...]:
    over_db = float(seconds_db.max() - np.percentile(seconds_db, 10))
    return (fact(NoiseWarning.UNSTEADY, over_db=over_db),) if over_db > UNSTEADY_DB else ()


def _missing(take: NoiseTake, known: list[float]) -> tuple[Fact[NoiseWarning], ...]:
    lost = tuple(band_hz for band_hz in OCTAVES_HZ if band_hz not in known)
    return (fact(NoiseWarning.NO_OCTAVES, rate_hz=take.rate_hz, bands_hz=lost),) if lost else ()


def _by_recorder(take: NoiseTake) -> tuple[Fact[NoiseWarning], ...]:
    return () if take.full_scale is None else (fact(NoiseWarning.OWN_NOISE),)


def _db(power: float) -> float:
    return float(10 * np.log10(max(power, 1e-30)))
