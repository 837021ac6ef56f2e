"""Rays that meet each patch against closed forms and against the mean-coefficient transport."""

from __future__ import annotations

import numpy as np
import pytest

from roomcheck.geometry import Rectangle, Room
from roomcheck.predict.rays.bundles import bundles
from roomcheck.predict.rays.images import FaceMap, side_of
from roomcheck.predict.rays.transport import Box, decay_fit_s, energy, remaining

C = 343.0
OFFICE = Room.box(5, 4, 2.8)
SOURCES = np.array([[1.2, 1.3, 1.2], [3.9, 0.9, 1.5], [2.2, 3.2, 0.9]])


def followed(patches=None, seconds=1.0):
    """Row 0 on the walls and the floor, 1 on the ceiling, 2 on patches."""
    maps = {
        side_of(face): FaceMap(
            face=face,
            base=int(face.name == "ceiling"),
            patches=tuple((p, 2) for p in (patches or {}).get(face.name, ())),
        )
        for face in OFFICE.faces
    }
    return bundles(np.array([5.0, 4.0, 2.8]), maps, np.zeros(3), SOURCES, C, seconds)


def decay(found, alphas, scatter):
    rows = found.region_rows
    mirrored, scattered = found.energy(np.array(alphas)[rows], np.full(len(rows), scatter))
    return decay_fit_s(found.times_s, remaining(found.times_s, mirrored + scattered))


@pytest.mark.parametrize("scatter", [0.0, 0.1, 0.5, 1.0])
def test_nothing_is_lost_where_nothing_absorbs(scatter):
    found = followed({"north": (Rectangle(1, 0.5, 2, 1),)})
    mirrored, scattered = found.energy(np.zeros(7), np.full(7, scatter))
    assert mirrored + scattered == pytest.approx(np.ones(found.steps), abs=1e-5)


@pytest.mark.parametrize(
    ("walls", "ceiling", "scatter"), [(0.05, 0.8, 0.3), (0.05, 0.8, 0.1), (0.15, 0.15, 0.2)]
)
def test_faces_of_one_material_each_agree_with_the_mean_transport(walls, ceiling, scatter):
    box = Box.of((5, 4, 2.8), C, 1.4)
    alpha = np.array([[walls, walls], [walls, walls], [walls, ceiling]])
    mirrored, scattered = energy(box, alpha, np.full((3, 2), scatter))
    mean = decay_fit_s(box.times_s, remaining(box.times_s, mirrored + scattered))
    assert decay(followed(seconds=1.4), (walls, ceiling, 0.0), scatter) == pytest.approx(
        mean, rel=0.06
    )


def test_an_independent_tracer_of_particles_agrees():
    # Office with a ceiling of 0.8, scattering 0.3: T30 0.46 s (a separate program, repeatable to 2
    # %).
    found = followed(seconds=1.2)
    rows = found.region_rows
    mirrored, scattered = found.energy(np.array([0.05, 0.8])[rows], np.full(6, 0.3))
    T30 = decay_fit_s(found.times_s, remaining(found.times_s, mirrored + scattered), -5.0, -35.0)
    assert pytest.approx(0.46, rel=0.05) == T30


def test_a_band_of_panels_lets_level_sound_pass_above_it():
    # The same area on the four walls: the lower half of each, or upright strips. Level sound misses
    # the first.
    low = {
        name: (Rectangle(0, 0, width, 1.4),)
        for name, width in zip(("south", "east", "north", "west"), (5, 4, 5, 4), strict=True)
    }
    upright = {
        name: tuple(Rectangle(i * width / 8, 0, width / 16, 2.8) for i in range(8))
        for name, width in zip(("south", "east", "north", "west"), (5, 4, 5, 4), strict=True)
    }
    banded, striped = (decay(followed(p), (0.05, 0.05, 0.9), 0.1) for p in (low, upright))
    assert banded > 1.1 * striped
