"""Names on a drawing in space: set by the labels' own engine, within the piece that they name where
that is large enough, else beside it with a leader.

A drawing in space is in points, y down; labels are in millimetres, y up.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import product
from math import inf

import numpy as np
from numpy.typing import NDArray

from roomcheck.report.figures.figures import INK, QUIET
from roomcheck.report.figures.labels import (
    SMALL_MM,
    USUAL_MM,
    Box,
    Label,
    Placed,
    Spot,
    box_round,
    lines_size_mm,
    place_labels,
)
from roomcheck.report.render.escape import escape
from roomcheck.report.space.paper import Paper
from roomcheck.report.space.strokes import seen_from_inside
from roomcheck.scene import Mark, Scene, Shape, Standing, Surface
from roomcheck.signs import visible
from roomcheck.words import shortened

Floats = NDArray[np.float64]

LETTERS_MM = USUAL_MM, SMALL_MM
"""Sizes of letters on paper: of pieces, of everything else. [mm]"""
MM = 25.4 / 72
"""Millimetres in a point."""
_SIGN_MM = 2.4
"""Side of the sign of a source or a microphone. [mm]"""
_NEAR_MM = 5.5
"""What names a place, a wall or a piece of furniture stands no further off. [mm]"""
_POINT_MM = 0.4
"""Side of the box that stands for a piece that is too small for its name. [mm]"""
_INSET_MM = 0.45
"""What stands inside keeps so far from the edges of its home. [mm]"""
_MOST_AWAY = 0.25
"""Of so many names at the most the eye follows leaders. [1]"""
_ACROSS = tuple(product((0.5, 0.35, 0.65, 0.2, 0.8), (0.5, 0.3, 0.7, 0.85, 0.15)))
"""Places of a piece's front where its name is tried: shares of its width and height."""
_NAMED, _PLACES, _THINGS, _WALLS = range(4)

Corners = tuple[Spot, ...]
"""Four corners on the sheet, one after another [mm]."""

SeenMark = tuple[Mark, float, float]
"""A place of the room and where it lies on the sheet [pt]."""


def room_names(
    built: Scene,
    paper: Paper,
    marks: Sequence[SeenMark],
    letters_mm: tuple[float, float] = LETTERS_MM,
) -> tuple[tuple[Placed, ...], tuple[str, ...]]:
    """Set the names of pieces; then of places, furniture and walls, as far as there is room.

    Where not every piece can be named in larger letters, all get smaller ones; where that is not
    enough, the pieces of a face are named together.

    Parameters
    ----------
    built : Scene
    paper : Paper
        The sheet that the scene is drawn on.
    marks : sequence of SeenMark
        Sources and microphones that nothing hides.
    letters_mm : tuple of float
        Sizes of the letters: of pieces, of everything else. [mm]

    Returns
    -------
    placed : tuple of Placed
        [mm]
    unnamed : tuple of str
        What names pieces and finds no room: they are dense beyond any drawing.
    """
    small_mm = letters_mm[-1]
    fronts = [_front(paper, piece, built.shape(piece.piece)) for piece in built.pieces]
    signs = [box_round(_mm(paper, x, y), (_SIGN_MM, _SIGN_MM)) for _, x, y in marks]
    others = [*_of_places(marks, signs, small_mm), *_of_room(built, paper, small_mm)]
    sheet = Box(0.0, 0.0, paper.width_pt * MM, paper.height_pt * MM)
    sizes_mm = dict.fromkeys(letters_mm)
    tries = [(_each(built.pieces, fronts, size_mm), _MOST_AWAY) for size_mm in sizes_mm]
    tries += [(_by_face(built.pieces, fronts, small_mm, lines), 1.0) for lines in (1, 2)]
    for labels, most_away in tries:
        homes = [label.home for label in labels]
        placed, left_out = place_labels([*labels, *others], sheet, signs, avoid=homes)
        unnamed = tuple(" ".join(label.lines) for label in left_out if label.priority == _NAMED)
        far = sum(1 for one in placed if one.label.priority == _NAMED and one.leader)
        if not unnamed and far <= most_away * len(labels):
            break
    return placed, unnamed


