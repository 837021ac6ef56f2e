r"""How energy dies in a box whose faces reflect, absorb and scatter, on average over source and
microphone.

Between two scattering events sound runs like a mirrored ray: a direction keeps the size of its
three components, and meets the pair of faces across axis i every :math:`L_i / (c |u_i|)` seconds,
one face and the other in turn. At a face the share (1 - alpha)(1 - s) goes on mirrored and (1 -
alpha) s starts afresh in Lambert's distribution. So the energy that each face scatters obeys a
renewal equation

.. math:: B_g(t) = K_{0g}(t) + \sum_f \int_0^t B_f(\tau) K_{fg}(t - \tau) \, d\tau

with the kernels summed over a grid of directions, hit by hit. With s = 0 it is the mean of all
image sources; with s = 1 the walls are diffuse. No coefficient is put under a logarithm, so 1 is
allowed.

It knows faces by their mean coefficients: which patch a path meets is the business of the image
sources, early on.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import NDArray

Real = NDArray[np.float64]
Whole = NDArray[np.intp]

_NODES = 8
"""Directions along each of the two angles of an octant."""
_STEPS_PER_PATH = 2.5
"""Time steps in a mean free path."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Box:
    """The geometry of the kernels, shared by all coefficients."""

    step_s: float
    """Between two times [s]."""
    times_s: Real
    """(steps,): from 0 [s]."""
    directions: Real
    """(directions, 3): unit vectors of one octant."""
    weights: Real
    """(directions,): sum to 1."""
    ways: tuple[_Ways, _Ways, _Ways]
    """When each axis is crossed."""
    axes: dict[tuple[int, float, float], _Axis] = field(default_factory=dict)
    """What was worked out of each axis, by what its two faces mirror."""

    @classmethod
    def of(
        cls,
        sides_m: tuple[float, float, float],
        speed_m_s: float,
        seconds: float,
        nodes: int = _NODES,
    ) -> Box:
        """A box whose decay is followed for so long, in so many directions along each of the two
        angles of an octant. [m], [m/s], [s]"""
        sides = np.array(sides_m)
        volume, surface = sides.prod(), 2 * (sides.prod() / sides).sum()
        step = float(4 * volume / surface / speed_m_s / _STEPS_PER_PATH)
        times = np.asarray(step * np.arange(max(int(np.ceil(seconds / step)), 8)), dtype=float)
        directions, weights = _octant(nodes)
        periods = sides / (speed_m_s * directions)
        x, y, z = (_Ways.of(periods, axis, times) for axis in range(3))
        return cls(
            step_s=step,
            times_s=times,
            directions=directions,
            weights=weights,
            ways=(x, y, z),
        )

    def axis(self, i: int, keep: Real) -> _Axis:
        """One axis with two faces that mirror so much, (2,); each worked out once. [1]"""
        key = (i, float(keep[0]), float(keep[1]))
        if key not in self.axes:
            self.axes[key] = _Axis(self.ways[i], keep)
        return self.axes[key]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Ways:
    """When each direction meets the two faces across one axis."""

    period: Real
    """(directions,): from one face to the other [s]."""
    count: Whole
    """(directions, steps): whole periods until each time."""
    part: Real
    """(directions, steps): of the next period [1]."""
    direction: Whole
    """(hits,): of every hit of a ray that leaves one of the two faces."""
    number: Whole
    """(hits,): how many it had before."""
    across: tuple[tuple[Whole, Real], tuple[Whole, Real]]
    """Whole periods of the next two axes until each of these hits, and part of the next."""
    cell: Whole
    """(2 * hits,): parity and time step that each half of a hit is counted to, flat."""
    split: Real
    """(2 * hits,): how large each half is [1]."""

    @classmethod
    def of(cls, periods_s: Real, axis: int, times_s: Real) -> _Ways:
        period = periods_s[:, axis]
        count, part = _whole_and_part(times_s / period[:, None])
        hits = (times_s[-1] / period).astype(np.intp)
        direction = np.repeat(np.arange(hits.size), hits)
        number = np.arange(hits.sum()) - np.repeat(np.cumsum(hits) - hits, hits)
        at_s = (number + 1) * period[direction]
        next_two = (periods_s[direction, (axis + 1) % 3], periods_s[direction, (axis + 2) % 3])
        step = at_s / times_s[1]
        at = np.minimum(step.astype(np.intp), times_s.size - 2)
        cell = at + times_s.size * (number % 2)
        return cls(
            period=period,
            count=count,
            part=part,
            direction=direction,
            number=number,
            across=(_whole_and_part(at_s / next_two[0]), _whole_and_part(at_s / next_two[1])),
            cell=np.concatenate([cell, cell + 1]),
            split=np.concatenate([1 - (step - at), step - at]),
        )


def _whole_and_part(periods: Real) -> tuple[Whole, Real]:
    whole = periods.astype(np.intp)
    return whole, periods - whole


