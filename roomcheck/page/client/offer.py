"""The offer: what the client sees, the options that they tick, what is said before they sign."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from roomcheck.chain import Chain, kept_offer
from roomcheck.errors import RoomcheckError
from roomcheck.job import Job, StockPiece, can_undo
from roomcheck.page.client.words import Words, offer_words
from roomcheck.page.planning.plan import OfferShown, offers_shown
from roomcheck.quote import Agreement, Offer, caveats, extra_price
from roomcheck.report import signature_svg
from roomcheck.words import Reader, money, plan_title, sentences

SHOWN_FIRST = ("proposal", "nothing-to-hang", "what-would-help")
"""The paper that stands on the page; the quote is the same in short."""


@dataclass(frozen=True, slots=True)
class ExtraRow:
    """One option to tick."""

    number: int
    """In the job's file, from 1."""
    name: str
    price: str
    """What the client pays more, with tax."""
    taken: bool


@dataclass(frozen=True, slots=True)
class LookRow:
    """What one kind of piece can be had in."""

    piece: str
    cloth: bool
    """Cloth, or stain and paint."""
    choices: tuple[str, ...]
    chosen: str


@dataclass(frozen=True, slots=True)
class Paper:
    """One document as it is sent."""

    title: str
    pdf: str
    """Name of its file, as the other."""
    html: str


@dataclass(frozen=True, slots=True, kw_only=True)
class OfferPage:
    """All that the page of the offer shows of kept results; empty where none is made yet."""

    ready: bool
    number: int = 0
    """Of the plan that is offered, from 1."""
    offers: tuple[OfferShown, ...] = ()
    title: str = ""
    pieces: tuple[str, ...] = ()
    total: str = ""
    exact: str = ""
    """The same as a plain number: what a signature is given for."""
    caveats: tuple[str, ...] = ()
    extras: tuple[ExtraRow, ...] = ()
    looks: tuple[LookRow, ...] = ()
    words: tuple[Words, ...] = ()
    papers: tuple[Paper, ...] = ()
    """Nothing where they show something else than what is offered now."""
    seen: str = ""
    """Address of the paper that stands on the page, within the documents."""
    signed_by: str = ""
    signed_on: str = ""
    signature: str = ""
    """As drawn, as a picture; "" where the name alone was typed."""
    undo: tuple[bool, bool] = (False, False)


def offer_page(chain: Chain, asked: str) -> OfferPage:
    """The page, from kept results alone.

    Parameters
    ----------
    chain : Chain
    asked : str
        Number of the plan to offer; the signed one, what was placed by hand, or the first that
        reaches the target, where it is none.
    """
    offers, at = offers_shown(chain, asked)
    if at is None:
        return OfferPage(ready=False, offers=offers)
    job, agreement = chain.job, chain.agreement
    offer = (chain.kept_plans() or ())[at]
    files = kept_offer(offered_chain(chain, at + 1)) or ()
    return OfferPage(
        ready=True,
        number=at + 1,
        offers=offers,
        title=plan_title(offer.plan, Reader(units=job.units)),
        pieces=tuple(piece.name for piece in offer.plan.pieces),
        total=money(offer.quote.total, job),
        exact=str(offer.quote.total),
        caveats=caveats_of(job, offer),
        extras=_extras(job),
        looks=tuple(_looks(job, offer)),
        words=offer_words(job),
        papers=papers_of(files),
        seen=_seen(files),
        signed_by="" if agreement is None else agreement.signed_by,
        signed_on="" if agreement is None else agreement.signed_on,
        signature=_drawn(agreement),
        undo=can_undo(job.folder),
    )


def offered_chain(chain: Chain, number: int) -> Chain:
    """The job's results with this plan chosen; the signed one where something is signed."""
    if chain.agreement is not None:
        return Chain(job=chain.job)
    return Chain(job=chain.job, chosen=number)


def caveats_of(job: Job, offer: Offer) -> tuple[str, ...]:
    """What is said before somebody signs."""
    found = caveats(
        offer, budget=job.budget, currency=job.currency, planning_values=job.shop.made_up
    )
    return sentences(found, Reader(units=job.units))


def _drawn(agreement: Agreement | None) -> str:
    return signature_svg(agreement.signature) if agreement and agreement.signature else ""


def _extras(job: Job) -> tuple[ExtraRow, ...]:
    return tuple(
        ExtraRow(number, extra.name, money(extra_price(job, extra), job), extra.taken)
        for number, extra in enumerate(job.extras, 1)
    )


def _looks(job: Job, offer: Offer) -> list[LookRow]:
    """A row for each kind of piece and each thing of it that the shop offers in several looks."""
    hung = {placed.piece for placed in offer.plan.pieces}
    stock = [piece for piece in job.shop.stock if piece.name in hung]
    rows = [_look(job, piece, cloth=cloth) for piece in stock for cloth in (True, False)]
    return [row for row in rows if row.choices]


def _look(job: Job, piece: StockPiece, *, cloth: bool) -> LookRow:
    fitting = [
        look
        for look in job.shop.looks
        if look.kind in piece.shows and (look.kind == "cloth") == cloth
    ]
    chosen = [
        one.look.name for one in job.looks if one.look in fitting and one.piece in (piece.name, "")
    ]
    own = [one.look.name for one in job.looks if one.look in fitting and one.piece == piece.name]
    names = tuple(look.name for look in fitting)
    return LookRow(piece.name, cloth, names, next(iter((*own, *chosen)), ""))


def papers_of(files: Sequence[Path]) -> tuple[Paper, ...]:
    """Documents that are there as PDF and as a page."""
    names = {path.name for path in files}
    stems = [path.stem for path in files if path.suffix == ".pdf"]
    return tuple(
        Paper(stem.replace("-", " "), f"{stem}.pdf", f"{stem}.html")
        for stem in stems
        if f"{stem}.html" in names
    )


def _seen(files: Sequence[Path]) -> str:
    """The paper to show, with the moment it was written, so that a browser shows no older one."""
    for path in files:
        if path.suffix == ".html" and path.stem in SHOWN_FIRST:
            return f"{path.name}?of={path.stat().st_mtime_ns}"
    return ""


def sign(chain: Chain, form: dict[str, str], day: str) -> Agreement:
    """Keep what the client accepts, once.

    Raises
    ------
    RoomcheckError
        No name, no tick, another price than the one that was shown, or no signature that can be
        kept; or something is signed already.
    """
    who, number = form.get("name", "").strip(), form.get("plan", "")
    if not who or form.get("sure") != "on" or not number.isdecimal():
        raise RoomcheckError("a name is needed, and the tick that it was accepted today")
    offered = Chain(job=chain.job, chosen=int(number))
    shown = form.get("total", "")
    if shown != str(offered.quote.total):
        raise RoomcheckError(
            f"the price is {money(offered.quote.total, chain.job)} now, and that is not what "
            "stood here: look at the offer again, then sign it. Nothing was signed"
        )
    return offered.sign(who, day, form.get("signature", ""))
