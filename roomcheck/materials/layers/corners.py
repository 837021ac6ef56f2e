"""Corner traps: a slab across a corner, or a triangle full of wool.

Seen from the room, what lies behind the face deepens from its two edges to the middle. The face is
cut into strips, each on its own depth, sound not running sideways from one to the next. Where the
face is narrow against the wave the strips act together (their admittances add); where it is wide
each takes its own share. Both are computed: the middle between them is given, and half of what
parts them counts into the uncertainty.
"""

from __future__ import annotations

from typing import Literal

import numpy as np

from roomcheck.materials.absorption import Absorption
from roomcheck.materials.layers.porous import (
    Real,
    absorbed,
    front_impedance,
    quadrature,
    random_incidence,
)
from roomcheck.units import OCTAVES_HZ

Shape = Literal["straddling", "solid"]

_STRIPS = 24
_SPREAD_OF_SIGMA = 1.3
_MODEL_U = 0.10
"""A corner holds more sound than the room's mean and the trap's flanks are shaded (a judgement)."""


def corner_depths_m(face_width_m: float) -> Real:
    """Depth behind a face at 45 degrees across a right-angled corner, at the middle of each strip.
    (strips,) [m]

    >>> float(round(corner_depths_m(0.6).mean(), 3))
    0.15
    """
    across = (np.arange(_STRIPS) + 0.5) / _STRIPS * face_width_m
    return np.asarray(np.minimum(across, face_width_m - across))


def corner_trap(
    face_width_m: float,
    flow_resistivity_pa_s_m2: float,
    *,
    shape: Shape,
    thickness_m: float | None = None,
    bands_hz: tuple[float, ...] = OCTAVES_HZ,
) -> Absorption:
    """How a trap across a right-angled corner absorbs, for each square metre of its face.

    Parameters
    ----------
    face_width_m : float
        Across the corner. [m]
    flow_resistivity_pa_s_m2 : float
        [Pa s/m2]
    shape : "straddling" or "solid"
        A slab with air behind it, or wool to the very corner.
    thickness_m : float or None
        Of a straddling slab, trimmed where the walls leave less. [m]
    bands_hz : tuple of float
        [Hz]

    Returns
    -------
    Absorption

    Raises
    ------
    ValueError
        A size that is not above 0, or a straddling slab without a thickness.
    """
    if (
        face_width_m <= 0
        or flow_resistivity_pa_s_m2 <= 0
        or (shape == "straddling" and not thickness_m)
    ):
        raise ValueError(f"face_width_m {face_width_m}, thickness_m {thickness_m}: needed above 0")

    def both(sigma: float) -> tuple[Real, Real]:
        return _strips(face_width_m, sigma, shape, thickness_m or 0.0, bands_hz)

    sigma = flow_resistivity_pa_s_m2
    together, apart = both(sigma)
    spread = [sum(both(sigma * s)) / 2 for s in (_SPREAD_OF_SIGMA, 1 / _SPREAD_OF_SIGMA)]
    u = np.sqrt(((together - apart) / 2) ** 2 + ((spread[0] - spread[1]) / 2) ** 2 + _MODEL_U**2)
    slab = f" {1000 * (thickness_m or 0):g} mm" if shape == "straddling" else ""
    said = f"corner trap, {shape}{slab}, face {1000 * face_width_m:g} mm, {sigma:g} Pa s/m2"
    return Absorption(
        key=said,
        title=said,
        per_piece=False,
        bands_hz=tuple(bands_hz),
        values=tuple(float(a) for a in (together + apart) / 2),
        uncertainty=tuple(float(x) for x in u),
        source="Miki 1990 strip by strip over the corner's depth, local reaction, Paris' integral",
        mark="computed",
    )


def _strips(
    width: float, sigma: float, shape: Shape, thickness: float, bands_hz: tuple[float, ...]
) -> tuple[Real, Real]:
    """Random-incidence absorption with all strips acting as one, and each for itself. (bands,) each
    [1]"""
    f, (angles, weights) = np.array(bands_hz), quadrature()
    each = []
    for depth in corner_depths_m(width):
        layer = (
            (float(depth), 0.0, sigma)
            if shape == "solid"
            else (min(thickness, float(depth)), max(float(depth) - thickness, 0.0), sigma)
        )
        each.append(front_impedance(layer, None, f, 0.0))
    Z = np.array(each)[..., None]
    joined = 1 / (1 / Z).mean(axis=0)
    together = random_incidence(absorbed(joined, angles), angles, weights)
    return together, random_incidence(absorbed(Z, angles), angles, weights).mean(axis=0)
