"""A photograph of a wall: what was marked on it, and what that says."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from roomcheck.chain import Chain
from roomcheck.errors import RoomcheckError
from roomcheck.geometry import Face
from roomcheck.job import FOUND_KINDS, Job, places_on
from roomcheck.measure import (
    LEFT_EDGE,
    RIGHT_EDGE,
    Frame,
    KeptPhoto,
    Marked,
    MarksRefused,
    ReadOff,
    frame_of,
    kept_photos,
    known_on,
    read_off,
    read_photos,
    reads_heif,
    shared_corners,
)
from roomcheck.page.planning.plan import chosen_plan
from roomcheck.report import corner_texts, fit_texts, measured_texts
from roomcheck.typed import parse_length
from roomcheck.units import format_length

_SIDES = ("top left", "top right", "bottom right", "bottom left")
"""In the order in which people go round a rectangle."""
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
    kinds: tuple[str, ...] = FOUND_KINDS
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
    return next((kind for kind in FOUND_KINDS if kind in name.lower()), FOUND_KINDS[0])


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
