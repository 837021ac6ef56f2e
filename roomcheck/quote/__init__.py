"""Quantities and hours to money."""

from roomcheck.quote.price import quote
from roomcheck.quote.results import Agreement, PriceLine, Quote

__all__ = ["Agreement", "PriceLine", "Quote", "quote"]
