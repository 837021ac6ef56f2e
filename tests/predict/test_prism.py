"""Rays in rooms of any plan: against the unfolded box, against pyroomacoustics, and patches where
they are."""

from __future__ import annotations

import dataclasses
from types import SimpleNamespace

import numpy as np
import pytest

from roomcheck.geometry import Point, Rectangle, Room
from roomcheck.predict.answer.second_opinion import traced_decay_s
from roomcheck.predict.rays.bundles import Bundles, bundles
from roomcheck.predict.rays.images import FaceMap, follow_in_box
from roomcheck.predict.rays.kept import Kept
from roomcheck.predict.rays.prism import _Planes, follow_in_prism, followed, within
from roomcheck.predict.rays.response import simulated_response
from roomcheck.predict.rays.scene import scene_of, with_bundles
from roomcheck.predict.rays.transport import decay_fit_s, remaining
from roomcheck.predict.room.conditions import Conditions
from roomcheck.units import SPEED_OF_SOUND_M_S

from .test_second_opinion import alphas, lined

C = 343.0
BOX = Room.box(5, 4, 2.8)
L_ROOM = Room(
    corners=((0.0, 0.0), (5.0, 0.0), (5.0, 2.5), (2.5, 2.5), (2.5, 4.5), (0.0, 4.5)),
    height_m=2.6,
    wall_names=("a", "b", "c", "d", "e", "f"),
)
SOURCES = np.array([[1.2, 1.3, 1.2], [3.9, 0.9, 1.5]])


def maps(room, patches=None, ceiling=1):
    return tuple(
        FaceMap(
            face=face,
            base=ceiling if face.name == "ceiling" else 0,
            patches=tuple((p, 2) for p in (patches or {}).get(face.name, ())),
        )
        for face in room.faces
    )


def in_l(on, seconds):
    return bundles(L_ROOM, on, SOURCES, Kept(follow_in_prism(L_ROOM)), C, seconds)


def decay(found, alpha, scatter):
    rows = found.region_rows
    mirrored, scattered = found.energy(np.array(alpha)[rows], np.full(len(rows), scatter))
    return decay_fit_s(found.times_s, remaining(found.times_s, mirrored + scattered))


@pytest.mark.parametrize("scatter", [0.05, 0.3])
def test_stepping_through_a_box_is_unfolding_it(scatter):
    # Two codes for the same rays: mirrored one by one, or straight through mirrored boxes.
    on = maps(BOX, {"north": (Rectangle(1, 0.5, 2, 1.5),)})
    stepped, unfolded = (
        bundles(BOX, on, SOURCES, Kept(follow(BOX)), C, 1.2)
        for follow in (follow_in_prism, follow_in_box)
    )
    for alpha in ([0.1, 0.5, 0.9], [0.05, 0.2, 0.8]):
        assert decay(stepped, alpha, scatter) == pytest.approx(
            decay(unfolded, alpha, scatter), rel=0.02
        )


def test_a_ray_keeps_to_the_room_and_its_length():
    rng = np.random.default_rng(3)
    way = rng.standard_normal((200, 3))
    way /= np.linalg.norm(way, axis=1)[:, None]
    ray, length, face, place = followed(L_ROOM, np.tile([1.2, 3.2, 1.2], (200, 1)), way, 60.0)
    outline = np.array(L_ROOM.corners)
    inside = within(outline, 0.999999 * (place[:, :2] - [1.0, 1.0]) + [1.0, 1.0])
    assert inside.mean() > 0.999
    assert length.max() <= 60.0
    # Mean length between hits is 4 V / S, over many paths in any room (Kosten 1960, from memory).
    assert 200 * 60.0 / len(ray) == pytest.approx(4 * L_ROOM.volume_m3 / L_ROOM.surface_m2, rel=0.1)
    assert set(face.tolist()) == set(range(8))


@pytest.mark.parametrize(("walls", "ceiling"), [(0.1, 0.6), (0.05, 0.8)])
def test_an_l_shaped_room_agrees_with_ray_tracing(walls, ceiling):
    pairs = (
        (Point(1.2, 3.2, 1.2), Point(3.9, 1.4, 1.4)),
        (Point(4.2, 0.9, 1.5), Point(1.1, 1.3, 1.1)),
    )
    air = Conditions(
        volume_m3=L_ROOM.volume_m3,
        surface_m2=L_ROOM.surface_m2,
        speed_m_s=SPEED_OF_SOUND_M_S,
        air_per_m=np.zeros(1),
    )
    scene = scene_of(
        L_ROOM, lined(L_ROOM, walls, ceiling), ("wall", "ceiling"), (1000.0,), air, pairs
    )
    scene = with_bundles(scene, np.array([[walls], [ceiling]]), np.array([True]))
    traced = traced_decay_s(L_ROOM, alphas(L_ROOM, walls, ceiling), 0.3, pairs)
    assert scene.decays_s(np.array([walls, ceiling]), 0, 0.3)[0] == pytest.approx(traced, rel=0.12)


