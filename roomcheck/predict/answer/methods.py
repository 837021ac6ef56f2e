"""Every classical formula in every band, and which to trust in this room."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from roomcheck.facts import Fact, fact
from roomcheck.predict.answer.before_after import State
from roomcheck.predict.rays.scene import Scene
from roomcheck.predict.reasons import Axis, Method, Trust
from roomcheck.predict.room import formulas

Real = NDArray[np.float64]

HIGH_MEAN = 0.2
"""From this mean coefficient up Sabine reads more than a tenth longer than Eyring (closed form:
-ln(0.8)/0.2)."""
UNEVEN = 2.0
"""Pair of faces that absorb most over those that absorb least: from here Fitzroy and Eyring part by
a tenth (8 to 13 % in three boxes of ordinary proportions, computed)."""
AGREE = 0.10
"""Relative difference below which two methods agree. [1]"""

AXES: tuple[Axis, ...] = ("x", "y", "z")


@dataclass(frozen=True, slots=True, kw_only=True)
class BandMethods:
    """One octave by every method; None where a method has no answer. Times in seconds."""

    band_hz: float
    """Octave [Hz]."""
    sabine_s: float | None
    """By Sabine [s]."""
    eyring_s: float | None
    """By Eyring [s]."""
    millington_s: float | None
    """By Millington [s]."""
    fitzroy_s: float | None
    """By Fitzroy [s]."""
    arau_puchades_s: float | None
    """By Arau-Puchades [s]."""
    kuttruff_paths_s: float | None
    """Kuttruff's correction of Eyring for paths of unequal length [s]."""
    kuttruff_uneven_s: float | None
    """Kuttruff's correction of Eyring for uneven absorption of walls that scatter fully [s]."""
    simulated_s: float | None
    """Rays and image sources with the room's likely scattering [s]."""
    mean_alpha: float
    """Mean coefficient [1]."""
    pair_alphas: tuple[float, ...]
    """Mean coefficient of the pairs of faces across x, y and z [1]."""
    trusted: Method
    why: Fact[Trust]
    """Why this one."""


def methods_of(state: State, scatter: Real) -> tuple[BandMethods, ...]:
    """Every method in every band that can be foreseen.

    Parameters
    ----------
    state : State
    scatter : (bands,)
        Log of the room's likely scattering. [log]

    Returns
    -------
    tuple of BandMethods
        Furniture and people act like air in Millington, Fitzroy, Arau-Puchades and Kuttruff, which
        know faces only; Sabine and Eyring count them with the faces, as the prediction does.
    """
    sabine, eyring, simulated = state.formulas_s(scatter)
    methods = []
    for i, band_hz in enumerate(state.bands_hz):
        if state.reasons[i]:
            continue
        known = (sabine[i], eyring[i], simulated[i])
        methods.append(_band(state.scene, np.exp(state.middle[:, i]), i, band_hz, known))
    return tuple(methods)


def _band(
    scene: Scene, alphas: Real, i: int, band_hz: float, known: tuple[float, float, float]
) -> BandMethods:
    air = scene.conditions
    V, S, c = air.volume_m3, air.surface_m2, air.speed_m_s
    sabine, eyring, simulated = known
    # (axes, ends, materials): square metres of each material on each of the six faces.
    material_m2 = scene.shares * scene.areas_m2[..., None]
    areas, pair_areas = material_m2.sum(axis=(0, 1)), scene.areas_m2.sum(axis=1)
    pair_alphas = (material_m2 @ alphas).sum(axis=1) / pair_areas
    face_alphas = np.minimum(scene.shares @ alphas, 1.0)
    faces_m2, loose_m2 = float(areas @ alphas), float(scene.loose @ alphas)
    mean = (faces_m2 + loose_m2) / S
    used = areas > 0
    # What stands in the room acts like air: 4 m V of equivalent area.
    m = float(air.air_per_m[i] + loose_m2 / (4 * V))
    fitzroy = _number(formulas.fitzroy_s(V, pair_areas, pair_alphas, air_per_m=m, speed_m_s=c))
    across = tuple(float(alpha) for alpha in pair_alphas)
    trusted, why = trust(mean, across, known, fitzroy)
    return BandMethods(
        band_hz=band_hz,
        sabine_s=_number(sabine),
        eyring_s=_number(eyring),
        millington_s=_number(
            formulas.millington_s(V, areas[used], alphas[used], air_per_m=m, speed_m_s=c)
        ),
        fitzroy_s=fitzroy,
        arau_puchades_s=_number(
            formulas.arau_puchades_s(V, pair_areas, pair_alphas, air_per_m=m, speed_m_s=c)
        ),
        kuttruff_paths_s=_number(
            formulas.kuttruff_paths_s(V, S, faces_m2, air_per_m=m, speed_m_s=c)
        ),
        kuttruff_uneven_s=_number(
            formulas.kuttruff_uneven_s(
                V, scene.areas_m2.ravel(), face_alphas.ravel(), air_per_m=m, speed_m_s=c
            )
        ),
        simulated_s=_number(simulated),
        mean_alpha=mean,
        pair_alphas=across,
        trusted=trusted,
        why=why,
    )


def trust(
    mean: float,
    pairs: tuple[float, ...],
    known: tuple[float, float, float],
    fitzroy_s: float | None,
) -> tuple[Method, Fact[Trust]]:
    """Decide which method holds at such a mean coefficient and such pairs of faces, and why.

    Parameters
    ----------
    mean : float
        Mean coefficient. [1]
    pairs : tuple of float
        Mean coefficients across x, y, z. [1]
    known : (sabine, eyring, simulated)
        [s]
    fitzroy_s : float or None
        [s]
    """
    sabine, eyring, simulated = known
    ratio = max(pairs) / max(min(pairs), 1e-6)
    difference = abs(simulated / eyring - 1)
    if ratio > UNEVEN and difference > AGREE / 2:
        reason = fact(
            Trust.UNEVEN_PAIRS,
            most=AXES[int(np.argmax(pairs))],
            least=AXES[int(np.argmin(pairs))],
            ratio=ratio,
            simulated_s=simulated,
            eyring_s=eyring,
            fitzroy_s=fitzroy_s,
        )
        return "simulation", reason
    if mean > HIGH_MEAN:
        longer_pct = 100 * (sabine / eyring - 1)
        return "eyring", fact(Trust.HIGH_MEAN, mean_alpha=mean, longer_pct=longer_pct)
    if difference > AGREE:
        reason = fact(Trust.UNEVEN_PATCHES, simulated_s=simulated, eyring_s=eyring)
        return "simulation", reason
    alike = Trust.LOW_AND_EVEN if ratio <= UNEVEN else Trust.LOW_AND_SCATTERED
    return "eyring and sabine", fact(alike, mean_alpha=mean, pair_alphas=pairs)


def _number(decay_s: Real | float) -> float | None:
    """Turn NaN, and what is no decay, into None. [s]"""
    value = float(decay_s)
    return value if np.isfinite(value) and value > 0 else None
