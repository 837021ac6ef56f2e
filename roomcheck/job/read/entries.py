"""The tables of a job file, one function each."""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar, cast

from roomcheck.geometry import Room
from roomcheck.job.model.job import (
    Extra,
    Fixing,
    FixingRule,
    Framing,
    Furnishing,
    KeepClear,
    OwnTarget,
    Patch,
    Visit,
    VisitName,
)
from roomcheck.job.model.kinds import MADE_OF_STUDS, FramingKind
from roomcheck.job.not_yet import NOT_YET_MATERIALS
from roomcheck.job.read.places import read_place, read_stand
from roomcheck.job.read.schema_1 import framing_of
from roomcheck.job.toml.reader import TomlTable
from roomcheck.job.toml.values import meant, shown
from roomcheck.job.usual import USUAL_CLEARANCE_M
from roomcheck.units import OCTAVES_HZ, both

T = TypeVar("T")

KINDS = (
    "outlet",
    "switch",
    "thermostat",
    "supply vent",
    "return vent",
    "sprinkler",
    "smoke detector",
    "heat detector",
    "alarm",
    "exit sign",
    "radiator",
    "heater",
    "light",
    "electrical panel",
    "door swing",
    "hatch",
    "whiteboard",
    "screen",
    "picture",
    "shelf",
    "furniture",
    "walkway",
    "other",
)
"""What may have to stay clear."""

FIXING_RULES = ("screws", "adhesive", "grid", "nothing")
VISITS = ("before", "after")


def read_each(top: TomlTable, key: str, read: Callable[[TomlTable], T]) -> list[T | None]:
    """Read an array of tables; None stands where one is spoiled."""
    found: list[T | None] = []
    for table in top.tables(key):
        item = read(table)
        table.close()
        found.append(None if table.spoiled else item)
    return found


def read_use(table: TomlTable) -> str:
    from roomcheck.standards import USES

    use = table.choice("room", USES)
    table.close()
    return use


def read_target(top: TomlTable) -> OwnTarget | None:
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
            table.note(
                key, f"`{key}` is {shown(table.data[key])}; it must be an octave: {listed} Hz"
            )
    if not table.spoiled and target.low_s >= target.high_s:
        table.note("low", "`low` must be below `high`")
    if not table.spoiled and target.from_hz > target.to_hz:
        table.note("from", "`from` must not be above `to`")
    table.close()
    return target


def read_materials(table: TomlTable, room: Room | None) -> tuple[tuple[str, str], ...]:
    """One material for every face; `walls` speaks for every wall that has no line of its own."""
    if room is None:
        return tuple((name, read_material(table, name)) for name in table.data)
    walls = [face.name for face in room.faces if face.kind == "wall"]
    every = table.raw("walls")
    found: list[tuple[str, str]] = []
    if every is not None:
        read_material(table, "walls")
    for name in (*walls, "floor", "ceiling"):
        if every is not None and name in walls and not table.has(name):
            table.known.append(name)
            found.append((name, str(every)))
        else:
            found.append((name, read_material(table, name)))
    table.close()
    return tuple(found)


def read_material(table: TomlTable, key: str = "material", *, piece: bool = False) -> str:
    """A key of the materials table; one with areas a piece only where `piece`."""
    from roomcheck.materials import MATERIALS

    found = table.text(key)
    if not found:
        return ""
    if found.lower().strip() in NOT_YET_MATERIALS:
        table.note(key, f"`{key}` is {shown(found)}: {NOT_YET_MATERIALS[found.lower().strip()]}")
    elif found not in MATERIALS:
        table.note(
            key,
            f"`{key}` is {shown(found)}, no material of the table; "
            f"{meant(found, MATERIALS, show=6)}; all of them: roomcheck list materials",
        )
    elif MATERIALS[found].per_piece and not piece:
        table.note(
            key,
            f"`{key}` is {shown(found)}, which is counted by the piece; put it into a "
            "[[furnishing]]",
        )
    return found


def read_face(table: TomlTable, room: Room | None) -> str:
    if room is None:
        return table.text("face")
    return table.choice("face", (face.name for face in room.faces))


def read_patch(table: TomlTable, room: Room | None) -> Patch:
    face = read_face(table, room)
    return Patch(
        name=table.text("name"),
        face=face,
        material=read_material(table),
        place=read_place(table, room, face),
        opening=table.flag("opening", False),
        clearance_m=table.length("clearance", 0.0, least=0.0),
        within_m=table.length("within", 0.0, least=0.0),
    )


