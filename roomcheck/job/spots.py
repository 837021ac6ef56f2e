"""Places on faces as a tape finds them: how far from a named corner, how far up."""

from __future__ import annotations

from roomcheck.geometry import Face, Rectangle, Room
from roomcheck.job.model.job import Job

Place = tuple[str, float | None, tuple[tuple[float, str], ...]]
"""A face, the height on it (None on floor and ceiling) [m], and distances from named walls [m]."""


def places_on(job: Job, face: str) -> dict[str, Rectangle]:
    """What the job has on a face, by its name: patches, openings and what must stay clear."""
    found = {patch.name: patch.place for patch in job.patches if patch.face == face}
    found.update({zone.name: zone.place for zone in job.keep_clear if zone.face == face})
    return found


def place_of(room: Room, face_name: str, u_m: float, v_m: float) -> Place:
    """Return how a tape finds a place on a face, given in the face's own frame. [m]

    On a wall that is the distance from the nearer corner, named by the wall it shares it with, and
    the height; on floor and ceiling the distances to the two nearest walls that are not parallel.
    """
    face = room.face(face_name)
    if face.kind == "wall":
        return face.name, v_m, (_corner(room, face, u_m),)
    return face.name, None, tuple(_nearest(room, face, u_m, v_m))


def _corner(room: Room, face: Face, u_m: float) -> tuple[float, str]:
    """Distance from the nearer end of a wall, and the wall it meets there."""
    names = room.wall_names
    i = names.index(face.name)
    if (
        u_m <= face.width_m / 2
    ):  # the left end, seen from inside, is where the plan's next wall begins
        return u_m, names[(i + 1) % len(names)]
    return face.width_m - u_m, names[i - 1]


def _nearest(room: Room, face: Face, u_m: float, v_m: float) -> list[tuple[float, str]]:
    place = face.to_room(u_m, v_m)
    walls = []
    for wall in room.faces:
        if wall.kind == "wall":
            u, _, off = wall.to_face(place)
            if off >= 0 and 0 <= u <= wall.width_m:
                walls.append((off, wall))
    walls.sort(key=lambda pair: pair[0])
    found: list[tuple[float, str]] = []
    for off, wall in walls:
        across = [room.face(name) for _, name in found]
        if all(
            abs(sum(a * b for a, b in zip(wall.normal, w.normal, strict=True))) < 0.99
            for w in across
        ):
            found.append((off, wall.name))
        if len(found) == 2:
            break
    return found
