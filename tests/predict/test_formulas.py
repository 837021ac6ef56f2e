"""The classical formulas against worked cases and published examples."""

from __future__ import annotations

from types import SimpleNamespace

import numpy as np
import pytest

from roomcheck.predict.answer.before_after import _unexplained
from roomcheck.predict.answer.statistics import eyring_of
from roomcheck.predict.rays.bundles import even_ways
from roomcheck.predict.rays.scene import SCATTER_GRID, Shape
from roomcheck.predict.room import formulas as f
from roomcheck.predict.room.conditions import Conditions
from roomcheck.units import M2_PER_FT2, M_PER_FT

# Name: sides, (alpha of the two faces across x, y, z), air m, then Sabine, Eyring, Millington,
# Fitzroy, Arau-Puchades, Kuttruff (uneven), Kuttruff (paths, 0.4). Computed apart from this
# program, c = 343; case A's Sabine, Eyring, Fitzroy and Arau agree with an open acoustics library
# to six digits.
A, B, C, D, E, F = (
    ((6, 4, 3), ((0.1, 0.1), (0.1, 0.1), (0.3, 0.6))),
    ((5, 4, 2.5), ((0.05, 0.05), (0.05, 0.05), (0.05, 0.7))),
    ((5, 4, 2.5), ((0.05, 0.6), (0.05, 0.6), (0.1, 0.1))),
    ((8, 7, 3), ((0.05, 0.05),) * 3),
    ((10, 5, 4), ((0.35, 0.35), (0.35, 0.35), (0.15, 0.6))),
    ((6, 4, 3), ((0.2, 0.2),) * 3),
)
CASES = [
    (*A, 0.0, "0.4203 0.3640 0.3146 0.6462 0.4713 0.3563 0.3868"),
    (*A, 0.001, "0.4160 0.3607 0.3122 0.6319 0.4639 0.3532 0.3831"),
    (*B, 0.0, "0.4670 0.4178 0.2939 1.0731 0.6515 0.3850 0.4377"),
    (*C, 0.0, "0.4325 0.3832 0.3100 0.5510 0.4480 0.3481 0.4031"),
    (*D, 0.0, "2.6799 2.6123 2.6123 2.6123 2.6123 2.6123 2.6394"),
    (*E, 0.0, "0.4053 0.3266 0.3050 0.3271 0.3268 0.3160 0.3588"),
    (*F, 0.0, "0.5370 0.4813 0.4813 0.4813 0.4813 0.4813 0.5038"),
]


def all_formulas(sides, alphas, air):
    sides, alphas = np.array(sides, float), np.array(alphas)
    V, each = sides.prod(), sides.prod() / sides
    areas = np.repeat(each, 2)
    S, absorbing = areas.sum(), float(areas @ alphas.ravel())
    more = {"air_per_m": air, "speed_m_s": 343.0}
    return [
        f.sabine_s(V, absorbing, **more),
        f.eyring_s(V, S, absorbing, **more),
        f.millington_s(V, areas, alphas.ravel(), **more),
        f.fitzroy_s(V, 2 * each, alphas.mean(axis=1), **more),
        f.arau_puchades_s(V, 2 * each, alphas.mean(axis=1), **more),
        f.kuttruff_uneven_s(V, areas, alphas.ravel(), **more),
        f.kuttruff_paths_s(V, S, absorbing, **more),
    ]


@pytest.mark.parametrize(("sides", "alphas", "air", "printed"), CASES)
def test_worked_cases(sides, alphas, air, printed):
    found = [float(T) for T in all_formulas(sides, alphas, air)]
    assert found == pytest.approx([float(p) for p in printed.split()], abs=0.51e-4, rel=0)


def test_models_that_must_differ_differ():
    found = [float(T) for T in all_formulas(*B, 0.0)]
    apart = np.abs(np.subtract.outer(found, found)) / np.mean(found)
    assert np.all(apart[~np.eye(7, dtype=bool)] > 0.03)


def test_millington_is_not_eyring():
    # Two open libraries return Eyring, 0.3640 s, under Millington's name.
    assert float(all_formulas(*A, 0.0)[2]) == pytest.approx(0.3146, abs=5e-5)


def test_eyring_in_a_cube_of_64_m3():
    # Printed in the documentation of an open room-acoustics package: alpha 0.1, 0.3, 0.4 give 1.02,
    # 0.30, 0.21 s (c = 343.4: 1.018257, 0.300790, 0.210021; Sabine 1.072841, 0.357614, 0.268210).
    A = 96 * np.array([0.1, 0.3, 0.4])
    assert f.eyring_s(64, 96, A, speed_m_s=343.4) == pytest.approx(
        [1.018257, 0.300790, 0.210021], abs=1e-6
    )
    assert f.sabine_s(64, A, speed_m_s=343.4) == pytest.approx(
        [1.072841, 0.357614, 0.268210], abs=1e-6
    )


