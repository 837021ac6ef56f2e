"""Money: exact, rounded once, on the printed line."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from roomcheck.recommend import Plan


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceLine:
    """One printed line; already rounded to the currency's cents."""

    text: str
    amount: Decimal


@dataclass(frozen=True, slots=True, kw_only=True)
class Quote:
    """What the client pays, and what it costs the shop.

    Attributes
    ----------
    lines : tuple of PriceLine
        For the client; no cost or margin among them.
    net, tax, total : Decimal
        Sums of the printed lines.
    tax_pct : Decimal
        [%]
    deposit : Decimal
        Due on acceptance.
    valid_days : int
    costs : tuple of PriceLine
        For the shop alone.
    cost, margin, margin_pct, markup_pct : Decimal
        For the shop alone. Margin is of the price, markup of the cost. [%]
    assumptions, exclusions : tuple of str
    """

    lines: tuple[PriceLine, ...]
    net: Decimal
    tax_pct: Decimal
    tax: Decimal
    total: Decimal
    deposit: Decimal
    valid_days: int
    costs: tuple[PriceLine, ...]
    cost: Decimal
    margin: Decimal
    margin_pct: Decimal
    markup_pct: Decimal
    assumptions: tuple[str, ...]
    exclusions: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Agreement:
    """What was signed: kept as it was, never rebuilt.

    Attributes
    ----------
    signed_on, signed_by, method : str
        Day (ISO 8601), name as typed, version of roomcheck's methods.
    plan : Plan
        With its promise.
    quote : Quote
    """

    signed_on: str
    signed_by: str
    method: str
    plan: Plan
    quote: Quote
