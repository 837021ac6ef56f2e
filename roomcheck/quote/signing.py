"""Before the signature: what whoever signs should have been told."""

from __future__ import annotations

from decimal import Decimal

from roomcheck.facts import Fact, fact
from roomcheck.quote.kinds import Caveat
from roomcheck.quote.results import Offer


def caveats(
    offer: Offer, *, budget: Decimal | None, currency: str, planning_values: bool
) -> tuple[Fact[Caveat], ...]:
    """What is said before somebody signs.

    Parameters
    ----------
    offer : Offer
    budget : Decimal or None
        Of the client, with tax.
    currency : str
    planning_values : bool
        Whether the shop's prices are those that roomcheck came with.
    """
    plan, total = offer.plan, offer.quote.total
    found = []
    if budget is not None and total > budget:
        over = {"price": float(total), "budget": float(budget), "over": float(total - budget)}
        found.append(fact(Caveat.OVER_BUDGET, currency=currency, **over))
    if not plan.reaches_target:
        found.append(fact(Caveat.MISSES_TARGET))
    if not plan.promise.bands and plan.promise.mid_high_s is None:
        found.append(fact(Caveat.NO_PROMISE))
    if planning_values:
        found.append(fact(Caveat.PLANNING_VALUES))
    return tuple(found)
