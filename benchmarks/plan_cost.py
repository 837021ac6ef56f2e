"""What a plan costs beside the cheapest choice there is, found by a program of its own.

    python benchmarks/plan_cost.py 60 --journal plan-cost.json --minutes 15

Small rooms, one source, three microphones, at most fifteen places for pieces of the default stock,
a target between what is there and what all pieces together reach. The planner gets the decay that
particles (`room_truth`) trace in the bare room, with the scatter of its pairs, and plans as usual.
The other program shares neither search nor prediction with it: it prices all subsets by its own
sum, foresees them by Eyring's formula drawn to the decays traced so far, and traces them from the
cheapest up until one holds. It is held to the same surety, by its own draws of what coefficients
and the next measurement may be off. A second answer is the cheapest that holds by the traced decay
alone, which only somebody who knows the room exactly could buy.

The journal keeps every room, so that a run that is stopped goes on where it was.
"""

from __future__ import annotations

import argparse
import itertools
import json
import math
import sys
import time
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "tests" / "recommend"))

import made_up_rooms as made

from ranges import BANDS_HZ, HARD, MATERIALS
from room_truth import Cover, TrueRoom, decays_s
from roomcheck.geometry import Point, Room
from roomcheck.job import Job, Position, default_shop
from roomcheck.materials import Absorption, absorption_of
from roomcheck.predict.room.conditions import conditions_of
from roomcheck.predict.room.linings import piece_absorption
from roomcheck.recommend import Plan, PlanKind, Site
from roomcheck.recommend.aims.plans import plans_of
from roomcheck.recommend.reasons import PlanNote
from roomcheck.recommend.solver.named import placements

Real = NDArray[np.float64]

PLACES = 15
KINDS = ("2 in panel", "4 in panel", "4 in panel, 2 in gap", "4 in ceiling cloud")
SCATTER = (0.1, 0.5)
"""Of all surfaces, from and to: below, so few particles carry what is left that a room would take
minutes to trace surely. [1]"""
PARTICLES = 25_000
MOST_TRACED = 12
"""Subsets of one room that are traced at most."""
KEEN = 0.97
"""By how much shorter than foreseen a decay may be, so that no cheaper choice is passed over. [1]"""
DEAR = 1.5
"""Times the cheapest from which a plan is called dear. [1]"""
GOAL = 1.1
"""Times the cheapest that holds where it is traced that a plan should cost in the middle. [1]"""
CHEAPEST = {"exactly": "holds where it is traced", "cheapest": "holds as surely"}
DRAWS, CHUNK = 200, 1024
SCREENED, NEARLY = 0.995, 0.02
"""How much shorter than by the fast formula a likely decay, and how much surer a choice may turn out
to be, so that it is asked of the full prediction. [1]"""
ALIKE = 0.5
"""How far a coefficient is off alike in all bands."""
AIMS = (0.25, 0.6)
"""Where the target lies between all pieces hung (0) and none (1), in the logarithm."""


# ------------------------------------------------------------------------------------------- rooms


@dataclass(frozen=True, kw_only=True)
class Small:
    """A room, its places and its target, and what it really does."""

    seed: int
    job: Job
    site: Site
    scatter: float
    before_s: Real
    """(bands,): traced [s]."""
    high_s: float
    """Upper limit of every octave and of the mean [s]."""

    @cached_property
    def judged(self) -> list[int]:
        """Octaves from the transition up."""
        mid_s = float(self.before_s[1:3].mean())
        lowest_hz = 2000 * math.sqrt(mid_s / self.job.room.volume_m3)
        return [i for i, hz in enumerate(BANDS_HZ) if hz >= lowest_hz]

    @cached_property
    def values(self) -> list[list[int]]:
        """What is held against the limit: every judged octave, then the mean of two."""
        mid = [1, 2]
        alone = [[i] for i in self.judged]
        return [*alone, mid] if set(mid) <= set(self.judged) else alone


