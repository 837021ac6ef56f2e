"""First reflections off every surface before and after, the floor's with a rug as its remedy."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from roomcheck.geometry import Face
from roomcheck.job import Job, Placement
from roomcheck.materials import Absorption
from roomcheck.recommend.places.paths import (
    BANDS_HZ,
    LIMIT_DB,
    Reflection,
    every_reflection,
    kept_db,
)
from roomcheck.recommend.results import ReflectionChange


def reflection_changes(
    job: Job, pieces: Sequence[Placement], absorptions: Mapping[str, Absorption], asked: bool
) -> tuple[ReflectionChange, ...]:
    """Every first reflection that reaches the seat within 15 ms, as it was and as the plan leaves
    it.

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
    found = []
    for r in every_reflection(job):
        hit = next((p for p in pieces if p.face == r.face and p.place.holds(r.u_m, r.v_m)), None)
        after = r.level_db
        if (
            hit is not None
            and hit.piece in absorptions
            and not job.shop.piece(hit.piece).kind.endswith("diffuser")
        ):
            after = r.spread_db + max(
                kept_db(min(absorptions[hit.piece].at(hz) or 0.0, 1.0)) for hz in BANDS_HZ
            )
        loud = asked and after > LIMIT_DB
        found.append(
            ReflectionChange(
                source=r.source,
                seat=r.seat,
                face=r.face,
                u_m=r.u_m,
                v_m=r.v_m,
                delay_s=r.delay_s,
                before_db=r.level_db,
                after_db=after,
                limit_db=LIMIT_DB,
                piece=hit.name if hit else "",
                advice=_advice(job, job.room.face(r.face), r) if loud else "",
            )
        )
    return tuple(found)


def _advice(job: Job, face: Face, reflection: Reflection) -> str:
    if face.kind == "floor":
        return "a thick rug on felt there (another trade)"
    if reflection.on_patch:
        return f"it falls on the {reflection.on_patch}: a curtain there, or move seat or source"
    if job.fixing_of(face.name) == "nothing":
        return f"leave to fix on the {face.name}, a stand there, or move seat or source"
    return "a deeper piece there, or move seat or source"
