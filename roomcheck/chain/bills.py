"""Invoices and credit notes of a signed job: worked out, set as documents and kept as one step."""

from __future__ import annotations

import datetime
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING

from roomcheck.chain.changes import refuse_earlier
from roomcheck.errors import RoomcheckError
from roomcheck.job import Put, holding, write_bill
from roomcheck.plain import to_plain

if TYPE_CHECKING:
    from roomcheck.chain.results import Chain
    from roomcheck.quote import Invoice, Line

Written = tuple["Invoice", tuple[Path, ...]]
"""A paper as it is kept, its file, and its documents."""


def write_invoice(
    chain: Chain,
    *,
    number: str,
    day: str,
    paid: Decimal = Decimal(0),
    milestone: Line | None = None,
    order: str = "",
    bill_to: str = "",
    allowance_used: Decimal = Decimal(0),
) -> Written:
    """Bill a step of the agreed payments, or all that is due.

    Parameters
    ----------
    chain : Chain
        Of a signed job.
    number, day : str
        Of the invoice; ISO 8601.
    paid : Decimal
        All payments so far.
    milestone : Line or None
        Which step; None for all that is due.
    order, bill_to : str
        The client's purchase order and address.
    allowance_used : Decimal
        Of the allowance, net.

    Raises
    ------
    NotSigned, CannotBill
    ValueError
        A negative payment, or no number.
    """
    from roomcheck.quote import invoice, read_bills, read_change_orders

    rates, folder = chain.job.shop.rates, chain.job.folder
    refuse_earlier(chain.first_signed, day)
    with holding(folder):
        bill = invoice(
            chain.first_signed.quote,
            number=number,
            date=day,
            paid=paid,
            changes=read_change_orders(folder),
            retainage_pct=rates.retainage_pct,
            order=order,
            terms=rates.terms,
            verified=chain.has_takes("after"),
            earlier=read_bills(folder),
            milestone=milestone,
            allowance_used=allowance_used,
        )
        days = datetime.timedelta(days=rates.payment_days)
        bill = replace(
            bill,
            due_on=(datetime.date.fromisoformat(day) + days).isoformat(),
            pay_to=rates.pay_to,
            tax_id=rates.tax_id,
            bill_to=bill_to,
        )
        return _kept(chain, bill)


def write_credit(
    chain: Chain, *, number: str, against: str, day: str, amount: Decimal | None = None
) -> Written:
    """Take an invoice back, or a part of it.

    Parameters
    ----------
    chain : Chain
        Of a signed job.
    number, against : str
        Of the credit note, and of the invoice.
    day : str
        ISO 8601.
    amount : Decimal or None
        Tax within; None for all that the invoice claims.

    Raises
    ------
    CannotBill
    RoomcheckError
        There is no such invoice.
    """
    from roomcheck.quote import credit_note, read_bills

    refuse_earlier(chain.first_signed, day)
    with holding(chain.job.folder):
        bills = read_bills(chain.job.folder)
        bill = next((one for one in bills if one.number == against), None)
        if bill is None:
            known = ", ".join(one.number for one in bills) or "none"
            raise RoomcheckError(
                f"credit note against {against!r}: no invoice of that number; there is {known}"
            )
        back = bill.claimed if amount is None else amount
        note = credit_note(bill, number=number, date=day, amount=back, earlier=bills)
        return _kept(chain, note)


def _kept(chain: Chain, bill: Invoice) -> Written:
    """Keep an invoice or credit note with its documents."""
    from roomcheck.report import bill_files, bill_name

    folder = chain.job.folder
    files = [Put(path=name, data=data) for name, data in bill_files(chain.job, bill)]
    kept = write_bill(folder, bill_name(bill), to_plain(bill), files)
    return bill, (kept, *(folder / put.path for put in files))
