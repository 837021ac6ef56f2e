"""A rail: one long wall cleat for a row of pieces that do not meet their studs, screwed to every
stud that it crosses; what each screw and the rail itself carry, by statics.

What is counted beside what `on_studs` counts:

- Any of the pieces may hang or be off, each a quarter inch off its mark to either side, and rest on
  the rail in its middle or on both ends of its cleat: every stud is counted with the worst of it.
- A stud carries the largest of three answers: the rail jointed over every stud (law of the lever),
  the rail running through on studs that do not give (three moments), and the rail stiff on studs
  that give alike. A real rail lies between them.
- The rail bends between its studs as if it were jointed there, down and off the wall at once.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import pairwise, product
from math import ceil, floor, inf

from roomcheck.geometry import Face, Rectangle
from roomcheck.job.model.job import Framing
from roomcheck.job.model.practice import ShopPractice
from roomcheck.job.on_studs import (
    EDGE_M,
    GRAVITY_M_S2,
    MOST_PER_STUD,
    OFF_M,
    WallCleat,
    WallScrew,
    cleat_kg,
    cleat_lengths,
    pull_share,
    screw_heights_m,
    stud_shares,
    studs_behind_m,
    wall_screw,
)
from roomcheck.standards.awc_wood_screws import strength_ratio
from roomcheck.units import M_PER_IN

LONGEST_RAIL_M = 96 * M_PER_IN
"""Two people handle no longer one at arm's length (common practice). [m]"""
NO_CLEAT = frozenset({"felt", "corner", "corner stack"})
"""Kinds of pieces that hang on no cleat, and on no rail."""
PLYWOOD_PA = 33.7e6
"""Lowest mean modulus of rupture of softwood plywood (Wood Handbook FPL-GTR-282, chapter 12, from
memory). [Pa]"""


_MOST_OWN = 1.5
"""A stud carries no more of the rail's own weight than so many spans of it: one and a quarter is
the most for even load over two spans, the rest is for ends that stand over. [1]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class RailLoad:
    """A piece on a rail."""

    at_m: float
    """Its middle, from the face's left corner [m]."""
    cleat_m: float
    """Length of what it rests on, in its middle [m]."""
    weight_kg: float
    """[kg]"""
    pull: float
    """What pulls the rail off the wall, over the weight [1]."""


def rail_load(
    place: Rectangle, practice: ShopPractice, weight_kg: float, depth_m: float
) -> RailLoad:
    """A piece as a rail carries it. [m], [kg]"""
    return RailLoad(
        at_m=place.centre[0],
        cleat_m=cleat_lengths(place, practice)[0][1],
        weight_kg=weight_kg,
        pull=pull_share(depth_m, place.height_m, practice),
    )


def best_rail(
    framing: Framing,
    face: Face,
    loads: Sequence[RailLoad],
    room_m: tuple[float, float],
    practice: ShopPractice,
    step_m: float,
    longest_m: float,
    free: Callable[[float, float], bool] = lambda left_m, length_m: True,
) -> WallCleat | None:
    """The shortest rail under pieces beside each other that holds them by plan, with the fewest
    screws a stud; None where none does.

    Parameters
    ----------
    framing : Framing
        Of wood studs, their sheathing and spacing known.
    loads : sequence of RailLoad
        From the left.
    room_m : (left, right)
        Of the wall that the rail may take. [m]
    step_m : float
        Its ends stand on whole steps of this. [m]
    longest_m : float
        What the shop's plywood or boards give. [m]
    free : callable
        Whether nothing is in the way of a rail: left end, length. [m]
    """
    if framing.sheathing_m is None or not loads:
        return None
    screw = wall_screw(practice, framing.sheathing_m)
    if screw is None:
        return None
    ends = {_on_steps(rail, step_m) for rail in _stretches(framing, face, loads, room_m)}
    rails = [
        WallCleat(
            left_m=left_m,
            length_m=length_m,
            studs_m=studs_behind_m(framing, face, left_m, length_m),
            per_stud=practice.screws_per_stud,
            ratio=0.0,
        )
        for left_m, length_m in sorted(ends, key=lambda rail: (rail[1], rail[0]))
        if length_m <= longest_m + 1e-9 and free(left_m, length_m)
    ]
    forces = [_forces(practice, rail, loads, OFF_M) for rail in rails]
    most = max(practice.screws_per_stud, MOST_PER_STUD)
    for per_stud in range(practice.screws_per_stud, most + 1):
        for rail, force in zip(rails, forces, strict=True):
            ratio = _ratio(screw, practice, per_stud, force)
            if ratio >= practice.least_ratio:
                return replace(rail, per_stud=per_stud, ratio=ratio)
    return None