def _each(pieces: Sequence[Standing], fronts: Sequence[Corners], size_mm: float) -> list[Label]:
    """Every piece by its own name."""
    return [_on_piece(piece.name, i, fronts, size_mm) for i, piece in enumerate(pieces)]


def _by_face(
    pieces: Sequence[Standing], fronts: Sequence[Corners], size_mm: float, lines: int
) -> list[Label]:
    """All pieces of a face by one name, in their midst, on one line or two."""
    labels = []
    for face in dict.fromkeys(piece.face for piece in pieces):
        here = [i for i, piece in enumerate(pieces) if piece.face == face]
        names = _broken(shortened([pieces[i].name for i in here]), lines)
        x, y = np.concatenate([fronts[i] for i in here]).mean(axis=0).tolist()
        wide, high = lines_size_mm(names, size_mm)
        home = box_round((x, y), (wide + 2 * _INSET_MM, high + 2 * _INSET_MM))
        labels.append(Label(lines=names, whole=True, home=home, size_mm=size_mm))
    return labels


def _broken(name: str, lines: int) -> tuple[str, ...]:
    """A list of names on one line, or on two as long as each other as can be.

    >>> _broken("A1, A2, A4 to A9", 2), _broken("A1, A2", 1), _broken("A1", 2)
    (('A1, A2,', 'A4 to A9'), ('A1, A2',), ('A1',))
    """
    gaps = [at for at in range(len(name)) if name.startswith(", ", at)]
    if lines == 1 or not gaps:
        return (name,)
    at = min(gaps, key=lambda gap: abs(2 * gap - len(name)))
    return name[: at + 1], name[at + 2 :]


def _of_places(marks: Sequence[SeenMark], signs: Sequence[Box], size_mm: float) -> Iterator[Label]:
    for (mark, *_), home in zip(marks, signs, strict=True):
        yield _beside(mark.name, home, size_mm, _PLACES)


def _of_room(built: Scene, paper: Paper, size_mm: float) -> Iterator[Label]:
    """Furniture, then the walls that are seen."""
    for one in built.furniture:
        top = np.array(one.at_m) + np.array(one.size_m) * (0.5, 0.5, 1.0)
        yield _beside(one.name, _spot(paper, top), size_mm, _THINGS)
    for surface in built.surfaces:
        if surface.kind == "wall" and seen_from_inside(surface, paper.view):
            yield _beside(surface.name, _foot_of(paper, surface), size_mm, _WALLS)


def _front(paper: Paper, piece: Standing, shape: Shape) -> Corners:
    """The four corners of a piece's front on the sheet, y up. [mm]"""
    around = ((0, 0), (1, 0), (1, 1), (0, 1))
    corners = [
        piece.axes.to_room(u * shape.width_m, v * shape.height_m, shape.depth_m) for u, v in around
    ]
    on_sheet: list[list[float]] = _on_sheet(paper, np.array(corners)).tolist()
    return tuple((x, y) for x, y in on_sheet)


def _on_sheet(paper: Paper, points: Floats) -> Floats:
    """Where places of the room lie on the sheet, y up: (..., 3) to (..., 2). [mm]"""
    flat = paper.place(points) * MM
    flat[..., 1] = paper.height_pt * MM - flat[..., 1]
    return flat


def _mm(paper: Paper, x_pt: float, y_pt: float) -> Spot:
    return x_pt * MM, (paper.height_pt - y_pt) * MM


def _spot(paper: Paper, point: Floats) -> Box:
    """The smallest box round a place of the room. [mm]"""
    x, y = _on_sheet(paper, point).tolist()
    return box_round((x, y), (_POINT_MM, _POINT_MM))


def _foot_of(paper: Paper, surface: Surface) -> Box:
    """Where a wall is named: low down in its middle. [mm]"""
    wide, high = (max(side) for side in zip(*surface.outline, strict=True))
    return _spot(paper, np.array(surface.axes.to_room(wide / 2, 0.1 * high, 0.0)))


def _beside(name: str, home: Box, size_mm: float, priority: int) -> Label:
    return Label(
        lines=(name,), home=home, size_mm=size_mm, priority=priority, quiet=True, most_mm=_NEAR_MM
    )


