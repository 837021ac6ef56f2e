"""Mirror symmetry of left and right, where the use asks for it."""

from __future__ import annotations

from collections.abc import Sequence, Set
from dataclasses import dataclass, replace
from math import hypot

from roomcheck.facts import Fact, fact
from roomcheck.geometry import Rectangle
from roomcheck.job import Job
from roomcheck.recommend.places.candidates import Candidate, kept_free
from roomcheck.recommend.places.held import carried, may_hang
from roomcheck.recommend.places.space import usable, zones
from roomcheck.recommend.reasons import PlanNote

USES = ("control room", "critical listening room", "home cinema")
"""Where two loudspeakers and one seat ask for left and right to be alike (common practice)."""

OFF_M = 0.05
"""Sources and seat stand on their axis, and the axis in the room's middle, to within 2 in (common
practice). [m]"""

ALIKE_M = 1e-4
"""Two places this near to a mirror image of each other are one. [m]"""


@dataclass(frozen=True, slots=True)
class Mirror:
    """The upright plane in the middle of a rectangular room that its sources and its seat are
    symmetric about."""

    along_x: bool
    """True where it runs along x, so that left and right are two values of y."""


def mirror_of(job: Job, use: str) -> Mirror | None:
    """The room's plane of symmetry; None where the use asks for none or the room, sources and seat
    have none."""
    seat = next((m.point for m in job.microphones if m.name == job.seat), None)
    if use not in USES or not job.room.is_box or seat is None or len(job.sources) < 2:
        return None
    a, b = (s.point for s in job.sources[:2])
    floor = job.room.face("floor")
    for along_x, axis, size in ((True, 1, floor.height_m), (False, 0, floor.width_m)):
        middle = floor.origin[axis] + size / 2
        other = 1 - axis
        off = (
            abs((a[axis] + b[axis]) / 2 - middle),
            abs(a[other] - b[other]),
            abs(seat[axis] - middle),
        )
        apart = abs(a[axis] - b[axis])
        if max(off) <= OFF_M and apart > 2 * OFF_M:
            return Mirror(along_x)
    return None


def image(job: Job, candidate: Candidate, mirror: Mirror) -> Candidate:
    """The candidate seen in the mirror."""
    face = job.room.face(candidate.face)
    place = candidate.place
    if candidate.beside is not None:
        # Across a corner: the other corner's piece hangs on the other wall of its own.
        other = _face_of(job, candidate.beside[0], mirror)
        leg = candidate.beside[1].width_m
        own = Rectangle(0.0, place.v_m, place.width_m, place.height_m)
        beside = _face_of(job, candidate.face, mirror)
        width = job.room.face(beside).width_m
        there = Rectangle(width - leg, place.v_m, leg, place.height_m)
        return replace(candidate, face=other, place=own, beside=(beside, there))
    if face.kind == "wall":
        turned = replace(place, u_m=face.width_m - place.right_m)
    elif mirror.along_x:
        turned = replace(place, v_m=face.height_m - place.top_m)
    else:
        turned = replace(place, u_m=face.width_m - place.right_m)
    return replace(candidate, face=_face_of(job, candidate.face, mirror), place=turned)


def _face_of(job: Job, name: str, mirror: Mirror) -> str:
    """The face that a face becomes: itself, or the one across the plane."""
    face = job.room.face(name)
    across = 1 if mirror.along_x else 0
    if face.kind != "wall" or abs(face.normal[across]) < 0.5:
        return name
    opposite = (
        f
        for f in job.room.faces
        if f.kind == "wall" and f.normal[across] * face.normal[across] < -0.5
    )
    return next(opposite).name


def same(a: Candidate, b: Candidate) -> bool:
    """Whether two candidates are one piece at one place, to a tenth of a millimetre."""
    off = (a.place.u_m - b.place.u_m, a.place.v_m - b.place.v_m, a.place.width_m - b.place.width_m)
    return a.piece.name == b.piece.name and a.face == b.face and max(map(abs, off)) < ALIKE_M


def own_image(job: Job, candidate: Candidate, mirror: Mirror) -> bool:
    """Whether a candidate sits astride the plane."""
    return same(image(job, candidate, mirror), candidate)


def with_images(job: Job, found: Sequence[Candidate], mirror: Mirror) -> tuple[Candidate, ...]:
    """All candidates and their mirror images, as far as those may hang where they would."""
    whole = dict.fromkeys(found)
    known = {_key(c) for c in found}
    for candidate in found:
        turned = image(job, candidate, mirror)
        if _key(turned) not in known and _hangs(job, turned):
            known.add(_key(turned))
            whole[turned] = None
    return tuple(whole)


def _hangs(job: Job, candidate: Candidate) -> bool:
    face, piece = job.room.face(candidate.face), candidate.piece
    if candidate.beside is not None:
        return False  # corner places are listed whole already
    fits = may_hang(job, piece, face) and usable(face, zones(job, face), candidate.place)
    return (
        fits
        and carried(job.framing_of(face.name), face, piece, candidate.place, job.shop.practice)
        and not kept_free(job, candidate)
    )


def twins(
    job: Job, places: Sequence[Candidate], pinned: Set[int], mirror: Mirror
) -> tuple[tuple[int, int], ...]:
    """Index pairs of candidates that are each other's image; a pinned piece may stand alone."""
    at = {_key(c): i for i, c in enumerate(places)}
    found = []
    for i, candidate in enumerate(places):
        j = at.get(_key(image(job, candidate, mirror)))
        if j is not None and i < j and not {i, j} & pinned:
            found.append((i, j))
    return tuple(found)


def uneven(job: Job, use: str) -> Fact[PlanNote] | None:
    """Return why a use that asks for symmetry does not get it; None where it does or none is
    asked."""
    if use not in USES or mirror_of(job, use) is not None:
        return None
    seat = next((m.point for m in job.microphones if m.name == job.seat), None)
    if seat is None or len(job.sources) < 2:
        return fact(PlanNote.SYMMETRY_UNKNOWN)
    ways_m = [hypot(seat.x - s.point.x, seat.y - s.point.y) for s in job.sources[:2]]
    return fact(PlanNote.NOT_SYMMETRIC, nearer_m=abs(ways_m[0] - ways_m[1]))


def _key(candidate: Candidate) -> tuple[object, ...]:
    p = candidate.place
    return (
        candidate.piece.name,
        candidate.face,
        *(round(x + 1.7e-5, 3) for x in (p.u_m, p.v_m, p.width_m, p.height_m)),
    )
