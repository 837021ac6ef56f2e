"""A form about a photograph turned into marks or into one change of the job."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path

from roomcheck.errors import RoomcheckError
from roomcheck.job import edit_job, found_edits, load_job
from roomcheck.measure import (
    LEFT_EDGE,
    RIGHT_EDGE,
    Marked,
    ending_of,
    frame_of,
    keep_photo,
    kept_photos,
    lay_aside,
    mark_photo,
    photo_named,
    read_off,
    same_picture,
)

MOST_BYTES = 60 * 2**20
"""A photograph of more is not taken. [bytes]"""
_POINT = re.compile(r"(-?\d+(?:\.\d+)?)\s*,\s*(-?\d+(?:\.\d+)?)")

Point = tuple[float, float]


def take_in(folder: Path, face: str, file: Path) -> str:
    """Keep a photograph of a wall; its name within the job.

    Raises
    ------
    NoPhotograph
        It is none of the formats that telephones and cameras make.
    """
    ending_of(file, ("JPEG", "PNG", "HEIF"))
    job = load_job(folder)
    names = [one.name for one in job.room.faces if one.kind == "wall"]
    if face not in names:
        raise RoomcheckError(f"there is no wall {face!r}; the room has {', '.join(names)}")
    for photo in kept_photos(job):
        if photo.face == face and same_picture(photo.file, file):
            return photo.name
    return keep_photo(job, face, file, Marked(marks=())).name


def mark(folder: Path, form: Mapping[str, str]) -> None:
    """Keep the marks of a form.

    Raises
    ------
    FileChanged
        Somebody else marked the same photograph meanwhile.
    RoomcheckError
        Points that are none.
    """
    job = load_job(folder)
    photo = photo_named(job, form.get("file", ""))
    if form.get("seen"):
        photo = replace(photo, digest=form["seen"])
    mark_photo(job, photo, replace(_marked(form), people=photo.marked.people))


def _marked(form: Mapping[str, str]) -> Marked:
    """What a form's rows say; a row without points is left out."""
    marks, lines, things = list[tuple[Point, str]](), [], []
    number = 0
    while f"row.{number}.kind" in form:
        kind, what = form[f"row.{number}.kind"], form.get(f"row.{number}.what", "").strip()
        points = _points(form.get(f"row.{number}.at", ""))
        if points and kind == "mark":
            marks.append((points[0], what))
        elif points and kind == "line":
            lines.append(points)
        elif points and kind == "thing" and what:
            things.append((what, points))
        number += 1
    return Marked(marks=tuple(marks), lines=tuple(lines), things=tuple(things))


def _points(text: str) -> tuple[Point, ...]:
    if _POINT.sub("", text).strip():
        raise RoomcheckError(f"{text!r}: needed points of the picture as X,Y X,Y")
    return tuple((float(x), float(y)) for x, y in _POINT.findall(text))


def enter(folder: Path, form: Mapping[str, str]) -> str:
    """Make what was measured an entry of the job, or give the entry the photograph's size.

    Raises
    ------
    FileMistakes
        It cannot be there.
    """
    job = load_job(folder)
    photo = photo_named(job, form.get("file", ""))
    face = job.room.face(photo.face)
    read = read_off(job, face, frame_of(photo.file), photo.marked)
    name = form.get("name", "")
    found = read.things.get(name)
    if found is None or name in (LEFT_EDGE, RIGHT_EDGE):
        raise RoomcheckError(f"nothing called {name!r} was measured on {photo.name}")
    edit_job(
        folder, found_edits(job, face.name, name, form.get("kind", ""), found.place, found.within_m)
    )
    return name


def answer(folder: Path, form: Mapping[str, str]) -> None:
    """Keep whether people are in the picture."""
    job = load_job(folder)
    photo = photo_named(job, form.get("file", ""))
    said = {"yes": True, "no": False}.get(form.get("people", ""))
    mark_photo(job, photo, replace(photo.marked, people=said))


def put_aside(folder: Path, form: Mapping[str, str]) -> None:
    """Take a photograph out of the job."""
    job = load_job(folder)
    lay_aside(job, photo_named(job, form.get("file", "")))