# Master Handbook of Acoustics, worked reverberation examples: room 23.3 x 16 x 10 ft, 0.049 s/ft.
# Concrete floor 373 ft2, gypsum board 1159 ft2, and in the treated room acoustical tile 340 ft2.
CONCRETE = (0.01, 0.01, 0.015, 0.02, 0.02, 0.02)
GYPSUM = (0.29, 0.10, 0.05, 0.04, 0.07, 0.09)
TILE = (0.09, 0.28, 0.78, 0.84, 0.73, 0.64)
UNTREATED = ("339.8 119.6 63.5 53.8 88.6 111.8", "0.54 1.53 2.87 3.39 2.06 1.63")
TREATED = ("370.4 214.8 328.7 339.4 336.8 329.4", "0.49 0.85 0.56 0.54 0.54 0.55")


@pytest.mark.parametrize(("tile_ft2", "printed"), [(0.0, UNTREATED), (340.0, TREATED)])
def test_the_master_handbook_room(tile_ft2, printed):
    sabins = 373 * np.array(CONCRETE) + 1159 * np.array(GYPSUM) + tile_ft2 * np.array(TILE)
    assert sabins == pytest.approx([float(p) for p in printed[0].split()], abs=0.051)
    speed_m_s = 24 * np.log(10) / 0.049 * M_PER_FT
    T = f.sabine_s(3728 * M_PER_FT**3, sabins * M2_PER_FT2, speed_m_s=speed_m_s)
    assert pytest.approx([float(p) for p in printed[1].split()], abs=0.0051, rel=0) == T


def test_absorption_that_a_shorter_decay_needs():
    # V 60 m3 from 0.62 to 0.40 s: 8.569 m2 (computed apart, 24 ln10/c = 0.161).
    speed = 24 * np.log(10) / 0.161
    before = 0.161 * 60 / 0.62
    assert float(f.sabine_s(60, before + 8.569, speed_m_s=speed)) == pytest.approx(0.40, abs=2e-5)


def test_no_answer_is_not_a_number_and_never_zero():
    assert np.isnan(f.eyring_s(50, 85, 85.0, speed_m_s=343))
    assert np.isnan(f.sabine_s(50, 0.0, speed_m_s=343))


def test_a_bundle_leaves_evenly_in_all_directions():
    """Moments of an even sphere: the mean is 0, the mean square along each axis 1/3, the mean
    fourth power 1/5."""
    places, ways, weights = even_ways(np.array([[1.0, 2.0, 1.5], [2.0, 1.0, 1.2]]))
    share = weights / weights.sum()
    assert np.linalg.norm(ways, axis=1) == pytest.approx(1.0)
    assert share @ ways == pytest.approx(np.zeros(3), abs=0.02)
    assert share @ ways**2 == pytest.approx(np.full(3, 1 / 3), abs=0.005)
    assert share @ ways**4 == pytest.approx(np.full(3, 1 / 5), abs=0.005)
    assert weights.mean() == pytest.approx(1.0, abs=0.01)
    assert set(map(tuple, places)) == {(1.0, 2.0, 1.5), (2.0, 1.0, 1.2)}


def test_a_shape_leans_by_how_far_a_coefficient_is_from_where_it_was_simulated():
    """Between the scatterings straight, beyond them level: by hand on a shape of one band."""
    about = np.log([[0.2], [0.1]])
    ratios = np.linspace(0.3, 0.0, len(SCATTER_GRID))[:, None]
    shape = Shape(
        ratios=ratios,
        lean=np.array([[0.5], [-0.25]]),
        about=about,
        early=np.zeros_like(ratios),
        failed=np.zeros(1, dtype=bool),
    )
    grid = np.log(SCATTER_GRID)
    assert shape.log_ratio(about, grid[:1]) == pytest.approx([0.3])
    assert shape.log_ratio(about, (grid[:1] + grid[1:2]) / 2) == pytest.approx(
        [(ratios[0, 0] + ratios[1, 0]) / 2]
    )
    assert shape.log_ratio(about, grid[-1:] + 1) == pytest.approx([0.0])
    assert shape.log_ratio(about + np.array([[0.1], [0.2]]), grid[:1]) == pytest.approx(
        [0.3 + 0.05 - 0.05]
    )
    assert shape.log_ratio(about + np.array([[0.2], [0.0]]), grid[:1]) == pytest.approx([0.4])


def test_an_error_taken_as_area_gives_the_very_decay_that_was_measured():
    """Eyring with air: the area that is found makes the formula give what it missed by."""
    air = Conditions(volume_m3=60.0, surface_m2=94.0, air_per_m=np.full(2, 0.004), speed_m_s=343.0)
    room = SimpleNamespace(unexplained=True, before=air, amounts=np.array([94.0]), keys=("wall",))
    logs = np.log(np.full((4, 1, 2), 0.15))
    error = np.full((4, 2), [-0.2, 0.15])
    extra, left = _unexplained(room, logs, error)
    A = np.full(2, 94.0 * 0.15)
    missed = eyring_of(air, A)
    assert eyring_of(air, A + extra[0]) == pytest.approx(missed * np.exp(error[0]))
    assert left[0] == pytest.approx(np.zeros(2)) and left[1] == pytest.approx(error[1])
    assert extra[1] == pytest.approx(np.zeros(2))
