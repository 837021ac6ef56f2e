"""One kind of piece: facts, cut list, steps, and the row map of a block panel."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from math import ceil

from roomcheck import workshop
from roomcheck.facts import Fact
from roomcheck.job import Job
from roomcheck.report.figures.drawings import scale_text
from roomcheck.report.pages.parts import blocks, titled
from roomcheck.report.render.blocks import (
    Align,
    Block,
    Boxes,
    CautionBox,
    Facts,
    Heading,
    NewPage,
    Picture,
    Table,
    Text,
)
from roomcheck.report.shop_figures.exploded import exploded
from roomcheck.report.shop_figures.piece_views import piece_drawing
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
from roomcheck.workshop import BuildSheet, HangingLine, LaidPanel, PieceSheet

COLUMNS_A_PAGE = 24
_SAME_M = 5e-4
_ROWS_A_PAGE = 33
_HALF_A_PAGE = 12
_APART_PT = 170.0
"""Height of a piece drawn apart. [pt]"""
_WIDE_PT = 330.0
_TALL_PT = 560.0


def piece_pages(
    job: Job,
    piece: PieceSheet,
    before: Sequence[Fact[workshop.Caution]] = (),
    lines: Sequence[HangingLine] = (),
) -> tuple[Block, ...]:
    """Parts, the drawing, steps, blocks to fetch, and the row map.

    Cautions that stand on the first page already, `before`, are not repeated. `lines` say where
    its pieces hang: which are turned, which wall cleat is whose.
    """
    lines = [line for line in lines if line.piece == piece.piece]
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
        _turned(piece, lines),
        Facts(pairs=piece_facts(job, piece)),
        cut_list(job, piece, lines),
        drawn_apart(piece),
        drawing(job, piece),
        titled(
            Heading(text=say("steps_of", piece=heading(piece.piece)), level=2),
            Boxes(items=sentences(piece.steps, reader)),
        ),
        CautionBox(title=say("caution"), items=sentences(own, reader)) if own else (),
        row_map(job, piece),
    )


def drawn_apart(piece: PieceSheet) -> tuple[Block, ...]:
    """The piece drawn apart, its parts by the letters of the cut list; nothing for one without
    parts in space."""
    if not piece.solids:
        return ()
    letters: dict[str, list[str]] = {}
    for letter, cut in zip(piece.letters, piece.cuts, strict=True):
        letters.setdefault(cut.part, []).append(letter)
    spans = {part: "–".join(dict.fromkeys((own[0], own[-1]))) for part, own in letters.items()}
    svg = exploded(piece, spans, height_pt=_APART_PT)
    alt = say("alt_apart", piece=piece.piece)
    caption = say("cap_apart", piece=heading(piece.piece))
    return (Picture(svg=svg, alt=alt, caption=caption, floats=True),)


def drawing(job: Job, piece: PieceSheet) -> tuple[Block, ...]:
    """The piece to scale; nothing for one without parts in space."""
    drawn = piece_drawing(job, piece)
    if drawn is None:
        return ()
    paper, scale = drawn
    alt = say("alt_piece_drawing", piece=piece.piece, letters=", ".join(piece.letters))
    caption = f"{say('cap_piece', piece=heading(piece.piece))} {scale_text(job, scale)}"
    return (Picture(svg=paper.svg(), alt=alt, caption=caption, floats=True),)


def _turned(piece: PieceSheet, lines: Sequence[HangingLine]) -> tuple[Block, ...]:
    """Which pieces hang the long way across: their cleats sit along a long side."""
    names = [line.name for line in lines if hangs_turned(piece, line)]
    return (Text(body=say("turned_names", names=", ".join(names))),) if names else ()


def hangs_turned(piece: PieceSheet, line: HangingLine) -> bool:
    """Whether a piece hangs the long way across where its own drawing stands upright."""
    wide_m, high_m = piece.outside_width_m, piece.outside_height_m
    if wide_m is None or high_m is None or abs(wide_m - high_m) < _SAME_M or line.beside:
        return False
    return abs(line.width_m - high_m) < _SAME_M


def cut_list(job: Job, piece: PieceSheet, lines: Sequence[HangingLine] = ()) -> tuple[Block, ...]:
    """Parts of all pieces of one kind, longest first; wall cleats with the pieces they are for."""
    if not piece.cuts:
        return ()
    heads = (
        "head_letter",
        "head_part",
        "head_stock",
        "head_count",
        "head_length",
        "head_width",
        "head_note",
    )
    table = Table(
        heads=tuple(say(h) for h in heads),
        rows=tuple(
            (letter, *_cut(job, cut, lines))
            for letter, cut in zip(piece.letters, piece.cuts, strict=True)
        ),
        align=("center", "left", "left", "right", "right", "right", "left"),
        wide=6,
        size_pt=10.5,
    )
    return (Heading(text=say("cuts"), level=2), table)


def jig_blocks(job: Job, sheet: BuildSheet) -> tuple[Block, ...]:
    """Jigs to make before the first piece, with their own cut list."""
    if not sheet.jigs:
        return ()
    heads = ("head_done", "head_part", "head_stock", "head_count", "head_length", "head_width")
    table = Table(
        heads=tuple(say(h) for h in (*heads, "head_note")),
        rows=tuple(("☐", *_cut(job, cut)) for cut in sheet.jigs),
        align=("center", "left", "left", "right", "right", "right", "left"),
        wide=6,
    )
    return (Heading(text=say("jigs"), level=2), Text(body=say("jigs_say"), small=True), table)


def _cut(job: Job, cut: workshop.Cut, lines: Sequence[HangingLine] = ()) -> tuple[str, ...]:
    reader = Reader("contractor", job.units)
    note = "" if cut.note is None else sentence(cut.note, reader)
    if cut.part is workshop.Part.WALL_CLEAT and lines:
        note = say("cleat_for", note=note, names=", ".join(_with_cleat(cut, lines)))
    if cut.part is workshop.Part.WALL_RAIL and lines:
        note = say("cleat_for", note=note, names=", ".join(_rails_as_long(cut, lines)))
    return (
        part_text(cut, reader),
        stock_name(cut.stock, Reader(units=job.units)),
        str(cut.count),
        size(cut.length_m, job),
        size(cut.width_m, job),
        note,
    )


def piece_facts(job: Job, piece: PieceSheet) -> tuple[tuple[str, str], ...]:
    """Sizes, sound, weight, finish and hours of one kind of piece, by the names of the lines."""
    return (
        *_sizes(job, piece),
        *_sound(piece),
        (say("facts_weight"), _weight(job, piece)),
        *_finishing(job, piece),
    )


def _sizes(job: Job, piece: PieceSheet) -> list[tuple[str, str]]:
    lines: list[tuple[str, str]] = []
    if piece.array_width_m is not None and piece.array_height_m is not None:
        array = by(piece.array_width_m, piece.array_height_m, job)
        offs = [_off(job, over) for over in (piece.over_width_m, piece.over_height_m)]
        lines.append((say("facts_array"), "; ".join([array, *filter(None, offs)])))
    if piece.outside_width_m is not None and piece.outside_height_m is not None:
        name = "facts_outside_plain" if piece.array_width_m is None else "facts_outside"
        lines.append((say(name), by(piece.outside_width_m, piece.outside_height_m, job)))
    if piece.pattern is not None:
        pattern = sentence(piece.pattern, Reader("contractor", job.units))
        lines.append((say("facts_pattern"), pattern))
    if piece.depths_m:
        depths = " · ".join(size(depth, job) for depth in piece.depths_m)
        lines.append((say("facts_depths"), depths))
    return lines


def _sound(piece: PieceSheet) -> list[tuple[str, str]]:
    lines: list[tuple[str, str]] = []
    if piece.works_from_hz and piece.works_to_hz:
        low = f"{round(piece.works_from_hz, -1):.0f}"
        high = f"{round(piece.works_to_hz, -1):.0f}"
        lines.append((say("facts_works"), say("facts_works_says", low=low, high=high)))
    if piece.diffusion:
        even = ", ".join(f"{band_name(hz)} {value:.2f}" for hz, value in piece.diffusion)
        lines.append((say("facts_diffusion"), say("facts_diffusion_says", told=even)))
    if piece.tuned_hz:
        lines.append((say("facts_tuned"), say("facts_tuned_says", hz=f"{piece.tuned_hz:.0f}")))
    return lines


def _weight(job: Job, piece: PieceSheet) -> str:
    """Weight as it hangs, and as its parts make it where that is known."""
    hung = weight(piece.weight_kg, job)
    if piece.made_kg is None:
        return hung
    return say("facts_weight_says", weight=hung, made=weight(piece.made_kg, job))


def _finishing(job: Job, piece: PieceSheet) -> list[tuple[str, str]]:
    lines: list[tuple[str, str]] = []
    if piece.finish_m2:
        finish = say("facts_finish_says", area=area(piece.finish_m2, job))
        lines.append((say("facts_finish"), finish))
    if piece.operations:
        lines.append((say("facts_hours"), _operations(job, piece)))
    return lines


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


def _with_cleat(cut: workshop.Cut, lines: Sequence[HangingLine]) -> list[str]:
    """Pieces whose wall cleat is so long."""
    lengths = [(line.name, line.cleat_length_m) for line in lines if line.cleat_length_m]
    return [name for name, long_m in lengths if abs(long_m - cut.length_m) < _SAME_M]


def _rails_as_long(cut: workshop.Cut, lines: Sequence[HangingLine]) -> list[str]:
    """Rails of this length, by the pieces' lines that begin them."""
    rails = [line.rail for line in lines if line.rail is not None and line.begins_rail]
    return [rail.name for rail in rails if abs(rail.length_m - cut.length_m) < _SAME_M]


