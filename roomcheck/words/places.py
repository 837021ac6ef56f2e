"""Places on faces in words, and lengths as a tape gives them."""

from __future__ import annotations

from roomcheck.geometry import Face
from roomcheck.job import Job, Place
from roomcheck.units import M_PER_IN
from roomcheck.words.numbers import length
from roomcheck.words.reader import Reader


def place_text(place: Place, units_of: Job | Reader) -> str:
    """Name a place to the inch or the centimetre.

    >>> place_text(("west", 0.9, ((1.2, "south"),)), Reader(units="metric"))
    'west, 1.20 m from the corner with south, 0.90 m up'
    """
    face, up_m, walls = place
    if up_m is None:
        offs = [f"{tape(off_m, units_of)} from {wall}" for off_m, wall in walls]
        return f"{face}, {' and '.join(offs)}"
    ((along_m, corner),) = walls
    along, up = tape(along_m, units_of), tape(up_m, units_of)
    return f"{face}, {along} from the corner with {corner}, {up} up"


def surface(name: str, kind: str) -> str:
    """Name a face as one speaks of it.

    >>> surface("west", "wall"), surface("ceiling", "ceiling"), surface("glass wall", "wall")
    ('west wall', 'ceiling', 'glass wall')
    """
    return f"{name} wall" if kind == "wall" and "wall" not in name else name


def named(face_name: str) -> str:
    """Name a face of which the name alone is known.

    >>> named("south"), named("ceiling")
    ('south wall', 'ceiling')
    """
    return face_name if face_name in ("floor", "ceiling") else surface(face_name, "wall")


def face_text(face: Face) -> str:
    """Name a face as one speaks of it."""
    return surface(face.name, face.kind)


def tape(length_m: float, units_of: Job | Reader) -> str:
    """Print a length as one reads it off a tape, where an inch or a centimetre will do.

    >>> print(tape(1.9, Reader()), "or", tape(1.9, Reader(units="metric")))
    6'-3" or 1.90 m
    """
    if units_of.units == "metric":
        return f"{length_m:.2f} m"
    return length(round(length_m / M_PER_IN) * M_PER_IN, units_of)
