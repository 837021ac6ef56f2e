"""The plans side by side, one of them with its price, and the signature."""

from __future__ import annotations

from dataclasses import dataclass

from roomcheck.chain import Chain
from roomcheck.facts import fact
from roomcheck.job import Job, ShopLook, read_layouts
from roomcheck.page.planning.by_hand import State
from roomcheck.quote import Offer
from roomcheck.recommend import Plan, PlanKind
from roomcheck.report import html_blocks, plan_blocks, plans_blocks, quote_blocks
from roomcheck.words import Reader, money, plan_title, reach, sentence


@dataclass(frozen=True, slots=True)
class OfferShown:
    """One plan to choose."""

    number: int
    title: str
    price: str
    pieces: int
    on_target: bool
    chosen: bool
    reaches: str = ""
    """Range of the mean decay with its unit; "" where nothing is worked out."""
    loud: int = 0
    """First reflections at the seat that are above their limit today."""
    quieted: int = 0
    """Those of them that the plan brings below it."""
    unheard_from: int | None = None
    """Number of the piece from which on nobody hears all further ones in the decay."""


@dataclass(frozen=True, slots=True)
class LookChoice:
    """What one kind of piece of the plan can look like."""

    piece: str
    chosen: ShopLook | None
    looks: tuple[ShopLook, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanPage:
    """All that the page of plans shows of kept results; empty where none is made yet."""

    ready: bool
    signed: str = ""
    """Who signed what, and when."""
    offers: tuple[OfferShown, ...] = ()
    number: int = 0
    """Of the plan that is shown in full, from 1."""
    state: State | None = None
    """Its pieces, for changes by hand."""
    whole: Offer | None = None
    """The plan itself, predicted in full, with its quote; None where that is still worked out."""
    names: tuple[str, ...] = ()
    """Of its pieces."""
    looks: tuple[LookChoice, ...] = ()
    """Cloth, stain and paint to choose, one for each kind of piece that shows any."""
    side_by_side: str = ""
    verdict: str = ""
    plan: str = ""
    reasons: str = ""
    """The same with every reason, note and warning."""
    price: str = ""


def plan_page(chain: Chain, asked: str) -> PlanPage:
    """The page, from kept results alone.

    Parameters
    ----------
    asked : str
        Number of the plan to show in full; the signed one, what was placed by hand, or the first
        that reaches the target, where it is none.
    """
    offers = chain.kept_plans()
    if not offers:
        return PlanPage(ready=False)
    job, newest = chain.job, _newest(chain)
    cards, at = offers_shown(chain, asked)
    if at is None:
        return PlanPage(ready=True, offers=cards, number=len(cards), state=newest)
    plan, quote = offers[at].plan, offers[at].quote
    by_hand = plan.kind is PlanKind.BY_HAND
    state = (
        newest
        if by_hand
        else State(base=f"plan:{at + 1}", pieces=plan.pieces, began_with=plan.pieces)
    )
    blocks = plan_blocks(job, plan)
    totals = [offer.quote.total for offer in offers]
    return PlanPage(
        ready=True,
        signed=_signed(chain),
        offers=cards,
        number=at + 1,
        state=state,
        whole=offers[at],
        names=tuple(piece.name for piece in plan.pieces),
        looks=_looks(job, plan),
        side_by_side=html_blocks(plans_blocks(job, [o.plan for o in offers], totals)[:2]),
        verdict=html_blocks(blocks[:2]),
        plan=html_blocks(blocks[2:]),
        reasons=html_blocks(plan_blocks(job, plan, everything=True)),
        price=html_blocks(quote_blocks(job, quote)[1:]),
    )


def _looks(job: Job, plan: Plan) -> tuple[LookChoice, ...]:
    """What the shop offers for each kind of piece in the plan."""
    found = []
    for name in dict.fromkeys(placed.piece for placed in plan.pieces):
        shows = next((stock.shows for stock in job.shop.stock if stock.name == name), ())
        looks = tuple(look for look in job.shop.looks if look.kind in shows)
        if looks:
            found.append(LookChoice(name, job.look_of(name), looks))
    return tuple(found)


def offers_shown(chain: Chain, asked: str) -> tuple[tuple[OfferShown, ...], int | None]:
    """The plans to choose from, and which of them is shown in full, from 0; None where that one is
    still worked out, or there is none."""
    offers = chain.kept_plans() or ()
    if not offers:
        return (), None
    job, at = chain.job, _chosen(chain, offers, asked)
    cards = [_shown(job, offer, i, at) for i, offer in enumerate(offers)]
    newest = _newest(chain)
    waiting = all(offer.plan.kind is not PlanKind.BY_HAND for offer in offers)
    if newest is not None and waiting:
        title = sentence(fact(PlanKind.BY_HAND), Reader(units=job.units))
        chosen = at >= len(offers)
        cards.append(OfferShown(len(cards) + 1, title, "", len(newest.pieces), False, chosen))
    return tuple(cards), at if at < len(offers) else None


def _newest(chain: Chain) -> State | None:
    """What was placed by hand last; None where nothing was, or something is signed."""
    if chain.agreement is not None:
        return None
    return next((State.of(layout) for layout in read_layouts(chain.job.folder)[-1:]), None)


def chosen_plan(chain: Chain, asked: str) -> Plan | None:
    """The plan that the page shows in full; None where none is kept."""
    offers = chain.kept_plans() or ()
    return dict(enumerate(offer.plan for offer in offers)).get(_chosen(chain, offers, asked))


def _chosen(chain: Chain, offers: tuple[Offer, ...], asked: str) -> int:
    """Which plan is shown in full, from 0; beyond the offers where it is still worked out."""
    most = len(offers) + (_newest(chain) is not None)
    if asked.isascii() and asked.isdecimal() and 1 <= int(asked) <= most:
        return int(asked) - 1
    if chain.agreement is not None:
        standing = chain.standing.plan
        signed = [i for i, offer in enumerate(offers) if offer.plan == standing]
        return signed[0] if signed else 0
    if _newest(chain) is not None:
        placed = (i for i, offer in enumerate(offers) if offer.plan.kind is PlanKind.BY_HAND)
        return next(placed, len(offers))
    reaching = [i for i, offer in enumerate(offers) if offer.plan.reaches_target]
    return min(reaching, key=lambda i: (offers[i].quote.total, i), default=0)


def _shown(job: Job, offer: Offer, i: int, chosen: int) -> OfferShown:
    plan, prediction = offer.plan, offer.plan.prediction
    known = prediction.mid_low_s is not None and prediction.mid_high_s is not None
    loud = [one for one in plan.reflections if one.before_db > one.limit_db]
    return OfferShown(
        number=i + 1,
        title=plan_title(plan, Reader(units=job.units)),
        price=money(offer.quote.total, job),
        pieces=len(plan.pieces),
        on_target=plan.reaches_target,
        chosen=i == chosen,
        reaches=f"{reach(prediction.mid_low_s, prediction.mid_high_s)} s" if known else "",
        loud=len(loud),
        quieted=sum(one.after_db <= one.limit_db for one in loud),
        unheard_from=plan.unheard_from,
    )


def _signed(chain: Chain) -> str:
    if chain.agreement is None:
        return ""
    return f"Signed by {chain.agreement.signed_by} on {chain.agreement.signed_on}."
