"""Screws in framing: planning strength that can refuse a piece, never approve one."""

from __future__ import annotations

import math

from roomcheck.units import M_PER_IN

N_PER_LBF = 4.4482216152605
GRAVITY_M_S2 = 9.80665

SCREWS = {
    "#8": (0.164, 0.131, 90_000.0),
    "#10": (0.190, 0.152, 80_000.0),
    "#12": (0.216, 0.171, 80_000.0),
}
"""Gauge: nominal and root diameter, bending yield strength. [in], [in], [psi]"""


def shear_per_screw_n(
    screw: str, gap_m: float, side_m: float, into_wood_m: float, gravity: float = 0.42
) -> float:
    r"""Reference lateral strength of one wood screw through a side piece, a soft layer and into
    framing.

    The yield-limit model: the least of six ways to fail, each a dowel that crushes wood and bends,
    with the soft layer taken as a gap that carries nothing, divided by the reduction for small
    diameters.

    Parameters
    ----------
    screw : str
        "#8", "#10" or "#12".
    gap_m, side_m, into_wood_m : float
        Thickness of sheathing between cleat and stud, of the cleat, and depth in the stud. [m]
    gravity : float
        Specific gravity of both woods; 0.42 is spruce-pine-fir. [1]

    Returns
    -------
    float
        Before duration, moisture or any other factor: a planning number. [N]

    Raises
    ------
    ValueError
        Unknown screw, or a depth that is not above 0.

    References
    ---------- General dowel equations of AWC Technical Report 12 and the reduction of the National
    Design Specification for Wood Construction, both from memory.
    """
    if screw not in SCREWS:
        raise ValueError(f"screw: found {screw!r}, needed one of {', '.join(SCREWS)}")
    if min(side_m, into_wood_m) <= 0 or gap_m < 0:
        raise ValueError(
            f"side_m {side_m}, into_wood_m {into_wood_m}, gap_m {gap_m}: needed above 0 (gap: 0 "
            "or above)"
        )
    _, D, Fyb = SCREWS[screw]
    g, Ls, Lm = gap_m / M_PER_IN, side_m / M_PER_IN, into_wood_m / M_PER_IN
    q = float(16_600 * gravity**1.84 * D)
    M = Fyb * D**3 / 6
    modes = [q * Lm, q * Ls]
    for a, b, c in (
        (1 / (2 * q), Ls / 2 + g + Lm / 2, -q * (Ls**2 + Lm**2) / 4),
        (3 / (4 * q), g + Lm / 2, -M - q * Lm**2 / 4),
        (3 / (4 * q), Ls / 2 + g, -M - q * Ls**2 / 4),
        (1 / q, g, -2 * M),
    ):
        modes.append((-b + math.sqrt(b**2 - 4 * a * c)) / (2 * a))
    reduction = 2.2 if D <= 0.17 else 10 * D + 0.5
    return min(modes) / reduction * N_PER_LBF


def into_wood_m(screw_m: float, cleat_m: float, sheathing_m: float) -> float:
    """What of a screw reaches the framing. [m]

    >>> round(into_wood_m(2.5 * 0.0254, 0.75 * 0.0254, 0.5 * 0.0254) / 0.0254, 3)
    1.25
    """
    return max(screw_m - cleat_m - sheathing_m, 0.0)


def load_ratio(weight_kg: float, screws: int, each_n: float) -> float:
    """Planning strength of the screws over the piece's weight. [1]"""
    return screws * each_n / (weight_kg * GRAVITY_M_S2)
