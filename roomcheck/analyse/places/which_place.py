"""Which of the job's places, or which other spot of the room, a take's early reflections go with
best."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from roomcheck.analyse.echoes.peaks import SMEAR_S
from roomcheck.analyse.places.evidence import (
    REACH_S,
    Arrived,
    Images,
    Loss,
    climbed,
    evidence,
    images,
    of_views,
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

LEAST_EVIDENCE, MORE_AN_ARRIVAL = 7.0, 0.2
"""A pair is named only with at least so much evidence of its own, more with more arrivals, of which
some always fit. Right takes in the hard room show 8.9 with 3 arrivals to 26 with 33; of 400 draws
of noise that dies away 3 show more than this, and of 405 wrong takes of known rooms none shows less
(our own figures). [1]"""

SEARCHED_CHANCES, SEARCHED_MARGIN = 4, 3.0
"""A spot is named only where the arrivals as they came go better with it by so much than the same
arrivals at random moments do with the best spot of theirs, in so many draws. [1]"""

SHAKEN_S = 0.001
"""Arrivals are put to random moments within so much of their own. [s]"""

SEARCHED_M, STEP_M, HEIGHTS_M = 3.0, (0.12, 0.12, 0.15), (0.5, 2.2)
"""A microphone is looked for so far around its typed place, in such steps, at heights where stands
reach. [m]"""

COARSE_S, TOPS, APART_M = 0.0002, 8, 0.3
"""First look at arrivals timed that well, then closely at the best so many spots that far apart.
[s], [1], [m]"""

AT_ONCE = 256
"""So many spots are looked at together: what the processor has near. [1]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Placing:
    """What the early reflections of a take say of where it was recorded."""

    typed: Pair
    other: Pair | None
    """The pair of the job that they go with clearly better; None where none is."""
    spot: Point | None
    """Where in the room the microphone would have to stand for them to fit clearly better; None
    where no place of the room is, or another pair is [m]."""
    away_m: float | None
    """From the typed place to that spot [m]."""
    gain: float
    """Logarithm of the evidence for the best other pair or spot over the typed pair's [1]."""
    alike: tuple[Pair, ...]
    """Pairs of the job that cannot be told from the typed one by their reflections."""

    @property
    def elsewhere(self) -> bool:
        """Whether another pair or another spot explains the take clearly better."""
        return self.other is not None or self.spot is not None


@dataclass(frozen=True, slots=True, eq=False)
class _Scene:
    """What a take is held against."""

    heard: Arrived
    room: Room
    loss_db: Loss
    speed_m_s: float

    def images(self, ends: Ends) -> Images:
        return images(self.room, *ends, self.loss_db, self.speed_m_s)


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
    scene = _Scene(heard, room, loss_db, speed_m_s)
    own_images = scene.images(ends[typed])
    own = evidence(heard, own_images, speed_m_s)
    own_delays_s = first_delays_s(room, ends[typed], speed_m_s)
    alike = tuple(
        pair
        for pair in ends
        if pair != typed and _are_alike(own_delays_s, first_delays_s(room, ends[pair], speed_m_s))
    )
    told_apart = {pair: ends[pair] for pair in ends if pair != typed and pair not in alike}
    other, gain = _other_pair(scene, told_apart, own)
    if other is not None:
        return Placing(typed=typed, other=other, spot=None, away_m=None, gain=gain, alike=alike)
    spot, spot_gain = _other_spot(scene, own_images, own)
    away_m = None if spot is None else distance_m(spot, ends[typed][1])
    return Placing(
        typed=typed, other=None, spot=spot, away_m=away_m, gain=max(gain, spot_gain), alike=alike
    )


def _other_pair(
    scene: _Scene, others: Mapping[Pair, Ends], own: float
) -> tuple[Pair | None, float]:
    """The pair that the take goes with clearly better, and how much better the best one is. [1]"""
    seen = {pair: scene.images(ends) for pair, ends in others.items()}
    found = {pair: evidence(scene.heard, seen[pair], scene.speed_m_s) for pair in seen}
    best = max(found, key=lambda pair: found[pair], default=None)
    if best is None:
        return None, 0.0
    gain = found[best] - own
    least = LEAST_EVIDENCE + MORE_AN_ARRIVAL * len(scene.heard.delay_s)
    sure = gain > OTHER_PAIR and found[best] > least
    return (best if sure else None), gain


