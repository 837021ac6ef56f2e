"""Where pieces of their true size hang: on the marking grid, where their studs hold them, or on a
rail."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import product
from math import inf

from roomcheck.geometry import Face, Rectangle
from roomcheck.job import (
    LONGEST_RAIL_M,
    MADE_OF_STUDS,
    NO_CLEAT,
    Framing,
    FramingKind,
    Job,
    Placement,
    ShopPractice,
    StockPiece,
    best_cleat,
    cleat_lengths,
    hook_m,
    rail_load,
    studs_behind_m,
)
from roomcheck.units import M_PER_IN
from roomcheck.workshop.hanging.collisions import collisions, true_place
from roomcheck.workshop.hanging.marks import mark_step_m, onto_marks
from roomcheck.workshop.hanging.rails import OnRail, OnRow, RowRails

MAY_MOVE_M = 2 * M_PER_IN
"""A piece hangs no further from where the plan drew it, as the promise says. [m]"""
BESIDE_M = 0.15
"""A cable or pipe found at one place is kept this far away from, over the whole height: zones that
wiring rules prescribe for hidden cables are as wide (common practice). [m]"""
_STANDS_OFF_M = 0.005
"""A frame that spacers hold further off its wall cannot take a rail. [m]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Hung:
    """A piece that is to hang."""

    placed: Placement
    piece: StockPiece
    size_m: tuple[float, float]
    """Outside, with its frame [m]."""
    frame_m: float
    """Depth of its frame's boards [m]."""
    weight_kg: float
    """The heavier of the file's and the drawn parts' [kg]."""
    rail_m: float = inf
    """Longest rail that the shop's stock gives for it [m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """Where all pieces hang."""

    places: tuple[Rectangle, ...]
    """On their faces [m]."""
    moved_m: tuple[float, ...]
    """How far right of its mark each was moved, to meet its studs; negative is left [m]."""
    rails: dict[int, OnRail]
    """By the number of each piece that hangs on one."""


def placed_pieces(job: Job, hung: Sequence[Hung], practice: ShopPractice) -> Placed:
    """Put pieces onto the marking grid, then to where their studs hold them within the plan's
    tolerance, and rails under what no move helps."""
    places = [true_place(each.placed.place, each.size_m) for each in hung]
    for i in range(len(hung)):
        places[i] = _marked(job, hung, places, i, practice)
    marked = tuple(places)
    for i in range(len(hung)):
        places[i] = _moved_to_studs(job, hung, places, i, practice)
    return Placed(
        places=tuple(places),
        moved_m=tuple(a.u_m - b.u_m for a, b in zip(places, marked, strict=True)),
        rails=_rails(job, hung, places, practice),
    )


def _rails(
    job: Job, hung: Sequence[Hung], places: Sequence[Rectangle], practice: ShopPractice
) -> dict[int, OnRail]:
    """What every piece that hangs on a rail hangs on, by the piece's number."""
    rows: dict[tuple[str, float], list[OnRow]] = {}
    for i, each in enumerate(hung):
        if _on_wood(job, each):
            key = each.placed.face, round(places[i].top_m, 4)
            rows.setdefault(key, []).append(_on_row(job, each, i, places[i], practice))
    on_rails: dict[int, OnRail] = {}
    count = 0
    for (name, top_m), row in rows.items():
        if all(piece.holds for piece in row):
            continue
        face, framing = job.room.face(name), job.framing_of(name)
        assert framing is not None
        at_m = top_m - hook_m(practice)

        def free(strip: Rectangle, on_it: frozenset[int], name: str = name) -> bool:
            others = [
                (other.placed.name, places[j])
                for j, other in enumerate(hung)
                if other.placed.face == name and j not in on_it
            ]
            near = strip.u_m - BESIDE_M, strip.right_m + BESIDE_M
            found = [one.at_m for one in job.dangers_of(name) if one.at_m is not None]
            if any(near[0] <= at_m <= near[1] for at_m in found):
                return False
            return not collisions(job, hung[min(on_it)].placed, strip, others)

        chosen = RowRails(framing, face, row, practice, mark_step_m(job.units), at_m, free)
        for each_rail in chosen.chosen(count + 1):
            count += 1
            numbers = [piece.index for piece in row if piece.name in each_rail.rail.names]
            on_rails |= dict.fromkeys(numbers, each_rail)
    return on_rails


