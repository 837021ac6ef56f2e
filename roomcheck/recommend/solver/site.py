"""One job as the planner sees it: candidates, what each does, and what the target asks of the
room."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from functools import cached_property
from typing import Any

import numpy as np
from numpy.typing import NDArray

from roomcheck.analyse import Analysis
from roomcheck.job import Job, Placement, StockPiece
from roomcheck.judge import EARLY_USES, Verdict
from roomcheck.materials import Absorption
from roomcheck.parts import OnPart, Parts
from roomcheck.predict import (
    NoAbsorption,
    Prediction,
    Statistics,
    drawn_again,
    foreseen,
    piece_absorption,
)
from roomcheck.recommend.integer.packs import packs_of
from roomcheck.recommend.places.candidates import Candidate, candidates
from roomcheck.recommend.places.clear import unwanted
from roomcheck.recommend.places.mirror import Mirror, mirror_of, own_image, twins, with_images
from roomcheck.recommend.places.paths import (
    FacingPair,
    TreatedReflection,
    facing_pairs,
    reflections,
)
from roomcheck.recommend.places.pinned_places import clash, pinned_places
from roomcheck.recommend.places.space import GAP_M
from roomcheck.recommend.solver.money import cost_of, people, price_of
from roomcheck.recommend.solver.named import rounded
from roomcheck.recommend.solver.preselect import set_aside

Real = NDArray[np.float64]

WORTH = 0.25
"""Coefficient by which a piece must beat the surface behind it in its best octave. [1]"""

ROW_COST = {"band": 1.0, "ceiling": 1.0, "corner": 1.0, "above": 1.02, "below": 1.04}
"""Factor of a piece's cost by row: between equals, head height is preferred. [1]"""

TURNED_COST = 1.01
"""Factor of a turned piece's cost: between equals, it hangs the way up in which the shop drew it.
[1]"""

OTHER_SEED, _SETS = 83_382, 2
"""Of the second set of possible rooms that a plan is held against, far from the first."""

KEPT = (
    "absorptions",
    "unusable",
    "directions",
    "_calibrated",
    "_predicted",
    "_gains",
    "_each",
    "_prices",
)
"""What is worked out of a room once, whatever may hang there."""

FAR = 1.0
"""How far a draw is outside that is no room. [log]"""


