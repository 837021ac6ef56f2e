"""A change of what was signed, from a form: priced by its cost, or by the pieces it changes."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from roomcheck.chain import Chain, pieces_after, propose_change
from roomcheck.errors import RoomcheckError
from roomcheck.job import Job
from roomcheck.quote import ChangeOrder, change_order
from roomcheck.recommend import Exchange
from roomcheck.typed import MoneyError, parse_money

Form = Mapping[str, str]


def worked_out(chain: Chain, form: Form) -> ChangeOrder:
    """A change order from a form: what it would cost and promise; nothing is kept.

    Raises
    ------
    RoomcheckError
    """
    text = form.get("text", "").strip()
    if not text:
        raise RoomcheckError("say what changes, in words for the client")
    act = form.get("act", "none")
    cost = amount_of(chain.job, form.get("cost", "").strip() or "0", below_zero=True)
    days = _days(form.get("days", ""))
    if act == "none":
        if not cost and not days:
            raise RoomcheckError(
                "say what the change costs you, or how many days it adds; with - for what is less"
            )
        return _by_cost(chain, text, cost, days or 0)
    pieces = pieces_after(chain, _wish(act, form))
    return propose_change(chain, pieces, text=text, more_cost=cost, days=days)


def _by_cost(chain: Chain, text: str, cost: Decimal, days: int) -> ChangeOrder:
    """A change of no piece; whose name and day stand there follows at the signature."""
    return change_order(
        chain.first_signed.quote,
        number=len(chain.changes) + 1,
        text=text,
        cost=cost,
        margin_pct=chain.job.shop.rates.margin_pct,
        signed_on="-",
        signed_by="-",
        days=days,
    )


def _wish(act: str, form: Form) -> Exchange:
    piece, stock, face = (form.get(key, "") for key in ("piece", "stock", "face"))
    where = (face, form.get("left", "").strip(), form.get("bottom", "").strip())
    if act == "add":
        return Exchange(add=((stock, *where),))
    if act == "remove":
        return Exchange(remove=(piece,))
    if act == "exchange":
        return Exchange(exchange=((piece, stock),))
    if act == "move":
        return Exchange(move=((piece, *where),))
    raise RoomcheckError(f"{act!r} is nothing that a change can do; choose one of the list")


def _days(text: str) -> int | None:
    stripped = text.strip()
    if not stripped:
        return None
    if not (stripped.isascii() and stripped.isdecimal()):
        raise RoomcheckError(f"days: {text!r} is no whole number of days")
    return int(stripped)


def amount_of(job: Job, text: str, *, below_zero: bool = False) -> Decimal:
    """An amount of money as typed, in whole cents.

    Raises
    ------
    RoomcheckError
    """
    try:
        amount = parse_money(text, job.currency, below_zero=below_zero)
    except MoneyError as problem:
        raise RoomcheckError(str(problem)) from problem
    if amount != round(amount, 2) or abs(amount) >= 10**9:
        raise RoomcheckError(f"{text!r}: whole cents, below a thousand million")
    return amount
