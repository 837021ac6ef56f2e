"""A measurement that the room as typed cannot explain: said, with what would explain it, and not
fitted.

It is held against what tables, model and measurement allow together, at every scattering a room may
have, each weighed by what the early decay says of it, and called unexplained where that is too far
off for chance, or where single causes (an opening, one other material), weighed on all measured
octaves at once, make it seven times as likely. One cause alone is named where it is ten times as
likely as all others together, else the two likeliest are called possible. A room of another size is
no business of the decay: arrival times and modes tell.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from roomcheck.facts import Fact, fact
from roomcheck.materials import MATERIALS, Absorption
from roomcheck.predict.reasons import PredictionNote
from roomcheck.predict.room.belief import Explained
from roomcheck.predict.room.conditions import Conditions
from roomcheck.predict.room.formulas import eyring_s

Real = NDArray[np.float64]

CHANCE = 0.0005
"""How often a room that was typed rightly is called unexplained though no cause explains it. [1]"""
ODD_Z = 2.5
"""Standard deviations from which an octave of such a room counts among those that are off."""
FREEDOM = 30
"""Degrees of freedom behind the covariance of the octaves: how far they are off alike was taken
from traced rooms, and the distance of all together leans on exactly that."""
NOTICED = 7.0
"""Times that single causes together must be likelier than none before a room is called unexplained
by them: then no more than one in a hundred traced rooms that are typed rightly is
(`benchmarks/mistakes.py`). [1]"""
ODDS = 10.0
"""Times that one cause must be likelier than all others together before it alone is named. [1]"""
_LEAST_COVER = 0.03
"""Share of the surface below which another material is no explanation."""
_OPENINGS = 24
"""Sizes of an opening that are tried."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Evidence:
    """What was measured beside what the materials give."""

    air: Conditions
    absorptions: tuple[Absorption, ...]
    """By material."""
    amounts: Real
    """(materials,): square metres, or a count where the absorption is per piece."""
    explained: tuple[Explained, ...]
    """How the measured decays stand to what was believed, at each scattering."""
    weights: Real
    """(scatterings,): how likely each is before the measurement [1]."""
    judged: NDArray[np.intp]
    """Octaves that were measured above the transition frequency."""
    bands_hz: tuple[float, ...]
    """Octaves [Hz]."""

    @property
    def nearest(self) -> Explained:
        """At the scattering that explains most."""
        return min(self.explained, key=lambda each: each.squares(self.judged))

    @property
    def off(self) -> Real:
        """(bands,): log of measured over expected at that scattering [log]."""
        return self.nearest.off

    @property
    def deviations(self) -> Real:
        """(bands,): the same in standard deviations [1]."""
        return np.asarray(self.off / np.sqrt(np.diag(self.nearest.covariance)))

    def log_density(self, shift: Real | float = 0.0) -> Real:
        """Log of how likely the judged octaves are, all scatterings together, with what a cause
        shifts, (..., octaves), taken off. [1]"""
        logs = np.array([each.log_density(self.judged, shift) for each in self.explained])
        weights = np.log(self.weights).reshape(-1, *([1] * (logs.ndim - 1)))
        return np.asarray(np.logaddexp.reduce(logs + weights, axis=0))


def unexplained(evidence: Evidence) -> NDArray[np.bool_]:
    """Octaves whose decay is too far off for chance, or off towards what a single cause would make;
    none where all together are not. (bands,)

    Parameters
    ----------
    evidence : Evidence

    References
    ----------
    Hotelling's T2, the squared (Mahalanobis) distance at the scattering that explains most, by F;
    and the largest single deviation by Bonferroni's bound, since one octave far off is lost among
    many that are not. Odds of causes against none by their mean likelihood (Bayes factor), which
    under none pass a limit less often than one over it.
    """
    from scipy.special import fdtrc, ndtri

    odd = np.zeros(len(evidence.bands_hz), dtype=bool)
    at = evidence.judged
    if not len(at):
        return odd
    away = np.abs(evidence.deviations)
    squares = evidence.nearest.squares(at)
    together = fdtrc(len(at), FREEDOM, squares / len(at)) < CHANCE
    alone = float(away[at].max()) > -ndtri(CHANCE / (2 * len(at)))
    if not together and not alone and _log_odds(evidence) < np.log(NOTICED):
        return odd
    odd[at] = away[at] >= min(ODD_Z, float(away[at].max()))
    return odd


