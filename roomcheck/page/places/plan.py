"""The plans side by side, one of them on the walls, its price, and the signature."""

from __future__ import annotations

from dataclasses import dataclass

from roomcheck.chain import Chain
from roomcheck.job import Job
from roomcheck.quote import Offer
from roomcheck.recommend import Plan
from roomcheck.report import html_blocks, plan_blocks, plans_blocks, quote_blocks, wall_sketch
from roomcheck.words import Reader, money, plan_title


@dataclass(frozen=True, slots=True)
class OfferShown:
    """One plan to choose."""

    number: int
    title: str
    price: str
    pieces: int
    on_target: bool
    chosen: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanPage:
    """All that the page of plans shows; empty where none is made yet."""

    ready: bool
    signed: str = ""
    """Who signed what, and when."""
    offers: tuple[OfferShown, ...] = ()
    number: int = 0
    """Of the plan that is shown in full, from 1."""
    names: tuple[str, ...] = ()
    """Of its pieces."""
    side_by_side: str = ""
    plan: str = ""
    reasons: str = ""
    """The same with every reason, note and warning."""
    price: str = ""
    walls: tuple[tuple[str, str], ...] = ()
    """Faces with pieces on them: name and drawing."""


def plan_page(chain: Chain, asked: str) -> PlanPage:
    """The page, from kept results alone.

    Parameters
    ----------
    asked : str
        Number of the plan to show in full; the signed or the first one where it is none.
    """
    offers = chain.kept_plans()
    if not offers:
        return PlanPage(ready=False)
    job = chain.job
    at = _chosen(chain, offers, asked)
    plan, quote = offers[at].plan, offers[at].quote
    faces = [face for face in job.room.faces if any(p.face == face.name for p in plan.pieces)]
    totals = [offer.quote.total for offer in offers]
    return PlanPage(
        ready=True,
        signed=_signed(chain),
        offers=tuple(_shown(job, offer, i, at) for i, offer in enumerate(offers)),
        number=at + 1,
        names=tuple(piece.name for piece in plan.pieces),
        side_by_side=html_blocks(plans_blocks(job, [o.plan for o in offers], totals)[:2]),
        plan=html_blocks(plan_blocks(job, plan)),
        reasons=html_blocks(plan_blocks(job, plan, everything=True)),
        price=html_blocks(quote_blocks(job, quote)),
        walls=tuple((face.name, wall_sketch(job, face, pieces=plan.pieces)) for face in faces),
    )


def chosen_plan(chain: Chain, asked: str) -> Plan | None:
    """The plan that the page shows in full; None where none is kept."""
    offers = chain.kept_plans()
    return offers[_chosen(chain, offers, asked)].plan if offers else None


def _chosen(chain: Chain, offers: tuple[Offer, ...], asked: str) -> int:
    """Which plan is shown in full, from 0."""
    if asked.isascii() and asked.isdecimal() and 1 <= int(asked) <= len(offers):
        return int(asked) - 1
    if chain.agreement is not None:
        signed = [i for i, offer in enumerate(offers) if offer.plan == chain.agreement.plan]
        return signed[0] if signed else 0
    reaching = [i for i, offer in enumerate(offers) if offer.plan.reaches_target]
    return min(reaching, key=lambda i: (offers[i].quote.total, i), default=0)


def _shown(job: Job, offer: Offer, i: int, chosen: int) -> OfferShown:
    return OfferShown(
        number=i + 1,
        title=plan_title(offer.plan, Reader(units=job.units)),
        price=money(offer.quote.total, job),
        pieces=len(offer.plan.pieces),
        on_target=offer.plan.reaches_target,
        chosen=i == chosen,
    )


def _signed(chain: Chain) -> str:
    if chain.agreement is None:
        return ""
    return f"Signed by {chain.agreement.signed_by} on {chain.agreement.signed_on}."