def small_room(seed: int) -> Small:
    rng = np.random.default_rng([seed, 27])
    sides = [float(rng.uniform(*ends)) for ends in ((2.8, 4.2), (2.4, 3.4), (2.35, 2.7))]
    room = Room.box(*sides)
    wall = str(rng.choice(HARD))
    kinds = {name: str(rng.choice(MATERIALS[name])) for name in ("floor", "ceiling")}
    shop = default_shop()
    job = made.job(
        room,
        materials=tuple((f.name, kinds.get(f.name, wall)) for f in room.faces),
        sources=(Position(name="S1", point=_spot(room, rng)),),
        microphones=tuple(Position(name=f"P{i}", point=_spot(room, rng)) for i in range(3)),
        seat=None,
        shop=replace(shop, stock=tuple(shop.piece(name) for name in KINDS)),
    )
    # Nobody is traced.
    job = replace(job, visits=tuple(replace(visit, people=0) for visit in job.visits))
    scatter = float(np.exp(rng.uniform(*np.log(SCATTER))))
    before_s = traced(job, (), scatter, seed)
    known = {hz: float(T) for hz, T in zip(BANDS_HZ, before_s * _noise(before_s, rng), strict=True)}
    mid_s = (known[500.0] + known[1000.0]) / 2
    transition_hz = 2000 * math.sqrt(mid_s / room.volume_m3)
    visit = made.measured({hz: T for hz, T in known.items() if hz >= transition_hz}, transition_hz)
    site = Site.of(job, visit, made.verdict(made.target(None, 1.0, bands=BANDS_HZ)))
    site = site._with(offered=_some(site, rng)).changed(job)
    high_s = _aim(job, site, before_s, float(rng.uniform(*AIMS)))
    aim = made.target(None, high_s, bands=BANDS_HZ, mid_high_s=high_s)
    return Small(
        seed=seed,
        job=job,
        site=site.aiming(made.verdict(aim)),
        scatter=scatter,
        before_s=before_s,
        high_s=high_s,
    )


def _spot(room: Room, rng: Any) -> Point:
    x, y = (float(rng.uniform(0.5, side - 0.5)) for side in np.array(room.corners).max(axis=0))
    return Point(x, y, float(rng.uniform(1.0, room.height_m - 0.7)))


def _noise(decay_s: Real, rng: Any, pairs: int = 3) -> Real:
    """Scatter of a mean over pairs (ISO 3382-2, Annex A), as a factor."""
    spread = 0.88 / np.sqrt(0.71 * np.array(BANDS_HZ) * decay_s * pairs)
    return np.asarray(1 + spread * rng.standard_normal(np.shape(spread)))


def _some(site: Site, rng: Any) -> tuple[Any, ...]:
    """Places at random of which no two overlap."""
    found: list[Any] = []
    for i in rng.permutation(len(site.places)):
        candidate = site.places[int(i)]
        if candidate.face != "floor" and not any(_near(candidate, other) for other in found):
            found.append(candidate)
        if len(found) == PLACES:
            break
    return tuple(found)


def _near(one: Any, other: Any) -> bool:
    """Whether two places overlap, or come nearer than 5 cm."""
    for face, a in one.takes:
        for beside, b in other.takes:
            apart = max(a.u_m - b.right_m, b.u_m - a.right_m, a.v_m - b.top_m, b.v_m - a.top_m)
            if face == beside and apart < 0.05:
                return True
    return False


def _aim(job: Job, site: Site, before_s: Real, share: float) -> float:
    """A limit that the longest octave meets with some of the pieces. [s]"""
    gains = np.array([_gain_m2(job, c) for c in site.places])
    least_s = Formula(job, before_s).decays_s(gains.sum(axis=0))
    longest = float(np.max(before_s[1:])), float(np.max(least_s[1:]))
    return round(longest[0] ** share * longest[1] ** (1 - share), 2)


