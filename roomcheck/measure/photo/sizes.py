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


def edge_on(photo: WallPhoto, ends_px: Sequence[tuple[float, float]]) -> Measured:
    """Measure an upright edge of the wall, such as the corner where it meets the next wall.

    Parameters
    ----------
    photo : WallPhoto
    ends_px : sequence of (x, y)
        Its foot and its head. [px]

    Returns
    -------
    Measured
        Of no width.

    Raises
    ------
    MarksRefused
        Another number of ends, or ends at one height.
    """
    if len(ends_px) != 2:
        raise MarksRefused(f"{len(ends_px)} points are marked; an edge has a foot and a head")
    pixels = np.array(ends_px, dtype=float)
    sides = _upright(places_of(photo.camera, pixels))
    spread = _propagated(photo, pixels, lambda camera, at: _upright(places_of(camera, at)))
    left, bottom, high = (float(x) for x in sides)
    if not high > 0:
        raise MarksRefused("the ends of the edge are marked at one height")
    doubts = _COVERAGE * np.sqrt(np.diag(spread))
    left_95, bottom_95, high_95 = (float(x) for x in doubts)
    return Measured(left, bottom, 0.0, high, left_95, bottom_95, 0.0, high_95)


def _upright(places: Array) -> Array:
    """Where an edge stands, its foot and its height: (3,)."""
    bottom, top = np.sort(places[:, 1])
    return np.array([places[:, 0].mean(), bottom, top - bottom])


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
