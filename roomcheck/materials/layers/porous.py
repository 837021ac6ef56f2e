"""A porous layer, with or without air behind it, from its flow resistivity.

Time goes as exp(+j omega t). Everything is a ratio to the impedance of air, so only the speed of
sound matters beside the layer itself. Held for 0.01 < f/sigma < 1 by its author, and usable below
as long as the layer stays passive, which Miki's coefficients see to.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from roomcheck.materials.absorption import Absorption
from roomcheck.materials.layers.air import DENSITY_KG_M3 as AIR_DENSITY_KG_M3
from roomcheck.materials.layers.edges import finite_absorption
from roomcheck.materials.layers.facings import FrontLayer
from roomcheck.units import OCTAVES_HZ, SPEED_OF_SOUND_M_S

LABORATORY_M = (3.0, 3.6)
"""A sample as ISO 354 asks for, 10 to 12 m2: the size at which handbook coefficients were measured.
[m]"""
IN_ROOMS = 0.25
"""Of a laboratory's edges, what counts for pieces in rooms: side by side and in wooden frames they
have less edge than a bare sample (a judgement: a quarter adds 5 to 15 % around 250 and 500 Hz, as
the trade does for pieces hung apart)."""

_SPREAD_OF_SIGMA = 1.3
"""Makers declare a lowest flow resistivity, not the one delivered: one standard deviation is a
factor of 1.3 (a judgement, after the spread of handbook values for one density)."""
_MODEL_U = 0.05
"""Standard uncertainty of the model itself: the handbook spread between Miki and measured layers (a
judgement)."""

Complex = NDArray[np.complex128]
Real = NDArray[np.float64]


def delany_bazley(
    frequency_hz: ArrayLike, flow_resistivity_pa_s_m2: float
) -> tuple[Complex, Complex]:
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
        :math:`Z_c/Z_0` and :math:`k/k_0`, with :math:`X = \rho_0 f/\sigma`; held for 0.01 < X < 1.
        [1]

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
        :math:`Z_c/Z_0` and :math:`k/k_0`, with :math:`Y = f/\sigma`; held for 0.01 < Y < 1, usable
        below. [1]

    References
    ----------
    Miki, Journal of the Acoustical Society of Japan (E) 11, 1990, as quoted in open transfer-matrix
    documentation.
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
    """Impedance at the front of a layer on a rigid wall, relative to air, at one angle of
    incidence.

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
    Transfer of impedance through fluid layers, as in any textbook (Cox and D'Antonio, Acoustic
    Absorbers and Diffusers; from memory).
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
    r"""Paris' integral :math:`\int \alpha(\theta) \sin 2\theta \, d\theta` over the last axis.
    [1]"""
    angles = np.asarray(angles_rad)
    return np.asarray(
        np.sum(np.asarray(absorption) * np.sin(2 * angles) * np.asarray(weights), axis=-1)
    )


def quadrature(nodes: int = 96) -> tuple[Real, Real]:
    """Angles from 0 to 90 degrees and their weights, after Gauss and Legendre. [rad]"""
    x, w = np.polynomial.legendre.leggauss(nodes)
    return np.pi / 4 * (x + 1), np.pi / 4 * w


def extended_reaction(
    thickness_m: float,
    gap_m: float,
    flow_resistivity_pa_s_m2: float,
    *,
    facing: FrontLayer | None = None,
    bands_hz: tuple[float, ...] = OCTAVES_HZ,
    size_m: tuple[float, float] | None = None,
) -> Real:
    """Random-incidence absorption of a Miki layer in which sound also runs sideways, the gap
    undivided.

    Parameters
    ----------
    thickness_m, gap_m, flow_resistivity_pa_s_m2 : float
        A thickness of 0 leaves the air alone. [m], [m], [Pa s/m2]
    facing : Face or None
        What lies in front.
    bands_hz : tuple of float
        [Hz]
    size_m : (width, height) or None
        Of a piece on a hard wall, so that its edges count; None for an endless layer. [m]

    Returns
    -------
    (bands,)
        [1]
    """
    layer = (thickness_m, gap_m, flow_resistivity_pa_s_m2)
    return _random(layer, facing, bands_hz, size_m, local=False)


def local_reaction(
    thickness_m: float,
    gap_m: float,
    flow_resistivity_pa_s_m2: float,
    *,
    facing: FrontLayer | None = None,
    bands_hz: tuple[float, ...] = OCTAVES_HZ,
    size_m: tuple[float, float] | None = None,
) -> Real:
    """The same for a layer cut into cells, so that its impedance keeps at all angles. (bands,)
    [1]"""
    return _random(
        (thickness_m, gap_m, flow_resistivity_pa_s_m2), facing, bands_hz, size_m, local=True
    )


