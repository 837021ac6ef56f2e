"""Octave envelopes of a deconvolution, and octave levels of a record over time: what the checks
look at."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from roomcheck.measure.signal.deconvolution import Lags
from roomcheck.standards.iec_61260_1_2014 import band_gain, exact_hz, support_hz
from roomcheck.units import OCTAVES_HZ

FRAME_S = 0.05

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Envelope:
    """Squared envelope of one octave over all lags."""

    band_hz: float
    """Nominal mid-band frequency [Hz]."""
    middle_hz: float
    """Exact mid-band frequency [Hz]."""
    power: Array
    """Squared magnitude of the analytic signal: (steps,) [1]."""
    step_s: float
    """From one sample of `power` to the next [s]."""
    onset_s: float
    """Where the broadband direct sound lies [s]."""

    def part(self, from_s: float, to_s: float) -> Array:
        """Between two times after the direct sound; at least one step. [s]"""
        first = int(np.clip((self.onset_s + from_s) / self.step_s, 0, len(self.power) - 1))
        last = int(np.clip((self.onset_s + to_s) / self.step_s, first + 1, len(self.power)))
        return self.power[first:last]


def octaves_of(lags: Lags) -> tuple[float, ...]:
    """Octaves that lie wholly within the sweep."""
    low, high = lags.sweep.low_hz, min(lags.sweep.high_hz, lags.sweep.rate_hz / 2)
    return tuple(
        b for b in OCTAVES_HZ if exact_hz(b) / 2**0.5 >= low and exact_hz(b) * 2**0.5 <= high
    )


def envelopes(lags: Lags) -> tuple[Envelope, ...]:
    """One for each octave within the sweep, each at its own coarse rate."""
    from scipy import fft

    rate, n = lags.sweep.rate_hz, len(lags.samples)
    size = fft.next_fast_len(n, real=True)
    spectrum = fft.rfft(lags.samples, size)
    made = []
    for band in octaves_of(lags):
        low, high = support_hz(band)
        first, last = int(low * size / rate), min(int(high * size / rate) + 1, len(spectrum))
        count = fft.next_fast_len(
            2 * (last - first)
        )  # twice as dense as needed, so that no peak falls between
        gain = band_gain(np.arange(first, last) * rate / size, band)
        part = fft.ifft(spectrum[first:last] * gain, count) * (2 * count / size)
        step_s = size / rate / count
        power = (part.real**2 + part.imag**2)[: int(n / rate / step_s)]
        made.append(Envelope(band, exact_hz(band), power, step_s, lags.onset / rate))
    return tuple(made)


def frame_levels(y: Array, rate_hz: int, bands_hz: tuple[float, ...]) -> Array:
    """Mean square per octave in frames of 50 ms: (frames, bands). Frames of exact zeros are NaN."""
    length = round(FRAME_S * rate_hz)
    return _levels(y[: len(y) // length * length].reshape(-1, length), rate_hz, bands_hz)


def overlapping_levels(y: Array, rate_hz: int, bands_hz: tuple[float, ...], hop_s: float) -> Array:
    """The same with a frame every `hop_s`."""
    length, hop = round(FRAME_S * rate_hz), round(hop_s * rate_hz)
    if len(y) < length:
        return np.zeros((0, len(bands_hz)))
    return _levels(np.lib.stride_tricks.sliding_window_view(y, length)[::hop], rate_hz, bands_hz)


def _levels(frames: Array, rate_hz: int, bands_hz: tuple[float, ...]) -> Array:
    length = frames.shape[1]
    if len(frames) == 0:
        return np.zeros((0, len(bands_hz)))
    spectrum = np.abs(np.fft.rfft(frames * np.hanning(length), axis=1)) ** 2
    hz = np.fft.rfftfreq(length, 1 / rate_hz)
    gains = np.stack([band_gain(hz, band) ** 2 for band in bands_hz], axis=1)
    power: Array = spectrum @ gains * (2 / length / np.sum(np.hanning(length) ** 2))
    power[~frames.any(axis=1)] = np.nan
    return power
