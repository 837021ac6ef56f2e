"""After signing: change orders and invoices, from amounts that are already rounded."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from decimal import Decimal

from roomcheck.errors import RoomcheckError
from roomcheck.facts import fact
from roomcheck.quote.kinds import Line
from roomcheck.quote.price import cents, price_for
from roomcheck.quote.results import ChangeOrder, Invoice, PriceLine, Quote
from roomcheck.quote.standing import change_line, with_changes


def change_order(
    quote: Quote,
    *,
    number: int,
    text: str,
    cost: Decimal,
    margin_pct: Decimal,
    signed_on: str,
    signed_by: str,
    days: int = 0,
) -> ChangeOrder:
    """Price a change from its cost as the quote was, at the quote's tax.

    Parameters
    ----------
    quote : Quote
        The signed one.
    cost : Decimal
        To the shop; negative for what is left out.
    margin_pct : Decimal
        Of the price. [%]

    Raises
    ------
    ValueError
        No words, no signature, or a margin that is not below 100 %.
    """
    for name, value in (("text", text), ("signed_on", signed_on), ("signed_by", signed_by)):
        if not value.strip():
            raise ValueError(
                f"{name}: found nothing; a change is written and signed before the work"
            )
    if not 0 <= margin_pct < 100:
        raise ValueError(f"margin_pct: found {margin_pct}, needed 0 or above and below 100")
    net = cents(price_for(cost, margin_pct))
    tax = cents(net * quote.tax_pct / 100)
    return ChangeOrder(
        number=number,
        text=text,
        signed_on=signed_on,
        signed_by=signed_by,
        net=net,
        tax=tax,
        total=net + tax,
        days=days,
        cost=cents(cost),
    )


MILESTONES = {
    "deposit": Line.ON_ACCEPTANCE,
    "delivery": Line.ON_DELIVERY,
    "final": Line.ON_RESULT,
}
"""Steps of the agreed payments as people call them."""


class CannotBill(RoomcheckError):
    """An invoice of what was not ordered, did not happen, or was billed before."""


def invoice(
    quote: Quote,
    *,
    number: str,
    date: str,
    paid: Decimal,
    changes: Sequence[ChangeOrder] = (),
    retainage_pct: Decimal = Decimal(0),
    order: str = "",
    terms: str = "",
    verified: bool = False,
    earlier: Sequence[Invoice] = (),
    milestone: Line | None = None,
    allowance_used: Decimal = Decimal(0),
) -> Invoice:
    """Work out what is due after the quote, its changes, what was billed, paid and held back.

    A step of the agreed payments bills its share of the total, as the changes have made it. Without
    one, and with the last one, everything is billed that was not before: lines of the quote,
    the allowance only as far as it was used, and the changes. What is due on the result waits
    until it is measured.

    Parameters
    ----------
    quote : Quote
        The signed one.
    number, date : str
        Of the invoice; day as ISO 8601.
    paid : Decimal
        So far, all payments together.
    changes : sequence of ChangeOrder
    retainage_pct : Decimal
        Held back out of the total until the punch list is done. [%]
    order, terms : str
        The client's purchase order; when and how it is paid.
    verified : bool
        The room was measured again after the work.
    earlier : sequence of Invoice
        Invoices and credit notes of the job.
    milestone : Line or None
        `ON_ACCEPTANCE`, `ON_DELIVERY` or `ON_RESULT`.
    allowance_used : Decimal
        Of the allowance, net.

    Raises
    ------
    ValueError
        A negative payment, no number, two change orders of one number, or a retainage outside 0 to
        100 %.
    CannotBill
        The number is taken, the step was billed, was not agreed or did not happen, or more of the
        allowance is used than there is.
    """
    _check(number, paid, changes, retainage_pct)
    _refuse_taken(number, earlier)
    if milestone is not None:
        _check_step(quote, number, milestone, earlier, verified)
    bill = Invoice(
        number=number,
        date=date,
        lines=(),
        changes=(),
        net=Decimal(0),
        tax=Decimal(0),
        total=Decimal(0),
        paid=paid,
        due=Decimal(0),
        billed=sum((bill.claimed for bill in earlier), Decimal(0)),
        milestone=milestone,
        retainage_pct=retainage_pct,
        order=order,
        terms=terms,
        tax_pct=quote.tax_pct,
        verified=verified,
    )
    if milestone in (Line.ON_ACCEPTANCE, Line.ON_DELIVERY):
        return _step(bill, with_changes(quote, changes), milestone)
    return _rest(bill, quote, changes, allowance_used)


def credit_note(
    bill: Invoice, *, number: str, date: str, amount: Decimal, earlier: Sequence[Invoice]
) -> Invoice:
    """Take back an invoice, or a part of it.

    Parameters
    ----------
    bill : Invoice
        That is taken back.
    amount : Decimal
        Of what it claimed, tax included; above 0.
    earlier : sequence of Invoice
        Invoices and credit notes of the job.

    Raises
    ------
    CannotBill
        The number is taken, or more is taken back than was billed.
    """
    _check(number, Decimal(0), (), Decimal(0))
    _refuse_taken(number, earlier)
    most = bill.claimed + _taken_back(bill, earlier)
    if bill.credits or not 0 < amount <= most:
        raise CannotBill(
            f"credit note {number}: {amount} of invoice {bill.number}, of which {most} can be "
            f"taken "
            "back; needed more than 0 and no more than that"
        )
    tax = cents(amount * bill.tax / bill.total) if bill.total else Decimal(0)
    line = PriceLine(item=fact(Line.CREDIT, number=bill.number), amount=tax - amount)
    return replace(
        bill,
        number=number,
        date=date,
        lines=(line,),
        changes=(),
        net=tax - amount,
        tax=-tax,
        total=-amount,
        paid=Decimal(0),
        due=Decimal(0),
        claimed=-amount,
        credit=amount,
        billed=Decimal(0),
        not_yet=Decimal(0),
        retained=Decimal(0),
        milestone=None,
        credits=bill.number,
    )


def _check(
    number: str, paid: Decimal, changes: Sequence[ChangeOrder], retainage_pct: Decimal
) -> None:
    if paid < 0:
        raise ValueError(f"paid: found {paid}, needed 0 or above")
    if not number.strip():
        raise ValueError("number: found nothing; an invoice has a number")
    if not 0 <= retainage_pct <= 100:
        raise ValueError(f"retainage_pct: found {retainage_pct}, needed 0 to 100")
    if len({change.number for change in changes}) != len(changes):
        raise ValueError("changes: two have one number")


def _refuse_taken(number: str, earlier: Sequence[Invoice]) -> None:
    if any(bill.number.strip() == number.strip() for bill in earlier):
        raise CannotBill(
            f"invoice {number}: that number is on a paper of this job already, and a number is "
            f"never "
            "used again; take the next one, or a credit note for what was wrong"
        )


def _check_step(
    quote: Quote, number: str, milestone: Line, earlier: Sequence[Invoice], verified: bool
) -> None:
    name = next(name for name, kind in MILESTONES.items() if kind is milestone)
    if not any(step.item.kind is milestone for step in quote.payments):
        raise CannotBill(f"invoice {number}: {name} is no step of the signed payments")
    for bill in earlier:
        if bill.milestone is milestone and bill.claimed + _taken_back(bill, earlier) > 0:
            raise CannotBill(f"invoice {number}: {name} is billed already, on {bill.number}")
    if milestone is Line.ON_RESULT and not verified:
        raise CannotBill(
            f"invoice {number}: the last step is due when the result is measured, and there are no "
            "recordings after the work yet"
        )


def _taken_back(bill: Invoice, earlier: Sequence[Invoice]) -> Decimal:
    """Sum of the credit notes against an invoice; 0 or below."""
    return sum((note.claimed for note in earlier if note.credits == bill.number), Decimal(0))


def _step(bill: Invoice, quote: Quote, milestone: Line) -> Invoice:
    """One step of the agreed payments: its share of the total, tax within."""
    steps = [step.amount for step in quote.payments if step.item.kind is milestone]
    amount = sum(steps, Decimal(0))
    tax = cents(amount * quote.tax / quote.total) if quote.total else Decimal(0)
    ahead = max(bill.paid - bill.billed, Decimal(0))
    return replace(
        bill,
        lines=(PriceLine(item=fact(milestone), amount=amount - tax),),
        net=amount - tax,
        tax=tax,
        total=amount,
        claimed=amount,
        due=max(amount - ahead, Decimal(0)),
        credit=max(ahead - amount, Decimal(0)),
    )


def _rest(
    bill: Invoice, quote: Quote, changes: Sequence[ChangeOrder], allowance_used: Decimal
) -> Invoice:
    """Everything that was ordered and happened, less what was billed or paid before."""
    lines = tuple(_as_used(quote, allowance_used))
    net = sum((line.amount for line in lines), Decimal(0))
    tax = _tax(quote, lines)
    net += sum((change.net for change in changes), Decimal(0))
    tax += sum((change.tax for change in changes), Decimal(0))
    retained = cents((net + tax) * bill.retainage_pct / 100)
    steps = with_changes(quote, changes).payments
    last = [step.amount for step in steps if step.item.kind is Line.ON_RESULT]
    not_yet = Decimal(0) if bill.verified else sum(last, Decimal(0))
    claimed = net + tax - retained - not_yet - bill.billed
    open_amount = claimed - max(bill.paid - bill.billed, Decimal(0))
    return replace(
        bill,
        lines=lines,
        changes=tuple(change_line(change) for change in changes),
        net=net,
        tax=tax,
        total=net + tax,
        claimed=max(claimed, Decimal(0)),
        due=max(open_amount, Decimal(0)),
        credit=max(-open_amount, Decimal(0)),
        not_yet=not_yet,
        retained=retained,
    )


def _as_used(quote: Quote, allowance_used: Decimal) -> Iterator[PriceLine]:
    """The quote's lines; the allowance only as far as it was used."""
    agreed = [line.amount for line in quote.lines if line.item.kind is Line.ALLOWANCE]
    if not 0 <= allowance_used <= sum(agreed, Decimal(0)):
        raise CannotBill(
            f"allowance: {allowance_used} used, and {sum(agreed, Decimal(0))} was agreed; more "
            f"needs "
            "a change order"
        )
    for line in quote.lines:
        if line.item.kind is not Line.ALLOWANCE:
            yield line
        elif allowance_used:
            tax = cents(allowance_used * quote.tax_pct / 100) if line.tax else Decimal(0)
            yield replace(line, amount=allowance_used, tax=tax)


def _tax(quote: Quote, lines: Sequence[PriceLine]) -> Decimal:
    """Tax of lines, rounded as the quote's was: on every line, or once."""
    if any(line.tax for line in quote.lines):
        return sum((line.tax for line in lines), Decimal(0))
    taxed = [line for line in lines if line.taxed or quote.taxed_net is None]
    return cents(sum((line.amount for line in taxed), Decimal(0)) * quote.tax_pct / 100)
