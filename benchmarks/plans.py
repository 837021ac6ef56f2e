"""How good plans are: against every choice there is, against a greedy planner, and in rooms whose
answer is known.

    python benchmarks/plans.py           50 random jobs, 40 small problems, 7 rooms: about ten
    minutes on one core python benchmarks/plans.py 5         5 random jobs

Rooms, stock and the second pair of eyes on the drawn plan are those of the tests
(`tests/recommend`); materials and absorbers are roomcheck's own tables and the default stock.
"""

from __future__ import annotations

import itertools
import math
import sys
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "tests" / "recommend"))

import layout_check
import made_up_rooms as made

from roomcheck.analyse import Analysis
from roomcheck.geometry import Point, Rectangle, Room
from roomcheck.job import (
    Fixing,
    Forbid,
    Framing,
    FramingKind,
    Job,
    KeepClear,
    Patch,
    Position,
    default_shop,
)
from roomcheck.judge import Verdict
from roomcheck.predict import Prediction, Statistics
from roomcheck.predict.answer.before_after import before_after
from roomcheck.recommend import Plan, PlanKind, Site, change_in
from roomcheck.recommend.aims.plans import good_already, plans_of
from roomcheck.recommend.aims.reaching import settle
from roomcheck.recommend.integer.choose import choose
from roomcheck.recommend.integer.problem import Problem, Rule, Shares, cost
from roomcheck.recommend.plan.explain import values
from roomcheck.recommend.plan.one_plan import plan_of
from roomcheck.recommend.solver.targets_as_constraints import problem
from roomcheck.standards import target_for

IN = 0.0254
NEED = PlanKind.TARGET
WALLS = {
    "walls": "gypsum board on studs",
    "floor": "thin carpet on concrete",
    "ceiling": "gypsum board on studs",
}


# ------------------------------------------------------------------------------------------ small
# problems, all choices


def drawn(seed: int, n: int = 10) -> Problem:
    """A small random problem with every sort of rule."""
    rng = np.random.default_rng(seed)

    def weights() -> dict[int, float]:
        return {i: float(w) for i, w in enumerate(rng.uniform(0.1, 1.0, n))}

    packs = [frozenset(int(i) for i in rng.choice(n, 2, replace=False)) for _ in range(4)]
    rules = [
        Rule(name="a", weights=weights(), low=2.5, price=40.0),
        Rule(name="b", weights=weights(), low=1.5, high=2.0, price=15.0),
        Rule(name="c", weights={0: 1.0, 3: 1.0}, low=1.0, price=float(rng.uniform(0, 10))),
        Rule(name="purse", weights=weights(), high=3.5),
    ]
    cells = tuple(
        (float(rng.uniform(0.2, 1)), {int(i): 0.7 for i in rng.choice(n, 3, replace=False)})
        for _ in range(4)
    )
    costs = [float(c) for c in rng.uniform(1, 9, n)]
    return Problem(
        costs=costs,
        packs=packs,
        rules=rules,
        shares=[Shares(name="s", cells=cells, least=1.2, price=9.0)],
    )


def price(asked: Problem, chosen: Sequence[int]) -> float:
    """Cost of a choice, written a second time, from the problem alone."""
    x = [1.0 if i in chosen else 0.0 for i in range(len(asked.costs))]
    if any(sum(x[i] for i in pack) > 1 for pack in asked.packs):
        return math.inf
    total = sum(c * xi for c, xi in zip(asked.costs, x, strict=True))
    for rule in asked.rules:
        value = sum(w * x[i] for i, w in rule.weights.items())
        off = (rule.low - value if value < rule.low else 0.0) + (
            value - rule.high if value > rule.high else 0.0
        )
        if off > 1e-6:
            total += math.inf if rule.price is None else rule.price * off
    for shares in asked.shares:
        got = sum(
            size * min(1.0, sum(s * x[i] for i, s in cell.items())) for size, cell in shares.cells
        )
        total += shares.price * max(shares.least - got, 0.0)
    return total


def small(seed: int) -> float:
    """How far the program's cost is above the cheapest of all 1,024 choices of 10 candidates.
    [1]"""
    asked = drawn(seed)
    every = itertools.chain.from_iterable(itertools.combinations(range(10), k) for k in range(11))
    best = min(price(asked, chosen) for chosen in every)
    return price(asked, choose(asked, gap=0.0, nodes=10_000).chosen) / best - 1


# -------------------------------------------------------------------------------------------------------
# random jobs


