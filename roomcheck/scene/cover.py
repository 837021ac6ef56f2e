"""What lies behind a flat piece, seen from an eye: five half-spaces, exactly."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from roomcheck.scene.facets import Facets
from roomcheck.scene.view import View

Floats = NDArray[np.float64]

BEHIND_M = 1e-5
"""What lies less behind a plane lies in it. [m]"""
BESIDE_M = 1e-7
"""By how much what is hidden is widened, so that two pieces that touch leave no crack. [m]"""


def shadows(view: View, facets: Facets) -> Floats:
    """What each facet hides, as half-spaces.

    Parameters
    ----------
    facets : Facets
        That show their front to the eye.

    Returns
    -------
    (facets, 5, 4)
        Coefficients a, b, c, d: a place is hidden where :math:`ax + by + cz + d > 0` in all five.
        The first is the facet's own plane; the others lie through the eye and one edge.
    """
    corners = facets.corners
    planes = np.zeros((len(facets), 5, 4))
    planes[:, 0, :3] = -facets.normals
    planes[:, 0, 3] = np.einsum("fi,fi->f", facets.normals, corners[:, 0]) - BEHIND_M
    edge = np.roll(corners, -1, axis=1) - corners
    normal = np.cross(edge, view.towards_eye(corners))
    length = np.linalg.norm(normal, axis=-1, keepdims=True)
    none = length[..., 0] < 1e-12
    normal = normal / np.where(length < 1e-12, 1.0, length)
    level = -np.einsum("fki,fki->fk", normal, corners)
    middle = corners.mean(axis=1)
    inside = np.einsum("fki,fi->fk", normal, middle) + level
    sign = np.where(inside < 0, -1.0, 1.0)
    planes[:, 1:, :3] = normal * sign[..., None]
    planes[:, 1:, 3] = level * sign + BESIDE_M
    # A triangle's fourth edge has no length and bounds nothing.
    planes[:, 1:][none] = (0.0, 0.0, 0.0, 1.0)
    return planes


def hidden(points: Floats, planes: Floats) -> NDArray[np.bool_]:
    """Whether places lie behind any of the facets whose half-spaces are given.

    Parameters
    ----------
    points : (places, 3)
        [m]
    planes : (facets, 5, 4)
        As `shadows` makes them.

    Returns
    -------
    (places,)
    """
    behind = np.ones((len(points), len(planes)), dtype=bool)
    for k in range(planes.shape[1]):
        behind &= points @ planes[:, k, :3].T + planes[:, k, 3] > 0
    return np.asarray(behind.any(axis=1))
