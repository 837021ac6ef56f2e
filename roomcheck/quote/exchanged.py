"""A change order that adds, leaves out, exchanges or moves pieces, at its price."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal

from roomcheck.job import Placement
from roomcheck.quote.price import cents, price_for
from roomcheck.quote.results import ChangeOrder, Offer, PieceChange

DAYS_A_WEEK = 7


def order_of_pieces(
    before: Offer,
    after: Offer,
    *,
    number: int,
    text: str,
    margin_pct: Decimal,
    more_cost: Decimal = Decimal(0),
    days: int | None = None,
) -> ChangeOrder:
    """Price a change of pieces as the difference of both plans at today's prices.

    What was signed is not priced again: the difference stands beside it.

    Parameters
    ----------
    before, after : Offer
        The pieces as they stand and as they would, both with today's price.
    number : int
    text : str
        What changes, in words.
    margin_pct : Decimal
        Of the price of `more_cost`. [%]
    more_cost : Decimal
        What else the change costs the shop, such as a second way; below 0 where less.
    days : int or None
        Added to the schedule; None for what the weeks of both plans differ by, never fewer.

    Returns
    -------
    ChangeOrder
        Not signed: `signed_on` and `signed_by` are empty.

    Raises
    ------
    ValueError
        No words, or nothing changes.
    """
    pieces = piece_changes(before.plan.pieces, after.plan.pieces)
    if not text.strip() or not pieces:
        raise ValueError("text, pieces: found nothing; a change says what changes")
    more = cents(price_for(more_cost, margin_pct))
    net = after.quote.net - before.quote.net + more
    tax = after.quote.tax - before.quote.tax + cents(more * after.quote.tax_pct / 100)
    if days is None:
        weeks = (after.plan.weeks or 0) - (before.plan.weeks or 0)
        days = max(DAYS_A_WEEK * weeks, 0)
    return ChangeOrder(
        number=number,
        text=text,
        signed_on="",
        signed_by="",
        net=net,
        tax=tax,
        total=net + tax,
        days=days,
        cost=after.quote.cost - before.quote.cost + cents(more_cost),
        pieces=pieces,
        plan=after.plan,
        bands_before=before.plan.promise.bands,
    )


def piece_changes(
    before: Sequence[Placement], after: Sequence[Placement]
) -> tuple[PieceChange, ...]:
    """What differs between two sets of pieces, by their names."""
    was = {piece.name: replace(piece, reasons=()) for piece in before}
    now = {piece.name: replace(piece, reasons=()) for piece in after}
    return tuple(
        PieceChange(name=name, was=was.get(name), now=now.get(name))
        for name in dict.fromkeys((*was, *now))
        if was.get(name) != now.get(name)
    )
