"""A piece drawn to scale from its parts in space: front, back, side, and sections enlarged."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Literal

from roomcheck.job import Job, ShopPractice
from roomcheck.report.figures.labels import (
    SMALL_MM,
    USUAL_MM,
    Box,
    Label,
    lines_size_mm,
    place_labels,
)
from roomcheck.report.figures.paper import Fill, Paper, Pen
from roomcheck.report.shop_figures.corner_plan import CornerPlan, reach_m, stands_in_corner
from roomcheck.report.shop_figures.dimensions import chain, chain_mm
from roomcheck.words import say, size
from roomcheck.workshop import Part, PieceSheet, Solid

SCALES = {
    "imperial": (1, 2, 4, 6, 8, 12, 16, 24, 32, 48, 64, 96),
    "metric": (1, 2, 5, 10, 15, 20, 25, 50, 75, 100),
}
"""Usual scales of shop drawings, 1 to so many."""
WIDE_MM = 165.0
"""What a drawing may be wide. [mm]"""
TALL_MM = 190.0
"""What a drawing may be tall, so that its page holds it. [mm]"""
_ROWS_MM = ((108.0, 84.0), (90.0, 76.0), (78.0, 62.0), (64.0, 52.0), (50.0, 42.0), (40.0, 34.0))
"""How tall the row of views and the row of sections may be, without their dimensions: the first
pair that leaves the drawing on its page. [mm]"""
_APART_MM = 7.0
_TITLE_MM = 6.5
_SAME_M = 2e-4
_SOFT = frozenset({Part.CORE, Part.FILL, Part.CORE_SQUARE, Part.FELT_TILE})
_MOST_STOPS = 14
"""A chain of more stops is not read: its ends stand alone."""
_DEEP_MM = 40.0
"""How wide a section up the piece may be. [mm]"""
_LEAST_PLAN_MM = 45.0
"""How tall a corner's plan is at the least. [mm]"""
_BREAK_MM = 4.0
"""Left open where a long section is broken. [mm]"""
_BEFORE_M, _AFTER_M = 0.2, 0.11
"""What a broken section shows of its first and its last end, at the most. [m]"""


@dataclass(frozen=True, slots=True)
class _Flat:
    """A solid as a view sees it: a rectangle, and how near it is to the one who looks."""

    solid: Solid
    low: tuple[float, float]
    high: tuple[float, float]
    near: float


Seen = Callable[[Solid], _Flat]


@dataclass(frozen=True, slots=True)
class _Window:
    """A stretch of a view, and where its lower left corner stands on paper."""

    low: tuple[float, float]
    """[m]"""
    high: tuple[float, float]
    """[m]"""
    at_mm: tuple[float, float]
    scale: float

    def x(self, a_m: float) -> float:
        return self.at_mm[0] + 1000 * (a_m - self.low[0]) / self.scale

    def y(self, b_m: float) -> float:
        return self.at_mm[1] + 1000 * (b_m - self.low[1]) / self.scale

    def box(self, low: tuple[float, float], high: tuple[float, float]) -> Box | None:
        """A rectangle's part within the window; None where nothing of it is. [m] to [mm]"""
        left, bottom = max(low[0], self.low[0]), max(low[1], self.low[1])
        right, top = min(high[0], self.high[0]), min(high[1], self.high[1])
        if right - left < 1e-7 or top - bottom < 1e-7:
            return None
        return Box(self.x(left), self.y(bottom), self.x(right), self.y(top))

    @property
    def whole(self) -> Box:
        return Box(
            self.x(self.low[0]), self.y(self.low[1]), self.x(self.high[0]), self.y(self.high[1])
        )


def _from_front(solid: Solid) -> _Flat:
    (x, y, z), (dx, dy, dz) = solid.at_m, solid.size_m
    return _Flat(solid, (x, y), (x + dx, y + dy), z + dz)


def _from_back(wide_m: float) -> Seen:
    def seen(solid: Solid) -> _Flat:
        (x, y, z), (dx, dy, _) = solid.at_m, solid.size_m
        return _Flat(solid, (wide_m - x - dx, y), (wide_m - x, y + dy), -z)

    return seen


def _from_right(solid: Solid) -> _Flat:
    (x, y, z), (dx, dy, dz) = solid.at_m, solid.size_m
    return _Flat(solid, (z, y), (z + dz, y + dy), x + dx)