def _on_wood(job: Job, each: Hung) -> bool:
    """Whether a cleat may be screwed to wood studs there that somebody has found."""
    face, framing = job.room.face(each.placed.face), job.framing_of(each.placed.face)
    if face.kind != "wall" or each.piece.kind in NO_CLEAT or framing is None:
        return False
    known = framing.spacing_m is not None and framing.sheathing_m is not None
    wood = framing.kind is FramingKind.WOOD_STUDS and known
    return wood and job.fixing_of(each.placed.face) == "screws"


def _on_row(job: Job, each: Hung, i: int, place: Rectangle, practice: ShopPractice) -> OnRow:
    stands_off_m = each.piece.depth_m - each.frame_m if each.piece.kind == "panel" else 0.0
    return OnRow(
        index=i,
        name=each.placed.name,
        place=place,
        load=rail_load(place, practice, each.weight_kg, each.piece.depth_m),
        holds=holds(job, each, place, practice),
        may=stands_off_m < _STANDS_OFF_M,
        rail_m=min(each.rail_m, LONGEST_RAIL_M),
    )


def other_places(
    hung: Sequence[Hung], places: Sequence[Rectangle], i: int
) -> list[tuple[str, Rectangle]]:
    """The other pieces on the same face."""
    face = hung[i].placed.face
    return [
        (other.placed.name, places[j])
        for j, other in enumerate(hung)
        if j != i and other.placed.face == face
    ]


def _marked(
    job: Job, hung: Sequence[Hung], places: Sequence[Rectangle], i: int, practice: ShopPractice
) -> Rectangle:
    """The place on the marking grid; a piece in a corner stays in it."""
    each, place, units = hung[i], places[i], job.units
    others = other_places(hung, places, i)
    in_the_way = collisions(job, each.placed, place, others)

    def free(moved: Rectangle) -> bool:
        hits = collisions(job, each.placed, moved, others)
        return all(hit in in_the_way for hit in hits)

    on_cleat = job.room.face(each.placed.face).kind == "wall" and each.piece.kind not in NO_CLEAT
    return onto_marks(place, hook_m(practice) if on_cleat else 0.0, units, free)


def _moved_to_studs(
    job: Job, hung: Sequence[Hung], places: Sequence[Rectangle], i: int, practice: ShopPractice
) -> Rectangle:
    """The place, or the nearest within the tolerance where its studs hold it and nothing is in its
    way."""
    each, place = hung[i], places[i]
    if holds(job, each, place, practice):
        return place
    others = other_places(hung, places, i)
    step_m = mark_step_m(job.units)
    drawn = true_place(each.placed.place, each.size_m)
    for steps, sign in product(range(1, int(MAY_MOVE_M / step_m + 1e-6) + 1), (1, -1)):
        moved = replace(place, u_m=round(place.u_m + sign * steps * step_m, 9))
        if abs(moved.u_m - drawn.u_m) > MAY_MOVE_M + 1e-9:
            continue
        if holds(job, each, moved, practice) and not collisions(job, each.placed, moved, others):
            return moved
    return place


def holds(job: Job, each: Hung, place: Rectangle, practice: ShopPractice) -> bool:
    """Whether moving would cure nothing."""
    face, framing = job.room.face(each.placed.face), job.framing_of(each.placed.face)
    if framing is None or framing.kind not in MADE_OF_STUDS or framing.spacing_m is None:
        return True
    if each.piece.kind in NO_CLEAT or face.kind != "wall":
        return True
    if framing.kind is FramingKind.STEEL_STUDS:
        return len(_longest_studs_m(framing, face, place, practice)) >= 2
    cleat = best_cleat(framing, face, place, practice, each.weight_kg, each.piece.depth_m)
    return cleat.ratio >= practice.least_ratio


def _longest_studs_m(
    framing: Framing, face: Face, place: Rectangle, practice: ShopPractice
) -> tuple[float, ...]:
    """Studs behind the longest cleat of a place. [m]"""
    return studs_behind_m(framing, face, *cleat_lengths(place, practice)[-1])