@dataclass(frozen=True, kw_only=True)
class Site:
    """The job, its room and every candidate."""

    job: Job
    analysis: Analysis | None
    verdict: Verdict
    room: Statistics
    """Calibrated."""
    early: tuple[TreatedReflection, ...]
    """First reflections that should be quieter."""
    pairs: tuple[FacingPair, ...]
    """Hard faces that look at each other."""
    offered: tuple[Candidate, ...]
    """Every place there is, before changes by hand."""
    places: tuple[Candidate, ...]
    """What to choose from: absorbers, and whatever is pinned."""
    diffusers: tuple[Candidate, ...]
    aside: frozenset[str] = frozenset()
    """Stock pieces of a large stock that are not searched."""
    pinned: frozenset[int] = frozenset()
    """Of `places`: what a person wants."""
    mirror: Mirror | None = None
    """Where the use asks for left and right to be alike."""
    familiar: frozenset[int] = frozenset()
    """Of `places`: where an earlier plan hung something; between equals they stay."""
    worth: Real | None = None
    """(directions, bands): how many times what faces each way counts; once without [1]."""

    @classmethod
    def of(
        cls,
        job: Job,
        analysis: Analysis | None,
        verdict: Verdict,
        on_part: OnPart | None = None,
    ) -> Site:
        """Calibrate the room and list every place; `on_part` gets how many of these parts are done,
        and how many there are."""
        parts = Parts(on_part, 3)
        bare = replace(job, pins=(), forbids=())
        early = reflections(job) if verdict.target.key in EARLY_USES else ()
        mirror = mirror_of(job, verdict.target.key)
        room, unusable = Statistics.of(job, analysis), unusable_stock(job)
        parts.add()
        aside = set_aside(job, room, verdict.target, unusable)
        offered = candidates(bare, early, unusable | aside)
        parts.add()
        site = cls(
            job=bare,
            analysis=analysis,
            verdict=verdict,
            room=room,
            aside=aside,
            early=early,
            pairs=facing_pairs(job),
            offered=offered if mirror is None else with_images(bare, offered, mirror),
            places=(),
            diffusers=(),
            mirror=mirror,
        )
        return site.changed(job)

    def changed(self, job: Job) -> Site:
        """The same room with the changes by hand of this job; what is known of the room is kept.

        Raises
        ------
        CannotHang
            A pin asks for what cannot be.
        """
        pinned = pinned_places(job, self.unusable)
        free = [c for c in self.offered if c not in pinned and not any(clash(c, p) for p in pinned)]
        free = [c for c in free if not forbidden(job, c)]
        target = self.verdict.target
        asked = {limit.band_hz for limit in target.limits} | set(target.mid_bands_hz)
        absorbers = tuple(c for c in free if not c.piece.diffuser and self._worth_it(c, asked))
        return self._with(
            job=job,
            places=(*pinned, *absorbers),
            diffusers=tuple(c for c in free if c.piece.diffuser),
            pinned=frozenset(range(len(pinned))),
            familiar=frozenset(),
        )

    def aiming(self, verdict: Verdict) -> Site:
        """The same room held against another target."""
        return self._with(verdict=verdict).changed(self.job)

    def without(self, taken: Sequence[Candidate]) -> Site:
        """The same room where these candidates hang already: what they clash with is no longer
        there."""
        free = tuple(c for c in self.places if not any(clash(c, t) for t in taken))
        return self._with(places=free, familiar=frozenset())

    def like(self, pieces: Sequence[Placement]) -> Site:
        """The same room, where between equals the places of these pieces are preferred."""
        known = {(p.piece, p.face, p.place) for p in pieces}
        at = {
            i
            for i, c in enumerate(self.places)
            if (c.piece.name, c.face, rounded(c.place)) in known
        }
        return self._with(familiar=frozenset(at))

    def weighing(self, worth: Real) -> Site:
        """The same places, where what faces each way counts so many times. (directions, bands)
        [1]"""
        site = self._with(worth=worth)
        for kept in ("costs", "twins", "singles", "packs", "clashes"):
            site.__dict__[kept] = getattr(self, kept)
        return site

    def _with(self, **facts: Any) -> Site:
        """Other places, or another job's changes by hand; what was worked out of the room is
        kept."""
        site = replace(self, **facts)
        for kept in KEPT:
            site.__dict__[kept] = getattr(self, kept)
        return site

    @property
    def bands_hz(self) -> tuple[float, ...]:
        return self.room.bands_hz

    @cached_property
    def absorptions(self) -> dict[str, Absorption]:
        """By stock piece."""
        usable = [p for p in self.job.shop.stock if p.name not in self.unusable]
        return {piece.name: piece_absorption(piece) for piece in usable}

    @cached_property
    def unusable(self) -> frozenset[str]:
        """Stock pieces that no plan uses."""
        return unusable_stock(self.job)

    @cached_property
    def costs(self) -> tuple[float, ...]:
        """By candidate: estimated cost to the shop, a little more where head height is left."""
        costs = []
        for c in self.places:
            hands = people(c.piece, self.job.room.face(c.face).kind)
            cost = self.cost_each(c.piece, hands) * ROW_COST[c.row]
            turned = abs(c.place.width_m - c.piece.width_m) > 1e-6
            costs.append(cost * TURNED_COST if turned else cost)
        return tuple(costs)

    @cached_property
    def _each(self) -> dict[tuple[str, int], float]:
        return {}

    def cost_each(self, piece: StockPiece, hands: int) -> float:
        """What one piece costs the shop that so many people hang, packs shared with the others."""
        key = (piece.name, hands)
        if key not in self._each:
            self._each[key] = float(cost_of(piece, self.job.shop, hands))
        return self._each[key]

    @cached_property
    def _prices(self) -> dict[tuple[tuple[str, int], ...], Decimal]:
        return {}

    def price(self, hung: Iterable[tuple[str, int]]) -> Decimal:
        """What the client would pay for stock pieces, each with how many people hang it: whole
        packs and tax, not rounded."""
        key = tuple(sorted(hung))
        if key not in self._prices:
            shop = self.job.shop
            self._prices[key] = price_of([(shop.piece(name), hands) for name, hands in key], shop)
        return self._prices[key]

    @cached_property
    def gains_m2(self) -> Real:
        """(candidates, bands): what each adds, less the surface behind it; NaN where no source
        says. [m2]"""
        return np.array(self._counted(self.places)).reshape(len(self.places), len(self.bands_hz))

    @cached_property
    def _gains(self) -> dict[tuple[str, str], Real]:
        return {}

    def gain_of(self, piece: str, material: str) -> Real:
        """(bands,): what one piece adds in front of a material; each computed once. [m2]"""
        key = (piece, material)
        if key not in self._gains:
            self._gains[key] = self.room.gain_m2(self.job.shop.piece(piece), material)
        return self._gains[key]

    def added_m2(self, chosen: Sequence[Candidate]) -> Real:
        """(bands,): what these add, diffusers too. [m2]"""
        rows = self._counted(chosen)
        return np.asarray(np.sum(rows, axis=0)) if rows else np.zeros(len(self.bands_hz))

    def _counted(self, chosen: Sequence[Candidate]) -> list[Real]:
        gains = [self.gain_of(c.piece.name, self.job.material_of(c.face)) for c in chosen]
        if self.worth is None:
            return gains
        ways = [self.directions[c.face] for c in chosen]
        return [gain * self.worth[way] for gain, way in zip(gains, ways, strict=True)]

    @cached_property
    def directions(self) -> dict[str, int]:
        """By face, which way it looks: 0 or 1 along the floor, 2 up or down."""
        normals = {face.name: np.abs(face.normal) for face in self.job.room.faces}
        return {name: int(np.argmax(normal)) for name, normal in normals.items()}

    def _worth_it(self, candidate: Candidate, asked_hz: set[float]) -> bool:
        """Whether it takes clearly more than what it covers, in some octave of the target: nothing
        on soft walls."""
        at = [i for i, hz in enumerate(self.bands_hz) if hz in asked_hz]
        gain = self.gain_of(candidate.piece.name, self.job.material_of(candidate.face))[at]
        return bool(np.nanmax(gain, initial=0.0) >= WORTH * candidate.place.area_m2)

    @cached_property
    def twins(self) -> tuple[tuple[int, int], ...]:
        """Pairs of candidates that hang together or not at all, because one is the other's mirror
        image."""
        return () if self.mirror is None else twins(self.job, self.places, self.pinned, self.mirror)

    @cached_property
    def singles(self) -> frozenset[int]:
        """Candidates without a mirror image where the use asks for one."""
        if self.mirror is None:
            return frozenset()
        paired = {i for pair in self.twins for i in pair}
        alone = {i for i, c in enumerate(self.places) if not own_image(self.job, c, self.mirror)}
        return frozenset(alone - paired - self.pinned)

    @cached_property
    def packs(self) -> tuple[frozenset[int], ...]:
        return tuple(packs_of([taken(c) for c in self.places], GAP_M))

    @cached_property
    def clashes(self) -> NDArray[np.bool_]:
        """(candidates, candidates): which may not hang together; each clashes with
        itself."""
        found = np.eye(len(self.places), dtype=bool)
        for pack in self.packs:
            at = sorted(pack)
            found[np.ix_(at, at)] = True
        return found

    @cached_property
    def _calibrated(self) -> Statistics:
        return Statistics.of(self.job, self.analysis, follow_paths=True, plain=self.room)

    @cached_property
    def _predicted(self) -> dict[tuple[Placement, ...], _Foreseen]:
        return {}

    @property
    def predicted_before(self) -> tuple[tuple[Placement, ...], ...]:
        """All that was predicted of this room so far, whatever was pinned or aimed at then."""
        return tuple(self._predicted)

    def full(self, pieces: tuple[Placement, ...]) -> Prediction:
        """The room with these pieces hung, formulas and image sources; each asked once."""
        return self._foreseen(pieces).prediction

    def sets_s(self, pieces: tuple[Placement, ...]) -> tuple[Real, ...]:
        """(draws, bands) twice: what possible rooms would measure with these pieces hung, those of
        the prediction and as many others [s]."""
        return self._foreseen(pieces).draws_s

    def _foreseen(self, pieces: tuple[Placement, ...]) -> _Foreseen:
        if pieces not in self._predicted:
            prediction, draws_s = foreseen(self.job, pieces, self._calibrated)
            others_s = drawn_again(self.job, pieces, self._calibrated, seed=OTHER_SEED)
            self._predicted[pieces] = _Foreseen(prediction, (draws_s, others_s))
        return self._predicted[pieces]

    def chance(self, pieces: tuple[Placement, ...]) -> float:
        """How likely all values that the target judges, and that are foreseen, will be measured
        inside their limits together: by two sets of possible rooms, the less of both, so that a
        plan which stands because one set likes it does not. [1]"""
        none_m2 = np.zeros((1, len(self.bands_hz)))
        return float(self.chances(pieces, none_m2[0], none_m2)[0])

    def chances(self, pieces: tuple[Placement, ...], was_m2: Real, now_m2: Real) -> Real:
        """The same of others near by, as the fast formula moves the draws, (plans,). [1]

        Parameters
        ----------
        pieces : tuple of Placement
        was_m2 : (bands,)
            What these pieces add. [m2]
        now_m2 : (plans, bands)
            What the others would. [m2]
        """
        sets = [(self._outside(pieces, was_m2, now_m2, k) <= 0).mean(axis=1) for k in range(_SETS)]
        return np.asarray(np.min(sets, axis=0))

    def misses(self, pieces: tuple[Placement, ...], was_m2: Real, now_m2: Real) -> Real:
        """Mean over the draws of how far the worst value is outside, (plans,); arguments as of
        `chances`. [log]"""
        return np.asarray(np.maximum(self._outside(pieces, was_m2, now_m2, 0), 0.0).mean(axis=1))

    def _outside(
        self, pieces: tuple[Placement, ...], was_m2: Real, now_m2: Real, which: int
    ) -> Real:
        """How far the worst value of every draw is outside the target's limits, (plans, draws);
        below 0 inside. A draw that is no room is `FAR` outside. [log]"""
        known = self._foreseen(pieces)
        target, draws_s = self.verdict.target, known.draws_s[which]
        ratio = self.room.after_s(now_m2) / self.room.after_s(was_m2)
        after = known.prediction.after
        asked = [(limit.low_s, limit.high_s, [limit.band_hz]) for limit in target.limits]
        asked.append((target.mid_low_s, target.mid_high_s, list(target.mid_bands_hz)))
        off = np.full((len(now_m2), len(draws_s)), -FAR)
        for low_s, high_s, bands_hz in asked:
            at = [self.bands_hz.index(hz) for hz in bands_hz if hz in self.bands_hz]
            if at and all(after[i].likely_s is not None for i in at):
                decay_s = np.mean([ratio[:, i, None] * draws_s[:, i] for i in at], axis=0)
                off = np.maximum(off, _beyond(low_s, high_s, decay_s))
        return np.where(np.isnan(off), FAR, off)