# ------------------------------------------------------------------------------------------- truth


def traced(job: Job, candidates: Any, scatter: float, seed: int) -> Real:
    """Mean decay over the pairs with these pieces hung, coefficients as in the tables. (bands,)
    [s]"""
    covers = [
        Cover(face=face, place=None, alpha=_alpha(absorption_of(key)))
        for face, key in job.materials
    ]
    for candidate in candidates:
        alpha = _alpha(piece_absorption(candidate.piece))
        covers.append(Cover(face=candidate.face, place=candidate.place, alpha=alpha))
    air = conditions_of(job, "before", BANDS_HZ)
    true = TrueRoom(
        room=job.room,
        covers=tuple(covers),
        chairs=(),
        chair_m2=np.zeros(len(BANDS_HZ)),
        flat_chairs=True,
        scatter=np.full(len(BANDS_HZ), scatter),
        air_per_m=air.air_per_m,
        speed_m_s=air.speed_m_s,
    )
    ends = [(s.point, m.point) for s in job.sources for m in job.microphones]
    return np.asarray(decays_s(true, ends, np.random.default_rng([seed, 28]), PARTICLES).mean(0))


def _alpha(absorption: Absorption) -> Real:
    return np.array([absorption.at(hz) for hz in BANDS_HZ], dtype=float)


def _doubt(absorption: Absorption) -> Real:
    return np.array([absorption.uncertainty_at(hz) or 0.0 for hz in BANDS_HZ])


# ----------------------------------------------------------------------------------- other program


class Formula:
    """Eyring's, its absorption drawn to the decay that the bare room has."""

    def __init__(self, job: Job, before_s: Real) -> None:
        room, air = job.room, conditions_of(job, "before", BANDS_HZ)
        self.volume_m3 = room.volume_m3
        self.surface_m2 = sum(face.area_m2 for face in room.faces)
        self.factor = 24 * math.log(10) / air.speed_m_s * room.volume_m3
        self.air_m2 = 4 * np.asarray(air.air_per_m) * room.volume_m3
        exponent = self.factor / before_s - self.air_m2
        self.bare_m2 = self.surface_m2 * -np.expm1(-exponent / self.surface_m2)

    def decays_s(self, added_m2: Real) -> Real:
        """With so much more absorption, (..., bands). [s]"""
        share = np.clip((self.bare_m2 + added_m2) / self.surface_m2, 1e-3, 0.99)
        return np.asarray(self.factor / (-self.surface_m2 * np.log1p(-share) + self.air_m2))


def _gain_m2(job: Job, candidate: Any) -> Real:
    wall = _alpha(absorption_of(job.material_of(candidate.face)))
    return np.asarray(candidate.place.area_m2 * (_alpha(piece_absorption(candidate.piece)) - wall))