def random_job(seed: int) -> Job:
    """A room of one of five uses, with a door, a window, outlets, studs, and now and then more that
    is in the way."""
    rng = np.random.default_rng([7, seed])
    size = [
        round(float(x), 2)
        for x in (rng.uniform(2.6, 6.0), rng.uniform(2.3, 4.8), rng.uniform(2.35, 3.0))
    ]
    room = Room.box(size[0], size[1], size[2])
    spot = lambda: Point(*(float(rng.uniform(0.3, 0.7)) * s for s in size[:2]), 1.2)  # noqa: E731
    door = Rectangle(round(float(rng.uniform(0.1, size[1] - 1.1)), 2), 0.0, 0.91, 2.03)
    window = Rectangle(round(float(rng.uniform(0.2, size[0] - 1.6)), 2), 0.9, 1.2, 1.1)
    outlet = Rectangle(round(float(rng.uniform(0.3, size[0] - 0.5)), 2), 0.3, 0.07, 0.11)
    more = [
        KeepClear(
            name="way", face="floor", kind="walkway", place=Rectangle(0.0, 0.0, size[0], 0.9)
        ),
        KeepClear(
            name="swing",
            face="floor",
            kind="door swing",
            place=Rectangle(size[0] - 0.9, 0.2, 0.9, 0.9),
        ),
        KeepClear(
            name="head",
            face="ceiling",
            kind="sprinkler",
            place=Rectangle(size[0] / 2, 0.3, 0.05, 0.05),
            clearance_m=0.457,
        ),
    ]
    stud = lambda face: Framing(  # noqa: E731
        face=face,
        kind=FramingKind.WOOD_STUDS,
        sheathing_m=0.5 * IN,
        spacing_m=16 * IN,
        first_m=float(rng.uniform(0.1, 0.4)),
    )
    shop = default_shop()
    kept = rng.permutation(len(shop.stock))[: int(rng.integers(5, len(shop.stock) + 1))]
    uses = (
        "podcast room",
        "meeting room",
        "home cinema",
        "voice booth",
        "amplified rehearsal room",
    )
    return made.job(
        room,
        use=uses[int(rng.integers(len(uses)))],
        materials=tuple(
            (f.name, WALLS["walls"] if f.kind == "wall" else WALLS[f.kind]) for f in room.faces
        ),
        patches=(
            Patch(
                name="door",
                face="east",
                material="solid wooden door",
                place=door,
                opening=True,
                clearance_m=0.08,
            ),
            Patch(
                name="window",
                face="south",
                material="double glazing",
                place=window,
                opening=True,
                clearance_m=0.08,
            ),
        ),
        keep_clear=(
            KeepClear(name="outlet", face="north", kind="outlet", place=outlet, clearance_m=0.1),
            *(zone for zone in more if rng.uniform() < 0.3),
        ),
        framing=tuple(stud(face) for face in ("south", "east", "north", "west", "ceiling")),
        fixings=(Fixing(face="ceiling", rule="nothing"),) if rng.uniform() < 0.2 else (),
        sources=(Position(name="S1", point=spot()), Position(name="S2", point=spot())),
        microphones=tuple(Position(name=f"P{i}", point=spot()) for i in (1, 2)),
        shop=replace(shop, stock=tuple(shop.stock[i] for i in sorted(kept))),
    )


def first_visit(job: Job, seed: int) -> Analysis:
    """What such a room measures: its tables' decay, off by what tables are off by."""
    room = Statistics.of(job)
    off = np.exp(0.1 * np.random.default_rng([8, seed]).standard_normal(len(room.bands_hz)))
    decays = np.where(
        np.array(room.bands_hz) >= 250, room.after_s(np.zeros(len(room.bands_hz))) * off, np.nan
    )
    known = zip(room.bands_hz, decays, strict=True)
    return made.measured({hz: float(t) for hz, t in known if np.isfinite(t) and hz <= 4000})


@dataclass(frozen=True, kw_only=True)
class Outcome:
    """One job's plan, held against everything.

    Attributes
    ----------
    places, pieces : int
    above_greedy : float
        Cost over a greedy planner's for the same wishes, less 1; below 0 is better. [1]
    complaints : tuple of str
        Of the second pair of eyes.
    plan_s, again_s : float
        Processor time of the plan and of solving again after a change by hand. [s]
    likely_in_range : tuple of (formula in, simulated in, bands)
    share_in : float
        Of the draws: mean decay inside the target's limits. [1]
    reaches : bool
    """

    places: int
    pieces: int
    above_greedy: float
    complaints: tuple[str, ...]
    plan_s: float
    again_s: float
    in_range: tuple[int, int, int]
    share_in: float
    reaches: bool


