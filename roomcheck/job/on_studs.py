"""A piece on its wall cleat, a cleat on its studs: what each screw carries, by statics.

What is counted, and always on the safe side:

- The cleat hangs on its screws alone. It is stiff; friction on the wall and in the 45-degree bevel
  counts nothing.
- Weight of piece and cleat acts at the piece's middle, where tape and level leave it: a quarter
inch
  off to the worse side.
- On one stud the turning moment is carried by the screws' spacing up and down; on several by their
  distances along the wall alone.
- A bevel of 45 degrees pushes the wall cleat out by as much as it carries. The cleat tips round its
  lower edge, and a cleat whose load stands beside its only stud prises at its far end as well.
- A piece tips round the strip along its bottom, its weight as far out as its front. What that pulls
  at the bevel is part of what the bevel pushes out already, until the piece is deeper than the
  strip
  is below the bevel: from there it is the depth that counts.
- Across and along its axis together a screw has what `standards.awc_wood_screws` gives it in
  spruce-pine-fir; sheathing carries nothing.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from math import hypot, inf

from roomcheck.geometry import Face, Rectangle
from roomcheck.job.model.job import Framing
from roomcheck.job.model.practice import ShopPractice
from roomcheck.standards.awc_wood_screws import (
    lateral_n,
    least_depth_m,
    strength_ratio,
    withdrawal_n_per_m,
)
from roomcheck.units import M_PER_IN

GRAVITY_M_S2 = 9.80665
CABLES_M = 1.25 * M_PER_IN
"""Electrical codes set cables in bored studs back this far, as the trade quotes them: no screw goes
deeper. [m]"""
EDGE_M = M_PER_IN
"""Kept free between a cleat's end and its outermost screw. [m]"""
_METRIC_EDGE_M = 0.026
"""What the longest cleat leaves of its piece's inside width: whole millimetres at both ends. [m]"""
SPACING_M = 1.5 * M_PER_IN
"""From the lowest to the highest screw in a stud, as drawn. [m]"""
LOW_SCREW_M = 0.625 * M_PER_IN
"""From the cleat's lower edge to its lowest screw. [m]"""
OFF_M = M_PER_IN / 4
"""A piece hangs no nearer to its mark than this. [m]"""
MOST_PER_STUD = 3
"""Screws that find room in one stud over the spacing, in a zigzag (four diameters apart). [1]"""
TAPE_M = 0.0005
"""What no tape shows: 12.5 mm boards stand for 1/2 in, 32 mm for 1-1/4 in. [m]"""

_INCH_SCREWS = tuple(
    (gauge, inches * M_PER_IN)
    for gauge in ("#10", "#8", "#12")
    for inches in (2.0, 2.25, 2.5, 2.75, 3.0, 3.25, 3.5, 4.0)
)
_METRIC_SCREWS = tuple(
    (gauge, length / 1000)
    for gauge in ("5 mm", "4.5 mm", "6 mm")
    for length in (50, 55, 60, 65, 70, 80, 90, 100)
)
"""What is on sale (common practice), the usual gauge first."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WallScrew:
    """A wood screw through a cleat and the sheathing into a stud."""

    gauge: str
    length_m: float
    """[m]"""
    into_wood_m: float
    """Depth that it reaches into the stud [m]."""
    lateral_n: float
    """Reference strength across its axis [N]."""
    withdrawal_n: float
    """Reference strength along its axis [N]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WallCleat:
    """A wall cleat, its studs and its screws."""

    left_m: float
    """From the face's left corner [m]."""
    length_m: float
    """[m]"""
    studs_m: tuple[float, ...]
    """That it is screwed to, from the left corner [m]."""
    per_stud: int
    """Screws a stud."""
    ratio: float
    """Reference strength over load of the screw that is loaded most; 0 without a stud [1]."""


