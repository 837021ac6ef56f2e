"""Poles without a search: from the shift invariance of the strongest directions of some records.

The Gram matrix of all windows of a record is kept for each record alone, so that the poles of any
of them together need one sum and two small eigenvalue problems.

References
----------
R. Roy, T. Kailath, "ESPRIT", IEEE Trans. ASSP 37 (1989) 984; from memory.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

ABOVE_NOISE = 1.6
"""A direction counts from so many times the most energy that white noise gives one. [1]"""

FEW_ROWS, MANY_ROWS = 96, 200
"""Frames in a window; the longer one where the shorter has not twice as many as there are
directions. [1]"""


@dataclass(frozen=True, eq=False)
class Subspaces:
    """Strongest directions of any of some records."""

    y: Array
    """(frames, channels) [1]."""
    rate_hz: float
    """[Hz]."""
    noise_sd: float
    """Standard deviation of white noise in one sample of one channel [1]."""
    most: int
    """Poles at most."""

    @cached_property
    def _few(self) -> Array:
        return windowed_products(self.y, min(len(self.y) // 2, FEW_ROWS))

    @cached_property
    def _many(self) -> Array:
        return windowed_products(self.y, min(len(self.y) // 2, MANY_ROWS))

    def poles(self, channels: Sequence[int] | None = None) -> tuple[Array, Array]:
        """Angular frequencies and dampings from some of the records, or all. (poles,) [rad/s],
        (poles,) [1/s]"""
        used = list(range(self.y.shape[1]) if channels is None else channels)
        directions = self._directions(self._few[used].sum(axis=0), len(used))
        if directions.shape[1] > len(directions) // 2:
            directions = self._directions(self._many[used].sum(axis=0), len(used))
        if not directions.size:
            return np.zeros(0), np.zeros(0)
        z = np.linalg.eigvals(_shift(directions))
        z = z[z.imag > 0]
        omega, delta = np.angle(z) * self.rate_hz, -np.log(np.abs(z)) * self.rate_hz
        seconds = len(self.y) / self.rate_hz
        usable = (delta > -2 / seconds) & (delta < 0.25 * self.rate_hz)
        return omega[usable], np.maximum(delta[usable], 0.3 / seconds)

    def _directions(self, products: Array, channels: int) -> Array:
        rows = len(products)
        values, vectors = np.linalg.eigh(products)
        values, vectors = values[::-1], vectors[:, ::-1]
        columns = (len(self.y) - rows + 1) * channels
        edge = ABOVE_NOISE * self.noise_sd**2 * (math.sqrt(columns) + math.sqrt(rows)) ** 2
        order = min(int(np.sum(values > max(edge, 1e-13 * values[0]))), 2 * self.most, rows - 2)
        return np.asarray(vectors[:, : order + order % 2])


def _shift(directions: Array) -> Array:
    """What takes the directions without their last row to those without their first.

    The Gram matrix of the first rows is I - l l', with l the last row: its inverse needs no
    factorisation.
    """
    last = directions[-1]
    product = directions[:-1].T @ directions[1:]
    product += np.outer(last, last @ product) / max(1 - float(last @ last), 1e-12)
    return np.asarray(product)


def windowed_products(y: Array, rows: int) -> Array:
    """Products of all windows of `rows` frames, summed over where they begin: the Gram matrix of
    each record's Hankel matrix. (channels, rows, rows)

    The next entry on a diagonal is the last one, less the product that leaves the window's course
    and more the one that enters it.
    """
    channels, columns = y.shape[1], len(y) - rows + 1
    windows = np.lib.stride_tricks.sliding_window_view(y, columns, axis=0)
    leaves = y[:rows].T
    enters = np.concatenate([y[columns:], np.zeros((1, channels))]).T
    steps = np.zeros((channels, rows + 1, rows))
    steps[:, :rows] = enters[:, :, None] * enters[:, None] - leaves[:, :, None] * leaves[:, None]
    by_lag = np.empty((channels, rows, rows))
    by_lag[:, 0] = np.stack([windows[:, c] @ y[:columns, c] for c in range(channels)])
    by_lag[:, 1:] = _sheared(steps)[:, :-1]
    made = np.zeros_like(steps)
    _sheared(made)[:] = np.cumsum(by_lag, axis=1)
    upper = np.triu(made[:, :rows])
    return np.asarray(upper + np.triu(upper, 1).transpose(0, 2, 1))


def _sheared(square: Array) -> Array:
    """A view of (channels, rows + 1, rows) whose entry (i, lag) is the square's (i, i + lag)."""
    channels, rows, step = square.shape[0], square.shape[2], square.itemsize
    strides = (square.strides[0], (rows + 1) * step, step)
    return np.lib.stride_tricks.as_strided(square, (channels, rows, rows), strides)
