"""A photograph of a wall: what was marked on it, what that says, and a form turned into marks."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from pathlib import Path

from roomcheck.chain import Chain
from roomcheck.errors import RoomcheckError
from roomcheck.geometry import Face
from roomcheck.job import Job, edit_job, load_job, places_on
from roomcheck.measure import (
    LEFT_EDGE,
    PHOTO_KINDS,
    RIGHT_EDGE,
    Frame,
    KeptPhoto,
    Marked,
    MarksRefused,
    Measured,
    ReadOff,
    ending_of,
    entry_edits,
    frame_of,
    keep_photo,
    kept_photos,
    known_on,
    lay_aside,
    mark_photo,
    read_off,
    read_photos,
    reads_heif,
    shared_corners,
    straightened,
    upright,
)
from roomcheck.page.planning.plan import chosen_plan
from roomcheck.report import corner_texts, fit_texts, jpeg_of, measured_texts, on_photo
from roomcheck.scene import scene
from roomcheck.typed import parse_length
from roomcheck.units import format_length

MOST_BYTES = 60 * 2**20
"""A photograph of more is not taken. [bytes]"""
_SHOWN_PX = 4096
"""Longer side of the picture that is marked on."""
_SIDES = ("top left", "top right", "bottom right", "bottom left")
"""In the order in which people go round a rectangle."""
_POINT = re.compile(r"(-?\d+(?:\.\d+)?)\s*,\s*(-?\d+(?:\.\d+)?)")
_NEEDED = {"mark": (1, 1), "line": (3, 60), "thing": (2, 4)}
"""Points that each kind of row has, at least and at most."""

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the form: a mark, a straight edge, or a thing to be measured."""

    kind: str
    """"mark", "line" or "thing"."""
    what: str
    """The mark's place on the wall, or the thing's name."""
    label: str
    at: str = ""
    """Its points: "212,340 3801,395"."""
    problem: str = ""

    @property
    def most(self) -> int:
        return _NEEDED[self.kind][1]


@dataclass(frozen=True, slots=True)
class ThingRow:
    """What was measured, as the table shows it."""

    name: str
    cells: tuple[str, ...]
    """From the left, up, wide, high, ±, beside what was taped."""
    kind: str
    """What it most likely is, by its name."""
    known: bool
    """Whether the job has it."""
    edge: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoPage:
    """All that the page of a wall's photograph shows."""

    face: Face
    walls: tuple[str, ...]
    files: tuple[str, ...]
    """Photographs of this wall, by their names."""
    photo: KeptPhoto | None
    frame: Frame | None
    rows: tuple[Row, ...] = ()
    sets: tuple[tuple[str, str], ...] = ()
    """What can be marked next: key and label."""
    said: tuple[str, ...] = ()
    """How well it fits."""
    problem: str = ""
    """Why it does not."""
    things: tuple[ThingRow, ...] = ()
    corners: tuple[str, ...] = ()
    kinds: tuple[str, ...] = PHOTO_KINDS
    fits: bool = False
    plan: bool = False
    """Whether a plan is there to be drawn into it."""
    heif: bool = False


def photo_page(chain: Chain, query: Mapping[str, str]) -> PhotoPage:
    """The page of one wall.

    Parameters
    ----------
    query : mapping
        `face`, the photograph's `file`, and `set`: what is to be marked next.

    Raises
    ------
    RoomcheckError
        What was marked by hand in a file cannot be read.
    """
    job = chain.job
    walls = tuple(face.name for face in job.room.faces if face.kind == "wall")
    face = job.room.face(query["face"] if query.get("face") in walls else walls[0])
    here = [photo for photo in kept_photos(job) if photo.face == face.name]
    asked = query.get("file", "")
    photo = next((one for one in here if one.name == asked), here[-1] if here else None)
    files = tuple(one.name for one in here)
    if photo is None:
        return PhotoPage(
            face=face, walls=walls, files=files, photo=None, frame=None, heif=reads_heif()
        )
    frame = frame_of(photo.file)
    rows = (*_rows(photo.marked), *_blank(job, face, photo.marked, query))
    page = PhotoPage(
        face=face,
        walls=walls,
        files=files,
        photo=photo,
        frame=frame,
        rows=rows,
        sets=_sets(job, face),
        heif=reads_heif(),
    )
    try:
        read = read_off(job, face, frame, photo.marked)
    except RoomcheckError as problem:
        return _refused(page, problem)
    return _fitted(chain, page, read)


