"""What a wall or a ceiling holds: mounts, studs, joists, rails."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import lru_cache
from itertools import product

from roomcheck.geometry import Face, Rectangle
from roomcheck.job import (
    LONGEST_RAIL_M,
    MADE_OF_STUDS,
    NO_CLEAT,
    Framing,
    FramingKind,
    Job,
    RailLoad,
    ShopPractice,
    StockPiece,
    best_rail,
    cleat_holds,
    cleat_lengths,
    rail_load,
    studs_behind_m,
)
from roomcheck.recommend.places.space import GAP_M, TINY_M, grid_m

_LIFT_EDGE_M = 0.051
"""From a cloud's corner to its first lift point: 2 in. [m]"""

HEADROOM_M = 2.03
"""Left under anything that hangs from the ceiling: 80 in (US accessibility rules; check the local
ones). [m]"""


def may_hang(job: Job, piece: StockPiece, face: Face) -> bool:
    """Whether the piece's mounts and the face's fixing rule let it hang there at all."""
    rule = job.fixing_of(face.name)
    allowed = rule == "screws" or (rule, piece.kind) == ("adhesive", "felt")
    low = face.kind == "ceiling" and job.room.height_m - piece.depth_m < HEADROOM_M
    framing = job.framing_of(face.name)
    grid = framing is not None and framing.kind is FramingKind.GRID
    return mounts_on(piece, face) and allowed and not low and not grid


def mounts_on(piece: StockPiece, face: Face) -> bool:
    """Whether the shop builds it for walls, or with lift points for ceilings."""
    if face.kind == "ceiling" and piece.kind != "cloud":
        return False
    return {"wall": "wall", "ceiling": "ceiling", "floor": "nothing"}[face.kind] in piece.mounts


def carried(
    framing: Framing | None,
    face: Face,
    piece: StockPiece,
    place: Rectangle,
    practice: ShopPractice,
) -> bool:
    """Whether enough studs or joists stand behind a place; True where the job does not say where
    they are."""
    if framing is None or framing.kind not in MADE_OF_STUDS or framing.spacing_m is None:
        return True
    if piece.kind == "felt":
        return True
    if face.kind == "ceiling":
        ends = place.u_m + _LIFT_EDGE_M, place.right_m - _LIFT_EDGE_M
        return len(framing.centres_m(*ends, face.width_m)) >= 2
    if framing.kind is FramingKind.STEEL_STUDS or framing.sheathing_m is None:
        longest = cleat_lengths(place, practice)[-1]
        return len(studs_behind_m(framing, face, *longest)) >= 2
    return cleat_holds(framing, face, place, practice, piece.weight_kg, piece.depth_m)


def railed(
    job: Job, face: Face, piece: StockPiece, place: Rectangle, span_m: tuple[float, float]
) -> bool:
    """Whether a rail holds a piece of a row whose pieces do not meet their studs: together with one
    like it on either side, where the free span has room for them."""
    framing, practice = job.framing_of(face.name), job.shop.practice
    wood = framing is not None and framing.kind is FramingKind.WOOD_STUDS
    known = wood and framing is not None and framing.spacing_m and framing.sheathing_m is not None
    if framing is None or not known or face.kind != "wall" or piece.kind in NO_CLEAT:
        return False
    step_m = place.width_m + GAP_M
    row = [replace(place, u_m=place.u_m + i * step_m) for i in (-1, 0, 1)]
    row = [each for each in row if span_m[0] <= each.u_m and each.right_m <= span_m[1]] or [place]
    loads = tuple(rail_load(p, practice, piece.weight_kg, piece.depth_m) for p in row)
    return _rail_holds(framing, face, loads, span_m, practice, grid_m(job))


@lru_cache(maxsize=1024)
def _rail_holds(
    framing: Framing,
    face: Face,
    loads: tuple[RailLoad, ...],
    span_m: tuple[float, float],
    practice: ShopPractice,
    grid_m: float,
) -> bool:
    rail = best_rail(framing, face, loads, span_m, practice, grid_m, LONGEST_RAIL_M)
    return rail is not None


def shifted(
    framing: Framing | None,
    face: Face,
    piece: StockPiece,
    place: Rectangle,
    span: tuple[float, float],
    practice: ShopPractice,
) -> Rectangle | None:
    """The place, moved as little as it takes to meet its studs; None where no move does."""
    if framing is None:
        return place
    # Studs run from the floor to the ceiling: a row higher or lower meets the same.
    left_m = _left_on_studs_m(framing, face, piece, replace(place, v_m=0.0), span, practice)
    return None if left_m is None else replace(place, u_m=left_m)


@lru_cache(maxsize=4096)
def _left_on_studs_m(
    framing: Framing,
    face: Face,
    piece: StockPiece,
    place: Rectangle,
    span: tuple[float, float],
    practice: ShopPractice,
) -> float | None:
    """Left edge of a place that meets its studs. [m]"""
    if carried(framing, face, piece, place, practice):
        return place.u_m
    for shift_m, sign in product(_shifts_m(framing.spacing_m or 0.0), (1, -1)):
        moved = replace(place, u_m=place.u_m + sign * shift_m)
        if moved.u_m < span[0] - TINY_M or moved.right_m > span[1] + TINY_M:
            continue
        if carried(framing, face, piece, moved, practice):
            return moved.u_m
    return None


def _shifts_m(spacing_m: float) -> Iterator[float]:
    """Quarter inches as far as a sheet may move a piece, then inches as far as the next stud.
    [m]"""
    yield from (0.00635 * i for i in range(1, 9))
    yield from (0.0254 * i for i in range(3, int(spacing_m / 0.0254) + 1))
