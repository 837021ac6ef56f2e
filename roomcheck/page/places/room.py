"""The room as it is typed: what its fields hold, and a form turned into one change of the job."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from roomcheck.errors import RoomcheckError
from roomcheck.geometry import Face
from roomcheck.job import (
    FIXING_RULES,
    KINDS,
    Edit,
    FileMistakes,
    FramingKind,
    Job,
    KeepClear,
    Mistake,
    Patch,
    RoomSize,
    check_job,
    edit_job,
    file_values,
    room_facts,
    spelt,
)
from roomcheck.page.places.usual import USUAL, Usual
from roomcheck.standards import USES, target_for
from roomcheck.typed import parse_length
from roomcheck.units import format_length
from roomcheck.words import Reader, limits, sentences, volume

FLOORS = ("floor", "ceiling")
IMPERIAL_STEP_M, METRIC_STEP_M = 0.0254, 0.01
"""What dragging snaps to: an inch, a centimetre. [m]"""


@dataclass(frozen=True, slots=True)
class Entry:
    """One field of the page."""

    way: str
    """Keys of the job's file, joined by dots: "room.height"."""
    label: str
    value: str
    such: str = ""
    """An example of what may stand here."""
    choices: tuple[str, ...] = ()
    list_of: str = ""
    """Name of the list of suggestions that the field has."""
    problem: str = ""
    """What is wrong with what was typed last."""

    @property
    def key(self) -> str:
        """A name for the page's own use."""
        return self.way.replace(".", "-").replace(" ", "_")


@dataclass(frozen=True, slots=True)
class Thing:
    """Something on a face, a stand or a piece of furniture: a name and its fields."""

    way: str
    name: str
    entries: tuple[Entry, ...]
    chosen: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomPage:
    """All that the page of the room shows."""

    job: Job
    face: Face
    """The wall that is looked at, or floor or ceiling."""
    facts: tuple[tuple[str, str], ...]
    client: tuple[Entry, ...]
    sizes: tuple[Entry, ...]
    corners: tuple[tuple[Entry, Entry, str], ...]
    """x, y and the name of the wall that begins there; empty for a rectangle."""
    surfaces: tuple[Entry, ...]
    framing: Thing
    on_face: tuple[Thing, ...]
    furniture: tuple[Thing, ...]
    standing: tuple[str, ...]
    """Names of the furniture that has its place."""
    sources: tuple[Thing, ...]
    microphones: tuple[Thing, ...]
    others: tuple[Entry, ...]
    usual: tuple[Usual, ...]
    remarks: tuple[str, ...]
    """What the places of loudspeaker and microphones lack."""
    questions: tuple[str, ...]
    """What is odd about the room's size."""
    problems: Mapping[str, str]


def room_page(
    job: Job,
    *,
    face: str = "",
    thing: str = "",
    typed: Mapping[str, str] | None = None,
    problems: Mapping[str, str] | None = None,
) -> RoomPage:
    """The values of the page.

    Parameters
    ----------
    face : str
        Name of the face to look at; the first wall where it is none.
    thing : str
        What is chosen on it: "patch.window".
    typed : mapping
        What was typed and is not valid yet, by its way.
    problems : mapping
        What is wrong with it, by its way.
    """
    form = _Form(file_values(job.folder), typed or {}, problems or {}, thing)
    looked_at = face if face in [f.name for f in job.room.faces] else job.room.faces[0].name
    return RoomPage(
        job=job,
        face=job.room.face(looked_at),
        facts=_facts(job),
        client=form.entries(_CLIENT),
        sizes=form.entries(_sizes(form.values)),
        corners=_corner_entries(form),
        surfaces=_surfaces(form, job),
        framing=_framing(form, looked_at),
        on_face=(
            *form.things("patch", _PATCH, face=looked_at),
            *form.things("keep_clear", _KEEP_CLEAR, face=looked_at),
        ),
        furniture=_furniture(form),
        standing=tuple(thing.name for thing in job.furnishings if thing.place is not None),
        sources=form.things("source", _POSITION),
        microphones=form.things("microphone", _POSITION),
        others=form.entries(_OTHERS),
        usual=USUAL,
        remarks=_remarks(job),
        questions=_questions(job),
        problems=problems or {},
    )


