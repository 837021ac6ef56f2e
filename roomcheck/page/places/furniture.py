"""Furniture that is given its place on the floor, or loses it."""

from __future__ import annotations

from pathlib import Path

from roomcheck.errors import RoomcheckError
from roomcheck.geometry import Point
from roomcheck.job import Edit, Job
from roomcheck.page.places.room import STANDS, edited
from roomcheck.units import format_length

_BOX_M = 0.8
"""Side of the box that stands for furniture until it is measured. [m]"""


def stand(folder: Path, job: Job, way: str) -> Job:
    """Give furniture a first place in the middle of the floor, or take the place that it has."""
    kind, _, name = way.partition(".")
    thing = next((one for one in job.furnishings if one.name == name), None)
    if kind != "furnishing" or thing is None:
        raise RoomcheckError(f"{way}: there is no such furniture")
    keys = [key for key, *_ in STANDS]
    if thing.place is not None:
        return edited(folder, [Edit((kind, name, key), None) for key in keys], way)
    floor = job.room.face("floor")
    length_m, width_m = min(_BOX_M, floor.width_m / 3), min(_BOX_M, floor.height_m / 3)
    inner = _inner(job)
    at = (inner.x - length_m / 2, inner.y - width_m / 2)
    sizes = (*at, length_m, width_m, min(_BOX_M, job.room.height_m / 2))
    texts = [format_length(size_m, job.units) for size_m in sizes]
    edits = [Edit((kind, name, key), text) for key, text in zip(keys, texts, strict=True)]
    return edited(folder, edits, way)


def _inner(job: Job) -> Point:
    """A place well within the floor: the middle, or else where most room is around."""
    floor = job.room.face("floor")
    shares = (0.5, 0.3, 0.7, 0.2, 0.8)
    places = [
        floor.to_room(u * floor.width_m, v * floor.height_m, 0.01) for u in shares for v in shares
    ]
    if job.room.holds(places[0], _BOX_M / 2):
        return places[0]
    inside = [place for place in places if job.room.holds(place)]
    return max(inside, key=lambda place: _free_around_m(job, place), default=places[0])


def _free_around_m(job: Job, place: Point) -> float:
    """To the nearest wall. [m]"""
    walls = [face for face in job.room.faces if face.kind == "wall"]
    return min(abs(wall.to_face(place)[2]) for wall in walls)
