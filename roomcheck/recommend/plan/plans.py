"""The plan set: the least that reaches the target, the same with its options, the most that makes
sense; each solved, predicted, corrected and solved again until it stands."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from statistics import NormalDist

import numpy as np

from roomcheck.analyse import Analysis
from roomcheck.facts import Fact, fact
from roomcheck.job import SURE_PCT, Job, Placement, WhyHere
from roomcheck.judge import BASS_RATIO, EARLY_USES, Verdict
from roomcheck.recommend.places.candidates import Candidate
from roomcheck.recommend.places.mirror import uneven
from roomcheck.recommend.places.pinned_places import clash
from roomcheck.recommend.plan import explain
from roomcheck.recommend.plan.cheapest import (
    HOPEFUL,
    NEARBY_TRIES,
    STEPS,
    in_pairs,
    least_promised_inside,
    least_seen,
    mixed_walls,
    of_one_sort,
    sought,
)
from roomcheck.recommend.plan.checklist import checks
from roomcheck.recommend.plan.echoes import reflection_changes
from roomcheck.recommend.plan.gains import gains, unheard, unheard_from
from roomcheck.recommend.plan.promise import promise
from roomcheck.recommend.plan.settled import (
    Settled,
    client_price,
    likely_chance,
    merit,
    money,
    predicted,
    reached,
    shop_cost,
)
from roomcheck.recommend.reasons import AIMED, PlanKind, PlanNote, Shortfall, Wish
from roomcheck.recommend.results import PieceGain, Plan
from roomcheck.recommend.solver.choose import Choice, NoChoice, OutOfNodes, Problem, choose, cost
from roomcheck.recommend.solver.money import budget_for_pieces, cost_share, weeks_of
from roomcheck.recommend.solver.nearby import completed
from roomcheck.recommend.solver.scatter import diffusers, why_none
from roomcheck.recommend.solver.site import Site, placements
from roomcheck.recommend.solver.targets_as_constraints import (
    Fit,
    bare_fit,
    bass_behind,
    heard,
    mid_s,
    problem,
)

ROUNDS, WARY = 3, 1
"""Times that a plan is solved, predicted and corrected at most; from which round on it is corrected
warily."""

NODES = 400
"""Branches that one search looks into at most: what ends it, at the same place on every machine."""

ROUGHLY, MANY = 0.01, 500
"""How much better, as a share, another choice may be where there are more than so many places: the
last of it takes as long as all before. [1], [1]"""

PURSES = 25
"""Times that a purse is drawn tighter until whole packs fit into it."""

RESERVE = Decimal("1.05")
"""A budget is spent up to a twentieth below it: cutting wastes more than a mean share, which only
the quote knows."""

FREE = 0.02
"""Weight of cost where the room, not the purse, is the limit. [1]"""

MOST_EXTRA = 0.35
"""Options cost at most so much more than what the target needs. [1]"""

PRESSES, FIRST_PRESSES = 3, 2
"""Times that the ends of the range are moved for one prediction at most, and for the first, of the
bare room, which the fast formula leaves furthest behind."""

SURER, LEAST_PRESS, MOST_PRESS = 0.01, 0.6, 1.5
"""By how much a plan may be surer than asked before a cheaper one is sought, and how much nearer or
further the ends of the range are moved for that at once. [1]"""

SURE_INSIDE = (97.5, 99.5)
"""How surely the target is sought, in turn, until the promise lies inside. [%]"""

NARROWER = 0.9
"""How much narrower, as a power, what another plan promises may be. [1]"""

HOPELESS = 0.3
"""By how much less surely a plan with diffusers reaches the target by the fast formula where it is
not predicted: the formula was never seen so far off. [1]"""

_SEARCHES = 5
"""Of a set: target, most, options, how surely, budget."""

LAST_TRIES = 4
"""Plans near the least that are predicted at most before it stands."""

BUDGET_ROUNDS = 2
"""Times that what a budget buys is predicted at most, the least being a plan near by."""

MOST_SURE = 0.98
"""How surely the most that makes sense reaches the target, where it can. [1]"""

AS_SURE = (0.95, MOST_SURE)
"""How surely options are completed by the fast formula, in turn, until they are sure enough. [1]"""


def recommend(
    job: Job, analysis: Analysis | None, verdict: Verdict, *, nodes: int = NODES
) -> tuple[Plan, ...]:
    """Plan what the budget buys, what the target needs, the same with options, and the most.

    Parameters
    ----------
    job : Job
        Its `sure_pct` says how surely the target shall be reached.
    analysis : Analysis or None
        Of the "before" visit.
    verdict : Verdict
    nodes : int
        Branches that each search looks into at most; where they run out the best so far is given,
        and the plan says so. No clock: the same job gives the same plans on every machine.

    Returns
    -------
    tuple of Plan
        In this order, as far as they differ and none is worse than another for as much money: what
        a budget buys that does not reach what the target needs; the least that reaches the target,
        or comes nearest to it; the same with its options; the most that makes sense. Of a room
        that is good already one plan of nothing.

    References
    ----------
    Mixed-integer optimum by HiGHS through scipy.optimize.milp.
    """
    return plans_of(Site.of(job, analysis, verdict), nodes=nodes)


def plans_of(
    site: Site, *, nodes: int = NODES, on_part: Callable[[int, int], None] | None = None
) -> tuple[Plan, ...]:
    """Plan a room that is calibrated already.

    Parameters
    ----------
    site : Site
    nodes : int
        As of `recommend`.
    on_part : callable or None
        Gets, after each plan of the set, how many of the searches are done, and how many there are.
    """

    def done(parts: int) -> None:
        if on_part is not None:
            on_part(parts, _SEARCHES)

    if good_already(site.verdict) and not site.pinned:
        return (_nothing(site),)
    seen: list[Settled] = []
    need = settle(site, PlanKind.TARGET, nodes=nodes, seen=seen)
    need = least_seen(site, seen, site.job.sure_pct) or need
    done(1)
    wishes = heard(site)
    most = _scattered(site, PlanKind.MOST, nodes, need, wishes, seen)
    done(2)
    options = _scattered(site, PlanKind.OPTIONS, nodes, need, wishes, seen, _purse(site, need))
    done(3)
    need = least_seen(site, seen, site.job.sure_pct) or need
    _surer(site, need, nodes, seen)
    done(4)
    within = _within_budget(site, need, nodes, seen)
    need, target = _least(site, need, nodes, seen)
    target = replace(target, notes=(*target.notes, *_unasked(site, need, wishes)))
    if target.reaches_target:
        options = _as_sure(site, options, need, nodes, seen)
    with_options = _with_options(site, options, target, wishes)
    plans = (*_budget(site, need, within), target, *with_options, *_most(site, most, target))
    return _undominated(plans)


def _most(site: Site, settled: Settled, target: Plan) -> tuple[Plan, ...]:
    """The most that makes sense."""
    return (plan_of(site, PlanKind.MOST, settled),) if _as_good(site, settled, target) else ()


def _as_good(site: Site, settled: Settled, target: Plan) -> bool:
    """Whether what stands beside the target's plan reaches the target as surely as is asked, or as
    that plan does where it cannot."""
    if target.reaches_target:
        return reached(site, settled)
    return round(settled.chance, 2) >= round(target.chance or 0.0, 2)


def _purse(site: Site, need: Settled) -> float:
    """What a plan with options may cost the shop."""
    return (1 + MOST_EXTRA) * sum(shop_cost(site, c) for c in need.chosen)


def _as_sure(
    site: Site, options: Settled, need: Settled, nodes: int, seen: list[Settled]
) -> Settled:
    """The plan with options, and what it lacks to reach the target as surely as the least where the
    fast formula took it for enough."""
    for sure in AS_SURE:
        if reached(site, options):
            break
        chosen = completed(site, need.chosen, options.chosen, sure, min(nodes, STEPS), keep=True)
        if sum(shop_cost(site, c) for c in chosen) > _purse(site, need):
            break
        options = _beside(site, chosen, options.choice, need)
        seen.append(options)
    return options


def _least(site: Site, need: Settled, nodes: int, seen: list[Settled]) -> tuple[Settled, Plan]:
    """What the target needs, the cheapest of all that any search came by, with what a client may
    choose beside it; those searches may come by something cheaper still."""
    sure_pct, steps, first = site.job.sure_pct, min(nodes, STEPS), True
    while True:
        need = least_seen(site, [need, *seen], sure_pct) or need
        need = sought(site, need, sure_pct, seen=seen, tries=LAST_TRIES, steps=steps)
        need = _best(site, need, seen)
        plan = _aimed(site, need)
        choices = _choices_beside(site, need, plan, nodes, seen, search=first)
        best, first = _best(site, need, seen), False
        if not reached(site, need) or money(site, best.chosen) >= money(site, need.chosen):
            return need, replace(plan, notes=(*plan.notes, *choices))


def _best(site: Site, need: Settled, seen: Sequence[Settled]) -> Settled:
    """Of all that was predicted the cheapest that reaches the target; what comes nearest to it
    where none does."""
    tried = [need, *(each for each in seen if in_pairs(site, each.chosen))]
    nearest = min(tried, key=lambda each: merit(site, each))
    return least_seen(site, tried, site.job.sure_pct) or nearest


def _aimed(site: Site, need: Settled) -> Plan:
    """What the target needs; what comes nearest to it where that is not enough."""
    plan = plan_of(site, PlanKind.TARGET, need)
    return plan if plan.reaches_target else replace(plan, kind=PlanKind.NEAREST)


def _undominated(plans: Sequence[Plan]) -> tuple[Plan, ...]:
    """Without plans that are equal to another, or no better in anything for as much money."""
    kept: list[Plan] = []
    for plan in plans:
        others = [other for other in plans if other is not plan]
        if plan.kind in AIMED or not any(
            _dominates(other, plan, plans) or _less_than(other, plan) for other in others
        ):
            kept.append(plan)
    return tuple(kept)


def _less_than(other: Plan, plan: Plan) -> bool:
    """Whether a plan costs less than what its name says that it is more than."""
    cheaper = (plan.price or Decimal(0)) < (other.price or Decimal(0))
    named = plan.kind == PlanKind.MOST or (plan.kind == PlanKind.OPTIONS and other.kind in AIMED)
    return cheaper and named


def _dominates(other: Plan, plan: Plan, order: Sequence[Plan]) -> bool:
    mine, theirs = _worth(plan), _worth(other)
    pieces = [sorted(piece.piece for piece in one.pieces) for one in (plan, other)]
    if pieces[0] == pieces[1] and mine == theirs:
        # The same pieces elsewhere, as good and as dear: a client sees one row twice.
        return other.kind in AIMED or order.index(other) < order.index(plan)
    return all(a >= b for a, b in zip(theirs, mine, strict=True)) and theirs != mine


def _worth(plan: Plan) -> tuple[float, float, int, int]:
    """Price, chance, reflections left and diffusers, each the more the better."""
    left = sum(miss.kind == Shortfall.REFLECTION_UNCOVERED for miss in plan.shortfalls)
    scattering = sum(why.kind == WhyHere.SCATTERS for piece in plan.pieces for why in piece.reasons)
    return -float(plan.price or 0), round(plan.chance or 0.0, 2), -left, scattering


def good_already(verdict: Verdict) -> bool:
    """Whether everything that was measured is within the limits, and nothing else is wrong."""
    outcomes = [band.outcome for band in (*verdict.bands, verdict.mid)]
    fine = ("within", "modal", "no limit", "not measured")
    return (
        "within" in outcomes
        and all(outcome in fine for outcome in outcomes)
        and not verdict.findings
    )


def settle(
    site: Site,
    goal: PlanKind,
    budget: Decimal | None = None,
    *,
    nodes: int = NODES,
    start: Fit | None = None,
    rounds: int = ROUNDS,
    wishes: Collection[Wish] = (),
    seen: list[Settled] | None = None,
) -> Settled:
    """Solve, predict, correct, and solve again until the prediction agrees with what the choice was
    made for.

    Parameters
    ----------
    site : Site
    goal : PlanKind
    budget : Decimal or None
        What the client pays at most.
    nodes : int
        Branches that each search looks into at most.
    start : Fit or None
        What the first choice is made for: a plan near by; the bare room without it.
    rounds : int
        Times that the plan is predicted at most, before what is near it is sought as often.
    wishes : collection of Wish
        What is worth its whole price.
    seen : list of Settled or None
        Gets all choices tried.

    Returns
    -------
    Settled
        Of all choices tried, the one that the full prediction likes best; of equals the earliest.
    """
    tried: list[Settled] = []
    if goal == PlanKind.TARGET:
        best = _reaching(site, nodes, start, rounds, tried)
    else:
        best = _corrected(site, goal, budget, nodes, start, rounds, wishes, tried)
    if seen is not None:
        seen += tried
    return best


def _corrected(
    site: Site,
    goal: PlanKind,
    budget: Decimal | None,
    nodes: int,
    start: Fit | None,
    rounds: int,
    wishes: Collection[Wish],
    tried: list[Settled],
) -> Settled:
    """What another end asks for, corrected by its prediction; what is tried is added."""
    fit = start or bare_fit(site)
    purse = None if budget is None else float(budget_for_pieces(budget, site.job.shop))
    for done in range(rounds):
        asked = _Asked(goal=goal, fit=fit, budget=budget, wishes=wishes)
        choice, purse = _choose(site, asked, purse, nodes)
        chosen = tuple(site.places[i] for i in choice.chosen)
        settled = predicted(site, chosen, choice, press=1.0, steady=False)
        now = settled.fit
        settled = replace(settled, steady=fit.agrees(now) or (done > WARY and fit.spans(now)))
        tried.append(settled)
        if settled.steady:
            break
        fit = now.wary(fit) if done >= WARY else now
    return min(tried, key=lambda settled: merit(site, settled))


def _reaching(
    site: Site, nodes: int, start: Fit | None, rounds: int, tried: list[Settled]
) -> Settled:
    """What reaches the target as surely as asked for the least; what is tried is added."""
    fit, base = start or bare_fit(site), None if start else placed_by_hand(site, ())
    press, sure_pct = 1.0, site.job.sure_pct
    for _ in range(rounds):
        pressed = _pressed(site, fit, base, press, nodes)
        chosen = tuple(site.places[i] for i in pressed.choice.chosen)
        settled = predicted(site, chosen, pressed.choice, press=pressed.press, steady=True)
        again = base is not None and chosen == base.chosen
        tried.append(settled)
        if again or not chosen:
            break
        base, fit, press = settled, settled.fit, pressed.press
    best = least_seen(site, tried, sure_pct) or min(tried, key=lambda each: merit(site, each))
    steps = min(nodes, STEPS)
    return sought(site, best, sure_pct, seen=tried, tries=NEARBY_TRIES, steps=steps)


@dataclass(frozen=True, kw_only=True)
class _Pressed:
    """A choice made for ends of the range that are so many times as far away."""

    choice: Choice
    press: float
    chance: float
    """That it reaches the target, by the draws of a plan near by and the fast formula [1]."""


def _pressed(site: Site, fit: Fit, base: Settled | None, press: float, nodes: int) -> _Pressed:
    """The cheapest choice that reaches the target as surely as asked by the fast formula: the ends
    of the range are taken nearer or further until it does and hardly more; the surest where none
    does. Without a plan near by, the first."""
    sure, tried = site.job.sure_pct / 100 - HOPEFUL, list[_Pressed]()
    for _ in range(PRESSES if base is not None and base.chosen else FIRST_PRESSES):
        asked = _Asked(goal=PlanKind.TARGET, fit=fit.stretched(press))
        choice, _ = _choose(site, asked, None, nodes)
        chosen = [site.places[i] for i in choice.chosen]
        chance = 1.0 if base is None else likely_chance(site, base, chosen)
        again = any(choice.chosen == each.choice.chosen for each in tried)
        tried.append(_Pressed(choice=choice, press=press, chance=chance))
        if base is None or again or sure <= chance <= sure + SURER or not choice.finished:
            break
        press = _next_press(tried, sure)
    fine = [each for each in tried if each.chance >= sure]
    if fine:
        return min(fine, key=lambda each: sum(site.costs[i] for i in each.choice.chosen))
    return max(tried, key=lambda each: each.chance)


def _next_press(tried: Sequence[_Pressed], sure: float) -> float:
    """How far away the ends of the range are to be taken next: between what was too little and what
    was too much. [1]"""
    little = [each.press for each in tried if each.chance < sure]
    much = [each.press for each in tried if each.chance >= sure]
    if little and much and max(little) < min(much):
        return float((max(little) * min(much)) ** 0.5)
    normal = NormalDist()
    found = normal.inv_cdf(min(max(tried[-1].chance, 0.55), 0.995))
    by = normal.inv_cdf(sure + SURER / 3) / found
    return tried[-1].press * min(max(by, LEAST_PRESS), MOST_PRESS)


def _scattered(
    site: Site,
    goal: PlanKind,
    nodes: int,
    near: Settled,
    wishes: Collection[Wish],
    seen: list[Settled],
    purse: float = np.inf,
) -> Settled:
    """A plan with diffusers behind the seat; without, where they do not fit or absorption falls
    short."""
    asked = _Asked(goal=goal, fit=near.fit.stretched(near.press), wishes=wishes)
    choice, _ = _choose(site, asked, purse if np.isfinite(purse) else None, nodes)
    absorbers = tuple(site.places[i] for i in choice.chosen)
    for chosen in _with_scatter(site, asked, (absorbers, near), purse, nodes):
        costs = sum(shop_cost(site, c) for c in chosen)
        hopeless = likely_chance(site, near, chosen) < near.chance - HOPELESS
        if costs <= purse and not hopeless and _left(site, chosen) <= _left(site, absorbers):
            seen.append(_beside(site, chosen, choice, near))
            if merit(site, seen[-1])[:2] <= merit(site, near)[:2]:
                return seen[-1]
    seen.append(
        _beside(site, _completed(site, asked, absorbers, near, nodes, keep=True), choice, near)
    )
    return seen[-1]


def _with_scatter(
    site: Site,
    asked: _Asked,
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
        return _completed(site, asked, clear, near, nodes, keep=keep)

    most = diffusers(site.job, site.diffusers, site.early, site.verdict.target.key)
    some = [most[: len(most) >> k] for k in range(len(most).bit_length())]
    for scatter in some:
        yield beside(chosen, scatter, keep=True)
    for scatter in some:
        left = purse - sum(shop_cost(site, c) for c in scatter)
        if np.isfinite(left) and left > 0:
            there = site.without(scatter)
            choice, _ = _choose(there, asked, left, nodes)
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


def _completed(
    site: Site,
    asked: _Asked,
    chosen: Sequence[Candidate],
    near: Settled,
    nodes: int,
    *,
    keep: bool,
) -> Sequence[Candidate]:
    """What is chosen for another end than the least, and what it lacks to reach the target as
    surely by the fast formula."""
    if not reached(site, near):
        return chosen
    sure = MOST_SURE if asked.goal == PlanKind.MOST else site.job.sure_pct / 100 + SURER
    return completed(site, near.chosen, chosen, sure, min(nodes, STEPS), keep=keep)


def _beside(site: Site, chosen: Sequence[Candidate], choice: Choice, near: Settled) -> Settled:
    """The same predicted in full; where it is not what was chosen no search found it best."""
    settled = predicted(site, chosen, choice, press=near.press, steady=True)
    known = {c: i for i, c in enumerate(site.places)}
    at = tuple(sorted(known[c] for c in chosen if c in known))
    if at == choice.chosen:
        return settled
    return replace(settled, choice=replace(choice, chosen=at, gap=np.inf))


@dataclass(frozen=True, kw_only=True)
class _Asked:
    """What a choice is made for."""

    goal: PlanKind
    fit: Fit
    budget: Decimal | None = None
    wishes: Collection[Wish] = ()


def _choose(
    site: Site, asked: _Asked, purse: float | None, nodes: int
) -> tuple[Choice, float | None]:
    """Choose for a goal; the purse is what pieces may cost, drawn tighter where it had to be."""
    if not site.places:
        return Choice(chosen=(), cost=0.0), purse
    if asked.budget is not None and purse is not None:
        return _affordable(site, asked.fit, asked.budget, purse, nodes)
    most = asked.goal == PlanKind.MOST
    wanted = problem(
        site,
        asked.fit,
        cost_weight=FREE if most else 1.0,
        nominal=most,
        purse=purse,
        wishes=asked.wishes,
    )
    try:
        return _search(site, wanted, nodes, _gap(site)), purse
    except NoChoice:
        # What is pinned costs more than the purse holds.
        pins = tuple(sorted(site.pinned))
        return Choice(chosen=pins, cost=float(sum(site.costs[i] for i in pins))), purse


def _gap(site: Site) -> float:
    """How near the best a choice has to be proved: else another solver chooses otherwise. [1]"""
    return ROUGHLY if len(site.places) > MANY else 0.0


def _search(site: Site, asked: Problem, nodes: int, gap: float = 0.0) -> Choice:
    """The best choice that so many branches allow; what is pinned alone where they allow none."""
    try:
        return choose(asked, nodes=nodes, gap=gap)
    except OutOfNodes:
        pins = tuple(sorted(site.pinned))
        return Choice(chosen=pins, cost=cost(asked, pins), gap=np.inf, finished=False)


def _affordable(
    site: Site, fit: Fit, budget: Decimal, purse: float, nodes: int
) -> tuple[Choice, float]:
    """The best choice whose price, whole packs and all, is within the budget, and the purse that
    bought it.

    What is pinned alone, or nothing, where there is none. The purse is drawn tighter until the
    price fits; the next round starts with it.
    """
    for _ in range(PURSES):
        if purse <= 0:
            break
        try:
            choice = _search(site, problem(site, fit, cost_weight=FREE, purse=purse), nodes)
        except NoChoice:
            # What is pinned costs more than the purse holds.
            break
        over = float(client_price(site, [site.places[i] for i in choice.chosen]) * RESERVE - budget)
        if over <= 0:
            return choice, purse
        purse -= max(over * float(cost_share(site.job.shop)), 0.03 * purse)
    return Choice(chosen=tuple(sorted(site.pinned)), cost=0.0), 0.0


def _within_budget(site: Site, need: Settled, nodes: int, seen: list[Settled]) -> Settled | None:
    """What the budget buys, where it does not buy what the target needs."""
    budget = site.job.budget
    if budget is None or client_price(site, need.chosen) * RESERVE <= budget:
        return None
    start, rounds = need.fit, BUDGET_ROUNDS
    return settle(site, PlanKind.BUDGET, budget, nodes=nodes, start=start, rounds=rounds, seen=seen)


def _budget(site: Site, need: Settled, settled: Settled | None) -> tuple[Plan, ...]:
    """Plan what the budget buys, where it does not reach what the target needs."""
    budget = site.job.budget
    if settled is None or budget is None or client_price(site, need.chosen) * RESERVE <= budget:
        return ()
    if not settled.chosen:
        return (plan_of(site, PlanKind.BUDGET, settled, (fact(PlanNote.BUDGET_TOO_SMALL),)),)
    price = client_price(site, settled.chosen)
    kind = PlanNote.PINS_OVER_BUDGET if price > budget else PlanNote.PRICE_WITHIN_BUDGET
    note = fact(kind, price=float(price), budget=float(budget), currency=site.job.currency)
    return (plan_of(site, PlanKind.BUDGET, settled, (note,)),)


def _surer(site: Site, need: Settled, nodes: int, seen: list[Settled]) -> None:
    """Seek plans that reach the target more and less surely."""
    for sure_pct in SURE_PCT:
        if sure_pct != site.job.sure_pct and reached(site, need):
            _seek_nearby(site, need, sure_pct, nodes, seen)


def _seek_nearby(
    site: Site, need: Settled, sure_pct: float, nodes: int, seen: list[Settled]
) -> None:
    """What near the plan that the target needs reaches it so surely is added to `seen`."""
    steps = min(nodes, STEPS)
    sought(site, need, sure_pct, seen=seen, tries=NEARBY_TRIES, steps=steps, first=True)


def _price_of_sureness(
    site: Site, need: Settled, seen: Sequence[Settled]
) -> tuple[Fact[PlanNote], ...]:
    """What it takes to reach the target more and less surely: price against risk."""
    sure_pct = site.job.sure_pct
    rows = {pct: least_seen(site, [need, *seen], pct) for pct in SURE_PCT} | {sure_pct: need}
    listed = [(pct, row) for pct, row in sorted(rows.items()) if row is not None]
    if len(listed) < 2:
        return ()
    note = fact(
        PlanNote.PRICE_OF_SURENESS,
        sure_pct=tuple(pct for pct, _ in listed),
        pieces=tuple(len(row.chosen) for _, row in listed),
        prices=tuple(float(client_price(site, row.chosen)) for _, row in listed),
        found_pct=tuple(100 * row.chance for _, row in listed),
        currency=site.job.currency,
    )
    return (note,)


def _choices_beside(
    site: Site, need: Settled, plan: Plan, nodes: int, seen: list[Settled], *, search: bool
) -> tuple[Fact[PlanNote], ...]:
    """What else a client may choose beside the least that reaches the target, with its price."""
    if plan.kind != PlanKind.TARGET:
        return ()
    sure = _price_of_sureness(site, need, seen)
    inside = _promised_inside(site, need, plan, nodes if search else None, seen)
    return (*sure, *inside, *_one_sort(site, need, seen))


def _promised_inside(
    site: Site, need: Settled, plan: Plan, nodes: int | None, seen: list[Settled]
) -> tuple[Fact[PlanNote], ...]:
    """What it takes to promise nothing outside the target, where the plan promises more; of what
    was predicted already without `nodes`."""
    if not plan.promise.beyond_target_hz:
        return ()
    inside = least_promised_inside(site, need, seen)
    for sure_pct in SURE_INSIDE:
        if inside is not None or nodes is None or _too_wide(site, plan):
            break
        _seek_nearby(site, need, sure_pct, nodes, seen)
        inside = least_promised_inside(site, need, seen)
    if inside is None:
        return (fact(PlanNote.PROMISED_INSIDE),)
    price = client_price(site, inside.chosen)
    note = fact(
        PlanNote.PROMISED_INSIDE,
        pieces=len(inside.chosen),
        price=float(price),
        more=float(price - client_price(site, need.chosen)),
        found_pct=100 * inside.chance,
        currency=site.job.currency,
    )
    return (note,)


def _too_wide(site: Site, plan: Plan) -> bool:
    """Whether something is promised over a range so much wider than the target's own limits that no
    plan near by promises all inside."""
    target, made = site.verdict.target, plan.promise
    promised = [(target.limit(band.band_hz), band.low_s, band.high_s) for band in made.bands]
    asked = [(at.low_s, at.high_s, low, high) for at, low, high in promised if at is not None]
    if made.mid_low_s and made.mid_high_s:
        asked.append((target.mid_low_s, target.mid_high_s, made.mid_low_s, made.mid_high_s))
    return any(
        least and most and low > 0 and (high / low) ** NARROWER > most / least
        for least, most, low, high in asked
    )


def _one_sort(site: Site, need: Settled, seen: list[Settled]) -> tuple[Fact[PlanNote], ...]:
    """What panels of one sort on each wall cost, where the least mixes them."""
    walls = mixed_walls(need.chosen)
    alike = of_one_sort(site, need, seen) if walls else None
    if alike is None:
        return ()
    price = client_price(site, alike.chosen)
    note = fact(
        PlanNote.ONE_SORT,
        faces=tuple(walls),
        price=float(price),
        more=float(price - client_price(site, need.chosen)),
        currency=site.job.currency,
    )
    return (note,)


def _with_options(
    site: Site, settled: Settled, target: Plan, wishes: tuple[Wish, ...]
) -> tuple[Plan, ...]:
    """The same with what would be heard beside the decay, its extra price capped and named."""
    if not _as_good(site, settled, target):
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


def _unasked(site: Site, need: Settled, wishes: Collection[Wish]) -> tuple[Fact[PlanNote], ...]:
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


def placed_by_hand(site: Site, chosen: tuple[Candidate, ...]) -> Settled:
    """Pieces that a person placed, predicted in full: nothing was searched."""
    return predicted(site, chosen, Choice(chosen=(), cost=0.0), press=1.0, steady=True)


def _nothing(site: Site) -> Plan:
    """A plan of nothing, for a room that is good already."""
    settled = placed_by_hand(site, ())
    plan = plan_of(site, PlanKind.TARGET, settled, (fact(PlanNote.ALREADY_GOOD),))
    return replace(plan, reaches_target=True, shortfalls=())


def plan_of(
    site: Site,
    kind: PlanKind,
    settled: Settled,
    notes: tuple[Fact[PlanNote], ...] = (),
    known: Sequence[Placement] = (),
) -> Plan:
    """Name, explain and price what stands, and hold it against all that a person has to look at.

    Parameters
    ----------
    site : Site
    kind : PlanKind
    settled : Settled
    notes : tuple of Fact
        To stand before the others.
    known : sequence of Placement
        Of the plan that this one changes, whose names stay.
    """
    placed = placements(settled.chosen, site.job, known)
    named = tuple(
        replace(piece, reasons=explain.reasons(site, piece, candidate))
        for piece, candidate in placed
    )
    bare = tuple(piece for piece, _ in placements(settled.chosen, site.job))
    reaches = explain.reaches(site, settled.prediction, settled.chance)
    misses = explain.shortfalls(site, settled.prediction, settled.chosen, reaches=reaches)
    by_gain = gains(site, [(piece.name, candidate) for piece, candidate in placed], settled.fit)
    quiet = bool(site.early) or site.verdict.target.key in EARLY_USES
    return Plan(
        kind=kind,
        pieces=named,
        prediction=settled.prediction,
        promise=promise(site.job, site.analysis, settled.prediction, site.draws_s(bare)),
        reaches_target=reaches,
        chance=settled.chance,
        shortfalls=(*misses, *_uncovered(site, named)),
        gain_per_piece=tuple(gain.gain_s for gain in by_gain),
        notes=(*notes, *_notes(site, settled, placed, by_gain=by_gain)),
        gains=by_gain,
        unheard_from=unheard_from(by_gain),
        reflections=reflection_changes(site.job, named, site.absorptions, quiet),
        price=client_price(site, settled.chosen).quantize(Decimal("0.01")),
        weeks=weeks_of([c.piece for c in settled.chosen], site.job.shop),
        checks=checks(site.job, named),
    )


def _notes(
    site: Site,
    settled: Settled,
    placed: Sequence[tuple[Placement, Candidate]],
    *,
    by_gain: Sequence[PieceGain],
) -> tuple[Fact[PlanNote], ...]:
    scattering = [piece.name for piece, candidate in placed if candidate.piece.diffuser]
    asymmetry = uneven(site.job, site.verdict.target.key)
    unusable = [piece.name for piece in site.job.shop.stock if piece.name in site.unusable]
    return (
        explain.sureness(site, settled.prediction, settled.chance),
        *explain.not_foreseen(site, settled.prediction),
        *unheard(by_gain, scattering),
        *explain.methods_apart(settled.prediction),
        *((asymmetry,) if asymmetry else ()),
        *(fact(PlanNote.STOCK_UNUSABLE, piece=name) for name in unusable),
        *_set_aside(site),
        *_proof(settled),
    )


def _set_aside(site: Site) -> tuple[Fact[PlanNote], ...]:
    """How many pieces of a large stock were not searched."""
    if not site.aside:
        return ()
    aside, stock = len(site.aside), len(site.job.shop.stock)
    return (fact(PlanNote.STOCK_ASIDE, pieces=aside, of=stock),)


def _uncovered(site: Site, pieces: Sequence[Placement]) -> tuple[Fact[Shortfall], ...]:
    """First reflections that stay uncovered."""
    uncovered = []
    for r in site.early:
        if any(p.face == r.face and p.place.holds(r.u_m, r.v_m) for p in pieces):
            continue
        shortfall = fact(
            Shortfall.REFLECTION_UNCOVERED,
            source=r.source,
            face=r.face,
            level_db=r.level_db,
            patch=r.on_patch or None,
        )
        uncovered.append(shortfall)
    return tuple(uncovered)


def _proof(settled: Settled) -> tuple[Fact[PlanNote], ...]:
    """How far the search went, and whether plan and prediction settled."""
    choice, notes = settled.choice, []
    gap_pct = 100 * choice.gap if choice.gap < 1 else None
    if not choice.finished:
        notes.append(fact(PlanNote.SEARCH_STOPPED, gap_pct=gap_pct))
    elif choice.gap > 0 and gap_pct is not None:
        notes.append(fact(PlanNote.SEARCH_PROVED, gap_pct=gap_pct))
    if not settled.steady:
        notes.append(fact(PlanNote.NOT_SETTLED))
    return tuple(notes)
