"""Where to put a stand, in words that a tape measure understands: from a named corner, along a
named wall."""

from __future__ import annotations

from roomcheck.geometry import Face, Point
from roomcheck.job import Job, Position
from roomcheck.units import format_length


def directions(job: Job, position: Position) -> str:
    """The way to a position from the nearest corner, in the job's units.

    Along a wall from the corner where two named walls meet, then straight out from that wall, and
    the height. Of all walls from which that can be measured, the one with the shortest way.
    """
    walls = [face for face in job.room.faces if face.kind == "wall"]
    ways = [
        way for i in range(len(walls)) if (way := _way(job, walls, i, position.point)) is not None
    ]
    x, y, z = (format_length(value, job.units) for value in position.point)
    if not ways:
        return f"x {x}, y {y} on the plan, {z} above the floor"
    along, off, wall, other = min(ways, key=lambda way: way[0] + way[1])
    return (
        f"{format_length(along, job.units)} along the {wall} wall from its corner with the "
        f"{other} wall, then {format_length(off, job.units)} straight out; {z} above the floor"
    )


def _way(
    job: Job, walls: list[Face], number: int, point: Point
) -> tuple[float, float, str, str] | None:
    """Along and off one wall from its nearer corner, and the walls that meet there; None where it
    is not straight."""
    wall = walls[number]
    u, _, off = wall.to_face(point)
    if not 0 <= u <= wall.width_m or off <= 0:
        return None
    # The tape runs straight out from the wall: nothing of the room may be missing on its way.
    if not all(
        job.room.holds(wall.to_room(u, point.z, off * part)) for part in (0.01, 0.25, 0.5, 0.75)
    ):
        return None
    left = u <= wall.width_m - u
    # A wall's left corner, seen from inside, is where the next wall of the plan begins.
    other = walls[(number + 1) % len(walls) if left else number - 1]
    return (u if left else wall.width_m - u), off, wall.name, other.name
