"""Which of the job's places, or which other spot of the room, a take's early reflections go with
best."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from roomcheck.analyse.places.evidence import (
    Arrived,
    Images,
    Loss,
    at_shifts,
    climbed,
    evidence,
    images,
)
from roomcheck.geometry import Point, Room, distance_m
from roomcheck.mirrors import mirror_paths

Real = NDArray[np.float64]
Pair = tuple[str, str]
"""Source and microphone."""

Ends = tuple[Point, Point]
"""Their places [m]."""

FIRST_DELAYS, ALIKE_S = 6, 0.0002
"""Two pairs whose first reflections come at the same times to this cannot be told apart: mirrored
places, source and microphone exchanged. [1], [s]"""

OTHER_PAIR, OTHER_SPOT = 3.0, 10.0
"""By how much the logarithm of the evidence for another pair of the job, or for any other spot,
must exceed that for the pair typed. Right takes stay below, in a hard room of known places, typed 5
cm off (2.3 and 3.8 of 78), and in made-up rooms (1 and 1 of 104 above, among ten things that are no
wall); wrong ones lie above in 99 and 92 % there (our own figures). [1]"""

SEARCHED_M, STEP_M, HEIGHTS_M = 3.0, (0.12, 0.12, 0.15), (0.5, 2.2)
"""A microphone is looked for so far around its typed place, in such steps, at heights where stands
reach. [m]"""

COARSE_S, TOPS, APART_M = 0.0002, 8, 0.3
"""First look at arrivals timed that well, then closely at the best so many spots that far apart.
[s], [1], [m]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Placing:
    """What the early reflections of a take say of where it was recorded."""

    typed: Pair
    other: Pair | None
    """The pair of the job that they go with best besides; None where the job has no other that can
    be told apart."""
    other_gain: float
    """Logarithm of its evidence over the typed pair's [1]."""
    spot: Point
    """Where in the room the microphone would have to stand for them to fit best [m]."""
    spot_gain: float
    """Logarithm of its evidence over the typed place's [1]."""
    away_m: float
    """From the typed place to that spot [m]."""
    alike: tuple[Pair, ...]
    """Pairs of the job that cannot be told from the typed one by their reflections."""

    @property
    def elsewhere(self) -> bool:
        """Whether another pair or another spot explains the take clearly better."""
        return self.fits_other or self.spot_gain > OTHER_SPOT

    @property
    def fits_other(self) -> bool:
        """Whether another pair of the job explains it clearly better."""
        return self.other is not None and self.other_gain > OTHER_PAIR


def placing(
    heard: Arrived,
    typed: Pair,
    ends: Mapping[Pair, Ends],
    *,
    room: Room,
    loss_db: Loss,
    speed_m_s: float,
) -> Placing:
    """Hold a take against the pair that it is said to be of, the job's others, and the room.

    Parameters
    ----------
    heard : Arrived
    typed : (source, microphone)
    ends : mapping
        Places of every pair of the job, of the typed one too. [m]
    room : Room
    loss_db : callable
        What a path should lose on its faces. [dB]
    speed_m_s : float
        Of sound. [m/s]
    """
    own_images = images(room, *ends[typed], loss_db, speed_m_s)
    own = evidence(heard, own_images, speed_m_s)
    alike = tuple(
        pair
        for pair in ends
        if pair != typed and is_alike(room, ends[typed], ends[pair], speed_m_s)
    )
    gains = {
        pair: evidence(heard, images(room, *ends[pair], loss_db, speed_m_s), speed_m_s) - own
        for pair in ends
        if pair != typed and pair not in alike
    }
    other = max(gains, key=lambda pair: gains[pair], default=None)
    spot, best = _best_spot(heard, own_images, room, speed_m_s)
    return Placing(
        typed=typed,
        other=other,
        other_gain=0.0 if other is None else gains[other],
        spot=spot,
        spot_gain=best - own,
        away_m=distance_m(spot, ends[typed][1]),
        alike=alike,
    )


def is_alike(room: Room, one: Ends, two: Ends, speed_m_s: float) -> bool:
    """Whether the first reflections of two pairs come at the same times after the direct sound."""
    first, second = first_delays_s(room, one, speed_m_s), first_delays_s(room, two, speed_m_s)
    if len(first) != len(second):
        return False
    return bool(np.abs(first - second).max(initial=0.0) <= ALIKE_S)


def first_delays_s(room: Room, ends: Ends, speed_m_s: float) -> Real:
    """Delays of the first reflections of first order, at most six. [s]"""
    direct_m = distance_m(*ends)
    delays = sorted((path.length_m - direct_m) / speed_m_s for path in mirror_paths(room, *ends, 1))
    return np.array(delays[:FIRST_DELAYS])


def _best_spot(heard: Arrived, seen: Images, room: Room, speed_m_s: float) -> tuple[Point, float]:
    """The spot that goes best with the arrivals, and its evidence. [m], [1]"""
    spots = _spots(room, seen.microphone_m)
    shifts = spots - seen.microphone_m
    coarse = np.concatenate(
        [
            at_shifts(heard, seen, part, speed_m_s, COARSE_S)
            for part in np.array_split(shifts, max(len(shifts) // 1000, 1))
        ]
    )
    tops: list[int] = []
    for k in np.argsort(-coarse).tolist():
        if all(np.linalg.norm(spots[k] - spots[top]) > APART_M for top in tops):
            tops.append(k)
        if len(tops) == TOPS:
            break
    found = [climbed(heard, seen, shifts[k], speed_m_s) for k in tops]
    best, shift = max(found, key=lambda one: one[0])
    return Point(*(seen.microphone_m + shift).tolist()), best


def _spots(room: Room, around_m: Real) -> Real:
    """A grid of spots inside the room, around a place: (spots, 3) [m]"""
    low = np.array([*(around_m[:2] - SEARCHED_M), HEIGHTS_M[0]])
    high = np.array([*(around_m[:2] + SEARCHED_M), HEIGHTS_M[1]])
    axes = [np.arange(a, b, step) for a, b, step in zip(low, high, STEP_M, strict=True)]
    spots = np.stack(np.meshgrid(*axes, indexing="ij"), axis=-1).reshape(-1, 3)
    floor = spots[:: len(axes[2])]
    inside = np.array([room.holds(Point(x, y, HEIGHTS_M[0])) for x, y, _ in floor.tolist()])
    kept = spots[np.repeat(inside, len(axes[2]))]
    return np.concatenate([around_m[None], kept])