@lru_cache(maxsize=2)
def _octant(nodes: int) -> tuple[Real, Real]:
    x, w = np.polynomial.legendre.leggauss(nodes)
    x, w = (x + 1) / 2, w / 2
    uz, phi = np.meshgrid(x, np.pi / 2 * x, indexing="ij")
    across = np.sqrt(1 - uz**2)
    directions = np.stack([across * np.cos(phi), across * np.sin(phi), uz], axis=-1).reshape(-1, 3)
    return directions, np.outer(w, w).ravel()


def energy(box: Box, alpha: Real, scatter: Real) -> tuple[Real, Real]:
    """Energy left in the room after one unit was put in, air and furniture not counted.

    Parameters
    ----------
    box : Box
    alpha, scatter : (3, 2)
        Mean coefficient of the two faces across each axis, 0 to 1. [1]

    Returns
    -------
    mirrored, scattered : (steps,)
        What has never been scattered, and what has. [1]

    Raises
    ------
    ValueError
        A coefficient outside 0 to 1.
    """
    if np.any((alpha < 0) | (alpha > 1) | (scatter < 0) | (scatter > 1)):
        raise ValueError(f"alpha {alpha}, scatter {scatter}: needed 0 to 1")
    keep = (1 - alpha) * (1 - scatter)
    axes = [box.axis(i, keep[i]) for i in range(3)]
    mirrored, first = _from_anywhere(box, axes)
    left, hits = zip(*(sent for i in range(3) for sent in _from_faces(box, axes, i)), strict=True)
    lost, emitted = (1 - keep).ravel(), ((1 - alpha) * scatter).ravel()
    K0 = _balanced(first, mirrored, lost) * emitted
    K = np.stack([_balanced(h, w, lost) * emitted for h, w in zip(hits, left, strict=True)], axis=1)
    # What is sent out around a step has, at the step, only half left the face.
    present = np.stack(left, axis=1)
    present[0] /= 2
    scattered = renewed(K0, K, present)
    scattered[0] = 0.0
    return mirrored, scattered


