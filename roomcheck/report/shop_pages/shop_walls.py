"""The installer's pages: one a wall, with marks, cleats, screws, rows and what must not be hung."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import ceil

from roomcheck.facts import Fact, fact
from roomcheck.geometry import Face, Rectangle
from roomcheck.job import Job, Placement
from roomcheck.recommend import Plan
from roomcheck.report.figures.drawings import SHEET_M
from roomcheck.report.pages.parts import elevation, room_view
from roomcheck.report.render.blocks import (
    Align,
    Block,
    Boxes,
    CautionBox,
    Heading,
    NewPage,
    Table,
    Text,
)
from roomcheck.words import NONE, Reader, by, length, row_of_pieces, say, sentence, sentences, size
from roomcheck.workshop import BuildSheet, HangingCaution, HangingLine, HangingRow

_PAGE_MM = {"letter": 279.4, "a4": 297.0}
_FRAME_MM = 33.0 + 21.0 + 9.0 + 28.0 + 16.0
"""Head and foot of the page, heading, the drawing's dimensions, its caption and space. [mm]"""
_ROW_MM = 5.5
_VIEW_PT = 290.0
"""Height of the picture of the room. [pt]"""
_SMALLEST_M = 0.050
"""A drawing that would be less tall takes its cautions beside it. [m]"""
_BESIDE_M = 0.076
"""Width of a drawing with cautions beside it. [m]"""
_LEAST_M = 0.045
"""No drawing is less tall: smaller is not read at arm's length, so the page spills. [m]"""
_IN_TABLES = (HangingCaution.DEFER, HangingCaution.LITTLE_PLAY, HangingCaution.MOVED)
"""Cautions that stand last, or in a column of the tables."""
_SMALL, _WIDE, _CELL = 125, 105, 36
"""Letters on a line of small text and of a caution; letters after which a cell of a table
breaks."""


def wall_pages(job: Job, plan: Plan, sheet: BuildSheet) -> tuple[Block, ...]:
    """The room with its pieces, order of work, and every face that carries a piece."""
    if not sheet.hanging:
        return ()
    placed = _as_they_hang(plan, sheet)
    pages: list[Block] = [
        NewPage(),
        Heading(text=say("hang")),
        room_view(job, plan.pieces, sheet.hanging, height_pt=_VIEW_PT),
        Heading(text=say("order"), level=2),
        Boxes(items=sentences(sheet.order, Reader(units=job.units))),
        Text(body=say("ratio_says"), lead=say("ratio_title"), small=True),
    ]
    for face in job.room.faces:
        lines = [line for line in sheet.hanging if line.face == face.name]
        pieces = [piece for piece in placed if piece.face == face.name]
        rows = tuple(row for row in sheet.rows if row.face == face.name)
        if lines:
            pages += _page(job, face, pieces, lines, rows)
    return tuple(pages)


def _page(
    job: Job,
    face: Face,
    pieces: Sequence[Placement],
    lines: Sequence[HangingLine],
    rows: Sequence[HangingRow],
) -> list[Block]:
    """One face: as large a drawing as leaves room for all that is said under it."""
    reader = Reader(units=job.units)
    under = refusals(lines, reader)
    if face.kind == "wall":
        under += [*_marks(job, lines), *_cleats(job, lines)]
    else:
        under += _overhead(job, lines)
    for row in rows:
        under.append(Text(body=row_of_pieces(row, reader), lead=say("rows_title"), small=True))
    cautions = _cautions(lines, reader)
    left = _PAGE_MM[job.paper] - _FRAME_MM - sum(_tall_mm(block) for block in under)
    tall = (left - _tall_mm(cautions)) / 1000
    head = (NewPage(), Heading(text=face.name.capitalize(), level=2))
    if tall >= _SMALLEST_M:
        room = SHEET_M[0], min(tall, SHEET_M[1])
        drawn = elevation(job, face.name, pieces, framing=True, room_m=room)
        return [*head, drawn, *under, cautions]
    room = _BESIDE_M, min(max(left / 1000, _LEAST_M), SHEET_M[1])
    drawn = elevation(job, face.name, pieces, framing=True, room_m=room)
    return [*head, replace(drawn, beside=cautions), *under]


