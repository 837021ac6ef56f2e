"""What is believed about a room's absorption before and after it was measured.

Small Bayesian arithmetic on logarithms, so that nothing becomes negative: every unknown (the
coefficient of each material, how much the room scatters, how wrong the formula is) is one row with
a value and a spread per band. The measured decays are the data. Where the data cannot tell two
surfaces apart, both stay as wide as they were. How much a room scatters acts too crookedly for that
arithmetic: it is tried at several values, each weighed by how well it explains the data.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Real = NDArray[np.float64]

BAND_CORRELATION = 0.5
"""How far one unknown is off the same way in all bands: a table row that is too high at 500 Hz is
likely too high at 1 kHz. Nobody publishes it; half is a judgement."""

_LONGEST = 2.0
"""Longest step of `fitted`, in standard deviations."""

_LONGEST_STEP, _STILL = 1.0, 1e-6
"""Longest step of `updated`, and the one after which it stops. [log]"""

Model = Callable[[Real], tuple[Real, Real]]
"""Rows (..., rows, bands) to log decay (..., bands) and its derivative (..., rows, bands)."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Belief:
    """A normal distribution over the logarithms of the unknowns."""

    mean: Real
    """(rows, bands) [log]."""
    covariance: Real
    """(rows * bands, rows * bands) [log^2]."""

    @property
    def spread(self) -> Real:
        """Standard deviation of each unknown, (rows, bands). [log]"""
        return np.asarray(np.sqrt(np.diag(self.covariance)).reshape(self.mean.shape))

    def draws(self, count: int, seed: int) -> Real:
        """So many possible rooms, (count, rows, bands). [log]

        By the symmetric root of the covariance, which is one: eigenvectors of equal values are
        whichever the machine's library happens to give.
        """
        value, vector = np.linalg.eigh(self.covariance)
        noise = np.random.default_rng(seed).standard_normal((count, value.size))
        root = (vector * np.sqrt(np.maximum(value, 0.0))) @ vector.T
        moved = noise @ root
        return np.asarray(self.mean + moved.reshape(count, *self.mean.shape))


def prior(mean: Real, spread: Real, correlation: float | Real = BAND_CORRELATION) -> Belief:
    """Rows independent of each other, each correlated across bands.

    Parameters
    ----------
    mean, spread : (rows, bands)
        [log]
    correlation : float or (rows,)
        Between any two bands of a row. [1]
    """
    rows, bands = mean.shape
    alike = np.broadcast_to(np.asarray(correlation, dtype=float), (rows,))
    covariance = np.zeros((rows, bands, rows, bands))
    for r in range(rows):
        shape = alike[r] + (1 - alike[r]) * np.eye(bands)
        covariance[r, :, r, :] = shape * np.outer(spread[r], spread[r])
    return Belief(mean=mean, covariance=covariance.reshape(rows * bands, rows * bands))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Explained:
    """How measured decays stand to what was believed of them before they were measured."""

    off: Real
    """(bands,): log of measured over expected; NaN where not measured [log]."""
    covariance: Real
    """(bands, bands): of `off`, by tables, model and measurement [log^2]."""

    def log_density(self, at: NDArray[np.intp], shift: Real | float = 0.0) -> Real:
        """Log of how likely these octaves are, `shift` (..., octaves) taken off them first. [1]"""
        S = self.covariance[np.ix_(at, at)]
        rest = self.off[at] - shift
        squares = (rest * np.linalg.solve(S, rest[..., None])[..., 0]).sum(axis=-1)
        return np.asarray(-0.5 * (squares + np.linalg.slogdet(2 * np.pi * S)[1]))

    def squares(self, at: NDArray[np.intp]) -> float:
        """Squared distance of these octaves from what was believed, chi-square where it is true.
        [1]"""
        S = self.covariance[np.ix_(at, at)]
        return float(self.off[at] @ np.linalg.solve(S, self.off[at]))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Mixture:
    """Beliefs of which one holds."""

    parts: tuple[Belief, ...]
    weights: Real
    """(parts,): sum to 1 [1]."""

    @property
    def matched(self) -> Belief:
        """The one normal distribution with the same mean and covariance."""
        mean = np.einsum("p,prb->rb", self.weights, [part.mean for part in self.parts])
        covariance = np.zeros_like(self.parts[0].covariance)
        for weight, part in zip(self.weights, self.parts, strict=True):
            off = (part.mean - mean).ravel()
            covariance += weight * (part.covariance + np.outer(off, off))
        return Belief(mean=mean, covariance=covariance)

    def counts(self, count: int) -> NDArray[np.intp]:
        """How many of so many draws each part gets, (parts,)."""
        edges = np.rint(count * np.concatenate([[0.0], np.cumsum(self.weights)])).astype(np.intp)
        return np.asarray(np.diff(edges), dtype=np.intp)


