"""What the shop cuts and the installer hangs. Costs stand here, so these pages never go to a client."""

from __future__ import annotations

from collections.abc import Sequence

from roomcheck.build import BuildSheet, HangingLine, PieceSheet
from roomcheck.job import Job
from roomcheck.recommend import Plan
from roomcheck.report.blocks import Block, Boxes, Caution, Document, Heading, NewPage, Table, Text
from roomcheck.report.data import NONE, by, hours, length, money, quantity, size, weight
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
            Caution(title=say("first"), items=sheet.cautions or items("first_items")),
            _totals(job, sheet),
            _buy(job, sheet),
            *(_piece(job, piece) for piece in sheet.sheets),
            *_walls(job, plan, sheet),
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
    heights = sorted({height for row in rows for height in row if height > 0})
    name, legend = _step_names(job, heights)
    steps = "·".join(name[height] for height in reversed(heights))
    told = ", ".join(f"{sum(list(row).count(h) for row in rows)} × {size(h, job)}" for h in reversed(heights))
    wide = max(map(len, name.values()))
    return (
        NewPage(),
        Heading(text=say("row_map"), level=2),
        Caution(title=say("caution"), items=(say("row_map_says", unit=legend),)),
        Text(body=say("counts", counts=told)),
        Table(
            heads=(
                say("head_done"),
                say("head_row"),
                say("head_blocks"),
                say("head_row_counts", steps=steps),
            ),
            rows=tuple(
                ("☐", f"{i:02d}", _fours([name[h] for h in row], wide), _tally(row, heights))
                for i, row in enumerate(rows, 1)
            ),
            align=("center", "right", "left", "left"),
            wide=3,
            mono=True,
        ),
    )


def _step_names(job: Job, heights: Sequence[float]) -> tuple[dict[float, str], str]:
    """What each height is called on the map: its inches where they are whole, else a number with a legend."""
    inches = [height / M_PER_IN for height in heights]
    if job.units == "imperial" and all(abs(x - round(x)) < 1e-6 for x in inches):
        return {0.0: "0", **{h: f"{x:.0f}" for h, x in zip(heights, inches, strict=True)}}, say("steps_inches")
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


def _walls(job: Job, plan: Plan, sheet: BuildSheet) -> tuple[Block, ...]:
    if not sheet.hanging:
        return ()
    found: list[Block] = [NewPage(), Heading(text=say("hang")), plan_picture(job, plan.pieces, positions=False)]
    found += [Heading(text=say("day"), level=2), Boxes(items=items("day_items"))]
    hung = {line.face for line in sheet.hanging}
    for face in (face for face in job.room.faces if face.name in hung):
        lines = [line for line in sheet.hanging if line.face == face.name]
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
        sizes = by(line.width_m, line.height_m, job)
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
