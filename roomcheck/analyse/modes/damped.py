r"""Least squares with damped exponentials, from sums in closed form: tall matrices are never built.

.. math:: y_p(n) = \mathrm{Re} \sum_k A_{kp} z_k^n + \text{rest}

Inner products of two exponentials are geometric series, those of their derivatives by the pole the
same series weighted by powers of n. A record is cut into blocks of R frames, and
:math:`z^{qR + r} = z^{qR} z^r` makes its product with an exponential one small matrix product.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import comb
from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Complex = NDArray[np.complex128]

BLOCK = 32
RIDGE = 1e-12
"""Added to a normalised Gram matrix: what two equal poles need to stay solvable. [1]"""


def power_sums(x: Complex, end: Complex, frames: int, most: int) -> list[Complex]:
    r"""Sum :math:`n^p x^n` over n = 0 … frames - 1 for p = 0 … most.

    Parameters
    ----------
    x : (…)
        Magnitude below 1. [1]
    end : (…)
        Its power `frames`; computed outside, where that is cheap. [1]

    Returns
    -------
    list of (…)
        One array for each p. With :math:`S_p` the sum from n = 1 on,
        :math:`(1 - x) S_p = \sum_{j<p} \binom{p}{j} (-1)^{p-j-1} S_j - (N-1)^p x^N` (telescoped).

    >>> [float(s.real) for s in power_sums(np.array(0.5 + 0j), np.array(0.125 + 0j), 3, 2)]
    [1.75, 1.0, 1.5]
    """
    gap = 1 / (1 - x)
    sums = [(x - end) * gap]
    for p in range(1, most + 1):
        lower = sum(comb(p, j) * (-1) ** (p - j - 1) * sums[j] for j in range(p))
        sums.append((lower - float(frames - 1) ** p * end) * gap)
    sums[0] = sums[0] + 1
    return sums


@dataclass(frozen=True, eq=False)
class Records:
    """Some records of equal length, cut into blocks."""

    y: Array
    """(frames, channels) [1]."""
    rate_hz: float
    """Of the frames [Hz]."""

    @property
    def frames(self) -> int:
        return len(self.y)

    @property
    def channels(self) -> int:
        return int(self.y.shape[1])

    @property
    def seconds(self) -> float:
        return self.frames / self.rate_hz

    @cached_property
    def blocked(self) -> Array:
        """(`BLOCK`, blocks x channels), the last block filled with zeros [1]."""
        padded = np.zeros((self.blocks * BLOCK, self.channels))
        padded[: self.frames] = self.y
        by_block = padded.reshape(self.blocks, BLOCK, self.channels).transpose(1, 0, 2)
        return np.ascontiguousarray(by_block).reshape(BLOCK, -1)

    @property
    def blocks(self) -> int:
        return -(-self.frames // BLOCK)

    @cached_property
    def steps(self) -> Array:
        """Frames whose powers of a pole are used: of a block, each block's first, the one after
        the last. (`BLOCK` + blocks + 1,) [1]"""
        return np.concatenate(
            [np.arange(BLOCK), BLOCK * np.arange(self.blocks), [self.frames]]
        ).astype(np.float64)

    @cached_property
    def times_s(self) -> tuple[Array, Array]:
        """Of a block's frames, and of each block's first, (`BLOCK`,), (blocks,) [s]."""
        return self.steps[:BLOCK] / self.rate_hz, self.steps[BLOCK:-1] / self.rate_hz


class Fit:
    """Poles, and amplitudes of each record's own that fit it best.

    The basis is each pole's cosine, then its sine, pole by pole.

    Parameters
    ----------
    records : Records
    omega, delta : (poles,)
        Angular frequencies and dampings. [rad/s], [1/s]
    """

    def __init__(self, records: Records, omega: Array, delta: Array) -> None:
        self.records, self.omega, self.delta = records, omega, delta
        exponent = (1j * omega - delta) / records.rate_hz
        powers = np.exp(exponent[:, None] * records.steps)
        self._z, self._end = powers[:, 1], powers[:, -1]
        k = len(omega)
        self._fine = powers[:, :BLOCK].view(np.float64).reshape(k, BLOCK, 2).transpose(0, 2, 1)
        self._fine = np.ascontiguousarray(self._fine).reshape(2 * k, BLOCK)
        self._coarse = np.empty((k, 2, 2, records.blocks))
        self._coarse[:, 0, 0] = self._coarse[:, 1, 1] = powers.real[:, BLOCK:-1]
        self._coarse[:, 1, 0] = powers.imag[:, BLOCK:-1]
        np.negative(self._coarse[:, 1, 0], out=self._coarse[:, 0, 1])
        self._pairs = self._z[:, None] * np.concatenate([self._z, self._z.conj()])
        self._ends = self._end[:, None] * np.concatenate([self._end, self._end.conj()])
        self._grams: dict[int, Array] = {}
        gram = self.gram(0)
        self._scale: Array = 1 / np.sqrt(np.maximum(gram.diagonal(), 1e-300))
        scaled = gram * (self._scale[:, None] * self._scale)
        scaled.flat[:: 2 * k + 1] += RIDGE
        self._root = np.linalg.cholesky(scaled)
        both = self._rooted(self._against(records.blocked, 0)[0])
        if k:
            both = self._scale[:, None] * _solved(self._root.T, both)
        self._both = both
        self._left = records.blocked - self._made()
        self.cost = float(np.vdot(self._left, self._left))

    @property
    def cosine(self) -> Array:
        """Amplitudes in phase, (poles, channels) [1]."""
        return self._both[0::2]

    @property
    def sine(self) -> Array:
        """Amplitudes a quarter turn on, (poles, channels) [1]."""
        return self._both[1::2]

    @property
    def amplitude(self) -> Complex:
        return np.asarray(self.cosine - 1j * self.sine)

    def _rooted(self, x: Array) -> Array:
        """A root of the Gram matrix's inverse, times x: products of two such hold the inverse."""
        if not len(self.omega):
            return x
        return _solved(self._root.T, self._scale[:, None] * x, trans=1)

    @cached_property
    def inverse(self) -> Array:
        """Of the Gram matrix, (2 poles, 2 poles)."""
        root = self._rooted(np.eye(2 * len(self.omega)))
        return root.T @ root

    @property
    def rest(self) -> Array:
        """What the fit leaves, (frames, channels) [1]."""
        blocks = self._left.reshape(BLOCK, -1, self.records.channels).transpose(1, 0, 2)
        return np.asarray(blocks.reshape(-1, self.records.channels)[: self.records.frames])

    @cached_property
    def _sums(self) -> list[Complex]:
        return power_sums(self._pairs, self._ends, self.records.frames, 2)

    def gram(self, power: int) -> Array:
        """Products of the basis with itself, weighted by a power of the time. (2 poles, 2 poles)
        [s^power]"""
        if power not in self._grams:
            sums = self._sums[power] if power else (1 - self._ends) / (1 - self._pairs)
            k = len(self.omega)
            whole = np.empty((k, 2, k, 2))
            _put_products(whole.transpose(1, 3, 0, 2), sums[:, :k], sums[:, k:])
            whole /= 2 * self.records.rate_hz**power
            self._grams[power] = whole.reshape(2 * k, 2 * k)
        return self._grams[power]

    def left_against(self, most: int) -> list[Array]:
        """Sums of the basis times t^p times what is left, for p = 0 … most. (2 poles, channels)
        [s^p]"""
        return self._against(self._left, most)

    def _against(self, blocked: Array, most: int) -> list[Array]:
        k, channels = len(self.omega), self.records.channels
        within_s, begins_s = self.records.times_s
        inner, outer = [], []
        for p in range(most + 1):
            fine, coarse = self._fine * within_s**p, self._coarse * begins_s**p
            inner.append((fine @ blocked).reshape(k, 2 * self.records.blocks, channels))
            outer.append(coarse.reshape(k, 2, 2 * self.records.blocks))
        sums = []
        for power in range(most + 1):
            total = outer[power] @ inner[0]
            for p in range(1, power + 1):
                total += comb(power, p) * (outer[power - p] @ inner[p])
            sums.append(total.reshape(2 * k, channels))
        return sums

    def _made(self) -> Array:
        k, blocks, channels = len(self.omega), self.records.blocks, self.records.channels
        begun = self._coarse.reshape(k, 2, 2 * blocks).transpose(0, 2, 1) @ self._both.reshape(
            k, 2, channels
        )
        made = self._fine.T @ begun.reshape(2 * k, blocks * channels)
        used = self.records.frames - BLOCK * (blocks - 1)
        made.reshape(BLOCK, -1, channels)[used:, -1] = 0
        return np.asarray(made)

    @cached_property
    def _taken(self) -> Array:
        """The basis times t against the basis, over its root. (2 poles, 2 poles) [s]"""
        return self._rooted(self.gram(1))

    @cached_property
    def normal(self) -> Array:
        """J'J for frequencies [rad/s], then dampings, amplitudes projected out. (2 poles, 2
        poles)"""
        k = len(self.omega)
        m = self.gram(2) - self._taken.T @ self._taken
        # How cosine and sine turn with the frequency, and how they fall with the damping.
        slopes = np.empty((2, k, 2, self.records.channels))
        slopes[0, :, 0], slopes[0, :, 1] = -self.sine, self.cosine
        slopes[1] = self._both.reshape(k, 2, -1)
        flat = slopes.reshape(4 * k, -1)
        each = (flat @ flat.T).reshape(2, 2 * k, 2, 2 * k) * m[:, None]
        by_row = each[:, 0::2] + each[:, 1::2]
        return np.asarray(by_row[..., 0::2] + by_row[..., 1::2]).reshape(2 * k, 2 * k)

    @cached_property
    def covariance(self) -> Array:
        """Inverse of J'J: covariance of frequencies, then dampings, for unit white noise.
        (2 poles, 2 poles)"""
        if not len(self.omega):
            return np.zeros((0, 0))
        diagonal = self.normal.diagonal()
        scale = 1 / np.sqrt(np.maximum(diagonal, 1e-30 * diagonal.max()))
        values, vectors = np.linalg.eigh(self.normal * scale[:, None] * scale)
        values = np.maximum(values, RIDGE * values.max())
        return np.asarray((vectors / values) @ vectors.T * scale[:, None] * scale)

    @cached_property
    def gradients(self) -> Array:
        """J' times what is left, of each record alone. (2 poles, channels)"""
        left = self.left_against(1)[1]
        a, b, x, y = self.cosine, self.sine, left[0::2], left[1::2]
        return np.concatenate([b * x - a * y, -(a * x + b * y)])

    @cached_property
    def worth(self) -> Array:
        """What the rest's energy would gain without each pole, the others refitted. (poles,)"""
        cc, cs, ss = _corners(self.inverse)
        aa, ab, bb = self._squares
        return np.asarray((ss * aa - 2 * cs * ab + cc * bb) / (cc * ss - cs**2))

    @cached_property
    def whole(self) -> Array:
        """Energy of each pole over all records, alone. (poles,)"""
        cc, cs, ss = _corners(self.gram(0))
        aa, ab, bb = self._squares
        return np.asarray(cc * aa + 2 * cs * ab + ss * bb)

    @property
    def _squares(self) -> tuple[Array, Array, Array]:
        """Products of each pole's cosine and sine over all records. (poles,)"""
        a, b = self.cosine, self.sine
        return (a * a).sum(axis=1), (a * b).sum(axis=1), (b * b).sum(axis=1)

    @cached_property
    def unfit(self) -> Array:
        """Energy of what is left that t and t^2 times each pole would take: a second pole close by
        leaves such. (poles,)"""
        z, end, k = self._z, self._end, len(self.omega)
        sums = power_sums(
            np.stack([z * z, z * z.conj()]),
            np.stack([end * end, end * end.conj()]),
            self.records.frames,
            4,
        )
        touched = np.stack([self._taken, self._rooted(self.gram(2))]).reshape(2, 2 * k, k, 2)
        own = touched.transpose(2, 0, 3, 1).reshape(k, 4, 2 * k)
        gram = -(own @ own.transpose(0, 2, 1))
        block = np.empty((k, 2, 2))
        for p in (0, 1):
            for q in (0, 1):
                _put_products(block.transpose(1, 2, 0), *sums[p + q + 2])
                block /= 2 * self.records.rate_hz ** (p + q + 2)
                gram[:, 2 * p : 2 * p + 2, 2 * q : 2 * q + 2] += block
        left = np.stack([x.reshape(k, 2, -1) for x in self.left_against(2)[1:]], axis=1)
        x = left.reshape(k, 4, -1)
        return np.asarray(np.sum(x * (_inverse(gram) @ x), axis=(1, 2)))


