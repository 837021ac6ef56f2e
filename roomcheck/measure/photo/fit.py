"""The camera before a wall, from marks whose places on the wall are known.

The homography between wall and picture comes from the normalised direct linear transformation
(Hartley and Zisserman, Multiple View Geometry, 2nd ed., algorithm 4.2) and is taken apart into a
camera with square pixels; least squares over all marks and straight lines then refine it, with what
is known beforehand of cameras as further observations. The covariance is the inverse of the normal
matrix (same book, section 5.2).
"""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from roomcheck.errors import RoomcheckError
from roomcheck.measure.photo.projection import UNKNOWNS, camera_of, pixels_of, straight_px
from roomcheck.measure.photo.results import (
    MARK_PX,
    TAPE_M,
    Array,
    Camera,
    Frame,
    Mark,
    WallPhoto,
    rows,
)

LEAST_MARKS = 4
_FOCAL_SHARE = 0.7
"""Of the picture's diagonal, where the camera left no record: between a telephone's wide and its
portrait lens. Judgement."""
_FOCAL_SPREAD = 0.6
"""Standard deviation of its logarithm: from 0.2 to 2.3 diagonals is nine in ten. Judgement."""
_RECORD_SPREAD = 0.05
"""Of the camera's own record: a whole number of millimetres of a small focal length. Judgement."""
_BEND_SPREAD = 0.03
"""Distortion at the corner before anything is known of it, one standard deviation. Judgement."""
_AXIS_SPREAD = 0.015
"""Of the lens's axis off the middle, as a share of the diagonal. Judgement."""
_STARTS = (1.0, 0.6, 1.7)
"""Focal lengths to start from, as multiples of the likeliest."""
_FLAT_SHARE = 0.02
"""Three marks stand on one line where the least height of their triangle is this share of its
longest side."""
_REFUSED_BELOW = 1e-4
"""Chance of marks so far off, were they right."""


class MarksRefused(RoomcheckError):
    """Marks of a photograph that cannot be those of the wall."""

    def __init__(self, text: str, marks: Sequence[int] = (), line: int | None = None) -> None:
        self.marks = tuple(marks)
        """Numbers of those that it is about, from 1; none where it is about all."""
        self.line = line
        """Number of the straight line that it is about, from 1."""
        super().__init__(text)


@dataclass(frozen=True, slots=True)
class _Problem:
    frame: Frame
    first: Array
    places_m: Array
    pixels: Array
    weights: Array
    lines: tuple[Array, ...]
    mark_px: float
    likely: Array
    spread: Array

    def residuals(self, unknowns: Array) -> Array:
        camera = camera_of(unknowns, self.frame, self.first)
        off = np.nan_to_num(pixels_of(camera, self.places_m) - self.pixels, nan=1e6)
        known = (unknowns[6:] - self.likely) / self.spread
        parts = [(off * self.weights[:, None]).ravel(), known]
        parts += [_off_line(line, camera, self.frame) / self.mark_px for line in self.lines]
        return np.concatenate(parts)


