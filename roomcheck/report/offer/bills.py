"""Change orders and invoices as documents for the client: no cost and no margin stands here."""

from __future__ import annotations

from decimal import Decimal

from roomcheck.job import Job, Placement
from roomcheck.quote import ChangeOrder, Invoice, Line, PieceChange
from roomcheck.report.offer.front import signature_svg
from roomcheck.report.offer.price import price_rows
from roomcheck.report.pages.parts import blocks
from roomcheck.report.render.blocks import (
    Align,
    Block,
    Document,
    Facts,
    Heading,
    Picture,
    Signature,
    Table,
    Text,
)
from roomcheck.report.render.html import html_of
from roomcheck.report.render.letterhead import letterhead_of
from roomcheck.report.render.typst_page import pdf_of
from roomcheck.units import band_name
from roomcheck.words import NONE, length, limits, money, quantity, say


def bill_files(job: Job, bill: Invoice | ChangeOrder) -> tuple[tuple[str, bytes | str], ...]:
    """PDF and page for a telephone: each file's path within the job's folder, and its content."""
    if isinstance(bill, Invoice):
        document = invoice_document(job, bill)
    else:
        document = change_document(job, bill)
    letterhead = letterhead_of(job)
    return (
        (f"documents/{document.name}.pdf", pdf_of(document, letterhead)),
        (f"documents/{document.name}.html", html_of(document, letterhead)),
    )


def invoice_document(job: Job, bill: Invoice) -> Document:
    """Who bills whom, lines by option, changes apart, tax, what was billed, paid and held back,
    what
    is due, when and how."""
    shop = job.shop
    sender = ", ".join(text for text in (shop.name, shop.address, shop.contact) if text)
    facts = (
        (say("bill_credit_number" if bill.credits else "bill_number"), bill.number),
        (say("date"), bill.date),
        (say("bill_from"), sender),
        (say("client"), ", ".join(text for text in (job.client, bill.bill_to) if text)),
        (say("bill_order"), bill.order),
        (say("bill_report"), say("bill_report_says") if bill.verified else ""),
        (say("bill_due_on"), bill.due_on if bill.due else ""),
        (say("bill_terms"), bill.terms),
        (say("bill_pay_to"), bill.pay_to if bill.due else ""),
        (say("bill_tax_id"), bill.tax_id),
    )
    lien: tuple[Block, ...] = (Text(body=say("bill_lien"), small=True),) if bill.due else ()
    title = say("bill_credit_title", number=bill.number, credits=bill.credits)
    if not bill.credits:
        title = say("bill_title", number=bill.number)
    return Document(
        name=f"invoice-{bill_name(bill)}",
        title=title,
        subtitle=say("proposal_sub", title=job.title, client=job.client),
        blocks=blocks(
            Facts(pairs=tuple(pair for pair in facts if pair[1])), invoice_table(job, bill), lien
        ),
    )


def invoice_table(job: Job, bill: Invoice) -> Table:
    """Lines, changes, tax, what was billed, paid and held back, what is due."""
    rows = price_rows((*bill.lines, *bill.changes), job)
    sums = [
        (say("net"), money(bill.net, job)),
        (say("bill_tax_pct", pct=quantity(bill.tax_pct)), money(bill.tax, job)),
        (say("total"), money(bill.total, job)),
    ]
    ahead = max(bill.paid - bill.billed, Decimal(0))
    step = bill.milestone in (Line.ON_ACCEPTANCE, Line.ON_DELIVERY)
    taken_off = (
        (say("bill_billed"), Decimal(0) if step else bill.billed),
        (say("bill_ahead" if bill.billed else "bill_paid"), ahead),
        (say("bill_retained", pct=quantity(bill.retainage_pct)), bill.retained),
        (say("bill_not_yet"), bill.not_yet),
    )
    sums += [(text, money(-amount, job)) for text, amount in taken_off if amount]
    if bill.credit:
        sums.append((say("bill_credit"), money(bill.credit, job)))
    else:
        sums.append((say("bill_due"), money(bill.due, job)))
    return Table(
        heads=(say("head_item"), say("head_amount")),
        rows=(*rows, *sums),
        align=("left", "right"),
        wide=0,
        strong=(len(rows) + len(sums) - 1,),
    )