def likely_causes(evidence: Evidence) -> tuple[Fact[PredictionNote], ...]:
    """Name what would explain the measurement: one cause, the two likeliest, or that there is none.

    Parameters
    ----------
    evidence : Evidence
        Of a room that is unexplained.
    """
    tried = _tried(evidence)
    (best, cause), others = tried[0], tried[1:]
    if best <= np.log(NOTICED):
        return (fact(PredictionNote.NO_SINGLE_CAUSE),)
    rest = np.logaddexp.reduce([gain for gain, _ in others]) if others else -np.inf
    if best - rest > np.log(ODDS):
        return (cause,)
    return (fact(PredictionNote.CAUSES_POSSIBLE), cause, *(other for _, other in others[:1]))


Tried = tuple[float, Fact[PredictionNote]]
"""Log of how much likelier a cause makes the measurement [1], and the cause."""


def _tried(evidence: Evidence) -> list[Tried]:
    """Every single cause, the likeliest first."""
    return sorted([_opening(evidence), *_materials(evidence)], key=lambda each: -each[0])


def _log_odds(evidence: Evidence) -> float:
    """Log of how much likelier any single cause makes the measurement than none, each as likely as
    the next. [1]"""
    gains = [gain for gain, _ in _tried(evidence)]
    return float(np.logaddexp.reduce(gains) - np.log(len(gains)))


def _opening(evidence: Evidence) -> Tried:
    """An area that takes all in every band: a door or window left open."""
    sizes_m2 = np.geomspace(0.2, 0.4 * evidence.air.surface_m2, _OPENINGS)
    gains = _gains(evidence, np.repeat(sizes_m2[:, None], len(evidence.judged), axis=1))
    best = float(sizes_m2[int(np.argmax(gains))])
    return _mean(gains), fact(PredictionNote.OPENING, area_m2=best)


def _materials(evidence: Evidence) -> list[Tried]:
    """Every other material of the table in place of each that covers enough."""
    least_m2 = _LEAST_COVER * evidence.air.surface_m2
    tried = []
    for typed, amount in zip(evidence.absorptions, evidence.amounts, strict=True):
        if typed.per_piece or amount < least_m2:
            continue
        others = [o for o in MATERIALS.values() if not o.per_piece and o.key != typed.key]
        was = _values(typed, evidence)
        gains = _gains(evidence, amount * (np.array([_values(o, evidence) for o in others]) - was))
        best = others[int(np.argmax(gains))]
        cause = fact(PredictionNote.OTHER_MATERIAL, material=best.title, typed=typed.title)
        tried.append((_mean(gains), cause))
    return tried


def _mean(gains: Real) -> float:
    """Log of the mean of what all variants of a cause gain: each is as likely as the next. [1]"""
    return float(np.logaddexp.reduce(gains) - np.log(len(gains)))


def _gains(evidence: Evidence, change_m2: Real) -> Real:
    """Log of how much likelier so much more or less absorption makes the measurement, (variants,);
    minus infinity where it cannot be. [1]"""
    A = np.sum(
        [
            n * _values(a, evidence)
            for a, n in zip(evidence.absorptions, evidence.amounts, strict=True)
        ],
        axis=0,
    )
    with np.errstate(invalid="ignore", divide="ignore"):
        shift = np.log(_eyring(evidence, A + change_m2) / _eyring(evidence, A))
    possible = np.isfinite(shift).all(axis=1)
    gains = np.full(len(shift), -np.inf)
    if possible.any():
        gains[possible] = evidence.log_density(shift[possible]) - evidence.log_density()
    return gains


def _values(absorption: Absorption, evidence: Evidence) -> Real:
    """Coefficients; where a source has none above its bands, its last holds for this comparison
    alone. [1]"""
    values = [absorption.at(evidence.bands_hz[i]) for i in evidence.judged]
    known = [value for value in values if value is not None]
    last = known[-1] if known else 0.1
    return np.array([last if value is None else value for value in values])


def _eyring(evidence: Evidence, absorption_m2: Real) -> Real:
    air = evidence.air
    return eyring_s(
        air.volume_m3,
        air.surface_m2,
        absorption_m2,
        air_per_m=air.air_per_m[evidence.judged],
        speed_m_s=air.speed_m_s,
    )
