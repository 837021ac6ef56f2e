"""First reflections off every surface before and after, the floor's with a rug as its remedy."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from roomcheck.facts import Fact, fact
from roomcheck.geometry import Face
from roomcheck.job import Job, Placement
from roomcheck.materials import Absorption
from roomcheck.recommend.places.paths import (
    BANDS_HZ,
    LIMIT_DB,
    TreatedReflection,
    every_reflection,
    kept_db,
)
from roomcheck.recommend.reasons import Advice
from roomcheck.recommend.results import ReflectionChange


def reflection_changes(
    job: Job, pieces: Sequence[Placement], absorptions: Mapping[str, Absorption], asked: bool
) -> tuple[ReflectionChange, ...]:
    """Compare every first reflection that reaches the seat within 15 ms before and after.

    Parameters
    ----------
    job : Job
        Its seat; nothing where it has none.
    pieces : sequence of Placement
    absorptions : mapping
        By stock piece.
    asked : bool
        Whether the use asks for quiet reflections; elsewhere no advice is given.
    """
    changes = []
    for r in every_reflection(job):
        covering = (p for p in pieces if p.face == r.face and p.place.holds(r.u_m, r.v_m))
        piece = next(covering, None)
        after_db = _covered_db(job, r, piece, absorptions)
        loud = asked and after_db > LIMIT_DB
        changes.append(
            ReflectionChange(
                source=r.source,
                seat=r.seat,
                face=r.face,
                u_m=r.u_m,
                v_m=r.v_m,
                delay_s=r.delay_s,
                before_db=r.level_db,
                after_db=after_db,
                limit_db=LIMIT_DB,
                piece=piece.name if piece else "",
                advice=_advice(job, job.room.face(r.face), r) if loud else None,
            )
        )
    return tuple(changes)


def _covered_db(
    job: Job, r: TreatedReflection, piece: Placement | None, absorptions: Mapping[str, Absorption]
) -> float:
    """Level once a piece hangs there; a diffuser, and a piece nobody can compute, leave it. [dB]"""
    if piece is None or piece.piece not in absorptions or job.shop.piece(piece.piece).diffuser:
        return r.level_db
    absorption = absorptions[piece.piece]
    return r.spread_db + max(kept_db(min(absorption.at(hz) or 0.0, 1.0)) for hz in BANDS_HZ)


def _advice(job: Job, face: Face, reflection: TreatedReflection) -> Fact[Advice]:
    if face.kind == "floor":
        return fact(Advice.RUG)
    if reflection.on_patch:
        return fact(Advice.ON_PATCH, patch=reflection.on_patch)
    if job.fixing_of(face.name) == "nothing":
        return fact(Advice.LEAVE_TO_FIX, face=face.name)
    return fact(Advice.DEEPER_PIECE)
