r"""Whether a pole of the fit is a mode of the room: it stands by itself, and is found again where
only some of the places, or only what is left later, is looked at.

In a real room a fit always gives poles, close together and evenly spaced where many modes overlap.
Their bounds are small because the noise is, but other places give others. What such poles have in
common: nearly all that each explains its neighbours could explain as well.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from roomcheck.analyse.modes.damped import Fit
from roomcheck.analyse.modes.low_end import LowEnd
from roomcheck.analyse.modes.poles import MOST_POLES
from roomcheck.analyse.modes.subspace import Subspaces

Array = NDArray[np.float64]
Flags = NDArray[np.bool_]

LEAST_OWN = 0.25
"""Part of a pole's energy that no other pole could take over. In two real rooms with overlapping
modes nine poles in ten have less than 0.1, in made-up boxes half of the modes with a bandwidth to
themselves have more than 0.5. [1]"""

STEADY_OWN, STEADY_SPREAD, STEADY_MOVED = 0.05, 0.03, 0.2
"""From one place alone, a pole that is known so well and stays so well where it is in what is left
later, in half bandwidths, is a mode though less of its energy is its own. In made-up boxes 58 % of
the modes with a bandwidth to themselves are named with it, 51 % without, and none that is not
there. From six places of a real room it named modes that six others denied (our own figures).
[1]"""

MOST_SPREAD, MOST_MOVED = 0.1, 0.6
"""Of frequency and damping together, in half bandwidths: standard uncertainty from place to place,
and median distance to where parts of the records have the pole. [1]"""

MOST_U = 0.15
"""Standard uncertainty of a frequency, in bandwidths. [1]"""

PULL = 0.1
"""A frequency may be off by so many bandwidths times how impure its pole is, whatever one set of
places says: found with 12 places of two states of a real room, six against six. [1]"""

LEAST_U = 0.01
"""No frequency is said to be known better than this part of its bandwidth, no decay better than
twice this part of itself: air a third of a degree warmer moves as much. [1]"""

ALONE_U = 0.07
"""From one place alone no frequency is known better than this part of a bandwidth, no decay better
than twice this part of itself: single places of two real rooms have one another's modes and those
of all others together so far off (our own figures; the fit's own bound is a third of it). [1]"""

LATER = (0.3, 0.6, 0.9, 1.2)
"""With one record: looked at again from so many of its usual time constants later. [1]"""

NEAR_OCTAVES, LEAST_SHARE = 0.5, 0.25
"""With one record: as many of all strong poles within half an octave must be modes. [1]"""


@dataclass(frozen=True, slots=True, eq=False)
class Evidence:
    """What speaks for each pole of a fit, by rising frequency."""

    own: Array
    """Part of its energy that no other pole could take over, (poles,) [1]."""
    impure: Array
    """Amplitude of what t and t^2 times the pole would take up beyond noise, over the pole's own,
    over the root of `own`: 0 for one decay that all places share, (poles,) [1]."""
    spread: Array
    """Standard uncertainty of frequency and damping together from place to place, in half
    bandwidths, (poles,) [1]."""
    moved: Array
    """How far frequency and damping together move where parts of the records are looked at, in half
    bandwidths, (poles,) [1]."""
    frequency_u: Array
    """Standard uncertainty, in bandwidths, (poles,) [1]."""
    damping_u: Array
    """Standard uncertainty, relative, (poles,) [1]."""

    def holds(self, *, single: bool = False) -> Flags:
        """Which poles are modes; `single`: of one place alone."""
        steady = single & (self.spread <= STEADY_SPREAD) & (self.moved <= STEADY_MOVED)
        return np.asarray(
            (self.own >= np.where(steady, STEADY_OWN, LEAST_OWN))
            & (self.spread <= MOST_SPREAD)
            & (self.moved <= MOST_MOVED)
            & (self.frequency_u <= MOST_U)
        )


def evidence(low: LowEnd, fit: Fit, subspaces: Subspaces, noise: Array) -> Evidence:
    """What speaks for each pole.

    Parameters
    ----------
    low : LowEnd
        Responses below a frequency, in units of their noise.
    fit : Fit
        To all of them.
    subspaces : Subspaces
        Of all of them.
    noise : (poles,)
        Power of the noise near each pole, re white noise of the records' own variance. [1]
    """
    worth, whole = fit.worth, fit.whole
    excess = np.maximum(fit.unfit - 4 * fit.records.channels * noise, 0)
    bound = _relative(fit, np.sqrt(fit.covariance.diagonal() * np.tile(noise, 2)))
    between = _relative(fit, between_places(fit)) if fit.records.channels > 1 else bound
    moves = _moves(low, fit, subspaces)
    moved = np.hypot(2 * moves[0], moves[1])
    least = LEAST_U if fit.records.channels > 1 else ALONE_U
    impure = np.sqrt(excess * whole) / worth
    return Evidence(
        own=worth / whole,
        impure=impure,
        spread=np.hypot(2 * between[0], between[1]),
        moved=np.median(moved, axis=0),
        frequency_u=_u(fit, between[0], bound[0], moves[0], PULL * impure, least),
        damping_u=_u(fit, between[1], bound[1], moves[1], 2 * PULL * impure, 2 * least),
    )


def between_places(fit: Fit) -> Array:
    """Standard uncertainty of frequencies [rad/s], then dampings, by how the places pull at them.

    The covariance is J'J inverse, times the sum of each place's own gradient squared, times J'J
    inverse again: true where the model is not (H. White, Econometrica 50 (1982) 1; from memory).
    (2 poles,)
    """
    places = fit.records.channels
    pulls = fit.covariance @ fit.gradients
    return np.asarray(np.sqrt((pulls**2).sum(axis=1) * places / (places - 1)))


def _relative(fit: Fit, sd: Array) -> Array:
    """Frequencies in bandwidths, dampings in themselves. (2, poles)"""
    k = len(fit.omega)
    return np.stack([sd[:k] / (2 * fit.delta), sd[k:] / fit.delta])


def _u(fit: Fit, between: Array, bound: Array, moves: Array, pull: Array, least: float) -> Array:
    """Standard uncertainty such that twice it is the half-width for 95 in 100."""
    from scipy.special import stdtrit

    places = fit.records.channels
    student = 1.0 if places == 1 else float(stdtrit(places - 1, 0.975)) / 1.96
    typical = np.median(np.abs(moves), axis=0) / 1.2
    within = np.maximum(student * between, bound)
    return np.asarray(np.sqrt(within**2 + pull**2 + typical**2 + least**2))


def _moves(low: LowEnd, fit: Fit, subspaces: Subspaces) -> Array:
    """How far each pole is from the nearest where parts of the records are looked at: frequencies
    in bandwidths, dampings as logarithms. (2, parts, poles)"""
    places = fit.records.channels
    if places == 1:
        parts = [_later(low, fit, times) for times in LATER]
    else:
        parts = [subspaces.poles(group) for group in groups(places)]
    return np.stack([_nearest(fit, *part) for part in parts], axis=1)


def groups(places: int) -> list[list[int]]:
    """Some of the places, and the others: halves split in two ways, from four places on."""
    every = list(range(places))
    if places < 4:
        singles = [[k] for k in every]
        pairs = [[k for k in every if k != left] for left in every]
        return singles + (pairs if places == 3 else [])
    first = [every[0::2], [k for k in every if k % 4 in (0, 3)]]
    return [half for part in first for half in (part, [k for k in every if k not in part])]


def _later(low: LowEnd, fit: Fit, times: float) -> tuple[Array, Array]:
    """Poles of what is left so many usual time constants later."""
    skip = int(min(times * float(np.median(1 / fit.delta)) * low.rate_hz, len(low.y) // 2))
    return Subspaces(low.y[skip:], low.rate_hz, 1.0, MOST_POLES).poles()


def _nearest(fit: Fit, omega: Array, delta: Array) -> Array:
    """(2, poles)"""
    if not len(omega):
        return np.full((2, len(fit.omega)), np.inf)
    across = (omega - fit.omega[:, None]) / (2 * fit.delta[:, None])
    along = np.log(delta / fit.delta[:, None])
    at = np.argmin(across**2 + (along / 2) ** 2, axis=1)[:, None]
    return np.stack([np.take_along_axis(x, at, axis=1)[:, 0] for x in (across, along)])


def crowd_holds(frequency_hz: Array, strong: Flags, holds: Flags) -> Flags:
    """Which modes of a single record are no luck: enough of the strong poles around them are modes
    too.

    One record cannot be split by places, and of what decays without modes some poles stay where
    they are by chance.
    """
    octaves = np.abs(np.log2(frequency_hz[:, None] / frequency_hz))
    near = octaves <= NEAR_OCTAVES
    modes, candidates = near @ holds.astype(float), near @ (strong | holds).astype(float)
    return np.asarray(holds & (modes >= LEAST_SHARE * candidates))
