r"""Damped sinusoids in a few records at once: frequencies and decays that all share, amplitudes of
each one's own.

.. math:: y_p(t) = \sum_k e^{-\delta_k t}\,(a_{kp}\cos\omega_k t + b_{kp}\sin\omega_k t) +
\text{noise}

A signal subspace gives the first poles (rotational invariance of a block Hankel matrix), least
squares over all records refines them, and the same Jacobian gives the Cramér-Rao bound.

References
---------- R. Roy, T. Kailath, "ESPRIT", IEEE Trans. ASSP 37 (1989) 984; G. Golub, V. Pereyra, SIAM
J. Numer. Anal. 10 (1973) 413 (amplitudes projected out), with L. Kaufman's Jacobian; all from
memory.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

MOST_POLES = 70
"""More damped sinusoids than these are not told apart in one go."""

ABOVE_NOISE = 1.6
"""A direction of the signal's subspace counts from so many times the most energy that white noise
gives one. [1]"""

ROUNDS, SMALL_STEP = 25, 1e-5

WORTH_PER_CHANNEL, WORTH = 2.0, 12.0
"""A pole stays where it explains more than 12 + 2 per amplitude of it times the noise's
variance."""


@dataclass(frozen=True, slots=True, eq=False)
class Poles:
    """Damped sinusoids and how well they are known."""

    frequency_hz: Array
    """By rising frequency, (poles,) [Hz]."""
    damping_per_s: Array
    """By rising frequency, (poles,) [1/s]."""
    cosine: Array
    """Amplitudes at the first sample, (poles, channels) [1]."""
    sine: Array
    """Amplitudes at the first sample, (poles, channels) [1]."""
    frequency_sd_hz: Array
    """Cramér-Rao bound for the noise given, (poles,) [Hz]."""
    damping_sd_per_s: Array
    """Cramér-Rao bound for the noise given, (poles,) [1/s]."""
    rest: Array
    """What they leave, (frames, channels) [1]."""

    @property
    def size(self) -> int:
        return len(self.frequency_hz)

    def energy(self) -> Array:
        """Of each pole over all channels, from the first sample on: amplitude squared over four
        dampings. [s]"""
        return np.asarray((self.cosine**2 + self.sine**2).sum(axis=1) / (4 * self.damping_per_s))


def find_poles(y: Array, rate_hz: float, noise_sd: float, *, most: int = MOST_POLES) -> Poles:
    """The damped sinusoids in some records.

    Parameters
    ----------
    y : (frames, channels)
        From after the excitation on. [1]
    rate_hz : float
        [Hz]
    noise_sd : float
        Standard deviation of the white noise in one sample of one channel; above 0. [1]
    most : int
        How many poles at most.

    Returns
    -------
    Poles
        Possibly none.
    """
    start = _subspace(y, rate_hz, noise_sd, most)
    omega, delta = _refine(y, rate_hz, *start, rounds=6)
    for _ in range(4):
        omega, delta = _keep_worth(y, rate_hz, omega, delta, noise_sd)
        if len(omega) >= most:
            break
        more = _missed(y, rate_hz, omega, delta, noise_sd)
        if more is None:
            more = _two_in_one(y, rate_hz, omega, delta, noise_sd)
        if more is None:
            break
        omega, delta = _refine(y, rate_hz, *more, rounds=6)
    omega, delta = _refine(y, rate_hz, omega, delta, rounds=ROUNDS)
    omega, delta = _keep_worth(y, rate_hz, omega, delta, noise_sd)
    return fitted(y, rate_hz, omega, delta, noise_sd)


def fitted(y: Array, rate_hz: float, omega: Array, delta: Array, noise_sd: float) -> Poles:
    """Amplitudes, remainder and Cramér-Rao bound for poles that are known. Angular frequencies in
    [rad/s]."""
    order = np.argsort(omega)
    omega, delta = omega[order], delta[order]
    basis, q, c, rest = _solve(y, rate_hz, omega, delta)
    k = len(omega)
    if not k:
        none = np.zeros(0)
        return Poles(
            none, none, np.zeros((0, y.shape[1])), np.zeros((0, y.shape[1])), none, none, rest
        )
    jacobian = _jacobian(rate_hz, basis, q, c, len(y))
    spread = _inverse_diagonal(jacobian)
    sd = noise_sd * np.sqrt(spread)
    return Poles(omega / (2 * np.pi), delta, c[0::2], c[1::2], sd[:k] / (2 * np.pi), sd[k:], rest)


def _inverse_diagonal(jacobian: Array) -> Array:
    """Diagonal of the inverse of J'J, from J itself."""
    scale = np.linalg.norm(jacobian, axis=0)
    scale[scale == 0] = 1.0
    _, s, vt = np.linalg.svd(jacobian / scale, full_matrices=False)
    s = np.maximum(s, 1e-12 * s.max())
    return np.asarray(((vt / s[:, None]) ** 2).sum(axis=0) / scale**2)


