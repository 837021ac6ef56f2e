"""A porous layer, with or without air behind it, from its flow resistivity.

Time goes as exp(+j omega t). Everything is a ratio to the impedance of air, so only the speed of sound matters
beside the layer itself. Held for 0.01 < f/sigma < 1 by its author, and usable below as long as the layer stays
passive, which Miki's coefficients see to.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from roomcheck.materials.absorption import Absorption
from roomcheck.units import OCTAVES_HZ

AIR_DENSITY_KG_M3 = 1.21
SPEED_OF_SOUND_M_S = 343.0

_SPREAD_OF_SIGMA = 1.3
"""Makers declare a lowest flow resistivity, not the one delivered: one standard deviation is a factor of 1.3
(a judgement, after the spread of handbook values for one density)."""
_MODEL_U = 0.05
"""Standard uncertainty of the model itself: the handbook spread between Miki and measured layers (a judgement)."""

Complex = NDArray[np.complex128]
Real = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Facing:
    """Cloth or film that lies on the layer.

    Attributes
    ----------
    resistance_pa_s_m : float
        Specific flow resistance; thin fabric that one can blow through has less than about 100. [Pa s/m]
    mass_kg_m2 : float
        [kg/m2]
    """

    resistance_pa_s_m: float
    mass_kg_m2: float


def delany_bazley(frequency_hz: ArrayLike, flow_resistivity_pa_s_m2: float) -> tuple[Complex, Complex]:
    r"""Characteristic impedance and wave number of a fibrous material, both relative to air.

    Parameters
    ----------
    frequency_hz : (bands,)
        [Hz]
    flow_resistivity_pa_s_m2 : float
        [Pa s/m2]

    Returns
    -------
    impedance, wave_number : (bands,)
        :math:`Z_c/Z_0` and :math:`k/k_0`, with :math:`X = \rho_0 f/\sigma`; held for 0.01 < X < 1. [1]

    References
    ----------
    Delany and Bazley, Applied Acoustics 3, 1970, as quoted in open transfer-matrix documentation.
    """
    X = AIR_DENSITY_KG_M3 * np.asarray(frequency_hz, dtype=float) / flow_resistivity_pa_s_m2
    return (
        1 + 0.0571 * X**-0.754 - 0.087j * X**-0.732,
        1 + 0.0978 * X**-0.700 - 0.189j * X**-0.595,
    )


def miki(frequency_hz: ArrayLike, flow_resistivity_pa_s_m2: float) -> tuple[Complex, Complex]:
    r"""Characteristic impedance and wave number of a fibrous material, both relative to air.

    Parameters
    ----------
    frequency_hz : (bands,)
        [Hz]
    flow_resistivity_pa_s_m2 : float
        [Pa s/m2]

    Returns
    -------
    impedance, wave_number : (bands,)
        :math:`Z_c/Z_0` and :math:`k/k_0`, with :math:`Y = f/\sigma`; held for 0.01 < Y < 1, usable below. [1]

    References
    ----------
    Miki, Journal of the Acoustical Society of Japan (E) 11, 1990, as quoted in open transfer-matrix documentation.
    """
    Y = np.asarray(frequency_hz, dtype=float) / flow_resistivity_pa_s_m2
    return (
        1 + 0.070 * Y**-0.632 - 0.107j * Y**-0.632,
        1 + 0.109 * Y**-0.618 - 0.160j * Y**-0.618,
    )


def surface_impedance(
    medium: tuple[Complex, Complex],
    *,
    frequency_hz: ArrayLike,
    thickness_m: float,
    gap_m: float = 0.0,
    angle_rad: ArrayLike = 0.0,
) -> Complex:
    """Impedance at the front of a layer on a rigid wall, relative to air, at one angle of incidence.

    Parameters
    ----------
    medium : (impedance, wave number), each (bands,)
        From `miki` or `delany_bazley`. [1]
    frequency_hz : (bands,)
        [Hz]
    thickness_m, gap_m : float
        Of the layer, and of the undivided air behind it. [m]
    angle_rad : broadcasts with `frequency_hz`
        From the normal. [rad]

    Returns
    -------
    (bands,) or as broadcast
        [1]

    References
    ----------
    Transfer of impedance through fluid layers, as in any textbook (Cox and D'Antonio, Acoustic Absorbers and
    Diffusers; from memory).
    """
    k0 = 2 * np.pi * np.asarray(frequency_hz, dtype=float) / SPEED_OF_SOUND_M_S
    sine, cosine = np.sin(angle_rad), np.cos(angle_rad)
    Zc, ratio = medium
    kx = k0 * np.sqrt(ratio**2 - sine**2)
    Zx = Zc * ratio * k0 / kx  # Zc k / kx
    behind = kx * thickness_m
    if gap_m <= 0:
        return np.asarray(-1j * Zx / np.tan(behind))
    Zb = -1j / cosine / np.tan(k0 * cosine * gap_m)
    return np.asarray(Zx * (-1j * Zb / np.tan(behind) + Zx) / (Zb - 1j * Zx / np.tan(behind)))


def absorbed(impedance: ArrayLike, angle_rad: ArrayLike = 0.0) -> Real:
    """Share of a plane wave's energy that a surface of this relative impedance takes. [1]

    >>> float(absorbed(1.0))
    1.0
    """
    Z, cosine = np.asarray(impedance), np.cos(angle_rad)
    return np.asarray(1 - np.abs((Z * cosine - 1) / (Z * cosine + 1)) ** 2)


def random_incidence(absorption: ArrayLike, angles_rad: ArrayLike, weights: ArrayLike) -> Real:
    r"""Paris' integral :math:`\int \alpha(\theta) \sin 2\theta \, d\theta` over the last axis. [1]"""
    angles = np.asarray(angles_rad)
    return np.asarray(np.sum(np.asarray(absorption) * np.sin(2 * angles) * np.asarray(weights), axis=-1))