_Rows = tuple[tuple[str, str, str, tuple[str, ...], str], ...]
"""Way, label, example, choices, list of suggestions."""

_CLIENT: _Rows = (
    ("client.title", "The room is called", "Meeting room, second floor", (), ""),
    ("client.name", "Client", "Client A", (), ""),
    ("client.complaint", "What bothers them, in their own words", "", (), ""),
    ("use.room", "It is used as", "", tuple(USES), ""),
)
_OTHERS: _Rows = (
    ("budget", "Budget, tax included", "4200", (), ""),
    ("people_in_use", "People it usually holds", "6", (), ""),
    ("seat", "Microphone place that matters most", "P1", (), "microphones"),
    ("grade", "Grade of the measurement", "", ("survey", "engineering", "precision"), ""),
    ("pairs_after", "Pairs measured again after the work", "6", (), ""),
    ("units", "Lengths in", "", ("imperial", "metric"), ""),
    ("paper", "Paper", "", ("letter", "a4"), ""),
)
_PLACED: _Rows = (
    ("left", "from the left edge", "3' 4 1/2\"", (), ""),
    ("bottom", "from the bottom", "3 ft", (), ""),
    ("width", "wide", "4 ft", (), ""),
    ("height", "high", "3 ft", (), ""),
    ("clearance", "kept free around it", "3 in", (), ""),
)
_PATCH: _Rows = (
    ("name", "name", "window", (), ""),
    ("material", "made of", "double glazing", (), "materials"),
    *_PLACED,
    ("opening", "a door or window: nothing may hang there", "", ("false", "true"), ""),
)
_KEEP_CLEAR: _Rows = (
    ("name", "name", "outlet", (), ""),
    ("kind", "kind", "", KINDS, ""),
    *_PLACED,
)
_FURNISHING: _Rows = (
    ("name", "name", "sofa", (), ""),
    ("material", "what it is", "upholstered chair", (), "materials"),
    ("amount", "how many, or how many m²", "2", (), ""),
)
STANDS: _Rows = (
    ("x", "its corner from x = 0", "2 ft", (), ""),
    ("y", "its corner from y = 0", "3 ft", (), ""),
    ("length", "along x", "7 ft", (), ""),
    ("width", "along y", "3 ft", (), ""),
    ("height", "high", "30 in", (), ""),
)
"""What gives furniture its place: all of them or none."""
_POSITION: _Rows = (
    ("name", "name", "P1", (), ""),
    ("x", "from x = 0", "6 ft", (), ""),
    ("y", "from y = 0", "5 ft", (), ""),
    ("z", "above the floor", "4 ft", (), ""),
)


def _sizes(values: Mapping[str, Any]) -> _Rows:
    height = ("room.height", "Height", "8 ft", (), "")
    if "corners" in values.get("room", {}):
        return (height,)
    return (
        ("room.length", "Length", "13' 4\"", (), ""),
        ("room.width", "Width", "11 ft 6", (), ""),
        height,
    )


@dataclass(frozen=True, slots=True)
class _Form:
    """The file's values with what was typed and is not valid yet."""

    values: Mapping[str, Any]
    typed: Mapping[str, str]
    problems: Mapping[str, str]
    chosen: str

    def entry(self, way: str, row: tuple[str, str, tuple[str, ...], str], now: Any) -> Entry:
        label, such, choices, list_of = row
        value = self.typed.get(way, spelt(now) or "")
        problem = self.problems.get(way, "")
        return Entry(way, label, value, such, choices, list_of, problem)

    def entries(self, rows: _Rows) -> tuple[Entry, ...]:
        found = []
        for way, *row in rows:
            holder: Any = self.values
            for key in way.split("."):
                holder = holder.get(key) if isinstance(holder, Mapping) else None
            found.append(self.entry(way, tuple(row), holder))  # type: ignore[arg-type]
        return tuple(found)

    def things(self, kind: str, rows: _Rows, face: str = "") -> tuple[Thing, ...]:
        found = []
        for table in self.values.get(kind, []):
            if face and table.get("face") != face:
                continue
            name = str(table.get("name", table.get("face", "")))
            way = f"{kind}.{name}"
            fields = tuple(
                self.entry(f"{way}.{key}", tuple(row), table.get(key))  # type: ignore[arg-type]
                for key, *row in rows
            )
            found.append(Thing(way, name, fields, way == self.chosen))
        return tuple(found)