def _subspace(y: Array, rate_hz: float, noise_sd: float, most: int) -> tuple[Array, Array]:
    """First poles from the shift invariance of the strongest directions."""
    frames, channels = y.shape
    rows = min(frames // 2, 4 * most)
    columns = frames - rows + 1
    windows = np.lib.stride_tricks.sliding_window_view(y, rows, axis=0)
    stacked = windows.reshape(columns * channels, rows)
    values, vectors = np.linalg.eigh(stacked.T @ stacked)
    values, vectors = values[::-1], vectors[:, ::-1]
    edge = ABOVE_NOISE * noise_sd**2 * (math.sqrt(columns * channels) + math.sqrt(rows)) ** 2
    order = min(int(np.sum(values > max(edge, 1e-13 * values[0]))), 2 * most, rows - 2)
    order += order % 2
    if order == 0:
        return np.zeros(0), np.zeros(0)
    basis = vectors[:, :order]
    z = np.linalg.eigvals(np.linalg.lstsq(basis[:-1], basis[1:], rcond=None)[0])
    z = z[z.imag > 0]
    omega, delta = np.angle(z) * rate_hz, -np.log(np.abs(z)) * rate_hz
    seconds = frames / rate_hz
    usable = (delta > -2 / seconds) & (delta < 0.25 * rate_hz)
    return omega[usable], np.maximum(delta[usable], 0.3 / seconds)


def _solve(
    y: Array, rate_hz: float, omega: Array, delta: Array
) -> tuple[Array, Array, Array, Array]:
    """Basis, its orthonormal form, amplitudes and remainder."""
    t = np.arange(len(y)) / rate_hz
    basis = np.empty((len(y), 2 * len(omega)))
    envelope = np.exp(-np.outer(t, delta))
    phase = np.outer(t, omega)
    basis[:, 0::2], basis[:, 1::2] = envelope * np.cos(phase), envelope * np.sin(phase)
    q, r = np.linalg.qr(basis)
    qy = q.T @ y
    c = np.linalg.lstsq(r, qy, rcond=1e-12)[0]
    return basis, q, c, y - q @ qy


def _jacobian(rate_hz: float, basis: Array, q: Array, c: Array, frames: int) -> Array:
    """Of the model by frequencies [rad/s], then dampings, amplitudes projected out: (frames x
    channels, 2 poles)."""
    t = (np.arange(frames) / rate_hz)[:, None]
    cosine, sine = basis[:, 0::2] * t, basis[:, 1::2] * t
    made = []
    for a, b in zip(c[0::2].T, c[1::2].T, strict=True):
        by = np.concatenate([b * cosine - a * sine, -(a * cosine + b * sine)], axis=1)
        made.append(by - q @ (q.T @ by))
    return np.concatenate(made)


def _refine(
    y: Array, rate_hz: float, omega: Array, delta: Array, rounds: int
) -> tuple[Array, Array]:
    """Damped Gauss-Newton steps on frequencies and dampings."""
    if not len(omega):
        return omega, delta
    seconds, damp = len(y) / rate_hz, 1e-3
    basis, q, c, rest = _solve(y, rate_hz, omega, delta)
    cost = float(np.sum(rest**2))
    for _ in range(rounds):
        jacobian = _jacobian(rate_hz, basis, q, c, len(y))
        gradient = jacobian.T @ rest.T.ravel()
        normal = jacobian.T @ jacobian
        better = False
        for _ in range(6):
            diagonal = np.diag(normal).copy()
            step = np.linalg.lstsq(
                normal + np.diag(damp * diagonal + 1e-12 * diagonal.max()), gradient, rcond=1e-14
            )[0]
            k = len(omega)
            limit = 0.5 * delta + 0.5 / seconds
            tried_omega = omega + np.clip(step[:k], -2 * limit, 2 * limit)
            tried_delta = np.clip(
                delta + np.clip(step[k:], -limit, limit), 0.1 / seconds, 0.5 * rate_hz
            )
            tried_omega = np.clip(np.abs(tried_omega), 1.0, np.pi * rate_hz - 1.0)
            tried = _solve(y, rate_hz, tried_omega, tried_delta)
            tried_cost = float(np.sum(tried[3] ** 2))
            if tried_cost < cost:
                better = True
                break
            damp *= 8
        if not better:
            break
        gain = (cost - tried_cost) / cost
        omega, delta, (basis, q, c, rest), cost = tried_omega, tried_delta, tried, tried_cost
        damp = max(damp / 5, 1e-9)
        if gain < SMALL_STEP:
            break
    return omega, delta


def _keep_worth(
    y: Array, rate_hz: float, omega: Array, delta: Array, noise_sd: float
) -> tuple[Array, Array]:
    """Drop the poles that explain no more than noise would; of neighbours one at a time."""
    least = noise_sd**2 * (WORTH + WORTH_PER_CHANNEL * 2 * y.shape[1])
    while len(omega):
        drop = _worthless(omega, delta, _worth(y, rate_hz, omega, delta), least)
        if not drop:
            break
        omega, delta = np.delete(omega, drop), np.delete(delta, drop)
        omega, delta = _refine(y, rate_hz, omega, delta, rounds=2)
    return omega, delta


def _worth(y: Array, rate_hz: float, omega: Array, delta: Array) -> Array:
    """What the remainder's energy would gain without each pole, the others refitted. (poles,)"""
    basis, q, c, _ = _solve(y, rate_hz, omega, delta)
    inverse = np.linalg.pinv(q.T @ basis, rcond=1e-13)
    rows = inverse.reshape(len(omega), 2, -1)
    covariance = rows @ rows.transpose(0, 2, 1)
    pairs = c.reshape(len(omega), 2, -1)
    return np.asarray(np.einsum("kic,kic->k", pairs, np.linalg.solve(covariance, pairs)))


def _worthless(omega: Array, delta: Array, worth: Array, least: float) -> list[int]:
    """The least worthy poles, no two of them within a bandwidth of one another."""
    chosen: list[int] = []
    for k in np.argsort(worth):
        if worth[k] >= least:
            break
        if all(abs(omega[k] - omega[n]) > 2 * max(delta[k], delta[n]) for n in chosen):
            chosen.append(int(k))
    return chosen


def _missed(
    y: Array, rate_hz: float, omega: Array, delta: Array, noise_sd: float
) -> tuple[Array, Array] | None:
    """The poles with one more at the strongest line that the remainder still holds; None where
    noise explains it."""
    rest = _solve(y, rate_hz, omega, delta)[3]
    usual = float(np.median(delta)) if len(delta) else 10 / (len(y) / rate_hz)
    t = np.arange(len(y)) / rate_hz
    window = np.exp(-usual * t)
    size = 4 * len(y)
    power = (np.abs(np.fft.rfft(rest * window[:, None], size, axis=0)) ** 2).sum(axis=1)
    power /= noise_sd**2 * float(np.sum(window**2))
    at = int(np.argmax(power[1:-1])) + 1
    channels = y.shape[1]
    if power[at] < channels + 6 * math.sqrt(channels) + 10:
        return None
    return np.append(omega, 2 * np.pi * at * rate_hz / size), np.append(delta, usual)


def _two_in_one(
    y: Array, rate_hz: float, omega: Array, delta: Array, noise_sd: float
) -> tuple[Array, Array] | None:
    """The poles with one of them split, where two close ones had been taken for it; None where none
    is.

    A second pole nearby adds t and t^2 times the first to what is left.
    """
    if not len(omega):
        return None
    basis, q, _, rest = _solve(y, rate_hz, omega, delta)
    t = (np.arange(len(y)) / rate_hz)[:, None]
    left = np.empty(len(omega))
    for k in range(len(omega)):
        pair = basis[:, 2 * k : 2 * k + 2]
        more = np.concatenate([pair * t * delta[k], pair * (t * delta[k]) ** 2], axis=1)
        more -= q @ (q.T @ more)
        left[k] = float(np.sum((np.linalg.qr(more)[0].T @ rest) ** 2)) / noise_sd**2
    k, free = int(np.argmax(left)), 4 * y.shape[1]
    if left[k] < free + 4 * math.sqrt(2 * free) + 6:
        return None
    shift = 0.4 * delta[k]
    tried_omega = np.append(
        np.where(np.arange(len(omega)) == k, omega - shift, omega), omega[k] + shift
    )
    tried = _refine(y, rate_hz, tried_omega, np.append(delta, delta[k]), rounds=6)
    gained = float(np.sum(rest**2) - np.sum(_solve(y, rate_hz, *tried)[3] ** 2))
    return tried if gained > noise_sd**2 * (WORTH + WORTH_PER_CHANNEL * 2 * y.shape[1]) else None
