"""Changes by hand as the planner sees them: places that are pinned, and what comes too near to
what."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import replace

from roomcheck.errors import RoomcheckError
from roomcheck.geometry import Face, Rectangle
from roomcheck.job import Job, Pin, StockPiece
from roomcheck.recommend.places.candidates import (
    BAND_M,
    GAP_M,
    Candidate,
    across_corner,
    carried,
    may_hang,
    mounts_on,
)
from roomcheck.recommend.places.clear import refused
from roomcheck.recommend.reasons import PlanCaution


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
    """One pin as a candidate."""
    piece, face = job.shop.piece(pin.piece), job.room.face(pin.face)
    if piece.kind == "corner":
        candidate = across_corner(job, piece, face, pin.place.v_m)
        if candidate is None or pin.place.u_m > 1e-3:
            raise CannotHang(
                pin, "it stands in no corner there: left is 0, where two walls open into the room"
            )
        return candidate
    if not face.holds(pin.place):
        raise CannotHang(pin, "there it would not lie wholly on that face")
    if not mounts_on(piece, face):
        raise CannotHang(pin, f"it mounts on {' and '.join(piece.mounts)} only")
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


_REFUSED = {
    PlanCaution.IN_SWING: "a door sweeps over that place",
    PlanCaution.IN_WALKWAY: "there it would stand out into a walkway",
    PlanCaution.UNDER_SPRINKLER: "a sprinkler above needs that place free",
}


def _barred(job: Job, piece: StockPiece, face: Face, place: Rectangle) -> str:
    """Why nobody may hang it there, whatever it costs; "" where nothing is against it."""
    thing = next((z for z in job.keep_clear if _on(z.zone, z.face, face, place)), None)
    patch = next((p for p in job.patches if p.opening and _on(p.place, p.face, face, place)), None)
    if thing is not None:
        return f"the {thing.kind} {thing.name!r} must stay free"
    if patch is not None:
        return f"it would hang over the {patch.name}"
    refusal = refused(replace(job, forbids=()), piece, face, place)
    if refusal is not None:
        return _REFUSED.get(refusal.kind, "that place must stay free")
    if not may_hang(job, piece, face):
        return "what may be fixed to that face does not carry it"
    if not carried(job.framing_of(face.name), face, piece, place, job.shop.practice):
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