@cache
def wall_screw(practice: ShopPractice, sheathing_m: float) -> WallScrew | None:
    """The shop's own screw where it reaches deep enough and no deeper than it may, else the first
    one on sale that does; None where none does."""
    on_sale = _METRIC_SCREWS if practice.screw in _METRIC else _INCH_SCREWS
    for gauge, length_m in ((practice.screw, practice.screw_m), *on_sale):
        into_m = into_wood_m(length_m, practice.cleat_m, sheathing_m)
        if least_depth_m(gauge) - 1e-6 <= into_m <= CABLES_M + TAPE_M:
            return WallScrew(
                gauge=gauge,
                length_m=length_m,
                into_wood_m=into_m,
                lateral_n=lateral_n(gauge, sheathing_m, practice.cleat_m, into_m),
                withdrawal_n=withdrawal_n_per_m(gauge) * into_m,
            )
    return None


_METRIC = frozenset(gauge for gauge, _ in _METRIC_SCREWS)


def hook_m(practice: ShopPractice) -> float:
    """From a hung piece's top to the bottom line of its wall cleat, by drawing. [m]

    The piece's cleat sits under the frame's top board; both cleats have a 45-degree bevel and mate
    over its whole depth, so the wall cleat ends its own long face less one thickness below the
    point of the piece's cleat.
    """
    return practice.board_m + 2 * practice.cleat_width_m - practice.cleat_m


def into_wood_m(screw_m: float, cleat_m: float, sheathing_m: float) -> float:
    """What of a screw reaches the framing. [m]

    >>> round(into_wood_m(2.5 * 0.0254, 0.75 * 0.0254, 0.5 * 0.0254) / 0.0254, 3)
    1.25
    """
    return max(screw_m - cleat_m - sheathing_m, 0.0)


def stud_shares(studs_m: Sequence[float], load_m: float) -> tuple[float, ...]:
    """How much of a load each stud carries, the cleat being stiff; below 0 where it is lifted. [1]

    Two studs share by the law of the lever; more of them as a stiff bar on equal springs.

    >>> stud_shares((0.0, 0.4), 0.1)
    (0.75, 0.25)
    >>> [round(share, 3) for share in stud_shares((0.0, 0.4, 0.8), 0.4)]
    [0.333, 0.333, 0.333]
    """
    count, mean_m = len(studs_m), sum(studs_m) / len(studs_m)
    spread = sum((stud - mean_m) ** 2 for stud in studs_m)
    if count == 1 or spread <= 0:
        return (1 / count,) * count
    return tuple(1 / count + (stud - mean_m) * (load_m - mean_m) / spread for stud in studs_m)


def cleat_ratio(
    screw: WallScrew,
    practice: ShopPractice,
    cleat: tuple[float, float],
    studs_m: Sequence[float],
    per_stud: int,
    load_m: float,
    weight_kg: float,
    pull: float = 1.0,
) -> float:
    """Reference strength over load of the screw that is loaded most.

    Parameters
    ----------
    cleat : (left, length)
        [m]
    studs_m : sequence of float
        That it is screwed to. [m]
    load_m : float
        Where the piece's weight acts, from the same corner. [m]
    weight_kg : float
        Of the piece and the cleat. [kg]
    pull : float
        What pulls the cleat off the wall, over the weight. [1]
    """
    if not studs_m:
        return 0.0
    weight_n = weight_kg * GRAVITY_M_S2
    heights_m = screw_heights_m(per_stud)
    across_n, share = _most_across_n(studs_m, load_m, weight_n, heights_m)
    bevel_m = practice.cleat_width_m - practice.cleat_m / 2
    off_wall_n = weight_n * pull * share * _prise(cleat, studs_m, load_m)
    out_n = off_wall_n * bevel_m / sum(heights_m)
    return strength_ratio(screw.lateral_n, screw.withdrawal_n, across_n, out_n)


