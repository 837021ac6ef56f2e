"""The price: for the client its lines, tax and payments; for the shop alone what it costs."""

from __future__ import annotations

from collections.abc import Sequence

from roomcheck.job import Job
from roomcheck.quote import Line, PriceLine, Quote, extra_price
from roomcheck.report.render.blocks import Align, Block, Boxes, Heading, Table, Text
from roomcheck.words import Reader, hours, money, say, sentence


def price_rows(lines: Sequence[PriceLine], job: Job) -> tuple[tuple[str, str], ...]:
    """What each amount is for, and the amount."""
    reader = Reader("client", job.units)
    return tuple((sentence(line.item, reader), money(line.amount, job)) for line in lines)


def price_blocks(job: Job, quote: Quote) -> tuple[Block, ...]:
    """What the client pays: lines, tax, total, and when."""
    return (Heading(text=say("price")), _lines(job, quote), *_payments(job, quote))


def _lines(job: Job, quote: Quote) -> Table:
    rows = [
        (*row, money(line.tax, job))
        for row, line in zip(price_rows(quote.lines, job), quote.lines, strict=True)
    ]
    rows += [
        (say("net"), money(quote.net, job), money(quote.tax, job)),
        (say("tax", pct=hours(quote.tax_pct)), money(quote.tax, job), ""),
        (say("total"), money(quote.total, job), ""),
    ]
    heads = (say("head_item"), say("head_amount"), say("head_tax"))
    align: tuple[Align, ...] = ("left", "right", "right")
    # Tax has a column of its own where it is rounded line by line.
    columns = 3 if any(line.tax for line in quote.lines) else 2
    return Table(
        heads=heads[:columns],
        rows=tuple(row[:columns] for row in rows),
        align=align[:columns],
        wide=0,
        strong=(len(rows) - 1,),
    )


def _payments(job: Job, quote: Quote) -> tuple[Block, ...]:
    """Steps in which the total is paid; quotes signed before there were steps name the deposit."""
    if not quote.payments:
        deposit = money(quote.deposit, job)
        ends = say("payment", deposit=deposit, days=quote.valid_days)
        return (Text(body=say("schedule")), Text(body=ends))
    table = Table(
        heads=(say("head_step"), say("head_amount")),
        rows=price_rows(quote.payments, job),
        align=("left", "right"),
        wide=0,
    )
    return (table, Text(body=say("schedule")), Text(body=say("stands", days=quote.valid_days)))


def extra_boxes(job: Job, quote: Quote) -> tuple[Block, ...]:
    """Options that are not in the price, each as a box to tick; nothing where all are."""
    taken = {line.item["name"] for line in quote.lines if line.item.kind is Line.EXTRA}
    left = [extra for extra in job.extras if extra.name not in taken]
    items = [
        say("extra_box", name=extra.name, price=money(extra_price(job, extra), job))
        for extra in left
    ]
    return (Text(lead=f"{say('extras')}:", body=""), Boxes(items=tuple(items))) if items else ()


def cost_blocks(job: Job, quote: Quote) -> tuple[Block, ...]:
    """What it costs the shop, and the margin: never for a client."""
    summary = say(
        "our_price_says",
        cost=money(quote.cost, job),
        margin=money(quote.margin, job),
        margin_pct=quote.margin_pct,
        markup_pct=quote.markup_pct,
        net=money(quote.net, job),
    )
    table = Table(
        heads=(say("head_item"), say("head_cost")),
        rows=price_rows(quote.costs, job),
        align=("left", "right"),
        wide=0,
    )
    return (Heading(text=say("our_price")), Text(body=summary), table)