def _from_left(solid: Solid) -> _Flat:
    """As a section up the piece shows it: the wall to the left, what is beyond to the right."""
    flat = _from_right(solid)
    return _Flat(solid, flat.low, flat.high, -solid.at_m[0])


def _from_above(solid: Solid) -> _Flat:
    """As a section across the piece shows it, looked down on: the wall is at the bottom."""
    (x, y, z), (dx, dy, dz) = solid.at_m, solid.size_m
    return _Flat(solid, (x, z), (x + dx, z + dz), y + dy)


@dataclass
class _PieceDrawing:
    """A piece's drawing in the making."""

    job: Job
    sheet: PieceSheet
    practice: ShopPractice
    paper: Paper
    rows_mm: tuple[float, float]

    @property
    def wide_m(self) -> float:
        return max(s.at_m[0] + s.size_m[0] for s in self.sheet.solids)

    @property
    def high_m(self) -> float:
        return max(s.at_m[1] + s.size_m[1] for s in self.sheet.solids)

    @property
    def back_m(self) -> float:
        return min(s.at_m[2] for s in self.sheet.solids)

    @property
    def front_m(self) -> float:
        return max(s.at_m[2] + s.size_m[2] for s in self.sheet.solids)

    def length(self, length_m: float) -> str:
        return size(length_m, self.job)


def piece_drawing(job: Job, sheet: PieceSheet) -> tuple[Paper, int] | None:
    """Front, back and side of one piece at one scale, its sections enlarged below.

    Parameters
    ----------
    job : Job
        Its units, and how the shop works.
    sheet : PieceSheet
        The piece is drawn upright, as the shop's file has it.

    Returns
    -------
    (Paper, int) or None
        The drawing and the scale of its views; None for a piece without parts in space.
    """
    if not sheet.solids:
        return None
    # Measured first on a paper without end, then drawn on one that is as tall as it must be.
    for rows_mm in _ROWS_MM:
        draft = _PieceDrawing(job, sheet, job.shop.practice, Paper(WIDE_MM, 1000.0), rows_mm)
        tall_mm = 1002.0 - _draw(draft)[1]
        if tall_mm <= TALL_MM:
            break
    final = _PieceDrawing(job, sheet, job.shop.practice, Paper(WIDE_MM, tall_mm), rows_mm)
    return final.paper, _draw(final)[0]


def _draw(drawing: _PieceDrawing) -> tuple[int, float]:
    """Draw from the top of the paper down; the views' scale and how far down it came. [mm]"""
    top = drawing.paper.height_mm
    scale, below = _views(drawing, top)
    below = _sections(drawing, below - 2.0)
    return scale, below


def _scale_for(job: Job, need_m: Sequence[tuple[float, float]]) -> int:
    """The largest usual scale at which lengths fit their rooms: 1 to so many. ([m], [mm])"""
    scales = SCALES[job.units]
    return next(
        (n for n in scales if all(1000 * length / n <= room for length, room in need_m)),
        scales[-1],
    )


def _views(drawing: _PieceDrawing, top_mm: float) -> tuple[int, float]:
    """Front, back, and side from the right, in one row."""
    wide, high = drawing.wide_m, drawing.high_m
    deep = drawing.front_m - drawing.back_m
    texts = [drawing.length(high), *_texts(drawing, [0.0, wide])]
    left = chain_mm(texts)
    room = WIDE_MM - left - 2 * _APART_MM - 20.0
    scale = _scale_for(drawing.job, [(2 * wide + deep, room), (high, drawing.rows_mm[0])])
    base = top_mm - _TITLE_MM - 1000 * high / scale
    x = left
    front = "view_bare" if _has_cloth(drawing) else "view_front"
    views: list[tuple[str, Seen, tuple[float, float], tuple[float, float]]] = [
        (front, _from_front, (0.0, 0.0), (wide, high)),
        ("view_back", _from_back(wide), (0.0, 0.0), (wide, high)),
        ("view_side", _from_right, (drawing.back_m, 0.0), (drawing.front_m, high)),
    ]
    lowest = base
    for name, seen, low, far in views:
        window = _Window(low, far, (x, base), scale)
        _title(drawing, name, window)
        if name == front:
            _orientation(drawing, window)
            _cuts_marked(drawing, window)
        _view(drawing, seen, window)
        stops = _stops([low[0], far[0]])
        chain(
            drawing.paper,
            [window.x(stop) for stop in stops],
            _texts(drawing, stops),
            base - 3.0,
            side="below",
        )
        x = window.whole.right_mm + _APART_MM
        if name == "view_back":
            x += 3.0
    levels = [0.0, high]
    window = _Window((0.0, 0.0), (wide, high), (left, base), scale)
    chain(
        drawing.paper,
        [window.y(level) for level in levels],
        _texts(drawing, levels),
        left - 3.0,
        side="left",
    )
    lowest = min(box.box.bottom_mm for box in drawing.paper.written)
    return scale, lowest