def change_document(job: Job, change: ChangeOrder) -> Document:
    """What changes, what that costs, how many days, and who signs before the work."""
    return Document(
        name=f"change-{change.number}",
        title=say("change_title", number=change.number),
        subtitle=say("proposal_sub", title=job.title, client=job.client),
        blocks=blocks(
            Heading(text=say("change_what")),
            Text(body=change.text),
            pieces_table(job, change),
            change_table(job, change),
            Text(body=say("change_days", days=change.days)),
            changed_promise(job, change),
            _agreed_by(change),
        ),
    )


def _agreed_by(change: ChangeOrder) -> tuple[Block, ...]:
    """Who agreed and when; where to sign on paper, unless it was drawn by hand."""
    lines = Signature(who=(say("sign_client"), say("sign_shop")), date=say("date"))
    if not change.signed_by:
        return (lines,)
    by = say("change_signed", name=change.signed_by, day=change.signed_on)
    if change.signature:
        return (Picture(svg=signature_svg(change.signature), alt=by, caption=by),)
    return (Text(body=by), lines)


def pieces_table(job: Job, change: ChangeOrder) -> tuple[Block, ...]:
    """Which pieces come, go, are exchanged or move; nothing where none does."""
    if not change.pieces:
        return ()
    heads = ("head_change_name", "head_change_what", "head_change_was", "head_change_now")
    rows = tuple(
        (one.name, say(f"change_{_what(one)}"), _at(job, one.was), _at(job, one.now))
        for one in change.pieces
    )
    left: tuple[Align, ...] = ("left", "left", "left", "left")
    table = Table(heads=tuple(map(say, heads)), rows=rows, align=left, wide=3)
    return (Heading(text=say("change_pieces"), level=2), table)


def _what(change: PieceChange) -> str:
    if change.was is None:
        return "added"
    if change.now is None:
        return "removed"
    return "moved" if change.was.piece == change.now.piece else "exchanged"


def _at(job: Job, placed: Placement | None) -> str:
    """A piece and where it hangs."""
    if placed is None:
        return NONE
    corner = job.shop.piece(placed.piece).kind == "corner"
    return say(
        "change_corner" if corner else "change_at",
        piece=placed.piece,
        face=placed.face,
        left=length(placed.place.u_m, job),
        bottom=length(placed.place.v_m, job),
    )


def changed_promise(job: Job, change: ChangeOrder) -> tuple[Block, ...]:
    """What is promised with the pieces as changed; nothing where none changes."""
    plan = change.plan
    if plan is None:
        return ()
    low_s, high_s = plan.promise.mid_low_s, plan.promise.mid_high_s
    bands = plan.promise.bands
    before = {b.band_hz: limits(b.low_s, b.high_s) for b in change.bands_before}
    table = Table(
        heads=(say("head_band"), say("change_before"), say("head_promise")),
        rows=tuple(
            (band_name(b.band_hz), before.get(b.band_hz, NONE), limits(b.low_s, b.high_s))
            for b in bands
        ),
        align=("left", "right", "right"),
        wide=0,
    )
    mid: tuple[Block, ...] = ()
    if low_s is not None:
        mid = (Text(body=say("change_mid", range=limits(low_s, high_s))),)
    unreached = () if plan.reaches_target else (Text(body=say("change_unreached")),)
    return blocks(Heading(text=say("change_promise"), level=2), mid, table, unreached)


def change_table(job: Job, change: ChangeOrder) -> Table:
    """What the change costs."""
    rows = [
        (say("net"), money(change.net, job)),
        (say("bill_tax"), money(change.tax, job)),
        (say("total"), money(change.total, job)),
    ]
    if change.job_total is not None:
        rows.append((say("change_total"), money(change.job_total, job)))
    return Table(
        heads=(say("head_item"), say("head_amount")),
        rows=tuple(rows),
        align=("left", "right"),
        wide=0,
        strong=(2,),
    )


def bill_name(bill: Invoice) -> str:
    """An invoice's number as part of a file's name."""
    return "".join(c if c.isalnum() or c in "-_" else "-" for c in bill.number.strip())
