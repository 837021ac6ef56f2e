"""What the shop cuts and the installer hangs. Costs stand here, so these pages never go to a client."""

from __future__ import annotations

from collections.abc import Sequence

from roomcheck.build import BuildSheet, HangingLine, PieceSheet
from roomcheck.job import Job
from roomcheck.recommend import Plan
from roomcheck.report.blocks import Block, Boxes, Caution, Document, Heading, NewPage, Table, Text
from roomcheck.report.data import NONE, hours, length, money, quantity, size, weight
from roomcheck.report.parts import blocks, elevation, plan_picture, titled
from roomcheck.report.texts import items, say
from roomcheck.units import M_PER_IN


def shop_sheets(job: Job, plan: Plan, sheet: BuildSheet) -> Document:
    """Buy list, one sheet a kind of piece, one a wall, and the day."""
    return Document(
        name="shop-and-install",
        title=say("shop_title"),
        subtitle=say("shop_sub", title=job.title, plan=plan.title),
        blocks=blocks(
            Text(body=say("shop_only")),
            Caution(title=say("first"), items=(*items("first_items"), *sheet.cautions)),
            _totals(job, sheet),
            _buy(job, sheet),
            *(_piece(job, piece) for piece in sheet.sheets),
            *_walls(job, plan, sheet),
            NewPage(),
            Heading(text=say("day")),
            Boxes(items=items("day_items")),
        ),
    )


def _totals(job: Job, sheet: BuildSheet) -> Text:
    in_all = weight(sheet.weight_kg, job)
    return Text(body=say("totals", weight=in_all, build=hours(sheet.build_hours), install=hours(sheet.install_hours)))


def _buy(job: Job, sheet: BuildSheet) -> tuple[Block, ...]:
    rows = tuple(
        (
            p.item,
            f"{quantity(p.net)} {p.unit}",
            f"{quantity(p.with_waste)} {p.unit}",
            f"{p.packs} × {quantity(p.pack)} {p.unit}",
            money(p.cost, job),
            f"{quantity(p.left)} {p.unit}",
        )
        for p in sheet.purchases
    )
    heads = ("head_item", "head_need", "head_waste", "head_packs", "head_cost", "head_left")
    table = Table(heads=tuple(say(h) for h in heads), rows=rows, align=("left", *("right",) * 5), wide=0)
    return (Heading(text=say("buy")), table) if rows else ()


def _piece(job: Job, piece: PieceSheet) -> tuple[Block, ...]:
    names = ", ".join(piece.names)
    facts = say(
        "piece_facts",
        count=len(piece.names),
        piece=piece.piece,
        names=names,
        weight=weight(piece.weight_kg, job),
        hours=hours(piece.hours),
    )
    rows = tuple(
        (c.part, c.stock, str(c.count), size(c.length_m, job), size(c.width_m, job), c.note) for c in piece.cuts
    )
    heads = ("head_part", "head_stock", "head_count", "head_length", "head_width", "head_note")
    cuts = Table(
        heads=tuple(say(h) for h in heads),
        rows=rows,
        align=("left", "left", "right", "right", "right", "left"),
        wide=5,
    )
    return blocks(
        NewPage(),
        Heading(text=piece.piece.capitalize()),
        Text(body=facts),
        Caution(title=say("caution"), items=piece.cautions) if piece.cautions else (),
        (Heading(text=say("cuts"), level=2), cuts) if rows else (),
        titled(Heading(text=say("steps"), level=2), Boxes(items=piece.steps)),
        _row_map(job, piece.row_map),
    )


def _row_map(job: Job, rows: Sequence[Sequence[float]]) -> tuple[Block, ...]:
    if not rows:
        return ()
    unit_m = M_PER_IN if job.units == "imperial" else 0.001
    shown = [[_height(height, unit_m) for height in row] for row in rows]
    wide = max(len(cell) for row in shown for cell in row)
    counts: dict[float, int] = {}
    for row in rows:
        for height in row:
            if height > 0:
                counts[height] = counts.get(height, 0) + 1
    told = ", ".join(f"{n} × {size(height, job)}" for height, n in sorted(counts.items(), reverse=True))
    return (
        NewPage(),
        Heading(text=say("row_map"), level=2),
        Caution(title=say("caution"), items=(say("row_map_says", unit=say(f"unit_steps_{job.units}")),)),
        Text(body=say("counts", counts=told)),
        Table(
            heads=(say("head_done"), say("head_row"), say("head_blocks")),
            rows=tuple(("☐", f"{i:02d}", _fours(row, wide)) for i, row in enumerate(shown, 1)),
            align=("center", "right", "left"),
            wide=2,
            mono=True,
        ),
    )


def _height(height_m: float, unit_m: float) -> str:
    return f"{round(height_m / unit_m, 2):g}"


def _fours(row: Sequence[str], wide: int) -> str:
    """A row in groups of four.

    >>> _fours(["0", "1", "2", "3", "4"], 1)
    '0 1 2 3 │ 4'
    """
    groups = [row[i : i + 4] for i in range(0, len(row), 4)]
    return " │ ".join(" ".join(cell.rjust(wide, "\u2007") for cell in group) for group in groups)


def _walls(job: Job, plan: Plan, sheet: BuildSheet) -> tuple[Block, ...]:
    if not sheet.hanging:
        return ()
    found: list[Block] = [NewPage(), Heading(text=say("hang")), plan_picture(job, plan.pieces, positions=False)]
    for face in job.room.faces:
        lines = [line for line in sheet.hanging if line.face == face.name]
        if lines:
            pieces = [p for p in plan.pieces if p.face == face.name]
            found += [
                NewPage(),
                Heading(text=face.name.capitalize(), level=2),
                elevation(job, face.name, pieces, framing=True),
                Text(body=say("hang_says" if face.kind == "wall" else "hang_ceiling_says"), small=True),
                _lines(job, lines, wall=face.kind == "wall"),
                *_line_cautions(lines),
            ]
    return tuple(found)


def _lines(job: Job, lines: Sequence[HangingLine], *, wall: bool) -> Table:
    heads = ["head_done", "head_piece", "head_item", "head_size", "head_left_edge", "head_top" if wall else "head_far"]
    heads += ["head_cleat", "head_studs"] if wall else ["head_joists"]
    rows = []
    for line in lines:
        cleat = [NONE if line.cleat_m is None else length(line.cleat_m, job)] if wall else []
        studs = ", ".join(length(at, job) for at in line.studs_m) or NONE
        sizes = f"{size(line.width_m, job)} × {size(line.height_m, job)}"
        edges = (length(line.left_m, job), length(line.top_m, job))
        rows.append(("☐", line.name, line.piece, sizes, *edges, *cleat, studs))
    align = ("center", "left", "left", "left", *("right",) * (len(heads) - 5), "left")
    return Table(heads=tuple(say(h) for h in heads), rows=tuple(rows), align=align, wide=len(heads) - 1)  # type: ignore[arg-type]


def _line_cautions(lines: Sequence[HangingLine]) -> tuple[Block, ...]:
    told: dict[str, list[str]] = {}
    for line in lines:
        for caution in line.cautions:
            told.setdefault(caution, []).append(line.name)
    if not told:
        return ()
    return (Caution(title=say("caution"), items=tuple(f"{', '.join(names)}: {text}" for text, names in told.items())),)