def _title(drawing: _PieceDrawing, name: str, window: _Window) -> None:
    box = window.whole
    drawing.paper.text(
        (box.centre[0], box.top_mm + 3.4), say(name), size_mm=SMALL_MM, up="bottom", bold=True
    )


def _orientation(drawing: _PieceDrawing, window: _Window) -> None:
    """An arrow up, for what has a top; rows are counted from it."""
    if not drawing.sheet.row_map:
        return
    rows, box = len(drawing.sheet.row_map), window.whole
    for row in (1, rows):
        y = box.top_mm - (row - 0.5) * box.height_mm / rows - (3.0 if row == 1 else 0.0)
        drawing.paper.text(
            (box.right_mm + 0.8, y), say("row_short", row=row), across="left", size_mm=1.8
        )


def _has_cloth(drawing: _PieceDrawing) -> bool:
    return any(cut.part is Part.FABRIC for cut in drawing.sheet.cuts)


def _cuts_marked(drawing: _PieceDrawing, window: _Window) -> None:
    """Where the sections are laid: a stroke and the section's number at both ends."""
    paper, box = drawing.paper, window.whole
    x, y = window.x(_cut_at(drawing, 0)), window.y(_cut_at(drawing, 1))
    for end, away in ((box.bottom_mm, -1), (box.top_mm, 1)):
        paper.line((x, end + 0.4 * away), (x, end + 2.4 * away), pen=Pen.HEAVY)
        part: Literal["top", "bottom"] = "top" if away < 0 else "bottom"
        paper.text((x + 1.4, end + 0.4 * away), "1", up=part, size_mm=1.9, bold=True)
    for end, away in ((box.left_mm, -1), (box.right_mm, 1)):
        paper.line((end + 0.4 * away, y), (end + 2.4 * away, y), pen=Pen.HEAVY)
        side: Literal["left", "right"] = "right" if away < 0 else "left"
        spot = end + 0.4 * away, y + 1.6
        paper.text(spot, "2", across=side, size_mm=1.9, bold=True)


def _view(drawing: _PieceDrawing, seen: Seen, window: _Window) -> None:
    """Solids from the far to the near, and the letters of the parts that stay in sight."""
    flats = sorted((seen(solid) for solid in drawing.sheet.solids), key=lambda flat: flat.near)
    tallest = max((flat.near for flat in flats), default=0.0)
    for flat in flats:
        box = window.box(flat.low, flat.high)
        if box is not None:
            drawing.paper.box(box, fill=_looks(flat, tallest), layer="PIECES")
    in_sight = [flat for flat in _in_sight(flats) if flat.solid.part is not Part.BLOCK]
    relief = bool(drawing.sheet.row_map) and tallest > 0
    _letters(drawing, [f for f in in_sight if not (relief and f.near < tallest)], window)


def _looks(flat: _Flat, tallest: float) -> Fill:
    """Core pale; blocks the darker the higher they stand."""
    if flat.solid.part in _SOFT:
        return Fill.PALE
    if flat.solid.part is Part.BLOCK and flat.near >= 0:
        return Fill.GREY if flat.near > 0.6 * tallest else Fill.PALE
    return Fill.WHITE


def _in_sight(flats: Sequence[_Flat]) -> list[_Flat]:
    """What nothing nearer covers wholly or by more than half."""
    seen = []
    for i, flat in enumerate(flats):
        area = _area(flat.low, flat.high)
        hidden = max((_shared(flat, other) for other in flats[i + 1 :]), default=0.0)
        if hidden < 0.5 * area:
            seen.append(flat)
    return seen


