"""What pieces cost, roughly and fast: the quote works it out exactly."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from decimal import ROUND_CEILING, Decimal

from roomcheck.geometry import Kind
from roomcheck.job import Job, Placement, Shop, StockPiece

HUNDRED = Decimal(100)
CENT = Decimal("0.01")
TWO_PEOPLE_KG = 22.7


def people(piece: StockPiece, face: Kind) -> int:
    """How many hang it: two overhead and from 50 lb up (common practice)."""
    return 2 if face == "ceiling" or piece.weight_kg >= TWO_PEOPLE_KG else 1


def cost_of(piece: StockPiece, shop: Shop, hands: int = 1) -> Decimal:
    """Materials with their waste and hours of one piece that so many people hang, packs shared with
    the others."""
    prices = {price.item: price for price in shop.prices}
    bought = sum(
        (
            Decimal(repr(need.amount))
            * (1 + prices[need.item].waste_pct / HUNDRED)
            * prices[need.item].price
            / prices[need.item].pack
            for need in piece.needs
            if need.item in prices
        ),
        Decimal(0),
    )
    return bought + (piece.build_hours + hands * piece.install_hours) * shop.rates.hour


def price_of(pieces: Iterable[tuple[StockPiece, int]], shop: Shop) -> Decimal:
    """What a client would pay for these pieces, packs bought whole, tax included; not rounded.

    Parameters
    ----------
    pieces : iterable of (StockPiece, int)
        One entry a piece to hang, and how many people hang it.
    shop : Shop

    Returns
    -------
    Decimal
        0 where there is nothing to hang.
    """
    pieces = tuple(pieces)
    if not pieces:
        return Decimal(0)
    amounts: dict[str, Decimal] = defaultdict(Decimal)
    for piece, _ in pieces:
        for need in piece.needs:
            amounts[need.item] += Decimal(repr(need.amount))
    bought = Decimal(0)
    for price in shop.prices:
        packs = amounts[price.item] * (1 + price.waste_pct / HUNDRED) / price.pack
        bought += packs.to_integral_value(ROUND_CEILING) * price.price
    hours = sum(
        (piece.build_hours + hands * piece.install_hours for piece, hands in pieces), Decimal(0)
    )
    rates = shop.rates
    asked = max(_asked(bought + hours * rates.hour + fixed_cost(shop), shop), rates.minimum_job)
    return (asked - rates.survey_fee) * (1 + rates.tax_pct / HUNDRED)


def estimate(job: Job, pieces: Sequence[Placement]) -> Decimal:
    """What a client would pay for these pieces where they hang, to the cent."""
    stock = [job.shop.piece(p.piece) for p in pieces]
    hung = [(s, people(s, job.room.face(p.face).kind)) for s, p in zip(stock, pieces, strict=True)]
    return price_of(hung, job.shop).quantize(CENT)


def fixed_cost(shop: Shop) -> Decimal:
    """What a job costs however much hangs in it: travel, consumables, disposal, work by others,
    survey and so on."""
    rates = shop.rates
    bought = rates.travel + rates.consumables + rates.disposal + rates.subcontract
    return bought + (rates.survey_hours + rates.verify_hours) * rates.hour


def budget_for_pieces(budget: Decimal, shop: Shop) -> Decimal:
    """What is left of a client's budget for the cost of pieces; below 0 where the visit alone costs
    more."""
    net = budget / (1 + shop.rates.tax_pct / HUNDRED) + shop.rates.survey_fee
    return net / _asked(Decimal(1), shop) - fixed_cost(shop)


def cost_share(shop: Shop) -> Decimal:
    """Cost that stands behind one unit of a client's price."""
    return 1 / (1 + shop.rates.tax_pct / HUNDRED) / _asked(Decimal(1), shop)


def _asked(cost: Decimal, shop: Shop) -> Decimal:
    rates = shop.rates
    return cost / (1 - rates.margin_pct / HUNDRED) * (1 + rates.contingency_pct / HUNDRED)


def weeks_of(pieces: Sequence[StockPiece], shop: Shop) -> int | None:
    """From acceptance to the second visit: ordering, building, a week for hanging and measuring;
    planning values."""
    if not pieces or shop.rates.bench_hours_week <= 0:
        return None
    build = sum((piece.build_hours for piece in pieces), Decimal(0)) / shop.rates.bench_hours_week
    return int((shop.rates.lead_weeks + build).to_integral_value(ROUND_CEILING)) + 1
