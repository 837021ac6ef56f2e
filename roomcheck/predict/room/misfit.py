"""A measurement that the room as typed cannot explain: said, with what would explain it, and not
fitted.

Each single cause (another size, an opening, one other material) is tried on all measured octaves at
once. The cause that leaves least is named; whoever measured decides whether it is so.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from roomcheck.facts import Fact, fact
from roomcheck.materials import MATERIALS, Absorption
from roomcheck.predict.reasons import PredictionNote
from roomcheck.predict.room.belief import BAND_CORRELATION
from roomcheck.predict.room.conditions import Conditions
from roomcheck.predict.room.formulas import eyring_s

Real = NDArray[np.float64]

MOST_SIZE = 0.35
"""Nobody mistypes all three sides by more, as a log; an inch for a centimetre is another matter."""
_LEAST_COVER = 0.03
"""Share of the surface below which another material is no explanation."""
_ENOUGH = 3.0
"""Mean squared deviation an octave, in its standard uncertainty, that still counts as explained."""
_BETTER = 0.7
"""Many materials are tried and few sizes: another material is named only where it leaves so much
less."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Evidence:
    """What was measured beside what the materials give."""

    air: Conditions
    absorptions: tuple[Absorption, ...]
    """By material."""
    amounts: Real
    """(materials,): square metres, or a count where the absorption is per piece."""
    log_off: Real
    """(bands,): log of measured over expected; NaN where there is none [log]."""
    spread: Real
    """(bands,): standard uncertainty of it by tables, model and measurement; NaN where there is
    none [log]."""
    bands_hz: tuple[float, ...]
    """Octaves [Hz]."""


def likely_cause(evidence: Evidence) -> Fact[PredictionNote]:
    """Name the single cause that would explain the measurement, or that there is none.

    Parameters
    ----------
    evidence : Evidence
        With at least one octave that the materials cannot explain.
    """
    at = np.flatnonzero(np.isfinite(evidence.log_off))
    off = evidence.log_off[at]
    weight = np.asarray(np.linalg.inv(_covariance(evidence, at)), dtype=np.float64)

    def misfit(rest: Real) -> float:
        return float(rest @ weight @ rest)

    tried = [_size(off, weight, misfit), _opening(evidence, at, off, misfit)]
    tried += [(left / _BETTER, cause) for left, cause in _materials(evidence, at, off, misfit)]
    least, best = min(tried, key=lambda each: each[0])
    if least > min(_ENOUGH * len(at), 0.5 * misfit(off)):
        return fact(PredictionNote.NO_SINGLE_CAUSE)
    return best


def together(evidence: Evidence) -> float:
    """Return the mean squared deviation an octave, all measured octaves taken together: about 1
    where the materials explain it. [1]"""
    at = np.flatnonzero(np.isfinite(evidence.log_off))
    if not len(at):
        return 0.0
    off = evidence.log_off[at]
    return float(off @ np.linalg.solve(_covariance(evidence, at), off)) / len(at)


def _covariance(evidence: Evidence, at: NDArray[np.intp]) -> Real:
    """Of the log deviations in these octaves, correlated as beliefs are. [log^2]"""
    alike = BAND_CORRELATION + (1 - BAND_CORRELATION) * np.eye(len(at))
    return np.asarray(np.outer(evidence.spread[at], evidence.spread[at]) * alike)


Tried = tuple[float, Fact[PredictionNote]]
"""What a cause leaves unexplained [1], and the cause."""

Misfit = Callable[[Real], float]


def _size(off: Real, weight: Real, misfit: Misfit) -> Tried:
    ones = np.ones(len(off))
    scale = float(ones @ weight @ off / (ones @ weight @ ones))
    cause = fact(PredictionNote.OTHER_SIZE, larger_pct=float(100 * np.expm1(scale)))
    left = misfit(off - scale) if abs(scale) <= MOST_SIZE else np.inf
    return left, cause


def _opening(evidence: Evidence, at: NDArray[np.intp], off: Real, misfit: Misfit) -> Tried:
    """An area that takes all in every band: a door or window left open."""
    A = _areas(evidence, at)
    tried = []
    for extra_m2 in np.geomspace(0.2, 0.4 * evidence.air.surface_m2, 40):
        left = _left(evidence, at, off, A, extra_m2, misfit)
        tried.append((left, fact(PredictionNote.OPENING, area_m2=float(extra_m2))))
    return min(tried, key=lambda each: each[0])


def _materials(evidence: Evidence, at: NDArray[np.intp], off: Real, misfit: Misfit) -> list[Tried]:
    """Every other material of the table in place of each that covers enough."""
    A = _areas(evidence, at)
    least_m2 = _LEAST_COVER * evidence.air.surface_m2
    tried = []
    for typed, amount in zip(evidence.absorptions, evidence.amounts, strict=True):
        if typed.per_piece or amount < least_m2:
            continue
        for other in MATERIALS.values():
            if other.per_piece or other.key == typed.key:
                continue
            change_m2 = amount * (_values(other, evidence, at) - _values(typed, evidence, at))
            left = _left(evidence, at, off, A, change_m2, misfit)
            cause = fact(PredictionNote.OTHER_MATERIAL, material=other.title, typed=typed.title)
            tried.append((left, cause))
    return tried


def _left(
    evidence: Evidence,
    at: NDArray[np.intp],
    off: Real,
    absorption_m2: Real,
    change_m2: Real,
    misfit: Misfit,
) -> float:
    """What so much more or less absorption leaves unexplained; infinite where it cannot be. [1]"""
    with np.errstate(invalid="ignore", divide="ignore"):
        changed = _eyring(evidence, at, absorption_m2 + change_m2)
        shift = np.log(changed / _eyring(evidence, at, absorption_m2))
    return misfit(off - shift) if np.isfinite(shift).all() else np.inf


def _areas(evidence: Evidence, at: NDArray[np.intp]) -> Real:
    rows = [
        amount * _values(a, evidence, at)
        for a, amount in zip(evidence.absorptions, evidence.amounts, strict=True)
    ]
    return np.asarray(np.sum(rows, axis=0))


def _values(absorption: Absorption, evidence: Evidence, at: NDArray[np.intp]) -> Real:
    """Coefficients; where a source has none above its bands, its last holds for this comparison
    alone. [1]"""
    values = [absorption.at(evidence.bands_hz[i]) for i in at]
    known = [value for value in values if value is not None]
    last = known[-1] if known else 0.1
    return np.array([last if value is None else value for value in values])


def _eyring(evidence: Evidence, at: NDArray[np.intp], absorption_m2: Real) -> Real:
    air = evidence.air
    return eyring_s(
        air.volume_m3,
        air.surface_m2,
        absorption_m2,
        air_per_m=air.air_per_m[at],
        speed_m_s=air.speed_m_s,
    )
