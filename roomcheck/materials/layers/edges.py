r"""A piece of limited size: the sound that bends in over its edges.

An endless layer can take no more than all that falls on it. A piece on a hard wall takes more: its
edges draw sound in, so that a laboratory finds coefficients above 1. Seen from the piece the room
is then not the impedance :math:`1/\cos\theta` of a plane wave but the radiation impedance of its
own face.

.. math:: Z_f(\theta) = \frac{jk}{2\pi S} \int_0^{R} e^{-jkr} J_0(k r \sin\theta) W(r) \, dr

W(r) is how many pairs of points of the rectangle lie r apart, the mean over the azimuth is taken
inside, and for an endless face Z_f becomes :math:`1/\cos\theta` again.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike, NDArray

from roomcheck.units import SPEED_OF_SOUND_M_S

Complex = NDArray[np.complex128]
Real = NDArray[np.float64]

_NODES = 24
_WAVE_PER_PIECE_RAD = 12.0
"""Gauss-Legendre nodes per 12 rad of phase."""


def radiation_impedance(
    frequency_hz: float, angle_rad: ArrayLike, width_m: float, height_m: float
) -> Complex:
    """Impedance of the room as a rectangle in a hard wall sees it, relative to air.

    Parameters
    ----------
    frequency_hz : float
        [Hz]
    angle_rad : (angles,)
        From the normal; the mean over all azimuths is taken. [rad]
    width_m, height_m : float
        [m]

    Returns
    -------
    (angles,)
        1 / cos(angle) for an endless face. [1]

    References
    ----------
    Thomasson, "On the absorption coefficient", Acustica 44 (1980), from memory; the single integral
    is worked here.
    """
    from scipy.special import j0

    k = 2 * np.pi * frequency_hz / SPEED_OF_SOUND_M_S
    furthest = float(np.hypot(width_m, height_m))
    x, w = _pieces((0.0, min(width_m, height_m), max(width_m, height_m), furthest), k)
    weight = w * np.exp(-1j * k * x) * _pairs_apart(x, width_m, height_m)
    bessel = j0(k * np.outer(np.sin(np.asarray(angle_rad, dtype=float)), x))
    return np.asarray(1j * k / (2 * np.pi * width_m * height_m) * (bessel @ weight))


def finite_absorption(
    impedance: ArrayLike,
    frequency_hz: float,
    angles_rad: Real,
    weights: Real,
    size_m: tuple[float, float],
) -> float:
    r"""Random-incidence absorption of a piece of limited size on a hard wall.

    Parameters
    ----------
    impedance : (angles,) or scalar
        At its front, relative to air. [1]
    frequency_hz : float
        [Hz]
    angles_rad, weights : (angles,)
        From `porous.quadrature`.
    size_m : (width, height)
        [m]

    Returns
    -------
    float
        :math:`8 \int \mathrm{Re} Z / |Z + Z_f(\theta)|^2 \sin\theta \, d\theta`: Paris' integral
        where the piece is endless, above 1 where its edges draw in more than falls on it. [1]

    References
    ----------
    Thomasson, Acustica 44 (1980), from memory.
    """
    Z, Zf = np.asarray(impedance), radiation_impedance(frequency_hz, angles_rad, *size_m)
    return float(np.sum(8 * np.real(Z) / np.abs(Z + Zf) ** 2 * np.sin(angles_rad) * weights))


def _pieces(ends: tuple[float, ...], k: float) -> tuple[Real, Real]:
    """Nodes and weights of Gauss and Legendre between the ends, dense enough for waves of number
    k."""
    cuts = [
        np.linspace(low, high, int((high - low) * k / _WAVE_PER_PIECE_RAD) + 2)
        for low, high in pairwise(ends)
        if high > low
    ]
    low = np.concatenate([cut[:-1] for cut in cuts])[:, None]
    high = np.concatenate([cut[1:] for cut in cuts])[:, None]
    x, w = np.polynomial.legendre.leggauss(_NODES)
    return (low + (high - low) * (x + 1) / 2).ravel(), ((high - low) / 2 * w).ravel()


def _pairs_apart(r: Real, a: float, b: float) -> Real:
    """How much of a rectangle's pairs lies r apart: (a - |x|)(b - |y|) over the circle of radius r.
    [m2]"""
    low, high = np.arccos(np.minimum(1.0, a / r)), np.arcsin(np.minimum(1.0, b / r))

    def upto(psi: Real) -> Real:
        return np.asarray(
            a * b * psi + a * r * np.cos(psi) - b * r * np.sin(psi) + r**2 * np.sin(psi) ** 2 / 2
        )

    return np.asarray(4 * (upto(high) - upto(low)))
