"""Money: exact, rounded once, on the printed line."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from roomcheck.recommend import Plan


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceLine:
    """One printed line; already rounded to the currency's cents.

    Attributes
    ----------
    text : str
    amount : Decimal
    taxed : bool
    tax : Decimal
        On this line, where tax is rounded line by line; else 0, and the sum carries it.
    """

    text: str
    amount: Decimal
    taxed: bool = True
    tax: Decimal = Decimal(0)


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
    payments : tuple of PriceLine
        Steps in which the total is paid; they add up to it.
    taxed_net : Decimal or None
        What of the net carries tax; None for quotes that were signed before it was kept: all of it.
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
    payments: tuple[PriceLine, ...] = ()
    taxed_net: Decimal | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeOrder:
    """What was agreed after signing, in writing, before the work.

    Attributes
    ----------
    number : int
    text, signed_on, signed_by : str
        What changes; day (ISO 8601) and name as typed.
    net, tax, total : Decimal
        Negative where something is left out.
    days : int
        Added to the schedule.
    """

    number: int
    text: str
    signed_on: str
    signed_by: str
    net: Decimal
    tax: Decimal
    total: Decimal
    days: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Invoice:
    """What is due.

    Attributes
    ----------
    number, date : str
    lines : tuple of PriceLine
        The quote's own.
    changes : tuple of PriceLine
        One a change order, net.
    net, tax, total, paid, due : Decimal
        Sums of the printed lines; `due` is negative where money goes back.
    retained, retainage_pct : Decimal
        Held back until the punch list is done, out of the total. [%]
    order, terms, report : str
        The client's purchase order, when and how it is paid, the verification that it rests on;
        empty where none.
    """

    number: str
    date: str
    lines: tuple[PriceLine, ...]
    changes: tuple[PriceLine, ...]
    net: Decimal
    tax: Decimal
    total: Decimal
    paid: Decimal
    due: Decimal
    retained: Decimal = Decimal(0)
    retainage_pct: Decimal = Decimal(0)
    order: str = ""
    terms: str = ""
    report: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """One option that was offered: a plan and its price."""

    plan: Plan
    quote: Quote


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
    offered : tuple of Offer
        Every option as it stood at signing, the signed one among them; empty in agreements that are
        older than this field.
    """

    signed_on: str
    signed_by: str
    method: str
    plan: Plan
    quote: Quote
    offered: tuple[Offer, ...] = ()
