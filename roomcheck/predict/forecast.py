"""The verb of the stage: what the room measures now, and what it will measure with the pieces hung."""

from __future__ import annotations

import dataclasses

import numpy as np
from numpy.typing import NDArray

from roomcheck.analyse import Analysis
from roomcheck.job import Job, Placement
from roomcheck.predict.results import BandPrediction, Prediction
from roomcheck.predict.scene import MOST_PAIRS
from roomcheck.predict.states import Foreseen, State, foreseen
from roomcheck.predict.statistics import Statistics, ends_of

Real = NDArray[np.float64]

_MID_HZ = (500.0, 1000.0)
_LEAST_DRAWS = 0.5
"""Share of the draws that must be possible rooms, with less absorption than surface."""


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
        Whether the image sources of each source and microphone are followed patch by patch. Without, mean energy
        transport alone corrects the formulas, several times faster, and no simulated decay is given.
    room : Statistics or None
        `Statistics.of(job, analysis, follow_paths=simulate)` where the caller predicts many plans of one room.

    Returns
    -------
    Prediction
        All octaves; below the transition frequency, and where nothing says how a surface absorbs, None and why.
        Ranges hold nine in ten of `DRAWS` possible rooms with a fixed seed, the model's own error and the scatter
        of the next measurement included.
    """
    return summed_up(foreseen(job, pieces, analysis, simulate=simulate, room=room), job, simulate)


def summed_up(seen: Foreseen, job: Job, simulate: bool) -> Prediction:
    """Middles and ranges of all draws."""
    room = seen.room
    before, after = (
        _bands(state, room, draws_s, simulate)
        for state, draws_s in ((seen.now, seen.before_s), (seen.then, seen.after_s))
    )
    measured = [float(T) if np.isfinite(T) else None for T in room.measured_s]
    mid = _mid(after, seen.after_s)
    return Prediction(
        before=tuple(dataclasses.replace(b, measured_s=T) for b, T in zip(before, measured, strict=True)),
        after=after,
        mid_likely_s=mid[0],
        mid_low_s=mid[1],
        mid_high_s=mid[2],
        transition_hz=room.transition_hz,
        calibrated=bool(np.any(room.calibrated & room.known)),
        notes=(*room.notes, *_about(job, simulate)),
    )


def _bands(state: State, room: Statistics, draws_s: Real, simulated: bool) -> tuple[BandPrediction, ...]:
def possible_s(job: Job, pieces: tuple[Placement, ...], room: Statistics, *, simulate: bool = True) -> Real:
    """What each of `DRAWS` possible rooms would measure with these pieces hung, (draws, bands): the draws of `predict`.

    NaN where a draw absorbs more than its surface; bands that `predict` gives no number for are in it all the same. [s]
    """
    then = _treated(job, pieces, room, room.draws(), follow_paths=simulate)
    return then.decays_s(room, max(len(job.sources) * len(job.microphones), 1), SEED + 3)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _State:
    """The room before or after: (materials, bands) in the middle, (draws, materials + 2, bands) of what may be."""

    air: Conditions
    amounts: Real
    middle: Real
    draws: Real
    shape: Shape
    reasons: Reasons

    def decays_s(self, room: Statistics, pairs: int, seed: int) -> Real:
        """Decay that each draw would measure, (draws, bands); NaN where a draw absorbs more than its surface. [s]"""
        logs, scatter, error = self.draws[:, :-2], self.draws[:, -2], self.draws[:, -1]
        T = eyring_of(self.air, np.einsum("m,dmb->db", self.amounts, np.exp(logs)))
        own = _own_error(room, pairs, seed)
        return np.asarray(T * np.exp(self.shape.log_ratio(logs, scatter) + error + own))

    def formulas_s(self, scatter: Real) -> tuple[Real, Real, Real]:
        """Sabine, Eyring, and simulated, in the middle. (bands,) each [s]"""
        A = self.amounts @ np.exp(self.middle)
        eyring = eyring_of(self.air, A)
        return sabine_of(self.air, A), eyring, eyring * np.exp(self.shape.log_ratio(self.middle, scatter))


def _treated(job: Job, pieces: tuple[Placement, ...], room: Statistics, draws: Real, *, follow_paths: bool) -> _State:
    """The room with pieces: what calibrating taught about its surfaces holds, pieces come as they were computed."""
    lined = linings(job, pieces, "after")
    keys, amounts, absorptions = by_material(lined)
    fresh = tuple(a for a in absorptions if a.key not in room.keys)
    order = (*room.keys, *(a.key for a in fresh))
    middle, more = _fresh(fresh, room)
    middle = np.vstack([room.believed.mean[: len(room.keys)], middle])
    reasons = tuple(
        why or tuple(f"{band:g} Hz: no source gives absorption for {a.title}." for a in fresh if a.at(band) is None)
        for band, why in zip(room.bands_hz, room.reasons, strict=True)
    )
    scene = scene_of(job.room, lined, order, room.bands_hz, room.after, ends_of(job) if follow_paths else ())
    return _State(
        air=room.after,
        amounts=np.array([amounts[keys.index(key)] if key in keys else 0.0 for key in order]),
        middle=middle,
        draws=np.concatenate([draws[:, :-2], more, draws[:, -2:]], axis=1),
        shape=shape_of(scene, middle, np.array([not why for why in reasons]), room.scatter),
        reasons=reasons,
    )


def _fresh(fresh: tuple[Absorption, ...], room: Statistics) -> tuple[Real, Real]:
    """Materials that the measured room did not have: (materials, bands), (draws, materials, bands)."""
    if not fresh:
        none = np.empty((0, len(room.bands_hz)))
        return none, np.empty((DRAWS, *none.shape))
    mean, spread = log_rows(fresh, room.bands_hz)
    return mean, prior(mean, spread).draws(DRAWS, SEED + 2)


def _own_error(room: Statistics, pairs: int, seed: int) -> Real:
    """The model's error that calibrating cannot take out, and the scatter of the measurement, (draws, bands)."""
    T = np.where(np.isfinite(room.measured_s), room.measured_s, 0.5)
    scatter = [relative_scatter(band, float(t), pairs) for band, t in zip(room.bands_hz, T, strict=True)]
    spread = np.hypot(MODEL_SD * np.sqrt(1 - MODEL_SHARED), scatter)
    return np.asarray(np.random.default_rng(seed).standard_normal((DRAWS, len(scatter))) * spread)


