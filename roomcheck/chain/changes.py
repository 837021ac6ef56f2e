"""After signing: a change of pieces, or of anything else, worked out first, then signed as one
step."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING

from roomcheck.chain.inputs import digest, job_inputs
from roomcheck.chain.method import method_of
from roomcheck.errors import RoomcheckError
from roomcheck.job import Placement, Put, holding, write_change
from roomcheck.plain import to_plain

if TYPE_CHECKING:
    from roomcheck.chain.results import Chain
    from roomcheck.quote import Agreement, ChangeOrder, Offer
    from roomcheck.recommend import Exchange


class CannotChange(RoomcheckError):
    """A change order that would not hold; nothing was written."""

    def __init__(self, problem: str) -> None:
        super().__init__(f"{problem}. Nothing was changed.")


def pieces_after(chain: Chain, wish: Exchange) -> tuple[Placement, ...]:
    """The pieces that stand, with what the client wants otherwise.

    Raises
    ------
    NotSigned, NoSuchExchange
    """
    from roomcheck.recommend import exchanged

    return exchanged(chain.job, chain.standing.plan.pieces, wish, _names_given(chain))


def propose_change(
    chain: Chain,
    pieces: Sequence[Placement],
    *,
    text: str,
    more_cost: Decimal = Decimal(0),
    days: int | None = None,
) -> ChangeOrder:
    """What these pieces instead of those that stand would cost and promise; nothing is written.

    Parameters
    ----------
    chain : Chain
        Of a signed job.
    pieces : sequence of Placement
        All that shall hang, by the names they have; new ones by names that none had.
    text : str
        What changes, in words for the client.
    more_cost : Decimal
        What else it costs the shop.
    days : int or None
        Added to the schedule; None for what the plans' weeks differ by.

    Returns
    -------
    ChangeOrder
        With the whole new plan and its promise, not signed yet: see `sign_change`.

    Raises
    ------
    NotSigned
    CannotChange
        Nothing changes, a name was of another piece before, or a piece may not hang there.
    """
    from roomcheck.quote import ChangeOrder, order_of_pieces

    standing, job = chain.standing, chain.job
    _check(chain, standing, pieces)
    number = _next_number(chain.changes)
    inputs = job_inputs(job, ("recommend", "predict", "workshop", "quote"))
    asked = [number, text, more_cost, days, pieces, standing.plan]
    made_from = digest([chain.verdict_from("before"), inputs, asked, method_of("quote")])
    kept = chain.results.read("change", made_from, ChangeOrder)
    if kept is not None:
        return kept
    order = order_of_pieces(
        _priced(chain, standing),
        _drawn(chain, pieces),
        number=number,
        text=text,
        margin_pct=job.shop.rates.margin_pct,
        more_cost=more_cost,
        days=days,
    )
    order = replace(order, job_total=standing.quote.total + order.total)
    return chain.results.write("change", made_from, ChangeOrder, order)


def sign_change(
    chain: Chain, order: ChangeOrder, name: str, day: str, signature: str = ""
) -> tuple[ChangeOrder, tuple[Path, ...]]:
    """Keep a change order that the client signs, with its documents, as one step: from then on
    build sheet, price, promise and invoices follow it.

    Parameters
    ----------
    chain : Chain
    order : ChangeOrder
        From `propose_change`, or priced by its cost.
    name, day : str
        Who signs; ISO 8601.
    signature : str
        As drawn by hand, an SVG path; "" where the name alone was typed.

    Returns
    -------
    order, files
        As it is signed; the file kept and the documents.

    Raises
    ------
    CannotChange
        No name, the very same is signed already, or the pieces changed since it was worked out.
    SignatureError
        What was drawn is none.
    """
    from roomcheck.quote import as_changed, read_change_orders
    from roomcheck.report import bill_files
    from roomcheck.typed import parse_signature

    if not name.strip() or not day.strip():
        raise CannotChange("a change needs the name of who signs it, and the day")
    refuse_earlier(chain.first_signed, day)
    folder = chain.job.folder
    with holding(folder):
        there = read_change_orders(folder, chain.job.room)
        signed = replace(
            order,
            number=_next_number(there),
            signed_on=day,
            signed_by=name,
            signature=parse_signature(signature),
        )
        before = as_changed(chain.first_signed, there).quote.total
        signed = replace(signed, job_total=before + signed.total)
        _refuse_twice(there, signed)
        if signed.plan is not None and signed.number != order.number:
            raise CannotChange("another change was signed meanwhile; work this one out again")
        files = [Put(path=way, data=data) for way, data in bill_files(chain.job, signed)]
        kept = write_change(folder, signed.number, to_plain(signed), files)
    chain.forget_changes()
    return signed, (kept, *(folder / put.path for put in files))


def refuse_earlier(agreement: Agreement, day: str) -> None:
    """Refuse a day before the one of the signature, as a clock that was set back gives.

    Raises
    ------
    RoomcheckError
        Names both days.
    """
    try:
        early = datetime.date.fromisoformat(day) < datetime.date.fromisoformat(agreement.signed_on)
    except ValueError:  # signed "in May": nothing to hold it against
        return
    if early:
        raise RoomcheckError(
            f"{day} is before the agreement was signed, on {agreement.signed_on}; nothing was "
            "written. See whether this machine's clock is right, or give the day with --date"
        )


def _next_number(there: Sequence[ChangeOrder]) -> int:
    return max((one.number for one in there), default=0) + 1


def _refuse_twice(there: Sequence[ChangeOrder], signed: ChangeOrder) -> None:
    for one in there:
        if replace(signed, number=one.number, job_total=one.job_total) == one:
            raise RoomcheckError(
                f"change {one.number} is signed already, with these very words, price and "
                "day; nothing was written. If it is meant a second time, say so in its words"
            )


def _check(chain: Chain, standing: Agreement, pieces: Sequence[Placement]) -> None:
    """Refuse what the planner's own hard rules refuse, and names that stood for something else."""
    from roomcheck.quote import piece_changes
    from roomcheck.recommend import refusals

    changes = piece_changes(standing.plan.pieces, pieces)
    if not changes:
        raise CannotChange("these are the pieces that stand already; say what shall differ")
    if len({piece.name for piece in pieces}) != len(pieces):
        raise CannotChange("two pieces have one name")
    given = _names_given(chain) - {piece.name for piece in standing.plan.pieces}
    again = [piece.name for piece in pieces if piece.name in given]
    if again:
        raise CannotChange(f"{again[0]} was the name of a piece that is gone; take a new one")
    named = {piece.name: piece for piece in pieces}
    for refused in refusals(chain.job, pieces):
        piece = named[refused.name]
        raise CannotChange(f"{piece.name}, {piece.piece}, on the {piece.face}: {refused.why}")


def _names_given(chain: Chain) -> set[str]:
    """Every name that a piece has or had since the plan was signed."""
    plans = [
        chain.first_signed.plan,
        *(order.plan for order in chain.changes if order.plan is not None),
    ]
    return {piece.name for plan in plans for piece in plan.pieces}


def _priced(chain: Chain, standing: Agreement) -> Offer:
    """What stands, at today's prices."""
    from roomcheck.quote import Offer, quote

    quoted = quote(chain.job, standing.plan, chain.built(standing.plan))
    return Offer(plan=standing.plan, quote=quoted)


def _drawn(chain: Chain, pieces: Sequence[Placement]) -> Offer:
    """These pieces with prediction, promise and today's price."""
    from roomcheck.quote import Offer, quote
    from roomcheck.recommend import drawn

    plan = drawn(chain.site, pieces)
    return Offer(plan=plan, quote=quote(chain.job, plan, chain.built(plan)))
