"""A response cut into bands: one forward transform, and a short inverse for each band.

Each inverse covers only the bins of its band, so it comes out as the band's complex envelope at a
low rate. Half its squared magnitude is the band's power without the ripple at twice its frequency.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from roomcheck.standards.iec_61260_1_2014 import (
    band_edges_hz,
    band_gain,
    bandwidth_hz,
    inner_gain,
    leaning_gain,
    support_hz,
)

LEAST_RATE_HZ = 1000.0
"""No band's power has fewer points a second. [Hz]"""


@dataclass(frozen=True, slots=True, eq=False)
class Band:
    """The power of one band over time."""

    band_hz: float
    bandwidth_hz: float
    power: NDArray[np.float64]
    """Mean square over a period, (points,)."""
    dt_s: float
    """Between two points [s]."""
    start: int
    """The point at or after the start of the response."""
    offset_s: float
    """How long after the start that point lies [s]."""
    stop: int
    """One past the last point that the end of the record does not reach."""


def reach_s(band_hz: float, fraction: int) -> float:
    """How far a band's filter reaches to either side before it is 60 dB down. [s]"""
    return 4.0 / bandwidth_hz(band_hz, fraction)


class Spectrum:
    """The transform of a response that starts `lead_s` after its first sample.

    Parameters
    ----------
    samples : (frames,)
    rate_hz : int
    lead_s : float
        [s]
    pad_s : float
        Silence added, so that what a filter smears before the start does not meet the end. [s]
    """

    def __init__(
        self, samples: NDArray[np.float64], rate_hz: int, lead_s: float, pad_s: float
    ) -> None:
        from scipy import fft

        self.frames, self.rate_hz, self.lead_s, self.pad_s = len(samples), rate_hz, lead_s, pad_s
        self.length = fft.next_fast_len(self.frames + int(pad_s * rate_hz), real=True)
        self.bins = fft.rfft(samples, self.length)

    def band(self, band_hz: float, fraction: int, lean_per_s: float = 0.0) -> Band:
        """The band's power over time, by a filter that leans so much. [1/s]"""
        if lean_per_s:
            leaning = _leaning(band_hz, fraction, self.rate_hz, self.length, lean_per_s)
            return self._filtered(band_hz, fraction, *leaning)
        return self._filtered(
            band_hz, fraction, *_gain(band_hz, fraction, self.rate_hz, self.length)
        )

    def inside(self, band_hz: float, fraction: int) -> Band:
        """The power over time of what lies inside the band's edges alone."""
        low, high = band_edges_hz(band_hz, fraction)
        step = self.rate_hz / self.length
        first, last = int(np.ceil(low / step)), min(int(high / step), self.length // 2)
        at_hz = np.arange(first, last + 1, dtype=np.float64) * step
        gain = inner_gain(at_hz, band_hz, fraction)
        return self._filtered(band_hz, fraction, first, gain)

    def _filtered(
        self,
        band_hz: float,
        fraction: int,
        first: int,
        gain: NDArray[np.complex128] | NDArray[np.float64],
    ) -> Band:
        from scipy import fft

        width = len(gain)
        least = int(LEAST_RATE_HZ * self.length / self.rate_hz)
        points = fft.next_fast_len(max(2 * width, least))
        envelope = fft.ifft(self.bins[first : first + width] * gain, points, overwrite_x=True)
        power = 2 * (points / self.length) ** 2 * (envelope.real**2 + envelope.imag**2)
        dt = self.length / self.rate_hz / points
        # What the filter puts before the first sample has wrapped to the end.
        before = int(0.5 * self.pad_s / dt)
        power = np.concatenate((power[points - before :], power[: points - before]))
        lead = self.lead_s / dt
        begin = int(np.ceil(lead))
        stop = before + int((self.frames / self.rate_hz - 0.25 * reach_s(band_hz, fraction)) / dt)
        return Band(
            band_hz,
            bandwidth_hz(band_hz, fraction),
            power,
            dt,
            before + begin,
            (begin - lead) * dt,
            min(stop, points),
        )

    def energy(self, band_hz: float, fraction: int, other: Spectrum | None = None) -> float:
        """Integral of the band's square, or of its product with another response's band, over all
        time."""
        first, gain = _gain(band_hz, fraction, self.rate_hz, self.length)
        mine = self.bins[first : first + len(gain)] * gain
        theirs = mine if other is None else other.bins[first : first + len(gain)] * gain
        return float(2 / self.length / self.rate_hz * np.vdot(mine, theirs).real)


def _leaning(
    band_hz: float, fraction: int, rate_hz: int, length: int, lean_per_s: float
) -> tuple[int, NDArray[np.complex128]]:
    low, high = band_edges_hz(band_hz, fraction)
    step, beyond = rate_hz / length, 0.8 * (high - low)
    first, last = max(int((low - beyond) / step), 0), min(int((high + beyond) / step), length // 2)
    return first, leaning_gain(
        np.arange(first, last + 1, dtype=np.float64) * step, band_hz, fraction, lean_per_s
    )


@lru_cache(maxsize=256)
def _gain(
    band_hz: float, fraction: int, rate_hz: int, length: int
) -> tuple[int, NDArray[np.float64]]:
    low, high = support_hz(band_hz, fraction)
    step = rate_hz / length
    first, last = int(np.ceil(low / step)), min(int(high / step), length // 2)
    gain = band_gain(np.arange(first, last + 1) * step, band_hz, fraction)
    gain.flags.writeable = False
    return first, gain