class Subsets:
    """All choices of the places, from the cheapest up."""

    def __init__(self, small: Small) -> None:
        self.small, job = small, small.job
        self.places = small.site.places
        self.formula = Formula(job, small.before_s)
        rng = np.random.default_rng([small.seed, 29])
        self.gains = np.array([_gain_m2(job, c) for c in self.places])
        self.drawn = self._drawn_gains(rng)
        self.noise = rng.standard_normal((DRAWS, len(BANDS_HZ)))
        every = np.array(list(itertools.product((False, True), repeat=len(self.places))))
        prices = self._prices(every)
        order = np.lexsort((-(every @ self.gains).sum(axis=1), prices))
        self.every, self.prices = every[order], prices[order]
        self.known: dict[bytes, Real] = {}
        self.ratio = np.full(len(BANDS_HZ), KEEN)

    def _drawn_gains(self, rng: Any) -> Real:
        """(draws, places, bands): what each place adds where coefficients are off. [m2]"""
        job = self.small.job
        factors: dict[str, Real] = {}

        def drawn(absorption: Absorption) -> Real:
            if absorption.key not in factors:
                alike = math.sqrt(ALIKE) * rng.standard_normal((DRAWS, 1))
                each = math.sqrt(1 - ALIKE) * rng.standard_normal((DRAWS, len(BANDS_HZ)))
                moved = _alpha(absorption) + _doubt(absorption) * (alike + each)
                factors[absorption.key] = np.maximum(moved, 0.2 * _alpha(absorption))
            return factors[absorption.key]

        return np.stack(
            [
                c.place.area_m2
                * (drawn(piece_absorption(c.piece)) - drawn(absorption_of(job.material_of(c.face))))
                for c in self.places
            ],
            axis=1,
        )

    def price(self, row: Any) -> float:
        return float(self._prices(np.atleast_2d(row))[0])

    def _prices(self, rows: Any) -> Real:
        """What a client pays: whole packs with their waste, hours (two people overhead and from
        50 lb up), the shop's fixed costs, margin, contingency, tax. (rows, places) to (rows,)"""
        shop, rates = self.small.job.shop, self.small.job.shop.rates
        pieces = [c.piece for c in self.places]
        bought = np.zeros(len(rows))
        for price in shop.prices:
            each = [sum(n.amount for n in p.needs if n.item == price.item) for p in pieces]
            packs = rows @ np.array(each) * (1 + float(price.waste_pct) / 100) / float(price.pack)
            bought += np.ceil(np.round(packs, 9)) * float(price.price)
        hands = [1 + (c.face == "ceiling" or c.piece.weight_kg >= 22.7) for c in self.places]
        each = [
            float(p.build_hours) + n * float(p.install_hours)
            for p, n in zip(pieces, hands, strict=True)
        ]
        hours = rows @ np.array(each) + float(rates.survey_hours + rates.verify_hours)
        fixed = float(rates.travel + rates.consumables + rates.disposal + rates.subcontract)
        cost = bought + hours * float(rates.hour) + fixed
        margin = (1 - float(rates.margin_pct) / 100) / (1 + float(rates.contingency_pct) / 100)
        net = np.maximum(cost / margin, float(rates.minimum_job)) - float(rates.survey_fee)
        asked = net * (1 + float(rates.tax_pct) / 100)
        return np.asarray(np.where(rows.any(axis=1), asked, 0.0))

    def row_of(self, chosen: Any) -> Any:
        return np.array([c in chosen for c in self.places])

    def trace(self, row: Any) -> Real:
        """Decay of a subset, traced once; the formula is drawn to all of them. [s]"""
        key = row.tobytes()
        if key not in self.known:
            small = self.small
            chosen = [c for c, taken in zip(self.places, row, strict=True) if taken]
            self.known[key] = traced(small.job, chosen, small.scatter, small.seed)
            ratios = [
                T / self.formula.decays_s(np.frombuffer(k, dtype=bool) @ self.gains)
                for k, T in self.known.items()
            ]
            self.ratio = KEEN * np.mean(ratios, axis=0)
        return self.known[key]

    def chance(self, row: Any, decay_s: Real) -> float:
        """How likely everything is inside the limits, around such a decay. [1]"""
        moved = self.formula.decays_s(np.einsum("p,dpb->db", row.astype(float), self.drawn))
        likely = self.formula.decays_s(row @ self.gains)
        spread = 0.88 / np.sqrt(0.71 * np.array(BANDS_HZ) * decay_s * 3)
        after_s = decay_s * moved / likely * (1 + spread * self.noise)
        return float(self._inside(after_s).mean())

    def _inside(self, after_s: Real) -> NDArray[np.bool_]:
        values = [after_s[..., value].mean(axis=-1) for value in self.small.values]
        return np.asarray((np.stack(values) <= self.small.high_s).all(axis=0))

    def holds(self, row: Any, decay_s: Real, sure: float | None) -> bool:
        likely = bool(self._inside(decay_s))
        return likely and (sure is None or self.chance(row, decay_s) >= sure)

    def cheapest(self, sure: float | None) -> Any:
        """The first subset that holds when it is traced; None where none did in so many."""
        for _ in range(MOST_TRACED):
            row = self._next(sure)
            if row is None or self.holds(row, self.trace(row), sure):
                return row
        return None

    def said(self, row: Any) -> float:
        """Chance that the planner itself gives such a choice. [1]"""
        return self.small.site.chance(self.pieces(row))

    def pieces(self, row: Any) -> tuple[Any, ...]:
        chosen = [c for c, taken in zip(self.places, row, strict=True) if taken]
        return tuple(piece for piece, _ in placements(chosen, self.small.job))

    def _next(self, sure: float | None) -> Any:
        """The cheapest that the formula passes, or that was traced and holds."""
        for start in range(0, len(self.every), CHUNK):
            rows = self.every[start : start + CHUNK]
            foreseen = self.ratio * self.formula.decays_s(rows @ self.gains)
            for row, decay_s in zip(rows, foreseen, strict=True):
                known = self.known.get(row.tobytes())
                if self.holds(row, decay_s if known is None else known, sure):
                    return row
        return None