def _on_piece(name: str, number: int, fronts: Sequence[Corners], size_mm: float) -> Label:
    """A piece's name: at home where its own front has room for it, best where no other's lies."""
    wide, high = lines_size_mm((name,), size_mm)
    size = (wide, high)
    roomy = (wide + 2 * _INSET_MM, high + 2 * _INSET_MM)
    own = fronts[number]
    others = [front for i, front in enumerate(fronts) if i != number]
    best: tuple[int, Box] | None = None
    for u, v in _ACROSS:
        spot = _within(own, u, v)
        if _reach(own, spot, size) < 1.0:
            continue
        over = sum(1 for other in others if _reach(other, spot, (1e-6, 1e-6)) > 0)
        if best is None or over < best[0]:
            best = over, box_round(spot, roomy)
    home = box_round(_within(own, 0.5, 0.5), (_POINT_MM, _POINT_MM))
    return Label(lines=(name,), home=home if best is None else best[1], size_mm=size_mm)


def _within(corners: Corners, u: float, v: float) -> Spot:
    """A place between four corners, by shares of the way along both sides. [mm]"""
    (x0, y0), (x1, y1), (x2, y2), (x3, y3) = corners
    low_x, low_y = x0 + u * (x1 - x0), y0 + u * (y1 - y0)
    top_x, top_y = x3 + u * (x2 - x3), y3 + u * (y2 - y3)
    return low_x + v * (top_x - low_x), low_y + v * (top_y - low_y)


def _reach(corners: Corners, spot: Spot, size: Spot) -> float:
    """How much a box round a place may grow until it leaves a convex outline: 1 is as large as it
    is; below 0 where the place itself lies outside."""
    area, least, most = 0.0, inf, -inf
    for (x0, y0), (x1, y1) in zip(corners, (*corners[1:], corners[0]), strict=True):
        area += x0 * y1 - x1 * y0
        turn = (x1 - x0) * (spot[1] - y0) - (y1 - y0) * (spot[0] - x0)
        half = (abs(y1 - y0) * size[0] + abs(x1 - x0) * size[1]) / 2
        share = turn / max(half, 1e-12)
        least, most = min(least, share), max(most, share)
    if area < 0:
        return -most
    return least if area > 0 else 0.0


def name_svg(paper: Paper, placed: Placed) -> str:
    """A name on a white ground, so that lines behind it do not cross its letters, with its leader.

    Its box is in millimetres, y up; the sheet in points, y down.
    """
    label, box = placed.label, placed.box
    colour = QUIET if label.quiet else INK
    size_pt = label.size_mm / MM
    left, top = box.left_mm / MM, paper.height_pt - box.top_mm / MM
    middle = box.centre[0] / MM
    pitch_pt = box.height_mm / MM / len(placed.lines)
    texts = [
        f'<text x="{middle:.2f}" y="{top + i * pitch_pt + 0.78 * size_pt:.2f}" '
        f'font-family="DejaVu Sans" font-size="{size_pt:.2f}" text-anchor="middle" '
        f'fill="{colour}">{escape(visible(line))}</text>'
        for i, line in enumerate(placed.lines)
    ]
    return (
        f"{_leader(paper, placed, colour)}"
        f'<rect class="ground" x="{left:.2f}" y="{top:.2f}" width="{box.width_mm / MM:.2f}" '
        f'height="{box.height_mm / MM:.2f}" fill="white" fill-opacity="0.85"/>{"".join(texts)}'
    )


def _leader(paper: Paper, placed: Placed, colour: str) -> str:
    """From what is named to its name, with a dot where it begins."""
    if placed.leader is None:
        return ""
    (x0, y0), (x1, y1) = (
        (x / MM, paper.height_pt - y / MM) for x, y in (placed.leader[0], placed.leader[1])
    )
    return (
        f'<path class="leader" d="M{x0:.2f} {y0:.2f}L{x1:.2f} {y1:.2f}" stroke="{colour}" '
        f'stroke-width="0.4"/><circle cx="{x0:.2f}" cy="{y0:.2f}" r="0.8" fill="{colour}"/>'
    )
