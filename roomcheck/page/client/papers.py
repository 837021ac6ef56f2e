"""After the signature: change orders, invoices, credit notes, as they are kept and from forms."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from roomcheck.chain import Chain, sign_change, write_credit, write_invoice
from roomcheck.errors import RoomcheckError
from roomcheck.job import Job
from roomcheck.page.planning.changes import amount_of, worked_out
from roomcheck.quote import MILESTONES, ChangeOrder, Invoice, balance, read_bills
from roomcheck.report import bill_name, html_blocks, order_blocks
from roomcheck.words import Reader, money, sentence

Form = Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Signed:
    """One change order that was signed."""

    number: int
    text: str
    total: str
    signed: str
    """Who, and when."""
    days: int
    pdf: str


@dataclass(frozen=True, slots=True)
class Billed:
    """One invoice or credit note."""

    number: str
    date: str
    what: str
    total: str
    due: str
    pdf: str
    html: str
    credits: str
    """Number of the invoice that it takes back; "" of an invoice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AfterPage:
    """All that is shown of a signed job's money."""

    sums: tuple[tuple[str, str], ...]
    """Agreed, billed, paid, open."""
    changes: tuple[Signed, ...]
    bills: tuple[Billed, ...]
    pieces: tuple[str, ...]
    """Names of those that stand."""
    stock: tuple[str, ...]
    faces: tuple[str, ...]
    steps: tuple[tuple[str, str], ...]
    """Steps of the agreed payments: key and what it is."""
    next_step: str
    """The first of them that no invoice asks for yet; "" where the last invoice comes next."""
    paid: str
    """So far, as the last invoice says it."""
    allowance: str
    """What was agreed for the unforeseen; "" where nothing was."""


def after_page(chain: Chain) -> AfterPage:
    """The money of a signed job, from what is kept.

    Raises
    ------
    NotSigned
        Or one of the papers cannot be read.
    """
    job, standing = chain.job, chain.standing
    bills = read_bills(job.folder)
    found = balance(chain.first_signed, chain.changes, bills)
    titles = ("Agreed", "Billed", "Paid", "Open")
    amounts = (found.agreed, found.billed, found.paid, found.open)
    reader = Reader(who="client", units=job.units)
    steps = {kind: name for name, kind in MILESTONES.items()}
    lines = [line for line in standing.quote.lines if line.item.kind == "allowance"]
    asked = {bill.milestone for bill in bills if not bill.credits}
    coming = () if None in asked else standing.quote.payments
    kinds = [one.item.kind for one in coming if one.item.kind not in asked]
    left = [steps[kind] for kind in kinds if kind in steps]
    return AfterPage(
        sums=tuple((title, money(one, job)) for title, one in zip(titles, amounts, strict=True)),
        changes=tuple(_signed(job, order) for order in chain.changes),
        bills=tuple(_billed(job, bill, reader) for bill in bills),
        pieces=tuple(piece.name for piece in standing.plan.pieces),
        stock=tuple(piece.name for piece in job.shop.stock),
        faces=tuple(face.name for face in job.room.faces if face.kind != "floor"),
        steps=tuple(
            (steps[step.item.kind], f"{sentence(step.item, reader)}, {money(step.amount, job)}")
            for step in standing.quote.payments
            if step.item.kind in steps
        ),
        next_step=left[0] if left else "",
        paid=str(found.paid),
        allowance=money(lines[0].amount, job) if lines else "",
    )


def _signed(job: Job, order: ChangeOrder) -> Signed:
    by = f"{order.signed_by}, {order.signed_on}"
    name = f"change-{order.number}.pdf"
    return Signed(order.number, order.text, money(order.total, job), by, order.days, name)


def _billed(job: Job, bill: Invoice, reader: Reader) -> Billed:
    what = "all that is due"
    if bill.credits:
        what = f"takes back of {bill.credits}"
    elif bill.milestone is not None:
        what = next(name for name, kind in MILESTONES.items() if kind is bill.milestone)
    name = f"invoice-{bill_name(bill)}"
    return Billed(
        bill.number,
        bill.date,
        what,
        money(bill.claimed, job),
        money(bill.due, job),
        f"{name}.pdf",
        f"{name}.html",
        bill.credits,
    )


@dataclass(frozen=True, slots=True)
class Draft:
    """A change order that is worked out, to be looked at and signed."""

    html: str
    total: str
    exact: str
    """The same as a plain number: what a signature is given for."""


def draft(chain: Chain, form: Form) -> Draft:
    """A change order from a form, as the client reads it.

    Raises
    ------
    RoomcheckError
    """
    order = worked_out(chain, form)
    blocks = order_blocks(chain.job, replace(order, signed_by=""))
    return Draft(html_blocks(blocks), money(order.total, chain.job), str(order.total))


def sign_worked_out(chain: Chain, form: Form, day: str) -> ChangeOrder:
    """Sign a change order for just what was shown.

    Raises
    ------
    RoomcheckError
        No name, no tick, or another price than the one that was shown.
    """
    who = form.get("name", "").strip()
    if not who or form.get("sure") != "on":
        raise RoomcheckError("a name is needed, and the tick that it was accepted today")
    order = worked_out(chain, form)
    if form.get("total", "") != str(order.total):
        raise RoomcheckError(
            f"the change costs {money(order.total, chain.job)} now, and that is not what stood "
            "here: look at it again, then sign it. Nothing was signed"
        )
    return sign_change(chain, order, who, day, form.get("signature", ""))[0]


def bill(chain: Chain, form: Form, day: str) -> Invoice:
    """Write an invoice from a form.

    Raises
    ------
    RoomcheckError
    """
    job, step = chain.job, form.get("step", "")
    if step and step not in MILESTONES:
        raise RoomcheckError(f"{step!r} is no step of the payments; choose one of the list")
    return write_invoice(
        chain,
        number=_number(form),
        day=day,
        paid=amount_of(job, form.get("paid", "").strip() or "0"),
        milestone=MILESTONES[step] if step else None,
        order=form.get("order", "").strip(),
        bill_to=form.get("bill_to", "").strip() or job.client_address,
        allowance_used=amount_of(job, form.get("allowance", "").strip() or "0"),
    )[0]


def credit(chain: Chain, form: Form, day: str) -> Invoice:
    """Write a credit note from a form.

    Raises
    ------
    RoomcheckError
    """
    text = form.get("amount", "").strip()
    return write_credit(
        chain,
        number=_number(form),
        against=form.get("against", ""),
        day=day,
        amount=amount_of(chain.job, text) if text else None,
    )[0]


def _number(form: Form) -> str:
    number = form.get("number", "").strip()
    if not number:
        raise RoomcheckError("it needs a number, such as 2026-014; a number is never used twice")
    return number
