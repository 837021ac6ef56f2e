"""After signing: change orders and invoices, from amounts that are already rounded."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from roomcheck.facts import fact
from roomcheck.quote.kinds import Line
from roomcheck.quote.price import cents, price_for
from roomcheck.quote.results import ChangeOrder, Invoice, PriceLine, Quote


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
    )


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
) -> Invoice:
    """Work out what is due after the quote, its changes, what was paid, and what is held back.

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

    Raises
    ------
    ValueError
        A negative payment, no number, two change orders of one number, or a retainage outside 0 to
        100 %.
    """
    if paid < 0:
        raise ValueError(f"paid: found {paid}, needed 0 or above")
    if not number.strip():
        raise ValueError("number: found nothing; an invoice has a number")
    if not 0 <= retainage_pct <= 100:
        raise ValueError(f"retainage_pct: found {retainage_pct}, needed 0 to 100")
    if len({change.number for change in changes}) != len(changes):
        raise ValueError("changes: two have one number")
    net = quote.net + sum((change.net for change in changes), Decimal(0))
    tax = quote.tax + sum((change.tax for change in changes), Decimal(0))
    retained = cents((net + tax) * retainage_pct / 100)
    return Invoice(
        number=number,
        date=date,
        lines=quote.lines,
        changes=tuple(_change_line(change) for change in changes),
        net=net,
        tax=tax,
        total=net + tax,
        paid=paid,
        due=net + tax - paid - retained,
        retained=retained,
        retainage_pct=retainage_pct,
        order=order,
        terms=terms,
        verified=verified,
    )


def _change_line(change: ChangeOrder) -> PriceLine:
    item = fact(Line.CHANGE, number=change.number, text=change.text)
    return PriceLine(item=item, amount=change.net)