def _area(low: tuple[float, float], high: tuple[float, float]) -> float:
    return max(high[0] - low[0], 0.0) * max(high[1] - low[1], 0.0)


def _shared(one: _Flat, other: _Flat) -> float:
    low = max(one.low[0], other.low[0]), max(one.low[1], other.low[1])
    high = min(one.high[0], other.high[0]), min(one.high[1], other.high[1])
    return _area(low, high)


def _letters(
    drawing: _PieceDrawing,
    flats: Sequence[_Flat],
    window: _Window,
    more: Sequence[tuple[str, Box]] = (),
) -> None:
    """Each part's letter once a view, on the largest of its kind that is in sight, and `more`."""
    largest: dict[str, tuple[float, Box]] = {letter: (0.0, box) for letter, box in more}
    for flat in flats:
        letter, box = drawing.sheet.letter_of(flat.solid), window.box(flat.low, flat.high)
        if not letter or box is None:
            continue
        area = box.width_mm * box.height_mm
        if letter not in largest or area > largest[letter][0] + 1e-6:
            largest[letter] = (area, box)
    labels = [
        Label(lines=(letter,), home=box, size_mm=USUAL_MM, bold=True)
        for letter, (_, box) in largest.items()
    ]
    taken = [written.box for written in drawing.paper.written]
    near = window.whole.grown(_APART_MM)
    placed, _ = place_labels(labels, near, taken)
    for each in placed:
        drawing.paper.label(each)


def _sections(drawing: _PieceDrawing, top_mm: float) -> float:
    """A section up the piece, broken in its middle, and one across it; how far down they came."""
    wide, high = drawing.wide_m, drawing.high_m
    deep = drawing.front_m - drawing.back_m
    relief = bool(drawing.sheet.row_map or drawing.sheet.depths_m)
    up = _parts_of(high, from_end=True, hook_m=_hook_m(drawing.practice))
    across = [(0.0, wide)] if relief else _parts_of(wide)
    shown_up = sum(b - a for a, b in up)
    shown_across = sum(b - a for a, b in across)
    left = 16.0
    need = [(shown_up, drawing.rows_mm[1] - _BREAK_MM * (len(up) - 1)), (deep, _DEEP_MM)]
    scale = _scale_for(drawing.job, need)
    low = _section_up(drawing, up, scale, (left + 6.0, top_mm))
    beside = left + 6.0 + 1000 * deep / scale + 2 * left + 6.0
    room = WIDE_MM - beside - left - _BREAK_MM * (len(across) - 1)
    scale = max(scale, _scale_for(drawing.job, [(shown_across, room)]))
    before = len(drawing.paper.written)
    low = min(low, _section_across(drawing, across, scale, (beside, top_mm)))
    if not stands_in_corner(drawing.sheet):
        return low
    low_across = min(written.box.bottom_mm for written in drawing.paper.written[before:])
    room_mm = max(drawing.rows_mm[1] - (top_mm - low_across), _LEAST_PLAN_MM)
    plan = CornerPlan(
        job=drawing.job,
        sheet=drawing.sheet,
        cleat_m=drawing.practice.cleat_m,
        paper=drawing.paper,
        scale=_scale_for(drawing.job, [(reach_m(drawing.sheet), room_mm)]),
    )
    return min(low, plan.draw((beside, low_across - 5.0)))


def _hook_m(practice: ShopPractice) -> float:
    """From a piece's top to the bottom line of its wall cleat. [m]"""
    return practice.board_m + 2 * practice.cleat_width_m - practice.cleat_m


def _parts_of(
    long_m: float, *, from_end: bool = False, hook_m: float = 0.0
) -> list[tuple[float, float]]:
    """The stretches of a length that a broken section shows: its two ends, or all of it. [m]"""
    first, last = _AFTER_M, _AFTER_M
    if from_end:
        last = max(_BEFORE_M, hook_m + 0.02)
    if first + last > 0.8 * long_m:
        return [(0.0, long_m)]
    return [(0.0, first), (long_m - last, long_m)]


