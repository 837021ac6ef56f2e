"""What is known of a photograph of a wall."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from roomcheck.geometry import Rectangle

Array = NDArray[np.float64]

MARK_PX = 3.0
"""How well a person hits a point of a picture by mouse or finger, one standard deviation [px].
Judgement."""
TAPE_M = 0.003
"""How well the place of a mark on the wall is known, one standard deviation [m]. Common practice: a
tape read to 1/8 in."""


@dataclass(frozen=True, slots=True)
class Mark:
    """A point of the picture whose place on the wall is known."""

    x_px: float
    """From the left edge of the upright picture."""
    y_px: float
    """From its top edge."""
    u_m: float
    """From the wall's left edge, seen from inside the room."""
    v_m: float
    """From the wall's bottom edge."""


@dataclass(frozen=True, slots=True)
class Frame:
    """The upright picture that marks are made on."""

    width_px: int
    height_px: int
    focal_px: float | None = None
    """Focal length by the camera's own record; None where it left none."""

    @property
    def centre_px(self) -> Array:
        """Its middle: (2,)."""
        return np.array([self.width_px / 2, self.height_px / 2])

    @property
    def radius_px(self) -> float:
        """From its middle to a corner."""
        return float(np.hypot(self.width_px, self.height_px) / 2)


@dataclass(frozen=True, slots=True)
class Camera:
    """Where the camera stood before one wall, and how it saw.

    A point of the wall's frame (u right, v up, w into the room) [m] is turned by `turn`, moved by
    `shift_m`, divided by its depth and multiplied by `focal_px`. What is r off the picture's middle
    then lands at r (1 + bend r2), r in units of the half diagonal.
    """

    frame: Frame
    turn: tuple[tuple[float, float, float], ...]
    """From the wall's frame to the camera's: x right, y down, z forward."""
    shift_m: tuple[float, float, float]
    focal_px: float
    bend: float
    """Radial distortion at the picture's corner, as a share; below 0 for a barrel."""
    axis_px: tuple[float, float]
    """Where the lens looks, off the picture's middle."""

    def scaled(self, width_px: int, height_px: int) -> Camera:
        """The camera that would have taken the same picture in another size."""
        times = width_px / self.frame.width_px
        axis_px = (self.axis_px[0] * times, self.axis_px[1] * times)
        frame = Frame(width_px, height_px)
        return replace(self, frame=frame, focal_px=self.focal_px * times, axis_px=axis_px)

    @property
    def place_m(self) -> Array:
        """Where the camera stood, in the wall's frame: (3,)."""
        place: Array = -np.array(self.turn).T @ np.array(self.shift_m)
        return place


@dataclass(frozen=True, slots=True)
class Measured:
    """A rectangle of the wall, measured on the photograph. [m]"""

    left_m: float
    bottom_m: float
    width_m: float
    height_m: float
    left_95_m: float
    """Expanded uncertainty, k = 2."""
    bottom_95_m: float
    width_95_m: float
    height_95_m: float

    @property
    def place(self) -> Rectangle:
        """In the wall's frame. [m]"""
        return Rectangle(self.left_m, self.bottom_m, self.width_m, self.height_m)

    @property
    def within_m(self) -> float:
        """The largest of the four uncertainties."""
        return max(self.left_95_m, self.bottom_95_m, self.width_95_m, self.height_95_m)


@dataclass(frozen=True, slots=True)
class WallPhoto:
    """A photograph that was fitted to its wall."""

    camera: Camera
    marks: tuple[Mark, ...]
    off_px: tuple[float, ...]
    """How far each mark lies from where its place should appear."""
    mark_px: float
    covariance: tuple[tuple[float, ...], ...]
    """Of the camera's ten unknowns, in the order of `fit`."""


def rows(values: Array | Sequence[Sequence[float]]) -> tuple[tuple[float, ...], ...]:
    """A matrix as plain rows."""
    return tuple(tuple(float(x) for x in row) for row in values)