def _furniture(form: _Form) -> tuple[Thing, ...]:
    """Furniture, with the fields of its place where it has one."""
    placed = form.things("furnishing", (*_FURNISHING, *STANDS))
    plain = form.things("furnishing", _FURNISHING)
    return tuple(
        whole if any(entry.value for entry in whole.entries[len(_FURNISHING) :]) else short
        for whole, short in zip(placed, plain, strict=True)
    )


def _facts(job: Job) -> tuple[tuple[str, str], ...]:
    """The room as it was understood, and what a room of its use and size should have."""
    room = job.room
    reader = Reader(units=job.units)
    floor = room.face("floor")
    sides = (floor.width_m, floor.height_m, room.height_m)
    facts = (
        ("Use", USES.get(job.use, job.use)),
        ("Length, width, height", " × ".join(format_length(side, job.units) for side in sides)),
        ("Volume", volume(room.volume_m3, reader)),
    )
    try:
        target = target_for(job.use, room.volume_m3, job.own_target)
    except RoomcheckError as problem:
        return (*facts, ("Should have", str(problem)))
    return (
        *facts,
        ("Mean decay it should have", f"{limits(target.mid_low_s, target.mid_high_s)} s"),
    )


def _corner_entries(form: _Form) -> tuple[tuple[Entry, Entry, str], ...]:
    room = form.values.get("room", {})
    walls = room.get("walls", [])
    found = []
    for i, corner in enumerate(room.get("corners", [])):
        x, y = (spelt(part) or "" for part in corner)
        name = str(walls[i]) if i < len(walls) else ""
        found.append(
            (
                Entry(f"corner.{i}.x", f"corner {i + 1}, x", form.typed.get(f"corner.{i}.x", x)),
                Entry(f"corner.{i}.y", "y", form.typed.get(f"corner.{i}.y", y)),
                name,
            )
        )
    return tuple(found)


def _surfaces(form: _Form, job: Job) -> tuple[Entry, ...]:
    walls = [face.name for face in job.room.faces if face.kind == "wall"]
    rows: list[tuple[str, str, str, tuple[str, ...], str]] = [
        ("room.materials.walls", "walls", "brick", (), "materials"),
        ("room.materials.floor", "floor", "parquet on concrete", (), "materials"),
        ("room.materials.ceiling", "ceiling", "gypsum board on studs", (), "materials"),
    ]
    rows += [
        (f"room.materials.{name}", f"{name}, where it differs", "", (), "materials")
        for name in walls
    ]
    return form.entries(tuple(rows))


def _framing(form: _Form, face: str) -> Thing:
    """What stands behind the face, and what may be fixed to it."""
    framing = _of_face(form.values.get("framing", []), face)
    fixing = _of_face(form.values.get("fixing", []), face)
    rows: tuple[tuple[str, str, str, tuple[str, ...], str], ...] = (
        ("kind", "behind it", "", ("", *FramingKind), ""),
        ("sheathing", "thickness of the board in front", "1/2 in", (), ""),
        ("spacing", "from centre to centre", "16 in", (), ""),
        ("first", "first centre from the left edge", "14 1/2 in", (), ""),
    )
    fields = [
        form.entry(f"framing.{face}.{key}", tuple(row), framing.get(key))  # type: ignore[arg-type]
        for key, *row in rows
    ]
    rule = ("may be fixed with", "", ("", *FIXING_RULES), "")
    fields.append(form.entry(f"fixing.{face}.rule", rule, fixing.get("rule")))
    return Thing(f"framing.{face}", face, tuple(fields))


def _of_face(tables: Any, face: str) -> Mapping[str, Any]:
    return next((table for table in tables if table.get("face") == face), {})