def _on_steps(rail: tuple[float, float], step_m: float) -> tuple[float, float]:
    """A rail whose ends go out to the next whole steps. [m]"""
    left_m = floor(rail[0] / step_m + 1e-6) * step_m
    right_m = ceil((rail[0] + rail[1]) / step_m - 1e-6) * step_m
    return round(left_m, 9), round(right_m - left_m, 9)


def _stretches(
    framing: Framing, face: Face, loads: Sequence[RailLoad], room_m: tuple[float, float]
) -> Iterator[tuple[float, float]]:
    """Left end and length of every rail that reaches under all cleats and ends there or a screw's
    distance past a stud; on two studs at least. [m]"""
    first_m = loads[0].at_m - loads[0].cleat_m / 2
    last_m = loads[-1].at_m + loads[-1].cleat_m / 2
    studs_m = framing.centres_m(room_m[0] + EDGE_M, room_m[1] - EDGE_M, face.width_m)
    lefts = {first_m, *(stud - EDGE_M for stud in studs_m if stud - EDGE_M < first_m)}
    rights = {last_m, *(stud + EDGE_M for stud in studs_m if stud + EDGE_M > last_m)}
    for left_m, right_m in product(sorted(lefts)[-3:], sorted(rights)[:3]):
        if len(studs_behind_m(framing, face, left_m, right_m - left_m)) >= 2:
            yield left_m, right_m - left_m


def rail_ratio(
    screw: WallScrew,
    practice: ShopPractice,
    rail: WallCleat,
    loads: Sequence[RailLoad],
    off_m: float = OFF_M,
) -> float:
    """Reference strength over load of the screw that is loaded most, or of the rail itself where
    that is less, each piece so far off its mark to either side. [m]"""
    return _ratio(screw, practice, rail.per_stud, _forces(practice, rail, loads, off_m))


@dataclass(frozen=True, slots=True)
class _Forces:
    """What pieces bring onto a rail, whatever of them hangs."""

    on_studs: tuple[tuple[float, float], ...]
    """The largest force of each stud down, and off the wall [N]."""
    moments: tuple[float, float]
    """The largest between studs, down and off the wall [N m]."""


def _forces(
    practice: ShopPractice, rail: WallCleat, loads: Sequence[RailLoad], off_m: float
) -> _Forces:
    studs_m = rail.studs_m
    own_n = _MOST_OWN * cleat_kg(rail.length_m, practice) * GRAVITY_M_S2 / (len(studs_m) - 1)
    down_n, out_n = [own_n] * len(studs_m), [0.0] * len(studs_m)
    down_nm, out_nm = [0.0] * (len(studs_m) + 1), [0.0] * (len(studs_m) + 1)
    for load in loads:
        weight_n = load.weight_kg * GRAVITY_M_S2
        for i, share in enumerate(_most_shares(load, studs_m, off_m)):
            down_n[i] += weight_n * share
            out_n[i] += weight_n * share * load.pull
        ways = [_moments_m(spots, studs_m) for spots in _rests(load, off_m)]
        for i, arms_m in enumerate(zip(*ways, strict=True)):
            down_nm[i] += weight_n * max(arms_m)
            out_nm[i] += weight_n * max(arms_m) * load.pull
    return _Forces(tuple(zip(down_n, out_n, strict=True)), (max(down_nm), max(out_nm)))


def _ratio(screw: WallScrew, practice: ShopPractice, per_stud: int, forces: _Forces) -> float:
    """The least strength over load of a screw and of the plywood where the rail bends most."""
    heights_m = screw_heights_m(per_stud)
    lever = (practice.cleat_width_m - practice.cleat_m / 2) / sum(heights_m)
    screws = [
        strength_ratio(screw.lateral_n, screw.withdrawal_n, down_n / per_stud, out_n * lever)
        for down_n, out_n in forces.on_studs
    ]
    down_nm, out_nm = forces.moments
    thick_m, wide_m = practice.cleat_m, practice.cleat_width_m - practice.cleat_m
    stress_pa = 6 * (down_nm / (thick_m * wide_m**2) + out_nm / (wide_m * thick_m**2))
    bending = PLYWOOD_PA / stress_pa if stress_pa > 0 else inf
    return min([*screws, bending])


def _most_shares(load: RailLoad, studs_m: tuple[float, ...], off_m: float) -> tuple[float, ...]:
    """The largest share of a load that each stud may get, pressed down or lifted. [1]"""
    answers = _answers(load, studs_m, off_m)
    return tuple(max(map(abs, shares)) for shares in zip(*answers, strict=True))


def _rests(load: RailLoad, most_off_m: float) -> Iterator[tuple[float, ...]]:
    """Every way that a piece may rest: in the middle or on both ends of its cleat, off its mark to
    either side. [m]"""
    for off_m in (-most_off_m, most_off_m):
        middle_m, half_m = load.at_m + off_m, load.cleat_m / 2
        yield (middle_m,)
        yield middle_m - half_m, middle_m + half_m