def _refused(page: PhotoPage, problem: RoomcheckError) -> PhotoPage:
    """The page with the reason at the marks that it is about."""
    if not isinstance(problem, MarksRefused):
        return replace(page, problem=str(problem))
    marks, lines, rows = 0, 0, []
    for row in page.rows:
        marks += row.kind == "mark"
        lines += row.kind == "line"
        of_mark = row.kind == "mark" and marks in problem.marks
        meant = row.at and (of_mark or (row.kind == "line" and lines == problem.line))
        rows.append(replace(row, problem=str(problem)) if meant else row)
    return replace(page, rows=tuple(rows), problem=str(problem))


def _fitted(chain: Chain, page: PhotoPage, read: ReadOff) -> PhotoPage:
    job, face = chain.job, page.face
    known = known_on(job, face)
    things = [
        ThingRow(
            name=name,
            cells=measured_texts(job, found, known.get(name)),
            kind=_likely(name),
            known=name in known,
            edge=name in (LEFT_EDGE, RIGHT_EDGE),
        )
        for name, found in read.things.items()
    ]
    rows = []
    for row in page.rows:
        wrong = read.refused.get(row.what) if row.kind == "thing" and row.at else None
        rows.append(row if wrong is None else replace(row, problem=str(wrong)))
    reads = {wall: other for wall, (_, other) in read_photos(job).items()} | {face.name: read}
    corners = [one for one in shared_corners(job.room, reads) if face.name in one.walls]
    return replace(
        page,
        rows=tuple(rows),
        said=fit_texts(job, face, read.photo),
        things=tuple(things),
        corners=corner_texts(job, corners),
        fits=True,
        plan=chosen_plan(chain, "chosen") is not None,
    )


def _likely(name: str) -> str:
    """The kind that a thing's name says."""
    return next((kind for kind in PHOTO_KINDS if kind in name.lower()), PHOTO_KINDS[0])


def _rows(marked: Marked) -> tuple[Row, ...]:
    marks = [Row("mark", said, _label(said), _text([pixel])) for pixel, said in marked.marks]
    lines = [Row("line", "", "a straight edge", _text(points)) for points in marked.lines]
    things = [Row("thing", name, name, _text(corners)) for name, corners in marked.things]
    return (*marks, *lines, *things)


def _label(said: str) -> str:
    """A place as a person reads it.

    >>> _label("top left"), _label("door top left")
    ('wall, top left', 'door, top left')
    """
    for side in _SIDES:
        if said == side:
            return f"wall, {side}"
        if said.endswith(f" {side}"):
            return f"{said.removesuffix(f' {side}')}, {side}"
    return said


def _text(points: Sequence[Point]) -> str:
    return " ".join(f"{round(x, 1):g},{round(y, 1):g}" for x, y in points)


def _sets(job: Job, face: Face) -> tuple[tuple[str, str], ...]:
    """What can be marked next."""
    things = [(f"of {name}", f"corners of {name}") for name in places_on(job, face.name)]
    return (
        ("wall", "the wall's corners"),
        *things,
        ("tape", "a rectangle that I taped (fill in its place)"),
        ("point", "one point that I taped (from the left, from the bottom)"),
        ("line", "a straight edge, point by point"),
        ("thing", "something to be measured (give it a name)"),
        (LEFT_EDGE, "the wall's left edge, foot and head, to be measured"),
        (RIGHT_EDGE, "the wall's right edge, foot and head, to be measured"),
    )


def _blank(job: Job, face: Face, marked: Marked, query: Mapping[str, str]) -> tuple[Row, ...]:
    """Rows to be filled next, without those that are marked already.

    Raises
    ------
    RoomcheckError
        A length that is none; a thing without a name.
    """
    key = query.get("set", "")
    if key in (LEFT_EDGE, RIGHT_EDGE) or key == "thing":
        name = query.get("name", "").strip() if key == "thing" else key
        if not name:
            raise RoomcheckError("give what is to be measured a name, such as window 2")
        there = any(name == other for other, _ in marked.things)
        return () if there else (Row("thing", name, name),)
    if key == "line":
        return (Row("line", "", "a straight edge"),)
    there_already = {said for _, said in marked.marks}
    places = _places(job, face, key, query)
    return tuple(Row("mark", p, _label(p)) for p in places if p not in there_already)


