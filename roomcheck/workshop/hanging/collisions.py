"""Where pieces of their true size hang, what they run into, and which door or window they stand
nearest to."""

from __future__ import annotations

from collections.abc import Sequence

from roomcheck.facts import Fact, fact
from roomcheck.geometry import Rectangle
from roomcheck.job import Job, Placement
from roomcheck.workshop.hanging_kinds import Refusal

_TOUCHING_M2 = 1e-6
"""A smaller overlap is rounding. [m2]"""


def true_place(drawn: Rectangle, outside_m: tuple[float, float]) -> Rectangle:
    """Where a piece of its true size hangs: round the drawn middle, turned as drawn. [m]

    >>> true_place(Rectangle(1.0, 1.0, 1.2, 0.6), (0.64, 1.24))
    Rectangle(u_m=0.98, v_m=0.98, width_m=1.24, height_m=0.64)
    """
    width, height = outside_m
    if (drawn.width_m > drawn.height_m) != (width > height):
        width, height = height, width
    if abs(width - drawn.width_m) < 1e-6 and abs(height - drawn.height_m) < 1e-6:
        return drawn
    u, v = drawn.centre
    return Rectangle(round(u - width / 2, 9), round(v - height / 2, 9), width, height)


def collisions(
    job: Job, placed: Placement, place: Rectangle, others: Sequence[tuple[str, Rectangle]]
) -> tuple[Fact[Refusal], ...]:
    """What a piece of its true size runs into."""
    hits = [
        fact(Refusal.RUNS_INTO_PIECE, name=name)
        for name, other in others
        if place.overlap_m2(other) > _TOUCHING_M2
    ]
    zones = [
        (patch.name, patch.zone)
        for patch in job.patches
        if patch.face == placed.face and patch.opening
    ]
    zones += [(kept.name, kept.zone) for kept in job.keep_clear if kept.face == placed.face]
    hits += [
        fact(Refusal.RUNS_INTO, name=name)
        for name, zone in zones
        if place.overlap_m2(zone) > _TOUCHING_M2
    ]
    if not job.room.face(placed.face).holds(place):
        hits.append(fact(Refusal.OVER_THE_EDGE))
    return tuple(hits)


def nearest_opening(job: Job, face: str, place: Rectangle) -> tuple[str, float | None]:
    """Door or window whose middle is nearest to a piece's, and how far right of it the piece's
    middle is. [m]"""
    offs = [
        (p.name, place.centre[0] - p.place.centre[0])
        for p in job.patches
        if p.face == face and p.opening
    ]
    return min(offs, key=lambda opening: abs(opening[1])) if offs else ("", None)
