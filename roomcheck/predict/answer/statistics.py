"""The room as a sum of absorption: calibrated once, asked many times.

`Statistics.of(job, analysis)` reads the job, calibrates on the measured "before" where there is
one, and keeps draws of what the room may be. `after_s` then answers in microseconds for any vector
of added absorption, so that a planner may call it in a loop:

    room = Statistics.of(job, analysis)
    gain = room.gain_m2(job.shop.piece("panel"), "gypsum")  # (bands,), net of the wall it covers
    room.after_s(12 * gain)  # (bands,), likely decay with twelve of them
    room.needed_m2([0.3] * len(room.bands_hz))  # (bands,), absorption that would give 0.3 s

Arrays hold NaN in a band that cannot be foreseen; `reasons` says why. It is Eyring's formula, times
what the simulation of the untreated room says that unevenness and scattering make of it
(`correction`); once pieces hang, only `predict` knows what they change in that.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from roomcheck.analyse import Analysis
from roomcheck.facts import Fact, fact
from roomcheck.geometry import Point
from roomcheck.job import Job, StockPiece
from roomcheck.materials import Absorption, absorption_of
from roomcheck.predict.rays.leaning import leaning
from roomcheck.predict.rays.scene import Scene, Shape, flat_shape, scene_of, shape_of
from roomcheck.predict.reasons import NoDecay, PredictionNote
from roomcheck.predict.room.belief import (
    BAND_CORRELATION,
    Belief,
    Explained,
    Mixture,
    Model,
    explained_by,
    fitted,
    prior,
    updated,
    weighed,
)
from roomcheck.predict.room.conditions import Conditions, conditions_of
from roomcheck.predict.room.early import early_decays, measured_early
from roomcheck.predict.room.formulas import eyring_s, sabine_s
from roomcheck.predict.room.linings import Lining, linings, piece_absorption
from roomcheck.predict.room.misfit import Evidence, likely_causes, unexplained
from roomcheck.units import OCTAVES_HZ, ROOM_HUMIDITY_PCT, ROOM_TEMPERATURE_C

Real = NDArray[np.float64]

TRANSITION_IF_UNKNOWN_HZ = 200.0
"""Transition frequency assumed without a measurement. [Hz]"""

SEED = 3382
DRAWS = 1000

MODEL_SD, UNEVEN_SD, MOST_UNEVEN = 0.05, 0.3, 0.6
"""Standard deviation of the model where Eyring's formula holds, how much it grows with the
logarithm of what the simulation makes of that formula, and up to which: held against rooms traced
by particles (`benchmarks/ranges.py`)."""
AFTER_SHARE, READS_SHORT = 0.66, 0.3
"""How much of that standard deviation the model has once pieces hang, and by how many of these it
then reads short where anything stands in the room: furniture takes less once the decay is led by
paths that pass it by (the same rooms; in bare ones the model reads neither short nor long). [1]"""
MODEL_FADES = 0.35
"""How far pieces move a decay, log of before over after, until e times less of the model's error
before is left in its error after: calibrating takes out what is left. In traced rooms the two hang
together by 0.8 where nearly nothing hangs and by 0.2 where half the decay is gone. [log]"""
MODEL_CORRELATION = 0.8
"""Between the model's errors in any two octaves: 0.7 to 0.9 between neighbours in traced rooms."""

SCATTER_NODES = np.geomspace(0.02, 0.5, 9)
"""Where scattering is tried, furniture included; before a measurement each is as likely as the
next. A judgement: 0.1 to 0.3 is what fits most rooms in the open literature, bare hard ones lie far
below, and nobody measures it on site. [1]"""
SCATTER = float(SCATTER_NODES[4])
"""The middle one. [1]"""
_SCATTER_BANDS_SD = 0.4
"""By how much single octaves scatter otherwise than the room as a whole: half as much again, or a
third less (a judgement). [log]"""

