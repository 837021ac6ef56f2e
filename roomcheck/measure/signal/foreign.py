"""Somebody else's sweep: its band and speed, read off its samples."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray


class NotASweep(ValueError):
    """Samples that hold no exponential sweep; `why` goes into an error for a person."""

    def __init__(self, why: str) -> None:
        self.why = why
        super().__init__(f"samples: {why}")


def read_sweep(
    x: NDArray[np.float64], rate_hz: int
) -> tuple[float, float, float, NDArray[np.float64]]:
    """Lowest and highest frequency, duration, and the samples without the silence around them. [Hz,
    Hz, s]

    Raises
    ------
    NotASweep
        No steadily rising tone.
    """
    loud = np.flatnonzero(np.abs(x) > 1e-3 * np.abs(x).max()) if x.any() else np.zeros(0, dtype=int)
    if len(loud) < rate_hz / 10 or not np.isfinite(x).all():
        raise NotASweep("no exponential sweep of a tenth of a second or more in them")
    first = int(loud[0])
    trimmed = x[first : int(loud[-1]) + 1].copy()
    times, pitch = _track(trimmed, rate_hz)
    slope, start = np.polyfit(times, np.log(pitch), 1)
    off = np.abs(np.log(pitch) - (start + slope * times))
    if slope <= 0 or np.median(off) > 0.05:
        raise NotASweep("not a tone that rises by equal intervals in equal times")
    seconds = len(trimmed) / rate_hz
    high = min(float(np.exp(start + slope * seconds)), rate_hz / 2)
    return float(np.exp(start)), high, float(np.log(high) - start) / slope, trimmed


def _track(x: NDArray[np.float64], rate_hz: int) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Zero crossings counted over stretches of the middle four fifths: their times and the
    frequency there. [s, Hz]"""
    up = np.flatnonzero((x[:-1] < 0) & (x[1:] >= 0))
    at = (up + x[up] / (x[up] - x[up + 1])) / rate_hz
    seconds = len(x) / rate_hz
    grid = np.linspace(0.1, 0.9, 41) * seconds
    cycles = np.interp(grid, at, np.arange(len(at), dtype=float))
    step = np.diff(grid)
    return (grid[1:] + grid[:-1]) / 2, np.maximum(np.diff(cycles), 1e-9) / step