def _cut_at(drawing: _PieceDrawing, axis: int) -> float:
    """Where a section is laid: off the middle, where joints and rails would hide the rest. [m]"""
    whole = (drawing.wide_m, drawing.high_m)[axis]
    blocks = [s for s in drawing.sheet.solids if s.part is Part.BLOCK]
    ribs = [s for s in drawing.sheet.solids if s.part is Part.RIB]
    if blocks and axis == 1:
        return _middle_m(max(blocks, key=lambda s: s.at_m[1]), 1)
    if ribs and axis == 1:
        return _middle_m(min(ribs, key=lambda s: abs(_middle_m(s, 1) - whole / 2)), 1)
    return 0.42 * whole


def _middle_m(solid: Solid, axis: int) -> float:
    return solid.at_m[axis] + solid.size_m[axis] / 2


def _section_up(
    drawing: _PieceDrawing,
    parts: Sequence[tuple[float, float]],
    scale: int,
    corner_mm: tuple[float, float],
) -> float:
    """Section A: cut from top to bottom, the wall at its left, with the cleat on the wall."""
    paper, (left, top) = drawing.paper, corner_mm
    cut = _cut_at(drawing, 0)
    z0, z1 = drawing.back_m, drawing.front_m
    stack = _levels(drawing, 2, cut_axis=0, cut=cut)
    y = top - _TITLE_MM - chain_mm(_texts(drawing, stack))
    head = y
    windows = []
    for low, far in reversed(parts):
        y -= 1000 * (far - low) / scale
        windows.append(_Window((z0, low), (z1, far), (left, y), scale))
        y -= _BREAK_MM
    for window in windows:
        _wall(drawing, window)
        _cut_through(drawing, _from_left, window, 0, cut)
        levels = [
            level
            for level in _levels(drawing, 1, cut_axis=0, cut=cut)
            if window.low[1] - 1e-6 <= level <= window.high[1] + 1e-6
        ]
        edges = _few(levels)
        chain(
            paper,
            [window.y(level) for level in edges],
            _texts(drawing, edges),
            window.whole.right_mm + 3.0,
            side="right",
        )
    chain(
        paper,
        [windows[0].x(level) for level in stack],
        _texts(drawing, stack),
        head + 2.5,
        side="above",
    )
    _hook(drawing, windows[0])
    title = say("section_up", scale=f"1:{scale}")
    _section_title(drawing, title, ((left + windows[0].whole.right_mm) / 2, top))
    return min(written.box.bottom_mm for written in paper.written)


def _hook(drawing: _PieceDrawing, window: _Window) -> None:
    """From the piece's top to the line of its wall cleat."""
    bottom = drawing.high_m - _hook_m(drawing.practice)
    if not _on_the_wall(drawing) or bottom < window.low[1]:
        return
    stops = [bottom, drawing.high_m]
    line_mm = window.whole.left_mm - 5.0
    chain(
        drawing.paper,
        [window.y(stop) for stop in stops],
        _texts(drawing, stops),
        line_mm,
        side="left",
    )


def _section_title(drawing: _PieceDrawing, title: str, spot: tuple[float, float]) -> None:
    half = lines_size_mm([title], SMALL_MM, bold=True)[0] / 2
    x = min(max(spot[0], half + 0.5), WIDE_MM - half - 0.5)
    drawing.paper.text((x, spot[1]), title, up="top", bold=True)


def _section_across(
    drawing: _PieceDrawing,
    parts: Sequence[tuple[float, float]],
    scale: int,
    corner_mm: tuple[float, float],
) -> float:
    """Section B: cut from left to right, looked down on, the wall along its bottom."""
    paper, (x, top) = drawing.paper, corner_mm
    cut = _cut_at(drawing, 1)
    z0, z1 = drawing.back_m, drawing.front_m
    base = top - _TITLE_MM - 1.0 - 1000 * (z1 - z0) / scale
    windows = []
    for low, far in parts:
        windows.append(_Window((low, z0), (far, z1), (x, base), scale))
        x = windows[-1].whole.right_mm + _BREAK_MM
    for window in windows:
        _cut_through(drawing, _from_above, window, 1, cut)
        levels = [
            level
            for level in _levels(drawing, 0, cut_axis=1, cut=cut)
            if window.low[0] - 1e-6 <= level <= window.high[0] + 1e-6
        ]
        edges = _few(levels)
        chain(
            paper,
            [window.x(level) for level in edges],
            _texts(drawing, edges),
            base - 3.0,
            side="below",
        )
    last = windows[-1]
    stack = [z0, z1]
    chain(
        paper,
        [last.y(level) for level in stack],
        _texts(drawing, stack),
        last.whole.right_mm + 3.0,
        side="right",
    )
    middle = (windows[0].whole.left_mm + last.whole.right_mm) / 2
    _section_title(drawing, say("section_across", scale=f"1:{scale}"), (middle, top))
    return min(written.box.bottom_mm for written in paper.written)


