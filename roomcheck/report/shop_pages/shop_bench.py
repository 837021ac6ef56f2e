"""One kind of piece: facts, cut list, steps, and the row map of a block panel."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil

from roomcheck import workshop
from roomcheck.facts import Fact
from roomcheck.job import Job
from roomcheck.report.pages.parts import blocks, titled
from roomcheck.report.render.blocks import (
    Align,
    Block,
    Boxes,
    Caution,
    Facts,
    Heading,
    NewPage,
    Table,
    Text,
)
from roomcheck.units import M_PER_IN, band_name
from roomcheck.words import (
    Reader,
    area,
    by,
    heading,
    hours,
    part_text,
    say,
    sentence,
    sentences,
    size,
    stock_name,
    weight,
)
from roomcheck.workshop import PieceSheet

COLUMNS_A_PAGE = 24
_ROWS_A_PAGE = 33
_HALF_A_PAGE = 12
_LINES_A_PAGE = 18
_WIDE_PT = 330.0
_TALL_PT = 560.0


def piece_pages(
    job: Job, piece: PieceSheet, before: Sequence[Fact[workshop.Caution]] = ()
) -> tuple[Block, ...]:
    """Parts, steps on a page of their own where they are many, and the row map.

    Cautions that stand on the first page already, `before`, are not repeated.
    """
    reader = Reader("contractor", job.units)
    summary = say(
        "piece_facts",
        count=len(piece.names),
        piece=piece.piece,
        names=", ".join(piece.names),
        weight=weight(piece.weight_kg, job),
        hours=hours(piece.hours),
    )
    own = [caution for caution in piece.cautions if caution not in before]
    return blocks(
        NewPage(),
        Heading(text=heading(piece.piece)),
        Text(body=summary),
        Facts(pairs=piece_facts(job, piece)),
        cut_list(job, piece),
        _steps(piece, reader, own),
        Caution(title=say("caution"), items=sentences(own, reader)) if own else (),
        row_map(job, piece),
    )


def cut_list(job: Job, piece: PieceSheet) -> tuple[Block, ...]:
    """Parts of all pieces of one kind, longest first."""
    if not piece.cuts:
        return ()
    heads = ("head_part", "head_stock", "head_count", "head_length", "head_width", "head_note")
    table = Table(
        heads=tuple(say(h) for h in heads),
        rows=tuple(_cut(job, cut) for cut in piece.cuts),
        align=("left", "left", "right", "right", "right", "left"),
        wide=5,
        size_pt=10.5,
    )
    return (Heading(text=say("cuts"), level=2), table)


def _cut(job: Job, cut: workshop.Cut) -> tuple[str, ...]:
    reader = Reader("contractor", job.units)
    note = "" if cut.note is None else sentence(cut.note, reader)
    return (
        part_text(cut, reader),
        stock_name(cut.stock, Reader(units=job.units)),
        str(cut.count),
        size(cut.length_m, job),
        size(cut.width_m, job),
        note,
    )


def _steps(
    piece: PieceSheet, reader: Reader, own: Sequence[Fact[workshop.Caution]]
) -> tuple[Block, ...]:
    """Steps, on a page of their own where the sheet is long."""
    boxes = Boxes(items=sentences(piece.steps, reader))
    if len(piece.cuts) + len(piece.steps) + len(own) > _LINES_A_PAGE:
        title = f"{heading(piece.piece)}: {say('steps').lower()}"
        return (NewPage(), Heading(text=title), boxes)
    return titled(Heading(text=say("steps"), level=2), boxes)


def piece_facts(job: Job, piece: PieceSheet) -> tuple[tuple[str, str], ...]:
    found: list[tuple[str, str]] = []
    if piece.array_width_m is not None and piece.array_height_m is not None:
        array = by(piece.array_width_m, piece.array_height_m, job)
        offs = [_off(job, over) for over in (piece.over_width_m, piece.over_height_m)]
        found.append((say("facts_array"), "; ".join([array, *(off for off in offs if off)])))
    if piece.outside_width_m is not None and piece.outside_height_m is not None:
        name = "facts_outside" if piece.array_width_m is not None else "facts_outside_plain"
        found.append((say(name), by(piece.outside_width_m, piece.outside_height_m, job)))
    if piece.pattern is not None:
        pattern = sentence(piece.pattern, Reader("contractor", job.units))
        found.append((say("facts_pattern"), pattern))
    if piece.depths_m:
        found.append(
            (say("facts_depths"), " · ".join(size(depth, job) for depth in piece.depths_m))
        )
    if piece.works_from_hz and piece.works_to_hz:
        low, high = (f"{round(hz, -1):.0f}" for hz in (piece.works_from_hz, piece.works_to_hz))
        found.append((say("facts_works"), say("facts_works_says", low=low, high=high)))
    if piece.diffusion:
        even = ", ".join(f"{band_name(hz)} {value:.2f}" for hz, value in piece.diffusion)
        found.append((say("facts_diffusion"), say("facts_diffusion_says", told=even)))
    if piece.tuned_hz:
        found.append((say("facts_tuned"), say("facts_tuned_says", hz=f"{piece.tuned_hz:.0f}")))
    kg = weight(piece.weight_kg, job)
    made = piece.made_kg
    one = kg if made is None else say("facts_weight_says", weight=kg, made=weight(made, job))
    found.append((say("facts_weight"), one))
    if piece.finish_m2:
        found.append(
            (say("facts_finish"), say("facts_finish_says", area=area(piece.finish_m2, job)))
        )
    if piece.operations:
        found.append((say("facts_hours"), _operations(job, piece)))
    return tuple(found)


def _off(job: Job, over_m: float | None) -> str:
    if over_m is None or abs(over_m) < M_PER_IN / 32:
        return ""
    return say("facts_over" if over_m > 0 else "facts_under", size=size(abs(over_m), job))


def _operations(job: Job, piece: PieceSheet) -> str:
    reader = Reader("contractor", job.units)
    texts = []
    for operation in piece.operations:
        text = f"{sentence(operation.work, reader)} {hours(operation.hours)}"
        if operation.wait_hours:
            text = say("waits", name=text, hours=hours(operation.wait_hours))
        texts.append(text)
    return ", ".join(texts)


def row_map(job: Job, piece: PieceSheet) -> tuple[Block, ...]:
    """Rows to tick off, in parts of so many columns where the panel is wide."""
    rows = piece.row_map
    if not rows:
        return ()
    heights = sorted({height for row in rows for height in row if height > 0})
    name, legend = _step_names(job, heights)
    told = ", ".join(
        f"{sum(list(row).count(h) for row in rows)} × {size(h, job)}" for h in reversed(heights)
    )
    wide = max(map(len, name.values()))
    found: list[Block] = []
    columns = len(rows[0])
    step = _columns_a_part(columns)
    a_page = 2 if len(rows) <= _HALF_A_PAGE else 1
    for part, first in enumerate(range(0, columns, step)):
        last = min(first + step, columns)
        if part % a_page == 0:
            found += [NewPage(), Heading(text=f"{say('row_map')}: {piece.piece}", level=2)]
        if part == 0:
            found.append(Caution(title=say("caution"), items=(say("map_mirror", unit=legend),)))
            found.append(Text(body=say("counts", counts=told)))
        if columns > step:
            found.append(
                Heading(text=say("map_columns", first=first + 1, last=last, all=columns), level=3)
            )
        found.append(_map_table(rows, (first, last), heights, name, wide))
    return (*found, *_batches(job, rows, heights))


def _batches(
    job: Job, rows: Sequence[Sequence[float]], heights: Sequence[float]
) -> tuple[Block, ...]:
    """Blocks to fetch before every four rows, and what that makes so far."""
    told = []
    so_far = dict.fromkeys(heights, 0)
    for first in range(0, len(rows), 4):
        batch = [height for row in rows[first : first + 4] for height in row]
        counts = [batch.count(height) for height in reversed(heights)]
        for height, count in zip(reversed(heights), counts, strict=True):
            so_far[height] += count
        last = min(first + 4, len(rows))
        told.append(("☐", f"{first + 1}–{last}", *map(str, counts), str(sum(so_far.values()))))
    heads = (
        say("head_done"),
        say("head_rows"),
        *(size(h, job) for h in reversed(heights)),
        say("head_so_far"),
    )
    right: Align = "right"
    align: tuple[Align, ...] = ("center", "left", *[right] * (len(heights) + 1))
    table = Table(heads=heads, rows=tuple(told), align=align, wide=1, size_pt=10.5)
    return (Heading(text=say("fetch"), level=3), table)


def _columns_a_part(columns: int) -> int:
    """Columns of one table: all that stay legible, in whole groups of four, parts as equal as they
    can be.

    >>> _columns_a_part(16), _columns_a_part(32), _columns_a_part(79)
    (16, 16, 20)
    """
    parts = ceil(columns / COLUMNS_A_PAGE)
    return columns if parts == 1 else 4 * ceil(columns / parts / 4)


def _map_table(
    rows: Sequence[Sequence[float]],
    span: tuple[int, int],
    heights: Sequence[float],
    name: dict[float, str],
    wide: int,
) -> Table:
    parts = [row[slice(*span)] for row in rows]
    letters = (span[1] - span[0]) * (wide + 1) + (span[1] - span[0]) // 4 * 2
    lines = min(len(rows), _ROWS_A_PAGE)
    points = min(12.0, _WIDE_PT / (letters * 0.602), (_TALL_PT / lines - 7.2) / 1.2)
    steps = "·".join(name[height] for height in reversed(heights))
    return Table(
        heads=(
            say("head_done"),
            say("head_row"),
            say("head_blocks"),
            say("head_row_counts", steps=steps),
        ),
        rows=tuple(
            ("☐", f"{i:02d}", _fours([name[h] for h in row], wide), _tally(row, heights))
            for i, row in enumerate(parts, 1)
        ),
        align=("center", "right", "left", "left"),
        wide=3,
        mono=True,
        size_pt=round(max(points, 6.0), 1),
    )


def _step_names(job: Job, heights: Sequence[float]) -> tuple[dict[float, str], str]:
    """What each height is called on the map: its inches where they are whole, else a number with a
    legend."""
    inches = [height / M_PER_IN for height in heights]
    if job.units == "imperial" and all(abs(x - round(x)) < 1e-6 for x in inches):
        return {0.0: "0", **{h: f"{x:.0f}" for h, x in zip(heights, inches, strict=True)}}, say(
            "steps_inches"
        )
    names = {0.0: "0", **{height: str(i) for i, height in enumerate(heights, 1)}}
    told = ", ".join(f"{names[height]} = {size(height, job)}" for height in heights)
    return names, say("steps_numbers", steps=told)


def _tally(row: Sequence[float], heights: Sequence[float]) -> str:
    return "·".join(str(list(row).count(height)) for height in reversed(heights))


def _fours(row: Sequence[str], wide: int) -> str:
    """A row in groups of four.

    >>> _fours(["0", "1", "2", "3", "4"], 1)
    '0 1 2 3 │ 4'
    """
    groups = [row[i : i + 4] for i in range(0, len(row), 4)]
    return " │ ".join(" ".join(cell.rjust(wide, "\u2007") for cell in group) for group in groups)
