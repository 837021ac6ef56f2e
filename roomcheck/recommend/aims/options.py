"""Plans that cost more than the target needs, and what the least leaves as it is."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace
from decimal import Decimal

import numpy as np

from roomcheck.facts import Fact, fact
from roomcheck.judge import BASS_RATIO
from roomcheck.recommend.aims.cheapest import STEPS
from roomcheck.recommend.aims.scattered import MOST_SURE, settled_beside
from roomcheck.recommend.places.candidates import Candidate
from roomcheck.recommend.plan.one_plan import plan_of
from roomcheck.recommend.plan.settled import Settled, client_price, reached, shop_cost
from roomcheck.recommend.reasons import PlanKind, PlanNote, Wish
from roomcheck.recommend.results import Plan
from roomcheck.recommend.solver.fit import mid_s
from roomcheck.recommend.solver.nearby import completed
from roomcheck.recommend.solver.scatter import diffusers, why_none
from roomcheck.recommend.solver.site import Site
from roomcheck.recommend.solver.wishes import bass_behind

MOST_EXTRA = 0.35
"""Options cost at most so much more than what the target needs. [1]"""

AS_SURE = (0.95, MOST_SURE)
"""How surely options are completed by the fast formula, in turn, until they are sure enough. [1]"""


def purse_of(site: Site, need: Settled) -> float:
    """What a plan with options may cost the shop."""
    return (1 + MOST_EXTRA) * sum(shop_cost(site, c) for c in need.chosen)


def completed_options(
    site: Site, options: Settled, need: Settled, nodes: int, seen: list[Settled]
) -> Settled:
    """The plan with options, and what it lacks to reach the target as surely as the least where the
    fast formula took it for enough."""
    for sure in AS_SURE:
        if reached(site, options):
            break
        chosen = completed(site, need.chosen, options.chosen, sure, min(nodes, STEPS), keep=True)
        if sum(shop_cost(site, c) for c in chosen) > purse_of(site, need):
            break
        options = settled_beside(site, chosen, options.choice, need)
        seen.append(options)
    return options


def as_good(site: Site, settled: Settled, target: Plan) -> bool:
    """Whether what stands beside the target's plan reaches the target as surely as is asked, or as
    that plan does where it cannot."""
    if target.reaches_target:
        return reached(site, settled)
    return round(settled.chance, 2) >= round(target.chance or 0.0, 2)


def most_of(site: Site, settled: Settled, target: Plan) -> tuple[Plan, ...]:
    """The most that makes sense."""
    return (plan_of(site, PlanKind.MOST, settled),) if as_good(site, settled, target) else ()


def with_options(
    site: Site, settled: Settled, target: Plan, wishes: tuple[Wish, ...]
) -> tuple[Plan, ...]:
    """The same with what would be heard beside the decay, its extra price capped and named."""
    if not as_good(site, settled, target):
        return ()
    plan = plan_of(site, PlanKind.OPTIONS, settled)
    hung = {(p.piece, p.face, p.place) for p in target.pieces}
    more = [p for p in plan.pieces if (p.piece, p.face, p.place) not in hung]
    scatter = [c for c in settled.chosen if c.piece.diffuser]
    extra = (plan.price or Decimal(0)) - (target.price or Decimal(0))
    if not more or extra <= 0:
        return (plan,)
    served = (*wishes, *((Wish.SCATTER,) if scatter else ()))
    note = fact(
        PlanNote.FOR_WISHES,
        pieces=len(plan.pieces) - len(target.pieces),
        of=len(plan.pieces),
        names=tuple(p.name for p in more),
        wishes=served,
        price=float(extra),
        currency=site.job.currency,
        without=target.kind,
    )
    return (replace(plan, notes=(note, *plan.notes, *_instead(site, settled, scatter))),)


def _instead(
    site: Site, settled: Settled, scatter: Sequence[Candidate]
) -> tuple[Fact[PlanNote], ...]:
    """Hold diffusers against absorbers of the same money."""
    absorbing = [c for c in settled.chosen if not c.piece.diffuser]
    if not scatter or not absorbing:
        return ()
    with_them, without = client_price(site, settled.chosen), client_price(site, absorbing)
    each = min(absorbing, key=lambda c: shop_cost(site, c))
    count = int(sum(shop_cost(site, c) for c in scatter) / max(shop_cost(site, each), 0.01))
    one_m2 = np.nan_to_num(site.gain_of(each.piece.name, site.job.material_of(each.face)))
    before_m2 = np.nan_to_num(site.added_m2(settled.chosen))
    now, then = (
        mid_s(site, site.room.after_s(added)) for added in (before_m2, before_m2 + count * one_m2)
    )
    if now is None or then is None:
        return ()
    note = fact(
        PlanNote.SCATTER_OR_ABSORB,
        pieces=len(scatter),
        price=float(with_them - without),
        currency=site.job.currency,
        absorbers=count,
        gain_s=now - then,
    )
    return (note,)


def left_alone(site: Site, need: Settled, wishes: Collection[Wish]) -> tuple[Fact[PlanNote], ...]:
    """What the least leaves as it is: bass that rings behind without a fault that is heard, and why
    no diffuser is offered."""
    notes = []
    behind = bass_behind(site, np.nan_to_num(site.added_m2(need.chosen)))
    if behind is not None and Wish.BASS not in wishes:
        ratio, lacking_m2 = behind
        notes.append(
            fact(PlanNote.BASS_BEHIND, ratio=ratio, most=BASS_RATIO, lacking_m2=lacking_m2)
        )
    if not diffusers(site.job, site.diffusers, site.early, site.verdict.target.key):
        notes.append(why_none(site.job, site.diffusers, site.verdict.target.key))
    return tuple(notes)
