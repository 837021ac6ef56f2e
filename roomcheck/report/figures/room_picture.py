"""The room as one sees it, with the pieces on its walls: a line drawing in which nothing is drawn
that something hides."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from roomcheck.job import Job, Placement
from roomcheck.report.figures.figures import INK, QUIET
from roomcheck.report.figures.labels import Placed
from roomcheck.report.figures.room_names import LETTERS_MM, SeenMark, name_svg, room_names
from roomcheck.report.space.hatch import hatch
from roomcheck.report.space.paper import Paper, paper_for
from roomcheck.report.space.shadows import shadow
from roomcheck.report.space.strokes import (
    Pen,
    Strokes,
    foot_strokes,
    outlines,
    path_strokes,
    room_strokes,
    seen_from_inside,
)
from roomcheck.report.space.visible import visible_parts
from roomcheck.scene import (
    Body,
    Facets,
    Look,
    Mark,
    Scene,
    View,
    best_view,
    furniture_facets,
    hidden,
    hull_facets,
    piece_facets,
    scene,
    shadows,
    shows_front,
    surface_facets,
)
from roomcheck.workshop import HangingLine, Part

Floats = NDArray[np.float64]

WIDTH_PT, HEIGHT_PT = 468.0, 300.0
"""Most that a picture takes of a page: 165 mm by 106 mm. [pt]"""
_MARGIN_PT = 14.0
_PENS: dict[Pen, tuple[float, str, str]] = {
    "hatch": (0.22, QUIET, ""),
    "part": (0.3, INK, ""),
    "path": (0.5, QUIET, "5 1.6 1 1.6"),
    "foot": (0.4, QUIET, "0.8 1.4"),
    "cut away": (0.5, INK, "2.6 1.6"),
    "opening": (0.5, QUIET, ""),
    "furniture": (0.5, QUIET, ""),
    "room": (0.9, INK, ""),
    "piece": (0.75, INK, ""),
}
"""Width [pt], colour and dashes of each pen, in the order in which they are drawn."""
_OUTER = (Part.FABRIC, Part.FRAME_LONG, Part.FRAME_SHORT, Part.FELT_TILE)
"""Parts whose edges are a piece's own."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Drawn:
    """What is seen of one pen's lines."""

    pen: Pen
    lines: Floats
    """(lines, 2, 3) [m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomDrawing:
    """A drawing of the room, and what its caption has to explain."""

    svg: str
    dashed: tuple[str, ...]
    """Names of the pieces that hang on faces that are left out."""
    unnamed: tuple[str, ...] = ()
    """Pieces for whose names there is no room."""


def room_picture(
    job: Job,
    pieces: Sequence[Placement],
    hanging: Sequence[HangingLine] = (),
    *,
    width_pt: float = WIDTH_PT,
    height_pt: float = HEIGHT_PT,
    paths: bool = False,
) -> str:
    """Draw the room with its pieces, near walls cut away, as SVG.

    Parameters
    ----------
    hanging : sequence of HangingLine
        Where the installer hangs them; without it, where they are planned.
    width_pt, height_pt : float
        Most that the picture may take. [pt]
    paths : bool
        Whether first reflections are drawn too.

    Raises
    ------
    NotInStock, PanelError
        A piece is not in the shop's file, or cannot be built.
    """
    return draw_room(job, pieces, hanging, width_pt=width_pt, height_pt=height_pt, paths=paths).svg


def draw_room(
    job: Job,
    pieces: Sequence[Placement],
    hanging: Sequence[HangingLine] = (),
    *,
    width_pt: float = WIDTH_PT,
    height_pt: float = HEIGHT_PT,
    paths: bool = False,
    letters_mm: tuple[float, float] = LETTERS_MM,
) -> RoomDrawing:
    """As `room_picture`, with what the caption has to explain; the letters of pieces and of
    everything else have the sizes that are asked for. [mm]"""
    built = scene(job, pieces, hanging)
    size = Size(width_pt=width_pt, height_pt=height_pt, letters_mm=letters_mm)
    return next(draw_sizes(built, (size,), paths=paths))


@dataclass(frozen=True, slots=True, kw_only=True)
class Size:
    """How large a drawing is to be."""

    width_pt: float
    """At most [pt]."""
    height_pt: float
    """At most [pt]."""
    letters_mm: tuple[float, float] = LETTERS_MM
    """Of pieces, and of everything else [mm]."""


def draw_sizes(
    built: Scene, sizes: Sequence[Size], *, paths: bool = False
) -> Iterator[RoomDrawing]:
    """One view of a scene, drawn in several sizes."""
    view = best_view(built)
    for size in sizes:
        paper = paper_of(built, view, width_pt=size.width_pt, height_pt=size.height_pt)
        yield _drawn_on(paper, built, size.letters_mm, paths=paths)


def _drawn_on(
    paper: Paper, built: Scene, letters_mm: tuple[float, float], *, paths: bool
) -> RoomDrawing:
    drawn = room_drawn(built, paper, paths=paths)
    marks = seen_marks(built, paper)
    names, unnamed = room_names(built, paper, marks, letters_mm)
    symbols = [_symbol(*mark) for mark in marks]
    dashed = tuple(
        piece.name
        for piece in built.pieces
        if not shows_front(piece, built.shape(piece.piece), paper.view)
    )
    svg = drawn_svg(paper, drawn, names, symbols)
    return RoomDrawing(svg=svg, dashed=dashed, unnamed=unnamed)


def room_drawn(built: Scene, paper: Paper, *, paths: bool = False) -> list[Drawn]:
    """Every line of the picture, with what hides it cut off."""
    return seen_lines(paper.view, *strokes_and_cover(built, paper, paths=paths))


def paper_of(
    built: Scene, view: View, *, width_pt: float = WIDTH_PT, height_pt: float = HEIGHT_PT
) -> Paper:
    """The sheet that holds all that is drawn of a view."""
    points = seen_corners(built, view)
    return paper_for(view, points, width_pt=width_pt, height_pt=height_pt, margin_pt=_MARGIN_PT)


def seen_corners(built: Scene, view: View) -> Floats:
    """Corners of all that is drawn: (corners, 3). [m]"""
    rooms = [
        surface.axes.to_room(u, v, 0.0)
        for surface in built.surfaces
        if seen_from_inside(surface, view)
        for u, v in surface.outline
    ]
    hulls = [hull_facets(piece, built.shape(piece.piece)).corners for piece in built.pieces]
    points = [np.array(rooms, dtype=float), *(hull.reshape(-1, 3) for hull in hulls)]
    return np.concatenate(points)


def strokes_and_cover(
    built: Scene, paper: Paper, *, paths: bool = False
) -> tuple[list[Strokes], list[Facets]]:
    """Every line of the picture as if all were of glass, and what hides them.

    A piece on a wall that is left out is drawn as the box round it, and hides nothing.
    """
    view = paper.view
    shapes = {shape.piece: shape for shape in built.shapes}
    fronts = [piece for piece in built.pieces if shows_front(piece, shapes[piece.piece], view)]
    solid = [piece_facets(piece, shapes[piece.piece]).facing(view) for piece in fronts]
    boxes = furniture_facets(built.furniture).facing(view)
    cover = [surface_facets(built.surfaces), boxes, *solid]
    strokes = [*room_strokes(built, view), foot_strokes(built), outlines(boxes, "furniture")]
    strokes += [path_strokes(built)] if paths else []
    for piece in built.pieces:
        if piece not in fronts:
            box = hull_facets(piece, shapes[piece.piece]).facing(view)
            strokes.append(outlines(box, "cut away"))
    surfaces = {surface.name: surface for surface in built.surfaces}
    for piece, facets in zip(fronts, solid, strict=True):
        box = hull_facets(piece, shapes[piece.piece])
        strokes.append(shadow(paper, box, surfaces[piece.face]))
        strokes += piece_strokes(paper, shapes[piece.piece].outside, facets)
    return strokes, cover


def piece_strokes(paper: Paper, bodies: Sequence[Body], facets: Facets) -> list[Strokes]:
    """Edges and hatching of a piece's facets that show their front."""
    outer = np.array([body.part in _OUTER for body in bodies])
    own = outer[facets.body]
    strokes = [outlines(facets.only(own), "piece"), outlines(facets.only(~own), "part")]
    looks: dict[Look, list[int]] = {}
    for number, body in enumerate(bodies):
        looks.setdefault(body.look, []).append(number)
    for look, numbers in looks.items():
        some = facets.only(np.isin(facets.body, numbers))
        strokes.append(Strokes(pen="hatch", lines=hatch(paper, some, look)))
    return strokes


