"""Sizes and places on a wall, read off its photograph with their uncertainty."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from roomcheck.measure.photo.fit import MarksRefused
from roomcheck.measure.photo.projection import camera_of, pixels_of, places_of
from roomcheck.measure.photo.results import Array, Camera, Measured, WallPhoto

_COVERAGE = 2.0
"""Coverage factor for 95 % (JCGM 100:2008, 6.3.3)."""


def rectangle_on(photo: WallPhoto, corners_px: Sequence[tuple[float, float]]) -> Measured:
    """Measure an upright rectangle of the wall.

    Parameters
    ----------
    photo : WallPhoto
    corners_px : sequence of (x, y)
        Two opposite corners, or all four in any order. [px]

    Returns
    -------
    Measured
        Uncertainties from the marks', by propagation (JCGM 100:2008, 5.1.2 and 5.2.2).

    Raises
    ------
    MarksRefused
        Another number of corners, or corners of no width or height.
    """
    if len(corners_px) not in (2, 4):
        raise MarksRefused(
            f"{len(corners_px)} corners are marked; a rectangle needs two opposite ones or four"
        )
    pixels = np.array(corners_px, dtype=float)
    sides = _sides(places_of(photo.camera, pixels))
    uncertain = _COVERAGE * np.sqrt(np.diag(_spread(photo, pixels)))
    if min(sides[2:]) <= 0 or not np.isfinite(sides).all():
        raise MarksRefused("the corners marked have no width or no height on the wall")
    return Measured(*(float(x) for x in (*sides, *uncertain)))


def uncertainty_m(photo: WallPhoto, u_m: float, v_m: float) -> float:
    """How far a mark made at a place of the wall may be off it, 95 %. [m]"""
    pixels = pixels_of(photo.camera, np.array([[u_m, v_m]]))
    spread = _propagated(photo, pixels, lambda camera, at: places_of(camera, at)[0])
    return float(_COVERAGE * np.sqrt(np.linalg.eigvalsh(spread)[-1]))


def _spread(photo: WallPhoto, pixels: Array) -> Array:
    return _propagated(photo, pixels, lambda camera, at: _sides(places_of(camera, at)))


def _sides(places: Array) -> Array:
    """Left, bottom, width and height of the rectangle whose corners these are: (4,)."""
    half = len(places) // 2
    us, vs = np.sort(places[:, 0]), np.sort(places[:, 1])
    left, right = us[:half].mean(), us[half:].mean()
    bottom, top = vs[:half].mean(), vs[half:].mean()
    return np.array([left, bottom, right - left, top - bottom])


def _propagated(photo: WallPhoto, pixels: Array, of: Callable[[Camera, Array], Array]) -> Array:
    """Covariance of what is computed from the camera and from marks in the picture: (m, m)."""
    first = np.array(photo.camera.turn)
    here = _unknowns(photo.camera)
    scale = np.sqrt(np.diag(np.array(photo.covariance)))

    def by_camera(step: Array) -> Array:
        return of(camera_of(here + step, photo.camera.frame, first), pixels)

    def by_marks(step: Array) -> Array:
        return of(photo.camera, pixels + step.reshape(pixels.shape))

    of_camera = _slopes(by_camera, 1e-3 * scale)
    of_marks = _slopes(by_marks, np.full(pixels.size, 1e-3))
    spread: Array = of_camera @ np.array(photo.covariance) @ of_camera.T
    return spread + photo.mark_px**2 * of_marks @ of_marks.T


def _slopes(of: Callable[[Array], Array], steps: Array) -> Array:
    """Central differences: (m, n)."""
    columns = []
    for i, step in enumerate(steps):
        aside = np.zeros(len(steps))
        aside[i] = step
        columns.append((of(aside) - of(-aside)) / (2 * step))
    return np.column_stack(columns)


def _unknowns(camera: Camera) -> Array:
    """The ten unknowns of a camera, turns counted from its own."""
    return np.array(
        [0, 0, 0, *camera.shift_m, np.log(camera.focal_px), camera.bend, *camera.axis_px]
    )