_UNKNOWN_LOG, _UNKNOWN_SD = np.log(0.1), 1.15
"""A coefficient that no source gives: anything from 0.01 to 1."""
_PRINTED_ZERO = 0.005
"""A printed 0.00 is less than half its last digit."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Statistics:
    """A calibrated room."""

    bands_hz: tuple[float, ...]
    """Octaves [Hz]."""
    transition_hz: float
    """Below it the room has modes and no number is given [Hz]."""
    before: Conditions
    """Air and size of the room as measured."""
    after: Conditions
    """Air and size of the room as it will be."""
    keys: tuple[str, ...]
    """Materials of the "before", in the order of the rows."""
    amounts: Real
    """(materials,): areas [m2], or pieces."""
    believed: Belief
    """Log coefficient of each material, then log scattering, then the log error of the model; all
    scatterings that were tried taken together."""
    mixture: Mixture
    """The same at each of the scatterings."""
    lined: tuple[Lining, ...]
    """What the room is lined with."""
    scene: Scene
    shape: Shape
    """What the simulated "before" makes of Eyring's formula."""
    calibrated: NDArray[np.bool_]
    """(bands,): where a measured decay moved the table."""
    measured_s: Real
    """(bands,): measured decay; NaN where there is none [s]."""
    unexplained: NDArray[np.bool_]
    """(bands,): where the measured decay is not what the materials can give."""
    reasons: tuple[tuple[Fact[NoDecay], ...], ...]
    """Per band, why there is no number; empty where there is."""
    notes: tuple[Fact[PredictionNote], ...]
    """What the measurement says against the room as typed."""

    @classmethod
    def of(
        cls,
        job: Job,
        analysis: Analysis | None = None,
        *,
        follow_paths: bool = False,
        plain: Statistics | None = None,
    ) -> Statistics:
        """The room of a job, calibrated where the analysis has a decay.

        Parameters
        ----------
        job : Job
        analysis : Analysis or None
            Of the "before".
        follow_paths : bool
            Whether each source and microphone has its image sources followed patch by patch.
        plain : Statistics or None
            The same without paths followed, where it is there already: it has half the work.
        """
        bands = OCTAVES_HZ
        before = conditions_of(job, "before", bands)
        now = linings(job, (), "before")
        keys, amounts, absorptions = by_material(now)
        measured, spread = _measured(analysis, bands)
        transition = analysis.transition_hz if analysis else None
        has_decay = np.isfinite(measured)
        reasons = tuple(
            _no_decay(band_hz, transition, absorptions, measured=bool(has))
            for band_hz, has in zip(bands, has_decay, strict=True)
        )
        scene = scene_of(job.room, now, keys, bands, before, ends_of(job) if follow_paths else ())
        wanted = np.array([not why for why in reasons])
        lowest_hz = transition or TRANSITION_IF_UNKNOWN_HZ
        judged = np.flatnonzero(has_decay & (np.array(bands) >= lowest_hz))
        calibration = _calibrated(
            scene,
            amounts,
            absorptions,
            bands,
            (measured, spread),
            measured_early(analysis, bands),
            wanted,
            judged,
            plain,
            learned_weights(job.shop.scatter_learned),
        )
        return cls(
            bands_hz=bands,
            transition_hz=lowest_hz,
            before=before,
            after=conditions_of(job, "after", bands),
            keys=keys,
            amounts=amounts,
            believed=calibration.mixture.matched,
            mixture=calibration.mixture,
            lined=now,
            scene=scene,
            shape=calibration.shape,
            calibrated=has_decay,
            measured_s=measured,
            unexplained=calibration.unexplained,
            reasons=reasons,
            notes=_notes(job, calibration.evidence, measured, calibration.unexplained),
        )

    @property
    def known(self) -> NDArray[np.bool_]:
        """Bands that have a number, (bands,)."""
        return np.array([not why for why in self.reasons])

    def draws(self, count: int = DRAWS, seed: int = SEED) -> Real:
        """Rooms that this one may be, log unknowns (count, rows, bands), each true to a decay it
        may have. [log]"""
        counts = self.mixture.counts(count)
        return np.concatenate([self.draws_at(i, int(n), seed) for i, n in enumerate(counts)])

    def draws_at(self, node: int, count: int = DRAWS, seed: int = SEED) -> Real:
        """The same for one of `SCATTER_NODES`. [log]"""
        part = self.mixture.parts[node]
        some = part.draws(count, seed + 1000 * node)
        model = _model(self.amounts, self.before, self.shape)
        return np.where(self.calibrated, fitted(part, model, some), some)

    @property
    def scatter(self) -> float:
        """Likely scattering coefficient of the room, mean of the bands. [1]"""
        return float(np.exp(self.believed.mean[-2].mean()))

    @property
    def correction(self) -> Real:
        """Likely decay of the "before" over Eyring's, (bands,). [1]"""
        return _correction(self)

    @property
    def absorption_m2(self) -> Real:
        """Likely equivalent area of the "before", air not counted, (bands,). [m2]"""
        return np.asarray(self.amounts @ np.exp(self.believed.mean[: len(self.keys)]))

    def coefficient(self, key: str) -> Real:
        """Likely coefficient of a material, calibrated where it is in the room, (bands,); NaN where
        missing."""
        if key in self.keys:
            return np.asarray(np.exp(self.believed.mean[self.keys.index(key)]))
        return _values(absorption_of(key), self.bands_hz)

    def gain_m2(self, piece: StockPiece, wall_material: str) -> Real:
        """What one stock piece adds, less what the wall behind it absorbed, (bands,). [m2]

        Parameters
        ----------
        piece : StockPiece
        wall_material : str
            Key of the material it covers.
        """
        own = piece_absorption(piece)
        area = piece.width_m * piece.height_m
        return area * (_values(own, self.bands_hz) - self.coefficient(wall_material))

    def after_s(self, added_m2: ArrayLike) -> Real:
        """Likely decay with so much absorption added to the "before", (..., bands). [s]"""
        A = self.absorption_m2 + np.asarray(added_m2, dtype=float)
        return np.where(self.known, self._formula(A), np.nan)

    def needed_m2(self, decay_s: ArrayLike) -> Real:
        """Absorption to add to the "before" for such a decay, (..., bands); below 0 where there is
        too much. [m2]"""
        air, bias = self.after, self.correction
        total = (
            24
            * np.log(10)
            * air.volume_m3
            / air.speed_m_s
            * bias
            / np.asarray(decay_s, dtype=float)
        )
        walls = total - 4 * air.air_per_m * air.volume_m3
        needed = air.surface_m2 * -np.expm1(-walls / air.surface_m2) - self.absorption_m2
        return np.where(self.known, needed, np.nan)

    def _formula(self, absorption_m2: Real) -> Real:
        air = self.after
        T = eyring_s(
            air.volume_m3,
            air.surface_m2,
            absorption_m2,
            air_per_m=air.air_per_m,
            speed_m_s=air.speed_m_s,
        )
        return T * self.correction