def _other_spot(scene: _Scene, seen: Images, own: float) -> tuple[Point | None, float]:
    """The spot that the take goes with clearly better, and how much better the best one is. [1]"""
    search = _Search.around(seen, scene.room, scene.speed_m_s)
    spot, best = search.best(scene.heard)
    if best - own <= OTHER_SPOT:
        return None, best - own
    shaken = _shaken(scene.heard, SEARCHED_CHANCES)
    sure = all(best > search.best(heard)[1] + SEARCHED_MARGIN for heard in shaken)
    return (spot if sure else None), best - own


def _shaken(heard: Arrived, count: int) -> Iterator[Arrived]:
    """The same arrivals at random moments near their own."""
    rng = np.random.default_rng(0)
    for _ in range(count):
        moved = heard.delay_s + rng.uniform(-SHAKEN_S, SHAKEN_S, len(heard.delay_s))
        yield replace(heard, delay_s=np.clip(moved, SMEAR_S, REACH_S))


def is_alike(room: Room, one: Ends, two: Ends, speed_m_s: float) -> bool:
    """Whether the first reflections of two pairs come at the same times after the direct sound."""
    return _are_alike(first_delays_s(room, one, speed_m_s), first_delays_s(room, two, speed_m_s))


def _are_alike(first: Real, second: Real) -> bool:
    return len(first) == len(second) and bool(np.abs(first - second).max(initial=0.0) <= ALIKE_S)


def first_delays_s(room: Room, ends: Ends, speed_m_s: float) -> Real:
    """Delays of the first reflections of first order, at most six. [s]"""
    direct_m = distance_m(*ends)
    delays = sorted((path.length_m - direct_m) / speed_m_s for path in mirror_paths(room, *ends, 1))
    return np.array(delays[:FIRST_DELAYS])


@dataclass(frozen=True, slots=True, eq=False)
class _Search:
    """Spots around a microphone, and what is due at each of them."""

    seen: Images
    speed_m_s: float
    spots: Real
    """(spots, 3) [m]."""
    delay_s: Real
    level_db: Real
    """(spots, images) [s], [dB]."""

    @classmethod
    def around(cls, seen: Images, room: Room, speed_m_s: float) -> _Search:
        spots = _spots(room, seen.microphone_m)
        views = seen.seen_from(spots - seen.microphone_m, speed_m_s)
        return cls(seen, speed_m_s, spots, *views)

    def best(self, heard: Arrived) -> tuple[Point, float]:
        """The spot that goes best with the arrivals, and its evidence. [m], [1]"""
        tops = [self.spots[k] - self.seen.microphone_m for k in self._tops(self._coarse(heard))]
        found = [climbed(heard, self.seen, shift, self.speed_m_s) for shift in tops]
        best, shift = max(found, key=lambda one: one[0])
        return Point(*(self.seen.microphone_m + shift).tolist()), best

    def _coarse(self, heard: Arrived) -> Real:
        """A first look at all spots, (spots,). [1]"""
        parts = [
            of_views(
                heard,
                self.delay_s[k : k + AT_ONCE],
                self.level_db[k : k + AT_ONCE],
                self.seen.order,
                COARSE_S,
                np.float32,
            )
            for k in range(0, len(self.spots), AT_ONCE)
        ]
        return np.concatenate(parts)

    def _tops(self, coarse: Real) -> list[int]:
        """The best spots at a first look, some way apart."""
        tops: list[int] = []
        for k in np.argsort(-coarse).tolist():
            if all(np.linalg.norm(self.spots[k] - self.spots[top]) > APART_M for top in tops):
                tops.append(k)
            if len(tops) == TOPS:
                break
        return tops


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