def fit_photo(
    frame: Frame,
    marks: Sequence[Mark],
    lines: Sequence[Sequence[tuple[float, float]]] = (),
    *,
    mark_px: float = MARK_PX,
    tape_m: float = TAPE_M,
) -> WallPhoto:
    """Find where the camera stood before the wall.

    Parameters
    ----------
    frame : Frame
        The upright picture.
    marks : sequence of Mark
        Four or more, no three of four on one line.
    lines : sequence of sequence of (x, y)
        Points of the picture that lie on one straight edge each, three or more a line; they tell
        what the lens bends. [px]
    mark_px : float
        Standard deviation of a mark in the picture. [px]
    tape_m : float
        Standard deviation of a mark's place on the wall. [m]

    Returns
    -------
    WallPhoto

    Raises
    ------
    MarksRefused
        Too few marks, marks outside the picture, on one line, in crossed order, seen from behind,
        or off where one flat wall could show them.
    """
    _check(frame, marks, lines)
    places = np.array([[mark.u_m, mark.v_m] for mark in marks])
    pixels = np.array([[mark.x_px, mark.y_px] for mark in marks])
    flat = straight_px(pixels, 0.0, frame)
    from scipy.optimize import least_squares

    homography = plane_to_plane(places, flat)
    likely_focal = frame.focal_px or _FOCAL_SHARE * 2 * frame.radius_px
    focal_spread = _RECORD_SPREAD if frame.focal_px else _FOCAL_SPREAD
    axis_px = _AXIS_SPREAD * 2 * frame.radius_px
    best: tuple[float, Array, _Problem, Array] | None = None
    for multiple in _STARTS:
        first, shift = _taken_apart(homography, likely_focal * multiple)
        start = np.zeros(UNKNOWNS)
        start[3:6] = shift
        start[6] = np.log(likely_focal * multiple)
        scale = _pixels_a_metre(camera_of(start, frame, first), places)
        problem = _Problem(
            frame,
            first,
            places,
            pixels,
            1 / np.hypot(mark_px, tape_m * scale),
            tuple(np.array(line, dtype=float) for line in lines),
            mark_px,
            np.array([np.log(likely_focal), 0.0, 0.0, 0.0]),
            np.array([focal_spread, _BEND_SPREAD, axis_px, axis_px]),
        )
        found = least_squares(problem.residuals, start, x_scale="jac", max_nfev=200)
        if best is None or found.cost < best[0]:
            best = (float(found.cost), found.x, problem, np.asarray(found.jac, dtype=float))
    assert best is not None
    cost, unknowns, problem, jacobian = best
    camera = camera_of(unknowns, frame, problem.first)
    off = np.linalg.norm(pixels_of(camera, places) - pixels, axis=1)
    _refuse_misfit(2 * cost, len(problem.residuals(unknowns)), 2 * len(lines), off, mark_px)
    covariance = np.asarray(np.linalg.inv(jacobian.T @ jacobian), dtype=float)
    return WallPhoto(
        camera=camera,
        marks=tuple(marks),
        off_px=tuple(float(x) for x in off),
        mark_px=mark_px,
        covariance=rows(covariance),
    )


def plane_to_plane(places: Array, pixels: Array) -> Array:
    """Homography that takes places to pixels, by the normalised direct linear transformation.

    Parameters
    ----------
    places, pixels : ndarray, (n, 2)
        Four or more.

    Returns
    -------
    ndarray, (3, 3)
    """
    to_near, near = _normalised(places)
    to_flat, flat = _normalised(pixels)
    equations = []
    for (u, v), (x, y) in zip(near, flat, strict=True):
        equations.append([0, 0, 0, -u, -v, -1, y * u, y * v, y])
        equations.append([u, v, 1, 0, 0, 0, -x * u, -x * v, -x])
    solution = np.linalg.svd(np.array(equations, dtype=float))[2][-1].reshape(3, 3)
    taken: Array = np.linalg.inv(to_flat) @ solution @ to_near
    return taken


def _normalised(points: Array) -> tuple[Array, Array]:
    """Move points about the origin at a mean distance of the root of 2: matrix, points."""
    middle = points.mean(axis=0)
    scale = np.sqrt(2) / np.linalg.norm(points - middle, axis=1).mean()
    matrix = np.array([[scale, 0, -scale * middle[0]], [0, scale, -scale * middle[1]], [0, 0, 1]])
    return matrix, (points - middle) * scale


def _taken_apart(homography: Array, focal_px: float) -> tuple[Array, Array]:
    """Turn (3, 3) and shift (3,) [m] of a camera that shows the wall by this homography."""
    columns = np.diag([1 / focal_px, 1 / focal_px, 1.0]) @ homography
    scale = 2 / (np.linalg.norm(columns[:, 0]) + np.linalg.norm(columns[:, 1]))
    columns = columns * (scale if columns[2, 2] > 0 else -scale)
    across = np.column_stack([columns[:, :2], np.cross(columns[:, 0], columns[:, 1])])
    left, _, right = np.linalg.svd(across)
    return left @ np.diag([1, 1, np.linalg.det(left @ right)]) @ right, columns[:, 2]


def _pixels_a_metre(camera: Camera, places: Array) -> Array:
    """Pixels that a metre of the wall takes at each place, the greater of across and up: (n,)."""
    step = 1e-3
    at = pixels_of(camera, places)
    across = np.linalg.norm(pixels_of(camera, places + np.array([step, 0])) - at, axis=1)
    up = np.linalg.norm(pixels_of(camera, places + np.array([0, step])) - at, axis=1)
    scale: Array = np.nan_to_num(np.maximum(across, up) / step)
    return scale


def _off_line(line: Array, camera: Camera, frame: Frame) -> Array:
    """How far points lie off their best straight line once the lens's bend is taken off: (n,).
    [px]"""
    points = straight_px(line, camera.bend, frame)
    points = points - points.mean(axis=0)
    off: Array = points @ np.linalg.svd(points)[2][-1]
    return off


