"""What is usual of rooms and of what hangs in them, so that an odd value is asked about.

All values here are common practice: nothing is decided by them, they are offered and held beside
what was typed.
"""

from __future__ import annotations

from roomcheck.facts import Fact, Kind, fact
from roomcheck.job.model.job import Job
from roomcheck.units import M_PER_IN

USUAL_CLEARANCE_M = {
    "outlet": 4 * M_PER_IN,
    "switch": 4 * M_PER_IN,
    "supply vent": 12 * M_PER_IN,
    "sprinkler": 18 * M_PER_IN,
    "smoke detector": 36 * M_PER_IN,
    "heater": 6 * M_PER_IN,
    "light": 3 * M_PER_IN,
    "door swing": 2 * M_PER_IN,
}
"""Free space around a thing that must stay clear, by its kind; local codes may ask for more, and
kinds that are not here have no usual value. [m]"""

USUAL_OPENINGS = {"window": "double glazing", "door": "solid wooden door"}
"""What openings are of, where nobody said."""

_HOME = (2.2, 3.2)
_HALL = (2.4, 6.0)
USUAL_ROOMS: dict[str, tuple[tuple[float, float], tuple[float, float]]] = {
    "control room": ((25, 250), (2.2, 4.5)),
    "critical listening room": ((40, 400), (2.2, 4.5)),
    "voice booth": ((3, 20), (1.9, 3.0)),
    "podcast room": ((12, 120), _HOME),
    "home cinema": ((20, 250), (2.1, 4.0)),
    "meeting room": ((15, 150), (2.2, 4.0)),
    "large meeting room": ((60, 1000), _HALL),
    "video call room": ((8, 120), (2.2, 4.0)),
    "cafe": ((40, 2500), _HALL),
    "amplified rehearsal room": ((25, 600), _HALL),
    "acoustic rehearsal room": ((30, 2000), (2.3, 9.0)),
    "classroom": ((80, 600), (2.3, 5.0)),
    "primary classroom": ((80, 600), (2.3, 5.0)),
    "secondary classroom": ((80, 600), (2.3, 5.0)),
    "classroom for hearing impairment": ((50, 500), (2.3, 5.0)),
    "music classroom": ((80, 800), (2.3, 6.0)),
    "music practice room": ((10, 150), (2.2, 5.0)),
    "ensemble room": ((40, 1000), (2.3, 8.0)),
    "music room DIN A1": ((30, 1000), (2.3, 9.0)),
    "lecture room DIN A2": ((50, 5000), (2.3, 12.0)),
    "classroom DIN A3": ((30, 5000), (2.3, 6.0)),
    "classroom DIN A4": ((30, 500), (2.3, 5.0)),
    "sports hall DIN A5": ((200, 30_000), (3.0, 15.0)),
}
"""Volume and height that rooms of a use have, each with its least and its most. [m3], [m]"""

LONG_AND_NARROW = 4.0
"""Length over width of a corridor."""


class RoomSize(Kind):
    """What a room is by what was typed, and what is odd about it."""

    ROOM_IS = "room_is"
    ODD_VOLUME = "odd_volume"
    ODD_HEIGHT = "odd_height"
    LONG_AND_NARROW = "long_and_narrow"
    HIGHER_THAN_LONG = "higher_than_long"


def room_facts(job: Job) -> tuple[Fact[RoomSize], ...]:
    """The room as it was understood, and what is odd for its use."""
    xs = [x for x, _ in job.room.corners]
    ys = [y for _, y in job.room.corners]
    length_m, width_m = max(xs) - min(xs), max(ys) - min(ys)
    height_m, volume_m3 = job.room.height_m, job.room.volume_m3
    found = [
        fact(
            RoomSize.ROOM_IS,
            length_m=length_m,
            width_m=width_m,
            height_m=height_m,
            volume_m3=volume_m3,
            corners=len(job.room.corners),
            use=job.use,
        )
    ]
    usual = USUAL_ROOMS.get(job.use)
    if usual is not None:
        (small_m3, large_m3), (low_m, high_m) = usual
        if not small_m3 <= volume_m3 <= large_m3:
            values = {"low_m3": float(small_m3), "high_m3": float(large_m3)}
            found.append(fact(RoomSize.ODD_VOLUME, volume_m3=volume_m3, use=job.use, **values))
        if not low_m <= height_m <= high_m:
            values = {"low_m": low_m, "high_m": high_m}
            found.append(fact(RoomSize.ODD_HEIGHT, height_m=height_m, use=job.use, **values))
    longest_m, shortest_m = max(length_m, width_m), min(length_m, width_m)
    if longest_m > LONG_AND_NARROW * shortest_m:
        found.append(fact(RoomSize.LONG_AND_NARROW, times=longest_m / shortest_m))
    if height_m > longest_m:
        found.append(fact(RoomSize.HIGHER_THAN_LONG, height_m=height_m, length_m=longest_m))
    return tuple(found)
