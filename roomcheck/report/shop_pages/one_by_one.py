"""The shop's sheets one line at a time, for a screen at arm's length: a setting of the saw, a bar,
a row of blocks."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from roomcheck.job import Job, TickList
from roomcheck.report.pages.parts import blocks
from roomcheck.report.render.blocks import Block, Facts
from roomcheck.report.shop_pages.shop_bench import (
    cut_list,
    drawing,
    drawn_apart,
    piece_facts,
    step_names,
    tally_text,
)
from roomcheck.report.shop_pages.shop_cutting import (
    bar_text,
    counted_texts,
    crosscut_text,
    share_text,
    sheets_alike,
)
from roomcheck.words import by, say, size
from roomcheck.workshop import BuildSheet, FabricPlan, HangingLine, PieceSheet, SheetPlan

_FOUR = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Ticket:
    """One line to cut, its figures ready to be read."""

    list: TickList
    item: str
    """What it says, for a tick that holds as long as it stays the same."""
    stock: str
    setting: str
    """What is set: the stop, the fence, the length off the roll."""
    figure: str
    times: str
    """How many, and of which sheet."""
    parts: tuple[str, ...]
    """What comes of it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BarLine:
    """One bar to take, with what is cut from it."""

    list: TickList
    item: str
    stock: str
    bar: str
    parts: str
    left: str
    """What goes back on the rack, or is waste."""


@dataclass(frozen=True, slots=True, kw_only=True)
class GlueRow:
    """One row of blocks."""

    number: int
    item: str
    fours: tuple[tuple[str, ...], ...]
    """Heights in groups of four, from the left."""
    tally: str


@dataclass(frozen=True, slots=True, kw_only=True)
class GluePanel:
    """One panel that is glued row by row."""

    name: str
    piece: str
    rows: tuple[GlueRow, ...]
    legend: str
    """What the figures mean, and how the panel lies."""
    counted: str
    """Of which heights the tally counts."""


def tickets(job: Job, sheet: BuildSheet) -> tuple[Ticket, ...]:
    """Every setting in the order of the sheets: sticks and boards, sheets, fabric."""
    return (*_stops(job, sheet), *_fences(job, sheet), *_off_the_roll(job, sheet))


def _stops(job: Job, sheet: BuildSheet) -> Iterator[Ticket]:
    for setup in sheet.setups:
        yield Ticket(
            list="stop",
            item=f"{setup.stock}, {_mm(setup.stop_m)}, {setup.count}",
            stock=setup.stock,
            setting=say("set_stop"),
            figure=size(setup.stop_m, job),
            times=str(setup.count),
            parts=tuple(share_text(job, *share) for share in setup.parts),
        )


def _fences(job: Job, sheet: BuildSheet) -> Iterator[Ticket]:
    for panel in sheet.panels:
        yield from _panel_fences(job, panel)


def _panel_fences(job: Job, panel: SheetPlan) -> Iterator[Ticket]:
    for numbers, strips in sheets_alike(panel):
        for place, (rip, count) in enumerate(strips, 1):
            texts = [crosscut_text(job, rip.width_m, part) for part in rip.parts]
            cuts = ", ".join(f"{_mm(width)} x {_mm(length)}" for width, length in rip.parts)
            yield Ticket(
                list="sheet",
                item=f"{panel.item}, {numbers}, {place}: {count} x {_mm(rip.width_m)}; {cuts}",
                stock=panel.item,
                setting=say("set_fence"),
                figure=size(rip.width_m, job),
                times=say("set_strips", count=count, sheets=numbers),
                parts=(counted_texts(texts),),
            )


def _off_the_roll(job: Job, sheet: BuildSheet) -> Iterator[Ticket]:
    for fabric in sheet.fabrics:
        yield from _fabric_rows(job, fabric)


def _fabric_rows(job: Job, fabric: FabricPlan) -> Iterator[Ticket]:
    for place, (row, same) in enumerate(groupby(fabric.rows), 1):
        count = len(list(same))
        texts = [by(across, along, job) for across, along in row.pieces]
        cuts = ", ".join(f"{_mm(across)} x {_mm(along)}" for across, along in row.pieces)
        yield Ticket(
            list="cloth",
            item=f"{fabric.item}, {place}: {count} x {_mm(row.length_m)}; {cuts}",
            stock=fabric.item,
            setting=say("set_roll"),
            figure=size(row.length_m, job),
            times=str(count),
            parts=(counted_texts(texts),),
        )


def bar_lines(job: Job, sheet: BuildSheet) -> tuple[BarLine, ...]:
    """Every bar to take: offcuts of the rack first, then what is bought."""
    lines = [
        BarLine(
            list="rack" if bar.offcut else "bar",
            item=f"{plan.item}, {bar.count} x {_mm(bar.length_m)}: "
            + ", ".join(f"{count} x {_mm(part)}" for part, count in bar.parts),
            stock=plan.item,
            bar=bar_text(job, bar),
            parts=", ".join(f"{count} × {size(part, job)}" for part, count in bar.parts),
            left=size(bar.left_m, job),
        )
        for plan in sheet.cutting
        for bar in plan.plan.bars
    ]
    for panel in sheet.panels:
        for number, (width_m, length_m) in enumerate(panel.from_rack, 1):
            lines.append(
                BarLine(
                    list="rack",
                    item=f"{panel.item}, {number}: {_mm(width_m)} x {_mm(length_m)}",
                    stock=panel.item,
                    bar=by(width_m, length_m, job),
                    parts=say("from_rack", number=number),
                    left="",
                )
            )
    return tuple(sorted(lines, key=lambda line: line.list != "rack"))


def glue_panels(job: Job, sheet: BuildSheet) -> tuple[GluePanel, ...]:
    """Every panel of blocks, by the names of the plan."""
    return tuple(
        _panel(job, piece, name) for piece in sheet.sheets if piece.row_map for name in piece.names
    )


def _panel(job: Job, piece: PieceSheet, name: str) -> GluePanel:
    heights = sorted({height for row in piece.row_map for height in row if height > 0})
    names, legend = step_names(job, heights)
    rows = []
    for number, row in enumerate(piece.row_map, 1):
        cells = [names[height] for height in row]
        fours = tuple(tuple(cells[i : i + _FOUR]) for i in range(0, len(cells), _FOUR))
        item = f"{name}, row {number}: {' '.join(_mm(height) for height in row)}"
        tally = tally_text(row, heights)
        rows.append(GlueRow(number=number, item=item, fours=fours, tally=tally))
    return GluePanel(
        name=name,
        piece=piece.piece,
        rows=tuple(rows),
        legend=say("map_mirror", unit=legend),
        counted="·".join(names[height] for height in reversed(heights)),
    )


def piece_reading(
    job: Job, piece: PieceSheet, lines: Sequence[HangingLine] = ()
) -> tuple[Block, ...]:
    """One kind of piece to be built from a screen: facts, parts, drawn apart, drawn to scale."""
    own = [line for line in lines if line.piece == piece.piece]
    return blocks(
        Facts(pairs=piece_facts(job, piece)),
        cut_list(job, piece, own),
        drawn_apart(piece),
        drawing(job, piece),
    )


def _mm(length_m: float) -> str:
    return f"{1000 * length_m:.1f}"
