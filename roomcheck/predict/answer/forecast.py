"""The verb of the stage: what the room measures now, and what it will measure with the pieces
hung."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from roomcheck.analyse import Analysis
from roomcheck.errors import RoomcheckError
from roomcheck.facts import Fact, fact
from roomcheck.job import Job, Placement
from roomcheck.predict.answer.before_after import (
    LEAST_DRAWS,
    BeforeAfter,
    IfScattered,
    State,
    before_after,
    if_scattered,
    own_error_sd,
    pull,
)
from roomcheck.predict.answer.statistics import Statistics, ends_of
from roomcheck.predict.rays.images import MOST_PAIRS
from roomcheck.predict.reasons import NoDecay, PredictionNote
from roomcheck.predict.results import BandPrediction, Prediction
from roomcheck.predict.room.linings import piece_absorption
from roomcheck.standards import target_for
from roomcheck.units import MID_BANDS_HZ

Real = NDArray[np.float64]


def predict(
    job: Job,
    pieces: tuple[Placement, ...],
    analysis: Analysis | None = None,
    *,
    simulate: bool = True,
    room: Statistics | None = None,
) -> Prediction:
    """What the room will measure with these pieces hung, and what it measures without.

    Parameters
    ----------
    job : Job
    pieces : tuple of Placement
    analysis : Analysis or None
        Of the "before" visit; where it has a decay, the materials are calibrated on it.
    simulate : bool
        Whether the image sources of each source and microphone are followed patch by patch.
        Without, mean energy transport alone corrects the formulas, several times faster, and no
        simulated decay is given.
    room : Statistics or None
        `Statistics.of(job, analysis, follow_paths=simulate)` where the caller predicts many plans
        of one room.

    Returns
    -------
    Prediction
        All octaves; below the transition frequency, and where nothing says how a surface absorbs,
        None and why. Ranges hold nine in ten of `DRAWS` possible rooms with a fixed seed, the
        model's own error and the scatter of the next measurement included.
    """
    return summarised(
        before_after(job, pieces, analysis, simulate=simulate, room=room), job, simulate
    )


def foreseen(
    job: Job,
    pieces: tuple[Placement, ...],
    room: Statistics,
    *,
    simulate: bool = True,
) -> tuple[Prediction, Real]:
    """The same, and what each of `DRAWS` possible rooms would measure with these pieces hung,
    (draws, bands).

    NaN where a draw absorbs more than its surface; bands that `predict` gives no number for are in
    it all the same. [s]
    """
    seen = before_after(job, pieces, simulate=simulate, room=room)
    return summarised(seen, job, simulate), seen.after_s


def drawn_again(
    job: Job,
    pieces: tuple[Placement, ...],
    room: Statistics,
    *,
    seed: int,
    simulate: bool = True,
) -> Real:
    """What as many other possible rooms would measure, (draws, bands); at once after `foreseen` of
    the same pieces. [s]"""
    return before_after(job, pieces, simulate=simulate, room=room, seed=seed).after_s


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class WithErrors:
    """A prediction, and what it says of where it may be off."""

    prediction: Prediction
    own_error: Real
    """(bands,): standard deviation of the model's own error after that the measurement before does
    not take out [log]."""
    pulls: dict[str, Real]
    """For each stock piece that hangs, d ln T / d ln A of all of it, (bands,) [1]."""
    if_scattered: tuple[IfScattered, ...]


def predict_with_errors(
    job: Job, pieces: tuple[Placement, ...], room: Statistics, *, simulate: bool = True
) -> WithErrors:
    """`predict`, and all that a verified job is compared with."""
    seen = before_after(job, pieces, simulate=simulate, room=room)
    return WithErrors(
        prediction=summarised(seen, job, simulate),
        own_error=own_error_sd(seen),
        pulls=_pulls(job, pieces, seen),
        if_scattered=if_scattered(job, pieces, seen, simulate=simulate),
    )


def _pulls(job: Job, pieces: tuple[Placement, ...], seen: BeforeAfter) -> dict[str, Real]:
    """Pieces that absorb alike are one material in the room: each has its share of the area."""
    keys = {piece.piece: piece_absorption(job.shop.piece(piece.piece)).key for piece in pieces}
    area = dict.fromkeys(keys, 0.0)
    for piece in pieces:
        area[piece.piece] += piece.place.area_m2
    found = {}
    for name, key in keys.items():
        alike = sum(area[other] for other, its in keys.items() if its == key)
        found[name] = area[name] / alike * pull(seen, key)
    return found


def summarised(seen: BeforeAfter, job: Job, simulate: bool) -> Prediction:
    """Middles and ranges of all draws."""
    room = seen.room
    before, after = (
        _bands(state, room, draws_s, simulate)
        for state, draws_s in ((seen.now, seen.before_s), (seen.then, seen.after_s))
    )
    measured = [float(T) if np.isfinite(T) else None for T in room.measured_s]
    mid_hz = _mid_bands_hz(job, room.transition_hz)
    mid = _mid(after, seen.after_s, mid_hz)
    return Prediction(
        before=tuple(
            dataclasses.replace(b, measured_s=T) for b, T in zip(before, measured, strict=True)
        ),
        after=after,
        mid_likely_s=mid[0],
        mid_low_s=mid[1],
        mid_high_s=mid[2],
        transition_hz=room.transition_hz,
        calibrated=bool(np.any(room.calibrated & room.known)),
        notes=(*room.notes, *_method_notes(job, simulate)),
        mid_bands_hz=mid_hz,
    )


def _bands(
    state: State, room: Statistics, draws_s: Real, simulated: bool
) -> tuple[BandPrediction, ...]:
    formulas = state.formulas_s(room.believed.mean[-2])
    return tuple(
        _band(i, state, room.bands_hz[i], formulas, draws_s[:, i], simulated)
        for i in range(len(formulas[0]))
    )


def _band(
    i: int,
    state: State,
    band_hz: float,
    formulas: tuple[Real, Real, Real],
    draws_s: Real,
    simulated: bool,
) -> BandPrediction:
    reasons = state.reasons[i]
    sabine, eyring, by_paths = (_number(T[i]) for T in formulas)
    possible = draws_s[np.isfinite(draws_s)]
    if not reasons and (eyring is None or len(possible) < LEAST_DRAWS * len(draws_s)):
        reasons = (fact(NoDecay.MORE_THAN_SURFACE),)
    if not reasons and state.shape.failed[i]:
        reasons = (fact(NoDecay.NO_FIT),)
    if reasons:
        none = dict.fromkeys(("sabine_s", "eyring_s", "simulated_s", "likely_s", "low_s", "high_s"))
        return BandPrediction(band_hz=band_hz, reasons=reasons, **none)
    low, likely, high = (float(q) for q in np.quantile(possible, (0.05, 0.5, 0.95)))
    return BandPrediction(
        band_hz=band_hz,
        sabine_s=sabine,
        eyring_s=eyring,
        simulated_s=by_paths if simulated else None,
        likely_s=likely,
        low_s=low,
        high_s=high,
    )


def _mid_bands_hz(job: Job, transition_hz: float | None) -> tuple[float, ...]:
    """The octaves that the verdict averages too: the target's, those of separate modes left
    out. [Hz]"""
    try:
        bands_hz = target_for(job.use, job.room.volume_m3, job.own_target).mid_bands_hz
    except RoomcheckError:
        return MID_BANDS_HZ  # no document speaks of this room; its decay is predicted all the same
    above = tuple(hz for hz in bands_hz if transition_hz is None or hz >= transition_hz)
    return above or bands_hz


def _mid(
    after: tuple[BandPrediction, ...], draws_s: Real, mid_hz: tuple[float, ...]
) -> tuple[float | None, float | None, float | None]:
    at = [i for i, band in enumerate(after) if band.band_hz in mid_hz]
    if any(after[i].likely_s is None for i in at):
        return None, None, None
    low, likely, high = np.nanquantile(draws_s[:, at].mean(axis=1), (0.05, 0.5, 0.95))
    return float(likely), float(low), float(high)


def _method_notes(job: Job, simulated: bool) -> tuple[Fact[PredictionNote], ...]:
    if not simulated:
        return (fact(PredictionNote.IMAGES_NOT_FOLLOWED),)
    if not job.room.is_box:
        return (fact(PredictionNote.NO_RECTANGLE),)
    pairs = len(ends_of(job))
    if pairs == 0:
        return (fact(PredictionNote.NO_POSITIONS),)
    if pairs > MOST_PAIRS:
        return (fact(PredictionNote.FIRST_PAIRS_FOLLOWED, followed=MOST_PAIRS, pairs=pairs),)
    return ()


def _number(value: float) -> float | None:
    return float(value) if np.isfinite(value) else None
