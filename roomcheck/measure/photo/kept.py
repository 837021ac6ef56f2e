"""Photographs in the job's folder: the picture as it came, and beside it what was marked on it."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from roomcheck.errors import RoomcheckError
from roomcheck.geometry import Face, Rectangle
from roomcheck.job import (
    Job,
    Put,
    digest_of,
    holding,
    places_on,
    plain_name,
    read_regular,
    write_together,
)
from roomcheck.measure.photo.fit import MarksRefused
from roomcheck.measure.photo.read import ending_of
from roomcheck.measure.photo.results import Mark
from roomcheck.typed import parse_length

FOLDER = "photos"
_SCHEMA = 1
_SIDES = ("top left", "top right", "bottom left", "bottom right")

Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Marked:
    """What a person marked on one photograph, as they marked it."""

    marks: tuple[tuple[Point, str], ...]
    """Each with its place on the wall as typed: "0, 8' 1\\"", "top left", "door top left"."""
    lines: tuple[tuple[Point, ...], ...] = ()
    things: tuple[tuple[str, tuple[Point, ...]], ...] = ()
    """Each by its name, with two or four corners."""
    people: bool | None = None
    """Whether people are in the picture; None where nobody was asked."""


@dataclass(frozen=True, slots=True)
class KeptPhoto:
    """A photograph of the job's."""

    face: str
    file: Path
    marked: Marked
    digest: str = ""
    """Of the file of its marks."""

    @property
    def name(self) -> str:
        """Its own, within the photographs of the job."""
        return self.file.name


def place_meant(job: Job, face: Face, said: str) -> tuple[float, float]:
    """The place on a wall that a person means. [m]

    Parameters
    ----------
    said : str
        "LEFT, BOTTOM" as lengths; a corner of the wall, "top left"; or that of something on it,
        "door top left".

    Raises
    ------
    MarksRefused
        Nothing on the wall has that name.
    NotTyped
        A length that is none.
    """
    text = " ".join(said.split())
    if "," in text:
        left, _, bottom = _parted(text)
        return parse_length(left), parse_length(bottom)
    for side in _SIDES:
        if text == side:
            return _corner(Rectangle(0.0, 0.0, face.width_m, face.height_m), side)
        if text.endswith(f" {side}"):
            return _corner(_thing_on(job, face, text.removesuffix(f" {side}")), side)
    raise MarksRefused(
        f"{said!r} is no place on {face.name}; needed LEFT, BOTTOM as lengths, a corner of the "
        'wall such as "top left", or that of something on it such as "door top left"'
    )


def _parted(text: str) -> tuple[str, str, str]:
    """Left and bottom; ", " parts them where the lengths have decimal commas."""
    if ", " in text:
        return text.partition(", ")
    return text.partition(",")


def _corner(place: Rectangle, side: str) -> tuple[float, float]:
    up, across = side.split()
    return (
        place.u_m if across == "left" else place.right_m,
        place.v_m if up == "bottom" else place.top_m,
    )


def _thing_on(job: Job, face: Face, name: str) -> Rectangle:
    places = places_on(job, face.name)
    if name not in places:
        known = ", ".join(sorted(places)) or "nothing"
        raise MarksRefused(f"nothing on {face.name} is called {name!r}; the job has {known} there")
    return places[name]


def marks_of(job: Job, face: Face, marked: Marked) -> tuple[Mark, ...]:
    """Marks with their places on the wall. [m]

    Raises
    ------
    MarksRefused, NotTyped
    """
    marks = []
    for number, (pixel, said) in enumerate(marked.marks, 1):
        try:
            marks.append(Mark(*pixel, *place_meant(job, face, said)))
        except RoomcheckError as problem:
            raise MarksRefused(f"mark {number}: {problem}", (number,)) from problem
    return tuple(marks)


def keep_photo(job: Job, face: str, file: Path, marked: Marked) -> Path:
    """Keep a photograph and its marks in the job's folder, both or neither.

    The picture is copied byte by byte; a picture of the wall that was kept before stays beside it.

    Raises
    ------
    NoPhotograph
        It is no picture.
    CannotWrite, FolderIsHeld
    """
    ending = ending_of(file)
    kept = Path(FOLDER) / f"{plain_name(face)}{ending}"
    number = 2
    while _taken(job.folder / kept, file):
        kept = Path(FOLDER) / f"{plain_name(face)}-{number}{ending}"
        number += 1
    target = job.folder / kept
    marked = replace(marked, people=_answer(target, marked))
    puts = [Put(path=kept.with_suffix(".toml").as_posix(), data=_text(face, marked))]
    if not target.exists():
        puts.insert(0, Put(path=kept.as_posix(), data=file, new=True))
    with holding(job.folder):
        write_together(job.folder, puts)
    return target