def _wall(drawing: _PieceDrawing, window: _Window) -> None:
    """The wall's face at the left of a section, and the cleat on it, which is not part of the
    piece."""
    box = window.whole
    back = Box(box.left_mm - 2.6, box.bottom_mm, box.left_mm, box.top_mm)
    cleats = [s for s in drawing.sheet.solids if s.part is Part.PIECE_CLEAT]
    if not cleats:
        return
    drawing.paper.box(back, pen=Pen.THIN, fill=Fill.HATCHED)
    drawing.paper.line((box.left_mm, box.bottom_mm), (box.left_mm, box.top_mm), pen=Pen.HEAVY)


def _wall_cleat(drawing: _PieceDrawing, window: _Window) -> None:
    """The cleat on the wall, which the piece's own hooks over: level below, bevelled above."""
    cleats = [s for s in drawing.sheet.solids if s.part is Part.PIECE_CLEAT]
    if not cleats:
        return
    practice, thick = drawing.practice, drawing.practice.cleat_m
    z = cleats[0].at_m[2]
    bottom = drawing.high_m - _hook_m(practice)
    top = bottom + practice.cleat_width_m
    corners = ((z, bottom), (z + thick, bottom), (z + thick, top), (z, top - thick))
    if bottom < window.low[1]:
        return
    spots = [(window.x(a), window.y(b)) for a, b in corners]
    drawing.paper.outline(spots, pen=Pen.HIDDEN, fill=Fill.WHITE, layer="FRAMING")


def _cut_through(
    drawing: _PieceDrawing, seen: Seen, window: _Window, axis: int, cut_m: float
) -> None:
    """What stands beyond the cut as outlines, what is cut hatched, then letters."""
    solids = drawing.sheet.solids
    paper = drawing.paper
    whole = [s for s in solids if s.at_m[axis] < cut_m - 1e-7 < s.at_m[axis] + s.size_m[axis]]
    beyond = [s for s in solids if _is_beyond(s, axis, cut_m)]
    for flat in sorted((seen(solid) for solid in beyond), key=lambda flat: flat.near):
        box = window.box(flat.low, flat.high)
        if box is not None:
            paper.box(box, pen=Pen.THIN, fill=Fill.WHITE, layer="PIECES")
    if axis == 0:
        _wall_cleat(drawing, window)
    for flat in (seen(solid) for solid in whole):
        box = window.box(flat.low, flat.high)
        if box is None:
            continue
        fill = Fill.PALE if flat.solid.part in _SOFT else Fill.HATCHED
        corners = _bevelled(drawing, flat, window) if axis == 0 else None
        if corners is not None:
            paper.outline(corners, pen=Pen.HEAVY, fill=Fill.GREY, layer="PIECES")
        else:
            paper.box(box, pen=Pen.HEAVY, fill=fill, layer="PIECES")
    more = _cloth(drawing, window, axis)
    if axis == 0:
        more += _wall_cleats_letter(drawing, window)
    _letters(drawing, [seen(solid) for solid in whole], window, more)


def _is_beyond(solid: Solid, axis: int, cut_m: float) -> bool:
    """Up the piece one looks to the right; across it, down."""
    if axis == 0:
        return solid.at_m[0] >= cut_m - 1e-7
    return solid.at_m[1] + solid.size_m[1] <= cut_m + 1e-7


def _bevelled(
    drawing: _PieceDrawing, flat: _Flat, window: _Window
) -> list[tuple[float, float]] | None:
    """The corners of a piece's cleat: its lower edge slopes, its point to the wall."""
    if flat.solid.part is not Part.PIECE_CLEAT or flat.low[1] < window.low[1]:
        return None
    (z0, y0), (z1, y1) = flat.low, flat.high
    slope = z1 - z0
    corners = ((z0, y0), (z1, y0 + slope), (z1, y1), (z0, y1))
    return [(window.x(a), window.y(b)) for a, b in corners]


