"""What a lossy codec leaves behind in a file that no longer says so."""

from __future__ import annotations

import numpy as np

from roomcheck.facts import Fact, fact
from roomcheck.measure.checks.take_record import Array, TakeRecord
from roomcheck.measure.kinds import Take

HOLE_DB, MANY_HOLES = -20.0, 0.04
"""A bin so far under its own mean is a hole: 1 % of steady noise, 6 to 30 % of what a codec lets
through at 128 kbit/s; measured on noise through an open MP3 encoder. [dB], [1]"""

CLIFF_DB = 25.0
"""Fall of the sweep's level within a twelfth of an octave; loudspeakers fall by 2 to 6 dB there.
[dB]"""

FRAME = 1024


def lossy_signs(heard: TakeRecord) -> Fact[Take] | None:
    """The evidence of a lossy codec; None without."""
    sweep = heard.lags.sweep
    low, middle, high = (
        _holes(heard.noise_before, sweep.rate_hz, *b)
        for b in ((2e3, 6e3), (6e3, 12e3), (12e3, 15.5e3))
    )
    holes = max(middle, high)
    at_hz, fall_db = _cliff(heard)
    steep = fall_db > CLIFF_DB
    signs = fact(
        Take.LOSSY_SIGNS,
        holes=holes if holes > MANY_HOLES + 2 * low else None,
        fall_db=fall_db if steep else None,
        at_hz=at_hz if steep else None,
    )
    return signs if signs.values else None


def _holes(y: Array, rate_hz: int, low_hz: float, high_hz: float) -> float:
    """Share of bins far under their own mean over time."""
    if len(y) < 8 * FRAME:
        return 0.0
    frames = np.lib.stride_tricks.sliding_window_view(y[-10 * rate_hz :], FRAME)[:: FRAME // 2]
    power = np.abs(np.fft.rfft(frames[frames.any(axis=1)] * np.hanning(FRAME), axis=1)) ** 2
    hz = np.fft.rfftfreq(FRAME, 1 / rate_hz)
    part = power[:, (hz > low_hz) & (hz < high_hz)]
    if part.shape[0] < 8 or part.shape[1] == 0:
        return 0.0
    return float(np.mean(part < 10 ** (HOLE_DB / 10) * part.mean(axis=0)))


def _cliff(heard: TakeRecord) -> tuple[float, float]:
    """Where above 7 kHz the sweep's level falls most steeply, and by how much. [Hz, dB]"""
    sweep, rate = heard.lags.sweep, heard.raw_rate_hz
    top = 0.93 * min(sweep.high_hz, rate / 2)
    power = np.abs(np.fft.rfft(heard.raw)) ** 2
    edges = 7000 * 2 ** (np.arange(60) / 24)
    edges = edges[edges < top]
    if len(edges) < 5:
        return 0.0, 0.0
    bins = np.searchsorted(np.fft.rfftfreq(len(heard.raw), 1 / rate), edges)
    sums = np.add.reduceat(power, bins)[:-1] / np.maximum(np.diff(bins), 1)
    level = 10 * np.log10(sums + 1e-30)
    falls = level[:-2] - level[2:]
    at = int(np.argmax(falls))
    return float(edges[at + 1]), float(falls[at])
