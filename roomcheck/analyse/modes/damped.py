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
        blocks = -(-self.frames // BLOCK)
        padded = np.zeros((blocks * BLOCK, self.channels))
        padded[: self.frames] = self.y
        by_block = padded.reshape(blocks, BLOCK, self.channels).transpose(1, 0, 2)
        return np.ascontiguousarray(by_block).reshape(BLOCK, -1)

    def of(self, channels: list[int]) -> Records:
        """Some of the records."""
        return Records(self.y[:, channels], self.rate_hz)


class Fit:
    """Poles, and amplitudes of each record's own that fit it best.

    Parameters
    ----------
    records : Records
    omega, delta : (poles,)
        Angular frequencies and dampings. [rad/s], [1/s]
    """

    def __init__(self, records: Records, omega: Array, delta: Array) -> None:
        self.records, self.omega, self.delta = records, omega, delta
        exponent = (1j * omega - delta) / records.rate_hz
        blocks = records.blocked.shape[1] // records.channels
        fine = np.exp(np.outer(exponent, np.arange(BLOCK)))
        self._fine = np.concatenate([fine.real, fine.imag])
        self._coarse = np.exp(np.outer(exponent, BLOCK * np.arange(blocks)))
        z, end = np.exp(exponent), np.exp(records.frames * exponent)
        self._pairs = np.outer(z, z), np.outer(z, z.conj())
        self._ends = np.outer(end, end), np.outer(end, end.conj())
        k = len(omega)
        gram = self.gram(0)
        self._scale: Array = 1 / np.sqrt(np.maximum(gram.diagonal(), 1e-300))
        gram *= self._scale[:, None] * self._scale
        gram[np.diag_indices(2 * k)] += RIDGE
        self._root = np.linalg.cholesky(gram)
        x = self._against(records.blocked, 0)
        rooted = self._rooted(np.concatenate([x.real, x.imag]))
        both = self._scale[:, None] * _solved(self._root.T, rooted) if k else rooted
        self.cosine: Array = both[:k]
        self.sine: Array = both[k:]
        self._left = records.blocked - self._made()
        self.cost = float(np.vdot(self._left, self._left))

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
    def amplitude(self) -> Complex:
        return np.asarray(self.cosine - 1j * self.sine)

    @property
    def rest(self) -> Array:
        """What the fit leaves, (frames, channels) [1]."""
        blocks = self._left.reshape(BLOCK, -1, self.records.channels).transpose(1, 0, 2)
        return np.asarray(blocks.reshape(-1, self.records.channels)[: self.records.frames])

    @cached_property
    def _sums(self) -> tuple[list[Complex], list[Complex]]:
        plus, minus = (
            power_sums(x, end, self.records.frames, 2)
            for x, end in zip(self._pairs, self._ends, strict=True)
        )
        return plus, minus

    def gram(self, power: int) -> Array:
        """Products of the basis (all cosines, then all sines) with itself, weighted by a power of
        the time. (2 poles, 2 poles) [s^power]"""
        if power:
            plus, minus = self._sums[0][power], self._sums[1][power]
        else:
            plus, minus = (
                (1 - end) / (1 - x) for x, end in zip(self._pairs, self._ends, strict=True)
            )
        cosines, across = (minus + plus).real, (plus - minus).imag
        sines = (minus - plus).real
        k = len(self.omega)
        whole = np.empty((2 * k, 2 * k))
        whole[:k, :k], whole[:k, k:], whole[k:, :k], whole[k:, k:] = (
            cosines,
            across,
            across.T,
            sines,
        )
        whole /= 2 * self.records.rate_hz**power
        return whole

    def left_against(self, power: int) -> Complex:
        r"""Sum :math:`t^p z^n` times what is left over n. (poles, channels) [s^power]"""
        return self._against(self._left, power)

    def _against(self, blocked: Array, power: int) -> Complex:
        k, channels = len(self.omega), self.records.channels
        t = np.arange(BLOCK) / self.records.rate_hz
        begins = BLOCK * np.arange(self._coarse.shape[1]) / self.records.rate_hz
        total = np.zeros((k, channels), dtype=np.complex128)
        for p in range(power + 1):
            parts = (self._fine * t**p) @ blocked
            inner = (parts[:k] + 1j * parts[k:]).reshape(k, len(begins), channels)
            weight = comb(power, p) * begins ** (power - p) * self._coarse
            total += (weight[:, None, :] @ inner)[:, 0]
        return total

    def _made(self) -> Array:
        k = len(self.omega)
        begun = self._coarse[:, :, None] * self.amplitude[:, None, :]
        begun = begun.reshape(k, self.records.blocked.shape[1])
        made = self._fine.T @ np.concatenate([begun.real, -begun.imag])
        used = self.records.frames - BLOCK * (self._coarse.shape[1] - 1)
        made.reshape(BLOCK, -1, self.records.channels)[used:, -1] = 0
        return np.asarray(made)

    def normal(self) -> Array:
        """J'J for frequencies [rad/s], then dampings, amplitudes projected out. (2 poles, 2
        poles)"""
        k = len(self.omega)
        mixed = self.gram(1)
        taken = self._rooted(mixed)
        m = self.gram(2) - taken.T @ taken
        cc, cs, sc, ss = m[:k, :k], m[:k, k:], m[k:, :k], m[k:, k:]
        a, b = self.cosine, self.sine
        aa, ab, bb = a @ a.T, a @ b.T, b @ b.T
        by_omega = cc * bb - cs * ab.T - sc * ab + ss * aa
        by_delta = cc * aa + cs * ab + sc * ab.T + ss * bb
        mixed_by = -cc * ab.T - cs * bb + sc * aa + ss * ab
        return np.block([[by_omega, mixed_by], [mixed_by.T, by_delta]])

    @cached_property
    def covariance(self) -> Array:
        """Inverse of J'J: covariance of frequencies, then dampings, for unit white noise.
        (2 poles, 2 poles)"""
        if not len(self.omega):
            return np.zeros((0, 0))
        normal = self.normal()
        diagonal = normal.diagonal()
        scale = 1 / np.sqrt(np.maximum(diagonal, 1e-30 * diagonal.max()))
        values, vectors = np.linalg.eigh(normal * scale[:, None] * scale)
        values = np.maximum(values, RIDGE * values.max())
        return np.asarray((vectors / values) @ vectors.T * scale[:, None] * scale)

    def gradients(self) -> Array:
        """J' times what is left, of each record alone. (2 poles, channels)"""
        wave = self.amplitude * self.left_against(1)
        return np.concatenate([-wave.imag, -wave.real])

    def worth(self) -> Array:
        """What the rest's energy would gain without each pole, the others refitted. (poles,)"""
        k = np.arange(len(self.omega))
        cc, cs, ss = (self.inverse[i, j] for i, j in _corners(k))
        a, b = self.cosine, self.sine
        aa, ab, bb = (np.sum(u * v, axis=1) for u, v in ((a, a), (a, b), (b, b)))
        return np.asarray((ss * aa - 2 * cs * ab + cc * bb) / (cc * ss - cs**2))

    def whole(self) -> Array:
        """Energy of each pole over all records, alone. (poles,)"""
        k = np.arange(len(self.omega))
        gram = self.gram(0)
        cc, cs, ss = (gram[i, j] for i, j in _corners(k))
        a, b = self.cosine, self.sine
        aa, ab, bb = (np.sum(u * v, axis=1) for u, v in ((a, a), (a, b), (b, b)))
        return np.asarray(cc * aa + 2 * cs * ab + ss * bb)

    def unfit(self) -> Array:
        """Energy of what is left that t and t^2 times each pole would take: a second pole close by
        leaves such. (poles,)"""
        first, second = self.gram(1), self.gram(2)
        plus, minus = (
            power_sums(x.diagonal(), end.diagonal(), self.records.frames, 4)
            for x, end in zip(self._pairs, self._ends, strict=True)
        )
        left = [self.left_against(1), self.left_against(2)]
        k = len(self.omega)
        own = np.arange(k)[:, None] + np.array([0, k])
        touched = np.concatenate([first[:, own], second[:, own]], axis=2).transpose(1, 0, 2)
        gram = np.empty((k, 4, 4))
        for p in (0, 1):
            for q in (0, 1):
                power = p + q + 2
                block = _pairs(plus[power], minus[power]) / self.records.rate_hz**power
                gram[:, 2 * p : 2 * p + 2, 2 * q : 2 * q + 2] = block
        gram -= touched.transpose(0, 2, 1) @ (self.inverse @ touched)
        x = np.stack([part for wave in left for part in (wave.real, wave.imag)], axis=1)
        return np.asarray(np.sum(x * (_inverse(gram) @ x), axis=(1, 2)))


def _solved(root: NDArray[np.floating[Any]], x: Array, trans: int = 0) -> Array:
    """The solution of an upper triangle of equations; of its transpose where `trans` is 1."""
    from scipy.linalg.lapack import dtrtrs

    return np.asarray(dtrtrs(root, x, trans=trans)[0])


def _pairs(plus: Complex, minus: Complex) -> Array:
    """Products of each pole's cosine and sine from its two sums. (poles, 2, 2)"""
    across = (plus - minus).imag
    rows = [[(minus + plus).real, across], [across, (minus - plus).real]]
    return np.array(rows).transpose(2, 0, 1) / 2


def _corners(k: NDArray[np.int_]) -> tuple[tuple[NDArray[np.int_], NDArray[np.int_]], ...]:
    """Where a matrix over cosines and sines holds each pole's own three entries."""
    n = len(k)
    return (k, k), (k, k + n), (k + n, k + n)


def _inverse(gram: Array) -> Array:
    """Of one matrix or of several, rows and columns scaled to ones on the diagonal. (…, n, n)"""
    diagonal = np.diagonal(gram, axis1=-2, axis2=-1)
    scale = 1 / np.sqrt(np.maximum(diagonal, 1e-300))
    both = scale[..., :, None] * scale[..., None, :]
    return np.asarray(np.linalg.inv(gram * both + RIDGE * np.eye(gram.shape[-1])) * both)
