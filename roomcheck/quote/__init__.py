"""Quantities and hours to money."""

from roomcheck.quote.billing import change_order, invoice
from roomcheck.quote.kinds import Assumption, Exclusion, Line
from roomcheck.quote.price import quote
from roomcheck.quote.results import Agreement, ChangeOrder, Invoice, Offer, PriceLine, Quote
from roomcheck.quote.soundness import flaws, read_change_orders

__all__ = [
    "Agreement",
    "Assumption",
    "ChangeOrder",
    "Exclusion",
    "Invoice",
    "Line",
    "Offer",
    "PriceLine",
    "Quote",
    "change_order",
    "flaws",
    "invoice",
    "quote",
    "read_change_orders",
]
