"""Where pieces of their true size hang, what they run into, and which door or window they stand
nearest to."""

from __future__ import annotations

from collections.abc import Sequence

from roomcheck.geometry import Rectangle
from roomcheck.job import Job, Placement


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
) -> tuple[str, ...]:
    """What a piece of its true size runs into, one sentence each."""
    found = [f"the piece {name}" for name, other in others if place.overlap_m2(other) > 1e-6]
    for patch in job.patches:
        if (
            patch.face == placed.face
            and patch.opening
            and place.overlap_m2(patch.place.grown(patch.clearance_m)) > 1e-6
        ):
            found.append(patch.name)
    found += [
        k.name for k in job.keep_clear if k.face == placed.face and place.overlap_m2(k.zone) > 1e-6
    ]
    if not job.room.face(placed.face).holds(place):
        found.append("the edge of the wall")
    return tuple(
        f"With its frame it runs into {name}: move it, or build it smaller." for name in found
    )


def nearest_opening(job: Job, face: str, place: Rectangle) -> tuple[str, float | None]:
    """Door or window whose middle is nearest to a piece's, and how far right of it the piece's
    middle is. [m]"""
    offs = [
        (p.name, place.centre[0] - p.place.centre[0])
        for p in job.patches
        if p.face == face and p.opening
    ]
    return min(offs, key=lambda found: abs(found[1])) if offs else ("", None)