def quadrature(nodes: int = 96) -> tuple[Real, Real]:
    """Angles from 0 to 90 degrees and their weights, after Gauss and Legendre. [rad]"""
    x, w = np.polynomial.legendre.leggauss(nodes)
    return np.pi / 4 * (x + 1), np.pi / 4 * w


def extended_reaction(
    thickness_m: float,
    gap_m: float,
    flow_resistivity_pa_s_m2: float,
    *,
    facing: Facing | None = None,
    bands_hz: tuple[float, ...] = OCTAVES_HZ,
) -> Real:
    """Random-incidence absorption of a Miki layer in which sound also runs sideways, the gap undivided. [1]

    Returns
    -------
    (bands,)
        [1]
    """
    f, (angles, weights) = np.array(bands_hz)[:, None], quadrature()
    Z = surface_impedance(
        miki(f, flow_resistivity_pa_s_m2), frequency_hz=f, thickness_m=thickness_m, gap_m=gap_m, angle_rad=angles
    )
    return random_incidence(absorbed(_faced(Z, facing, f), angles), angles, weights)


def local_reaction(
    thickness_m: float,
    gap_m: float,
    flow_resistivity_pa_s_m2: float,
    *,
    facing: Facing | None = None,
    bands_hz: tuple[float, ...] = OCTAVES_HZ,
) -> Real:
    """Random-incidence absorption of a Miki layer cut into cells, so that its impedance keeps at all angles. [1]

    Returns
    -------
    (bands,)
        [1]
    """
    f, (angles, weights) = np.array(bands_hz)[:, None], quadrature()
    Z = surface_impedance(miki(f, flow_resistivity_pa_s_m2), frequency_hz=f, thickness_m=thickness_m, gap_m=gap_m)
    return random_incidence(absorbed(_faced(Z, facing, f), angles), angles, weights)


def _faced(impedance: Complex, facing: Facing | None, frequency_hz: Real) -> Complex:
    """Cloth in front: its flow resistance and its mass side by side, in series with what lies behind."""
    if facing is None:
        return impedance
    Z0 = AIR_DENSITY_KG_M3 * SPEED_OF_SOUND_M_S
    r = facing.resistance_pa_s_m / Z0
    mass = 2j * np.pi * frequency_hz * facing.mass_kg_m2 / Z0
    return np.asarray(impedance + r * mass / (r + mass))


def porous_layer(
    thickness_m: float,
    gap_m: float,
    flow_resistivity_pa_s_m2: float,
    *,
    facing: Facing | None = None,
    bands_hz: tuple[float, ...] = OCTAVES_HZ,
) -> Absorption:
    """How a porous layer on a rigid wall absorbs sound from everywhere.

    Parameters
    ----------
    thickness_m, gap_m : float
        Of the layer, and of the air behind it. [m]
    flow_resistivity_pa_s_m2 : float
        [Pa s/m2]
    facing : Facing or None
        What covers it.
    bands_hz : tuple of float
        [Hz]

    Returns
    -------
    Absorption
        Coefficients of an endless layer: below or near what a laboratory finds, whose samples have edges. The
        uncertainty holds a factor of 1.3 in flow resistivity and 0.05 for the model.

    Raises
    ------
    ValueError
        A thickness or flow resistivity that is not above 0, or a gap below 0.

    Examples
    --------
    >>> round(porous_layer(0.05, 0.0, 10_000).at(1000.0), 3)
    0.828
    """
    if thickness_m <= 0 or flow_resistivity_pa_s_m2 <= 0 or gap_m < 0:
        raise ValueError(
            f"thickness_m {thickness_m}, gap_m {gap_m}, flow_resistivity_pa_s_m2 {flow_resistivity_pa_s_m2}: "
            "thickness and flow resistivity must be above 0, the gap not below"
        )

    def alpha(sigma: float) -> Real:
        return extended_reaction(thickness_m, gap_m, sigma, facing=facing, bands_hz=bands_hz)

    sigma = flow_resistivity_pa_s_m2
    spread = np.abs(alpha(sigma * _SPREAD_OF_SIGMA) - alpha(sigma / _SPREAD_OF_SIGMA)) / 2
    air = f", {1000 * gap_m:g} mm of air behind" if gap_m > 0 else ""
    return Absorption(
        key=f"porous {1000 * thickness_m:g} mm {sigma:g} Pa s/m2 gap {1000 * gap_m:g} mm",
        title=f"porous layer {1000 * thickness_m:g} mm, {sigma:g} Pa s/m2{air}",
        per_piece=False,
        bands_hz=tuple(bands_hz),
        values=tuple(float(a) for a in alpha(sigma)),
        uncertainty=tuple(float(u) for u in np.hypot(spread, _MODEL_U)),
        source="Miki 1990, extended reaction, Paris' integral from 0 to 90 degrees",
        mark="computed",
    )