def _bands(state: _State, room: Statistics, draws_s: Real, simulated: bool) -> tuple[BandPrediction, ...]:
    formulas = state.formulas_s(room.believed.mean[-2])
    return tuple(_band(i, state, room.bands_hz[i], formulas, draws_s[:, i], simulated) for i in range(len(formulas[0])))


def _band(
    i: int, state: State, band_hz: float, formulas: tuple[Real, Real, Real], draws_s: Real, simulated: bool
) -> BandPrediction:
    reasons = list(state.reasons[i])
    sabine, eyring, by_paths = (_number(T[i]) for T in formulas)
    possible = draws_s[np.isfinite(draws_s)]
    if not reasons and (eyring is None or len(possible) < _LEAST_DRAWS * len(draws_s)):
        reasons.append(f"{band_hz:g} Hz: the surfaces as given would absorb more than there is of them.")
    if not reasons and state.shape.failed[i]:
        reasons.append(f"{band_hz:g} Hz: the simulated energy dies too fast, or too slowly, for a fit of 20 dB.")
    if reasons:
        none = dict.fromkeys(("sabine_s", "eyring_s", "simulated_s", "likely_s", "low_s", "high_s"))
        return BandPrediction(band_hz=band_hz, reasons=tuple(reasons), **none)
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


def _mid(after: tuple[BandPrediction, ...], draws_s: Real) -> tuple[float | None, float | None, float | None]:
    at = [i for i, band in enumerate(after) if band.band_hz in _MID_HZ]
    if any(after[i].likely_s is None for i in at):
        return None, None, None
    low, likely, high = np.nanquantile(draws_s[:, at].mean(axis=1), (0.05, 0.5, 0.95))
    return float(likely), float(low), float(high)


def _about(job: Job, simulated: bool) -> tuple[str, ...]:
    if not simulated:
        return ("Image sources were not followed in this run; mean energy transport stands behind the range.",)
    if not job.room.is_box:
        return ("The plan is no rectangle: rays meet each patch, and the decay is the room's mean, not one seat's.",)
    pairs = len(ends_of(job))
    if pairs == 0:
        return ("No source or no microphone has a place: reflections are averages, not followed patch by patch.",)
    return (f"Images are followed for the first {MOST_PAIRS} of {pairs} pairs.",) if pairs > MOST_PAIRS else ()


def _number(value: float) -> float | None:
    return float(value) if np.isfinite(value) else None
