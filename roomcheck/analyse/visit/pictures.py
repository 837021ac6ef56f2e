"""What figures draw of a response: the decay curve of a band, and how each low frequency dies
away."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from roomcheck.analyse.band.bands import Spectrum, reach_s
from roomcheck.analyse.band.noise import tail
from roomcheck.analyse.decay.curve import decay_curve
from roomcheck.analyse.decay.onset import start
from roomcheck.measure import ImpulseResponse

MAP_WINDOW_S = 0.1
"""Half cosine over which the decay map's window opens: 10 Hz wide notes at once. [s]"""

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class ShownCurve:
    """A band's decay curve as it is drawn."""

    t_s: Array
    """Times from the start of the response, (points,) [s]."""
    level_db: Array
    """Energy still to come, (points,) [dB]."""
    floor_db: float
    """Where the curve meets the noise or the record's end [dB]."""


def curve_shown(ir: ImpulseResponse, band_hz: float, fraction: int = 1) -> ShownCurve | None:
    """The decay curve of one band; None where no decay stands over the noise."""
    begun = start(ir)
    if not begun.samples.size:
        return None
    band = Spectrum(
        begun.over_peak().samples, ir.rate_hz, begun.lead_s, 2 * reach_s(band_hz, fraction)
    ).band(band_hz, fraction)
    if band.stop <= band.start:
        return None
    energy = np.concatenate(([0.0], np.cumsum(band.power)))
    end = tail(band, energy)
    curve = decay_curve(band, energy, end) if end else None
    if curve is None:
        return None
    step = max(len(curve.t_s) // 300, 1)
    return ShownCurve(curve.t_s[::step], curve.db[::step], curve.floor_db)


def decay_map(ir: ImpulseResponse, hz: Array, t_s: Array) -> Array:
    """Level of each low frequency from a time on: (times, lines). [dB re the loudest]

    Parameters
    ----------
    hz : (lines,)
        [Hz]
    t_s : (times,)
        After the onset; the window opens over 100 ms around each. [s]
    """
    begun = start(ir)
    x = begun.samples[: round((float(t_s[-1]) + 1.5) * ir.rate_hz)]
    step = max(int(ir.rate_hz / (20 * float(hz[-1]))), 1)
    x = x[: len(x) // step * step].reshape(-1, step).mean(axis=1)
    t = np.arange(len(x)) * step / ir.rate_hz - begun.lead_s
    wave = np.exp(-2j * math.pi * np.outer(t, hz))
    rise = np.clip((t[None, :] - np.asarray(t_s)[:, None]) / MAP_WINDOW_S + 0.5, 0, 1)
    power = np.abs((np.sin(rise * math.pi / 2) ** 2 * x) @ wave) ** 2
    return np.asarray(10 * np.log10(np.maximum(power / power.max(), 1e-12)))