# ----------------------------------------------------------------------------------------- outcome


class Believed:
    """The same choices by the planner's own prediction: what its search could have found."""

    def __init__(self, every: Subsets) -> None:
        self.every, self.site = every, every.small.site
        self.gains = np.nan_to_num(self.site.gains_m2)
        self.fast_s = self.site.room.after_s(every.every @ self.gains)
        self.known: dict[bytes, tuple[Real, Real, float]] = {}

    def ask(self, row: Any) -> tuple[Real, Real, float]:
        """Likely decays (bands,), draws (draws, bands) of them, and the chance that all hold."""
        key = row.tobytes()
        if key not in self.known:
            pieces = self.every.pieces(row)
            after = self.site.full(pieces).after
            likely_s = np.array([np.nan if b.likely_s is None else b.likely_s for b in after])
            draws_s, _ = self.site.sets_s(pieces)
            self.known[key] = (likely_s, draws_s, self.site.chance(pieces))
        return self.known[key]

    def cheapest(self, sure: float | None, most: int = 25) -> Any:
        """The first that holds by the full prediction; screened by the draws of the nearest that
        was asked before, moved as the fast formula says."""
        for _ in range(most):
            row = self._next(sure)
            if row is None or self._holds(row, sure):
                return row
        return None

    def _holds(self, row: Any, sure: float | None) -> bool:
        likely_s, _, chance = self.ask(row)
        return bool(self._inside(likely_s)) and (sure is None or chance >= sure)

    def _inside(self, decay_s: Real) -> NDArray[np.bool_]:
        at = [self.site.bands_hz.index(hz) for hz in BANDS_HZ]
        return self.every._inside(decay_s[..., at])

    def _next(self, sure: float | None) -> Any:
        every = self.every
        if not self.known:
            return every.every[0]
        rows = np.array([np.frombuffer(key, dtype=bool) for key in self.known])
        added_m2, fast_s = rows @ self.gains, self.site.room.after_s(rows @ self.gains)
        likely_s, draws_s, _ = (np.array(each) for each in zip(*self.known.values(), strict=True))
        draws_s = draws_s[:, ::3]
        for start in range(0, len(every.every), CHUNK):
            some = slice(start, start + CHUNK)
            off_m2 = np.abs((every.every[some] @ self.gains)[:, None] - added_m2).sum(axis=2)
            near = off_m2.argmin(axis=1)
            ratio = self.fast_s[some] / fast_s[near]
            for i in np.flatnonzero(self._inside(likely_s[near] * ratio * SCREENED)):
                row, drawn_s = every.every[start + i], draws_s[near[i]] * ratio[i]
                if row.tobytes() in self.known:
                    if self._holds(row, sure):
                        return row
                elif sure is None or self._inside(drawn_s).mean() >= sure - NEARLY:
                    return row
        return None


