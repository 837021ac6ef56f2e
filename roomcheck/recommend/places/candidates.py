"""Every place where a piece of the shop's stock could hang."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass
from math import ceil, floor, hypot, sqrt

from roomcheck.geometry import Face, Rectangle
from roomcheck.job import Job, StockPiece
from roomcheck.recommend.places.clear import refused, unwanted
from roomcheck.recommend.places.held import may_hang, railed, shifted
from roomcheck.recommend.places.paths import TreatedReflection
from roomcheck.recommend.places.space import (
    CEILING_EDGE_M,
    EDGE_M,
    GAP_M,
    SKIRTING_M,
    TINY_M,
    UNDER_CEILING_M,
    free_spans,
    grid_m,
    snapped,
    usable,
    zones,
)

EAR_M = 1.37
"""Height that wall pieces centre on: 54 in, between seated and standing heads (common practice).
[m]"""

BAND_M = (0.76, 2.13)
"""Heights of heads and mouths: 30 to 84 in (common practice). [m]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """One piece at one place."""

    piece: StockPiece
    face: str
    place: Rectangle
    """On the face [m]."""
    beside: tuple[str, Rectangle] | None = None
    """What a corner piece takes of the other wall [m]."""
    row: str = "band"
    """Which row: "band" (heads and mouths), "above", "below", "ceiling" or "corner"."""

    def __hash__(self) -> int:
        return hash((self.piece.name, self.face, self.place))

    @property
    def takes(self) -> tuple[tuple[str, Rectangle], ...]:
        """Every rectangle of a face that it needs for itself."""
        own = (self.face, self.place)
        return (own,) if self.beside is None else (own, self.beside)


def candidates(
    job: Job, early: Sequence[TreatedReflection] = (), unusable: Collection[str] = ()
) -> tuple[Candidate, ...]:
    """Places for every stock piece: rows at head height first, then above and below, ceiling,
    corners.

    Parameters
    ----------
    job : Job
    early : sequence of Reflection
        Pieces are also tried centred on these mirror points.
    unusable : collection of str
        Stock pieces to leave out.

    Returns
    -------
    tuple of Candidate
        In the order of the stock, then of the faces; the same job gives the same tuple.
    """
    found: list[Candidate] = []
    for piece in (p for p in job.shop.stock if p.name not in unusable):
        for face in job.room.faces:
            if not may_hang(job, piece, face):
                continue
            points = [r for r in early if r.face == face.name]
            for width, height in _ways(piece):
                places = _on_wall if face.kind == "wall" else _on_ceiling
                found += [
                    Candidate(piece=piece, face=face.name, place=place, row=row)
                    for place, row in places(job, face, piece, width, height, points)
                ]
        if "corner" in piece.mounts:
            found += _in_corners(job, piece)
    return tuple(dict.fromkeys(c for c in found if not kept_free(job, c)))


def kept_free(job: Job, candidate: Candidate) -> bool:
    """Whether a candidate may not hang where it would fit."""
    face = job.room.face(candidate.face)
    if refused(job, candidate.piece, face, candidate.place) is not None:
        return True
    if candidate.beside is None:
        return False
    return any(unwanted(f, candidate.piece, *candidate.beside) for f in job.forbids)


def _ways(piece: StockPiece) -> tuple[tuple[float, float], ...]:
    own = (piece.width_m, piece.height_m)
    turned = piece.turns and abs(piece.width_m - piece.height_m) > TINY_M
    return (own, (piece.height_m, piece.width_m)) if turned else (own,)


def _on_wall(
    job: Job,
    face: Face,
    piece: StockPiece,
    width: float,
    height: float,
    points: Sequence[TreatedReflection],
) -> list[tuple[Rectangle, str]]:
    kept = zones(job, face)
    found: list[tuple[Rectangle, str]] = []
    grid = grid_m(job)
    levels = _levels(face, height, grid)
    for level, row in levels:
        found += [(p, row) for p in _row(job, face, piece, kept, level, (width, height), points)]
    for zone in kept:  # over and under windows, radiators, outlets: where the usual rows do not fit
        for level in (_up(zone.top_m, grid), _down(zone.v_m - height, grid)):
            row = _row_name(level, height)
            near = _row(job, face, piece, kept, level, (width, height), ())
            found += [(p, row) for p in near if zone.u_m < p.centre[0] < zone.right_m]
    return found


