"""Furniture in a layer over the floor, against particles that fly through boxes."""

import numpy as np
import pytest

from roomcheck.predict.rays import furniture
from roomcheck.predict.rays.furniture import LEVELS, PIECE_M, Furniture, classes_of

SIDE_M, COUNT = 12.0, 60
"""A floor that repeats for ever, and chairs on it."""
OF = Furniture.of(np.array([COUNT]), np.array([PIECE_M]), SIDE_M**2)
FLUX = np.diff(np.append(0.0, LEVELS**2 / (1 + LEVELS**2)), append=1.0)
"""Share of a diffuse field's flux through the floor that runs so level: sin^2 of the angle."""


def closed_boxes(monkeypatch):
    monkeypatch.setattr(furniture, "STANDS", 1.0)
    monkeypatch.setattr(furniture, "THROWS", 1.0)


def boxes(rng):
    """Lower corners of chairs that do not overlap."""
    corners = []
    while len(corners) < COUNT:
        at = rng.uniform(0, SIDE_M - PIECE_M[0], 2)
        if all(np.abs(at - other).max() > PIECE_M[0] for other in corners):
            corners.append(at)
    return np.array([[*corner, 0.0] for corner in corners])


def coming_down(rays, rng):
    """Anywhere on top of the layer, after Lambert."""
    rise, turn = np.sqrt(rng.random(rays)), rng.uniform(0, 2 * np.pi, rays)
    flat = np.sqrt(1 - rise**2)
    way = np.stack([flat * np.cos(turn), flat * np.sin(turn), -rise], axis=1)
    above = np.full(rays, PIECE_M[2] + 1e-9)
    return np.column_stack([rng.uniform(0, SIDE_M, (rays, 2)), above]), way


def flown(alpha, scatter, box, rays=20_000):
    """What particles that come down into the layer lose there and what leaves mirrored only, by
    their class; boxes stand at random, do not overlap, and scatter after Lambert."""
    rng = np.random.default_rng(7)
    corners, top = boxes(rng), PIECE_M[2]
    ends = corners + PIECE_M
    place, way = coming_down(rays, rng)
    kind, power, plain = classes_of(way), np.ones(rays), np.ones(rays, dtype=bool)
    live = np.arange(rays)
    while len(live):
        p, w = place[live], way[live]
        with np.errstate(divide="ignore"):
            edge = np.where(w[:, :2] > 0, (SIDE_M - p[:, :2]) / w[:, :2], -p[:, :2] / w[:, :2])
            over = 1 / np.where(w == 0, 1e-12, w)
        down, up = -p[:, 2] * over[:, 2], (top + 2e-9 - p[:, 2]) * over[:, 2]
        far = np.stack([*edge.T, np.where(w[:, 2] < 0, down, up)], axis=1)
        what = np.argmin(far, axis=1)
        near, hit = far.min(axis=1), np.full(len(live), -1)
        for i, (low, high) in enumerate(zip(corners, ends, strict=True)):
            a, b = (low - p) * over, (high - p) * over
            enter, leave = np.minimum(a, b).max(axis=1), np.maximum(a, b).min(axis=1)
            met = (leave > enter) & (enter > 1e-9) & (enter < near)
            near[met], hit[met] = enter[met], i
        p = p + near[:, None] * w
        normal = np.zeros_like(p)
        on = np.flatnonzero(hit >= 0)
        gap = np.concatenate([p[on] - corners[hit[on]], ends[hit[on]] - p[on]], axis=1)
        side = np.argmin(np.abs(gap), axis=1)
        normal[on, side % 3] = np.where(side < 3, -1.0, 1.0)
        floor = np.flatnonzero((hit < 0) & (what == 2) & (w[:, 2] < 0))
        normal[floor, 2] = 1.0
        power[live[on]] *= 1 - box
        power[live[floor]] *= 1 - alpha
        spread = np.concatenate([on, floor[rng.random(len(floor)) < scatter]])
        plain[live[spread]] = False
        w[floor, 2] = np.abs(w[floor, 2])
        anywhere = rng.standard_normal((len(spread), 3))
        anywhere /= np.linalg.norm(anywhere, axis=1)[:, None]
        lambert = normal[spread] + anywhere
        w[spread] = lambert / np.linalg.norm(lambert, axis=1)[:, None]
        round_ = (hit < 0) & (what < 2)
        p[:, :2] = np.where(round_[:, None], p[:, :2] % SIDE_M, p[:, :2])
        for axis in range(2):
            across = round_ & (what == axis)
            p[across, axis] = np.where(w[across, axis] > 0, 0.0, SIDE_M)
        place[live], way[live] = p + 1e-9 * normal, w
        out = (hit < 0) & (what == 2) & (w[:, 2] > 0) & (p[:, 2] >= top)
        live = live[~out & (power[live] > 1e-4)]
    count = np.bincount(kind)
    lost = np.bincount(kind, 1 - power) / count
    kept = np.bincount(kind, power * plain) / count
    return lost, kept


@pytest.mark.parametrize(
    ("alpha", "scatter", "box"), [(0.05, 0.1, 0.2), (0.3, 0.5, 0.4), (0.02, 0.02, 0.1)]
)
def test_particles_in_a_layer_of_boxes_lose_as_much(monkeypatch, alpha, scatter, box):
    closed_boxes(monkeypatch)
    lost, kept = flown(alpha, scatter, box)
    taken, spread = OF.floor(alpha, scatter, box * (OF.tops + OF.sides))
    assert taken == pytest.approx(lost, abs=0.04)  # a class is one mean
    assert (1 - taken) * (1 - spread) == pytest.approx(kept, abs=0.04)
    assert FLUX @ taken == pytest.approx(FLUX @ lost, rel=0.08)


def test_in_a_diffuse_field_each_surface_is_met_by_its_area():
    """Little absorption: Sabine's sum, whatever the rays do (Kuttruff, Room Acoustics, mean free
    path; from memory)."""
    small, free = 1e-5, 1 - 0.5 * OF.tops
    taken, _ = OF.floor(small, 0.3, 2 * small)
    half = 0.5 * 2 * small
    assert FLUX @ taken == pytest.approx(small * free + half * free + half, rel=1e-3)


def test_nothing_is_lost_where_nothing_absorbs():
    taken, spread = OF.floor(0.0, 0.1, 0.0)
    assert taken == pytest.approx(0, abs=1e-12)
    assert np.all((spread >= 0.1) & (spread <= 1))
    assert np.all(np.diff(spread) > 0)  # the more level, the less comes through


def test_no_more_is_lost_than_there_is():
    crowd = Furniture.of(np.array([200.0]), np.array([PIECE_M]), 40.0)
    taken, spread = crowd.floor(0.9, 0.9, 8.0)
    assert np.all((taken <= 1) & (spread >= 0) & (spread <= 1))
    assert crowd.beyond(0.9, 8.0) == pytest.approx(0.9 + 4 - 1 + 0.5 * max(8 - 9.75, 0))


def test_furniture_is_boxes_for_level_rays_alone():
    """A ray straight down meets tops; one that is nearly level meets sides (common practice)."""
    taken, _ = OF.floor(0.02, 0.1, 0.3)
    assert taken[0] < taken[1] < taken[2] < taken[3]
    assert list(classes_of(np.array([[0, 0, -1.0], [1, 0, 0.5], [4, 0, 1.0], [1, 1, 0]]))) == [
        0,
        1,
        2,
        3,
    ]
