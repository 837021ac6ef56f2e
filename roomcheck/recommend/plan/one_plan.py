"""Name, explain and price what stands, as one plan."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal

from roomcheck.facts import Fact, fact
from roomcheck.job import Placement
from roomcheck.judge import EARLY_USES
from roomcheck.recommend.places.candidates import Candidate
from roomcheck.recommend.places.mirror import uneven
from roomcheck.recommend.plan import explain
from roomcheck.recommend.plan.checklist import checks
from roomcheck.recommend.plan.echoes import reflection_changes
from roomcheck.recommend.plan.gains import gains, unheard, unheard_from
from roomcheck.recommend.plan.promise import promise
from roomcheck.recommend.plan.settled import Settled, client_price
from roomcheck.recommend.reasons import PlanKind, PlanNote, Shortfall
from roomcheck.recommend.results import PieceGain, Plan
from roomcheck.recommend.solver.money import weeks_of
from roomcheck.recommend.solver.named import placements
from roomcheck.recommend.solver.site import Site


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
        promise=promise(site.job, site.analysis, settled.prediction, *site.sets_s(bare)),
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