def random_outcome(seed: int) -> Outcome:
    """One random job from its first visit to a plan and a change by hand."""
    job = random_job(seed)
    verdict = made.verdict(target_for(job.use, job.room.volume_m3))
    visit = first_visit(job, seed)
    start = time.process_time()
    site = Site.of(job, visit, verdict)
    settled = settle(site, NEED)
    plan = plan_of(site, NEED, settled)
    planned = time.process_time()
    again_s, more = _again(site, plan)
    chosen, worst = choose(problem(site, settled.fit)), greedy(site, problem(site, settled.fit))
    return Outcome(
        places=len({(c.face, c.place) for c in site.places}),
        pieces=len(plan.pieces),
        above_greedy=cost(problem(site, settled.fit), chosen.chosen) / max(worst, 1e-9) - 1,
        complaints=(*layout_check.complaints(job, plan.pieces), *more),
        plan_s=planned - start,
        again_s=again_s,
        in_range=in_range(plan.prediction),
        share_in=share_in(site, plan),
        reaches=plan.reaches_target,
    )


def _again(site: Site, plan: Plan) -> tuple[float, list[str]]:
    """Processor time to solve again with the first piece's place forbidden, and complaints about
    what comes out."""
    if not plan.pieces:
        return 0.0, []
    forbid = Forbid(face=plan.pieces[0].face, place=plan.pieces[0].place)
    start = time.process_time()
    found = change_in(site, plan, (), (forbid,))
    taken = time.process_time() - start
    return taken, layout_check.complaints(replace(site.job, forbids=(forbid,)), found.plan.pieces)


def greedy(site: Site, asked: Problem) -> float:
    """The baseline's cost: always the piece, or the mirrored pair, that betters things most, until
    none does."""
    twin = dict(site.twins) | {j: i for i, j in site.twins}
    moves = {tuple(sorted({i, twin.get(i, i)})) for i in range(len(site.places))}
    chosen: list[int] = sorted(site.pinned)
    now, taken = cost(asked, chosen), set(chosen)
    while True:
        tries = [
            (cost(asked, [*chosen, *move]), move) for move in sorted(moves) if not taken & set(move)
        ]
        best, move = min(tries, default=(math.inf, ()))
        if best >= now - 1e-9:
            return now
        chosen, now = [*chosen, *move], best
        taken |= {j for pack in asked.packs if pack & set(move) for j in pack}


def in_range(prediction: Prediction) -> tuple[int, int, int]:
    """Octaves in which the formula's, and in which the simulation's likely decay lies in the range;
    and all octaves."""
    known = [b for b in prediction.after if b.likely_s is not None]
    formula = sum(b.low_s <= b.eyring_s <= b.high_s for b in known)  # type: ignore[operator]
    simulated = sum(b.low_s <= b.simulated_s <= b.high_s for b in known)  # type: ignore[operator]
    return formula, simulated, len(known)


def share_in(site: Site, plan: Plan) -> float:
    """Share of the possible rooms in which everything that the target judges is inside its limits.
    [1]"""
    bare = tuple(replace(p, reasons=()) for p in plan.pieces)
    draws = before_after(site.job, bare, site.analysis).after_s
    hz = list(site.bands_hz)
    fine = np.ones(len(draws), dtype=bool)
    judged = {row.band_hz for row in values(site, plan.prediction)}
    target = site.verdict.target
    rows = [
        (draws[:, hz.index(lim.band_hz)], lim.low_s, lim.high_s, lim.band_hz)
        for lim in target.limits
    ]
    known = {b.band_hz for b in plan.prediction.after if b.likely_s is not None}
    rows = [row for row in rows if row[3] in known]
    if None in judged:
        mid = draws[:, [hz.index(f) for f in target.mid_bands_hz]].mean(axis=1)
        rows.append((mid, target.mid_low_s, target.mid_high_s, 0.0))
    for decays, low, high, _ in rows:
        fine &= (decays >= (low or 0.0)) & (decays <= (math.inf if high is None else high))
    return float(fine.mean()) if rows else math.nan


# ------------------------------------------------------------------------------------------ rooms
# whose answer is known


@dataclass(frozen=True, kw_only=True)
class Known:
    """A room whose answer is known, and whether a plan gives it."""

    name: str
    answer: str
    job: Job
    aim: object
    holds: Callable[[Site, Plan], bool]
    outcome: str = "too long"