@dataclass(frozen=True, eq=False)
class _Foreseen:
    """What was predicted of some pieces."""

    prediction: Prediction
    draws_s: tuple[Real, ...]
    """`_SETS` of (draws, bands) [s]."""


def _beyond(low_s: float | None, high_s: float | None, decay_s: Real) -> Real:
    """How far decays are outside the limits, below 0 inside; NaN of a draw that is no room.
    [log]"""
    off = np.where(np.isnan(decay_s), np.nan, -FAR)
    with np.errstate(invalid="ignore", divide="ignore"):
        if high_s is not None:
            off = np.maximum(off, np.log(decay_s / high_s))
        if low_s:
            off = np.maximum(off, np.log(low_s / decay_s))
    return np.asarray(off)


def unusable_stock(job: Job) -> frozenset[str]:
    """Name the stock pieces of which nothing says how they absorb: no plan uses them."""
    unusable = set()
    for piece in job.shop.stock:
        try:
            piece_absorption(piece)
        except NoAbsorption:
            unusable.add(piece.name)
    return frozenset(unusable)


def forbidden(job: Job, candidate: Candidate) -> bool:
    """Whether a person does not want this candidate at any of the places that it takes."""
    piece = candidate.piece
    return any(unwanted(f, piece, *take) for f in job.forbids for take in candidate.takes)


def taken(candidate: Candidate) -> list[tuple[str, float, float, float, float]]:
    """What a candidate takes, as (face, left, bottom, right, top). [m]"""
    return [(face, r.u_m, r.v_m, r.right_m, r.top_m) for face, r in candidate.takes]
