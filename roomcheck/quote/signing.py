"""Before and at the signature: what a client should have been told, and what was drawn by hand."""

from __future__ import annotations

import re
from decimal import Decimal
from itertools import pairwise

from roomcheck.errors import RoomcheckError
from roomcheck.facts import Fact, fact
from roomcheck.quote.kinds import Caveat
from roomcheck.quote.results import Offer

SIGNATURE_FIELD = WIDE, HIGH = 600, 200
"""The field that a signature is drawn in; its path is of whole numbers within. [1]"""

MOST_POINTS = 4000
"""A longer path is no signature."""

LEAST_INK = 40
"""Length of the shortest path that somebody can have meant. [units of the field]"""

_PATH = re.compile(r"(?:M\d{1,3} \d{1,3}(?:L\d{1,3} \d{1,3})+)+", re.A)
_POINT = re.compile(r"([ML])(\d{1,3}) (\d{1,3})")


class NoSignature(RoomcheckError):
    """What was drawn cannot be kept as a signature."""

    def __init__(self, why: str) -> None:
        self.why = why
        super().__init__(
            f"the drawn signature was not kept: {why}. Clear the field and draw it once more, or "
            "leave it empty: the typed name counts"
        )


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


def signature_path(text: str) -> str:
    """Return a drawn signature's path, checked; "" where nothing was drawn.

    Parameters
    ----------
    text : str
        SVG path of moves and lines between whole numbers, in a field of `WIDE` by `HIGH`.

    Raises
    ------
    NoSignature
        It holds anything else, leaves the field, or is too long or too short to be one.

    Examples
    --------
    >>> signature_path("M10 20L300 90L40 60")
    'M10 20L300 90L40 60'
    """
    stripped = text.strip()
    if not stripped:
        return ""
    if len(stripped) > 10 * MOST_POINTS or _PATH.fullmatch(stripped) is None:
        raise NoSignature("it is no path of whole numbers, or far too long")
    points = [(step, int(x), int(y)) for step, x, y in _POINT.findall(stripped)]
    if len(points) > MOST_POINTS:
        raise NoSignature(f"it has {len(points)} points, and {MOST_POINTS} are the most")
    if any(x > WIDE or y > HIGH for _, x, y in points):
        raise NoSignature(f"it leaves the field of {WIDE} by {HIGH}")
    if _ink(points) < LEAST_INK:
        raise NoSignature("it is hardly more than a dot")
    return stripped


def _ink(points: list[tuple[str, int, int]]) -> float:
    """Length of what was drawn. [units of the field]"""
    return sum(
        ((x - before_x) ** 2 + (y - before_y) ** 2) ** 0.5
        for (_, before_x, before_y), (step, x, y) in pairwise(points)
        if step == "L"
    )