def known_rooms() -> tuple[Known, ...]:
    """The seven rooms."""
    named = lambda job, **m: tuple((f.name, m.get(f.name, m["rest"])) for f in job.room.faces)  # noqa: E731
    plain = made.job(shop=default_shop())
    hard, soft = "gypsum board on studs", "perforated gypsum, 300 mm void"
    usual = replace(plain, materials=named(plain, rest=hard, floor="thin carpet on concrete"))
    pair = replace(
        usual,
        seat=None,
        materials=named(plain, rest=soft, south="concrete floor", north="concrete floor"),
    )
    booth_room = Room.box(2.4, 2.0, 2.3)
    booth = made.job(
        booth_room,
        use="voice booth",
        shop=default_shop(),
        sources=(Position(name="S1", point=Point(0.8, 1.0, 1.3)),),
        microphones=(Position(name="P1", point=Point(1.5, 0.9, 1.3)),),
    )
    booth = replace(booth, materials=named(booth, rest=hard, floor="thin carpet on concrete"))
    l_room = Room(
        corners=((0, 0), (5, 0), (5, 2.5), (2.8, 2.5), (2.8, 4.5), (0, 4.5)),
        height_m=2.6,
        wall_names=("a", "b", "c", "d", "e", "f"),
    )
    ell = made.job(
        l_room,
        shop=default_shop(),
        sources=(Position(name="S1", point=Point(1.0, 1.0, 1.2)),),
        microphones=(Position(name="P1", point=Point(2.2, 1.6, 1.2)),),
    )
    ell = replace(ell, materials=named(ell, rest=hard, floor="thin carpet on concrete"))
    glass = Patch(
        name="shop window",
        face="south",
        material="double glazing",
        place=Rectangle(0.05, 0.05, 4.3, 2.5),
        opening=True,
    )
    podcast = made.target(0.15, 0.40, mid_low_s=0.20, mid_high_s=0.35)
    faces = lambda plan: {p.face for p in plan.pieces}  # noqa: E731
    kinds = lambda site, plan: {site.job.shop.piece(p.piece).kind for p in plan.pieces}  # noqa: E731
    deep = lambda site, plan: any(site.job.shop.piece(p.piece).depth_m > 0.1 for p in plan.pieces)  # noqa: E731
    return (
        Known(
            name="one bare parallel pair",
            answer="only that pair is covered",
            job=pair,
            aim=made.target(None, 1.0),
            holds=lambda s, p: bool(p.pieces) and faces(p) <= {"south", "north"},
        ),
        Known(
            name="good already",
            answer="nothing",
            job=replace(
                usual,
                seat=None,
                materials=named(plain, rest=hard, ceiling=soft, floor="carpet on underlay"),
            ),
            aim=made.target(None, 1.2),
            outcome="within",
            holds=lambda s, p: not p.pieces,
        ),
        Known(
            name="too small for a diffuser",
            answer="no diffuser",
            job=booth,
            aim=made.target(0.08, 0.25, key="voice booth"),
            holds=lambda s, p: not any("diffuser" in k for k in kinds(s, p)),
        ),
        Known(
            name="booth that thin panels leave boxy",
            answer="something deeper than 4 in",
            job=booth,
            aim=made.target(None, 0.25, key="voice booth"),
            holds=deep,
        ),
        Known(
            name="L-shaped",
            answer="nothing in the corner that juts in, nothing off a wall",
            job=ell,
            aim=podcast,
            holds=lambda s, p: bool(p.pieces) and not layout_check.complaints(s.job, p.pieces),
        ),
        Known(
            name="wall of glass",
            answer="the glass stays free, a curtain is named",
            job=replace(usual, patches=(glass,)),
            aim=podcast,
            holds=lambda s, p: (
                "south" not in faces(p)
                and any(miss.get("patch") or miss.get("curtain") for miss in p.shortfalls)
            ),
        ),
        Known(
            name="no fixing on the ceiling",
            answer="the ceiling stays free, its reflections are named",
            job=replace(usual, fixings=(Fixing(face="ceiling", rule="nothing"),)),
            aim=podcast,
            holds=lambda s, p: (
                "ceiling" not in faces(p)
                and any(miss.get("face") == "ceiling" for miss in p.shortfalls)
            ),
        ),
    )


def answered(known: Known) -> tuple[bool, Plan, tuple[int, int, int], float]:
    """Whether a room's plan is its answer, the plan, octaves inside its range, share of draws
    inside the limits."""
    verdict: Verdict = made.verdict(known.aim, known.outcome)  # type: ignore[arg-type]
    site = Site.of(known.job, None, verdict)
    fine = good_already(verdict)
    plan = plans_of(site)[0] if fine else plan_of(site, NEED, settle(site, NEED))
    clean = not layout_check.complaints(known.job, plan.pieces)
    return clean and known.holds(site, plan), plan, in_range(plan.prediction), share_in(site, plan)


def main(count: int) -> None:
    print("small problems: most above the best", max(small(seed) for seed in range(40)))
    for known in known_rooms():
        ok, plan, inside, share = answered(known)
        print(
            f"{known.name}: {'yes' if ok else 'NO'} ({known.answer}), {len(plan.pieces)} pieces, "
            f"{inside}, {share:.0%}"
        )
    for seed in range(count):
        print(seed, random_outcome(seed), flush=True)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 50)