def test_a_patch_is_met_as_often_as_its_area_says():
    # Diffuse rays: a patch gets its share of all hits (closed form).
    place = Rectangle(0.3, 0.3, 1.8, 2.0)
    found = in_l(maps(L_ROOM, {"f": (place,)}), 0.6)
    on_patch = np.flatnonzero(found.region_rows == 2)
    share = np.isin(found.region, on_patch).mean()
    assert share == pytest.approx(place.area_m2 / L_ROOM.surface_m2, rel=0.15)


def test_where_a_patch_hangs_matters_in_a_polygon_too():
    # The same panel at the corner that the other leg never sees, or shared between both legs.
    one = in_l(maps(L_ROOM, {"e": (Rectangle(0.0, 0.0, 2.5, 2.6),)}), 1.2)
    shared = {"e": (Rectangle(0.0, 0.0, 1.25, 2.6),), "b": (Rectangle(0.0, 0.0, 1.25, 2.6),)}
    two = in_l(maps(L_ROOM, shared), 1.2)
    found = [decay(b, [0.05, 0.05, 0.95], 0.1) for b in (one, two)]
    assert abs(found[0] / found[1] - 1) > 0.02


def test_a_scene_of_a_polygon_is_followed_patch_by_patch():
    air = Conditions(volume_m3=1.0, surface_m2=1.0, speed_m_s=C, air_per_m=np.zeros(1))
    scene = scene_of(L_ROOM, lined(L_ROOM, 0.1, 0.6), ("wall", "ceiling"), (1000.0,), air, ())
    assert scene.prism == () and dataclasses.replace(scene).bundles is None


@pytest.mark.parametrize(
    ("place", "way", "face", "length_m"),
    [
        # By hand in the L: 5 m by 2.5 m with a leg of 2.5 m by 2 m more, 2.6 m high.
        ((4.0, 1.0, 1.0), (0, 1, 0), "c", 1.5),
        ((1.0, 1.0, 1.0), (0, 1, 0), "e", 3.5),
        ((1.0, 3.5, 1.0), (1, 0, 0), "d", 1.5),
        ((1.0, 1.0, 1.0), (1, 0, 0), "b", 4.0),
        ((4.0, 1.0, 1.0), (-1, 0, 0), "f", 4.0),
        ((4.0, 1.0, 1.0), (0, -1, 0), "a", 1.0),
        ((4.0, 1.0, 1.0), (0, 0, 1), "ceiling", 1.6),
        ((1.0, 4.0, 1.0), (0, 0, -1), "floor", 1.0),
        ((4.5, 2.0, 1.0), (-0.6, 0.8, 0), "c", 0.625),
        ((2.0, 2.0, 1.0), (0.6, 0.8, 0), "d", 1 / 1.2),
    ],
)
def test_what_a_ray_meets_first_in_an_l(place, way, face, length_m):
    met, which = _Planes.of(L_ROOM).first_met(np.array([place]), np.array([way], dtype=float))
    assert L_ROOM.faces[which[0]].name == face
    assert met[0] == pytest.approx(length_m)


def test_a_response_needs_pairs_and_rays_that_were_followed():
    for missing in ({"pairs": (), "bundles": object()}, {"pairs": (1,), "bundles": None}):
        scene = SimpleNamespace(**missing)
        with pytest.raises(ValueError, match="no followed pairs or rays"):
            simulated_response(scene, np.full((1, 1), 0.1), (500.0,), np.full(1, 0.1), 0)


def test_a_bundle_that_no_ray_starts_hits_nothing():
    """Where patches hide all of a face no ray leaves it: nought of nought is nothing, and the
    energy stays a number."""
    found = Bundles(
        step_s=0.01, steps=3, region_rows=np.array([0]), sender=np.array([0]), still=np.array([1]),
        region=np.array([0]), cell=np.array([0]), weight=np.array([1.0]), rays=np.array([1.0, 0.0]),
    )  # fmt: skip
    mirrored, scattered = found.energy(np.array([0.25]), np.array([0.0]))
    assert np.isfinite(mirrored).all() and np.isfinite(scattered).all()
    # All of the one ray meets the face in the first step; three quarters go on.
    assert mirrored == pytest.approx([0.75, 0.75, 0.75])
