"""What sound loses to furniture on its way to the floor and back.

Chairs, tables and people are boxes that stand anywhere on the bare floor. Sound that comes down
steeply meets their tops or the floor between them; sound that runs nearly level passes the floor
through a layer full of their sides and hardly comes through; sound that runs level above that layer
meets none of them. So a floor with furniture mirrors less the more level a ray runs, and rays are
put into classes by that.

Boxes that stand at random leave a way free with a probability that falls exponentially with its
length. What one throws back leaves the layer at once, or meets the floor and other boxes first: as
often as makes the number of all meetings what the mean free path of a diffuse field demands, each
surface met in proportion to its area.

References
----------
Kuttruff, Room Acoustics, sections 5.2 and 5.3: mean rate of reflections on a surface; attenuation
by objects spread at random (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Real = NDArray[np.float64]
Whole = NDArray[np.intp]

LEVELS = np.array([1.0, 3.0, 10.0])
"""Horizontal over vertical part of a way: what lies between two of these is a class of rays. [1]"""
PIECE_M = (0.5, 0.5, 0.85)
"""Length, width and height of what is counted by the piece: a chair with its back (common
practice). [m]"""
PERSON_M = (0.5, 0.5, 1.2)
"""Of a person, between one who sits and one who stands (a judgement). [m]"""
SQUARE_M = (1.0, 1.0, 0.85)
"""Of what is counted by the square metre: seats in a block (common practice). [m]"""
STANDS = 0.5
"""Share of the furniture that acts as closed boxes do; seats, cushions and what lies low act as the
floor does. A judgement: rooms traced with boxes, and with patches of the floor, lie on both
sides. [1]"""
THROWS = 0.5
"""Share of what a box does not absorb that it scatters; the rest goes on as after the floor: legs
and slats let sound through, closed sides do not (a judgement, likewise). [1]"""


def classes_of(ways: Real) -> Whole:
    """Class of each ray by its direction, (rays, 3) to (rays,)."""
    level, rise = np.hypot(ways[:, 0], ways[:, 1]), np.abs(ways[:, 2])
    return np.searchsorted(LEVELS, level / np.maximum(rise, 1e-12))


_ENDS = np.append(0.0, LEVELS)
_FLUX = -np.diff(np.append(1 / (1 + _ENDS**2), 0.0))
"""Share of each class in what meets the floor in a diffuse field, 2 T / (1 + T^2)^2 dT at level
over rise T. (classes,) [1]"""
_MEANS = np.diff(np.append(np.arctan(_ENDS) - _ENDS / (1 + _ENDS**2), np.pi / 2)) / _FLUX
"""Mean level over rise of each class in that field. (classes,) [1]"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Furniture:
    """Boxes on a bare floor."""

    tops: float
    """Area of all tops over the floor's [1]."""
    sides: float
    """Area of all sides over the floor's [1]."""

    @classmethod
    def of(cls, amounts: Real, sizes_m: Real, floor_m2: float) -> Furniture:
        """So many of each material, (materials,), of these sizes, (materials, 3) [m]."""
        length, width, height = sizes_m.T
        return cls(
            tops=float(amounts @ (length * width)) / floor_m2,
            sides=float(amounts @ (2 * (length + width) * height)) / floor_m2,
        )

    def beyond(self, alpha: float, added: float) -> float:
        """Absorption that floor and boxes cannot hold, no coefficient being above 1; arguments as
        of `floor`. Over the floor's area. [1]"""
        low = max(alpha + (1 - STANDS) * added - 1, 0.0)
        return low + STANDS * max(added - self.tops - self.sides, 0.0)

    def floor(self, alpha: float, scatter: float, added: float) -> tuple[Real, Real]:
        """What the floor and what stands on it take and scatter, class by class.

        Parameters
        ----------
        alpha, scatter : float
            Of the floor itself, 0 to 1. [1]
        added : float
            Absorption of the furniture over the floor's area. [1]

        Returns
        -------
        alpha, scatter : (classes,)
            As of one flat floor: (1 - alpha) (1 - scatter) goes on mirrored, (1 - alpha) scatter
            leaves in any direction. [1]
        """
        low = min(alpha + (1 - STANDS) * added, 1.0)
        box = min(added / (self.tops + self.sides), 1.0)
        # Tops that cover more than the floor cover it once.
        top, side = STANDS * min(self.tops, 1.0), STANDS * self.sides
        # Sides are met in proportion to their area: the depth of a way is area / pi times level
        # over rise, whose mean is pi / 2, and there are two ways.
        through = np.exp(-side / np.pi * _MEANS)
        down, up = (1 - top) * through, float(_FLUX @ through)
        rising = (1 - scatter) * (1 - through) + scatter * (1 - up)
        met = 1 - down + down * rising
        again = 1 - float(_FLUX @ met) / (top + side)
        to_floor = (1 - top - float(_FLUX @ down)) / (top + side)
        lost_later = (again * box + to_floor * low) / (1 - again * (1 - box))
        at_box = box + (1 - box) * lost_later
        lost = (1 - down) * at_box + down * (low + (1 - low) * rising * at_box)
        keep = down * (1 - low) * (1 - scatter) * through
        keep = keep + (1 - THROWS) * (1 - lost - keep) * (1 - scatter)
        return lost, 1 - keep / np.maximum(1 - lost, 1e-12)