def _remarks(job: Job) -> tuple[str, ...]:
    """What the measurement still lacks, by the rules of ISO 3382-2."""
    measure = check_job(job)[0]
    reader = Reader(units=job.units)
    return (*sentences(measure.missing, reader), *sentences(measure.notes, reader))


def _questions(job: Job) -> tuple[str, ...]:
    """What is odd about the room for its use, and may be a slip of the keys."""
    odd = [fact for fact in room_facts(job) if fact.kind is not RoomSize.ROOM_IS]
    return sentences(odd, Reader(units=job.units))


# --- forms


class NotSaved(RoomcheckError):
    """What was typed cannot be in the job; the file is as it was."""

    def __init__(self, problems: Mapping[str, str]) -> None:
        self.problems = dict(problems)
        super().__init__("; ".join(problems.values()))


def save(folder: Path, way: str, value: str, was: str | None) -> Job:
    """Set one field.

    Raises
    ------
    NotSaved
        What is wrong, by the way of the field that it is about.
    RoomcheckError
        Somebody changed it meanwhile; the file cannot be read or written.
    """
    steps = tuple(way.split("."))
    text = value.strip()
    edits = [Edit(steps, text or None, was)]
    if steps[0] in ("framing", "fixing") and not _has_face(folder, steps[0], steps[1]):
        edits = [Edit((steps[0],), {"face": steps[1], steps[2]: text} | _needed(steps))]
    elif steps[0] in ("framing", "fixing") and steps[2] in ("kind", "rule") and not text:
        edits = [Edit(steps[:2], None)]
    elif steps == ("client", "complaint"):
        edits = [Edit(steps, text, was)]
    return edited(folder, edits, way)


def _needed(steps: tuple[str, ...]) -> dict[str, str]:
    """What a new entry needs beside what was typed: a wall whose studs nobody found yet."""
    if steps[0] == "framing" and steps[2] != "kind":
        return {"kind": FramingKind.UNKNOWN.value}
    return {}


def _has_face(folder: Path, kind: str, face: str) -> bool:
    return bool(_of_face(file_values(folder).get(kind, []), face))


def move(folder: Path, job: Job, way: str, u_m: float, v_m: float) -> Job:
    """Put a thing elsewhere on its face, or a stand elsewhere in the room.

    The place snaps to whole inches or centimetres, as people mark them.
    """
    step_m = IMPERIAL_STEP_M if job.units == "imperial" else METRIC_STEP_M
    kind, _, name = way.partition(".")
    keys = ("left", "bottom") if kind in ("patch", "keep_clear") else ("x", "y")
    edits = [
        Edit((kind, name, key), format_length(round(place_m / step_m) * step_m, job.units))
        for key, place_m in zip(keys, (u_m, v_m), strict=True)
    ]
    return edited(folder, edits, way)


def add(folder: Path, job: Job, what: str, face: str) -> tuple[Job, str]:
    """Add something usual to a face, a stand, or furniture; return the way to it too."""
    usual = next((one for one in USUAL if one.key == what), None)
    values = file_values(folder)
    if usual is not None:
        name = _fresh(usual.title, values.get(usual.kind, []))
        own = {"name": name, "face": face, **usual.values(job.units)}
        own["left"] = format_length(_free_m(job, face, usual), job.units)
        return edited(folder, [Edit((usual.kind,), own)], usual.kind), f"{usual.kind}.{name}"
    name = _fresh({"source": "S", "microphone": "P"}.get(what, what), values.get(what, []))
    if what == "furnishing":
        own = {"name": name, "material": "upholstered chair", "amount": "1"}
    else:
        own = {"name": name, **_stand(job, what, len(values.get(what, [])))}
    return edited(folder, [Edit((what,), own)], what), f"{what}.{name}"


def _fresh(name: str, tables: Any) -> str:
    """The name, or with a number where it is taken; stands are numbered from 1."""
    taken = {str(table.get("name")) for table in tables}
    if len(name) > 1 and name not in taken:
        return name
    gap = " " if len(name) > 1 else ""
    number = 2 if gap else 1
    while f"{name}{gap}{number}" in taken:
        number += 1
    return f"{name}{gap}{number}"