@lru_cache(maxsize=4)
def _correction(room: Statistics) -> Real:
    """As of `Statistics`, each worked out once."""
    rows = room.believed.mean
    found = np.exp(room.shape.log_ratio(rows[:-2], rows[-2]) + rows[-1])
    found.flags.writeable = False
    return np.asarray(found)


def by_material(now: tuple[Lining, ...]) -> tuple[tuple[str, ...], Real, tuple[Absorption, ...]]:
    """The same material is the same unknown wherever it is."""
    found = {lining.absorption.key: lining.absorption for lining in now}
    amounts = [
        sum(lining.amount for lining in now if lining.absorption.key == key) for key in found
    ]
    return tuple(found), np.array(amounts), tuple(found.values())


def _values(absorption: Absorption, bands: tuple[float, ...]) -> Real:
    values = (absorption.at(band) for band in bands)
    return np.array([np.nan if v is None else v for v in values])


def ends_of(job: Job) -> tuple[tuple[Point, Point], ...]:
    """Every source with every microphone."""
    return tuple(
        (source.point, microphone.point) for source in job.sources for microphone in job.microphones
    )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Calibration:
    """What the measured decays made of the tables."""

    shape: Shape
    mixture: Mixture
    evidence: Evidence
    unexplained: NDArray[np.bool_]


