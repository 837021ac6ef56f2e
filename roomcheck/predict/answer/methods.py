"""All formulas side by side in every band, and which of them to trust in this room, with the
reason."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from roomcheck.predict.answer.before_after import State
from roomcheck.predict.rays.scene import Scene
from roomcheck.predict.room import formulas

Real = NDArray[np.float64]

HIGH_MEAN = 0.2
"""From this mean coefficient up Sabine reads more than a tenth longer than Eyring (closed form:
-ln(0.8)/0.2)."""
UNEVEN = 2.0
"""Pair of faces that absorb most over those that absorb least: from here Fitzroy and Eyring part by
a tenth (8 to 13 % in three boxes of ordinary proportions, computed)."""
AGREE = 0.10


@dataclass(frozen=True, slots=True, kw_only=True)
class BandMethods:
    """One octave by every method; None where a method has no answer. Times in seconds.

    Attributes
    ----------
    band_hz : float
        [Hz]
    sabine_s, eyring_s, millington_s, fitzroy_s, arau_puchades_s : float or None
        [s]
    kuttruff_paths_s, kuttruff_uneven_s : float or None
        Kuttruff's two corrections of Eyring: for paths of unequal length, and for uneven absorption
        of walls that scatter fully. [s]
    simulated_s : float or None
        Rays and image sources with the room's likely scattering. [s]
    mean_alpha : float
        Mean coefficient. [1]
    pair_alphas : tuple of float
        Mean coefficient of the pairs of faces across x, y and z. [1]
    trusted, why : str
        Which one, and the reason.
    """

    band_hz: float
    sabine_s: float | None
    eyring_s: float | None
    millington_s: float | None
    fitzroy_s: float | None
    arau_puchades_s: float | None
    kuttruff_paths_s: float | None
    kuttruff_uneven_s: float | None
    simulated_s: float | None
    mean_alpha: float
    pair_alphas: tuple[float, ...]
    trusted: str
    why: str


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
    found = []
    for i, band in enumerate(state.bands_hz):
        if not state.reasons[i]:
            found.append(
                _band(
                    state.scene,
                    np.exp(state.middle[:, i]),
                    i,
                    band,
                    (sabine[i], eyring[i], simulated[i]),
                )
            )
    return tuple(found)


def _band(
    scene: Scene, alphas: Real, i: int, band_hz: float, known: tuple[float, float, float]
) -> BandMethods:
    air = scene.conditions
    V, S = air.volume_m3, air.surface_m2
    on = scene.shares * scene.areas_m2[..., None]
    areas, pairs = on.sum(axis=(0, 1)), scene.areas_m2.sum(axis=1)
    pair_alphas = (on @ alphas).sum(axis=1) / pairs
    m = float(air.air_per_m[i] + scene.loose @ alphas / (4 * V))
    c, faces_m2 = air.speed_m_s, float(areas @ alphas)
    used = areas > 0
    more = {
        "millington_s": formulas.millington_s(
            V, areas[used], alphas[used], air_per_m=m, speed_m_s=c
        ),
        "fitzroy_s": formulas.fitzroy_s(V, pairs, pair_alphas, air_per_m=m, speed_m_s=c),
        "arau_puchades_s": formulas.arau_puchades_s(
            V, pairs, pair_alphas, air_per_m=m, speed_m_s=c
        ),
        "kuttruff_paths_s": formulas.kuttruff_paths_s(V, S, faces_m2, air_per_m=m, speed_m_s=c),
        "kuttruff_uneven_s": formulas.kuttruff_uneven_s(
            V,
            scene.areas_m2.ravel(),
            np.minimum(scene.shares @ alphas, 1.0).ravel(),
            air_per_m=m,
            speed_m_s=c,
        ),
    }
    said = {name: _number(value) for name, value in more.items()}
    mean = float((faces_m2 + scene.loose @ alphas) / S)
    trusted, why = trust(mean, tuple(float(a) for a in pair_alphas), known, said["fitzroy_s"])
    return BandMethods(
        band_hz=band_hz,
        sabine_s=_number(known[0]),
        eyring_s=_number(known[1]),
        simulated_s=_number(known[2]),
        mean_alpha=mean,
        pair_alphas=tuple(float(a) for a in pair_alphas),
        trusted=trusted,
        why=why,
        **said,
    )


def trust(
    mean: float,
    pairs: tuple[float, ...],
    known: tuple[float, float, float],
    fitzroy_s: float | None,
) -> tuple[str, str]:
    """Which method holds at such a mean coefficient and such pairs of faces, and why.

    Parameters
    ----------
    mean : float
        [1]
    pairs : tuple of float
        Mean coefficients across x, y, z. [1]
    known : (sabine, eyring, simulated)
        [s]
    fitzroy_s : float or None
        [s]
    """
    sabine, eyring, simulated = known
    ratio = max(pairs) / max(min(pairs), 1e-6)
    names = ("x (one pair of walls)", "y (the other pair)", "z (floor and ceiling)")
    most, least = names[int(np.argmax(pairs))], names[int(np.argmin(pairs))]
    if ratio > UNEVEN and abs(simulated / eyring - 1) > AGREE / 2:
        end = (
            f" Without scattering it would come nearer to Fitzroy's {fitzroy_s:.2f} s."
            if fitzroy_s
            else ""
        )
        return "simulation", (
            f"the faces across {most} absorb {ratio:.1f} times what those across {least} do: "
            "sound between the bare ones outlives every diffuse formula; simulated "
            f"{simulated:.2f} s, Eyring {eyring:.2f} s.{end} Spread absorption over all three "
            "pairs, or scatter, and the methods come together."
        )
    if mean > HIGH_MEAN:
        return "Eyring", (
            f"the mean coefficient is {mean:.2f}: Sabine lets sound fall on surfaces that have "
            f"taken it already, and reads {100 * (sabine / eyring - 1):.0f} % longer."
        )
    if abs(simulated / eyring - 1) > AGREE:
        return "simulation", (
            "pairs of faces are alike on average, but patches are not: simulated "
            f"{simulated:.2f} s, Eyring {eyring:.2f} s."
        )
    return "Eyring, Sabine", (
        f"the mean coefficient is low ({mean:.2f}), and the simulation finds "
        f"{'pairs of faces alike' if ratio <= UNEVEN else 'enough scattering between uneven pairs of faces'} "
        f"({', '.join(f'{a:.2f}' for a in pairs)}): it, Eyring and Sabine lie close together."
    )


def _number(value: object) -> float | None:
    found = float(value)  # type: ignore[arg-type]
    return found if np.isfinite(found) and found > 0 else None
