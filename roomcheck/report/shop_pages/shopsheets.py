"""What the shop cuts and the installer hangs. Costs stand here, so these pages never go to a
client."""

from __future__ import annotations

from roomcheck.job import Job
from roomcheck.quote import Quote
from roomcheck.recommend import Plan
from roomcheck.report.offer.price import cost_blocks
from roomcheck.report.pages.parts import blocks
from roomcheck.report.render.blocks import (
    Align,
    Block,
    Boxes,
    CautionBox,
    Document,
    Heading,
    Table,
    Text,
)
from roomcheck.report.render.names import SHOP_SHEETS
from roomcheck.report.shop_pages.shop_bench import jig_blocks, piece_pages
from roomcheck.report.shop_pages.shop_cutting import cutting_pages
from roomcheck.report.shop_pages.shop_walls import refusals, wall_pages
from roomcheck.words import (
    Reader,
    hours,
    money,
    plan_title,
    quantity,
    say,
    sentences,
    stock_names,
    task_text,
    weight,
)
from roomcheck.workshop import BuildSheet, Purchase


def shop_sheets(
    job: Job, plan: Plan | None, sheet: BuildSheet, quote: Quote | None = None
) -> Document:
    """Buy list, cut tickets, days, one sheet a kind of piece, costs, one sheet a wall.

    `plan` is None for pieces that hang nowhere yet.
    """
    planning = Text(body=say("planning")) if job.shop.made_up else ()
    return Document(
        name=SHOP_SHEETS if plan else "build-sheets",
        title=say("shop_title" if plan else "bench_title"),
        subtitle=_subtitle(job, plan),
        tight=True,
        blocks=blocks(
            Text(body=say("shop_only")),
            planning,
            first_cautions(job, sheet),
            _totals(job, sheet),
            _buy(job, sheet),
            day_blocks(job, sheet),
            cutting_pages(job, sheet),
            jig_blocks(job, sheet),
            *(piece_pages(job, piece, sheet.cautions, sheet.hanging) for piece in sheet.sheets),
            cost_blocks(job, quote) if quote else (),
            wall_pages(job, plan, sheet) if plan else (),
        ),
    )


def first_cautions(job: Job, sheet: BuildSheet) -> tuple[Block, ...]:
    """What must not be hung, and what everybody must know before they begin."""
    reader = reader_of(job)
    cautions = CautionBox(title=say("first"), items=sentences(sheet.cautions, reader))
    return (*refusals(sheet.hanging, reader), *((cautions,) if cautions.items else ()))


def reader_of(job: Job) -> Reader:
    """Who reads the shop's sheets."""
    return Reader("contractor", job.units)


def _totals(job: Job, sheet: BuildSheet) -> Text:
    in_all = weight(sheet.weight_kg, job)
    return Text(
        body=say(
            "totals",
            weight=in_all,
            build=hours(sheet.build_hours),
            install=hours(sheet.install_hours),
        )
    )


def _buy(job: Job, sheet: BuildSheet) -> tuple[Block, ...]:
    rows = tuple(
        (
            p.item,
            f"{quantity(p.net)} {p.unit}",
            f"{quantity(p.with_waste)} {p.unit}",
            packs_text(p),
            money(p.cost, job),
            f"{quantity(p.left)} {p.unit}",
        )
        for p in sheet.purchases
    )
    heads = ("head_item", "head_need", "head_waste", "head_packs", "head_cost", "head_left")
    table = Table(
        heads=tuple(say(h) for h in heads), rows=rows, align=("left", *("right",) * 5), wide=0
    )
    lack = (
        (Text(body=say("unpriced", items=", ".join(stock_names(sheet.unpriced, job.units)))),)
        if sheet.unpriced
        else ()
    )
    spare: tuple[Block, ...] = ()
    if any(purchase.reserve for purchase in sheet.purchases):
        spare = (Text(body=say("reserve_says"), small=True),)
    return (Heading(text=say("buy")), table, *spare, *lack) if rows else lack


def packs_text(purchase: Purchase) -> str:
    """Packs to buy, and those to take along in reserve."""
    packs = f"{purchase.packs} × {quantity(purchase.pack)} {purchase.unit}"
    return say("with_reserve", packs=packs, reserve=purchase.reserve) if purchase.reserve else packs


def day_blocks(job: Job, sheet: BuildSheet) -> tuple[Block, ...]:
    if not sheet.days:
        return ()
    reader = reader_of(job)
    rows = []
    for day in sheet.days:
        work = "; ".join(task_text(task, reader) for task in day.work)
        rows.append((str(day.day), say(f"place_{day.place}"), work, hours(day.hours)))
    heads = (say("head_day"), say("head_place"), say("head_work"), say("head_hours"))
    align: tuple[Align, ...] = ("right", "left", "left", "right")
    table = Table(heads=heads, rows=tuple(rows), align=align, wide=2)
    days = (Heading(text=say("days"), level=2), table)
    if not sheet.pick_list:
        return days
    van = Boxes(items=sentences(sheet.pick_list, reader))
    return (*days, Heading(text=say("pick"), level=2), van)


def _subtitle(job: Job, plan: Plan | None) -> str:
    if plan is None:
        return job.title
    return say("shop_sub", title=job.title, plan=plan_title(plan, Reader(units=job.units)))
