"""What the room is lined with: every surface, piece and person as an area of some absorption."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from math import exp

from roomcheck.errors import RoomcheckError
from roomcheck.geometry import Rectangle
from roomcheck.job import CoreFront, Job, Patch, Placement, PorousCore, StockPiece, VisitName
from roomcheck.materials import (
    IN_ROOMS,
    SCATTERING,
    Absorption,
    Facing,
    Perforated,
    Shape,
    Sheet,
    Slotted,
    absorption_of,
    corner_trap,
    porous_layer,
    resonator,
)

PERSON = "person standing"
"""Row of the materials table that stands for who is in the room while it is measured."""


_SCATTERS_LIKE = {"well diffuser": "wood well diffuser", "block diffuser": "wood block diffuser"}


class NoAbsorption(RoomcheckError):
    """A stock piece of which nothing says how it absorbs."""

    def __init__(self, *, piece: str, why: str = "no core and no material") -> None:
        self.piece, self.why = piece, why
        super().__init__(
            f"stock piece {piece!r}: {why}, so nothing says how it absorbs. "
            "Give it a core (thickness, gap, flow resistivity) or a material in shop.toml."
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Lining:
    """So much of one absorption at one place."""

    name: str
    """Of the face, patch, piece or furnishing."""
    face: str | None
    """Where it is; None for what stands in the room."""
    place: Rectangle | None
    """On the face; None for what is left of a face, and for furnishings."""
    absorption: Absorption
    amount: float
    """Area [m2], or a count where the absorption is per piece."""
    scatter: tuple[tuple[float, float], ...] | None = None
    """Of diffusers; None for what scatters like the rest of the room."""


def piece_absorption(piece: StockPiece) -> Absorption:
    """How a stock piece absorbs: from its core by physics, else from its row of the materials
    table.

    What verified jobs taught the shop about the piece moves the values and narrows their
    uncertainty.

    Parameters
    ----------
    piece : StockPiece

    Returns
    -------
    Absorption
        Coefficients for its front area.

    Raises
    ------
    NoAbsorption
        Neither core nor material.
    """
    return _taught(piece, _computed(piece))


def _computed(piece: StockPiece) -> Absorption:
    if piece.core is not None:
        return _of_core(piece.core, piece.width_m if piece.kind == "corner" else None)
    if piece.material is None:
        raise NoAbsorption(piece=piece.name)
    return absorption_of(piece.material)


def _taught(piece: StockPiece, computed: Absorption) -> Absorption:
    """The computed absorption times the factor that the shop's verified jobs say, band by band."""
    if not piece.learned:
        return computed
    known = {hz: (exp(mean), sd) for hz, mean, sd in piece.learned}
    values, spread = [], []
    for hz, value, u in zip(computed.bands_hz, computed.values, computed.uncertainty, strict=True):
        factor, sd = known.get(hz, (1.0, None))
        values.append(factor * value)
        spread.append(u if sd is None else factor * value * sd)
    return replace(
        computed,
        key=f"{computed.key}, as verified: {piece.name}",
        values=tuple(values),
        uncertainty=tuple(spread),
        source=f"{computed.source}; moved by what verified jobs of this shop measured",
    )


@lru_cache(maxsize=64)
def _of_core(core: PorousCore, corner_face_m: float | None) -> Absorption:
    """A corner trap strip by strip, a board or sheet before wool as a resonator, else a layer with
    its edges."""
    thickness, gap, sigma = core.thickness_m, core.gap_m, core.flow_resistivity_pa_s_m2
    if corner_face_m is not None and core.front is None:
        shape: Shape = "solid" if core.solid else "straddling"
        return corner_trap(corner_face_m, sigma, shape=shape, thickness_m=thickness)
    front = None if core.front is None else _front(core.front)
    if front is None or isinstance(front, Facing):
        return porous_layer(
            thickness, gap, sigma, facing=front, divided=core.divided, edge_share=IN_ROOMS
        )
    return resonator(
        front,
        thickness_m=thickness,
        gap_m=gap,
        flow_resistivity_pa_s_m2=sigma,
        divided=core.divided,
    )


def _front(front: CoreFront) -> Facing | Perforated | Slotted | Sheet:
    if front.kind == "cloth":
        return Facing(resistance_pa_s_m=front.resistance_pa_s_m, mass_kg_m2=front.mass_kg_m2)
    if front.kind == "holes":
        return Perforated(
            thickness_m=front.thickness_m, hole_m=front.opening_m, open_share=front.open_share
        )
    if front.kind == "slots":
        return Slotted(
            thickness_m=front.thickness_m, slot_m=front.opening_m, open_share=front.open_share
        )
    return Sheet(mass_kg_m2=front.mass_kg_m2)


def linings(job: Job, pieces: tuple[Placement, ...], visit: VisitName) -> tuple[Lining, ...]:
    """Everything that absorbs at one visit.

    Parameters
    ----------
    job : Job
    pieces : tuple of Placement
        What hangs in the room; it covers what lies behind it.
    visit : VisitName
        Chooses the furnishings and the people.

    Returns
    -------
    tuple of Lining
        Pieces, then patches, then what is left of each face, then furnishings and people.
    """
    hung = [
        Lining(
            name=p.name,
            face=p.face,
            place=p.place,
            absorption=piece_absorption(job.shop.piece(p.piece)),
            amount=p.place.area_m2,
            scatter=_scattering(job.shop.piece(p.piece)),
        )
        for p in pieces
    ]
    patches = [_patch(patch, pieces) for patch in job.patches]
    faces = []
    for face in job.room.faces:
        covered = sum(lining.amount for lining in (*hung, *patches) if lining.face == face.name)
        bare = face.area_m2 - covered
        faces.append(
            Lining(
                name=face.name,
                face=face.name,
                place=None,
                absorption=absorption_of(job.material_of(face.name)),
                amount=bare,
            )
        )
    return (*hung, *patches, *faces, *_loose(job, visit))


def _scattering(piece: StockPiece) -> tuple[tuple[float, float], ...] | None:
    """Of a diffuser, from the row of its kind; None for what scatters like the rest of the room."""
    row = SCATTERING.get(_SCATTERS_LIKE.get(piece.kind, ""))
    return None if row is None else tuple(zip(row.bands_hz, row.values, strict=True))


def _patch(patch: Patch, pieces: tuple[Placement, ...]) -> Lining:
    covered = sum(p.place.overlap_m2(patch.place) for p in pieces if p.face == patch.face)
    return Lining(
        name=patch.name,
        face=patch.face,
        place=patch.place,
        absorption=absorption_of(patch.material),
        amount=patch.place.area_m2 - covered,
    )


def _loose(job: Job, visit: VisitName) -> list[Lining]:
    """Furniture, and the people of that visit (of the first, where the second is not planned
    yet)."""
    loose = [
        Lining(
            name=f.name,
            face=None,
            place=None,
            absorption=absorption_of(f.material),
            amount=f.amount,
        )
        for f in job.furnishings
        if visit in f.visits
    ]
    conditions = job.visit(visit) or job.visit("before")
    if conditions is not None and conditions.people > 0:
        person = absorption_of(PERSON)
        loose.append(
            Lining(
                name="people", face=None, place=None, absorption=person, amount=conditions.people
            )
        )
    return loose
