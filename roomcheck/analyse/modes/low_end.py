"""Responses made ready for their modes: cut at the onset, low-passed, decimated, with their
noise."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache, partial

import numpy as np
from numpy.typing import NDArray

from roomcheck.analyse.decay.onset import start
from roomcheck.measure import ImpulseResponse

Array = NDArray[np.float64]

STOP_AT = 1.5
"""The low-pass lets all through up to the top and stops 60 dB from 1.5 times as high. [1]"""

LEAST_S, MOST_S = 0.35, 2.5
"""How much of the decay is looked at. [s]"""

MOST_USED_S = 6.0
"""The record from there on is not even looked at for its noise. [s]"""

QUIETEST_DB = -90.0
"""Noise below this, re the strongest sample, is not believed: rounding and the low-pass leave as
much. [dB]"""


@dataclass(frozen=True, slots=True, eq=False)
class LowEnd:
    """Some responses below a frequency."""

    y: Array
    """Each divided by its own noise: white noise in it has a standard deviation of 1, (frames,
    channels) [1]."""
    scale: Array
    """What they were divided by, (channels,) [1]."""
    rate_hz: float
    """Of the frames [Hz]."""
    delay_s: float
    """From the onset to the first frame: what the low-pass needs to let go of the onset [s]."""
    noise_hz: Array
    """Frequencies of `noise`, (lines,) [Hz]."""
    noise: Array
    """Power of the noise per line relative to white noise of the same variance, (lines,) [1]."""
    proved: bool
    """The noise was seen at the end of the records; else it is what the records end with."""
    tail: Array
    """The end of the records, scaled alike, (frames, channels) [1]."""
    tail_s: float
    """When it begins, after the first frame [s]."""
    record: Array
    """All that there is from the first frame on, scaled alike, (frames, channels) [1]."""

    def noise_at(self, frequency_hz: Array) -> Array:
        return np.asarray(np.interp(frequency_hz, self.noise_hz, self.noise))


def low_end(responses: Sequence[ImpulseResponse], top_hz: float) -> LowEnd | None:
    """The responses below `top_hz`; None where they are too short or silent."""
    rate = responses[0].rate_hz
    step = max(int(rate / (2 * STOP_AT * 1.05 * top_hz)), 1)
    kernel = low_pass(rate, top_hz, STOP_AT * top_hz)
    cut = []
    answer = lru_cache(maxsize=1)(partial(_answer, kernel))  # most records are equally long
    for response in responses:
        begun = start(response)
        if not begun.samples.size or response.rate_hz != rate:
            return None
        x = begun.samples[round(begun.lead_s * rate) :]
        # From the full overlap on, nothing of what lies before the onset is touched.
        x = x[: round(MOST_USED_S * rate)]
        cut.append(_filtered(x, len(kernel), answer)[::step])
    frames = min(len(x) for x in cut)
    low_rate = rate / step
    if frames < LEAST_S * low_rate:
        return None
    y = np.stack([x[:frames] for x in cut], axis=1)
    return _against_noise(y, low_rate, (len(kernel) - 1) / 2 / rate)


def low_pass(rate_hz: int, pass_hz: float, stop_hz: float) -> Array:
    """A linear-phase low-pass of odd length, 60 dB down from `stop_hz` on (Kaiser's window).
    (taps,)"""
    width = 2 * math.pi * (stop_hz - pass_hz) / rate_hz
    half = math.ceil((60.0 - 7.95) / (2.285 * width) / 2)
    n = np.arange(-half, half + 1)
    edge = (pass_hz + stop_hz) / rate_hz
    kernel = edge * np.sinc(edge * n) * np.kaiser(2 * half + 1, 5.65)
    return np.asarray(kernel / kernel.sum())


def _answer(kernel: Array, size: int) -> NDArray[np.complex128]:
    from scipy import fft

    return np.asarray(fft.rfft(kernel, size))


def _filtered(x: Array, taps: int, answer: Callable[[int], NDArray[np.complex128]]) -> Array:
    """Where kernel and signal overlap fully."""
    from scipy import fft

    size = fft.next_fast_len(len(x), real=True)
    return np.asarray(fft.irfft(fft.rfft(x, size) * answer(size), size)[taps - 1 : len(x)])


def _against_noise(y: Array, rate_hz: float, delay_s: float) -> LowEnd | None:
    power = _smooth(
        np.mean(y**2 / np.maximum(np.max(y**2, axis=0), 1e-300), axis=1), round(0.06 * rate_hz)
    )
    frames = len(y)
    tail = y[int(0.75 * frames) :]
    floor = float(np.mean(power[int(0.75 * frames) :]))
    over = np.flatnonzero(power > 2 * floor)
    knee = int(over[-1]) + 1 if len(over) else frames
    proved = knee < 0.7 * frames
    sd = np.sqrt(np.mean(tail**2, axis=0))
    least = 10 ** (QUIETEST_DB / 20) * np.abs(y).max(axis=0)
    if not least.all():
        return None
    sd = np.maximum(sd, least)
    used = int(min(max(1.3 * knee, LEAST_S * rate_hz), MOST_S * rate_hz, frames))
    hz, noise = _spectrum(tail / sd, rate_hz)
    return LowEnd(
        y[:used] / sd,
        sd,
        rate_hz,
        delay_s,
        hz,
        noise,
        proved,
        tail / sd,
        int(0.75 * frames) / rate_hz,
        y / sd,
    )


def _spectrum(noise: Array, rate_hz: float) -> tuple[Array, Array]:
    """Power per line over that of unit white noise, mean over channels and some 5 Hz."""
    window = np.hanning(len(noise) + 2)[1:-1, None]
    power = (np.abs(np.fft.rfft(noise * window, axis=0)) ** 2).mean(axis=1) / float(
        np.sum(window**2)
    )
    hz = np.asarray(np.fft.rfftfreq(len(noise), 1 / rate_hz), dtype=np.float64)
    return hz, _smooth(power, max(round(5.0 / hz[1]), 1))


def _smooth(x: Array, width: int) -> Array:
    width = max(min(width, len(x)), 1)
    kernel = np.ones(width)
    return np.asarray(np.convolve(x, kernel, "same") / np.convolve(np.ones(len(x)), kernel, "same"))
