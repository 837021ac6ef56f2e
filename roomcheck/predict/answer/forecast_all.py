"""All that can be said of a plan before it hangs: methods, ranges, draws, the seat, the modes, the
people."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from roomcheck.analyse import Analysis, BoxMode, box_modes, decays
from roomcheck.facts import Fact, fact
from roomcheck.job import Job, Placement
from roomcheck.materials import SPREAD, person_m2
from roomcheck.parts import OnPart, Parts
from roomcheck.predict.answer.before_after import BeforeAfter, State, before_after
from roomcheck.predict.answer.forecast import summarised
from roomcheck.predict.answer.methods import BandMethods, methods_of
from roomcheck.predict.answer.seat import MOST_ABSORBED, SeatForecast, seat_forecasts
from roomcheck.predict.answer.second_opinion import Second, second_opinion, traces
from roomcheck.predict.answer.statistics import SEED, Statistics
from roomcheck.predict.rays.images import box_sides
from roomcheck.predict.rays.response import simulated_response
from roomcheck.predict.rays.scene import with_bundles
from roomcheck.predict.reasons import OutlookNote
from roomcheck.predict.results import Prediction
from roomcheck.standards import target_for

Real = NDArray[np.float64]

DIGITS = 4
"""Draws are handed out in tenths of milliseconds."""
MOST_MODES = 24

_PARTS = 5
"""Of the work: the room calibrated, the pieces hung, the seat before and after, the rest; about as
long each."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BandDraws:
    """So many values that one octave may measure, from the same possible rooms in the same order in
    all bands."""

    band_hz: float
    """Octave [Hz]."""
    before_s: tuple[float, ...]
    """One decay a draw; empty where nothing is predicted. A room that absorbs more than its surface
    is left out here and in `after_s` [s]."""
    after_s: tuple[float, ...]
    """The same rooms after the treatment [s]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class InUse:
    """One octave of the treated room with its usual people."""

    band_hz: float
    """Octave [Hz]."""
    people: int
    """How many are in the room."""
    likely_s: float
    """As in `BandPrediction`, the uncertainty of a person's absorption included [s]."""
    low_s: float
    """Lower end of the range [s]."""
    high_s: float
    """Upper end of the range [s]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SimulatedDecay:
    """What the analysis of recordings reads from one pair's simulated response, in one octave."""

    band_hz: float
    """Octave [Hz]."""
    t20_s: float | None
    """Reverberation time [s]."""
    c50_db: float | None
    """Clarity [dB]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Outlook:
    """A prediction with all that it rests on."""

    prediction: Prediction
    methods_before: tuple[BandMethods, ...]
    """All formulas before the treatment, and which one to trust."""
    methods_after: tuple[BandMethods, ...]
    """The same after it."""
    seats: tuple[SeatForecast, ...]
    """Reflections at the seat, before and after."""
    heard_before: tuple[SimulatedDecay, ...]
    """At the seat from the first source, by the analysis that recordings go through; empty where
    none was simulated."""
    heard_after: tuple[SimulatedDecay, ...]
    """The same after the treatment."""
    in_use: tuple[InUse, ...]
    """Empty where nobody said how many people the room holds."""
    modes: tuple[BoxMode, ...]
    """Standing waves below the transition frequency that the dimensions give; empty in a room that
    is no box."""
    draws: tuple[BandDraws, ...]
    second: tuple[Second, ...]
    """The treated room by ray tracing in another program; empty where not asked for."""
    notes: tuple[Fact[OutlookNote], ...]
    """What the target means, what is capped, and what cannot be foreseen."""


def outlook(
    job: Job,
    pieces: tuple[Placement, ...],
    analysis: Analysis | None = None,
    *,
    second: bool = False,
    on_part: OnPart | None = None,
) -> Outlook:
    """All of it, with image sources followed; arguments as of `predict`. `second` asks ray tracing
    too: 10 to 30 s. `on_part` gets how many parts are done, and how many there are."""
    room = Statistics.of(job, analysis, follow_paths=True)
    parts = Parts(on_part, _PARTS + (traces(job, room.reasons) if second else 0))
    parts.add()
    seen = before_after(job, pieces, room=room)
    parts.add()
    scatter = seen.room.believed.mean[-2]
    now, then = methods_of(seen.now, scatter), methods_of(seen.then, scatter)
    in_use = _in_use(job, seen)
    modes = _modes(job, seen)
    seats = seat_forecasts(job, seen)
    heard_before = _heard(job, seen.now, scatter)
    parts.add()
    heard_after = _heard(job, seen.then, scatter)
    parts.add()
    return Outlook(
        prediction=summarised(seen, job, simulate=True),
        methods_before=now,
        methods_after=then,
        seats=seats,
        heard_before=heard_before,
        heard_after=heard_after,
        in_use=in_use,
        modes=modes[:MOST_MODES],
        draws=_draws(seen),
        second=second_opinion(job, seen.then, scatter, parts.add) if second else (),
        notes=(*_capped(seen.then), *_state_meant(job, in_use), *_low_end(job, seen, modes)),
    )


def _draws(seen: BeforeAfter) -> tuple[BandDraws, ...]:
    found = []
    for i, band in enumerate(seen.room.bands_hz):
        known = np.isfinite(seen.before_s[:, i]) & np.isfinite(seen.after_s[:, i])
        told = known if not seen.then.reasons[i] else np.zeros(len(known), dtype=bool)
        before, after = (
            tuple(round(float(T), DIGITS) for T in draws[told, i])
            for draws in (seen.before_s, seen.after_s)
        )
        found.append(BandDraws(band_hz=band, before_s=before, after_s=after))
    return tuple(found)


def _in_use(job: Job, seen: BeforeAfter) -> tuple[InUse, ...]:
    """The treated room with its usual people, by every draw, a person's area being as uncertain as
    handbooks are."""
    if job.people_in_use is None:
        return ()
    visit = job.visit("after") or job.visit("before")
    more = job.people_in_use - (visit.people if visit else 0)
    air = seen.room.after
    wide = np.exp(SPREAD * np.random.default_rng(SEED + 4).standard_normal(len(seen.after_s)))
    found = []
    for i, band in enumerate(seen.room.bands_hz):
        each = person_m2(band)
        if each is None or seen.then.reasons[i]:
            continue
        rate = 1 / seen.after_s[:, i] + more * each * wide * air.speed_m_s / (
            24 * np.log(10) * air.volume_m3
        )
        low, likely, high = (
            float(q) for q in np.nanquantile(1 / rate[~(rate <= 0)], (0.05, 0.5, 0.95))
        )
        found.append(
            InUse(band_hz=band, people=job.people_in_use, likely_s=likely, low_s=low, high_s=high)
        )
    return tuple(found)


def _heard(job: Job, state: State, scatter: Real) -> tuple[SimulatedDecay, ...]:
    """T20 and C50 at the seat, read by `decays` from a simulated response."""
    scene, wanted = state.scene, np.array([not why for why in state.reasons])
    if not scene.pairs or not wanted.any():
        return ()
    at = np.flatnonzero(wanted)
    names = [m.name for m in job.microphones]
    pair = names.index(job.seat) if job.seat in names else 0
    if pair >= len(scene.pairs):
        return ()
    alphas = np.exp(state.middle)
    followed = with_bundles(scene, alphas, wanted)
    bands = tuple(state.bands_hz[i] for i in at)
    response = simulated_response(
        followed, alphas, state.bands_hz, np.exp(scatter), pair, wanted=wanted
    )
    read = {d.band_hz: d for d in decays(response)}
    return tuple(
        SimulatedDecay(band_hz=b, t20_s=read[b].t20_s, c50_db=read[b].c50_db) for b in bands
    )


def _modes(job: Job, seen: BeforeAfter) -> tuple[BoxMode, ...]:
    if not job.room.is_box:
        return ()
    sides = [float(side) for side in box_sides(job.room)]
    return box_modes(sides, seen.room.before.speed_m_s, seen.room.transition_hz)


def _capped(state: State) -> tuple[Fact[OutlookNote], ...]:
    """Name the coefficients above what a single reflection or path can lose."""
    on_faces = {x.absorption.key: x.absorption for x in state.lined if x.face is not None}
    capped = []
    for absorption in on_faces.values():
        highest, band_hz = max(zip(absorption.values, absorption.bands_hz, strict=True))
        if highest > MOST_ABSORBED:
            capped.append((absorption.title, highest, band_hz))
    if not capped:
        return ()
    titles, alphas, bands = zip(*capped, strict=True)
    note = fact(
        OutlookNote.CAPPED,
        materials=titles,
        alphas=alphas,
        bands_hz=bands,
        most_alpha=MOST_ABSORBED,
    )
    return (note,)


def _state_meant(job: Job, in_use: tuple[InUse, ...]) -> tuple[Fact[OutlookNote], ...]:
    """Tell which state of the room the target means, and which of the numbers is that."""
    target = target_for(job.use, job.room.volume_m3, job.own_target)
    if target.occupied is None:
        return ()
    if target.occupied is False:
        return (fact(OutlookNote.TARGET_UNOCCUPIED, target=target.title),)
    if in_use:
        people = in_use[0].people
        return (fact(OutlookNote.TARGET_OCCUPIED, target=target.title, people=people),)
    return (fact(OutlookNote.TARGET_OCCUPIED_PEOPLE_UNKNOWN, target=target.title),)


def _low_end(
    job: Job, samples: BeforeAfter, modes: tuple[BoxMode, ...]
) -> tuple[Fact[OutlookNote], ...]:
    limit_hz = samples.room.transition_hz
    if not job.room.is_box:
        return (fact(OutlookNote.MODES_BELOW_NO_BOX, transition_hz=limit_hz),)
    return (fact(OutlookNote.MODES_BELOW, transition_hz=limit_hz, modes=len(modes)),)