def row_map(job: Job, piece: PieceSheet) -> tuple[Block, ...]:
    """Blocks to fetch, and rows to tick off: in parts where the panel has many columns."""
    rows = piece.row_map
    if not rows:
        return ()
    heights = sorted({height for row in rows for height in row if height > 0})
    name, legend = step_names(job, heights)
    pages: list[Block] = [*_batches(job, piece.piece, rows, heights)]
    columns = len(rows[0])
    step = _columns_a_part(columns)
    a_page = 2 if len(rows) <= _HALF_A_PAGE else 1
    for part, first in enumerate(range(0, columns, step)):
        last = min(first + step, columns)
        if part % a_page == 0:
            pages += [NewPage(), Heading(text=f"{say('row_map')}: {piece.piece}", level=2)]
        if part == 0:
            pages.append(CautionBox(title=say("caution"), items=(say("map_mirror", unit=legend),)))
            pages.append(Text(body=say("counts", counts=_block_counts(job, rows, heights))))
        if columns > step:
            title = say("map_columns", first=first + 1, last=last, all=columns)
            pages.append(Heading(text=title, level=3))
        pages.append(_map_table(rows, (first, last), heights, name))
    return (*pages, *_laid_table(piece))


def _laid_table(piece: PieceSheet) -> tuple[Block, ...]:
    """With which row each panel begins, and from which side its rows are read; nothing for one."""
    if not piece.laid:
        return ()
    rows = tuple((one.name, _order(one.rows), say(f"laid_{_reading(one)}")) for one in piece.laid)
    heads = tuple(map(say, ("head_piece", "head_laid", "head_read")))
    table = Table(heads=heads, rows=rows, align=("left", "left", "left"), wide=1)
    return (Heading(text=say("laid_title"), level=3), table)


