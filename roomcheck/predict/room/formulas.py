"""Decay from volume and absorption: the classical formulas, each under its own name.

All take arrays and broadcast. `air_per_m` is the energy attenuation of air, m [1/m]; `speed_m_s`
the speed of sound. Where a formula has no answer (absorption not above 0, or a mean coefficient of
1 or more under a logarithm) it returns NaN, which the stage turns into None and a reason.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from roomcheck.units import SPEED_OF_SOUND_M_S

Real = NDArray[np.float64]


def decay_s(
    volume_m3: ArrayLike, absorption_m2: ArrayLike, *, speed_m_s: float = SPEED_OF_SOUND_M_S
) -> Real:
    r""":math:`T = 24 \ln 10 \, V / (c A)`, the time that an equivalent area (air included) leaves.
    [s]"""
    A = np.asarray(absorption_m2, dtype=float)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(A > 0, 24 * np.log(10) * np.asarray(volume_m3) / (speed_m_s * A), np.nan)


def sabine_s(
    volume_m3: ArrayLike, absorption_m2: ArrayLike, *, air_per_m: ArrayLike = 0.0, speed_m_s: float
) -> Real:
    """Sabine: equivalent areas add. [s]

    >>> round(float(sabine_s(72, 27.6, speed_m_s=343)), 4)
    0.4203
    """
    return decay_s(
        volume_m3, np.asarray(absorption_m2) + _air_m2(volume_m3, air_per_m), speed_m_s=speed_m_s
    )


def eyring_s(
    volume_m3: ArrayLike,
    surface_m2: ArrayLike,
    absorption_m2: ArrayLike,
    *,
    air_per_m: ArrayLike = 0.0,
    speed_m_s: float,
) -> Real:
    """Norris and Eyring: every reflection meets the mean coefficient. [s]

    >>> round(float(eyring_s(72, 108, 27.6, speed_m_s=343)), 4)
    0.364
    """
    A = np.asarray(surface_m2) * exponent(np.asarray(absorption_m2) / np.asarray(surface_m2))
    return decay_s(volume_m3, A + _air_m2(volume_m3, air_per_m), speed_m_s=speed_m_s)


def millington_s(
    volume_m3: float,
    areas_m2: ArrayLike,
    alphas: ArrayLike,
    *,
    air_per_m: ArrayLike = 0.0,
    speed_m_s: float,
) -> Real:
    """Millington and Sette: every surface has its own logarithm, last axis summed. [s]"""
    A = np.sum(np.asarray(areas_m2) * exponent(alphas), axis=-1)
    return decay_s(volume_m3, A + _air_m2(volume_m3, air_per_m), speed_m_s=speed_m_s)


def fitzroy_s(
    volume_m3: float,
    pair_areas_m2: ArrayLike,
    pair_alphas: ArrayLike,
    *,
    air_per_m: ArrayLike = 0.0,
    speed_m_s: float,
) -> Real:
    """Fitzroy: Eyring along each axis, weighted by the area of its pair of walls (last axis: x, y,
    z). [s]"""
    weights, along = _along(volume_m3, pair_areas_m2, pair_alphas, air_per_m, speed_m_s)
    return np.asarray(np.sum(weights * along, axis=-1))


def arau_puchades_s(
    volume_m3: float,
    pair_areas_m2: ArrayLike,
    pair_alphas: ArrayLike,
    *,
    air_per_m: ArrayLike = 0.0,
    speed_m_s: float,
) -> Real:
    """Arau-Puchades: as Fitzroy, but the weighted geometric mean (last axis: x, y, z). [s]"""
    weights, along = _along(volume_m3, pair_areas_m2, pair_alphas, air_per_m, speed_m_s)
    return np.asarray(np.exp(np.sum(weights * np.log(along), axis=-1)))


def kuttruff_paths_s(
    volume_m3: float,
    surface_m2: float,
    absorption_m2: ArrayLike,
    *,
    path_variance: float = 0.4,
    air_per_m: ArrayLike = 0.0,
    speed_m_s: float,
) -> Real:
    """Kuttruff's first correction of Eyring: paths between reflections differ in length. [s]

    Parameters
    ----------
    path_variance : float
        Of the free path, relative to its mean squared; about 0.4 in ordinary rooms. [1]

    References
    ----------
    Kuttruff, Room Acoustics, as quoted in open analysis code.
    """
    a = exponent(np.asarray(absorption_m2) / surface_m2)
    A = surface_m2 * a * (1 - path_variance / 2 * a)
    return decay_s(volume_m3, A + _air_m2(volume_m3, air_per_m), speed_m_s=speed_m_s)


def kuttruff_uneven_s(
    volume_m3: float,
    areas_m2: ArrayLike,
    alphas: ArrayLike,
    *,
    air_per_m: ArrayLike = 0.0,
    speed_m_s: float,
) -> Real:
    """Kuttruff's second correction of Eyring: walls that scatter fully but absorb unevenly (last
    axis summed). [s]

    References
    ----------
    Kuttruff, Room Acoustics (from memory; the sign agrees with the largest eigenvalue of the
    diffuse exchange).
    """
    S_i, r_i = np.asarray(areas_m2, dtype=float), 1 - np.asarray(alphas, dtype=float)
    S = np.sum(S_i, axis=-1, keepdims=True)
    r = np.sum(S_i * r_i, axis=-1, keepdims=True) / S
    uneven = np.sum(r_i * (r_i - r) * S_i**2, axis=-1) / (
        (r * S)[..., 0] ** 2 - np.sum((r_i * S_i) ** 2, axis=-1)
    )
    A = S[..., 0] * (-np.log(r[..., 0]) + np.log1p(uneven))
    return decay_s(volume_m3, A + _air_m2(volume_m3, air_per_m), speed_m_s=speed_m_s)


def exponent(alpha: ArrayLike) -> Real:
    """-ln(1 - alpha), NaN from 1 up. [1]"""
    a = np.asarray(alpha, dtype=float)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.where(a < 1, -np.log1p(-np.minimum(a, 1.0)), np.nan)


def _air_m2(volume_m3: ArrayLike, air_per_m: ArrayLike) -> Real:
    return np.asarray(4 * np.asarray(air_per_m) * np.asarray(volume_m3), dtype=float)


def _along(
    volume_m3: float,
    pair_areas_m2: ArrayLike,
    pair_alphas: ArrayLike,
    air_per_m: ArrayLike,
    speed_m_s: float,
) -> tuple[Real, Real]:
    S_i = np.asarray(pair_areas_m2, dtype=float)
    S = np.sum(S_i, axis=-1, keepdims=True)
    A = S * exponent(pair_alphas) + _air_m2(volume_m3, np.asarray(air_per_m)[..., None])
    return S_i / S, decay_s(volume_m3, A, speed_m_s=speed_m_s)