def _calibrated(
    scene: Scene,
    amounts: Real,
    absorptions: tuple[Absorption, ...],
    bands: tuple[float, ...],
    data: tuple[Real, Real],
    early: tuple[Real, Real],
    wanted: NDArray[np.bool_],
    judged: NDArray[np.intp],
    plain: Statistics | None,
    weights: Real,
) -> _Calibration:
    """First by Eyring alone, to know about where the room is; then with what the simulation says
    there, at each scattering, weighed by how early and late decays compare."""
    log_T, spread = np.log(data[0]), data[1]
    rows = log_rows(absorptions, bands)
    flat = flat_shape(rows[0])
    rough = updated(
        _prior(rows, flat, SCATTER), _model(amounts, scene.conditions, flat), log_T, spread
    )
    lean = leaning(scene, rough.mean[:-2], wanted, SCATTER) if plain is None else plain.shape
    shape = shape_of(scene, rough.mean[:-2], wanted, lean)
    model = _model(amounts, scene.conditions, shape)
    said_early = early_decays(*early, shape.early_at(np.log(SCATTER_NODES)))
    weights = said_early.weighed(weights)

    def at_each(error: ArrayLike) -> tuple[tuple[Belief, ...], tuple[Explained, ...]]:
        before = [_prior(rows, shape, s, error) for s in SCATTER_NODES]
        after = [updated(each, model, log_T, spread) for each in before]
        explained = [
            explained_by(was, now, model, log_T, spread)
            for was, now in zip(before, after, strict=True)
        ]
        return tuple(after), tuple(explained)

    parts, explained = at_each(0.0)
    mixture = weighed(parts, explained, weights, judged)
    evidence = Evidence(
        air=scene.conditions,
        absorptions=absorptions,
        amounts=amounts,
        explained=explained,
        weights=said_early.weighed(scatter_weights()),
        judged=judged,
        bands_hz=bands,
    )
    odd = unexplained(evidence)
    if odd.any():
        # What the materials cannot explain is not laid on them: it becomes an error of the band, as
        # large as it is.
        parts, explained = at_each(np.where(odd, np.abs(evidence.off), 0.0))
        mixture = weighed(parts, explained, weights, judged)
    return _Calibration(shape=shape, mixture=mixture, evidence=evidence, unexplained=odd)


def scatter_weights() -> Real:
    """How likely each of `SCATTER_NODES` is before anything is measured. [1]"""
    return np.full(len(SCATTER_NODES), 1 / len(SCATTER_NODES))


def learned_weights(learned: tuple[tuple[float, float], ...]) -> Real:
    """The same once verified jobs said how likely each scattering is in the shop's rooms. [1]"""
    if not learned:
        return scatter_weights()
    at, likely = np.array(learned).T
    found = scatter_weights() * np.interp(np.log(SCATTER_NODES), np.log(at), likely)
    return np.asarray(found / found.sum())


def model_sd(log_ratio: Real) -> Real:
    """Standard deviation of the model where the simulation makes so much of Eyring's formula.
    [log]"""
    return np.hypot(MODEL_SD, UNEVEN_SD * np.minimum(np.abs(log_ratio), MOST_UNEVEN))


def _prior(
    rows: tuple[Real, Real], shape: Shape, scatter: float, unexplained: ArrayLike = 0.0
) -> Belief:
    mean, spread = rows
    level = np.ones((1, mean.shape[1]))
    log_scatter = np.log(scatter) * level
    error = model_sd(shape.log_ratio(shape.about, log_scatter[0]))
    return prior(
        np.vstack([mean, log_scatter, 0 * level]),
        np.vstack([spread, _SCATTER_BANDS_SD * level, np.hypot(error, unexplained) * level]),
        np.array([BAND_CORRELATION] * (len(mean) + 1) + [MODEL_CORRELATION]),
    )


def log_rows(absorptions: tuple[Absorption, ...], bands: tuple[float, ...]) -> tuple[Real, Real]:
    """Log of each table value and its spread, (materials, bands); very wide where a source has
    none. [log]"""
    value = np.array([_values(a, bands) for a in absorptions])
    u = np.array([[a.uncertainty_at(band) or 0.0 for band in bands] for a in absorptions])
    printed = np.where(value > 0, value, _PRINTED_ZERO)
    missing = np.isnan(value)
    mean = np.where(missing, _UNKNOWN_LOG, np.log(printed))
    return mean, np.where(missing, _UNKNOWN_SD, np.sqrt(np.log1p((u / printed) ** 2)))