def _order(numbers: Sequence[int]) -> str:
    """Rows from the top down: "14–32, 1–13"; "14–1, 32–15" where they go up the map."""
    stretches = workshop.spans(numbers)
    return ", ".join(str(a) if a == b else f"{a}–{b}" for a, b in stretches)


def _reading(panel: LaidPanel) -> str:
    return "mirrored" if panel.mirrored else "as_drawn"


def _block_counts(job: Job, rows: Sequence[Sequence[float]], heights: Sequence[float]) -> str:
    """How many blocks of each height the panel takes, highest first."""
    counts = Counter(height for row in rows for height in row)
    return ", ".join(f"{counts[height]} × {size(height, job)}" for height in reversed(heights))


def _batches(
    job: Job, piece: str, rows: Sequence[Sequence[float]], heights: Sequence[float]
) -> tuple[Block, ...]:
    """Blocks to fetch before every four rows, and what that makes so far."""
    batches = []
    so_far = dict.fromkeys(heights, 0)
    for first in range(0, len(rows), 4):
        batch = [height for row in rows[first : first + 4] for height in row]
        counts = [batch.count(height) for height in reversed(heights)]
        for height, count in zip(reversed(heights), counts, strict=True):
            so_far[height] += count
        last = min(first + 4, len(rows))
        batches.append(("☐", f"{first + 1}–{last}", *map(str, counts), str(sum(so_far.values()))))
    heads = (
        say("head_done"),
        say("head_rows"),
        *(size(h, job) for h in reversed(heights)),
        say("head_so_far"),
    )
    right: Align = "right"
    align: tuple[Align, ...] = ("center", "left", *[right] * (len(heights) + 1))
    table = Table(heads=heads, rows=tuple(batches), align=align, wide=1, size_pt=10.5)
    return (Heading(text=say("fetch_of", piece=heading(piece)), level=2), table)


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
) -> Table:
    wide = max(map(len, name.values()))
    parts = [row[slice(*span)] for row in rows]
    columns = span[1] - span[0]
    letters = columns * (wide + 1) + columns // 4 * 2
    lines = min(len(rows), _ROWS_A_PAGE)
    points = min(12.0, _WIDE_PT / (letters * 0.602), (_TALL_PT / lines - 7.2) / 1.2)
    steps = "·".join(name[height] for height in reversed(heights))
    lines_of_map = []
    for number, row in enumerate(parts, 1):
        cells = _fours([name[height] for height in row], wide)
        lines_of_map.append(("☐", f"{number:02d}", cells, tally_text(row, heights)))
    return Table(
        heads=(
            say("head_done"),
            say("head_row"),
            say("head_blocks"),
            say("head_row_counts", steps=steps),
        ),
        rows=tuple(lines_of_map),
        align=("center", "right", "left", "left"),
        wide=3,
        mono=True,
        size_pt=round(max(points, 6.0), 1),
    )


