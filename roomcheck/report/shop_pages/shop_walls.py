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
from roomcheck.report.pages.parts import elevation, plan_picture
from roomcheck.report.render.blocks import (
    Align,
    Block,
    Boxes,
    Caution,
    Heading,
    NewPage,
    Table,
    Text,
)
from roomcheck.words import NONE, Reader, by, length, row_of_pieces, say, sentence, sentences, size
from roomcheck.workshop import BuildSheet, HangingCaution, HangingLine, Row

_PAGE_MM = {"letter": 279.4, "a4": 297.0}
_FRAME_MM = 33.0 + 21.0 + 9.0 + 28.0 + 16.0
"""Head and foot of the page, heading, the drawing's dimensions, its caption and space. [mm]"""
_ROW_MM = 5.5
_SMALLEST_M = 0.050
"""A drawing that would be less tall takes its cautions beside it. [m]"""
_BESIDE_M = 0.076
"""Width of a drawing with cautions beside it. [m]"""
_LEAST_M = 0.045
"""No drawing is less tall: smaller is not read at arm's length, so the page spills. [m]"""
_SMALL, _WIDE, _CELL = 125, 105, 36
"""Letters on a line of small text and of a caution; letters after which a cell of a table
breaks."""


def wall_pages(job: Job, plan: Plan, sheet: BuildSheet) -> tuple[Block, ...]:
    """Plan, order of work, and every face that carries a piece."""
    if not sheet.hanging:
        return ()
    placed = _as_they_hang(plan, sheet)
    found: list[Block] = [
        NewPage(),
        Heading(text=say("hang")),
        plan_picture(job, placed, positions=False),
    ]
    found += [
        Heading(text=say("order"), level=2),
        Boxes(items=sentences(sheet.order, Reader(units=job.units))),
    ]
    hung = {line.face for line in sheet.hanging}
    for face in (face for face in job.room.faces if face.name in hung):
        lines = [line for line in sheet.hanging if line.face == face.name]
        pieces = [p for p in placed if p.face == face.name]
        rows = tuple(row for row in sheet.rows if row.face == face.name)
        found += _page(job, face, pieces, lines, rows)
    return tuple(found)


def _page(
    job: Job,
    face: Face,
    pieces: Sequence[Placement],
    lines: Sequence[HangingLine],
    rows: Sequence[Row],
) -> list[Block]:
    """One face: as large a drawing as leaves room for all that is said under it."""
    reader = Reader(units=job.units)
    under = refusals(lines, reader)
    under += (
        [*_marks(job, lines), *_cleats(job, lines)]
        if face.kind == "wall"
        else _overhead(job, lines)
    )
    under += [
        Text(body=row_of_pieces(row, reader), lead=say("rows_title"), small=True) for row in rows
    ]
    cautions = _cautions(lines, reader)
    left = _PAGE_MM[job.paper] - _FRAME_MM - sum(_tall_mm(block) for block in under)
    tall = (left - _tall_mm(cautions)) / 1000
    head = (NewPage(), Heading(text=face.name.capitalize(), level=2))
    if tall >= _SMALLEST_M:
        room = SHEET_M[0], min(tall, SHEET_M[1])
        return [
            *head,
            elevation(job, face.name, pieces, framing=True, room_m=room),
            *under,
            cautions,
        ]
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
        case Caution():
            return 17.0 + sum(4.6 * ceil(len(item) / _WIDE) for item in block.items)
        case _:
            return 0.0


def _as_they_hang(plan: Plan, sheet: BuildSheet) -> tuple[Placement, ...]:
    """Pieces at their true size and place, frames counted, as the tables have them."""
    true = {
        line.name: Rectangle(line.left_m, line.top_m - line.height_m, line.width_m, line.height_m)
        for line in sheet.hanging
    }
    return tuple(replace(piece, place=true.get(piece.name, piece.place)) for piece in plan.pieces)


def refusals(lines: Sequence[HangingLine], reader: Reader) -> list[Block]:
    """What must not be hung as drawn, and why."""
    refused = [line for line in lines if line.refused]
    items = tuple(f"{line.name}: {' '.join(sentences(line.refused, reader))}" for line in refused)
    return [Caution(title=say("refused"), items=items)] if items else []