def _solved(root: NDArray[np.floating[Any]], x: Array, trans: int = 0) -> Array:
    """The solution of an upper triangle of equations; of its transpose where `trans` is 1."""
    from scipy.linalg.lapack import dtrtrs

    return np.asarray(dtrtrs(root, x, trans=trans)[0])


def _put_products(out: Array, plus: Complex, minus: Complex) -> None:
    """Put twice the products of cosines and sines into an array, (2, 2, …): from the sums over a
    pole times another, and times the other's conjugate, (…)."""
    np.add(minus.real, plus.real, out=out[0, 0])
    np.subtract(plus.imag, minus.imag, out=out[0, 1])
    out[1, 0] = out[0, 1].T
    np.subtract(minus.real, plus.real, out=out[1, 1])


def _corners(matrix: Array) -> tuple[Array, Array, Array]:
    """Each pole's own three entries of a matrix over the basis. (poles,)"""
    return matrix.diagonal()[0::2], matrix.diagonal(1)[0::2], matrix.diagonal()[1::2]


def _inverse(gram: Array) -> Array:
    """Of one matrix or of several, rows and columns scaled to ones on the diagonal. (…, n, n)"""
    diagonal = np.diagonal(gram, axis1=-2, axis2=-1)
    scale = 1 / np.sqrt(np.maximum(diagonal, 1e-300))
    both = scale[..., :, None] * scale[..., None, :]
    return np.asarray(np.linalg.inv(gram * both + RIDGE * np.eye(gram.shape[-1])) * both)
