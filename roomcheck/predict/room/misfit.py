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

from roomcheck.materials import MATERIALS, Absorption
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
    """What was measured beside what the materials give.

    Attributes
    ----------
    air : Conditions
    absorptions, amounts : tuple of Absorption, (materials,)
    log_off, spread : (bands,)
        Log of measured over expected, and its standard uncertainty by tables, model and
        measurement; NaN where there is none. [log]
    bands_hz : tuple of float
        [Hz]
    """

    air: Conditions
    absorptions: tuple[Absorption, ...]
    amounts: Real
    log_off: Real
    spread: Real
    bands_hz: tuple[float, ...]


def causes(evidence: Evidence) -> tuple[str, ...]:
    """What single cause would explain the measurement, in words; what to check where none does.

    Parameters
    ----------
    evidence : Evidence
        With at least one octave that the materials cannot explain.
    """
    at = np.flatnonzero(np.isfinite(evidence.log_off))
    off = evidence.log_off[at]
    spread = np.outer(evidence.spread[at], evidence.spread[at])
    weight = np.asarray(
        np.linalg.inv(spread * (BAND_CORRELATION + (1 - BAND_CORRELATION) * np.eye(len(at)))),
        dtype=np.float64,
    )

    def misfit(rest: Real) -> float:
        return float(rest @ weight @ rest)

    alone = misfit(off)
    found = [_size(off, weight, misfit), _opening(evidence, at, off, misfit)]
    found += [(m / _BETTER, said) for m, said in _materials(evidence, at, off, misfit)]
    best, said = min(found, key=lambda each: each[0])
    if best > min(_ENOUGH * len(at), 0.5 * alone):
        return (
            "No other size, opening or single other material explains it: check the plan's "
            "sizes, doors and windows, coupled rooms, and every material.",
        )
    return (said,)


def together(evidence: Evidence) -> float:
    """Mean squared deviation an octave, all measured octaves taken together: about 1 where the
    materials explain it."""
    at = np.flatnonzero(np.isfinite(evidence.log_off))
    if not len(at):
        return 0.0
    spread = np.outer(evidence.spread[at], evidence.spread[at])
    off, C = (
        evidence.log_off[at],
        spread * (BAND_CORRELATION + (1 - BAND_CORRELATION) * np.eye(len(at))),
    )
    return float(off @ np.linalg.solve(C, off)) / len(at)


Tried = tuple[float, str]
Misfit = Callable[[Real], float]


def _size(off: Real, weight: Real, misfit: Misfit) -> Tried:
    one = np.ones(len(off))
    scale = float(one @ weight @ off / (one @ weight @ one))
    if abs(scale) > MOST_SIZE:
        return np.inf, ""
    side = "larger" if scale > 0 else "smaller"
    percent = 100 * abs(np.expm1(scale))
    return misfit(off - scale), (
        f"A room {percent:.0f} % {side} in every direction would explain it: check the sizes as "
        "typed, and whether an open door or a void above the ceiling joins another room to it."
    )


def _opening(evidence: Evidence, at: NDArray[np.intp], off: Real, misfit: Misfit) -> Tried:
    """An area that takes all in every band: a door or window left open."""
    A = _areas(evidence, at)
    best: Tried = (np.inf, "")
    for extra in np.geomspace(0.2, 0.4 * evidence.air.surface_m2, 40):
        shift = np.log(_eyring(evidence, at, A + extra) / _eyring(evidence, at, A))
        left = misfit(off - shift) if np.isfinite(shift).all() else np.inf
        if left < best[0]:
            best = (
                left,
                (
                    f"About {extra:.1f} m² that take all sound would explain it: check for an "
                    "open door or window, or something soft that was not typed."
                ),
            )
    return best


def _materials(evidence: Evidence, at: NDArray[np.intp], off: Real, misfit: Misfit) -> list[Tried]:
    A = _areas(evidence, at)
    found = []
    for own, amount in zip(evidence.absorptions, evidence.amounts, strict=True):
        if own.per_piece or amount < _LEAST_COVER * evidence.air.surface_m2:
            continue
        for other in MATERIALS.values():
            if other.per_piece or other.key == own.key:
                continue
            change = amount * (_values(other, evidence, at) - _values(own, evidence, at))
            with np.errstate(invalid="ignore", divide="ignore"):
                shift = np.log(_eyring(evidence, at, A + change) / _eyring(evidence, at, A))
            if np.isfinite(shift).all():
                found.append(
                    (
                        misfit(off - shift),
                        f"{other.title} in place of {own.title} would explain it.",
                    )
                )
    return found


def _areas(evidence: Evidence, at: NDArray[np.intp]) -> Real:
    rows = [
        amount * _values(a, evidence, at)
        for a, amount in zip(evidence.absorptions, evidence.amounts, strict=True)
    ]
    return np.asarray(np.sum(rows, axis=0))


def _values(absorption: Absorption, evidence: Evidence, at: NDArray[np.intp]) -> Real:
    """Coefficients; where a source has none above its bands, its last holds for this comparison
    alone."""
    found = [absorption.at(evidence.bands_hz[i]) for i in at]
    known = [v for v in found if v is not None]
    return np.array([(known[-1] if known else 0.1) if v is None else v for v in found])


def _eyring(evidence: Evidence, at: NDArray[np.intp], absorption_m2: Real) -> Real:
    air = evidence.air
    return eyring_s(
        air.volume_m3,
        air.surface_m2,
        absorption_m2,
        air_per_m=air.air_per_m[at],
        speed_m_s=air.speed_m_s,
    )
