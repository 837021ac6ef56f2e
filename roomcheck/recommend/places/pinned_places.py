"""Changes by hand as the planner sees them: places that are pinned, and what comes too near to
what."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

from roomcheck.errors import RoomcheckError
from roomcheck.geometry import Face, Rectangle
from roomcheck.job import Job, Pin, StockPiece
from roomcheck.recommend.places.candidates import BAND_M, Candidate, across_corner, free_corner
from roomcheck.recommend.places.clear import refused
from roomcheck.recommend.places.held import HEADROOM_M, carried, may_hang, mounts_on, railed
from roomcheck.recommend.places.space import (
    CEILING_EDGE_M,
    EDGE_M,
    GAP_M,
    SKIRTING_M,
    TINY_M,
    UNDER_CEILING_M,
    usable,
)
from roomcheck.recommend.reasons import PlanCaution
from roomcheck.units import format_length


class CannotHang(RoomcheckError):
    """A pin that nobody can build."""

    def __init__(self, pin: Pin, why: str) -> None:
        self.pin, self.why = pin, why
        super().__init__(
            f"pin: a {pin.piece} on the {pin.face}: {why}. Choose another place for it, or none."
        )


def pinned_places(job: Job, unusable: Collection[str]) -> tuple[Candidate, ...]:
    """The job's pins as candidates.

    Raises
    ------
    CannotHang
        A piece that does not mount on such a face, whose absorption nobody knows, or two pins at
        one place.
    """
    found: list[Candidate] = []
    for pin in job.pins:
        candidate = pinned(job, pin)
        if pin.piece in unusable:
            raise CannotHang(pin, "nothing says how it absorbs, so no plan can count on it")
        other = next((c for c in found if clash(c, candidate)), None)
        if other is not None:
            raise CannotHang(
                pin, f"it is less than 2 in from the pinned {other.piece.name} beside it"
            )
        found.append(candidate)
    return tuple(found)


def pinned(job: Job, pin: Pin) -> Candidate:
    """One pin as a candidate.

    Raises
    ------
    CannotHang
        The same rules hold as for the planner's own places; only what nobody wants there is left
        to the person who pins.
    """
    piece, face = job.shop.piece(pin.piece), job.room.face(pin.face)
    if piece.kind == "corner":
        return _pinned_corner(job, piece, face, pin)
    barred = _barred(job, piece, face, pin.place)
    if barred:
        raise CannotHang(pin, barred)
    middle = pin.place.centre[1]
    row = "band" if BAND_M[0] <= middle <= BAND_M[1] else "above" if middle > BAND_M[1] else "below"
    return Candidate(
        piece=piece,
        face=face.name,
        place=pin.place,
        row="ceiling" if face.kind == "ceiling" else row,
    )


def _pinned_corner(job: Job, piece: StockPiece, face: Face, pin: Pin) -> Candidate:
    candidate = across_corner(job, piece, face, pin.place.v_m)
    if candidate is None or pin.place.u_m > 1e-3:
        raise CannotHang(
            pin, "it stands in no corner there: left is 0, where two walls open into the room"
        )
    faces = [(job.room.face(name), place) for name, place in candidate.takes]
    if not all(free_corner(job, one, place) for one, place in faces):
        raise CannotHang(pin, "in that corner something must stay free, or there is no room for it")
    if any(job.fixing_of(one.name) != "screws" for one, _ in faces):
        raise CannotHang(pin, "what may be fixed to those walls does not carry it")
    barred = _too_high_or_low(job, face, pin.place) or _refused(job, piece, face, pin.place)
    if barred:
        raise CannotHang(pin, barred)
    return candidate


_REFUSED = {
    PlanCaution.IN_SWING: "a door sweeps over that place",
    PlanCaution.IN_WALKWAY: "there it would stand out into a walkway",
    PlanCaution.UNDER_SPRINKLER: "a sprinkler above needs that place free",
}


def _barred(job: Job, piece: StockPiece, face: Face, place: Rectangle) -> str:
    """Why nobody may hang it there, whatever it costs; "" where nothing is against it."""
    if not face.holds(place):
        return "there it would not lie wholly on that face"
    if not mounts_on(piece, face):
        return _mounts(piece, face)
    return (
        _over_something(job, face, place)
        or _refused(job, piece, face, place)
        or _too_high_or_low(job, face, place)
        or _at_the_edge(job, face, place)
        or _not_carried(job, piece, face, place)
    )


def _mounts(piece: StockPiece, face: Face) -> str:
    if face.kind in piece.mounts:
        return f"it has no lift points, and nothing else hangs from a {face.kind}"
    return f"it mounts on {' and '.join(piece.mounts)} only"


def _over_something(job: Job, face: Face, place: Rectangle) -> str:
    thing = next((z for z in job.keep_clear if _on(z.zone, z.face, face, place)), None)
    if thing is not None:
        return f"the {thing.kind} {thing.name!r} must stay free"
    for patch in job.patches:
        if _on(patch.place, patch.face, face, place):
            return f"it would hang over the {patch.name}"
        if _on(patch.zone, patch.face, face, place):
            least = format_length(patch.clearance_m + patch.within_m, job.units)
            return f"it would come nearer than {least} to the {patch.name}"
    return ""


def _refused(job: Job, piece: StockPiece, face: Face, place: Rectangle) -> str:
    refusal = refused(replace(job, forbids=()), piece, face, place)
    if refusal is None:
        return ""
    return _REFUSED.get(refusal.kind, "that place must stay free")


def _too_high_or_low(job: Job, face: Face, place: Rectangle) -> str:
    if face.kind != "wall":
        return ""
    if place.v_m < SKIRTING_M - TINY_M:
        return f"it needs {format_length(SKIRTING_M, job.units)} above the floor"
    if place.top_m > face.height_m - UNDER_CEILING_M + TINY_M:
        least = format_length(UNDER_CEILING_M, job.units)
        return f"it is lifted onto its cleat from above and needs {least} below the ceiling"
    return ""


def _at_the_edge(job: Job, face: Face, place: Rectangle) -> str:
    if usable(face, (), place):
        return ""
    least_m = EDGE_M if face.kind == "wall" else CEILING_EDGE_M
    return f"it needs {format_length(least_m, job.units)} to the edge of that face"


def _not_carried(job: Job, piece: StockPiece, face: Face, place: Rectangle) -> str:
    if face.kind == "ceiling" and job.room.height_m - piece.depth_m < HEADROOM_M:
        return f"less than {format_length(HEADROOM_M, job.units)} would be left to walk under it"
    if not may_hang(job, piece, face):
        return "what may be fixed to that face does not carry it"
    held = carried(job.framing_of(face.name), face, piece, place, job.shop.practice)
    if not held and not railed(job, face, piece, place, (0.0, face.width_m)):
        return "too few studs or joists stand behind it; move it until it meets them"
    return ""


def _on(zone: Rectangle, of: str, face: Face, place: Rectangle) -> bool:
    return of == face.name and zone.overlap_m2(place) > 1e-6


def clash(a: Candidate, b: Candidate) -> bool:
    """Whether two pieces come nearer than they may."""
    return any(
        fa == fb and ra.grown(GAP_M / 2 - 1e-6).overlap_m2(rb.grown(GAP_M / 2 - 1e-6)) > 0
        for fa, ra in a.takes
        for fb, rb in b.takes
    )
