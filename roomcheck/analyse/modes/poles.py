r"""Damped sinusoids in a few records at once: frequencies and decays that all share, amplitudes of
each one's own.

.. math:: y_p(t) = \sum_k e^{-\delta_k t}\,(a_{kp}\cos\omega_k t + b_{kp}\sin\omega_k t) +
\text{noise}

A signal subspace gives the first poles (rotational invariance of a block Hankel matrix), least
squares over all records refines them, and the same Jacobian gives the Cramér-Rao bound.

References
----------
G. Golub, V. Pereyra, SIAM J. Numer. Anal. 10 (1973) 413 (amplitudes projected out), with L.
Kaufman's Jacobian; from memory.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from roomcheck.analyse.modes.damped import Fit, Records
from roomcheck.analyse.modes.subspace import Subspaces

Array = NDArray[np.float64]

MOST_POLES = 70
"""More damped sinusoids than these are not told apart in one go."""

FEW_ROUNDS, ROUNDS, SMALL_STEP = 4, 12, 1e-6
"""Steps at most, and what a step must promise to take off what is left: less would move no pole by
a twentieth of its bound. [1]"""

WORTH_PER_CHANNEL, WORTH = 2.0, 12.0
"""A pole stays where it explains more than 12 + 2 per amplitude of it times the noise's
variance."""


@dataclass(frozen=True, slots=True, eq=False)
class Poles:
    """Damped sinusoids and how well they are known."""

    frequency_hz: Array
    """Rising, (poles,) [Hz]."""
    damping_per_s: Array
    """Of the same poles, (poles,) [1/s]."""
    cosine: Array
    """Amplitudes at the first sample, in phase, (poles, channels) [1]."""
    sine: Array
    """Amplitudes at the first sample, a quarter turn on, (poles, channels) [1]."""
    frequency_sd_hz: Array
    """Cramér-Rao bound of the frequency for the noise given, (poles,) [Hz]."""
    damping_sd_per_s: Array
    """Cramér-Rao bound of the damping, (poles,) [1/s]."""
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
    return known(find_fit(Subspaces(y, rate_hz, noise_sd, most)), noise_sd)


def find_fit(subspaces: Subspaces) -> Fit:
    """The damped sinusoids in some records, by rising frequency, with all that follows from
    them."""
    records, noise_sd = Records(subspaces.y, subspaces.rate_hz), subspaces.noise_sd
    fit = _refined(Fit(records, *subspaces.poles()), rounds=FEW_ROUNDS)
    for _ in range(4):
        fit = _worth_keeping(fit, noise_sd)
        if len(fit.omega) >= subspaces.most:
            break
        more = _missed(fit, noise_sd) or _two_in_one(fit, noise_sd)
        if more is None:
            break
        fit = _refined(more, rounds=FEW_ROUNDS)
    fit = _worth_keeping(_refined(fit, rounds=ROUNDS), noise_sd)
    order = np.argsort(fit.omega)
    if (np.diff(order) > 0).all():
        return fit
    return Fit(records, fit.omega[order], fit.delta[order])


def known(fit: Fit, noise_sd: float) -> Poles:
    """Amplitudes, remainder and Cramér-Rao bound of a fit."""
    k = len(fit.omega)
    sd = noise_sd * np.sqrt(fit.covariance.diagonal())
    return Poles(
        fit.omega / (2 * np.pi),
        fit.delta,
        fit.cosine,
        fit.sine,
        sd[:k] / (2 * np.pi),
        sd[k:],
        fit.rest,
    )


def _refined(fit: Fit, rounds: int) -> Fit:
    """Damped Gauss-Newton steps on frequencies and dampings."""
    if not len(fit.omega):
        return fit
    damp = 1e-3
    for _ in range(rounds):
        first = damp
        for _ in range(6):
            step = _step(fit, damp)
            if _promised(fit, step) < SMALL_STEP * fit.cost:
                return fit
            tried = _stepped(fit, step)
            if tried.cost < fit.cost:
                break
            damp *= 8
        else:
            break
        gain = 1 - tried.cost / fit.cost
        fit = tried
        if damp == first:
            damp = max(damp / 5, 1e-9)
        if gain < SMALL_STEP:
            break
    return fit


def _step(fit: Fit, damp: float) -> Array:
    """Of frequencies [rad/s], then dampings. (2 poles,)"""
    normal = fit.normal.copy()
    diagonal = normal.diagonal()
    normal.flat[:: len(normal) + 1] += damp * diagonal + 1e-12 * diagonal.max()
    return np.linalg.solve(normal, fit.gradients.sum(axis=1))


def _promised(fit: Fit, step: Array) -> float:
    """What a step would take off the energy that is left, were the model straight."""
    return float(step @ (2 * fit.gradients.sum(axis=1) - fit.normal @ step))


def _stepped(fit: Fit, step: Array) -> Fit:
    seconds, rate, k = fit.records.seconds, fit.records.rate_hz, len(fit.omega)
    limit = 0.5 * fit.delta + 0.5 / seconds
    omega = np.abs(fit.omega + _between(step[:k], -2 * limit, 2 * limit))
    delta = fit.delta + _between(step[k:], -limit, limit)
    return Fit(
        fit.records,
        _between(omega, 1.0, np.pi * rate - 1.0),
        _between(delta, 0.1 / seconds, 0.5 * rate),
    )


def _between(x: Array, low: Array | float, high: Array | float) -> Array:
    """As `numpy.clip`, which takes four times as long of a few numbers."""
    return np.minimum(np.maximum(x, low), high)


def _worth_keeping(fit: Fit, noise_sd: float) -> Fit:
    """Drop the poles that explain no more than noise would; of neighbours one at a time."""
    least = noise_sd**2 * (WORTH + WORTH_PER_CHANNEL * 2 * fit.records.channels)
    while len(fit.omega):
        drop = _worthless(fit.omega, fit.delta, fit.worth, least)
        if not drop:
            break
        kept = Fit(fit.records, np.delete(fit.omega, drop), np.delete(fit.delta, drop))
        fit = _refined(kept, rounds=2)
    return fit


def _worthless(omega: Array, delta: Array, worth: Array, least: float) -> list[int]:
    """The least worthy poles, no two of them within a bandwidth of one another."""
    chosen: list[int] = []
    for k in np.argsort(worth):
        if worth[k] >= least:
            break
        if all(abs(omega[k] - omega[n]) > 2 * max(delta[k], delta[n]) for n in chosen):
            chosen.append(int(k))
    return chosen


def _missed(fit: Fit, noise_sd: float) -> Fit | None:
    """The poles with one more at the strongest line that the remainder still holds; None where
    noise explains it."""
    records = fit.records
    usual = float(np.median(fit.delta)) if len(fit.delta) else 10 / records.seconds
    window = np.exp(-usual * np.arange(records.frames) / records.rate_hz)
    size = 4 * records.frames
    power = (np.abs(np.fft.rfft(fit.rest * window[:, None], size, axis=0)) ** 2).sum(axis=1)
    power /= noise_sd**2 * float(np.sum(window**2))
    at = int(np.argmax(power[1:-1])) + 1
    if power[at] < records.channels + 6 * math.sqrt(records.channels) + 10:
        return None
    omega = np.append(fit.omega, 2 * np.pi * at * records.rate_hz / size)
    return Fit(records, omega, np.append(fit.delta, usual))


def _two_in_one(fit: Fit, noise_sd: float) -> Fit | None:
    """The poles with one of them split, where two close ones had been taken for it; None where none
    is."""
    if not len(fit.omega):
        return None
    records = fit.records
    unfit = fit.unfit / noise_sd**2
    k, free = int(np.argmax(unfit)), 4 * records.channels
    if unfit[k] < free + 4 * math.sqrt(2 * free) + 6:
        return None
    shift = 0.4 * fit.delta[k]
    omega = np.append(fit.omega, fit.omega[k] + shift)
    omega[k] -= shift
    split = _refined(Fit(records, omega, np.append(fit.delta, fit.delta[k])), rounds=FEW_ROUNDS)
    least = noise_sd**2 * (WORTH + WORTH_PER_CHANNEL * 2 * records.channels)
    return split if fit.cost - split.cost > least else None
