"""Places on faces in words: how far from a named corner, how far up, as a tape would find them."""

from __future__ import annotations

from roomcheck.geometry import Face, Room
from roomcheck.job.model.job import Units
from roomcheck.units import M_PER_IN, format_length


def spot(room: Room, face_name: str, u_m: float, v_m: float, units: Units) -> str:
    """A place on a face: to the inch or the centimetre.

    Parameters
    ----------
    room : Room
    face_name : str
    u_m, v_m : float
        In the face's own frame. [m]
    units : "imperial" or "metric"

    Returns
    -------
    str
        On a wall the distance from the nearer corner, named by the wall it shares it with, and the
        height; on floor and ceiling the distances to the two nearest walls that are not parallel.

    >>> spot(Room.box(5, 4, 2.5), "west", 1.2, 0.9, "metric")
    'west, 1.20 m from the corner with south, 0.90 m up'
    """
    face = room.face(face_name)
    if face.kind == "wall":
        along, other = _corner(room, face, u_m)
        return (
            f"{face.name}, {tape(along, units)} from the corner with {other}, {tape(v_m, units)} up"
        )
    walls = _nearest(room, face, u_m, v_m)
    return f"{face.name}, " + " and ".join(f"{tape(off, units)} from {name}" for off, name in walls)


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
