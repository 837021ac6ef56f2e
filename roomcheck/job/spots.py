"""Places on faces in words: how far from a named corner, how far up, as a tape would find them."""

from __future__ import annotations

from roomcheck.geometry import Face, Room
from roomcheck.job.model.job import Units
from roomcheck.units import M_PER_IN, format_length

Place = tuple[str, float | None, tuple[tuple[float, str], ...]]
"""A face, the height on it (None on floor and ceiling) [m], and distances from named walls [m]."""


def place_of(room: Room, face_name: str, u_m: float, v_m: float) -> Place:
    """Return how a tape finds a place on a face, given in the face's own frame. [m]

    On a wall that is the distance from the nearer corner, named by the wall it shares it with, and
    the height; on floor and ceiling the distances to the two nearest walls that are not parallel.
    """
    face = room.face(face_name)
    if face.kind == "wall":
        return face.name, v_m, (_corner(room, face, u_m),)
    return face.name, None, tuple(_nearest(room, face, u_m, v_m))


def place_text(place: Place, units: Units) -> str:
    """Return a place in words: to the inch or the centimetre.

    >>> place_text(("west", 0.9, ((1.2, "south"),)), "metric")
    'west, 1.20 m from the corner with south, 0.90 m up'
    """
    face, up_m, walls = place
    if up_m is None:
        return f"{face}, " + " and ".join(f"{tape(off, units)} from {wall}" for off, wall in walls)
    ((along_m, corner),) = walls
    return f"{face}, {tape(along_m, units)} from the corner with {corner}, {tape(up_m, units)} up"


def spot(room: Room, face_name: str, u_m: float, v_m: float, units: Units) -> str:
    """Return a place on a face in words.

    >>> spot(Room.box(5, 4, 2.5), "west", 1.2, 0.9, "metric")
    'west, 1.20 m from the corner with south, 0.90 m up'
    """
    return place_text(place_of(room, face_name, u_m, v_m), units)


def tape(length_m: float, units: Units) -> str:
    """A length as one reads it off a tape when an inch or a centimetre will do.

    >>> print(tape(1.9, "imperial"), "or", tape(1.9, "metric"))
    6' 3" or 1.90 m
    """
    if units == "metric":
        return f"{length_m:.2f} m"
    return format_length(round(length_m / M_PER_IN) * M_PER_IN, "imperial")


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
