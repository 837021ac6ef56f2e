"""What is drawn of a scene before anything hides it: edges, openings, ways of sound, each with how
strongly it is drawn."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from roomcheck.geometry import Rectangle
from roomcheck.scene import Facets, Mark, Scene, Surface, Thing, View

Floats = NDArray[np.float64]

Pen = Literal["room", "opening", "furniture", "piece", "part", "hatch", "cut away", "path", "foot"]
"""How a line is drawn."""

_SAME_M = 1e-6
"""Ends nearer than this are one. [m]"""
_GLAZING = ((0.12, 0.62, 0.45, 0.95), (0.30, 0.58, 0.62, 0.90), (0.55, 0.10, 0.85, 0.40))
"""Strokes on a pane, as shares of its width and height: from u, v to u, v."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Strokes:
    """Straight lines of one pen."""

    pen: Pen
    lines: Floats
    """(lines, 2, 3) [m]."""


def outlines(facets: Facets, pen: Pen) -> Strokes:
    """The edges of facets, each once however many meet at it."""
    ends = np.stack([facets.corners, np.roll(facets.corners, -1, axis=1)], axis=2)
    return Strokes(pen=pen, lines=distinct(ends.reshape(-1, 2, 3)))


def distinct(lines: Floats) -> Floats:
    """Lines with some length, each once: (lines, 2, 3). [m]"""
    long = np.abs(lines[:, 0] - lines[:, 1]).max(axis=1) > _SAME_M if len(lines) else []
    lines = lines[np.asarray(long, dtype=bool)]
    if not len(lines):
        return lines
    grid = np.round(lines / _SAME_M).astype(np.int64)
    swapped = _later(grid[:, 0], grid[:, 1])
    grid[swapped] = grid[swapped][:, ::-1]
    first = np.unique(grid.reshape(len(grid), 6), axis=0, return_index=True)[1]
    return np.asarray(lines[np.sort(first)])


def _later(a: NDArray[np.int64], b: NDArray[np.int64]) -> NDArray[np.bool_]:
    """Whether a place comes after another in the order of x, then y, then z."""
    differ = (a != b).argmax(axis=1)
    rows = np.arange(len(a))
    return np.asarray(a[rows, differ] > b[rows, differ])


def room_strokes(scene: Scene, view: View) -> list[Strokes]:
    """Outlines of the faces that are seen from inside, and what lies flat on them."""
    seen = [surface for surface in scene.surfaces if seen_from_inside(surface, view)]
    outline = [line for surface in seen for line in _ring(surface, surface.outline)]
    things = [line for surface in seen for thing in surface.things for line in _on(surface, thing)]
    return [_strokes("room", outline), _strokes("opening", things)]


def seen_from_inside(surface: Surface, view: View) -> bool:
    """Whether a face shows the eye the side that faces the room; the others are left out."""
    middle = np.array([surface.axes.to_room(*surface.outline[0], 0.0)])
    return float(view.towards_eye(middle)[0] @ np.array(surface.axes.out)) > 0


def _strokes(pen: Pen, lines: Sequence[Sequence[Sequence[float]]]) -> Strokes:
    return Strokes(pen=pen, lines=distinct(np.array(lines, dtype=float).reshape(-1, 2, 3)))


def _ring(
    surface: Surface, corners: Sequence[tuple[float, float]]
) -> list[tuple[Sequence[float], Sequence[float]]]:
    places = [surface.axes.to_room(u, v, 0.0) for u, v in corners]
    return list(zip(places, (*places[1:], places[0]), strict=True))


def _on(surface: Surface, thing: Thing) -> list[tuple[Sequence[float], Sequence[float]]]:
    """A thing's outline, and what tells it from others: panes have strokes, doors a handle."""
    place = thing.place
    lines = _ring(surface, _corners(place))
    if thing.kind == "window":
        for u0, v0, u1, v1 in _GLAZING:
            ends = [
                surface.axes.to_room(
                    place.u_m + u * place.width_m, place.v_m + v * place.height_m, 0.0
                )
                for u, v in ((u0, v0), (u1, v1))
            ]
            lines.append((ends[0], ends[1]))
    if thing.kind == "door":
        handle = Rectangle(place.u_m + 0.06 * place.width_m, place.v_m + 0.98, 0.12, 0.03)
        lines += _ring(surface, _corners(handle))
    return lines


def _corners(place: Rectangle) -> list[tuple[float, float]]:
    return [
        (place.u_m, place.v_m),
        (place.right_m, place.v_m),
        (place.right_m, place.top_m),
        (place.u_m, place.top_m),
    ]


def path_strokes(scene: Scene) -> Strokes:
    """Ways of the first reflections."""
    lines = [
        pair for path in scene.paths for pair in zip(path.points, path.points[1:], strict=False)
    ]
    return _strokes("path", lines)


def foot_strokes(scene: Scene) -> Strokes:
    """From each source and microphone straight down to the floor."""
    return _strokes("foot", [_foot(mark) for mark in scene.marks])


def _foot(mark: Mark) -> tuple[Sequence[float], Sequence[float]]:
    x, y, _ = mark.point
    return (mark.point, (x, y, 0.0))