def _check(
    frame: Frame, marks: Sequence[Mark], lines: Sequence[Sequence[tuple[float, float]]]
) -> None:
    """Refuse marks that no photograph of a wall can have."""
    if len(marks) < LEAST_MARKS:
        raise MarksRefused(
            f"{len(marks)} marks are given and {LEAST_MARKS} are needed: the wall's corners, a "
            "door's corners or those of a rectangle that you measured"
        )
    for number, mark in enumerate(marks, 1):
        values = (mark.x_px, mark.y_px, mark.u_m, mark.v_m)
        if not np.isfinite(values).all():
            raise MarksRefused(
                f"mark {number}: found {values}, needed four finite numbers", (number,)
            )
        if not (0 <= mark.x_px <= frame.width_px and 0 <= mark.y_px <= frame.height_px):
            raise MarksRefused(
                f"mark {number} lies at {mark.x_px:g}, {mark.y_px:g}, outside the picture of "
                f"{frame.width_px} by {frame.height_px} pixels",
                (number,),
            )
    for number, line in enumerate(lines, 1):
        if len(line) < 3:
            raise MarksRefused(
                f"straight line {number} has {len(line)} points; three or more tell whether the "
                "lens bends it",
                line=number,
            )
    _check_triangles(marks)


def _check_triangles(marks: Sequence[Mark]) -> None:
    """Refuse marks on one line, in crossed order, or as a mirror shows them."""
    places = np.array([[mark.u_m, mark.v_m] for mark in marks])
    pixels = np.array([[mark.x_px, mark.y_px] for mark in marks])
    agree: list[tuple[int, ...]] = []
    against: list[tuple[int, ...]] = []
    flat: set[tuple[int, ...]] = set()
    for three in itertools.combinations(range(len(marks)), 3):
        on_wall, slim_wall = _triangle(places[list(three)])
        in_picture, slim_picture = _triangle(pixels[list(three)] * [1, -1])
        if slim_wall or slim_picture:
            flat.add(three)
        else:
            (agree if on_wall * in_picture > 0 else against).append(three)
    if not _some_four_apart(len(marks), flat):
        raise MarksRefused(
            f"marks {_numbers(min(flat))} lie on one line, and no four marks are left of which no "
            "three do; mark a point well off that line",
            [index + 1 for index in min(flat)],
        )
    if against and not agree:
        raise MarksRefused(
            "the marks go round the other way in the picture than on the wall: the picture is "
            "mirrored, or left and right were exchanged (left is as seen from inside the room)"
        )
    if against:
        raise MarksRefused(
            f"marks {_numbers(against[0])} go round the other way in the picture than on the "
            "wall: two marks have changed places",
            [index + 1 for index in against[0]],
        )


def _triangle(corners: Array) -> tuple[float, bool]:
    """Signed area of a triangle, and whether it is nearly a line."""
    (ax, ay), (bx, by) = corners[1] - corners[0], corners[2] - corners[0]
    double = float(ax * by - ay * bx)
    longest = max(np.linalg.norm(corners[i] - corners[j]) for i, j in ((0, 1), (0, 2), (1, 2)))
    return double, bool(abs(double) <= _FLAT_SHARE * longest**2)


def _some_four_apart(count: int, flat: set[tuple[int, ...]]) -> bool:
    """Whether four marks are there of which no three lie on one line."""
    for four in itertools.combinations(range(count), LEAST_MARKS):
        if not flat.intersection(itertools.combinations(four, 3)):
            return True
    return False


def _numbers(three: tuple[int, ...]) -> str:
    a, b, c = (index + 1 for index in three)
    return f"{a}, {b} and {c}"


def _refuse_misfit(
    weighed: float, observations: int, used_by_lines: int, off_px: Array, mark_px: float
) -> None:
    """Refuse marks that no camera before this wall could show, by the sum of their weighed
    squares."""
    from scipy.stats import chi2

    freedom = observations - UNKNOWNS - used_by_lines
    if chi2.sf(weighed, freedom) >= _REFUSED_BELOW:
        return
    worst = int(np.argmax(off_px))
    marks: tuple[int, ...] = ()
    where = "the wall would have to be seen by a lens that no camera has"
    if off_px[worst] > 3 * mark_px:
        marks = (worst + 1,)
        where = f"mark {worst + 1} lies {off_px[worst]:.0f} pixels from where it should appear"
    raise MarksRefused(
        f"the marks do not fit one flat wall of this size: {where}. Check the distances that you "
        "typed, and whether it is this wall",
        marks,
    )