Found = dict[str, Any]


def outcome(seed: int, known: Found | None = None) -> Found:
    """One room: prices of the plan and of the cheapest choices, and whether the plan holds. What
    was `known` of the cheapest, which no planner changes, is kept."""
    small = small_room(seed)
    began = time.process_time()
    plans = plans_of(small.site)
    planned_s = time.process_time() - began
    aimed = next(p for p in plans if p.kind in (PlanKind.TARGET, PlanKind.NEAREST))
    if not aimed.reaches_target:
        return {"reached": False, "places": len(small.site.places)}
    every = Subsets(small)
    sure = small.job.sure_pct / 100
    row = every.row_of(_candidates(small, aimed))
    decay_s = every.trace(row)
    believed = Believed(every)
    believed.ask(row)
    own = [believed.cheapest(surely) for surely in (sure, None)]
    return {
        "reached": True,
        "places": len(small.site.places),
        "scatter": round(small.scatter, 3),
        "pieces": len(aimed.pieces),
        "price": float(aimed.price or 0),
        "own_price": round(every.price(row), 2),
        "chance": round(aimed.chance or 0.0, 3),
        "holds": every.holds(row, decay_s, None),
        "own_chance": round(every.chance(row, decay_s), 3),
        "believed": [None if each is None else round(every.price(each), 2) for each in own],
        "options": _named(plans, aimed),
        "planned_s": round(planned_s, 2),
        **(_cheapest(every, sure) if known is None or "exactly" not in known else _kept(known)),
    }


def _cheapest(every: Subsets, sure: float) -> Found:
    alike, exactly = every.cheapest(sure), every.cheapest(None)
    return {
        "cheapest": None if alike is None else round(every.price(alike), 2),
        "said_of_it": None if alike is None else round(every.said(alike), 3),
        "exactly": None if exactly is None else round(every.price(exactly), 2),
        "traced": len(every.known),
    }


def _kept(known: Found) -> Found:
    return {key: known[key] for key in ("cheapest", "said_of_it", "exactly", "traced")}


def _candidates(small: Small, plan: Plan) -> list[Any]:
    hung = {(p.piece, p.face, round(p.place.u_m, 3), round(p.place.v_m, 3)) for p in plan.pieces}
    return [
        c
        for c in small.site.places
        if any(
            (c.piece.name, c.face) == (piece, face)
            and abs(c.place.u_m - u) < 0.02
            and abs(c.place.v_m - v) < 0.02
            for piece, face, u, v in hung
        )
    ]


def _named(plans: tuple[Plan, ...], aimed: Plan) -> dict[str, float]:
    """What else is offered, with its price: other plans of the set, and price against risk."""
    found = {str(p.kind.value): float(p.price or 0) for p in plans if p is not aimed}
    for note in aimed.notes:
        if note.kind == PlanNote.PRICE_OF_SURENESS:
            rows = zip(note["sure_pct"], note["prices"], strict=True)
            found |= {f"{pct:g} %": float(price) for pct, price in rows}
    return found


def kept(journal: Path) -> dict[str, Found]:
    return json.loads(journal.read_text()) if journal.is_file() else {}