def seen_lines(view: View, strokes: Sequence[Strokes], cover: Sequence[Facets]) -> list[Drawn]:
    """What of these strokes nothing hides, by pen."""
    lines = np.concatenate([stroke.lines for stroke in strokes])
    groups = np.repeat(np.arange(len(strokes)), [len(stroke.lines) for stroke in strokes])
    line, ends = visible_parts(view, lines, groups, cover)
    start, along = lines[line, 0], lines[line, 1] - lines[line, 0]
    parts = np.stack([start + ends[:, k, None] * along for k in (0, 1)], axis=1)
    pens = np.array([stroke.pen for stroke in strokes])[groups[line]]
    return [Drawn(pen=pen, lines=parts[pens == pen]) for pen in _PENS]


def seen_marks(built: Scene, paper: Paper) -> list[SeenMark]:
    """Sources and microphones that nothing hides, with their places on the sheet."""
    view = paper.view
    cover = [surface_facets(built.surfaces), furniture_facets(built.furniture)]
    cover += [
        hull_facets(piece, built.shape(piece.piece))
        for piece in built.pieces
        if shows_front(piece, built.shape(piece.piece), view)
    ]
    planes = np.concatenate([shadows(view, facets.facing(view)) for facets in cover])
    points = np.array([mark.point for mark in built.marks], dtype=float).reshape(-1, 3)
    sheet = paper.place(points).tolist()
    behind = hidden(points, planes)
    return [
        (mark, x, y)
        for mark, (x, y), away in zip(built.marks, sheet, behind, strict=True)
        if not away
    ]