def _most_across_n(
    studs_m: Sequence[float], load_m: float, weight_n: float, heights_m: Sequence[float]
) -> tuple[float, float]:
    """Largest force across one screw, and the largest share of the load on one stud. [N], [1]"""
    each = len(heights_m)
    if len(studs_m) > 1:
        share = max(map(abs, stud_shares(studs_m, load_m)))
        return weight_n * share / each, share
    middle_m = sum(heights_m) / each
    arms_m = [height - middle_m for height in heights_m]
    turning_nm = weight_n * abs(load_m - studs_m[0])
    sideways_n = turning_nm * max(arms_m) / sum(arm**2 for arm in arms_m) if each > 1 else inf
    return hypot(weight_n / each, sideways_n if turning_nm else 0.0), 1.0


def _prise(cleat: tuple[float, float], studs_m: Sequence[float], load_m: float) -> float:
    """By how much a cleat on one stud pulls harder than it is pulled, its far end on the wall.
    [1]"""
    if len(studs_m) > 1:
        return 1.0
    left_m, length_m = cleat
    off_m = load_m - studs_m[0]
    far_m = studs_m[0] - left_m if off_m > 0 else left_m + length_m - studs_m[0]
    return 1 + abs(off_m) / max(far_m, EDGE_M)


def screw_heights_m(per_stud: int) -> tuple[float, ...]:
    """Screws of one stud above the cleat's lower edge, as drawn. [m]

    >>> [round(height / 0.0254, 3) for height in screw_heights_m(2)]
    [0.625, 2.125]
    """
    if per_stud == 1:
        return (LOW_SCREW_M + SPACING_M / 2,)
    step_m = SPACING_M / (per_stud - 1)
    return tuple(LOW_SCREW_M + i * step_m for i in range(per_stud))


def pull_share(depth_m: float, height_m: float, practice: ShopPractice) -> float:
    """What pulls a cleat off the wall over the weight on it: the bevel's push, or the piece's
    depth over what its bottom strip is below the bevel where that is more. [1]"""
    arm_m = height_m - practice.board_m - practice.cleat_width_m - 2 * EDGE_M
    return max(1.0, depth_m / arm_m) if arm_m > 0 else inf


def best_cleat(
    framing: Framing,
    face: Face,
    place: Rectangle,
    practice: ShopPractice,
    weight_kg: float,
    depth_m: float,
    *,
    load_m: float | None = None,
) -> WallCleat:
    """The cleat of a piece on wood studs, with the fewest screws that hold it by plan.

    The usual length, or the longest that fits where that holds better; screwed to those of its
    studs
    that hold best; a third screw a stud only where two are too few. Where nothing reaches the
    practice's least ratio, what comes nearest.

    Parameters
    ----------
    framing : Framing
        Of wood studs, their sheathing known.
    place : Rectangle
        Outside of the piece. [m]
    weight_kg, depth_m : float
        Of the piece. [kg], [m]
    load_m : float or None
        Where its weight acts, from the face's left corner; None for the middle of the place. [m]
    """
    at_m = place.centre[0] if load_m is None else load_m
    pull = pull_share(depth_m, place.height_m, practice)
    screw = None if framing.sheathing_m is None else wall_screw(practice, framing.sheathing_m)
    found = [
        _screwed(screw, practice, cleat, studs, per_stud, at_m, weight_kg, pull)
        for cleat in cleat_lengths(place, practice)
        for studs in _neighbours(studs_behind_m(framing, face, *cleat))
        for per_stud in _per_stud(practice)
    ]
    return min(found, key=lambda cleat: _worth(cleat, practice))


def _worth(cleat: WallCleat, practice: ShopPractice) -> tuple[float, ...]:
    """Order of cleats: those that reach the least ratio, by screws a stud and then length; the
    stronger first among equals, and among those that do not reach it."""
    holds = cleat.ratio >= practice.least_ratio
    few = (cleat.per_stud, cleat.length_m) if holds else (0.0, 0.0)
    return (not holds, *few, -round(cleat.ratio, 9), -len(cleat.studs_m), cleat.length_m)


