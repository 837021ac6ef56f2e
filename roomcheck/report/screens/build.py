"""What `roomcheck build` shows: a sentence, what to buy, what hangs; on request all the rest."""

from __future__ import annotations

from collections.abc import Sequence

from roomcheck.job import Job
from roomcheck.report.pages.parts import blocks
from roomcheck.report.render.blocks import Align, Block, Heading, Table, Text
from roomcheck.report.shop_pages.shop_bench import piece_pages
from roomcheck.report.shop_pages.shop_cutting import cutting_pages
from roomcheck.report.shop_pages.shop_walls import refusals
from roomcheck.report.shop_pages.shopsheets import day_blocks, first_cautions, reader_of
from roomcheck.units import band_name
from roomcheck.words import (
    hours,
    length,
    money,
    pattern_in_short,
    say,
    shortened,
    stock_names,
    weight,
)
from roomcheck.workshop import BuildSheet, PatternChoice


def build_blocks(job: Job, sheet: BuildSheet, *, everything: bool = False) -> tuple[Block, ...]:
    """A build sheet for the terminal."""
    rest: tuple[Block, ...] = (Text(body=say("screen_build_rest"), small=True),)
    cautions: Sequence[Block] = refusals(sheet.hanging, reader_of(job))
    if everything:
        rest = blocks(
            cutting_pages(job, sheet),
            *(piece_pages(job, piece, sheet.cautions) for piece in sheet.sheets),
            day_blocks(job, sheet),
        )
        cautions = first_cautions(job, sheet)
    return blocks(
        Text(body=_summary(job, sheet)),
        cautions,
        _buy(job, sheet),
        _hang(job, sheet, everything=everything),
        rest,
    )


def _summary(job: Job, sheet: BuildSheet) -> str:
    pieces = ", ".join(f"{len(piece.names)} × {piece.piece}" for piece in sheet.sheets)
    return say(
        "screen_build",
        pieces=pieces or say("no_pieces"),
        weight=weight(sheet.weight_kg, job),
        build=hours(sheet.build_hours),
        install=hours(sheet.install_hours),
    )


def _buy(job: Job, sheet: BuildSheet) -> tuple[Block, ...]:
    rows = [
        (buy.item, f"{buy.packs} × {hours(buy.pack)} {buy.unit}", money(buy.cost, job))
        for buy in sheet.purchases
    ]
    heads = tuple(say(head) for head in ("head_item", "head_packs", "head_cost"))
    table = Table(heads=heads, rows=tuple(rows), align=("left", "right", "right"), wide=0)
    bought: tuple[Block, ...] = (Heading(text=say("buy")), table) if rows else ()
    if not sheet.unpriced:
        return bought
    names = ", ".join(stock_names(sheet.unpriced, job.units))
    return (*bought, Text(body=say("unpriced", items=names)))


MANY_PIECES = 12
"""More than so many are shown by wall and kind, and one by one on request alone."""


def _hang(job: Job, sheet: BuildSheet, *, everything: bool) -> tuple[Block, ...]:
    if not sheet.hanging:
        return ()
    if len(sheet.hanging) > MANY_PIECES and not everything:
        return (Heading(text=say("hang")), _by_wall(sheet))
    rows = tuple(
        (
            line.name,
            line.piece,
            line.face,
            length(line.left_m, job),
            length(line.top_m, job),
        )
        for line in sheet.hanging
    )
    heads = ("head_piece", "head_item", "head_place", "head_left_edge", "head_top")
    align: tuple[Align, ...] = ("left", "left", "left", "right", "right")
    table = Table(heads=tuple(map(say, heads)), rows=rows, align=align, wide=1)
    return (Heading(text=say("hang")), table)


def _by_wall(sheet: BuildSheet) -> Table:
    alike: dict[tuple[str, str], list[str]] = {}
    for line in sheet.hanging:
        alike.setdefault((line.face, line.piece), []).append(line.name)
    return Table(
        heads=tuple(say(head) for head in ("head_place", "head_item", "head_count", "head_hangs")),
        rows=tuple(
            (face, piece, str(len(names)), shortened(names))
            for (face, piece), names in alike.items()
        ),
        align=("left", "left", "right", "left"),
        wide=3,
    )


def pattern_blocks(job: Job, name: str, choices: Sequence[PatternChoice]) -> tuple[Block, ...]:
    """Block patterns of one panel side by side, best mean first."""
    reader = reader_of(job)
    bands = [band_name(band_hz) for band_hz, _ in choices[0].diffusion]
    rows = []
    for choice in choices:
        diffusion = [f"{coefficient:.2f}" for _, coefficient in choice.diffusion]
        pattern = pattern_in_short(choice.pattern, reader)
        stick = length(choice.stick_m, job)
        rows.append((pattern, *diffusion, f"{choice.mean:.3f}", str(choice.blocks), stick))
    right: Align = "right"
    table = Table(
        heads=(
            say("facts_pattern"),
            *bands,
            say("head_mean"),
            say("head_blocks"),
            say("head_stick"),
        ),
        rows=tuple(rows),
        align=("left", *[right] * (len(bands) + 3)),
        wide=0,
        note=say("screen_patterns_note"),
    )
    return (Heading(text=say("screen_patterns", piece=name)), table)
