"""Where a signed job stands: what was agreed, billed and paid, and the day that was promised."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from roomcheck.quote.kinds import Line
from roomcheck.quote.results import Agreement, ChangeOrder, Invoice

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
