"""A piece across a corner, seen from above: what it takes of both walls, to scale."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from roomcheck.job import Job
from roomcheck.report.figures.labels import USUAL_MM, Box, Label, place_labels
from roomcheck.report.figures.paper import Fill, Paper, Pen
from roomcheck.report.shop_figures.dimensions import chain
from roomcheck.words import say, size
from roomcheck.workshop import Part, PieceSheet

_WALL_MM = 2.6
_TITLE_MM = 6.5
_FIRST_MM, _SECOND_MM = 5.0, 11.0
"""From the corner to both lines of dimensions. [mm]"""
_LETTER_MM = 5.0
"""Side of the room for a letter. [mm]"""
_LEFT_MM = 16.0
"""Room for the dimensions of the wall on the left. [mm]"""
_BOARDS = (Part.FRAME_LONG, Part.FRAME_SHORT)

Spot = tuple[float, float]


def stands_in_corner(sheet: PieceSheet) -> bool:
    """Whether the piece is held by strips on two walls."""
    return any(cut.part is Part.WALL_STRIP for cut in sheet.cuts)


def wide_m(sheet: PieceSheet) -> float:
    """Across its face. [m]"""
    return max(solid.at_m[0] + solid.size_m[0] for solid in sheet.solids)


def frame_m(sheet: PieceSheet) -> float:
    """Depth of its frame. [m]"""
    return max(s.at_m[2] + s.size_m[2] for s in sheet.solids if s.part in _BOARDS)


def edge_m(sheet: PieceSheet) -> float:
    """From the corner to where the edge of its back touches a wall. [m]"""
    return wide_m(sheet) / 2**0.5


def reach_m(sheet: PieceSheet) -> float:
    """From the corner to the far edge of its front, along either wall: it stands at 45°. [m]"""
    return (wide_m(sheet) + frame_m(sheet)) / 2**0.5


@dataclass(frozen=True, kw_only=True)
class CornerPlan:
    """The plan in the making; the corner is at the lower left."""

    job: Job
    sheet: PieceSheet
    cleat_m: float
    """Thickness of the strips on the walls. [m]"""
    paper: Paper
    scale: int

    def draw(self, corner_mm: Spot) -> float:
        """Draw it below and to the right of a spot; how far down it came. [mm]"""
        left, top = corner_mm
        reach = 1000 * reach_m(self.sheet) / self.scale
        origin = left + _LEFT_MM, top - _TITLE_MM - reach
        self._walls(origin, reach)
        self._piece(origin)
        self._dimensions(origin)
        self._letters(origin, reach)
        title = say("corner_plan", scale=f"1:{self.scale}")
        self.paper.text((left, top), title, across="left", up="top", bold=True)
        return min(written.box.bottom_mm for written in self.paper.written)

    def _spots(self, origin: Spot, corners_m: Sequence[Spot]) -> list[Spot]:
        x, y = origin
        return [(x + 1000 * a / self.scale, y + 1000 * b / self.scale) for a, b in corners_m]

    def _walls(self, origin: Spot, reach_mm: float) -> None:
        x, y = origin
        end = reach_mm + 2.0
        for box in (
            Box(x - _WALL_MM, y - _WALL_MM, x, y + end),
            Box(x, y - _WALL_MM, x + end, y),
        ):
            self.paper.box(box, pen=Pen.THIN, fill=Fill.HATCHED)
        self.paper.line((x, y + end), (x, y), (x + end, y), pen=Pen.HEAVY)

    def _piece(self, origin: Spot) -> None:
        """The stack behind, the strips, then the frame with its two upright boards."""
        edge, wide, deep = edge_m(self.sheet), wide_m(self.sheet), frame_m(self.sheet)
        thick = min(min(s.size_m) for s in self.sheet.solids if s.part in _BOARDS)
        if self._has(Part.CORE_SQUARE):
            triangle = [(0.0, 0.0), (edge, 0.0), (0.0, edge)]
            self._outline(origin, triangle, Fill.PALE)
        for strip in self._strips(edge):
            self._outline(origin, strip, Fill.GREY)
        self._outline(origin, self._across((0.0, wide), deep), Fill.PALE)
        for ends in ((0.0, thick), (wide - thick, wide)):
            self._outline(origin, self._across(ends, deep), Fill.GREY)

    def _has(self, part: Part) -> bool:
        return any(cut.part is part for cut in self.sheet.cuts)

    def _outline(self, origin: Spot, corners_m: Sequence[Spot], fill: Fill) -> None:
        self.paper.outline(self._spots(origin, corners_m), fill=fill, layer="PIECES")

    def _strips(self, edge: float) -> list[list[Spot]]:
        """Their bevels lie in the plane of the frame's back."""
        wide = min(c.width_m or 0.0 for c in self.sheet.cuts if c.part is Part.WALL_STRIP)
        thick = self.cleat_m
        level = [(edge - wide, 0.0), (edge, 0.0), (edge - thick, thick), (edge - wide, thick)]
        return [level, [(y, x) for x, y in level]]

    def _across(self, ends: Spot, deep: float) -> list[Spot]:
        """A stretch of the frame, from its right edge along its back: corners of the plan. [m]"""
        edge, share = edge_m(self.sheet), 0.5**0.5
        back = [(edge - at * share, at * share) for at in ends]
        front = [(x + deep * share, y + deep * share) for x, y in back]
        return [back[0], back[1], front[1], front[0]]

    def _dimensions(self, origin: Spot) -> None:
        """Along both walls: to the edge of the piece's back, and to the edge of its front."""
        edge, reach = edge_m(self.sheet), reach_m(self.sheet)
        x, y = origin
        for stops_m, off in (((0.0, edge), _FIRST_MM), ((0.0, reach), _SECOND_MM)):
            texts = [size(b - a, self.job) for a, b in pairwise(stops_m)]
            stops = [1000 * stop / self.scale for stop in stops_m]
            chain(self.paper, [x + stop for stop in stops], texts, y - off, side="below")
            chain(self.paper, [y + stop for stop in stops], texts, x - off, side="left")

    def _letters(self, origin: Spot, reach_mm: float) -> None:
        """The strips' letter beside one of them, and the stack's in its middle."""
        edge = edge_m(self.sheet)
        (x, y), *_ = self._spots(origin, self._strips(edge)[0])
        homes = {Part.WALL_STRIP: Box(x - _LETTER_MM, y, x, y + _LETTER_MM)}
        if self._has(Part.CORE_SQUARE):
            (x, y), *_ = self._spots(origin, [(edge / 3, edge / 3)])
            homes[Part.CORE_SQUARE] = Box(x, y, x, y).grown(_LETTER_MM / 2)
        labels = [
            Label(lines=(self._letter(part),), home=home, size_mm=USUAL_MM, bold=True)
            for part, home in homes.items()
        ]
        x, y = origin
        taken = [written.box for written in self.paper.written]
        placed, _ = place_labels(labels, Box(x, y, x + reach_mm, y + reach_mm), taken)
        for each in placed:
            self.paper.label(each)

    def _letter(self, part: Part) -> str:
        pairs = zip(self.sheet.letters, self.sheet.cuts, strict=True)
        return next(letter for letter, cut in pairs if cut.part is part)
