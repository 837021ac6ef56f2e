"""Changes by hand: solved again round what a person pins, forbids or moves, and why a piece is
where it is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from typing import cast

from roomcheck.analyse import Analysis
from roomcheck.errors import RoomcheckError
from roomcheck.job import Forbid, Job, Pin, Placement
from roomcheck.judge import JND_DECAY, Verdict
from roomcheck.predict import Prediction
from roomcheck.recommend.places.candidates import Candidate
from roomcheck.recommend.places.pinned_places import pinned
from roomcheck.recommend.plan.explain import inside, values
from roomcheck.recommend.plan.plans import Goal, Patience, added_m2, plan_of, settle
from roomcheck.recommend.results import Change, Plan, Why
from roomcheck.recommend.solver.money import people, price_of
from roomcheck.recommend.solver.site import Site
from roomcheck.recommend.solver.targets_as_constraints import Fit
from roomcheck.units import format_length, parse_length

CENT = Decimal("0.01")


class NoSuchPiece(RoomcheckError):
    """A name that no piece of the plan has."""

    def __init__(self, name: str, plan: Plan) -> None:
        self.name = name
        there = ", ".join(p.name for p in plan.pieces) or "no piece at all"
        super().__init__(f'"{name}" is no piece of the plan "{plan.title}"; it has {there}')


def change(
    job: Job,
    analysis: Analysis | None,
    verdict: Verdict,
    plan: Plan,
    *,
    pins: Sequence[Pin] = (),
    forbids: Sequence[Forbid] = (),
) -> Change:
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


def change_in(site: Site, plan: Plan, pins: Sequence[Pin], forbids: Sequence[Forbid]) -> Change:
    """The same for a room that is calibrated already: within two seconds."""
    job = replace(site.job, pins=(*site.job.pins, *pins), forbids=(*site.job.forbids, *forbids))
    there = site.changed(job).like(plan.pieces)
    title = cast(Goal, plan.title)
    budget = (
        job.budget
        if title == "what the budget buys" and "covers" not in " ".join(plan.notes[:1])
        else None
    )
    fit = Fit.of(there, plan.prediction, added_m2(there, [_candidate(job, p) for p in plan.pieces]))
    settled = settle(there, title, budget, patience=Patience.of(None), start=fit, rounds=1)
    found = plan_of(there, title, settled)
    return Change(
        plan=found,
        price_change=(found.price or Decimal(0)) - _price(job, plan.pieces),
        mid_change_s=_off(found.prediction.mid_likely_s, plan.prediction.mid_likely_s),
        sentences=_told(there, plan, found),
    )


def why(site: Site, plan: Plan, name: str) -> Why:
    """Why a piece is there: what the plan would be without it, what it costs for what it does, what
    else there is.

    Raises
    ------
    NoSuchPiece
        No piece of the plan is called so.
    """
    placed = _named(plan, name)
    others = tuple(replace(p, reasons=()) for p in plan.pieces if p is not placed)
    bare = site.full(others)
    price = _price(site.job, plan.pieces) - _price(site.job, others)
    now, without = plan.prediction.mid_likely_s, bare.mid_likely_s
    gain = _off(without, now)
    pinned_here = any(
        (p.piece, p.face) == (placed.piece, placed.face) and p.place.overlap_m2(placed.place) > 0.0
        for p in site.job.pins
    )
    instead = () if pinned_here else change_in(site, plan, (), (_nothing_at(placed),)).sentences
    return Why(
        name=name,
        piece=placed.piece,
        face=placed.face,
        reasons=(*placed.reasons, *(("A person pinned it there.",) if pinned_here else ())),
        price=price,
        mid_with_s=now,
        mid_without_s=without,
        price_per_hundredth=(price / Decimal(str(100 * gain))).quantize(CENT)
        if gain and gain > 1e-3
        else None,
        lost=_lost(site, plan, bare),
        instead=instead,
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


def _price(job: Job, pieces: Sequence[Placement]) -> Decimal:
    stock = [job.shop.piece(p.piece) for p in pieces]
    hung = [(s, people(s, job.room.face(p.face).kind)) for s, p in zip(stock, pieces, strict=True)]
    return price_of(hung, job.shop).quantize(CENT)


def _off(now: float | None, before: float | None) -> float | None:
    return None if now is None or before is None else now - before


def _by_subject(shortfalls: Sequence[str]) -> dict[str, str]:
    """Shortfalls by what they are about: an octave, the mean, a reflection."""
    return {line.partition(":")[0].rstrip("."): line for line in shortfalls}


def _told(site: Site, old: Plan, new: Plan) -> tuple[str, ...]:
    """What a change costs, in sentences."""
    job, sign = site.job, site.job.currency
    money = (new.price or Decimal(0)) - _price(job, old.pieces)
    way = (
        f"{sign}{abs(money):,.0f} {'more' if money > 0 else 'less'}"
        if abs(money) >= 1
        else "the same"
    )
    found = [f"{len(new.pieces)} pieces instead of {len(old.pieces)}; about {way} to the client."]
    was, now = old.prediction.mid_likely_s, new.prediction.mid_likely_s
    if was is not None and now is not None:
        heard = "which nobody hears" if abs(now - was) < JND_DECAY * was else "which can be heard"
        by = f"{abs(now - was):.3f} s {'longer' if now > was else 'shorter'}, {heard}"
        found.append(f"The mean decay is {now:.3f} s instead of {was:.3f} s: {by}.")
    missed, missing = _by_subject(old.shortfalls), _by_subject(new.shortfalls)
    found += [f"No longer reached: {line}" for name, line in missing.items() if name not in missed]
    found += [
        f"Still not reached, now: {line}"
        for name, line in missing.items()
        if missed.get(name, line) != line
    ]
    found += [f"Now reached: {name}." for name in missed if name not in missing]
    hung = {(p.piece, p.face, p.place) for p in old.pieces}
    for placed in (p for p in new.pieces if (p.piece, p.face, p.place) not in hung):
        left, bottom = (format_length(x, job.units) for x in (placed.place.u_m, placed.place.v_m))
        found.append(
            f"New at its place: {placed.piece} on the {placed.face}, {left} from the left, "
            f"{bottom} up."
        )
    return tuple(found)


def _lost(site: Site, plan: Plan, bare: Prediction) -> tuple[str, ...]:
    kept = {name: (low, high) for name, _, _, low, _, high in values(site, plan.prediction)}
    found = []
    for name, low_limit, high_limit, low, likely, high in values(site, bare):
        was = kept.get(name)
        if (
            was is None
            or not inside(low_limit, high_limit, *was)
            or inside(low_limit, high_limit, low, high)
        ):
            continue
        if not inside(low_limit, high_limit, likely, likely):
            found.append(f"{name}: {likely:.3f} s likely without it, outside the limits.")
        else:
            found.append(
                f"{name}: inside the limits without it, but no longer surely: {low:.3f} to "
                f"{high:.3f} s."
            )
    return tuple(found)


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
    for name, face, left, bottom in move:
        if face not in [f.name for f in job.room.faces]:
            raise NoSuchThing(face, [f.name for f in job.room.faces])
        lengths = [parse_length(text) for text in (left, bottom)]
        pins.append(pin_of(_named(plan, name), face=face, left_m=lengths[0], bottom_m=lengths[1]))
    return tuple(pins), tuple(_forbidden(job, plan, what) for what in forbid)


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
