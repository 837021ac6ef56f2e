"""Places in a job file: rectangles on faces, sources and microphones."""

from __future__ import annotations

import math
from collections.abc import Sequence

from roomcheck.geometry import Face, Point, Rectangle, Room
from roomcheck.job.model.job import Patch, Position
from roomcheck.job.toml.reader import TomlTable
from roomcheck.job.toml.values import shown

_SLACK_M = 1e-3
"""What tapes and rounding may disagree by. [m]"""

_AT_ONE_PLACE_M = 0.05


def read_place(table: TomlTable, room: Room | None, face: str) -> Rectangle:
    """A rectangle on a face, from the face's left and bottom edge seen from inside. [m]"""
    place = Rectangle(
        table.length("left", least=0.0),
        table.length("bottom", least=0.0),
        table.length("width", above=0.0),
        table.length("height", above=0.0),
    )
    sizes = (place.u_m, place.v_m, place.width_m, place.height_m)
    if room is not None and face and not any(math.isnan(size) for size in sizes):
        _note_beyond(table, room.face(face), place)
    return place


STAND = ("x", "y", "length", "width", "height")
"""What gives furniture its place."""


def read_stand(table: TomlTable, room: Room | None) -> tuple[Rectangle | None, float | None]:
    """Where furniture stands, in the room's x and y, and how high it is; None for both where
    nothing is said. [m]"""
    if not any(table.has(key) for key in STAND):
        for key in STAND:
            table.raw(key)
        return None, None
    x, y = table.length("x"), table.length("y")
    length, width = table.length("length", above=0.0), table.length("width", above=0.0)
    height = table.length("height", above=0.0)
    place = Rectangle(x, y, length, width)
    if room is None or any(math.isnan(size) for size in (x, y, length, width, height)):
        return place, height
    floor = room.face("floor")
    u_m, v_m, _ = floor.to_face(Point(x, y, 0.0))
    if not floor.holds(Rectangle(u_m, v_m, length, width).grown(-_SLACK_M)):
        table.note(None, "it does not stand wholly on the floor: a wall is in its way")
    if height > room.height_m + _SLACK_M:
        high = shown(table.data["height"])
        table.note("height", f"`height` is {high}, higher than the room ({_both(room.height_m)})")
    return place, height


def _note_beyond(table: TomlTable, face: Face, place: Rectangle) -> None:
    right, top = face.width_m, face.height_m
    fits = True
    for key, start, size, end, edge in (
        ("width", "left", place.width_m, right, "right"),
        ("height", "bottom", place.height_m, top, "top" if face.kind == "wall" else "far"),
    ):
        past = (place.right_m if key == "width" else place.top_m) - end
        if size > end + _SLACK_M:
            table.note(
                key, f"`{key}` is {shown(table.data[key])}, larger than {face.name} ({_both(end)})"
            )
            fits = False
        elif past > _SLACK_M:
            table.note(
                start,
                f"it reaches {_both(past)} beyond the {edge} edge of {face.name} ({_both(end)})",
            )
            fits = False
    if fits and not face.holds(place):
        table.note(
            None, f"it does not lie wholly on the {face.name}: the floor plan has a corner there"
        )


def _both(length_m: float) -> str:
    return f"{length_m / 0.0254:.1f} in, {length_m:.3f} m"


def note_overlaps(top: TomlTable, key: str, patches: Sequence[Patch | None]) -> None:
    """Note patches that cover the same place of a face."""
    tables = top.tables(key)
    for i, patch in enumerate(patches):
        for other in patches[:i]:
            if patch is None or other is None or patch.face != other.face:
                continue
            if patch.place.grown(-_SLACK_M / 2).overlap_m2(other.place.grown(-_SLACK_M / 2)) > 0:
                area = patch.place.overlap_m2(other.place)
                tables[i].note(
                    None,
                    f"{shown(patch.name)} and {shown(other.name)} overlap on {patch.face} by "
                    f"{area:.3f} m2",
                )


def note_repeats(top: TomlTable, key: str, field: str) -> None:
    """Note tables of one kind that share a name."""
    first: dict[str, int] = {}
    for table in top.tables(key):
        name = table.data.get(field)
        if not isinstance(name, str):
            continue
        if name in first:
            table.note(
                field,
                f"a second [[{key}]] with `{field}` {shown(name)}; the first is in line "
                f"{first[name]}",
            )
        first.setdefault(name, table.document.line(table.way))


def read_positions(
    top: TomlTable, key: str, room: Room | None, others: Sequence[Position | None] = ()
) -> list[Position | None]:
    """Sources or microphones, each inside the room and away from the `others`; None stands where
    one is spoiled."""
    found: list[Position | None] = []
    for table in top.tables(key):
        name = table.text("name", example="S1")
        point = Point(*(table.length(axis) for axis in "xyz"))
        if name and not all(c.isalnum() or c in " _-." for c in name):
            table.note(
                "name",
                f"`name` is {shown(name)}; file names are made of it: letters, digits, space, - "
                "_ . only",
            )
        if room is not None and not table.spoiled:
            _note_outside(table, room, point)
        for other in others:
            if (
                other is not None
                and not table.spoiled
                and math.dist(point, other.point) < _AT_ONE_PLACE_M
            ):
                table.note(
                    None, f"{shown(name)} stands where {shown(other.name)} stands; move one of them"
                )
        table.close()
        found.append(None if table.spoiled else Position(name=name, point=point))
    note_repeats(top, key, "name")
    return found


def _note_outside(table: TomlTable, room: Room, point: Point) -> None:
    if room.holds(point):
        return
    xs, ys = zip(*room.corners, strict=True)
    reach = {"x": (min(xs), max(xs)), "y": (min(ys), max(ys)), "z": (0.0, room.height_m)}
    for axis, value in zip("xyz", point, strict=True):
        low, high = reach[axis]
        if not low < value < high:
            table.note(
                axis,
                f"`{axis}` is {shown(table.data[axis])}, outside the room: {low:.3f} m to "
                f"{high:.3f} m",
            )
    if not table.spoiled:
        table.note(None, f"{shown(table.data['name'])} stands outside the floor plan")