def front_impedance(
    layer: tuple[float, float, float],
    facing: FrontLayer | None,
    frequency_hz: ArrayLike,
    angle_rad: ArrayLike,
) -> Complex:
    """Impedance before a facing, a layer (thickness, gap, flow resistivity) and a hard wall,
    relative to air. [1]"""
    f = np.asarray(frequency_hz, dtype=float)
    thickness, gap, sigma = layer
    if thickness > 0:
        Z = surface_impedance(
            miki(f, sigma), frequency_hz=f, thickness_m=thickness, gap_m=gap, angle_rad=angle_rad
        )
    else:
        cosine = np.cos(angle_rad)
        Z = np.asarray(-1j / cosine / np.tan(2 * np.pi * f / SPEED_OF_SOUND_M_S * cosine * gap))
    if facing is None:
        return Z
    return np.asarray(Z + facing.impedance(f))


def _random(
    layer: tuple[float, float, float],
    facing: FrontLayer | None,
    bands_hz: tuple[float, ...],
    size_m: tuple[float, float] | None,
    *,
    local: bool,
) -> Real:
    f, (angles, weights) = np.array(bands_hz)[:, None], quadrature()
    Z = front_impedance(layer, facing, f, 0.0 if local else angles)
    if size_m is None:
        return random_incidence(absorbed(Z, angles), angles, weights)
    rows = zip(np.broadcast_to(Z, (len(f), len(angles))), bands_hz, strict=True)
    return np.array([finite_absorption(z, band, angles, weights, size_m) for z, band in rows])


def porous_layer(
    thickness_m: float,
    gap_m: float,
    flow_resistivity_pa_s_m2: float,
    *,
    facing: FrontLayer | None = None,
    divided: bool = False,
    edge_share: float = 0.0,
    bands_hz: tuple[float, ...] = OCTAVES_HZ,
) -> Absorption:
    """How a porous layer on a rigid wall absorbs sound from everywhere.

    Parameters
    ----------
    thickness_m, gap_m : float
        Of the layer, and of the air behind it. [m]
    flow_resistivity_pa_s_m2 : float
        [Pa s/m2]
    facing : Face or None
        Cloth or film that covers it; boards with holes or slots are `resonators.resonator`'s.
    divided : bool
        Whether layer and gap are cut into cells, so that no sound runs sideways in them.
    edge_share : float
        How much counts of what the edges of a laboratory's sample (`LABORATORY_M`) draw in: 0 an
        endless layer, 1 the sample, as in the handbooks' coefficients; pieces that hang in rooms
        lie between (`IN_ROOMS`). [1]
    bands_hz : tuple of float
        [Hz]

    Returns
    -------
    Absorption
        Without edges the coefficients of an endless layer: below or near what a laboratory finds.
        The uncertainty holds a factor of 1.3 in flow resistivity, 0.05 for the model and, where
        edges count, anything between none of them and twice as many as equally likely.

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
            f"thickness_m {thickness_m}, gap_m {gap_m}, flow_resistivity_pa_s_m2 "
            f"{flow_resistivity_pa_s_m2}: thickness and flow resistivity must be above 0, the "
            "gap not below"
        )

    reaction = local_reaction if divided else extended_reaction

    def alpha(sigma: float, size: tuple[float, float] | None) -> Real:
        return reaction(thickness_m, gap_m, sigma, facing=facing, bands_hz=bands_hz, size_m=size)

    sigma = flow_resistivity_pa_s_m2
    endless = alpha(sigma, None)
    drawn = alpha(sigma, LABORATORY_M) - endless if edge_share > 0 else np.zeros_like(endless)
    softest, stiffest = alpha(sigma / _SPREAD_OF_SIGMA, None), alpha(sigma * _SPREAD_OF_SIGMA, None)
    spread = np.abs(stiffest - softest) / 2
    u = np.sqrt(spread**2 + (edge_share * drawn) ** 2 / 3 + _MODEL_U**2)
    air = f", {1000 * gap_m:g} mm of air behind" if gap_m > 0 else ""
    how = "local" if divided else "extended"
    source = f"Miki 1990, {how} reaction, Paris' integral from 0 to 90 degrees"
    more = f" under {facing.title}" if facing is not None else ""
    more += ", divided" if divided else ""
    if edge_share > 0:
        edges = f", {100 * edge_share:g} % of a laboratory's edges"
        wide_m, high_m = LABORATORY_M
        source += f"{edges} ({wide_m:g} m x {high_m:g} m, Thomasson 1980)"
        more += edges
    return Absorption(
        key=f"porous {1000 * thickness_m:g} mm {sigma:g} Pa s/m2 gap {1000 * gap_m:g} mm{more}",
        title=f"porous layer {1000 * thickness_m:g} mm, {sigma:g} Pa s/m2{air}{more}",
        per_piece=False,
        bands_hz=tuple(bands_hz),
        values=tuple(map(float, endless + edge_share * drawn)),
        uncertainty=tuple(map(float, u)),
        source=source,
        mark="computed",
    )
