"""Quantities and hours to money."""

from __future__ import annotations

from typing import TYPE_CHECKING

from roomcheck.doors import door

if TYPE_CHECKING:
    from roomcheck.quote.billing import MILESTONES, CannotBill, change_order, credit_note, invoice
    from roomcheck.quote.exchanged import order_of_pieces, piece_changes
    from roomcheck.quote.kinds import Assumption, Caveat, Exclusion, Line
    from roomcheck.quote.price import extra_price, quote
    from roomcheck.quote.results import (
        Agreement,
        ChangeOrder,
        Invoice,
        Offer,
        PieceChange,
        PriceLine,
        Quote,
    )
    from roomcheck.quote.signing import caveats
    from roomcheck.quote.soundness import flaws, read_bills, read_change_orders
    from roomcheck.quote.standing import Balance, as_changed, balance, promised_day, together
    from roomcheck.quote.survey import VisitFee, visit_fee

__all__ = [
    "MILESTONES",
    "Agreement",
    "Assumption",
    "Balance",
    "CannotBill",
    "Caveat",
    "ChangeOrder",
    "Exclusion",
    "Invoice",
    "Line",
    "Offer",
    "PieceChange",
    "PriceLine",
    "Quote",
    "VisitFee",
    "as_changed",
    "balance",
    "caveats",
    "change_order",
    "credit_note",
    "extra_price",
    "flaws",
    "invoice",
    "order_of_pieces",
    "piece_changes",
    "promised_day",
    "quote",
    "read_bills",
    "read_change_orders",
    "together",
    "visit_fee",
]

__getattr__, __dir__ = door(__name__)
