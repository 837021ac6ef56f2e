"""What `roomcheck quote` shows: the price, all plans side by side, a change, an invoice."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

from roomcheck.job import Job
from roomcheck.quote import Agreement, ChangeOrder, Invoice, Offer, Quote
from roomcheck.report.offer.bills import change_table, changed_promise, invoice_table, pieces_table
from roomcheck.report.offer.price import cost_blocks, price_blocks
from roomcheck.report.pages.parts import blocks
from roomcheck.report.render.blocks import Block, Bullets, Heading, Table, Text
from roomcheck.words import Reader, money, plan_title, say


def quote_blocks(
    job: Job, quote: Quote, *, signed: Agreement | None = None, shop: bool = False
) -> tuple[Block, ...]:
    """A price, as signed where `signed` is given; for the `shop` its own costs in place of the
    client's lines."""
    total = Text(body=say("screen_quote", total=money(quote.total, job)))
    agreed: tuple[Block, ...] = ()
    if signed is not None:
        text = say("screen_signed", name=signed.signed_by, day=signed.signed_on)
        agreed = (Text(body=text),)
    lines = cost_blocks(job, quote) if shop else price_blocks(job, quote)
    return blocks(total, lines, agreed)


def option_blocks(job: Job, offered: Sequence[Offer]) -> tuple[Block, ...]:
    """Prices of all plans side by side."""
    rows = tuple(
        (
            str(number),
            plan_title(offer.plan, Reader(units=job.units)),
            str(len(offer.plan.pieces)),
            money(offer.quote.total, job),
        )
        for number, offer in enumerate(offered, 1)
    )
    heads = ("head_option", "head_plan", "head_count", "head_total")
    table = Table(
        heads=tuple(map(say, heads)), rows=rows, align=("right", "left", "right", "right"), wide=1
    )
    return (Heading(text=say("screen_options")), table)


def bill_blocks(job: Job, bill: Invoice | ChangeOrder, files: Sequence[Path]) -> tuple[Block, ...]:
    """An invoice or a change order, and where it was written."""
    written = Bullets(items=tuple(map(str, files)))
    if isinstance(bill, Invoice):
        due = say("screen_due", due=money(bill.due, job), total=money(bill.total, job))
        return (Text(body=due), invoice_table(job, bill), written)
    end = written if bill.signed_by else Text(body=say("change_draft"))
    return (*order_blocks(job, bill), end)


def order_blocks(job: Job, order: ChangeOrder) -> tuple[Block, ...]:
    """What a change order does to pieces, price and promise."""
    total = money(order.total, job)
    change = say("screen_change", number=order.number, total=total, days=order.days)
    return blocks(
        Text(body=change),
        pieces_table(job, order),
        change_table(job, order),
        changed_promise(job, order),
    )