def _model(amounts: Real, air: Conditions, shape: Shape) -> Model:
    """Log decay by Eyring, times what the simulation makes of it, times the model's error; and its
    derivatives."""

    def model(rows: Real) -> tuple[Real, Real]:
        alphas, scatter, error = rows[..., :-2, :], rows[..., -2, :], rows[..., -1, :]
        parts = amounts[:, None] * np.exp(alphas)
        S, V = air.surface_m2, air.volume_m3
        # A step of the search may overshoot the surface; a room never does.
        A = np.minimum(parts.sum(axis=-2), 0.99 * S)
        T = eyring_s(V, S, A, air_per_m=air.air_per_m, speed_m_s=air.speed_m_s)
        # dT/dA = -T^2 c / (24 ln10 V) / (1 - A/S); by log alpha: times the part.
        slope = -(T * air.speed_m_s / (24 * np.log(10) * V) / (1 - A / S))[..., None, :] * parts
        log_T = np.log(T) + shape.log_ratio(alphas, scatter) + error
        others = np.stack([shape.slope(scatter), np.ones_like(T)], axis=-2)
        return log_T, np.concatenate([slope + shape.lean, others], axis=-2)

    return model


def _measured(analysis: Analysis | None, bands: tuple[float, ...]) -> tuple[Real, Real]:
    """T20 per band and its relative standard uncertainty; NaN where not measured. [s], [log]"""
    T, u = np.full(len(bands), np.nan), np.full(len(bands), np.nan)
    for i, band in enumerate(bands):
        found = analysis.octave(band) if analysis else None
        if found is not None and found.t20_s is not None:
            T[i] = found.t20_s
            u_s = found.t20_over_places_u_s  # the model's own error covers which mean it is
            u[i] = relative_scatter(band, found.t20_s, found.positions, u_s)
    return T, u


def relative_scatter(
    band_hz: float, decay_s: float, positions: int, u_s: float | None = None
) -> float:
    """Relative standard uncertainty of a mean measured T20: as stated, else by ISO 3382-2's 0.88 /
    sqrt(B T N)."""
    if u_s is not None:
        return u_s / decay_s
    return float(0.88 / np.sqrt(0.71 * band_hz * decay_s * max(positions, 1)))


def _no_decay(
    band_hz: float,
    transition_hz: float | None,
    absorptions: tuple[Absorption, ...],
    *,
    measured: bool,
) -> tuple[Fact[NoDecay], ...]:
    """Why nothing is predicted for a band; empty where something is."""
    if transition_hz is not None and band_hz < transition_hz:
        return (fact(NoDecay.BELOW_TRANSITION, transition_hz=transition_hz),)
    if transition_hz is None and band_hz < TRANSITION_IF_UNKNOWN_HZ:
        return (fact(NoDecay.BELOW_USUAL_TRANSITION, transition_hz=TRANSITION_IF_UNKNOWN_HZ),)
    lacking = tuple(a.title for a in absorptions if a.at(band_hz) is None)
    if lacking and not measured:
        return (fact(NoDecay.NO_COEFFICIENT_NOR_DECAY, materials=lacking),)
    return ()


def _notes(
    job: Job, evidence: Evidence, measured: Real, odd: NDArray[np.bool_]
) -> tuple[Fact[PredictionNote], ...]:
    """Every unexplained octave above the transition frequency, what would explain them, and the
    air that was assumed."""
    notes = [
        fact(
            PredictionNote.UNEXPLAINED,
            band_hz=evidence.bands_hz[i],
            measured_s=float(measured[i]),
            expected_s=float(measured[i] / np.exp(evidence.off[i])),
            deviations=float(evidence.deviations[i]),
        )
        for i in np.flatnonzero(odd)
    ]
    if job.visit("before") is None:
        assumed = fact(
            PredictionNote.AIR_ASSUMED,
            temperature_c=ROOM_TEMPERATURE_C,
            humidity_pct=ROOM_HUMIDITY_PCT,
        )
        notes.append(assumed)
    return (*notes, *(likely_causes(evidence) if odd.any() else ()))


def sabine_of(air: Conditions, absorption_m2: Real) -> Real:
    """Sabine's decay at these conditions. [s]"""
    return sabine_s(air.volume_m3, absorption_m2, air_per_m=air.air_per_m, speed_m_s=air.speed_m_s)


def eyring_of(air: Conditions, absorption_m2: Real) -> Real:
    """Eyring's decay at these conditions. [s]"""
    return eyring_s(
        air.volume_m3,
        air.surface_m2,
        absorption_m2,
        air_per_m=air.air_per_m,
        speed_m_s=air.speed_m_s,
    )
