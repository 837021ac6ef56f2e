"""progress/found.toml: what was found behind the walls while the pieces were hung.

Every finding stays on record, those that were taken back too.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from pathlib import Path
from typing import Any

from roomcheck.errors import RoomcheckError
from roomcheck.geometry import Room
from roomcheck.job.model.job import Framing
from roomcheck.job.model.progress import DANGERS, Behind, Found
from roomcheck.job.progress.files import FOLDER, add_table, change_file, each, read_tables
from roomcheck.job.toml.document import FileMistakes, Mistake
from roomcheck.job.toml.reader import TomlTable
from roomcheck.job.toml.values import meant, shown
from roomcheck.typed import parse_length

NAME = "found.toml"
_HEAD = """\
# What was found behind the walls. `left` is from the wall's left corner, as one sees it standing in
# the room. A finding that was typed by mistake gets `taken_back = true` and stays on record.
"""


class NotFound(RoomcheckError):
    """A finding that cannot be kept as it was typed."""


def read_found(folder: Path, room: Room | None) -> tuple[Found, ...]:
    """Every finding, in the order it was typed; none where there is no file.

    Raises
    ------
    FileMistakes, CannotRead, NewerFile
    """
    path = folder / FOLDER / NAME
    number = iter(range(1, 1 << 30))
    found = read_tables(
        path, lambda top: each(top, "found", lambda table: _read(table, room, next(number)))
    )
    return found or ()


def _read(table: TomlTable, room: Room | None, number: int) -> Found:
    what = table.choice("what", list(Behind))
    found = Found(
        number=number,
        face=table.text("face", example="north"),
        what=Behind(what or Behind.DOUBT),
        at_m=table.length("left", None, least=0.0),
        piece=table.text("piece", ""),
        of=table.whole("of", None, least=1),
        by=table.text("by", ""),
        when=table.text("when", ""),
        note=table.text("note", ""),
        taken_back=table.flag("taken_back", False),
    )
    if not table.spoiled and room is not None:
        _note_place(table, found, room)
    return found


def _note_place(table: TomlTable, found: Found, room: Room) -> None:
    faces = [face.name for face in room.faces]
    if found.face not in faces:
        table.note("face", f"`face` is {shown(found.face)}; {meant(found.face, faces)}")
        return
    wide_m = room.face(found.face).width_m
    if found.at_m is not None and found.at_m > wide_m + 1e-9:
        left = shown(table.data["left"])
        table.note("left", f"`left` is {left}, beyond the right edge of {found.face}")
    if found.at_m is None and found.what in (Behind.STUD, Behind.NO_STUD):
        table.note(None, f'`what` is "{found.what}", which needs `left`: where')
    if found.what is Behind.CLEARED and not (found.of and found.note.strip()):
        table.note(
            None, "what is cleared needs `of`, the number of a finding, and `note`: who looked"
        )


def with_found(framing: Iterable[Framing], found: Iterable[Found]) -> tuple[Framing, ...]:
    """The framing with the studs that somebody found in place of those that were only spaced."""
    seen: dict[str, list[tuple[float, bool]]] = {}
    for one in found:
        if (
            one.at_m is not None
            and not one.taken_back
            and one.what in (Behind.STUD, Behind.NO_STUD)
        ):
            seen.setdefault(one.face, []).append((one.at_m, one.what is Behind.STUD))
    return tuple(replace(f, seen=tuple(seen.get(f.face, ()))) for f in framing)


def note_found(
    folder: Path,
    room: Room,
    *,
    face: str,
    what: str,
    left: str = "",
    piece: str = "",
    of: int | None = None,
    by: str = "",
    when: str = "",
    note: str = "",
) -> Found:
    """Keep a finding, as it was typed.

    Parameters
    ----------
    folder : Path
        The job's.
    left : str
        From the face's left corner, as a length; "" where it was not measured.

    Raises
    ------
    NotFound
        It says too little, or what cannot be.
    FileMistakes, FileChanged, CannotRead, CannotWrite, FolderIsHeld
        The file; nothing is written.
    """
    length = left.strip()
    if length:
        parse_length(length)

    def change(document: Any) -> Found:
        known = read_found(folder, room)
        number = len(known) + 1
        found = _typed(room, known, number, face, what, length, of, note.strip())
        values: dict[str, object] = {
            "face": face, "what": what, "left": length, "piece": piece, "of": of,
            "by": by, "when": when, "note": note.strip(),
        }  # fmt: skip
        add_table(document, "found", **values)
        return replace(found, piece=piece, by=by, when=when)

    return change_file(folder, NAME, _HEAD, change)


def _typed(
    room: Room,
    known: tuple[Found, ...],
    number: int,
    face: str,
    what: str,
    left: str,
    of: int | None,
    note: str,
) -> Found:
    """A finding as typed, once it is known to make sense."""
    faces = [one.name for one in room.faces]
    if face not in faces:
        raise NotFound(f"{shown(face)} is no wall or ceiling here; {meant(face, faces)}")
    if what not in list(Behind):
        raise NotFound(f"{shown(what)}: {meant(what, list(Behind))}")
    kind = Behind(what)
    at_m = parse_length(left) if left else None
    wide_m = room.face(face).width_m
    if at_m is not None and not 0 <= at_m <= wide_m:
        raise NotFound(f"{left} is not on {face}; measure from its left corner")
    if at_m is None and kind in (Behind.STUD, Behind.NO_STUD):
        raise NotFound("where? Type how far it is from the left corner")
    if kind is Behind.CLEARED:
        _check_cleared(known, of, note)
    return Found(number=number, face=face, what=kind, at_m=at_m, of=of, note=note)


def _check_cleared(known: tuple[Found, ...], of: int | None, note: str) -> None:
    dangers = [one.number for one in known if one.what in DANGERS and not one.taken_back]
    if of not in dangers:
        raise NotFound(f"finding {of} is nothing that can be cleared; those are: {dangers}")
    if not note:
        raise NotFound("who looked, and on which licence? Only a licensed person clears a finding")


def take_back_found(folder: Path, number: int, *, back: bool = True) -> None:
    """Mark a finding as typed by mistake, or put it back in force.

    Raises
    ------
    NotFound
        There is none of that number.
    """

    def change(document: Any) -> None:
        tables = document.get("found", [])
        if not 1 <= number <= len(tables):
            raise NotFound(f"there is no finding {number}; there are {len(tables)}")
        if back:
            tables[number - 1]["taken_back"] = True
        else:
            tables[number - 1].pop("taken_back", None)

    change_file(folder, NAME, _HEAD, change)


def found_mistakes(folder: Path, room: Room | None) -> tuple[tuple[Found, ...], list[Mistake]]:
    """Every finding, and the mistakes of the file instead of an error."""
    try:
        return read_found(folder, room), []
    except FileMistakes as problem:
        return (), list(problem.mistakes)
