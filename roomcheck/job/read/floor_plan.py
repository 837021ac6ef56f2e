"""The room of a job file: length and width, or any simple floor plan."""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Any

from roomcheck.geometry import Room, counter_clockwise, simple_polygon
from roomcheck.job.not_yet import NOT_YET
from roomcheck.job.toml.reader import TomlTable
from roomcheck.job.toml.values import length_of, shown

_SHORTEST_WALL_M = 0.01
_LARGEST_M = 200.0
_PLANES = ("floor", "ceiling", "walls", "materials")


def read_room(table: TomlTable) -> Room | None:
    """The room; None where it has mistakes.

    A plan typed clockwise is turned round: the first corner stays first, and each wall keeps its
    name.
    """
    if isinstance(table.data.get("height"), list):
        table.note("height", f"`height` is a list: {NOT_YET['slope']}")
    height = table.length("height", above=0.0)
    table.raw("materials")
    if not table.has("materials") and not table.spoiled:
        table.table("materials")
    polygon = table.has("corners")
    room = _polygon(table, height) if polygon else _box(table, height)
    table.close(NOT_YET)
    if table.spoiled or room is None:
        return None
    return room


def _box(table: TomlTable, height_m: float) -> Room | None:
    length, width = table.length("length", above=0.0), table.length("width", above=0.0)
    table.raw("corners")
    names = _wall_names(table, 4) if table.has("walls") else ("south", "east", "north", "west")
    table.raw("walls")
    _not_vast(table, {"length": length, "width": width, "height": height_m})
    return None if table.spoiled else Room.box(length, width, height_m, names)


def _polygon(table: TomlTable, height_m: float) -> Room | None:
    for key in ("length", "width"):
        if table.has(key):
            table.note(
                key, f"`{key}` and `corners` both say how large the room is; leave one of them out"
            )
        table.raw(key)
    corners = _corners(table)
    names = _wall_names(table, len(corners)) if corners else table.texts("walls")
    if corners and not table.spoiled:
        _check_outline(table, corners)
    longest = 0.0
    if corners and not table.spoiled:
        longest = max(max(ways) - min(ways) for ways in zip(*corners, strict=True))
    _not_vast(table, {"corners": longest, "height": height_m})
    if table.spoiled:
        return None
    if not counter_clockwise(corners):
        corners, names = (corners[0], *corners[:0:-1]), names[::-1]
    return Room(corners=corners, height_m=height_m, wall_names=names)


def _not_vast(table: TomlTable, sizes_m: dict[str, float]) -> None:
    for key, size in sizes_m.items():
        if not table.spoiled and size > _LARGEST_M:
            table.note(
                key,
                f"`{key}` makes the room {size:.0f} m long; up to {_LARGEST_M:.0f} m: is the "
                "unit right?",
            )


def _corners(table: TomlTable) -> tuple[tuple[float, float], ...]:
    raw = table.raw("corners")
    if not isinstance(raw, list) or len(raw) < 3:
        table.note(
            "corners", '`corners` must be three corners or more, such as [["0 ft", "0 ft"], …]'
        )
        return ()
    corners = [_corner(table, i, item) for i, item in enumerate(raw)]
    return tuple(c for c in corners if c is not None) if None not in corners else ()


def _corner(table: TomlTable, index: int, item: Any) -> tuple[float, float] | None:
    way = (*table.way, "corners", index)
    if not isinstance(item, list) or len(item) != 2:
        table.spoiled = True
        table.document.note(
            way, f'corner {index + 1} must be its x and y, such as ["12\' 4\\"", "0 ft"]'
        )
        return None
    found = [length_of(part) for part in item]
    for part, length in enumerate(found):
        if isinstance(length, str):
            table.spoiled = True
            table.document.note((*way, part), f"corner {index + 1}: {length}")
    x, y = found
    return None if isinstance(x, str) or isinstance(y, str) else (x, y)


def _wall_names(table: TomlTable, count: int) -> tuple[str, ...]:
    names = table.texts("walls", example='["street", "corridor", "yard", "office"], one a wall')
    if not names:
        return ()
    if len(names) != count:
        table.note(
            "walls",
            f"`walls` has {len(names)} names for {count} walls; one from each corner to the next",
        )
    for name in sorted({name for name in names if names.count(name) > 1}):
        table.note("walls", f"`walls` has the name {shown(name)} twice; every wall needs its own")
    for name in sorted(set(names) & set(_PLANES)):
        table.note(
            "walls", f"`walls` has a wall named {shown(name)}, which means another thing here"
        )
    return names


def _check_outline(table: TomlTable, corners: tuple[tuple[float, float], ...]) -> None:
    edges = [(b[0] - a[0], b[1] - a[1]) for a, b in pairwise((*corners, corners[0]))]
    for i, (edge, onward) in enumerate(zip(edges, (*edges[1:], edges[0]), strict=True)):
        if math.hypot(*edge) < _SHORTEST_WALL_M:
            table.note(
                "corners", f"corners {i + 1} and {(i + 1) % len(edges) + 1} are the same place"
            )
            return
        turned = edge[0] * onward[1] - edge[1] * onward[0]
        if edge[0] * onward[0] + edge[1] * onward[1] < 0 and abs(turned) < 1e-9:
            table.note(
                "corners",
                f"the wall after corner {(i + 1) % len(edges) + 1} runs back along the one "
                "before it",
            )
            return
    if not simple_polygon(corners):
        table.note(
            "corners",
            (
                "the floor plan crosses itself or holds no area; give the corners in order round "
                "the room"
            ),
        )