def _answers(
    load: RailLoad, studs_m: tuple[float, ...], off_m: float
) -> Iterator[tuple[float, ...]]:
    """Shares of one load on each stud: every way that it may rest, by every way of counting. [1]"""
    for spots_m in _rests(load, off_m):
        for count in (jointed_shares, through_shares, stud_shares):
            each = [count(studs_m, spot) for spot in spots_m]
            yield tuple(sum(shares) / len(spots_m) for shares in zip(*each, strict=True))


def jointed_shares(studs_m: tuple[float, ...], load_m: float) -> tuple[float, ...]:
    """Of a load on a rail that is jointed over every stud: its two neighbours', by the lever. [1]

    >>> jointed_shares((0.0, 0.5, 1.0), 0.125)
    (0.75, 0.25, 0.0)
    """
    shares = [0.0] * len(studs_m)
    first = max(sum(stud <= load_m for stud in studs_m[1:-1]), 0)
    left_m, right_m = studs_m[first], studs_m[first + 1]
    shares[first] = (right_m - load_m) / (right_m - left_m)
    shares[first + 1] = 1 - shares[first]
    return tuple(shares)


@lru_cache(maxsize=4096)
def through_shares(studs_m: tuple[float, ...], load_m: float) -> tuple[float, ...]:
    """Of a load on a rail that runs through over studs that do not give. [1]

    By the equation of three moments (Clapeyron) for one load in one span or on an end that stands
    over.

    >>> [round(share, 4) for share in through_shares((0.0, 1.0, 2.0), 0.5)]
    [0.4062, 0.6875, -0.0938]
    """
    spans_m = [b - a for a, b in pairwise(studs_m)]
    moments = _moments_over_studs(studs_m, spans_m, load_m)
    shares = list(jointed_shares(studs_m, load_m))
    if load_m < studs_m[0] or load_m > studs_m[-1]:
        shares = [0.0] * len(studs_m)
        shares[0 if load_m < studs_m[0] else -1] = 1.0
    for i, span_m in enumerate(spans_m):
        turned = (moments[i + 1] - moments[i]) / span_m
        shares[i] += turned
        shares[i + 1] -= turned
    return tuple(shares)


def _moments_over_studs(
    studs_m: Sequence[float], spans_m: Sequence[float], load_m: float
) -> list[float]:
    """Moments of a load of 1 over each stud, hogging below 0. [m]"""
    last = len(studs_m) - 1
    ends = -max(studs_m[0] - load_m, 0.0), -max(load_m - studs_m[-1], 0.0)
    inner = [2 * (a + b) for a, b in pairwise(spans_m)]
    right = [_loading(studs_m, spans_m, i, load_m) for i in range(1, last)]
    if right:
        right[0] -= ends[0] * spans_m[0]
        right[-1] -= ends[1] * spans_m[-1]
    # Forward elimination and back substitution of the tridiagonal system.
    for i in range(1, len(inner)):
        share = spans_m[i] / inner[i - 1]
        inner[i] -= share * spans_m[i]
        right[i] -= share * right[i - 1]
    moments = [0.0] * len(inner)
    for i in range(len(inner) - 1, -1, -1):
        beyond = spans_m[i + 1] * moments[i + 1] if i + 1 < len(inner) else 0.0
        moments[i] = (right[i] - beyond) / inner[i]
    return [ends[0], *moments, ends[1]]


def _loading(studs_m: Sequence[float], spans_m: Sequence[float], stud: int, load_m: float) -> float:
    """Right side of the equation at an inner stud: the load in the span before or after it. [m2]"""
    total = 0.0
    for span, far in ((stud - 1, False), (stud, True)):
        a_m, b_m = load_m - studs_m[span], studs_m[span + 1] - load_m
        if a_m > 0 and b_m > 0:
            near_m = b_m if far else a_m
            total -= a_m * b_m * (spans_m[span] + near_m) / spans_m[span]
    return total


def _moments_m(spots_m: Sequence[float], studs_m: Sequence[float]) -> list[float]:
    """Moment of a load of 1 in every span, before the first stud and past the last, where it rests
    on these spots alike. [m]"""
    found = []
    for left_m, right_m in pairwise(studs_m):
        inside = [spot for spot in spots_m if left_m < spot < right_m]
        arms = [(spot - left_m) * (right_m - spot) / (right_m - left_m) for spot in inside]
        found.append(sum(arms))
    before = sum(max(studs_m[0] - spot, 0.0) for spot in spots_m)
    past = sum(max(spot - studs_m[-1], 0.0) for spot in spots_m)
    return [arm / len(spots_m) for arm in (*found, before, past)]
