"""A sheet of paper that is drawn on in millimetres: lines, fills and texts, as SVG and as DXF.

Every text is kept with its box, so that a drawing can be asked whether two texts cover each other.
The letters are DejaVu Sans, whose widths `labels` knows.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from html import escape
from itertools import pairwise
from typing import Literal

from roomcheck.job import Units
from roomcheck.report.figures.dxf import DxfDrawing
from roomcheck.report.figures.figures import BAND, INK, QUIET, SOFT
from roomcheck.report.figures.labels import LINE, SMALL_MM, Box, Placed, Spot, lines_size_mm
from roomcheck.signs import visible

_Draw = Callable[[DxfDrawing, float], None]
"""Draws one thing into a file, so many metres a millimetre of paper."""

_PT = 72 / 25.4
"""Points in a millimetre."""


class Pen(StrEnum):
    """How a line is drawn."""

    EDGE = "edge"
    """An outline that is seen."""
    HEAVY = "heavy"
    """The outline of a wall, or of what is cut through."""
    THIN = "thin"
    """Dimensions and leaders."""
    HIDDEN = "hidden"
    """An edge behind something."""
    CENTRE = "centre"
    """Studs, joists, middles."""


class Fill(StrEnum):
    """What stands within an outline."""

    NONE = "none"
    WHITE = "white"
    PALE = "pale"
    GREY = "grey"
    HATCHED = "hatched"
    """Cut through: lines at 45 degrees."""


_PENS = {
    Pen.EDGE: (INK, 0.3, ""),
    Pen.HEAVY: (INK, 0.55, ""),
    Pen.THIN: (QUIET, 0.18, ""),
    Pen.HIDDEN: (QUIET, 0.22, "1.6 0.9"),
    Pen.CENTRE: (QUIET, 0.2, "4 0.9 0.8 0.9"),
}
"""Colour, width and dashes of every pen. [mm]"""
_FILLS = {Fill.NONE: "none", Fill.WHITE: "#ffffff", Fill.PALE: BAND, Fill.GREY: SOFT}
_HATCH_MM = 1.4


@dataclass(frozen=True, slots=True)
class Written:
    """A text that stands on the sheet."""

    text: str
    box: Box


@dataclass
class Paper:
    """A sheet that is being drawn."""

    width_mm: float
    height_mm: float
    written: list[Written] = field(default_factory=list)
    """Every text so far, with its box."""
    _svg: list[str] = field(default_factory=list)
    _dxf: list[_Draw] = field(default_factory=list)

    @property
    def sheet(self) -> Box:
        return Box(0.0, 0.0, self.width_mm, self.height_mm)

    def line(self, *spots: Spot, pen: Pen = Pen.EDGE, layer: str = "OUTLINE") -> None:
        """A run of straight lines. [mm]"""
        points = " ".join(f"{self._x(x)},{self._y(y)}" for x, y in spots)
        self._svg.append(f'<polyline points="{points}" fill="none" {_stroke(pen)}/>')
        ends = list(pairwise(spots))

        def draw(drawing: DxfDrawing, m: float) -> None:
            for a, b in ends:
                drawing.line(layer, _at(a, m), _at(b, m))

        self._dxf.append(draw)

    def outline(
        self,
        spots: Sequence[Spot],
        *,
        pen: Pen = Pen.EDGE,
        fill: Fill = Fill.NONE,
        layer: str = "OUTLINE",
    ) -> None:
        """A closed run of lines with what stands in it. [mm]"""
        points = " ".join(f"{self._x(x)},{self._y(y)}" for x, y in spots)
        inside = _FILLS.get(fill, "#ffffff")
        self._svg.append(f'<polygon points="{points}" fill="{inside}" {_stroke(pen)}/>')
        corners = tuple(spots)
        self._dxf.append(
            lambda drawing, m: drawing.outline(layer, [_at(spot, m) for spot in corners])
        )
        if fill is Fill.HATCHED:
            self._hatch(spots)

    def box(
        self,
        box: Box,
        *,
        pen: Pen = Pen.EDGE,
        fill: Fill = Fill.NONE,
        layer: str = "OUTLINE",
    ) -> None:
        """A rectangle. [mm]"""
        left, right = box.left_mm, box.right_mm
        corners = [
            (left, box.bottom_mm),
            (right, box.bottom_mm),
            (right, box.top_mm),
            (left, box.top_mm),
        ]
        self.outline(corners, pen=pen, fill=fill, layer=layer)

    def dot(
        self,
        centre: Spot,
        radius_mm: float,
        *,
        fill: Fill = Fill.WHITE,
        pen: Pen = Pen.EDGE,
        layer: str = "OUTLINE",
    ) -> None:
        """A circle. [mm]"""
        x, y = self._x(centre[0]), self._y(centre[1])
        inside = _FILLS.get(fill, "#ffffff")
        self._svg.append(
            f'<circle cx="{x}" cy="{y}" r="{radius_mm:g}" fill="{inside}" {_stroke(pen)}/>'
        )
        self._dxf.append(lambda drawing, m: drawing.circle(layer, _at(centre, m), radius_mm * m))

    def text(
        self,
        spot: Spot,
        text: str | Sequence[str],
        *,
        size_mm: float = SMALL_MM,
        across: Literal["left", "middle", "right"] = "middle",
        up: Literal["bottom", "middle", "top"] = "middle",
        turned: bool = False,
        quiet: bool = False,
        bold: bool = False,
        ground: Fill = Fill.NONE,
        layer: str = "TEXT",
    ) -> Box:
        """Lines of text, and their box; `across` and `up` say which part of the box is at the spot.

        A turned text is read from the right: its own left is at the bottom. [mm]
        """
        lines = (text,) if isinstance(text, str) else tuple(text)
        box = _text_box(spot, lines_size_mm(lines, size_mm, bold=bold), (across, up), turned)
        if ground is not Fill.NONE:
            back = _svg_box(self, box.grown(0.3), _FILLS[ground])
            self._svg.append(back)
        colour = QUIET if quiet else INK
        weight = ' font-weight="bold"' if bold else ""
        for i, line in enumerate(lines):
            base = (0.78 + i * LINE) * size_mm
            if turned:
                x, y = box.left_mm + base, box.centre[1]
                turn = f' transform="rotate(-90 {self._x(x)} {self._y(y)})"'
            else:
                x, y = box.centre[0], box.top_mm - base
                turn = ""
            self._svg.append(
                f'<text x="{self._x(x)}" y="{self._y(y)}" font-family="DejaVu Sans" '
                f'font-size="{size_mm:g}" text-anchor="middle" fill="{colour}"{weight}{turn}>'
                f"{escape(visible(line))}</text>"
            )
            corner = (x, box.bottom_mm) if turned else (box.left_mm, y)
            self._dxf.append(_lettering(layer, corner, line, size_mm, turned))
        self.written.append(Written(" ".join(lines), box))
        return box

    def label(self, placed: Placed, *, ground: Fill = Fill.WHITE) -> None:
        """A label at the place that was found for it, with its leader."""
        if placed.leader is not None:
            self.line(*placed.leader, pen=Pen.THIN, layer="TEXT")
            self.dot(placed.leader[0], 0.35, fill=Fill.GREY, pen=Pen.THIN, layer="TEXT")
        size_mm, bold = placed.label.size_mm, placed.label.bold
        self.text(placed.box.centre, placed.lines, size_mm=size_mm, ground=ground, bold=bold)

    def svg(self) -> str:
        """The whole drawing; one unit is a millimetre on paper."""
        wide, high = self.width_mm, self.height_mm
        return (
            '<svg xmlns="http://www.w3.org/2000/svg" '
            f'width="{wide * _PT:.2f}pt" height="{high * _PT:.2f}pt" '
            f'viewBox="0 0 {wide:g} {high:g}">{"".join(self._svg)}</svg>\n'
        )

    def dxf(self, units: Units, scale: float) -> str:
        """The drawing in the size of what it shows: a length on paper times the scale."""
        drawing = DxfDrawing(units)
        for draw in self._dxf:
            draw(drawing, scale / 1000)
        return drawing.dxf()

    def _x(self, x_mm: float) -> str:
        return f"{x_mm:.3f}".rstrip("0").rstrip(".")

    def _y(self, y_mm: float) -> str:
        return self._x(self.height_mm - y_mm)

    def _hatch(self, spots: Sequence[Spot]) -> None:
        """Lines at 45 degrees within the box round an outline of four corners."""
        xs, ys = [x for x, _ in spots], [y for _, y in spots]
        left, right, low, high = min(xs), max(xs), min(ys), max(ys)
        start = left - (high - low)
        while start < right:
            a = max(start, left)
            b = min(start + (high - low), right)
            if b > a:
                ends = (a, low + a - start), (b, low + b - start)
                points = " ".join(f"{self._x(x)},{self._y(y)}" for x, y in ends)
                self._svg.append(f'<polyline points="{points}" fill="none" {_stroke(Pen.THIN)}/>')
            start += _HATCH_MM


def _at(spot: Spot, m: float) -> Spot:
    """A place on paper as one of what is drawn: a millimetre is so many metres. [m]"""
    return spot[0] * m, spot[1] * m


def _lettering(layer: str, corner: Spot, line: str, size_mm: float, turned: bool) -> _Draw:
    """One line of text in a drawing file: capitals are 0.73 of the size of letters."""
    angle = 90.0 if turned else 0.0
    return lambda drawing, m: drawing.text(layer, _at(corner, m), line, 0.73 * size_mm * m, angle)


def _stroke(pen: Pen) -> str:
    colour, wide, dashes = _PENS[pen]
    dashed = f' stroke-dasharray="{dashes}"' if dashes else ""
    return f'stroke="{colour}" stroke-width="{wide:g}"{dashed}'


def _svg_box(paper: Paper, box: Box, colour: str) -> str:
    x, y = paper._x(box.left_mm), paper._y(box.top_mm)
    return (
        f'<rect x="{x}" y="{y}" width="{box.width_mm:.3f}" height="{box.height_mm:.3f}" '
        f'fill="{colour}"/>'
    )


def _text_box(spot: Spot, size: Spot, part: tuple[str, str], turned: bool) -> Box:
    """Box of a text of a size whose named part stands at a spot. [mm]"""
    wide, high = size[::-1] if turned else size
    shares = {"left": 0.0, "bottom": 0.0, "middle": 0.5, "right": 1.0, "top": 1.0}
    left = spot[0] - shares[part[0]] * wide
    bottom = spot[1] - shares[part[1]] * high
    return Box(left, bottom, left + wide, bottom + high)


def overlapping(written: Sequence[Written]) -> list[tuple[str, str]]:
    """Texts that cover each other, by pairs; of a good drawing none."""
    pairs = []
    for i, one in enumerate(written):
        for other in written[i + 1 :]:
            if one.box.covers(other.box):
                pairs.append((one.text, other.text))
    return pairs
