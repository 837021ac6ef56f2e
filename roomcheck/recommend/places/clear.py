"""What keeps a place free besides its face: what is drawn on the floor, sprinklers, what is not
wanted."""

from __future__ import annotations

from collections.abc import Sequence

from roomcheck.facts import Fact, fact
from roomcheck.geometry import Face, Rectangle, Room
from roomcheck.job import Forbid, Job, KeepClear, StockPiece
from roomcheck.recommend.places.space import TINY_M
from roomcheck.recommend.reasons import PlanCaution

Outline = list[tuple[float, float]]

LEADING_M = (0.685, 2.030)
"""An edge above the first and up to the second height is not found by a cane and meets a body: 27
and 80 in. [m]"""

PROJECTS_M = 0.1016
"""What such an edge may stand out into a walkway: 4 in (2010 ADA Standards, section 307.2, as the
US Access Board quotes it; other places have other rules). [m]"""

SWING_TOP_M = 2.13
"""Doors sweep up to about 84 in (common practice). [m]"""

UNDER_HEAD_M = 0.457
"""Kept free below a sprinkler's deflector: 18 in (common practice after the sprinkler standard;
check locally). [m]"""

DEFLECTOR_M = 0.10
"""A hanging sprinkler's deflector sits up to 4 in below the ceiling (common practice). [m]"""


def refused(job: Job, piece: StockPiece, face: Face, place: Rectangle) -> Fact[PlanCaution] | None:
    """Return why nothing of this size may hang here; None where it may.

    Parameters
    ----------
    job : Job
    piece : StockPiece
    face : Face
    place : Rectangle
        On the face. [m]
    """
    for forbid in job.forbids:
        if unwanted(forbid, piece, face.name, place):
            return fact(PlanCaution.NOT_WANTED)
    if face.kind != "wall":
        return None
    outline = footprint(job.room, piece, face, place)
    for zone in job.keep_clear:
        kind = job.room.face(zone.face).kind
        if (
            kind == "floor"
            and zone.kind == "door swing"
            and place.v_m < SWING_TOP_M
            and _meets(outline, zone.zone)
        ):
            return fact(PlanCaution.IN_SWING, thing=zone.name)
        if (
            kind == "floor"
            and zone.kind == "walkway"
            and projects(face, place, outline, zone) > PROJECTS_M + TINY_M
        ):
            return fact(PlanCaution.IN_WALKWAY, thing=zone.name, most_m=PROJECTS_M)
        if (
            kind == "ceiling"
            and zone.kind == "sprinkler"
            and _under_head(job.room, outline, place, zone)
        ):
            return fact(PlanCaution.UNDER_SPRINKLER, thing=zone.name, least_m=UNDER_HEAD_M)
    return None


def unwanted(forbid: Forbid, piece: StockPiece, face: str, place: Rectangle) -> bool:
    """Whether a person does not want this piece here."""
    other_piece = bool(forbid.piece) and forbid.piece != piece.name
    other_face = bool(forbid.face) and forbid.face != face
    return not (
        other_piece
        or other_face
        or (forbid.place is not None and forbid.place.overlap_m2(place) <= TINY_M)
    )


def footprint(room: Room, piece: StockPiece, face: Face, place: Rectangle) -> Outline:
    """What a piece on a wall covers of the floor plan, in the floor's frame. [m]"""
    if piece.kind == "corner":
        leg = place.width_m / 2**0.5
        return [
            _on_floor(room, face, 0, 0),
            _on_floor(room, face, leg, 0),
            _on_floor(room, face, 0, leg),
        ]
    ends = [
        (place.u_m, 0.0),
        (place.right_m, 0.0),
        (place.right_m, piece.depth_m),
        (place.u_m, piece.depth_m),
    ]
    return [_on_floor(room, face, u, off) for u, off in ends]


def projects(face: Face, place: Rectangle, outline: Outline, zone: KeepClear) -> float:
    """How far a piece stands out into a walkway where a cane would not find it; 0 where it would.
    [m]"""
    if not LEADING_M[0] < place.v_m <= LEADING_M[1]:
        return 0.0
    shared = clipped(outline, zone.zone)
    reach = [x * face.normal[0] + y * face.normal[1] for x, y in shared]
    return max(reach) - min(reach) if reach else 0.0


def clipped(outline: Sequence[tuple[float, float]], box: Rectangle) -> Outline:
    """The part of a convex outline inside a rectangle; empty where there is none. [m]

    >>> clipped([(0, 0), (2, 0), (2, 2), (0, 2)], Rectangle(1, 1, 5, 5))
    [(2.0, 1.0), (2.0, 2.0), (1.0, 2.0), (1.0, 1.0)]
    """
    left: Outline = [(float(x), float(y)) for x, y in outline]
    for axis, sign, edge in (
        (0, 1, box.u_m),
        (0, -1, -box.right_m),
        (1, 1, box.v_m),
        (1, -1, -box.top_m),
    ):
        kept: Outline = []
        for a, b in zip(left, [*left[1:], *left[:1]], strict=True):
            in_a, in_b = sign * a[axis] - edge, sign * b[axis] - edge
            if in_a >= 0:
                kept.append(a)
            if (in_a >= 0) != (in_b >= 0):
                t = in_a / (in_a - in_b)
                kept.append((a[0] + t * (b[0] - a[0]), a[1] + t * (b[1] - a[1])))
        left = kept
    return left


def area_of(outline: Outline) -> float:
    """[m2]"""
    pairs = zip(outline, [*outline[1:], *outline[:1]], strict=True)
    return abs(sum(a[0] * b[1] - b[0] * a[1] for a, b in pairs)) / 2


def _meets(outline: Outline, box: Rectangle) -> bool:
    return area_of(clipped(outline, box)) > TINY_M


def _under_head(room: Room, outline: Outline, place: Rectangle, zone: KeepClear) -> bool:
    near = zone.place.grown(max(zone.clearance_m, UNDER_HEAD_M) + zone.within_m)
    return place.top_m > room.height_m - DEFLECTOR_M - UNDER_HEAD_M + TINY_M and _meets(
        outline, near
    )


def _on_floor(room: Room, face: Face, u_m: float, off_m: float) -> tuple[float, float]:
    at, origin = face.to_room(u_m, 0.0, off_m), room.face("floor").origin
    return at.x - origin.x, at.y - origin.y
