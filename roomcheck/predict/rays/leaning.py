"""How the simulated decay leans with each material, from mean transport alone: which paths are
mirrored early hardly moves it.

A derivative is a difference of two rooms in the same directions, so it needs far fewer of them than
a decay does; and its step is small, since the decay bends with the logarithm of a coefficient.
"""

from __future__ import annotations

import dataclasses

import numpy as np
from numpy.typing import NDArray

from roomcheck.predict.rays.scene import Scene, Shape, flat_shape
from roomcheck.predict.rays.transport import Box

Real = NDArray[np.float64]

NUDGE = 0.02
"""Step of a log coefficient. [log]"""
NODES = 5
"""Directions along each of the two angles of an octant: with 20 and half the step no derivative
differs by more than 0.005, those of a step of 0.2 by 0.036."""
FOLLOWED_DECAYS = 1.2
"""How long a decay is followed, in units of Eyring's: the first 25 dB are read."""


def leaning(scene: Scene, log_alphas: Real, wanted: NDArray[np.bool_], scatter: float) -> Shape:
    """Eyring's formula with the derivatives that the simulation has of its ratio to it.

    Parameters
    ----------
    scene : Scene
        Followed pairs and rays are left aside.
    log_alphas : (materials, bands)
        Where the derivatives are taken. [log]
    wanted : (bands,) bool
        Bands to simulate; 0 in the others, and where no decay could be fitted.
    scatter : float
        Of every surface that has no coefficient of its own. [1]

    Returns
    -------
    Shape
        Its `lean` is what was asked for.
    """
    plain = dataclasses.replace(scene, pairs=(), bundles=None)
    lean = np.zeros_like(log_alphas)
    for band in (int(b) for b in np.flatnonzero(wanted)):
        lean[:, band] = _lean(plain, np.exp(log_alphas[:, band]), band, scatter)
    return dataclasses.replace(flat_shape(log_alphas), lean=lean)


def _lean(plain: Scene, alphas: Real, band: int, scatter: float) -> Real:
    """d ln ratio / d ln alpha in one band, (materials,). [1]"""
    x, y, z = (float(side) for side in plain.sides_m)
    seconds = FOLLOWED_DECAYS * plain.eyring_s(alphas, band)
    box = Box.of((x, y, z), plain.conditions.speed_m_s, seconds, nodes=NODES)
    boxed = dataclasses.replace(plain, box=box)
    middle, lean = boxed.log_ratio(alphas, band, scatter), np.zeros(len(alphas))
    for m in np.flatnonzero(boxed.on_faces()):
        moved = alphas.copy()
        moved[m] *= np.exp(NUDGE)
        lean[m] = (boxed.log_ratio(moved, band, scatter) - middle) / NUDGE
    return np.nan_to_num(lean)
