"""A piece drawn apart: every part in its place, moved out along the way that it is put together."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from roomcheck.facts import fact
from roomcheck.geometry import Point
from roomcheck.report.figures.labels import SMALL_MM, Box, Label, Placed, box_round, lines_size_mm
from roomcheck.report.figures.room_names import MM
from roomcheck.report.figures.room_picture import drawn_svg, piece_strokes, seen_lines
from roomcheck.report.space.paper import Paper, paper_for
from roomcheck.scene import Axes, Body, View, body_facets, body_of, look_at, stacked
from roomcheck.words import Reader, say, sentence
from roomcheck.workshop import Part, PieceSheet

Floats = NDArray[np.float64]

WIDTH_PT, HEIGHT_PT = 400.0, 260.0
"""Most that a drawing takes of a page. [pt]"""
_NAMES_PT, _MARGIN_PT = 118.0, 10.0
_AXES = Axes(
    origin=Point(0.0, 0.0, 0.0), right=(1.0, 0.0, 0.0), up=(0.0, 0.0, 1.0), out=(0.0, -1.0, 0.0)
)
"""The piece stands upright and looks along -y."""
_SHEET_M = 0.004
"""How thick fabric is drawn. [m]"""
_FRAME = (Part.FRAME_LONG, Part.FRAME_SHORT)


@dataclass(frozen=True, slots=True, kw_only=True)
class Layer:
    """Parts that stay together when a piece is drawn apart."""

    parts: tuple[str, ...]
    """Names of the cut list."""
    bodies: tuple[Body, ...]


def exploded(
    piece: PieceSheet,
    letters: Mapping[str, str] | None = None,
    *,
    width_pt: float = WIDTH_PT,
    height_pt: float = HEIGHT_PT,
) -> str:
    """Draw a piece apart, as SVG: from its back to its front, with how many of each part there are.

    Parameters
    ----------
    piece : PieceSheet
        With some solids.
    letters : mapping or None
        What the cut list calls each part.
    width_pt, height_pt : float
        Most that the drawing may take. [pt]
    """
    layers = layers_of(piece)
    bodies = [body for layer in layers for body in layer.bodies]
    facets = body_facets(bodies, _AXES, apart_m(layers))
    view = view_of_piece()
    paper = paper_for(
        view,
        facets.corners.reshape(-1, 3),
        width_pt=width_pt - _NAMES_PT,
        height_pt=height_pt,
        margin_pt=_MARGIN_PT,
    )
    seen = facets.facing(view)
    strokes = piece_strokes(paper, bodies, seen)
    drawn = seen_lines(view, strokes, [seen])
    wide = replace(paper, width_pt=paper.width_pt + _NAMES_PT)
    texts = _texts(layers, letters or {}, Reader("contractor"))
    return drawn_svg(wide, drawn, _names(layers, wide, texts))


def view_of_piece() -> View:
    """From the right, in front, and above; lines of sight are parallel."""
    return look_at(
        Point(0.0, 0.0, 0.0), azimuth_deg=-38.0, elevation_deg=24.0, distance_m=30.0, parallel=True
    )


def layers_of(piece: PieceSheet) -> tuple[Layer, ...]:
    """A piece's parts from its back to its front; the frame goes round what is in it and comes
    after it, fabric last."""
    bodies = [body_of(solid) for solid in piece.solids]
    parts = {cut.part for cut in piece.cuts}
    if Part.FABRIC in parts:
        bodies.append(_sheet(bodies))
    if Part.CORE_SQUARE in parts:
        bodies.append(stacked(*_reach_m(bodies)[:2]))
    together: dict[tuple[int, str], list[Body]] = {}
    for body in bodies:
        together.setdefault((_rank(body), _kind(body)), []).append(body)
    ordered = sorted(together.items(), key=lambda item: (item[0][0], _middle_m(item[1])))
    return tuple(
        Layer(parts=tuple(dict.fromkeys(body.part for body in same)), bodies=tuple(same))
        for _, same in ordered
    )


def _rank(body: Body) -> int:
    """What is put together first."""
    if body.part == Part.FABRIC:
        return 2
    return 1 if body.part in _FRAME else 0


def _kind(body: Body) -> str:
    """Boards of one frame stay together."""
    return Part.FRAME_LONG if body.part in _FRAME else body.part


def _middle_m(bodies: Sequence[Body]) -> float:
    """How far out bodies lie, by the mean of their middles. [m]"""
    return sum(body.at_m[2] + body.size_m[2] / 2 for body in bodies) / len(bodies)


def _sheet(bodies: Sequence[Body]) -> Body:
    """Fabric as the sheet in front that it is before it is wrapped."""
    wide, high, deep = _reach_m([body for body in bodies if body.part in _FRAME])
    size = (wide, high, _SHEET_M)
    return Body(part=Part.FABRIC, look="cloth", at_m=(0.0, 0.0, deep), size_m=size)


def _reach_m(bodies: Sequence[Body]) -> tuple[float, float, float]:
    """How far bodies reach to the right, up and out. [m]"""
    wide, high, deep = (max(body.at_m[i] + body.size_m[i] for body in bodies) for i in range(3))
    return wide, high, deep


def apart_m(layers: Sequence[Layer]) -> Floats:
    """By how much each body is moved, in the order of the layers: (bodies, 3). [m]

    Each layer stands free of the one behind it by the same gap.
    """
    largest_m = max(max(body.size_m[:2]) for layer in layers for body in layer.bodies)
    gap_m = 0.2 * largest_m
    reached_m, moves = 0.0, []
    for layer in layers:
        back_m = min(body.at_m[2] for body in layer.bodies)
        front_m = max(body.at_m[2] + body.size_m[2] for body in layer.bodies)
        shift_m = reached_m - back_m
        moves += [(0.0, 0.0, shift_m)] * len(layer.bodies)
        reached_m = front_m + shift_m + gap_m
    return np.array(moves)


def _texts(layers: Sequence[Layer], letters: Mapping[str, str], reader: Reader) -> dict[str, str]:
    """What stands beside each part: its letters, its name and how many of it there are."""
    counts = Counter(body.part for layer in layers for body in layer.bodies)
    texts = {}
    for part, count in counts.items():
        name = say("part_times", part=sentence(fact(Part(part)), reader), count=count)
        texts[part] = " ".join(filter(None, (letters.get(part, ""), name)))
    return texts


def _names(layers: Sequence[Layer], paper: Paper, texts: Mapping[str, str]) -> list[Placed]:
    """Each part with how many there are, in a column beside the drawing, in the order in which the
    parts lie from top to bottom."""
    moves, start, places = apart_m(layers), 0, []
    for layer in layers:
        shift_m = float(moves[start, 2])
        start += len(layer.bodies)
        for part in layer.parts:
            alike = [body for body in layer.bodies if body.part == part]
            x_pt, y_pt = _anchor(paper, alike, shift_m)
            home = box_round((x_pt * MM, (paper.height_pt - y_pt) * MM), (0.0, 0.0))
            places.append(Label(lines=(texts[part],), home=home, size_mm=SMALL_MM))
    places.sort(key=lambda label: -label.home.top_mm)
    return _column(places, paper)


def _anchor(paper: Paper, bodies: Sequence[Body], shift_m: float) -> tuple[float, float]:
    """The middle of the front of whichever body lies furthest to the right. [pt]"""
    fronts = []
    for body in bodies:
        x, y, z = body.at_m
        wide, high, deep = body.size_m
        fronts.append(_AXES.to_room(x + 0.9 * wide, y + high / 2, z + deep + shift_m))
    x_pt, y_pt = max(paper.place(np.array(fronts)).tolist())
    return x_pt, y_pt


def _column(labels: Sequence[Label], paper: Paper) -> list[Placed]:
    """Names below each other, each as near as the one above leaves room to the height of its
    part."""
    left = (paper.width_pt - _NAMES_PT) * MM
    step = 1.6 * SMALL_MM
    y, placed = paper.height_pt * MM - step / 2, list[Placed]()
    for number, label in enumerate(labels):
        lowest = (len(labels) - number) * step - step / 2
        y = max(min(y, label.home.centre[1]), lowest)
        wide, high = lines_size_mm(label.lines, label.size_mm)
        box = Box(left, y - high / 2, left + wide, y + high / 2)
        leader = (label.home.centre, box.nearest(label.home.centre))
        placed.append(Placed(label=label, lines=label.lines, box=box, leader=leader))
        y -= step
    return placed