def _per_stud(practice: ShopPractice) -> range:
    return range(practice.screws_per_stud, max(practice.screws_per_stud, MOST_PER_STUD) + 1)


def _screwed(
    screw: WallScrew | None,
    practice: ShopPractice,
    cleat: tuple[float, float],
    studs_m: tuple[float, ...],
    per_stud: int,
    at_m: float,
    weight_kg: float,
    pull: float,
) -> WallCleat:
    left_m, length_m = cleat
    ratio = 0.0
    if screw is not None:
        counted_kg = weight_kg + cleat_kg(length_m, practice)
        ratio = min(
            cleat_ratio(screw, practice, cleat, studs_m, per_stud, load_m, counted_kg, pull)
            for load_m in (at_m - OFF_M, at_m + OFF_M)
        )
    return WallCleat(
        left_m=left_m, length_m=length_m, studs_m=studs_m, per_stud=per_stud, ratio=ratio
    )


def cleat_kg(length_m: float, practice: ShopPractice) -> float:
    """Weight of a wall cleat. [kg]"""
    return length_m * practice.cleat_width_m * practice.cleat_m * practice.plywood_kg_m3


def cleat_lengths(place: Rectangle, practice: ShopPractice) -> list[tuple[float, float]]:
    """Left end and length of the usual cleat and of the longest, in the middle of the piece. [m]"""
    inside_m, middle_m = place.width_m - 2 * practice.board_m, place.centre[0]
    least_m = _METRIC_EDGE_M if practice.screw in _METRIC else EDGE_M
    wanted = (inside_m - 2 * practice.freedom_m, inside_m - least_m)
    lengths = [length for length in wanted if length >= 4 * EDGE_M] or [inside_m]
    return [(middle_m - length / 2, length) for length in lengths]


def studs_behind_m(
    framing: Framing, face: Face, left_m: float, length_m: float
) -> tuple[float, ...]:
    """Studs behind a cleat, its ends kept free. [m]"""
    ends = left_m + EDGE_M, left_m + length_m - EDGE_M
    return framing.centres_m(*ends, face.width_m)


def _neighbours(studs_m: tuple[float, ...]) -> Iterator[tuple[float, ...]]:
    """Every run of neighbouring studs, all of them first; none at all where there is none."""
    if not studs_m:
        yield ()
    for count in range(len(studs_m), 0, -1):
        for start in range(len(studs_m) - count + 1):
            yield studs_m[start : start + count]


def pieces_play_m(
    framing: Framing,
    cleat: WallCleat,
    place: Rectangle,
    practice: ShopPractice,
    weight_kg: float,
    depth_m: float,
    free_m: float,
) -> float:
    """How far a piece may slide on its cleat, to either side, before its screws carry too much.

    Parameters
    ----------
    free_m : float
        How far it could slide. [m]

    Returns
    -------
    float
        In steps of a quarter inch, the free play at most. [m]
    """
    screw = None if framing.sheathing_m is None else wall_screw(practice, framing.sheathing_m)
    if screw is None or not cleat.studs_m:
        return free_m
    counted_kg = weight_kg + cleat_kg(cleat.length_m, practice)
    pull = pull_share(depth_m, place.height_m, practice)
    ends, middle_m = (cleat.left_m, cleat.length_m), place.centre[0]
    play_m = 0.0
    for step in range(1, int(free_m / OFF_M + 1e-6) + 1):
        for load_m in (middle_m - (step + 1) * OFF_M, middle_m + (step + 1) * OFF_M):
            ratio = cleat_ratio(
                screw, practice, ends, cleat.studs_m, cleat.per_stud, load_m, counted_kg, pull
            )
            if ratio < practice.least_ratio:
                return play_m
        play_m = step * OFF_M
    return free_m
