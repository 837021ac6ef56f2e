"""The sheet that a view is drawn on: points of 1/72 in, y downwards."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from roomcheck.scene import View

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Paper:
    """A view on a sheet of a size."""

    view: View
    width_pt: float
    height_pt: float
    left: float
    """What lies at the sheet's left edge, in the view's own measure [m] or [1]."""
    top: float
    """What lies at its upper edge [m] or [1]."""
    per_unit: float
    """Points a unit of the view's measure [pt/m] or [pt]."""

    def place(self, points: Floats) -> Floats:
        """Where places of the room lie on the sheet: (..., 3) to (..., 2). [pt]"""
        flat = self.view.project(points)
        x = (flat[..., 0] - self.left) * self.per_unit
        y = (self.top - flat[..., 1]) * self.per_unit
        return np.stack([x, y], axis=-1)


def paper_for(
    view: View, points: Floats, *, width_pt: float, height_pt: float, margin_pt: float
) -> Paper:
    """The sheet that holds all these places, no larger than allowed.

    Parameters
    ----------
    points : (places, 3)
        [m]
    width_pt, height_pt : float
        Most that it may take; one of both is taken whole, margins and all. [pt]
    """
    flat = view.project(points)
    low, high = flat.min(axis=0), flat.max(axis=0)
    room = np.array([width_pt, height_pt]) - 2 * margin_pt
    per_unit = float((room / np.maximum(high - low, 1e-12)).min())
    wide, high_pt = (float(side) for side in per_unit * (high - low) + 2 * margin_pt)
    margin = margin_pt / per_unit
    return Paper(
        view=view,
        width_pt=wide,
        height_pt=high_pt,
        left=float(low[0]) - margin,
        top=float(high[1]) + margin,
        per_unit=per_unit,
    )
