"""Plans with diffusers behind the seat, and with what they lack to reach the target."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import replace

import numpy as np

from roomcheck.recommend.aims.cheapest import STEPS
from roomcheck.recommend.aims.choosing import Asked, choose_for
from roomcheck.recommend.aims.reaching import SURER
from roomcheck.recommend.integer.choose import Choice
from roomcheck.recommend.places.candidates import Candidate
from roomcheck.recommend.places.pinned_places import clash
from roomcheck.recommend.plan.settled import (
    Settled,
    likely_chance,
    merit,
    predicted,
    reached,
    shop_cost,
)
from roomcheck.recommend.reasons import PlanKind, Wish
from roomcheck.recommend.solver.nearby import completed
from roomcheck.recommend.solver.scatter import diffusers
from roomcheck.recommend.solver.site import Site

MOST_SURE = 0.98
"""How surely the most that makes sense reaches the target, where it can. [1]"""

HOPELESS = 0.3
"""By how much less surely a plan with diffusers reaches the target by the fast formula where it is
not predicted: the formula was never seen so far off. [1]"""


def scattered(
    site: Site,
    goal: PlanKind,
    nodes: int,
    near: Settled,
    wishes: Collection[Wish],
    seen: list[Settled],
    purse: float = np.inf,
    sure_pct: float | None = None,
) -> Settled:
    """A plan with diffusers behind the seat; without, where they do not fit or absorption falls
    short. Held against the target as surely as the job asks without `sure_pct`. [%]"""
    sure_pct = sure_pct or site.job.sure_pct
    asked = Asked(goal=goal, fit=near.fit.stretched(near.press), wishes=wishes)
    choice, _ = choose_for(site, asked, purse if np.isfinite(purse) else None, nodes)
    absorbers = tuple(site.places[i] for i in choice.chosen)
    for chosen in _with_scatter(site, sure_pct, asked, (absorbers, near), purse, nodes):
        costs = sum(shop_cost(site, c) for c in chosen)
        hopeless = likely_chance(site, near, chosen) < near.chance - HOPELESS
        if costs <= purse and not hopeless and _left(site, chosen) <= _left(site, absorbers):
            seen.append(settled_beside(site, chosen, choice, near))
            if merit(site, seen[-1], sure_pct)[:2] <= merit(site, near, sure_pct)[:2]:
                return seen[-1]
    chosen = as_sure_as(site, sure_pct, asked, absorbers, near, nodes, keep=True)
    seen.append(settled_beside(site, chosen, choice, near))
    return seen[-1]


def _with_scatter(
    site: Site,
    sure_pct: float,
    asked: Asked,
    bases: tuple[tuple[Candidate, ...], Settled],
    purse: float,
    nodes: int,
) -> Iterator[Sequence[Candidate]]:
    """Ways to hang diffusers, many first: beside what was chosen; then beside what is chosen for
    what they leave of the purse, and beside the least."""
    chosen, near = bases

    def beside(
        base: Sequence[Candidate], scatter: tuple[Candidate, ...], *, keep: bool
    ) -> Sequence[Candidate]:
        clear = (*_clear_of(site, base, scatter), *scatter)
        return as_sure_as(site, sure_pct, asked, clear, near, nodes, keep=keep)

    most = diffusers(site.job, site.diffusers, site.early, site.verdict.target.key)
    some = [most[: len(most) >> k] for k in range(len(most).bit_length())]
    for scatter in some:
        yield beside(chosen, scatter, keep=True)
    for scatter in some:
        left = purse - sum(shop_cost(site, c) for c in scatter)
        if np.isfinite(left) and left > 0:
            there = site.without(scatter)
            choice, _ = choose_for(there, asked, left, nodes)
            yield (*(there.places[i] for i in choice.chosen), *scatter)
        yield beside(near.chosen, scatter, keep=False)


def _left(site: Site, chosen: Sequence[Candidate]) -> int:
    """How many first reflections nothing covers."""
    covered = [
        any(c.face == r.face and c.place.holds(r.u_m, r.v_m) for c in chosen) for r in site.early
    ]
    return covered.count(False)


def _clear_of(
    site: Site, absorbers: Sequence[Candidate], taken: Sequence[Candidate]
) -> list[Candidate]:
    """Those that leave room for what is taken, in pairs where the use asks for that."""
    gone = {c for c in absorbers if any(clash(c, t) for t in taken)}
    for i, j in site.twins:
        pair = {site.places[i], site.places[j]}
        gone |= pair if pair & gone else set()
    return [c for c in absorbers if c not in gone]


def as_sure_as(
    site: Site,
    sure_pct: float,
    asked: Asked,
    chosen: Sequence[Candidate],
    near: Settled,
    nodes: int,
    *,
    keep: bool,
) -> Sequence[Candidate]:
    """What is chosen for another end than the least, and what it lacks to reach the target as
    surely by the fast formula."""
    if not reached(site, near, sure_pct):
        return chosen
    sure = MOST_SURE if asked.goal == PlanKind.MOST else sure_pct / 100 + SURER
    return completed(site, near.chosen, chosen, sure, min(nodes, STEPS), keep=keep)


def settled_beside(
    site: Site, chosen: Sequence[Candidate], choice: Choice, near: Settled
) -> Settled:
    """The same predicted in full; where it is not what was chosen no search found it best."""
    settled = predicted(site, chosen, choice, press=near.press, steady=True)
    known = {c: i for i, c in enumerate(site.places)}
    at = tuple(sorted(known[c] for c in chosen if c in known))
    if at == choice.chosen:
        return settled
    return replace(settled, choice=replace(choice, chosen=at, gap=np.inf))