def summary(rooms: dict[str, Found]) -> list[str]:
    """What came out, as lines of markdown."""
    reached = [r for r in rooms.values() if r["reached"]]
    lines = [
        f"{len(rooms)} rooms; in {len(rooms) - len(reached)} no plan reaches the target surely, and "
        "nothing is compared.",
        "",
        f"| beside the cheapest choice that | rooms | median | 90 % below | most | above {DEAR} |",
        "|---|---:|---:|---:|---:|---:|",
    ]
    for key, name in (
        ("exactly", f"holds where it is traced: **the goal's own ratio** (median at most {GOAL})"),
        ("cheapest", "holds as surely, its own draws around the traced decay"),
    ):
        lines += _row(name, [r["own_price"] / r[key] for r in reached if r[key]])
    lines += _split([r for r in reached if r["exactly"] and all(r.get("believed", (None,)))])
    if reached:
        holds = sum(r["holds"] for r in reached)
        said = float(np.mean([r["chance"] for r in reached]))
        lines += ["", f"The plan holds as traced in {holds} of {len(reached)} (said: {said:.0%})."]
        doubted = [r["said_of_it"] for r in reached if r["cheapest"]]
        lines[-1] += (
            f" To the cheapest choice that holds as surely the planner itself gives {_mean(doubted)}"
            " on the mean: what it costs more is its doubt of the room's scattering and of its own "
            "model, which the other program, that traces the room, does not have."
        )
        lines[-1] += f" {_named_below(reached, 'exactly')} {_named_below(reached, 'cheapest')}"
    return lines


def _row(name: str, ratios: list[float]) -> list[str]:
    if not ratios:
        return []
    dear = sum(ratio > DEAR for ratio in ratios)
    return [
        f"| {name} | {len(ratios)} | {np.median(ratios):.2f} | {np.quantile(ratios, 0.9):.2f} | "
        f"{max(ratios):.2f} | {dear} |"
    ]


def _split(rooms: list[Found]) -> list[str]:
    """The first ratio as a product of three."""
    if not rooms:
        return []
    least = np.array([[r["own_price"], *r["believed"], r["exactly"]] for r in rooms])
    names = (
        "of that, the search: over the cheapest of all that the planner's own prediction passes as "
        "surely",
        "of that, the sureness: that one over the cheapest whose likely decays hold",
        "of that, the prediction: that one over the cheapest that holds where it is traced",
    )
    parts = least[:, :-1] / least[:, 1:]
    return [line for k, name in enumerate(names) for line in _row(name, list(parts[:, k]))]


def _mean(chances: list[float]) -> str:
    return f"{np.mean(chances):.0%}" if chances else "nothing"


def _named_below(rooms: list[Found], key: str) -> str:
    """How many plans are dear beside that cheapest, and how many of those name a cheaper choice."""
    known = [room for room in rooms if room[key]]
    dear = [room for room in known if room["own_price"] > DEAR * room[key]]
    named = [room for room in dear if min(_offers(room)) <= DEAR * room[key]]
    text = (
        f"Beside the cheapest that {CHEAPEST[key]}, {len(dear)} of {len(known)} cost more than "
        f"{DEAR} times as much; {len(named)} of them name a choice below that beside the plan, with "
        "its price and its chance."
    )
    if not dear:
        return text
    ratios = [min(_offers(room)) / room[key] for room in dear]
    return f"{text} The cheapest that they name costs {np.median(ratios):.2f} times as much in the middle, {max(ratios):.2f} at most."


def _offers(room: Found) -> list[float]:
    """Prices of the plan and of all that is offered beside it."""
    return [room["own_price"], *room["options"].values()]


def main() -> None:
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n", maxsplit=1)[0])
    parser.add_argument("rooms", type=int, nargs="?", default=60)
    parser.add_argument("--journal", type=Path, default=Path("plan-cost.json"))
    parser.add_argument("--minutes", type=float, default=15.0)
    args = parser.parse_args()
    rooms, began = kept(args.journal), time.monotonic()
    for seed in range(args.rooms):
        known = rooms.get(str(seed))
        if known is not None and (not known["reached"] or "believed" in known):
            continue
        if time.monotonic() - began > 60 * args.minutes:
            break
        rooms[str(seed)] = outcome(seed, known)
        args.journal.write_text(json.dumps(rooms, indent=1))
        print(seed, rooms[str(seed)], flush=True)
    print("\n".join(summary(rooms)))


if __name__ == "__main__":
    main()
