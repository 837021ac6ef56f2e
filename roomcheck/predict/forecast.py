"""The verb of the stage: what the room measures now, and what it will measure with the pieces hung."""

from __future__ import annotations

import dataclasses

import numpy as np
from numpy.typing import NDArray

from roomcheck.analyse import Analysis
from roomcheck.job import Job, Placement
from roomcheck.predict.belief import Belief, prior
from roomcheck.predict.results import BandPrediction, Prediction
from roomcheck.predict.statistics import (
    DRAWS,
    MODEL_SD,
    MODEL_SHARED,
    SEED,
    Conditions,
    Statistics,
    after_amounts,
    eyring_of,
    log_rows,
    relative_scatter,
    sabine_of,
)

Real = NDArray[np.float64]


def predict(
    job: Job, pieces: tuple[Placement, ...], analysis: Analysis | None = None, *, simulate: bool = True
) -> Prediction:
    """What the room will measure with these pieces hung, and what it measures without.

    Parameters
    ----------
    job : Job
    pieces : tuple of Placement
    analysis : Analysis or None
        Of the "before" visit; where it has a decay, the materials are calibrated on it.
    simulate : bool
        Whether image sources are run beside the formulas.

    Returns
    -------
    Prediction
        All octaves; below the transition frequency, and where nothing says how a surface absorbs, None and why.
    """
    room = Statistics.of(job, analysis)
    now = _state(room, room.before, (room.amounts, np.exp(room.believed.mean[:-1])), room.reasons)
    then, draws_after = _after(job, pieces, room)
    draws_before = _draws_before(job, room)
    before = tuple(
        dataclasses.replace(b, **_range(draws_before[:, i], b), measured_s=_number(room.measured_s[i]))
        for i, b in enumerate(now)
    )
    after = tuple(dataclasses.replace(b, **_range(draws_after[:, i], b)) for i, b in enumerate(then))
    mid = _mid(after, draws_after)
    return Prediction(
        before=before,
        after=after,
        mid_likely_s=mid[0],
        mid_low_s=mid[1],
        mid_high_s=mid[2],
        transition_hz=room.transition_hz,
        calibrated=bool(np.any(room.calibrated & room.known)),
        notes=room.notes,
    )


def _state(
    room: Statistics, air: Conditions, lined: tuple[Real, Real], reasons: tuple[tuple[str, ...], ...]
) -> list[BandPrediction]:
    A = lined[0] @ lined[1]
    sabine, eyring = sabine_of(air, A), eyring_of(air, A)
    return [
        BandPrediction(
            band_hz=band,
            sabine_s=None if why else _number(sabine[i]),
            eyring_s=None if why else _number(eyring[i]),
            simulated_s=None,
            likely_s=None,
            low_s=None,
            high_s=None,
            reasons=why,
        )
        for i, (band, why) in enumerate(zip(room.bands_hz, reasons, strict=True))
    ]


def _draws_before(job: Job, room: Statistics) -> Real:
    rows = room.believed.draws(DRAWS, SEED)
    A = np.einsum("m,dmb->db", room.amounts, np.exp(rows[:, :-1]))
    T = eyring_of(room.before, A) * np.exp(rows[:, -1] + _own_error(job, room, SEED + 1))
    return np.asarray(T)


def _after(job: Job, pieces: tuple[Placement, ...], room: Statistics) -> tuple[list[BandPrediction], Real]:
    keys, amounts, absorptions = after_amounts(job, pieces)
    fresh = tuple(a for key, a in zip(keys, absorptions, strict=True) if key not in room.keys)
    rows = room.believed.draws(DRAWS, SEED)
    mean, spread = log_rows(fresh, room.bands_hz) if fresh else (np.empty((0, len(room.bands_hz))),) * 2
    new = prior(mean, spread).draws(DRAWS, SEED + 2) if fresh else np.empty((DRAWS, 0, len(room.bands_hz)))
    order = [*room.keys, *(a.key for a in fresh)]
    held = np.array([amounts[keys.index(key)] if key in keys else 0.0 for key in order])
    logs = np.concatenate([rows[:, :-1], new], axis=1)
    A = np.einsum("m,dmb->db", held, np.exp(logs))
    T = eyring_of(room.after, A) * np.exp(rows[:, -1] + _own_error(job, room, SEED + 3))
    reasons = tuple(
        why or tuple(f"{band:g} Hz: no source gives absorption for {a.title}." for a in fresh if a.at(band) is None)
        for band, why in zip(room.bands_hz, room.reasons, strict=True)
    )
    middle = np.exp(np.vstack([room.believed.mean[:-1], mean]))
    return _state(room, room.after, (held, middle), reasons), np.asarray(T)


def _own_error(job: Job, room: Statistics, seed: int) -> Real:
    """The formula's error that calibrating cannot take out, and the scatter of the next measurement, (draws, bands)."""
    own = Belief(
        mean=np.zeros((1, len(room.bands_hz))),
        covariance=MODEL_SD**2 * (1 - MODEL_SHARED) * np.eye(len(room.bands_hz)),
    ).draws(DRAWS, seed)[:, 0]
    pairs = max(len(job.sources) * len(job.microphones), 1)
    T = np.where(np.isfinite(room.measured_s), room.measured_s, 0.5)
    scatter = [relative_scatter(band, float(t), pairs) for band, t in zip(room.bands_hz, T, strict=True)]
    noise = np.random.default_rng(seed + 100).standard_normal(own.shape)
    return np.asarray(own + noise * np.array(scatter))


def _range(draws: Real, band: BandPrediction) -> dict[str, float | None]:
    if band.eyring_s is None or not np.all(np.isfinite(draws)):
        return {"likely_s": None, "low_s": None, "high_s": None}
    low, likely, high = np.quantile(draws, (0.05, 0.5, 0.95))
    return {"likely_s": float(likely), "low_s": float(low), "high_s": float(high)}


def _mid(after: tuple[BandPrediction, ...], draws: Real) -> tuple[float | None, float | None, float | None]:
    at = [i for i, band in enumerate(after) if band.band_hz in (500.0, 1000.0)]
    if any(after[i].likely_s is None for i in at):
        return None, None, None
    low, likely, high = np.quantile(draws[:, at].mean(axis=1), (0.05, 0.5, 0.95))
    return float(likely), float(low), float(high)


def _number(value: float) -> float | None:
    return float(value) if np.isfinite(value) else None