def _up(value_m: float, grid_m: float) -> float:
    return ceil(value_m / grid_m - 1e-6) * grid_m


def _down(value_m: float, grid_m: float) -> float:
    return floor(value_m / grid_m + 1e-6) * grid_m


def _levels(face: Face, height: float, grid_m: float) -> list[tuple[float, str]]:
    """Bottom edges of the rows that cover a wall, the ones at head height first. [m]"""
    low, high = SKIRTING_M, face.height_m - UNDER_CEILING_M
    if height > high - low + TINY_M:
        return []
    step = _up(height + GAP_M, grid_m)
    rows = max(int((BAND_M[1] - BAND_M[0] + GAP_M) / step + 1e-9), 1)
    block = (rows - 1) * step + height
    start = snapped(EAR_M - block / 2, grid_m, low, high - block)
    band = [start + i * step for i in range(rows)]
    above = [start + i * step for i in range(rows, int((high - start - height) / step + 1e-9) + 1)]
    below = [start - i * step for i in range(1, int((start - low) / step + 1e-9) + 1)]
    return [
        *((v, "band") for v in band),
        *((v, "above") for v in above),
        *((v, "below") for v in below),
    ]


def _row_name(level: float, height: float) -> str:
    middle = level + height / 2
    if BAND_M[0] <= middle <= BAND_M[1]:
        return "band"
    return "above" if middle > BAND_M[1] else "below"


def _row(
    job: Job,
    face: Face,
    piece: StockPiece,
    kept: tuple[Rectangle, ...],
    level: float,
    size: tuple[float, float],
    points: Sequence[TreatedReflection],
) -> list[Rectangle]:
    """One row of places: as many as fit with equal gaps, and others centred on the mirror
    points."""
    width, height = size
    framing, practice = job.framing_of(face.name), job.shop.practice
    grid = grid_m(job)
    found = []
    for start, end in free_spans(face, kept, level, height):
        here = sorted(
            {r.u_m for r in points if start <= r.u_m <= end and level <= r.v_m <= level + height}
        )
        at_points = (
            [snapped(u - width / 2, grid, start, end - width) for u in here]
            if end - start >= width
            else []
        )
        lefts = [*_tiled(start, end, width, grid), *at_points]
        for middle in at_points:  # what remains beside a centred piece
            lefts += _tiled(start, middle - GAP_M, width, grid)
            lefts += _tiled(middle + width + GAP_M, end, width, grid)
        drawn = [Rectangle(left, level, width, height) for left in lefts]
        moved = [shifted(framing, face, piece, p, (start, end), practice) for p in drawn]
        here_found = [place for place in moved if place is not None]
        if not here_found:
            here_found = [p for p in drawn if railed(job, face, piece, p, (start, end))]
        found += [place for place in here_found if usable(face, kept, place)]
    return list(dict.fromkeys(found))


def _tiled(start: float, end: float, width: float, grid_m: float) -> list[float]:
    """Left edges of as many as fit, on the grid, with equal gaps; what is left over stands at both
    ends. [m]"""
    first = _up(start, grid_m)
    least = _up(width + GAP_M, grid_m)
    count = int((end - first - width) / least + 1e-9) + 1 if end - first >= width - TINY_M else 0
    if count <= 0:
        return []
    spare = end - first - (count - 1) * least - width
    step = least + _down(spare / (count + 1), grid_m)
    first += _down((end - first - (count - 1) * step - width) / 2, grid_m)
    return [first + i * step for i in range(count)]