class _Axis:
    """Reflections between the two faces across one axis, for every direction and time step."""

    def __init__(self, ways: _Ways, keep: Real) -> None:
        self.ways = ways
        across = max(int(count.max(initial=0)) for count in (ways.count, ways.number))
        k = np.arange(across + 3)
        pairs = (keep[0] * keep[1]) ** (k // 2)
        # after[p, k]: what is left after k reflections, the first of them at side p.
        self.after = np.stack([pairs * np.where(k % 2, keep[p], 1.0) for p in range(2)])

    @cached_property
    def uniform(self) -> Real:
        """Share left where the start lies anywhere between the faces, (directions, steps)."""
        return self.uniform_at(self.ways.count, self.ways.part)

    def uniform_at(self, count: Whole, part: Real) -> Real:
        """The same after so many whole periods and part of the next."""
        table = self.after.mean(axis=0)
        return np.asarray(table[count] + part * np.diff(table)[count])

    @cached_property
    def hit_rates(self) -> tuple[Real, Real]:
        """Energy that meets either side in a second, start anywhere, (directions, steps) each.
        [1/s]"""
        return self._hit_rate(0), self._hit_rate(1)

    def _hit_rate(self, side: int) -> Real:
        # The hit after k reflections is at `side` if the first was there and k is even, or at the
        # other and odd.
        k = np.arange(self.after.shape[1] - 1)
        table = 0.5 * np.where(k % 2, self.after[1 - side, :-1], self.after[side, :-1])
        return np.asarray(table[self.ways.count] / self.ways.period[:, None])

    @cached_property
    def phased(self) -> tuple[Real, Real]:
        """Share left where the start is on either side, (directions, steps) each."""
        return self.after[1][self.ways.count], self.after[0][self.ways.count]


def _from_anywhere(box: Box, axes: list[_Axis]) -> tuple[Real, Real]:
    """Energy left, and energy that meets each face per step, (steps,) and (steps, 6), from a source
    anywhere."""
    S = [axis.uniform for axis in axes]
    left = box.weights @ (S[0] * S[1] * S[2])
    hits = np.empty((box.times_s.size, 6))
    for i in range(3):
        others = S[(i + 1) % 3] * S[(i + 2) % 3]
        for side in range(2):
            hits[:, 2 * i + side] = box.weights @ (others * axes[i].hit_rates[side]) * box.step_s
    hits[0] /= 2
    return left, hits


def _from_faces(box: Box, axes: list[_Axis], i: int) -> list[tuple[Real, Real]]:
    """The same for a unit that each of the two faces across one axis sends out after Lambert."""
    j, k = (i + 1) % 3, (i + 2) % 3
    weights = 2 * box.weights * box.directions[:, i]
    S_j, S_k = axes[j].uniform, axes[k].uniform
    neither, own = S_j * S_k, _own_pair(box, axes, i, weights)
    sent = []
    for side in range(2):
        start = axes[i].phased[side]
        left = weights @ (start * neither)
        hits = np.zeros((box.times_s.size, 6))
        for axis, other in ((j, S_k), (k, S_j)):
            along = start * other
            for face in range(2):
                rate = weights @ (along * axes[axis].hit_rates[face])
                hits[:, 2 * axis + face] = rate * box.step_s
        hits[0] /= 2
        hits[:, 2 * i : 2 * i + 2] += own[side]
        sent.append((left, hits))
    return sent


def _own_pair(box: Box, axes: list[_Axis], i: int, weights: Real) -> tuple[Real, Real]:
    """Reflections across the axis of the face that sent it out: one at every period, shared between
    two steps. For either face what meets the two, (steps, 2) each."""
    ways, after = axes[i].ways, axes[i].after
    reached = weights[ways.direction]
    for other, (count, part) in zip((i + 1, i + 2), ways.across, strict=True):
        reached = reached * axes[other % 3].uniform_at(count, part)
    steps, met = box.times_s.size, list[Real]()
    for side in range(2):
        share = np.tile(reached * after[1 - side][ways.number], 2) * ways.split
        # The first hit is at the other side, the next at the one that it left.
        there, here = np.bincount(ways.cell, share, 2 * steps).reshape(2, steps)
        pair = (there, here) if side else (here, there)
        met.append(np.asarray(np.column_stack(pair), dtype=float))
    return met[0], met[1]


def _balanced(hits: Real, left: Real, lost: Real) -> Real:
    """Hits scaled so that what was lost and what is left make one: the steps are coarse, the energy
    is not."""
    gone = float((hits * lost).sum())
    return hits * ((1 - left[-1]) / gone) if gone > 0 else hits


def renewed(first: Real, again: Real, left: Real) -> Real:
    """Energy that was scattered at least once, from the renewal equation on damped spectra.

    Parameters
    ----------
    first : (steps, faces)
        Scattered by each face straight from the source, per step. [1]
    again : (steps, faces, faces)
        Scattered by the last, so long after a unit left the one before. [1]
    left : (steps, faces)
        Still in the room, unscattered, so long after it left the face. [1]

    Returns
    -------
    (steps,)
        [1]
    """
    from scipy.fft import irfft, next_fast_len, rfft

    N, G = first.shape
    if not first.any():
        return np.zeros(N)
    # What comes after the last step wraps round to the start, a million times weaker.
    size = next_fast_len(N, real=True)
    damp = np.exp(-np.log(1e6) / size * np.arange(N))
    sent = rfft(first * damp[:, None], size, axis=0)
    over = rfft(again * damp[:, None, None], size, axis=0)
    stay = rfft(left * damp[:, None], size, axis=0)
    all_sent = np.linalg.solve(np.eye(G) - over.transpose(0, 2, 1), sent[:, :, None])[:, :, 0]
    # Rounding leaves about 1e-10 of the start, of either sign.
    return np.asarray(np.maximum(irfft((all_sent * stay).sum(axis=1), size)[:N] / damp, 0.0))


def decay_fit_s(
    times_s: Real, remaining: Real, top_db: float = -5.0, bottom_db: float = -25.0
) -> float | None:
    """Reverberation time of an energy decay curve: least squares between two levels, as ISO 3382-1
    fits T20.

    Parameters
    ----------
    times_s, remaining : (steps,)
        Integrated backwards, whole tail included. [s], [1]
    top_db, bottom_db : float
        [dB]

    Returns
    -------
    float or None
        None where the curve does not reach that far down. [s]
    """
    with np.errstate(divide="ignore"):
        level = 10 * np.log10(remaining / remaining[0])
    if level[-1] > bottom_db:
        return None
    fine = np.linspace(top_db, bottom_db, 81)
    at = np.interp(-fine, -level, times_s)
    # Least squares of level on time, the curve sampled evenly in time between the two levels.
    t = np.linspace(at[0], at[-1], 200)
    t_off = t - t.mean()
    slope = t_off @ np.interp(t, times_s, level) / (t_off @ t_off)
    return float(-60 / slope)


def remaining(times_s: Real, power: Real) -> Real:
    """Backward integral of an energy-time curve, its tail beyond the last step carried on at the
    last slope. (steps,)

    The last slope is taken over the final fifth.
    """
    step = times_s[1] - times_s[0]
    back = max(len(power) // 5, 2)
    early, late = power[-2 * back : -back].sum(), power[-back:].sum()
    ratio = min(late / early, 0.999) if early > 0 else 0.0
    beyond = late * ratio / (1 - ratio)
    return np.asarray((np.cumsum(power[::-1])[::-1] + beyond - 0.5 * power) * step)
