"""job.toml to a Job: every name, number and place checked, all mistakes reported together."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from pathlib import Path
from typing import TypeVar, cast

from roomcheck.errors import RoomcheckError
from roomcheck.geometry import Room
from roomcheck.job.disk import CannotRead
from roomcheck.job.model import (
    SCHEMA,
    Fixing,
    FixingRule,
    Framing,
    Furnishing,
    Job,
    KeepClear,
    OwnTarget,
    Paper,
    Patch,
    Units,
    Visit,
    VisitName,
)
from roomcheck.job.places import note_overlaps, note_repeats, read_place, read_positions
from roomcheck.job.plan import read_room
from roomcheck.job.reader import Document, FileMistakes, Mistake, Table, meant, shown
from roomcheck.job.shop import Shop
from roomcheck.job.shop_file import default_shop, read_shop, shop_path
from roomcheck.units import OCTAVES_HZ

T = TypeVar("T")

KINDS = (
    "outlet",
    "switch",
    "thermostat",
    "supply vent",
    "return vent",
    "sprinkler",
    "smoke detector",
    "alarm",
    "exit sign",
    "radiator",
    "light",
    "electrical panel",
    "door swing",
    "hatch",
    "whiteboard",
    "screen",
    "picture",
    "shelf",
    "other",
)
"""What may have to stay clear."""

FIXING_RULES = ("screws", "adhesive", "nothing")
VISITS = ("before", "after")


class NoJob(RoomcheckError):
    """A folder that holds no job."""

    def __init__(self, folder: Path, why: str, advice: str) -> None:
        self.folder, self.why = folder, why
        super().__init__(f"{folder}: {why}; {advice}")


def load_job(folder: Path | str) -> Job:
    """Read a job folder.

    Parameters
    ----------
    folder : Path or str
        Holds `job.toml`; and `shop.toml` once the job is quoted. Without one, the `shop.toml` in the folder above
        serves all jobs there, and without that the defaults.

    Returns
    -------
    Job
        In metres, degrees Celsius and percent. A floor plan typed clockwise is turned; its walls keep their names.

    Raises
    ------
    NoJob
        The folder or its `job.toml` is missing.
    CannotRead
        Not UTF-8 text, or unreadable.
    NewerFile
        Made by a newer roomcheck.
    FileMistakes
        Everything else that is wrong in either file, all of it, each with its line.
    """
    folder = Path(folder)
    return job_from(Document.read(job_path(folder), SCHEMA), folder)


def job_from(document: Document, folder: Path) -> Job:
    """The job that a document says, with the shop that serves its folder."""
    mistakes: list[Mistake] = []
    try:
        shop = read_shop(own) if (own := shop_path(folder)) else default_shop()
    except FileMistakes as problem:
        shop, mistakes = default_shop(), list(problem.mistakes)
    job = _read_job(document, folder, shop)
    found = [*document.found(), *mistakes]
    if found or job is None:
        raise FileMistakes(str(folder), found)
    return job


def job_path(folder: Path) -> Path:
    """The folder's job.toml, once it is known to be there."""
    new = f'make one with: roomcheck new "{folder}"'
    try:
        if not folder.exists():
            raise NoJob(folder, "there is no such folder", new)
        if not folder.is_dir():
            if folder.name == "job.toml":
                raise NoJob(folder, "this is a file", f'name its folder: "{folder.parent}"')
            raise NoJob(folder, "this is a file, not a job folder", "name the folder that holds job.toml")
        path = folder / "job.toml"
        if not path.is_file():
            raise NoJob(folder, "the folder holds no job.toml", new)
    except (OSError, ValueError) as problem:
        raise CannotRead(folder, f"cannot be looked into: {problem}") from problem
    return path


def _read_job(document: Document, folder: Path, shop: Shop) -> Job | None:
    top = document.root()
    if top.whole("schema", least=1) != SCHEMA and top.has("schema") and not top.spoiled:
        top.note("schema", f"`schema` is {shown(top.data['schema'])}; this roomcheck reads {SCHEMA}")
    units = top.choice("units", ("imperial", "metric"))
    paper = top.choice("paper", ("letter", "a4"))
    client = top.table("client")
    name, title = client.text("name"), client.text("title")
    complaint = client.text("complaint", "")
    client.close()
    room_table = top.table("room")
    room = read_room(room_table)
    microphones = read_positions(top, "microphone", room)
    sources = read_positions(top, "source", room, microphones)
    patches = _each(top, "patch", lambda t: _patch(t, room))
    framing = _each(top, "framing", lambda t: _framing(t, room))
    fixings = _each(top, "fixing", lambda t: _fixing(t, room))
    visits = _each(top, "visit", _visit)
    clear = _each(top, "keep_clear", lambda t: _keep_clear(t, room))
    note_overlaps(top, "patch", patches)
    for key, field in (("framing", "face"), ("fixing", "face"), ("visit", "name")):
        note_repeats(top, key, field)
    for key in ("patch", "keep_clear", "furnishing"):
        note_repeats(top, key, "name")
    materials = _materials(room_table.table("materials"), room) if room_table.has("materials") else ()
    furnishings = _each(top, "furnishing", _furnishing)
    job = Job(
        folder=folder,
        made_up=top.flag("made_up", False),
        client=name,
        title=title,
        complaint=complaint,
        use=_use(top.table("use")),
        own_target=_target(top),
        units=cast(Units, units),
        paper=cast(Paper, paper),
        currency=top.text("currency", example="$"),
        budget=top.exact("budget", None, what="money"),
        room=room or Room.box(1.0, 1.0, 1.0),
        materials=materials,
        patches=_whole(patches),
        keep_clear=_whole(clear),
        framing=_whole(framing),
        fixings=_whole(fixings),
        furnishings=_whole(furnishings),
        sources=_whole(sources),
        microphones=_whole(microphones),
        seat=_seat(top),
        visits=_whole(visits),
        shop=shop,
    )
    top.close()
    return None if document.mistakes else job


