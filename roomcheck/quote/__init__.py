"""Quantities and hours to money."""

from roomcheck.quote.billing import change_order, invoice
from roomcheck.quote.price import quote
from roomcheck.quote.results import Agreement, ChangeOrder, Invoice, Offer, PriceLine, Quote

__all__ = [
    "Agreement",
    "ChangeOrder",
    "Invoice",
    "Offer",
    "PriceLine",
    "Quote",
    "change_order",
    "invoice",
    "quote",
]
