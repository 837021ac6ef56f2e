"""Chosen candidates as pieces with names and rounded places."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import count

from roomcheck.geometry import Rectangle
from roomcheck.job import Job, Placement
from roomcheck.recommend.places.candidates import Candidate


def placements(
    chosen: Sequence[Candidate], job: Job, known: Sequence[Placement] = ()
) -> tuple[tuple[Placement, Candidate], ...]:
    """Named A1, A2, … by face, then from left to right, then upwards; reasons are still empty.

    Parameters
    ----------
    chosen : sequence of Candidate
    job : Job
    known : sequence of Placement
        Of the plan that these change: what hangs where it hung keeps its name, what is one of a
        kind with something that vanished takes its name, the rest gets numbers that none had.
    """
    order = {face.name: i for i, face in enumerate(job.room.faces)}
    ordered = sorted(
        chosen,
        key=lambda c: (order[c.face], round(c.place.u_m, 6), round(c.place.v_m, 6), c.piece.name),
    )
    names = _names([(c.piece.name, c.face, rounded(c.place)) for c in ordered], known)
    return tuple(
        (Placement(name=name, piece=c.piece.name, face=c.face, place=rounded(c.place)), c)
        for name, c in zip(names, ordered, strict=True)
    )


Hung = tuple[str, str, Rectangle]
"""Stock piece, face, place."""


def _names(hung: Sequence[Hung], known: Sequence[Placement]) -> list[str]:
    stayed = {(p.piece, p.face, p.place): p.name for p in known}
    names = [stayed.get(each, "") for each in hung]
    gone = [p for p in known if p.name not in names]
    for i, (piece, face, _) in enumerate(hung):
        alike = [p for p in gone if p.piece == piece and not names[i]]
        alike.sort(key=lambda p: p.face != face)
        if alike:
            names[i] = alike[0].name
            gone.remove(alike[0])
    free = (f"A{n}" for n in count(1) if f"A{n}" not in {p.name for p in known})
    return [name or next(free) for name in names]


def rounded(place: Rectangle) -> Rectangle:
    """To a hundredth of a millimetre, so that the same plan is the same text. [m]"""
    return Rectangle(*(round(x, 5) for x in (place.u_m, place.v_m, place.width_m, place.height_m)))