def _symbol(mark: Mark, x_pt: float, y_pt: float) -> str:
    """A source as a triangle, a microphone as a circle, the seat as a full one."""
    fill = "white" if mark.role == "microphone" else INK
    looks = f'fill="{fill}" stroke="{INK}" stroke-width="0.6"'
    if mark.role == "source":
        return f'<path d="M{x_pt:.2f} {y_pt - 3.4:.2f}l3 5.4h-6z" {looks}/>'
    return f'<circle cx="{x_pt:.2f}" cy="{y_pt:.2f}" r="2.4" {looks}/>'


def drawn_svg(
    paper: Paper, drawn: Sequence[Drawn], names: Sequence[Placed], symbols: Sequence[str] = ()
) -> str:
    """Lines, signs and names as one SVG."""
    wide, high = paper.width_pt, paper.height_pt
    body = [_path(paper, each) for each in drawn if len(each.lines)]
    body += symbols
    body += [name_svg(paper, name) for name in names]
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide:.2f}pt" height="{high:.2f}pt" '
        f'viewBox="0 0 {wide:.2f} {high:.2f}">{"".join(body)}</svg>'
    )


def _path(paper: Paper, drawn: Drawn) -> str:
    """All lines of a pen as one path."""
    wide, colour, dashes = _PENS[drawn.pen]
    dashed = f' stroke-dasharray="{dashes}"' if dashes else ""
    ends = np.round(paper.place(drawn.lines), 2)
    steps = "".join(f"M{a:g} {b:g}L{c:g} {d:g}" for (a, b), (c, d) in ends.tolist())
    return (
        f'<path class="{drawn.pen}" d="{steps}" fill="none" stroke="{colour}" '
        f'stroke-width="{wide}" stroke-linecap="round"{dashed}/>'
    )
