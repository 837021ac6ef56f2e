"""What cannot be in an agreement, whoever wrote it there: its file is text, and hands reach it."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path

from roomcheck.geometry import Face, Rectangle, Room
from roomcheck.job import read_changes, read_papers
from roomcheck.plain import Way
from roomcheck.quote.results import Agreement, ChangeOrder, Invoice, Quote
from roomcheck.recommend import Plan
from roomcheck.typed import SignatureError, parse_signature

Flaw = tuple[Way, str]
"""Where in the file, and what is found there and needed."""

_AMOUNTS = ("net", "tax", "total", "deposit", "cost")


def flaws(agreement: Agreement, room: Room) -> tuple[Flaw, ...]:
    """What of an agreement cannot be meant in a room.

    Parameters
    ----------
    agreement : Agreement
    room : Room
        With the faces on which pieces hang.
    """
    found = [*_named(agreement), *_plan(agreement.plan, ("plan",), room)]
    found += _quote(agreement.quote, ("quote",))
    for i, offer in enumerate(agreement.offered):
        found += _quote(offer.quote, ("offered", i, "quote"))
        found += _amount(offer.plan.price, ("offered", i, "plan", "price"))
    return tuple(found)


def read_change_orders(folder: Path, room: Room | None = None) -> tuple[ChangeOrder, ...]:
    """What was signed in a job's folder after the agreement.

    Parameters
    ----------
    folder : Path
    room : Room or None
        In which the pieces of a change must lie; None where only money is asked for.

    Raises
    ------
    CannotRead, FileMistakes, NewerFile
        One of them cannot be read, or holds what cannot be meant.
    """
    changes = []
    for signed in read_changes(folder):
        change = signed.value(ChangeOrder)
        wrong = (*_change_flaws(change), *_piece_flaws(change, room))
        if wrong:
            raise signed.mistakes(wrong)
        changes.append(change)
    return tuple(changes)


def read_bills(folder: Path) -> tuple[Invoice, ...]:
    """Invoices and credit notes of a job's folder, in the order of their days.

    Raises
    ------
    CannotRead, FileMistakes, NewerFile
        One of them cannot be read.
    """
    found = [paper.value(Invoice) for paper in read_papers(folder)]
    return tuple(sorted(found, key=lambda bill: (bill.date, bill.number)))


def _change_flaws(change: ChangeOrder) -> tuple[Flaw, ...]:
    """What of a change order cannot be meant."""
    found: list[Flaw] = []
    if change.total != change.net + change.tax:
        needed = f"net and tax, {change.net + change.tax}"
        found.append((("total",), f"found {change.total}, needed {needed}"))
    if change.plan is None and change.net * change.tax < 0:
        found.append((("tax",), f"found {change.tax}, needed the sign of the net"))
    if change.days < 0:
        found.append((("days",), f"found {change.days}, needed 0 or more"))
    return (*found, *_named(change))


def _piece_flaws(change: ChangeOrder, room: Room | None) -> Iterator[Flaw]:
    if change.plan is not None and room is not None:
        yield from _plan(change.plan, ("plan",), room)


def _named(paper: Agreement | ChangeOrder) -> Iterator[Flaw]:
    for name in ("signed_on", "signed_by"):
        if not getattr(paper, name).strip():
            yield (name,), "found nothing, needed a text"
    try:
        parse_signature(paper.signature)
    except SignatureError as problem:
        yield ("signature",), problem.why


def _plan(plan: Plan, way: Way, room: Room) -> Iterator[Flaw]:
    faces = {face.name: face for face in room.faces}
    for i, piece in enumerate(plan.pieces):
        at = (*way, "pieces", i)
        if piece.face not in faces:
            yield (*at, "face"), f"found {piece.face!r}, needed one of {', '.join(faces)}"
        elif not _on(piece.place, faces[piece.face]):
            yield (*at, "place"), f"piece {piece.name} lies outside of {piece.face}"
    yield from _amount(plan.price, (*way, "price"))
    for i, band in enumerate(plan.promise.bands):
        if not 0 < band.low_s <= band.high_s or band.band_hz <= 0:
            needed = "a band above 0 Hz and a range above 0 s, low end first"
            found = f"{band.band_hz:g} Hz, {band.low_s:g} to {band.high_s:g} s"
            yield (*way, "promise", "bands", i), f"found {found}, needed {needed}"
    if plan.promise.positions < 1:
        yield (*way, "promise", "positions"), f"found {plan.promise.positions}, needed 1 or more"
    low_s, high_s = plan.promise.mid_low_s, plan.promise.mid_high_s
    if (low_s is None) != (high_s is None) or not 0 < (low_s or 1.0) <= (high_s or 1.0):
        yield (*way, "promise"), "`mid_low_s` and `mid_high_s` are no range above 0 s"


def _on(place: Rectangle, face: Face) -> bool:
    """Whether a rectangle has a size and lies at least in part on a face: the room may have been
    measured anew since."""
    if place.width_m <= 0 or place.height_m <= 0:
        return False
    across = place.u_m < face.width_m and place.right_m > 0
    return across and place.v_m < face.height_m and place.top_m > 0


def _quote(quote: Quote, way: Way) -> Iterator[Flaw]:
    for name in _AMOUNTS:
        yield from _amount(getattr(quote, name), (*way, name))
    for i, line in enumerate(quote.costs):
        yield from _amount(line.amount, (*way, "costs", i, "amount"))
    listed = sum((line.amount for line in quote.lines), Decimal(0))
    for name, needed in (("net", listed), ("total", quote.net + quote.tax)):
        found = getattr(quote, name)
        if found != needed:
            yield (*way, name), f"found {found}, needed {needed}: its lines add up to that"
    if not 0 <= quote.tax_pct <= 100:
        yield (*way, "tax_pct"), f"found {quote.tax_pct}, needed 0 to 100"
    if quote.valid_days < 1:
        yield (*way, "valid_days"), f"found {quote.valid_days}, needed 1 or more"


def _amount(amount: Decimal | None, way: Way) -> Iterator[Flaw]:
    if amount is not None and amount < 0:
        yield way, f"found {amount}, needed 0 or more"