def _places(job: Job, face: Face, key: str, query: Mapping[str, str]) -> list[str]:
    """Places on the wall whose marks are wanted, as a person would type them."""
    if key == "wall":
        return list(_SIDES)
    if key.removeprefix("of ") in places_on(job, face.name):
        return [f"{key.removeprefix('of ')} {side}" for side in _SIDES]
    if key not in ("tape", "point"):
        return []
    left, bottom = (parse_length(query.get(name, "")) for name in ("left", "bottom"))
    if key == "point":
        return [_place(job, left, bottom)]
    right = left + parse_length(query.get("width", ""))
    top = bottom + parse_length(query.get("height", ""))
    corners = ((left, top), (right, top), (right, bottom), (left, bottom))
    return [_place(job, u_m, v_m) for u_m, v_m in corners]


def _place(job: Job, u_m: float, v_m: float) -> str:
    return f"{format_length(u_m, job.units)}, {format_length(v_m, job.units)}"


# --- pictures


def shown_picture(folder: Path, name: str) -> bytes:
    """A photograph of the job as it is marked on: upright, without what the camera wrote."""
    file = _of(load_job(folder), name).file
    return _shown(file, file.stat().st_mtime_ns)


@lru_cache(maxsize=4)
def _shown(file: Path, _changed_ns: int) -> bytes:
    from PIL import Image

    picture = Image.fromarray(upright(file))
    picture.thumbnail((_SHOWN_PX, _SHOWN_PX))
    import numpy as np

    return jpeg_of(np.asarray(picture))


def straight_picture(job: Job, face: str) -> bytes | None:
    """The wall to scale, from its last photograph that fits; None where none does."""
    photo, read = read_photos(job).get(face, (None, None))
    if photo is None or read is None:
        return None
    flat = straightened(upright(photo.file), read.photo.camera, job.room.face(face))
    return jpeg_of(flat)


def plan_picture(chain: Chain, face: str) -> bytes | None:
    """The wall's last photograph that fits, with the plan on it."""
    job = chain.job
    photo, read = read_photos(job).get(face, (None, None))
    plan = chosen_plan(chain, "chosen")
    if photo is None or read is None or plan is None:
        return None
    camera = read.photo.camera
    return jpeg_of(
        on_photo(upright(photo.file), camera, job.room.face(face), scene(job, plan.pieces))
    )


# --- forms


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
        if photo.face == face and _alike(photo.file, file):
            return photo.name
    return keep_photo(job, face, file, Marked(marks=())).name


def _alike(a: Path, b: Path) -> bool:
    return a.stat().st_size == b.stat().st_size and a.read_bytes() == b.read_bytes()


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
    photo = _of(job, form.get("file", ""))
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
    photo = _of(job, form.get("file", ""))
    face = job.room.face(photo.face)
    read = read_off(job, face, frame_of(photo.file), photo.marked)
    name = form.get("name", "")
    found: Measured | None = read.things.get(name)
    if found is None or name in (LEFT_EDGE, RIGHT_EDGE):
        raise RoomcheckError(f"nothing called {name!r} was measured on {photo.name}")
    edit_job(folder, entry_edits(job, face, name, form.get("kind", ""), found))
    return name


def answer(folder: Path, form: Mapping[str, str]) -> None:
    """Keep whether people are in the picture."""
    job = load_job(folder)
    photo = _of(job, form.get("file", ""))
    said = {"yes": True, "no": False}.get(form.get("people", ""))
    mark_photo(job, photo, replace(photo.marked, people=said))


def put_aside(folder: Path, form: Mapping[str, str]) -> None:
    """Take a photograph out of the job."""
    job = load_job(folder)
    lay_aside(job, _of(job, form.get("file", "")))


def _of(job: Job, name: str) -> KeptPhoto:
    """The photograph of this name: nothing that is not the job's own is ever opened."""
    for photo in kept_photos(job):
        if photo.name == name:
            return photo
    raise RoomcheckError(f"the job has no photograph {name!r}")