def _on_ceiling(
    job: Job,
    face: Face,
    piece: StockPiece,
    width: float,
    height: float,
    points: Sequence[TreatedReflection],
) -> list[tuple[Rectangle, str]]:
    kept = zones(job, face)
    grid = grid_m(job)
    levels = _tiled(CEILING_EDGE_M, face.height_m - CEILING_EDGE_M, height, grid)
    found = [
        p for level in levels for p in _row(job, face, piece, kept, level, (width, height), ())
    ]
    for point in points:
        highest = face.height_m - CEILING_EDGE_M - height
        level = snapped(point.v_m - height / 2, grid, CEILING_EDGE_M, highest)
        centred = _row(job, face, piece, kept, level, (width, height), (point,))
        found += centred
        step = _up(height + GAP_M, grid)
        for zone_level in (level - step, level + step):
            found += _row(job, face, piece, kept, zone_level, (width, height), ())
    return [(place, "ceiling") for place in dict.fromkeys(found)]


def _in_corners(job: Job, piece: StockPiece) -> Iterable[Candidate]:
    """Across vertical corners that look into the room, stacked from the floor."""
    for wall in (face for face in job.room.faces if face.kind == "wall"):
        step, lowest = _up(piece.height_m + GAP_M, grid_m(job)), _up(SKIRTING_M, grid_m(job))
        room_m = job.room.height_m - UNDER_CEILING_M - lowest - piece.height_m
        for stack in range(int(room_m / step + 1e-9) + 1 if room_m >= 0 else 0):
            candidate = across_corner(job, piece, wall, lowest + stack * step)
            if candidate is None or any(
                job.fixing_of(face) != "screws" for face, _ in candidate.takes
            ):
                continue
            if all(free_corner(job, job.room.face(face), place) for face, place in candidate.takes):
                yield candidate


def across_corner(job: Job, piece: StockPiece, wall: Face, level_m: float) -> Candidate | None:
    """A corner piece at a wall's left end; None where that corner does not look into the room."""
    # Seen from inside, a wall of a counter-clockwise plan ends at its left; there the next one has
    # its right edge.
    walls = [face for face in job.room.faces if face.kind == "wall"]
    at = [face.name for face in walls].index(wall.name) if wall in walls else -1
    if at < 0 or not _inner_corner(job, at):
        return None
    following, reach = walls[(at + 1) % len(walls)], corner_reach_m(piece)
    own = Rectangle(0.0, level_m, piece.width_m, piece.height_m)
    other = Rectangle(following.width_m - reach, level_m, reach, piece.height_m)
    return Candidate(
        piece=piece, face=wall.name, place=own, beside=(following.name, other), row="corner"
    )


def corner_reach_m(piece: StockPiece) -> float:
    """What a slab across a square corner takes of each wall: its back touches half a diagonal of
    its
    width out, its front stands half a diagonal of its own depth further. [m]"""
    frame_m = max(piece.depth_m - piece.width_m / 2, 0.0)
    if piece.kind == "corner" and piece.core is not None and not piece.core.solid:
        frame_m = max(frame_m, piece.core.thickness_m)
    return (piece.width_m + frame_m) / sqrt(2)


def _inner_corner(job: Job, wall: int) -> bool:
    """Whether the corner at the end of a wall turns into the room by about a right angle."""
    corners = job.room.corners
    a, b, c = (corners[(wall + k) % len(corners)] for k in range(3))
    along, onward = (b[0] - a[0], b[1] - a[1]), (c[0] - b[0], c[1] - b[1])
    turn = (along[0] * onward[1] - along[1] * onward[0]) / (hypot(*along) * hypot(*onward))
    return turn > 0.9


def free_corner(job: Job, face: Face, place: Rectangle) -> bool:
    """Whether what a corner piece takes of a face is free."""
    fits = (
        place.u_m >= -TINY_M
        and place.right_m <= face.width_m - EDGE_M * (place.u_m < TINY_M) + TINY_M
    )
    return (
        fits
        and face.holds(place)
        and not any(zone.overlap_m2(place) > TINY_M for zone in zones(job, face))
    )