def step_names(job: Job, heights: Sequence[float]) -> tuple[dict[float, str], str]:
    """What each height is called on the map: its inches where they are whole, else a number with a
    legend."""
    inches = [height / M_PER_IN for height in heights]
    if job.units == "imperial" and all(abs(x - round(x)) < 1e-6 for x in inches):
        whole = [f"{x:.0f}" for x in inches]
        return {0.0: "0", **dict(zip(heights, whole, strict=True))}, say("steps_inches")
    numbers = map(str, range(1, len(heights) + 1))
    names = {0.0: "0", **dict(zip(heights, numbers, strict=True))}
    legend = ", ".join(f"{names[height]} = {size(height, job)}" for height in heights)
    return names, say("steps_numbers", steps=legend)


def tally_text(row: Sequence[float], heights: Sequence[float]) -> str:
    return "·".join(str(list(row).count(height)) for height in reversed(heights))


def _fours(row: Sequence[str], wide: int) -> str:
    """A row in groups of four.

    >>> _fours(["0", "1", "2", "3", "4"], 1)
    '0 1 2 3 │ 4'
    """
    groups = [row[i : i + 4] for i in range(0, len(row), 4)]
    return " │ ".join(" ".join(cell.rjust(wide, "\u2007") for cell in group) for group in groups)