def _tall_mm(block: Block) -> float:
    """About how much of the page's height a block takes. [mm]"""
    match block:
        case Heading():
            return 8.0
        case Text():
            return 3.0 + 4.2 * ceil(len(block.lead + block.body) / _SMALL)
        case Table():
            return 6.0 + sum(_ROW_MM + 4.2 * (max(map(len, row)) // _CELL) for row in block.rows)
        case CautionBox():
            return 17.0 + sum(4.6 * ceil(len(item) / _WIDE) for item in block.items)
        case _:
            return 0.0


def _as_they_hang(plan: Plan, sheet: BuildSheet) -> tuple[Placement, ...]:
    """Pieces at their true size and place, frames counted, as the tables have them."""
    places = {}
    for line in sheet.hanging:
        bottom_m = line.top_m - line.height_m
        places[line.name] = Rectangle(line.left_m, bottom_m, line.width_m, line.height_m)
    return tuple(replace(piece, place=places.get(piece.name, piece.place)) for piece in plan.pieces)


def refusals(lines: Sequence[HangingLine], reader: Reader) -> list[Block]:
    """What must not be hung as drawn, and why."""
    refused = [line for line in lines if line.refused]
    if not refused:
        return []
    items = tuple(f"{line.name}: {' '.join(sentences(line.refused, reader))}" for line in refused)
    return [CautionBox(title=say("refused"), items=items)]


def _marks(job: Job, lines: Sequence[HangingLine]) -> list[Block]:
    heads = (
        "head_done",
        "head_piece",
        "head_item",
        "head_size",
        "head_left_edge",
        "head_right_edge",
        "head_top",
        "head_off_centre",
    )
    rows = []
    for line in lines:
        right = _length_or_none(job, line.right_m)
        rows.append((*_named(job, line), right, length(line.top_m, job), _off(job, line)))
    align: tuple[Align, ...] = ("center", "left", "left", "left", "right", "right", "right", "left")
    table = Table(heads=tuple(map(say, heads)), rows=tuple(rows), align=align, wide=7)
    return [Heading(text=say("marks"), level=3), Text(body=say("marks_say"), small=True), table]


def _named(job: Job, line: HangingLine) -> tuple[str, ...]:
    """Box to tick, name, kind, size and left edge, as every table of pieces begins."""
    return (
        "☐",
        line.name,
        _piece_and_corner(job, line),
        by(line.width_m, line.height_m, job),
        length(line.left_m, job),
    )


def _piece_and_corner(job: Job, line: HangingLine) -> str:
    """The piece; of one across a corner also where it begins on the other wall."""
    if line.beside_left_m is None:
        return line.piece
    left = length(line.beside_left_m, job)
    return say("across_corner", piece=line.piece, face=line.beside, left=left)


def _off(job: Job, line: HangingLine) -> str:
    """Off the wall's middle, and off the nearest door's or window's."""

    def side(off_m: float) -> str:
        if abs(off_m) < 0.0008:
            return say("on_centre")
        return say("off_right" if off_m > 0 else "off_left", size=length(abs(off_m), job))

    off_centre = NONE if line.off_centre_m is None else side(line.off_centre_m)
    if line.moved_m:
        off_centre += say("moved", side=side(line.moved_m))
    if line.off_opening_m is None:
        return off_centre
    return f"{off_centre}; {line.opening}: {side(line.off_opening_m)}"


def _cleats(job: Job, lines: Sequence[HangingLine]) -> list[Block]:
    on_cleats = [line for line in lines if line.cleat_m is not None]
    if not on_cleats:
        return []
    heads = (
        "head_done",
        "head_piece",
        "head_cleat_line",
        "head_cleat_from",
        "head_cleat_long",
        "head_hook",
        "head_slide",
        "head_studs",
        "head_screws",
        "head_depth",
        "head_ratio",
    )
    rows = tuple(_cleat(job, line) for line in on_cleats)
    right: tuple[Align, ...] = ("right",) * 5
    align: tuple[Align, ...] = ("center", "left", *right, "left", "left", "right", "right")
    least = job.shop.practice.least_ratio
    return [
        Heading(text=say("cleats"), level=3),
        Table(heads=tuple(map(say, heads)), rows=rows, align=align, wide=7),
        Text(body=say("cleats_say", least=f"{least:g}"), small=True),
    ]


def _cleat(job: Job, line: HangingLine) -> tuple[str, ...]:
    slide, screws, into_wood, ratio = NONE, NONE, NONE, NONE
    if line.freedom_m is not None:
        slide = f"± {size(line.freedom_m, job)}"
    if line.screws and line.screw_m is not None:
        screws = f"{line.screws} × {line.screw} x {size(line.screw_m, job)}"
    elif line.fixing is not None:
        screws = f"{line.fixings} × {say('fixing_' + line.fixing)}"
    if line.into_wood_m is not None:
        into_wood = size(line.into_wood_m, job)
    if line.load_ratio is not None:
        ratio = f"{line.load_ratio:.1f}"
    return (
        "☐",
        line.name,
        _length_or_none(job, line.cleat_m),
        _length_or_none(job, line.cleat_left_m),
        _length_or_none(job, line.cleat_length_m),
        _length_or_none(job, line.hook_m),
        slide,
        _framing(job, line),
        screws,
        into_wood,
        ratio,
    )


def _length_or_none(job: Job, length_m: float | None) -> str:
    return NONE if length_m is None else length(length_m, job)


def _framing(job: Job, line: HangingLine) -> str:
    """The studs or joists behind a piece, from the face's left corner."""
    return ", ".join(length(stud_m, job) for stud_m in line.studs_m) or NONE


def _overhead(job: Job, lines: Sequence[HangingLine]) -> list[Block]:
    heads = (
        "head_done",
        "head_piece",
        "head_item",
        "head_size",
        "head_left_edge",
        "head_far",
        "head_joists",
    )
    rows = tuple(
        (*_named(job, line), length(line.top_m, job), _framing(job, line)) for line in lines
    )
    align: tuple[Align, ...] = ("center", "left", "left", "left", "right", "right", "left")
    return [
        Text(body=say("hang_ceiling_says"), small=True),
        Table(heads=tuple(map(say, heads)), rows=rows, align=align, wide=6),
        *_lifted(job, [line for line in lines if line.lift_points]),
    ]


def _lifted(job: Job, lines: Sequence[HangingLine]) -> list[Block]:
    """Where lift points and safety wires go, and how far each piece hangs down."""
    if not lines:
        return []
    heads = ("head_done", "head_piece", "head_points", "head_wires", "head_drop", "head_bottom")
    rows = tuple(_lift_row(job, line) for line in lines)
    align: tuple[Align, ...] = ("center", "left", "left", "left", "right", "right")
    return [
        Table(heads=tuple(map(say, heads)), rows=rows, align=align, wide=2),
        Text(body=say("lift_says"), small=True),
    ]


def _lift_row(job: Job, line: HangingLine) -> tuple[str, ...]:
    bottom_m = None
    if line.depth_m:
        bottom_m = job.room.height_m - line.depth_m
    return (
        "☐",
        line.name,
        _points(job, line.lift_points),
        _points(job, line.tethers),
        _length_or_none(job, line.drop_m),
        _length_or_none(job, bottom_m),
    )


def _points(job: Job, points: Sequence[tuple[float, float]]) -> str:
    """Points of a ceiling, along and across the plan."""
    found = [say("point", along=length(u, job), across=length(v, job)) for u, v in points]
    return "; ".join(found)


def _cautions(lines: Sequence[HangingLine], reader: Reader) -> CautionBox:
    """Once each, with the pieces that it is for; what is deferred stands last, for all of them."""
    names_of: dict[Fact[HangingCaution], list[str]] = {}
    for line in lines:
        for caution in line.cautions:
            if caution.kind not in _IN_TABLES:
                names_of.setdefault(caution, []).append(line.name)
    items = []
    for caution, names in names_of.items():
        every = len(names) == len(lines) > 1
        whose = say("all_pieces") if every else ", ".join(names)
        items.append(f"{whose}: {sentence(caution, reader)}")
    items.append(sentence(fact(HangingCaution.DEFER), reader))
    return CautionBox(title=say("caution"), items=tuple(items))