def mark_photo(job: Job, photo: KeptPhoto, marked: Marked) -> None:
    """Write other marks beside a photograph of the job.

    Raises
    ------
    FileChanged
        Somebody else marked it since it was read.
    CannotWrite, FolderIsHeld
    """
    path = f"{FOLDER}/{Path(photo.name).with_suffix('.toml')}"
    put = Put(path=path, data=_text(photo.face, marked), seen=photo.digest or None)
    with holding(job.folder):
        write_together(job.folder, [put])


def lay_aside(job: Job, photo: KeptPhoto) -> None:
    """Take a photograph out of the job; it stays in the folder `photos/aside`.

    Raises
    ------
    CannotWrite, FolderIsHeld
    """
    puts = []
    for file in (photo.file, photo.file.with_suffix(".toml")):
        free, number = f"{FOLDER}/aside/{file.name}", 2
        while (job.folder / free).exists():
            free, number = f"{FOLDER}/aside/{file.stem}-{number}{file.suffix}", number + 1
        puts += [Put(path=free, data=file, new=True), Put(path=f"{FOLDER}/{file.name}", data=None)]
    with holding(job.folder):
        write_together(job.folder, puts)


def _text(face: str, marked: Marked) -> str:
    import tomlkit

    facts: dict[str, Any] = {"schema": _SCHEMA, "wall": face}
    if marked.people is not None:
        facts["people"] = marked.people
    facts["mark"] = [{"at": list(pixel), "place": said} for pixel, said in marked.marks]
    facts["line"] = [{"through": [list(point) for point in line]} for line in marked.lines]
    facts["thing"] = [
        {"name": name, "corners": [list(point) for point in corners]}
        for name, corners in marked.things
    ]
    return (
        "# What was marked on the photograph of this name, in pixels from its top left corner.\n"
        "# people: whether any are in the picture; without an answer it goes into no document.\n"
        f"{tomlkit.dumps(facts)}"
    )


def _answer(picture: Path, marked: Marked) -> bool | None:
    """Whether people are in the picture: as said now, else as said before."""
    before = picture.with_suffix(".toml")
    if marked.people is not None or not before.exists():
        return marked.people
    return _yes_or_no(tomllib.loads(read_regular(before).decode("utf-8")).get("people"))


def _taken(target: Path, file: Path) -> bool:
    """Whether another picture has this name already, whatever its format."""
    beside = [path for path in target.parent.glob(f"{target.stem}.*") if path.suffix != ".toml"]
    return any(path != target or not same_picture(path, file) for path in beside)


def same_picture(a: Path, b: Path) -> bool:
    """Whether two files are the same, byte by byte."""
    return a.stat().st_size == b.stat().st_size and a.read_bytes() == b.read_bytes()


def kept_photos(job: Job) -> tuple[KeptPhoto, ...]:
    """The photographs of a job, in the order of their names.

    Raises
    ------
    MarksRefused
        What was marked cannot be read.
    """
    photos = []
    for file in sorted((job.folder / FOLDER).glob("*.toml")):
        try:
            raw = read_regular(file)
            data = tomllib.loads(raw.decode("utf-8"))
            face, marked = str(data["wall"]), _read(data)
        except (KeyError, TypeError, ValueError) as problem:
            raise MarksRefused(f"{file} cannot be read: {problem}") from problem
        pictures = [path for path in sorted(file.parent.glob(f"{file.stem}.*")) if path != file]
        if pictures:
            photos.append(KeptPhoto(face, pictures[0], marked, digest_of(raw)))
    return tuple(photos)


def photo_named(job: Job, name: str) -> KeptPhoto:
    """The job's photograph of this name.

    Raises
    ------
    MarksRefused
        It has none: nothing that is not the job's own is ever opened.
    """
    for photo in kept_photos(job):
        if photo.name == name:
            return photo
    raise MarksRefused(f"the job has no photograph {name!r}")


def _read(data: Mapping[str, Any]) -> Marked:
    return Marked(
        marks=tuple((_point(mark["at"]), str(mark["place"])) for mark in data["mark"]),
        lines=tuple(tuple(map(_point, line["through"])) for line in data.get("line", ())),
        things=tuple(
            (str(thing["name"]), tuple(map(_point, thing["corners"])))
            for thing in data.get("thing", ())
        ),
        people=_yes_or_no(data.get("people")),
    )


def _yes_or_no(value: object) -> bool | None:
    if value is None or isinstance(value, bool):
        return value
    raise ValueError(f"`people` is {value!r}; needed true or false")


def _point(values: Sequence[float]) -> Point:
    x, y = values
    return float(x), float(y)
