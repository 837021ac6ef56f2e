"""Changes by hand: solved again round what a person pins, forbids or moves, and why a piece is
where it is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal

from roomcheck.analyse import Analysis
from roomcheck.errors import RoomcheckError
from roomcheck.facts import Fact, fact
from roomcheck.job import Forbid, Job, Pin, Placement, WhyHere
from roomcheck.judge import JND_DECAY, Verdict
from roomcheck.parts import OnPart, Parts
from roomcheck.predict import Prediction
from roomcheck.recommend.aims.cheapest import least_known
from roomcheck.recommend.aims.reaching import settle
from roomcheck.recommend.places.candidates import Candidate
from roomcheck.recommend.places.pinned_places import pinned
from roomcheck.recommend.plan.explain import values
from roomcheck.recommend.plan.one_plan import plan_of
from roomcheck.recommend.plan.settled import Settled
from roomcheck.recommend.reasons import PlanKind, Shortfall
from roomcheck.recommend.results import LostValue, PieceReasons, Plan, PlanChange
from roomcheck.recommend.solver.fit import Fit
from roomcheck.recommend.solver.money import CENT, estimate
from roomcheck.recommend.solver.site import Site
from roomcheck.recommend.solver.wishes import heard
from roomcheck.typed import parse_length

LEAST_GAIN_S = 1e-3
"""A piece that takes off less has no price per hundredth of a second. [s]"""


class NoSuchPiece(RoomcheckError):
    """A name that no piece of the plan has."""

    def __init__(self, name: str, plan: Plan) -> None:
        self.name = name
        there = ", ".join(p.name for p in plan.pieces) or "no piece at all"
        super().__init__(f'"{name}" is no piece of this plan; it has {there}')


def change(
    job: Job,
    analysis: Analysis | None,
    verdict: Verdict,
    plan: Plan,
    *,
    pins: Sequence[Pin] = (),
    forbids: Sequence[Forbid] = (),
) -> PlanChange:
    """A plan solved again round changes by hand, and what they cost.

    Parameters
    ----------
    job : Job
        Its own pins and forbids hold as well.
    analysis : Analysis or None
    verdict : Verdict
    plan : Plan
        One of those that `recommend` gave for this job.
    pins, forbids : sequence
        To be tried.

    Raises
    ------
    CannotHang
        A pin asks for what cannot be.
    """
    return change_in(Site.of(job, analysis, verdict), plan, pins, forbids)


def change_in(
    site: Site,
    plan: Plan,
    pins: Sequence[Pin],
    forbids: Sequence[Forbid],
    on_part: OnPart | None = None,
) -> PlanChange:
    """The same for a room that is calibrated already: within two seconds. `on_part` gets how many
    parts are done (places, choice, nearby choices, the plan), and how many there are."""
    parts = Parts(on_part, 4)
    job = replace(site.job, pins=(*site.job.pins, *pins), forbids=(*site.job.forbids, *forbids))
    there = site.changed(job).like(plan.pieces)
    parts.add()
    budget = job.budget if plan.kind == PlanKind.BUDGET else None
    kept = (PlanKind.BUDGET, PlanKind.OPTIONS, PlanKind.MOST)
    goal = plan.kind if plan.kind in kept else PlanKind.TARGET
    wishes = heard(there) if goal in (PlanKind.OPTIONS, PlanKind.MOST) else ()
    fit = Fit.of(there, plan.prediction, there.added_m2([_candidate(job, p) for p in plan.pieces]))
    seen: list[Settled] = []
    settled = settle(there, goal, budget, start=fit, rounds=1, wishes=wishes, seen=seen)
    parts.add()
    if goal == PlanKind.TARGET:
        settled = least_known(there, settled, seen)
    parts.add()
    return _compared(job, plan, plan_of(there, plan.kind, settled, known=plan.pieces))


def _compared(job: Job, old: Plan, new: Plan) -> PlanChange:
    """Hold a changed plan against what it was."""
    was, now = old.prediction.mid_likely_s, new.prediction.mid_likely_s
    missed = {_subject(shortfall): shortfall for shortfall in old.shortfalls}
    missing = {_subject(shortfall): shortfall for shortfall in new.shortfalls}
    before = {p.name: p for p in old.pieces}
    after = {p.name: p for p in new.pieces}
    return PlanChange(
        plan=new,
        pieces_before=len(old.pieces),
        price_change=(new.price or Decimal(0)) - estimate(job, old.pieces),
        mid_before_s=was,
        mid_change_s=_off(now, was),
        heard=None if was is None or now is None else abs(now - was) >= JND_DECAY * was,
        lost=tuple(lost for subject, lost in missing.items() if subject not in missed),
        still_missed=tuple(
            still
            for subject, still in missing.items()
            if subject in missed and missed[subject] != still
        ),
        gained=tuple(gained for subject, gained in missed.items() if subject not in missing),
        added=tuple(p for p in new.pieces if p.name not in before),
        removed=tuple(p for p in old.pieces if p.name not in after),
        moved=tuple(
            (before[p.name], p)
            for p in new.pieces
            if p.name in before and (p.face, p.place) != (before[p.name].face, before[p.name].place)
        ),
    )


def _subject(shortfall: Fact[Shortfall]) -> tuple[object, ...]:
    """What a shortfall is about: an octave, the mean, or a reflection."""
    if shortfall.kind == Shortfall.REFLECTION_UNCOVERED:
        return shortfall["source"], shortfall["face"]
    return (shortfall.get("band_hz", shortfall.get("text")),)


def why(site: Site, plan: Plan, name: str) -> PieceReasons:
    """Explain a piece: what the plan would be without it, what it costs for what it does, what
    else there is.

    Raises
    ------
    NoSuchPiece
        No piece of the plan is called so.
    """
    placed = _named(plan, name)
    others = tuple(replace(p, reasons=()) for p in plan.pieces if p is not placed)
    bare = site.full(others)
    price = estimate(site.job, plan.pieces) - estimate(site.job, others)
    now, without = plan.prediction.mid_likely_s, bare.mid_likely_s
    gain_s = _off(without, now)
    per_hundredth = None
    if gain_s is not None and gain_s > LEAST_GAIN_S:
        per_hundredth = (price / Decimal(str(100 * gain_s))).quantize(CENT)
    pinned_here = any(
        (p.piece, p.face) == (placed.piece, placed.face) and p.place.overlap_m2(placed.place) > 0.0
        for p in site.job.pins
    )
    return PieceReasons(
        name=name,
        piece=placed.piece,
        face=placed.face,
        reasons=(*placed.reasons, fact(WhyHere.PINNED)) if pinned_here else placed.reasons,
        price=price,
        mid_with_s=now,
        mid_without_s=without,
        price_per_hundredth=per_hundredth,
        lost=_lost(site, plan, bare),
        instead=None if pinned_here else change_in(site, plan, (), (_nothing_at(placed),)),
    )


def pin_of(
    placed: Placement,
    *,
    face: str | None = None,
    left_m: float | None = None,
    bottom_m: float = 0.0,
) -> Pin:
    """A placed piece as a pin, where it hangs or elsewhere."""
    if face is None or left_m is None:
        return Pin(piece=placed.piece, face=placed.face, place=placed.place)
    return Pin(piece=placed.piece, face=face, place=replace(placed.place, u_m=left_m, v_m=bottom_m))


def _nothing_at(placed: Placement) -> Forbid:
    return Forbid(face=placed.face, place=placed.place)


def _candidate(job: Job, placed: Placement) -> Candidate:
    return pinned(job, pin_of(placed))


def _off(now: float | None, before: float | None) -> float | None:
    return None if now is None or before is None else now - before


def _lost(site: Site, plan: Plan, bare: Prediction) -> tuple[LostValue, ...]:
    """Values that the plan keeps wholly inside their limits, and the prediction without a piece
    does not."""
    kept = {row.band_hz for row in values(site, plan.prediction) if row.wholly_inside}
    return tuple(
        LostValue(
            band_hz=row.band_hz,
            low_s=row.low_s,
            likely_s=row.likely_s,
            high_s=row.high_s,
            likely_inside=row.likely_inside,
        )
        for row in values(site, bare)
        if row.band_hz in kept and not row.wholly_inside
    )


def asked_for(
    job: Job, plan: Plan, pin: Sequence[str], forbid: Sequence[str], move: Sequence[Sequence[str]]
) -> tuple[tuple[Pin, ...], tuple[Forbid, ...]]:
    """Changes as a person words them: pieces by their names on the plan, lengths with their units.

    Parameters
    ----------
    job : Job
    plan : Plan
    pin : sequence of str
        Names of pieces that stay.
    forbid : sequence of str
        Names of pieces (nothing at their place), stock pieces, or faces.
    move : sequence of (piece, face, left, bottom)

    Raises
    ------
    NoSuchPiece, NoSuchThing, ValueError
        A name that nothing has.
    """
    pins = [pin_of(_named(plan, name)) for name in pin]
    for (name, face, *_), (left_m, bottom_m) in zip(move, moved_to(job, move), strict=True):
        pins.append(pin_of(_named(plan, name), face=face, left_m=left_m, bottom_m=bottom_m))
    return tuple(pins), tuple(_forbidden(job, plan, what) for what in forbid)


def moved_to(job: Job, move: Sequence[Sequence[str]]) -> tuple[tuple[float, float], ...]:
    """Left and bottom of every move, which can be read before any plan is made. [m]

    Raises
    ------
    NoSuchThing, LengthError
    """
    faces = [face.name for face in job.room.faces]
    for _, face, _, _ in move:
        if face not in faces:
            raise NoSuchThing(face, faces)
    return tuple((parse_length(left), parse_length(bottom)) for _, _, left, bottom in move)


class NoSuchThing(RoomcheckError):
    """A word that names nothing of the job."""

    def __init__(self, word: str, known: Sequence[str]) -> None:
        self.word = word
        super().__init__(f'"{word}" names nothing here; known: {", ".join(known)}')


def _named(plan: Plan, name: str) -> Placement:
    placed = next((p for p in plan.pieces if p.name == name), None)
    if placed is None:
        raise NoSuchPiece(name, plan)
    return placed


def _forbidden(job: Job, plan: Plan, what: str) -> Forbid:
    names, stock = [p.name for p in plan.pieces], [s.name for s in job.shop.stock]
    faces = [f.name for f in job.room.faces if f.kind != "floor"]
    if what in names:
        return _nothing_at(_named(plan, what))
    if what in stock:
        return Forbid(piece=what)
    if what in faces:
        return Forbid(face=what)
    raise NoSuchThing(what, [*names, *stock, *faces])
