"""An eye that looks at the scene: what both renderers share of a camera."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, radians, sin

import numpy as np
from numpy.typing import NDArray

from roomcheck.geometry import Point
from roomcheck.scene.results import Triple

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class View:
    """Where one looks from, and which way."""

    eye: Point
    """[m]"""
    ahead: Triple
    """Unit vector into the picture."""
    right: Triple
    """Unit vector to the right of the picture."""
    up: Triple
    """Unit vector up the picture."""
    parallel: bool = False
    """Whether lines of sight are parallel: no nearer thing is drawn larger."""

    def project(self, points: Floats) -> Floats:
        """Places in the picture.

        Parameters
        ----------
        points : (..., 3)
            [m]

        Returns
        -------
        (..., 2)
            To the right and up from the middle: in metres where lines of sight are parallel, else
            at unit distance from the eye. [m] or [1]
        """
        away = points - np.array(self.eye)
        flat = away @ np.array([self.right, self.up]).T
        if self.parallel:
            return np.asarray(flat)
        return np.asarray(flat / (away @ np.array(self.ahead))[..., None])

    def depth_m(self, points: Floats) -> Floats:
        """How far places lie ahead of the eye: (..., 3) to (...). [m]"""
        return np.asarray((points - np.array(self.eye)) @ np.array(self.ahead))

    def towards_eye(self, points: Floats) -> Floats:
        """Directions from places to the eye, of any length: (..., 3) to (..., 3). [m]"""
        if self.parallel:
            return np.broadcast_to(-np.array(self.ahead), points.shape)
        return np.array(self.eye) - points


def look_at(
    target: Point,
    *,
    azimuth_deg: float,
    elevation_deg: float,
    distance_m: float,
    parallel: bool = False,
) -> View:
    """The view of a place from so far off.

    Parameters
    ----------
    target : Point
        In the middle of the picture. [m]
    azimuth_deg : float
        Where the eye stands, from +x over +y. [deg]
    elevation_deg : float
        How high it stands over the place: 0 is level, below 90. [deg]
    distance_m : float
        [m]

    Examples
    --------
    >>> look_at(Point(0, 0, 0), azimuth_deg=0, elevation_deg=0, distance_m=2).eye
    Point(x=2.0, y=0.0, z=0.0)
    """
    a, e = radians(azimuth_deg), radians(elevation_deg)
    back = (cos(e) * cos(a), cos(e) * sin(a), sin(e))
    eye = Point(*(float(t + distance_m * b) for t, b in zip(target, back, strict=True)))
    return View(
        eye=eye,
        ahead=(-back[0], -back[1], -back[2]),
        right=(-sin(a), cos(a), 0.0),
        up=(-sin(e) * cos(a), -sin(e) * sin(a), cos(e)),
        parallel=parallel,
    )
