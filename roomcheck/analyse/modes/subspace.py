"""Poles without a search: from the shift invariance of the strongest directions of some records.

The Gram matrix of all windows of some records needs no Hankel matrix; two small eigenvalue problems
give the poles.

References
----------
R. Roy, T. Kailath, "ESPRIT", IEEE Trans. ASSP 37 (1989) 984; from memory.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

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

    def poles(self, channels: Sequence[int] | None = None) -> tuple[Array, Array]:
        """Angular frequencies and dampings from some of the records, or all. (poles,) [rad/s],
        (poles,) [1/s]"""
        used = list(range(self.y.shape[1]) if channels is None else channels)
        y = self.y if channels is None else self.y[:, used]
        directions = self._directions(windowed_products(y, min(len(y) // 2, FEW_ROWS)), len(used))
        if directions.shape[1] > len(directions) // 2:
            products = windowed_products(y, min(len(y) // 2, MANY_ROWS))
            directions = self._directions(products, len(used))
        if not directions.size:
            return np.zeros(0), np.zeros(0)
        z = np.linalg.eigvals(_shift(directions))
        z = z[z.imag > 0]
        omega, delta = np.angle(z) * self.rate_hz, -np.log(np.abs(z)) * self.rate_hz
        seconds = len(self.y) / self.rate_hz
        order = np.argsort(omega)
        order = order[((delta > -2 / seconds) & (delta < 0.25 * self.rate_hz))[order]]
        return omega[order], np.maximum(delta[order], 0.3 / seconds)

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
    """Products of all windows of `rows` frames, summed over where they begin and over the records:
    the Gram matrix of their Hankel matrices. (rows, rows)

    The next entry on a diagonal is the last one, less the product that leaves the window's course
    and more the one that enters it.
    """
    columns = len(y) - rows + 1
    leaves = y[:rows]
    enters = np.concatenate([y[columns:], np.zeros((1, y.shape[1]))])
    steps = np.zeros((rows + 1, rows))
    steps[:rows] = enters @ enters.T - leaves @ leaves.T
    by_lag = np.empty((rows, rows))
    by_lag[0] = sum(np.correlate(x, x[:columns]) for x in np.ascontiguousarray(y.T))
    by_lag[1:] = _sheared(steps)[:-1]
    made = np.zeros_like(steps)
    np.cumsum(by_lag, axis=0, out=_sheared(made))
    upper = np.triu(made[:rows])
    return np.asarray(upper + np.triu(upper, 1).T)


def _sheared(square: Array) -> Array:
    """A view of (rows + 1, rows) whose entry (i, lag) is the square's (i, i + lag)."""
    rows, step = square.shape[1], square.itemsize
    return np.lib.stride_tricks.as_strided(square, (rows, rows), ((rows + 1) * step, step))
