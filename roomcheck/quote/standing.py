"""Where a signed job stands: what was agreed with its changes, billed and paid, the promised
day."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from roomcheck.facts import fact
from roomcheck.quote.kinds import Line
from roomcheck.quote.results import Agreement, ChangeOrder, Invoice, PriceLine, Quote

_STEPS_BEFORE = (Line.ON_ACCEPTANCE, Line.ON_DELIVERY)


@dataclass(frozen=True, slots=True, kw_only=True)
class Balance:
    """A job's money, tax within."""

    agreed: Decimal = Decimal(0)
    """The signed total and its changes; once all is billed, the allowance only as it was used."""
    billed: Decimal = Decimal(0)
    """On invoices, credit notes taken off."""
    paid: Decimal = Decimal(0)
    """As the invoices say it."""
    open: Decimal = Decimal(0)
    """Agreed and not paid; below 0 where more was paid."""


def balance(
    agreement: Agreement, changes: Sequence[ChangeOrder], bills: Sequence[Invoice]
) -> Balance:
    """Hold what was agreed against what was billed and paid.

    Parameters
    ----------
    agreement : Agreement
    changes : sequence of ChangeOrder
        All that were signed.
    bills : sequence of Invoice
        Invoices and credit notes. What each invoice calls paid is all payments so far, so that the
        largest counts.
    """
    agreed = _agreed(agreement, changes, bills)
    billed = sum((bill.claimed for bill in bills), Decimal(0))
    paid = max((bill.paid for bill in bills), default=Decimal(0))
    return Balance(agreed=agreed, billed=billed, paid=paid, open=agreed - paid)


def _agreed(
    agreement: Agreement, changes: Sequence[ChangeOrder], bills: Sequence[Invoice]
) -> Decimal:
    whole = [bill for bill in bills if not bill.credits and bill.milestone not in _STEPS_BEFORE]
    if not whole:
        return agreement.quote.total + sum((change.total for change in changes), Decimal(0))
    on_it = {dict(line.item.values)["number"] for line in whole[-1].changes}
    later = [change.total for change in changes if change.number not in on_it]
    return whole[-1].total + sum(later, Decimal(0))


def as_changed(agreement: Agreement, changes: Sequence[ChangeOrder]) -> Agreement:
    """What was signed, with every change order that was signed after it.

    Parameters
    ----------
    agreement : Agreement
    changes : sequence of ChangeOrder
        In the order of their numbers.

    Returns
    -------
    Agreement
        The pieces and the promise of the last change of pieces; the price with one line a change.
    """
    plans = (agreement.plan, *(change.plan for change in changes if change.plan is not None))
    return replace(agreement, plan=plans[-1], quote=with_changes(agreement.quote, changes))


def with_changes(quote: Quote, changes: Sequence[ChangeOrder]) -> Quote:
    """A signed price with one line a change order, and the new total.

    What is added is due with the delivery; what is left out comes off the last steps first.
    """
    if not changes:
        return quote
    net = sum((change.net for change in changes), Decimal(0))
    tax = sum((change.tax for change in changes), Decimal(0))
    cost = sum((change.cost or Decimal(0) for change in changes), Decimal(0))
    taxed = sum((change.net for change in changes if change.tax), Decimal(0))
    costs = [replace(change_line(c), amount=c.cost) for c in changes if c.cost is not None]
    known = all(change.cost is not None for change in changes)
    return replace(
        quote,
        lines=(*quote.lines, *map(change_line, changes)),
        net=quote.net + net,
        tax=quote.tax + tax,
        total=quote.total + net + tax,
        costs=(*quote.costs, *costs),
        cost=quote.cost + cost,
        margin=quote.margin + net - cost if known else quote.margin,
        payments=_steps(quote.payments, net + tax),
        taxed_net=None if quote.taxed_net is None else quote.taxed_net + taxed,
    )


def change_line(change: ChangeOrder) -> PriceLine:
    """A change order as a line of a price or an invoice."""
    item = fact(Line.CHANGE, number=change.number, text=change.text)
    return PriceLine(item=item, amount=change.net, taxed=bool(change.tax))


def _steps(payments: Sequence[PriceLine], more: Decimal) -> tuple[PriceLine, ...]:
    """Steps of the payments whose sum is greater by so much, or smaller."""
    amounts = [step.amount for step in payments]
    if more > 0:
        on_delivery = [i for i, step in enumerate(payments) if step.item.kind is Line.ON_DELIVERY]
        amounts[on_delivery[0] if on_delivery else -1] += more
        more = Decimal(0)
    for i in reversed(range(len(amounts))):
        off = max(more, -amounts[i])
        amounts[i], more = amounts[i] + off, more - off
    return tuple(
        replace(step, amount=amount) for step, amount in zip(payments, amounts, strict=True)
    )


def together(balances: Iterable[Balance]) -> Balance:
    """Sum of several jobs, all in one currency."""
    jobs = tuple(balances)
    return Balance(
        agreed=sum((job.agreed for job in jobs), Decimal(0)),
        billed=sum((job.billed for job in jobs), Decimal(0)),
        paid=sum((job.paid for job in jobs), Decimal(0)),
        open=sum((job.open for job in jobs), Decimal(0)),
    )


def promised_day(agreement: Agreement, changes: Sequence[ChangeOrder] = ()) -> datetime.date | None:
    """The day of the second measurement as it was promised: the day of signing, the plan's weeks,
    and the days that changes have added; None where the plan names no weeks, or no day was signed.
    """
    if agreement.plan.weeks is None:
        return None
    try:
        signed = datetime.date.fromisoformat(agreement.signed_on)
    except ValueError:
        return None
    added = sum(change.days for change in changes)
    return signed + datetime.timedelta(weeks=agreement.plan.weeks, days=added)