def _whole(items: Iterable[T | None]) -> tuple[T, ...]:
    return tuple(item for item in items if item is not None)


def _each(top: Table, key: str, read: Callable[[Table], T]) -> list[T | None]:
    """Read an array of tables; None stands where one is spoiled."""
    found: list[T | None] = []
    for table in top.tables(key):
        item = read(table)
        table.close()
        found.append(None if table.spoiled else item)
    return found


def _use(table: Table) -> str:
    from roomcheck.standards import USES

    use = table.choice("room", USES)
    table.close()
    return use


def _target(top: Table) -> OwnTarget | None:
    table = top.table("target", required=False)
    if not top.has("target"):
        return None
    time = {"s": 1.0, "ms": 1e-3}
    pitch = {"Hz": 1.0, "kHz": 1e3}
    target = OwnTarget(
        low_s=table.measure("low", time, "0.20 s"),
        high_s=table.measure("high", time, "0.35 s"),
        from_hz=table.measure("from", pitch, "125 Hz"),
        to_hz=table.measure("to", pitch, "4 kHz"),
        reason=table.text("reason"),
    )
    for key, band in (("from", target.from_hz), ("to", target.to_hz)):
        if not table.spoiled and band not in OCTAVES_HZ:
            listed = ", ".join(f"{hz:g}" for hz in OCTAVES_HZ)
            table.note(key, f"`{key}` is {shown(table.data[key])}; it must be an octave: {listed} Hz")
    if not table.spoiled and target.low_s >= target.high_s:
        table.note("low", "`low` must be below `high`")
    if not table.spoiled and target.from_hz > target.to_hz:
        table.note("from", "`from` must not be above `to`")
    table.close()
    return target


def _materials(table: Table, room: Room | None) -> tuple[tuple[str, str], ...]:
    """One material for every face; `walls` speaks for every wall that has no line of its own."""
    if room is None:
        return tuple((name, _material(table, name)) for name in table.data)
    walls = [face.name for face in room.faces if face.kind == "wall"]
    every = table.raw("walls")
    found: list[tuple[str, str]] = []
    if every is not None:
        _material(table, "walls")
    for name in (*walls, "floor", "ceiling"):
        if every is not None and name in walls and not table.has(name):
            table.known.append(name)
            found.append((name, str(every)))
        else:
            found.append((name, _material(table, name)))
    table.close()
    return tuple(found)


def _material(table: Table, key: str = "material", *, piece: bool = False) -> str:
    """A key of the materials table; one with areas a piece only where `piece`."""
    from roomcheck.materials import MATERIALS

    found = table.text(key)
    if not found:
        return ""
    if found not in MATERIALS:
        table.note(key, f"`{key}` is {shown(found)}, no material of the table; {meant(found, MATERIALS, show=60)}")
    elif MATERIALS[found].per_piece and not piece:
        table.note(key, f"`{key}` is {shown(found)}, which is counted by the piece; put it into a [[furnishing]]")
    return found


def _face(table: Table, room: Room | None) -> str:
    if room is None:
        return table.text("face")
    return table.choice("face", (face.name for face in room.faces))


def _patch(table: Table, room: Room | None) -> Patch:
    face = _face(table, room)
    return Patch(
        name=table.text("name"),
        face=face,
        material=_material(table),
        place=read_place(table, room, face),
        opening=table.flag("opening", False),
        clearance_m=table.length("clearance", 0.0, least=0.0),
    )


def _keep_clear(table: Table, room: Room | None) -> KeepClear:
    face = _face(table, room)
    return KeepClear(
        name=table.text("name"),
        face=face,
        kind=table.choice("kind", KINDS),
        place=read_place(table, room, face),
        clearance_m=table.length("clearance", least=0.0),
    )


def _framing(table: Table, room: Room | None) -> Framing:
    framing = Framing(
        face=_face(table, room),
        build=table.text("build", example="1/2 in gypsum on wood studs"),
        spacing_m=table.length("spacing", above=0.0),
        first_m=table.length("first", least=0.0),
    )
    if room is not None and not table.spoiled and framing.first_m > room.face(framing.face).width_m:
        table.note("first", f"`first` is {shown(table.data['first'])}, beyond the right edge of {framing.face}")
    return framing


def _fixing(table: Table, room: Room | None) -> Fixing:
    return Fixing(face=_face(table, room), rule=cast(FixingRule, table.choice("rule", FIXING_RULES)))


def _furnishing(table: Table) -> Furnishing:
    return Furnishing(
        name=table.text("name"),
        material=_material(table, piece=True),
        amount=table.number("amount"),
        visits=cast(tuple[VisitName, ...], table.choices("visits", VISITS, VISITS)),
    )


def _visit(table: Table) -> Visit:
    return Visit(
        name=cast(VisitName, table.choice("name", VISITS)),
        date=table.day("date"),
        temperature_c=table.temperature("temperature"),
        humidity_pct=float(table.percent("humidity")),
        people=table.whole("people", 1),
        doors=table.text("doors", ""),
        hvac=table.text("hvac", ""),
        gain=table.text("gain", ""),
        notes=table.text("notes", ""),
    )


def _seat(top: Table) -> str | None:
    if not top.has("seat"):
        top.raw("seat")
        return None
    seat = top.text("seat")
    names = [str(table.data.get("name")) for table in top.tables("microphone")]
    if seat and seat not in names:
        top.note("seat", f"`seat` is {shown(seat)}, which is no [[microphone]]; {meant(seat, names)}")
    return seat