def _wall_cleats_letter(drawing: _PieceDrawing, window: _Window) -> list[tuple[str, Box]]:
    bottom = drawing.high_m - _hook_m(drawing.practice)
    cleats = [s for s in drawing.sheet.solids if s.part is Part.PIECE_CLEAT]
    letters = _on_the_wall(drawing)
    if bottom < window.low[1] or not cleats or not letters:
        return []
    z, thick = cleats[0].at_m[2], drawing.practice.cleat_m
    box = window.box((z, bottom), (z + thick, bottom + drawing.practice.cleat_width_m - thick))
    return [] if box is None else [(letters[0], box)]


def _on_the_wall(drawing: _PieceDrawing) -> list[str]:
    """Letters of the wall cleats, and of the rails in their place."""
    cleats = _letters_of(drawing, Part.WALL_CLEAT)
    return [*cleats, *_letters_of(drawing, Part.WALL_RAIL)]


def _letters_of(drawing: _PieceDrawing, part: Part) -> list[str]:
    sheet = drawing.sheet
    return [name for name, cut in zip(sheet.letters, sheet.cuts, strict=True) if cut.part is part]


def _cloth(drawing: _PieceDrawing, window: _Window, axis: int) -> list[tuple[str, Box]]:
    """Face cloth round the front and the sides, drawn a hair off the frame; its letter."""
    if not _has_cloth(drawing):
        return []
    off = 0.7
    box, paper = window.whole, drawing.paper
    long_m = drawing.high_m if axis == 0 else drawing.wide_m
    along = 1 if axis == 0 else 0
    at_low = window.low[along] < 1e-6
    at_high = window.high[along] > long_m - 1e-6
    frame = [s for s in drawing.sheet.solids if s.part in (Part.FRAME_LONG, Part.FRAME_SHORT)]
    back = min(s.at_m[2] for s in frame)
    if axis == 0:
        front, wall = box.right_mm + off, window.x(back)
        spots = [(front, box.bottom_mm - off * at_low), (front, box.top_mm + off * at_high)]
        if at_low:
            spots.insert(0, (wall, box.bottom_mm - off))
        if at_high:
            spots.append((wall, box.top_mm + off))
    else:
        front, wall = box.top_mm + off, window.y(back)
        spots = [(box.left_mm - off * at_low, front), (box.right_mm + off * at_high, front)]
        if at_low:
            spots.insert(0, (box.left_mm - off, wall))
        if at_high:
            spots.append((box.right_mm + off, wall))
    paper.line(*spots, pen=Pen.EDGE, layer="PIECES")
    if axis == 0 and not at_low:
        y = box.centre[1]
        return [(_letters_of(drawing, Part.FABRIC)[0], Box(front, y, front, y))]
    return []


def _levels(drawing: _PieceDrawing, axis: int, *, cut_axis: int, cut: float) -> list[float]:
    """Where cut parts begin and end along an axis. [m]"""
    levels = []
    left_out = () if axis == 2 else (*_SOFT, Part.BLOCK)
    for solid in drawing.sheet.solids:
        if solid.part in left_out:
            continue
        start, stop = solid.at_m[axis], solid.at_m[axis] + solid.size_m[axis]
        first = solid.at_m[cut_axis]
        if first < cut - 1e-7 < first + solid.size_m[cut_axis]:
            levels += [start, stop]
    return _stops(levels)


def _stops(levels_m: Sequence[float]) -> list[float]:
    """Levels that differ, the lowest first. [m]"""
    distinct: list[float] = []
    for level in sorted(levels_m):
        if not distinct or level - distinct[-1] > _SAME_M:
            distinct.append(level)
    return distinct


def _few(levels_m: Sequence[float]) -> list[float]:
    """The levels, or the ends alone where there are too many to read. [m]"""
    return list(levels_m) if len(levels_m) <= _MOST_STOPS else [levels_m[0], levels_m[-1]]


def _texts(drawing: _PieceDrawing, stops_m: Sequence[float]) -> list[str]:
    return [drawing.length(b - a) for a, b in pairwise(stops_m)]