def _marks(job: Job, lines: Sequence[HangingLine]) -> list[Block]:
    heads = (
        "head_done",
        "head_piece",
        "head_item",
        "head_size",
        "head_left_edge",
        "head_right_edge",
        "head_top",
    )
    rows = tuple(
        (
            *_named(job, line),
            NONE if line.right_m is None else length(line.right_m, job),
            length(line.top_m, job),
            _off(job, line),
        )
        for line in lines
    )
    align: tuple[Align, ...] = ("center", "left", "left", "left", "right", "right", "right", "left")
    table = Table(
        heads=tuple(say(h) for h in (*heads, "head_off_centre")), rows=rows, align=align, wide=7
    )
    return [Heading(text=say("marks"), level=3), Text(body=say("marks_say"), small=True), table]


def _named(job: Job, line: HangingLine) -> tuple[str, ...]:
    """Box to tick, name, kind, size and left edge, as every table of pieces begins."""
    return (
        "☐",
        line.name,
        line.piece,
        by(line.width_m, line.height_m, job),
        length(line.left_m, job),
    )


def _off(job: Job, line: HangingLine) -> str:
    """Off the wall's middle, and off the nearest door's or window's."""

    def side(off_m: float) -> str:
        if abs(off_m) < 0.0008:
            return say("on_centre")
        return say("off_right" if off_m > 0 else "off_left", size=length(abs(off_m), job))

    told = NONE if line.off_centre_m is None else side(line.off_centre_m)
    return (
        told
        if line.off_opening_m is None
        else f"{told}; {line.opening}: {side(line.off_opening_m)}"
    )


def _cleats(job: Job, lines: Sequence[HangingLine]) -> list[Block]:
    on_cleats = [line for line in lines if line.cleat_m is not None]
    if not on_cleats:
        return []
    heads = (
        *(
            "head_done",
            "head_piece",
            "head_cleat_line",
            "head_cleat_from",
            "head_cleat_long",
            "head_hook",
        ),
        *("head_slide", "head_studs", "head_screws", "head_depth", "head_ratio"),
    )
    rows = tuple(_cleat(job, line) for line in on_cleats)
    right: tuple[Align, ...] = ("right",) * 5
    align: tuple[Align, ...] = ("center", "left", *right, "left", "left", "right", "right")
    least = job.shop.practice.least_ratio
    return [
        Heading(text=say("cleats"), level=3),
        Table(heads=tuple(say(h) for h in heads), rows=rows, align=align, wide=7),
        Text(body=say("cleats_say", least=f"{least:g}"), small=True),
    ]


def _cleat(job: Job, line: HangingLine) -> tuple[str, ...]:
    def told(value: float | None) -> str:
        return NONE if value is None else length(value, job)

    screws = NONE
    if line.screws and line.screw_m is not None:
        screws = f"{line.screws} × {line.screw} x {size(line.screw_m, job)}"
    return (
        "☐",
        line.name,
        told(line.cleat_m),
        told(line.cleat_left_m),
        told(line.cleat_length_m),
        told(line.hook_m),
        NONE if line.freedom_m is None else f"± {size(line.freedom_m, job)}",
        ", ".join(length(at, job) for at in line.studs_m) or NONE,
        screws,
        NONE if line.into_wood_m is None else size(line.into_wood_m, job),
        NONE if line.load_ratio is None else f"{line.load_ratio:.1f}",
    )


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
        (
            *_named(job, line),
            length(line.top_m, job),
            ", ".join(length(at, job) for at in line.studs_m) or NONE,
        )
        for line in lines
    )
    align: tuple[Align, ...] = ("center", "left", "left", "left", "right", "right", "left")
    return [
        Text(body=say("hang_ceiling_says"), small=True),
        Table(heads=tuple(say(h) for h in heads), rows=rows, align=align, wide=6),
    ]


def _cautions(lines: Sequence[HangingLine], reader: Reader) -> Caution:
    """Once each, with the pieces that it is for; what is deferred stands last, for all of them."""
    names_of: dict[Fact[HangingCaution], list[str]] = {}
    for line in lines:
        for caution in line.cautions:
            if caution.kind is not HangingCaution.DEFER:
                names_of.setdefault(caution, []).append(line.name)
    items = []
    for caution, names in names_of.items():
        every = len(names) == len(lines) > 1
        whose = say("all_pieces") if every else ", ".join(names)
        items.append(f"{whose}: {sentence(caution, reader)}")
    items.append(sentence(fact(HangingCaution.DEFER), reader))
    return Caution(title=say("caution"), items=tuple(items))
