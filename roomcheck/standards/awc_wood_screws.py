"""Wood screws after the National Design Specification for Wood Construction (NDS) and Technical
Report 12 of the American Wood Council: reference strengths of one screw.

Chapter and equation numbers are those of the 2018 edition, from memory; the values agree with
worked examples in trade texts. They are planning numbers: they refuse a fixing, never approve one.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from math import atan2, cos, hypot, inf, sin, sqrt

from roomcheck.units import M_PER_IN

N_PER_LBF = 4.4482216152605
STUD_GRAVITY = 0.42
"""Specific gravity of spruce-pine-fir, the lightest of the usual framing (NDS table 12.3.3A).
[1]"""
LEAST_DIAMETERS = 6
"""Least penetration of a wood screw in framing, in its diameters (NDS 12.1.5.6). [1]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Gauge:
    """A thickness that wood screws are sold in."""

    diameter_m: float
    """Nominal, over the thread [m]."""
    root_m: float
    """Under the thread [m]."""
    yield_psi: float
    """Bending yield strength [psi]."""


GAUGES = {
    "#8": Gauge(diameter_m=0.164 * M_PER_IN, root_m=0.131 * M_PER_IN, yield_psi=90_000.0),
    "#10": Gauge(diameter_m=0.190 * M_PER_IN, root_m=0.152 * M_PER_IN, yield_psi=80_000.0),
    "#12": Gauge(diameter_m=0.216 * M_PER_IN, root_m=0.171 * M_PER_IN, yield_psi=80_000.0),
    "4.5 mm": Gauge(diameter_m=0.0045, root_m=0.0027, yield_psi=80_000.0),
    "5 mm": Gauge(diameter_m=0.0050, root_m=0.0031, yield_psi=80_000.0),
    "6 mm": Gauge(diameter_m=0.0060, root_m=0.0038, yield_psi=80_000.0),
}
"""Inch gauges as NDS appendix L has them; of metric screws the thin end of what EN 14592 allows, at
the softest of the inch steels (both from memory)."""


def least_depth_m(gauge: str) -> float:
    """Least penetration into framing. [m]

    >>> round(least_depth_m("#10") / 0.0254, 2)
    1.14
    """
    return LEAST_DIAMETERS * GAUGES[gauge].diameter_m


@cache
def lateral_n(
    gauge: str, gap_m: float, side_m: float, into_wood_m: float, gravity: float = STUD_GRAVITY
) -> float:
    r"""Reference lateral strength of one wood screw through a side piece, a soft layer and into
    framing.

    The yield-limit model: the least of six ways to fail, each a dowel that crushes wood and bends,
    with the soft layer taken as a gap that carries nothing, divided by the reduction for small
    diameters.

    Parameters
    ----------
    gauge : str
        Key of `GAUGES`.
    gap_m, side_m, into_wood_m : float
        Thickness of sheathing between cleat and stud, of the cleat, and depth in the stud. [m]
    gravity : float
        Specific gravity of both woods. [1]

    Returns
    -------
    float
        Before duration, moisture or any other factor: a planning number. [N]

    Raises
    ------
    ValueError
        Unknown gauge, or a depth that is not above 0.

    References
    ----------
    General dowel equations of AWC Technical Report 12, table 1-1, and the reduction of NDS table
    12.3.1B, both from memory.
    """
    if gauge not in GAUGES:
        raise ValueError(f"gauge: found {gauge!r}, needed one of {', '.join(GAUGES)}")
    if min(side_m, into_wood_m) <= 0 or gap_m < 0:
        raise ValueError(
            f"side_m {side_m}, into_wood_m {into_wood_m}, gap_m {gap_m}: needed above 0 (gap: 0 "
            "or above)"
        )
    D, Fyb = GAUGES[gauge].root_m / M_PER_IN, GAUGES[gauge].yield_psi
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
        modes.append((-b + sqrt(b**2 - 4 * a * c)) / (2 * a))
    reduction = 2.2 if D <= 0.17 else 10 * D + 0.5
    return min(modes) / reduction * N_PER_LBF


def withdrawal_n_per_m(gauge: str, gravity: float = STUD_GRAVITY) -> float:
    r"""Reference withdrawal strength from side grain, per length of thread in the framing.

    Returns
    -------
    float
        :math:`W = 2850\,G^2 D` pounds per inch, as newtons per metre: a planning number. [N/m]

    References
    ----------
    NDS equation 12.2-2, as quoted in stored trade texts.
    """
    diameter_in = GAUGES[gauge].diameter_m / M_PER_IN
    return 2850 * gravity**2 * diameter_in * N_PER_LBF / M_PER_IN


def combined_n(lateral_n: float, withdrawal_n: float, across_n: float, out_n: float) -> float:
    r"""Reference strength of one screw in the direction of its load.

    Parameters
    ----------
    lateral_n, withdrawal_n : float
        Its reference strengths across and along its axis. [N]
    across_n, out_n : float
        Its load across and along its axis; not both 0. [N]

    Returns
    -------
    float
        :math:`Z_\alpha = \frac{W p \, Z}{W p \cos^2\alpha + Z \sin^2\alpha}` with the load
        at :math:`\alpha` from the face of the wood. [N]

    Examples
    --------
    >>> combined_n(200.0, 500.0, 10.0, 0.0), combined_n(200.0, 500.0, 0.0, 10.0)
    (200.0, 500.0)

    References
    ----------
    NDS equation 12.4-1, from memory.
    """
    alpha = atan2(out_n, across_n)
    share = withdrawal_n * cos(alpha) ** 2 + lateral_n * sin(alpha) ** 2
    return withdrawal_n * lateral_n / share


def strength_ratio(lateral_n: float, withdrawal_n: float, across_n: float, out_n: float) -> float:
    """Reference strength of one screw over its load, combined and in each direction alone. [1]

    The combined equation gives a screw that is weak across its axis more strength as it is pulled a
    little; here a pull never makes it stronger.

    >>> strength_ratio(200.0, 500.0, 100.0, 0.0), strength_ratio(200.0, 500.0, 100.0, 30.0)
    (2.0, 2.0)
    """
    both = combined_n(lateral_n, withdrawal_n, across_n, out_n) / hypot(across_n, out_n)
    across = lateral_n / across_n if across_n > 0 else inf
    out = withdrawal_n / out_n if out_n > 0 else inf
    return min(both, across, out)