def _free_m(job: Job, face: str, usual: Usual) -> float:
    """A place along the face where nothing else stands, from its left edge; 0 where there is none.
    [m]"""
    width_m = parse_length(usual.sizes(job.units)["width"])
    things: tuple[Patch | KeepClear, ...] = (*job.patches, *job.keep_clear)
    taken = [(one.place.u_m, one.place.right_m) for one in things if one.face == face]
    starts = [0.3048, *(right + 0.1524 for _, right in sorted(taken))]
    for start in starts:
        end = start + width_m
        beside = all(end <= left or start >= right for left, right in taken)
        if beside and end <= job.room.face(face).width_m:
            return start
    return 0.0


def _stand(job: Job, kind: str, count: int) -> dict[str, str]:
    """A first place for a new stand: on a diagonal of the room, at ear height."""
    floor = job.room.face("floor")
    share = (0.3, 0.6, 0.45, 0.7)[count % 4]
    along = (share if kind == "source" else 1 - share) * floor.width_m
    across = (0.35, 0.65, 0.5, 0.3)[count % 4] * floor.height_m
    at = floor.to_room(along, across)
    texts = (format_length(value, job.units) for value in (at.x, at.y, 1.2))
    return dict(zip("xyz", texts, strict=True))


def remove(folder: Path, way: str) -> Job:
    """Take a thing out; undo brings it back."""
    kind, _, name = way.partition(".")
    return edited(folder, [Edit((kind, name), None)], way)


def make_corners(folder: Path, job: Job) -> Job:
    """Turn a rectangle into a plan with corners, to be moved one by one."""
    corners = [
        [format_length(point.x, job.units), format_length(point.y, job.units)]
        for point in (
            job.room.face("floor").to_room(u, v) for u, v in job.room.face("floor").outline
        )
    ]
    walls = [face.name for face in job.room.faces if face.kind == "wall"]
    edits = [
        Edit(("room", "length"), None),
        Edit(("room", "width"), None),
        Edit(("room", "corners"), corners),
        Edit(("room", "walls"), walls),
    ]
    return edited(folder, edits, "room.corners")


def set_corners(folder: Path, form: Mapping[str, str]) -> Job:
    """Set all corners of the plan at once; one whose x is empty is taken out, with its wall."""
    corners, walls = [], []
    i = 0
    while f"corner.{i}.x" in form:
        x, y = form[f"corner.{i}.x"].strip(), form.get(f"corner.{i}.y", "").strip()
        if x:
            corners.append([x, y])
            walls.append(form.get(f"corner.{i}.wall", "").strip() or f"wall {i + 1}")
        i += 1
    edits = [Edit(("room", "corners"), corners), Edit(("room", "walls"), walls)]
    return edited(folder, edits, "room.corners")


def edited(folder: Path, edits: list[Edit], way: str) -> Job:
    """Make edits of the job's file.

    Raises
    ------
    NotSaved
        What is wrong, by the way of the field that was typed, `way`.
    """
    try:
        return edit_job(folder, edits)
    except FileMistakes as problem:
        raise NotSaved(_by_way(folder, problem.mistakes, way)) from problem


def _by_way(folder: Path, mistakes: tuple[Mistake, ...], typed: str) -> dict[str, str]:
    """What is wrong, by the way of its field; what is not about one is told at the typed field."""
    found: dict[str, str] = {}
    tables = file_values(folder)
    for mistake in mistakes:
        steps = []
        for i, step in enumerate(mistake.way):
            if isinstance(step, int) and i == 1:
                steps.append(_name(tables.get(str(mistake.way[0]), []), step))
            else:
                steps.append(str(step))
        way = ".".join(steps) or typed
        text = mistake.text if way == typed else f"{way}: {mistake.text}"
        key = way if way == typed else typed
        found[key] = f"{found[key]}; {text}" if key in found else text
    return found


def _name(tables: Any, number: int) -> str:
    if number >= len(tables):
        return str(number + 1)
    return str(tables[number].get("name", tables[number].get("face", number + 1)))
