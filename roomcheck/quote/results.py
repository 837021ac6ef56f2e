"""Money: exact, rounded once, on the printed line."""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal

from roomcheck.facts import Fact
from roomcheck.job import Placement
from roomcheck.quote.kinds import Assumption, Exclusion, Line
from roomcheck.recommend import Plan, PromisedBand


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceLine:
    """One printed line; already rounded to the currency's cents."""

    item: Fact[Line] = field(metadata={"was": "text"})
    amount: Decimal
    taxed: bool = True
    tax: Decimal = Decimal(0)
    """On this line, where tax is rounded line by line; else 0, and the sum carries it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Quote:
    """What the client pays, and what it costs the shop."""

    lines: tuple[PriceLine, ...]
    """For the client; no cost or margin among them."""
    net: Decimal
    """Sum of the printed lines."""
    tax_pct: Decimal
    """[%]"""
    tax: Decimal
    total: Decimal
    """Net and tax."""
    deposit: Decimal
    """Due on acceptance."""
    valid_days: int
    costs: tuple[PriceLine, ...]
    """Lines of what it costs the shop, for the shop alone."""
    cost: Decimal
    """Their sum, for the shop alone."""
    margin: Decimal
    """What the net is above the cost, for the shop alone."""
    margin_pct: Decimal
    """Margin of the price, for the shop alone [%]."""
    markup_pct: Decimal
    """Margin on the cost, for the shop alone [%]."""
    assumptions: tuple[Fact[Assumption], ...]
    exclusions: tuple[Fact[Exclusion], ...]
    payments: tuple[PriceLine, ...] = ()
    """Steps in which the total is paid; they add up to it."""
    taxed_net: Decimal | None = None
    """What of the net carries tax; None for quotes that were signed before it was kept: all of
    it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceChange:
    """One piece of the plan before and after a change order."""

    name: str
    was: Placement | None = None
    """None for a piece that is added."""
    now: Placement | None = None
    """None for a piece that is left out."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeOrder:
    """What was agreed after signing, in writing, before the work."""

    number: int
    text: str
    """What changes, as typed."""
    signed_on: str
    """Day, ISO 8601."""
    signed_by: str
    """Name as typed."""
    net: Decimal
    """Negative where something is left out."""
    tax: Decimal
    total: Decimal
    days: int
    """Added to the schedule."""
    cost: Decimal | None = None
    """To the shop, for the shop alone; None in orders that are older than this field."""
    pieces: tuple[PieceChange, ...] = ()
    """Added, left out, exchanged or hung elsewhere, by their names."""
    plan: Plan | None = None
    """All pieces with the promise as they stand from then on; None where none of them changes."""
    bands_before: tuple[PromisedBand, ...] = ()
    """What was promised until then, where pieces change."""
    job_total: Decimal | None = None
    """Of the job with this change, tax within; None in orders that are older than this field."""
    signature: str = ""
    """As drawn by hand, as an agreement's; "" where the name alone was typed."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Invoice:
    """What is due."""

    number: str
    date: str
    """Day, ISO 8601."""
    lines: tuple[PriceLine, ...]
    """The quote's own."""
    changes: tuple[PriceLine, ...]
    """One a change order, net."""
    net: Decimal
    """Sum of the printed lines."""
    tax: Decimal
    total: Decimal
    paid: Decimal
    due: Decimal
    """To pay now; 0 where nothing is."""
    claimed: Decimal = Decimal(0)
    """What this paper asks for, whatever was paid ahead; below 0 on a credit note."""
    credit: Decimal = Decimal(0)
    """What was paid beyond all that is billed, and goes back."""
    billed: Decimal = Decimal(0)
    """On earlier invoices, credit notes taken off."""
    not_yet: Decimal = Decimal(0)
    """Of the total, due when the result is measured: not billed before that."""
    milestone: Line | None = None
    """The step of the agreed payments that it bills; None for all that is due."""
    credits: str = ""
    """Number of the invoice that it takes back, of a credit note."""
    due_on: str = ""
    """Day, ISO 8601."""
    pay_to: str = ""
    tax_id: str = ""
    tax_pct: Decimal = Decimal(0)
    """[%]"""
    bill_to: str = ""
    """The client's address, as typed."""
    retained: Decimal = Decimal(0)
    """Held back until the punch list is done, out of the total."""
    retainage_pct: Decimal = Decimal(0)
    """[%]"""
    order: str = ""
    """The client's purchase order, as typed."""
    terms: str = ""
    """When and how it is paid, as the shop's file says it."""
    verified: bool = False
    """The room was measured again after the work."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Offer:
    """One option that was offered: a plan and its price."""

    plan: Plan
    quote: Quote


@dataclass(frozen=True, slots=True, kw_only=True)
class Agreement:
    """What was signed: kept as it was, never rebuilt."""

    signed_on: str
    """Day, ISO 8601."""
    signed_by: str
    """Name as typed."""
    method: str
    """Version of roomcheck's methods."""
    plan: Plan
    """With its promise."""
    quote: Quote
    offered: tuple[Offer, ...] = ()
    """Every option as it stood at signing, the signed one among them; empty in agreements that are
    older than this field."""
    signature: str = ""
    """As drawn by hand: an SVG path, see `parse_signature`; "" where the name alone was typed."""