def read_keep_clear(table: TomlTable, room: Room | None) -> KeepClear:
    face = read_face(table, room)
    zone = KeepClear(
        name=table.text("name"),
        face=face,
        kind=table.choice("kind", KINDS),
        place=read_place(table, room, face),
        clearance_m=table.length("clearance", least=0.0),
        within_m=table.length("within", 0.0, least=0.0),
    )
    usual_m = USUAL_CLEARANCE_M.get(zone.kind)
    if "clearance" in table.missing and usual_m is not None:
        table.missing["clearance"] = (
            f"`clearance`; usual for {zone.kind}: {both(usual_m)}, your local code may ask for more"
        )
    return zone


def read_framing(table: TomlTable, room: Room | None, schema: int) -> Framing:
    """What stands behind a face; schema 1 said it in words, under `build`."""
    face = read_face(table, room)
    note = () if schema == 1 else ("",)
    build = table.text("build", *note, example="1/2 in gypsum on wood studs")
    kind, sheathing_m = framing_of(build) if schema == 1 else (FramingKind.UNKNOWN, None)
    if table.has("kind") or schema > 1:
        kind = FramingKind(table.choice("kind", list(FramingKind)) or FramingKind.UNKNOWN)
    # Studs and joists stand somewhere; a masonry wall or one nobody has opened says nothing of it.
    where = () if schema == 1 or kind in MADE_OF_STUDS else (None,)
    framing = Framing(
        face=face,
        kind=kind,
        spacing_m=table.length("spacing", *where, above=0.0),
        first_m=table.length("first", *where, least=0.0),
        sheathing_m=table.length("sheathing", sheathing_m, least=0.0),
        build=build,
    )
    table.known.append("kind")
    if not table.spoiled:
        _note_spacing(table, framing, room)
    return framing


def _note_spacing(table: TomlTable, framing: Framing, room: Room | None) -> None:
    for key, other in (("spacing", "first"), ("first", "spacing")):
        if table.has(key) and not table.has(other):
            table.note(key, f"`{key}` needs `{other}` beside it")
    first_m = framing.first_m
    if room is None or first_m is None or first_m <= room.face(framing.face).width_m:
        return
    first = shown(table.data["first"])
    table.note("first", f"`first` is {first}, beyond the right edge of {framing.face}")


def read_fixing(table: TomlTable, room: Room | None) -> Fixing:
    face = read_face(table, room)
    rule = table.choice("rule", FIXING_RULES)
    if rule == "grid" and face != "ceiling":
        table.note("rule", '`rule` is "grid", which only a hung ceiling has')
    return Fixing(face=face, rule=cast(FixingRule, rule))


def read_furnishing(table: TomlTable, room: Room | None) -> Furnishing:
    place, height_m = read_stand(table, room)
    return Furnishing(
        name=table.text("name"),
        material=read_material(table, piece=True),
        amount=table.number("amount"),
        visits=cast(tuple[VisitName, ...], table.choices("visits", VISITS, VISITS)),
        place=place,
        height_m=height_m,
    )


def read_extra(table: TomlTable) -> Extra:
    return Extra(
        name=table.text("name", example="Felt on the backs"),
        cost=table.money("cost"),
        taken=table.flag("taken", False),
    )


def read_visit(table: TomlTable) -> Visit:
    return Visit(
        name=cast(VisitName, table.choice("name", VISITS)),
        date=table.day("date"),
        temperature_c=table.temperature("temperature"),
        humidity_pct=float(table.percent("humidity")),
        people=table.whole("people", 1),
        doors=table.text("doors", "").strip(),
        hvac=table.text("hvac", "").strip(),
        gain=table.text("gain", "").strip(),
        notes=table.text("notes", "").strip(),
        settings=table.text("settings", "").strip(),
        equipment=table.text("equipment", "").strip(),
        omnidirectional=table.flag("omnidirectional", False),
        serials=table.text("serials", "").strip(),
    )


def same_note(first: str, second: str) -> bool:
    """Return whether two notes say the same, whatever their capitals.

    >>> same_note("Door shut", "door shut"), same_note("door shut", "")
    (True, False)
    """
    return first.casefold() == second.casefold()
