"""Quantities and hours to money."""

from roomcheck.quote.billing import MILESTONES, CannotBill, change_order, credit_note, invoice
from roomcheck.quote.kinds import Assumption, Exclusion, Line
from roomcheck.quote.price import quote
from roomcheck.quote.results import Agreement, ChangeOrder, Invoice, Offer, PriceLine, Quote
from roomcheck.quote.soundness import flaws, read_bills, read_change_orders
from roomcheck.quote.survey import VisitFee, visit_fee

__all__ = [
    "MILESTONES",
    "Agreement",
    "Assumption",
    "CannotBill",
    "ChangeOrder",
    "Exclusion",
    "Invoice",
    "Line",
    "Offer",
    "PriceLine",
    "Quote",
    "VisitFee",
    "change_order",
    "credit_note",
    "flaws",
    "invoice",
    "quote",
    "read_bills",
    "read_change_orders",
    "visit_fee",
]