def weighed(
    parts: tuple[Belief, ...], explained: tuple[Explained, ...], weights: Real, at: NDArray[np.intp]
) -> Mixture:
    """Weigh beliefs by how likely each of them said that these octaves were.

    Parameters
    ----------
    parts : tuple of Belief
        After the measurement.
    explained : tuple of Explained
        By each of them before it.
    weights : (parts,)
        Before it. [1]
    at : (octaves,)
        Which octaves count; the weights stay where there is none.
    """
    if not len(at):
        return Mixture(parts=parts, weights=weights)
    logs = np.array([float(each.log_density(at)) for each in explained]) + np.log(weights)
    shares = np.exp(logs - logs.max())
    return Mixture(parts=parts, weights=shares / shares.sum())


def explained_by(
    believed: Belief, after: Belief, model: Model, log_measured: Real, spread: Real
) -> Explained:
    """Hold measured decays against what was believed, the model made linear where they led to.

    Parameters
    ----------
    believed, after : Belief
        Before and after the measurement.
    model : Model
    log_measured, spread : (bands,)
        As of `updated`. [log]
    """
    predicted, slope = model(after.mean)
    H = _blocks(slope)
    expected = predicted + H @ (believed.mean - after.mean).ravel()
    own = np.diag(np.where(np.isfinite(spread), spread, 0.0) ** 2)
    return Explained(off=log_measured - expected, covariance=H @ believed.covariance @ H.T + own)


def updated(
    believed: Belief, model: Model, log_measured: Real, spread: Real, steps: int = 30
) -> Belief:
    """What to believe once decays are measured.

    Parameters
    ----------
    believed : Belief
    model : Model
    log_measured, spread : (bands,)
        Log of the measured decay and its standard uncertainty; NaN where there is none. [log]
    steps : int
        Most times that the model is made linear anew around the latest mean (Gauss and Newton). No
        unknown moves by more than a factor e in one of them: where nobody knows a coefficient, a
        whole step leaves the room.

    Returns
    -------
    Belief
        Normal around the most probable room (Laplace's approximation).

    References
    ----------
    Tarantola, Inverse Problem Theory, section 3.2 (from memory).
    """
    has = np.isfinite(log_measured)
    if not has.any():
        return believed
    mean, P, R = believed.mean, believed.covariance, np.diag(spread[has] ** 2)
    for _ in range(steps):
        predicted, slope = model(mean)
        H = _blocks(slope)[has]
        gain = np.linalg.solve(H @ P @ H.T + R, H @ P).T
        off = (believed.mean - mean).ravel()
        step = (
            believed.mean
            + (gain @ ((log_measured - predicted)[has] - H @ off)).reshape(mean.shape)
            - mean
        )
        mean = mean + step * min(1.0, _LONGEST_STEP / max(float(np.abs(step).max()), 1e-12))
        if np.abs(step).max() < _STILL:
            break
    _, slope = model(mean)
    H = _blocks(slope)[has]
    gain = np.linalg.solve(H @ P @ H.T + R, H @ P).T
    covariance = P - gain @ H @ P
    return Belief(mean=mean, covariance=(covariance + covariance.T) / 2)


def fitted(believed: Belief, model: Model, draws: Real, steps: int = 4) -> Real:
    """Take Newton steps that make each sample reproduce the decay which the linear model gave it.

    Surfaces that nobody knows trade against each other over decades, and there a straight line is a
    poor picture of a sum of exponentials: without this step the middle of the samples would miss
    the measured decay.

    Parameters
    ----------
    believed : Belief
        That the samples came from.
    model : Model
    draws : (draws, rows, bands)
        [log]
    steps : int
        Of Newton's method, each unknown moved by its own variance.
    """
    log_T, slope = model(believed.mean)
    meant = log_T + ((draws - believed.mean) * slope).sum(axis=-2)
    moved = draws
    for _ in range(steps):
        log_T, slope = model(moved)
        push = believed.spread**2 * slope
        variance = (push * slope).sum(axis=-2)
        longest = _LONGEST / variance**0.5
        step = np.clip((meant - log_T) / variance, -longest, longest)
        moved = moved + push * step[:, None]
    return moved


def _blocks(slope: Real) -> Real:
    """Derivative of each band by every unknown: a band's decay hangs on its own band alone. (bands,
    rows * bands)"""
    rows, bands = slope.shape
    H = np.zeros((bands, rows, bands))
    H[np.arange(bands), :, np.arange(bands)] = slope.T
    return H.reshape(bands, rows * bands)
