"""Where to put a stand, as a tape measures it: from a named corner, along a named wall."""

from __future__ import annotations

from roomcheck.facts import Fact, fact
from roomcheck.geometry import Face, Point
from roomcheck.job import Job, Position
from roomcheck.measure.kinds import Way


def directions(job: Job, position: Position) -> Fact[Way]:
    """Measure the way to a position from the nearest corner.

    Along a wall from the corner where two named walls meet, then straight out from that wall, and
    the height. Of all walls from which that can be measured, the one with the shortest way; by x
    and y on the plan where there is none.
    """
    walls = [face for face in job.room.faces if face.kind == "wall"]
    ways = [_way(job, walls, number, position.point) for number in range(len(walls))]
    straight = [way for way in ways if way is not None]
    if not straight:
        x_m, y_m, height_m = position.point
        return fact(Way.ON_PLAN, x_m=x_m, y_m=y_m, height_m=height_m)
    return min(straight, key=lambda way: way["along_m"] + way["out_m"])


def _way(job: Job, walls: list[Face], number: int, point: Point) -> Fact[Way] | None:
    """Measure along and off one wall from its nearer corner; None where that is not straight."""
    wall = walls[number]
    u, _, out_m = wall.to_face(point)
    if not 0 <= u <= wall.width_m or out_m <= 0:
        return None
    # The tape runs straight out from the wall: nothing of the room may be missing on its way.
    tape = [wall.to_room(u, point.z, out_m * share) for share in (0.01, 0.25, 0.5, 0.75)]
    if not all(job.room.holds(place) for place in tape):
        return None
    along_m, next_wall = u, walls[(number + 1) % len(walls)]
    if u > wall.width_m - u:
        along_m, next_wall = wall.width_m - u, walls[number - 1]
    # A wall's left corner, seen from inside, is where the next wall of the plan begins.
    return fact(
        Way.FROM_WALL,
        along_m=along_m,
        out_m=out_m,
        height_m=point.z,
        wall=wall.name,
        corner=next_wall.name,
    )
