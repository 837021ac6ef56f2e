"""Where things stand: corners of what is built, found again from the job by plain arithmetic."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from roomcheck.geometry import Point, Rectangle, Room
from roomcheck.job import Placement
from roomcheck.scene import best_view, hull_facets, piece_facets, scene, view_of

L_SHAPE = Room(
    corners=((0, 0), (6, 0), (6, 2.6), (3.4, 2.6), (3.4, 5), (0, 5)),
    height_m=2.7,
    wall_names=("south", "east", "inner north", "inner east", "north", "west"),
)


def hung(name: str, piece: str, face: str, *place: float) -> Placement:
    return Placement(name=name, piece=piece, face=face, place=Rectangle(*place))


def corners_of(built, name):
    piece = next(piece for piece in built.pieces if piece.name == name)
    return hull_facets(piece, built.shape(piece.piece)).corners.reshape(-1, 3)


def test_a_panel_stands_where_the_plan_has_it(shop_job):
    job = replace(shop_job, room=L_SHAPE)
    built = scene(job, [hung("A1", "4 in panel", "west", 1.0, 0.8, 0.6096, 1.2192)])
    corners = corners_of(built, "A1")
    # The west wall is seen from inside from its south end at y = 0 on the left to y = 5.
    low, high = corners.min(axis=0), corners.max(axis=0)
    assert low == pytest.approx([0.0, 1.0, 0.8], abs=1e-9)
    assert high == pytest.approx([0.1143, 1.6096, 2.0192], abs=1e-9)


def test_a_piece_on_its_side_is_turned_and_not_stretched(shop_job):
    job = replace(shop_job, room=L_SHAPE)
    built = scene(job, [hung("A1", "well diffuser", "south", 1.0, 0.9, 1.2192, 0.6096)])
    corners = corners_of(built, "A1")
    size = corners.max(axis=0) - corners.min(axis=0)
    assert size[[0, 2]] == pytest.approx([1.2192, 0.6096], abs=1e-9)
    piece = built.pieces[0]
    parts = piece_facets(piece, built.shape(piece.piece)).corners.reshape(-1, 3)
    assert (parts.min(axis=0) >= corners.min(axis=0) - 1e-9).all()
    assert (parts.max(axis=0) <= corners.max(axis=0) + 1e-9).all()
    fins = [b for b in built.shapes[0].outside if b.part == "fin"]
    axes = piece.axes
    ends = [np.subtract(axes.to_room(0, b.size_m[1], 0), axes.to_room(0, 0, 0)) for b in fins]
    assert all(abs(end[0]) == pytest.approx(fins[0].size_m[1]) for end in ends)  # fins lie level


def test_every_block_of_a_diffuser_stands_out_of_the_wall_by_its_height(shop_job):
    from roomcheck.workshop import build_pieces

    job = replace(shop_job, room=L_SHAPE)
    built = scene(job, [hung("A1", "block diffuser", "south", 1.0, 0.8, 0.6096, 1.2192)])
    sheet = build_pieces(job, [("block diffuser", 1)]).sheets[0]
    heights = sorted(h for row in sheet.row_map for h in row if h > 0)
    blocks = [body for body in built.shapes[0].outside if body.part == "block"]
    assert sorted(body.size_m[2] for body in blocks) == pytest.approx(heights)
    assert len(blocks) > 100


def test_a_corner_piece_touches_both_walls_and_stays_in_the_room(shop_job):
    job = replace(shop_job, room=L_SHAPE)
    # The west wall's left edge is the corner with the south wall.
    built = scene(job, [hung("A1", "corner trap", "west", 0.0, 0.7, 0.6096, 1.2192)])
    axes, shape = built.pieces[0].axes, built.shapes[0]
    leg = shape.width_m / 2**0.5
    left, right = axes.to_room(0, 0, 0), axes.to_room(shape.width_m, 0, 0)
    assert left == pytest.approx((leg, 0.0, 0.7), abs=1e-9)
    assert right == pytest.approx((0.0, leg, 0.7), abs=1e-9)
    assert axes.out == pytest.approx((2**-0.5, 2**-0.5, 0), abs=1e-9)


def test_a_cloud_hangs_below_the_ceiling_by_its_gap(shop_job):
    built = scene(shop_job, [hung("A1", "4 in ceiling cloud", "ceiling", 0.5, 0.6, 1.2192, 1.2192)])
    corners, height = corners_of(built, "A1"), shop_job.room.height_m
    piece = shop_job.shop.piece("4 in ceiling cloud")
    assert corners[:, 2].min() == pytest.approx(height - piece.depth_m)
    assert corners[:, 2].max() < height - 0.01
    assert corners[:, 0].min() == pytest.approx(0.5) and corners[:, 1].min() == pytest.approx(0.6)


def test_a_first_reflection_is_the_shortest_way_over_its_surface(shop_job):
    built = scene(shop_job)
    assert {path.face for path in built.paths} == {face.name for face in shop_job.room.faces}
    for path in built.paths:
        a, b, c = (np.array(point) for point in path.points)
        face = shop_job.room.face(path.face)
        assert face.to_face(Point(*b))[2] == pytest.approx(0, abs=1e-9)
        length = np.linalg.norm(b - a) + np.linalg.norm(c - b)
        for u, v in ((0.03, 0.0), (-0.03, 0.0), (0.0, 0.03), (0.0, -0.03)):
            near = b + u * np.array(face.u_axis) + v * np.array(face.v_axis)
            assert np.linalg.norm(near - a) + np.linalg.norm(c - near) > length  # Fermat


def test_the_chosen_view_shows_a_front_that_another_hides(shop_job):
    job = replace(shop_job, room=L_SHAPE)
    built = scene(job, [hung("A1", "block diffuser", "inner east", 0.6, 0.8, 0.6096, 1.2192)])
    view = best_view(built)
    eye, out = np.array(view.eye), np.array(built.pieces[0].axes.out)
    assert (eye - np.array(built.pieces[0].axes.origin)) @ out > 0
    assert best_view(built) == view
    assert view_of(built, 0, 30).eye.x > 6


def test_a_view_projects_as_a_pinhole_does():
    built_view = view_of_a_box()
    ahead = (
        np.array(built_view.eye) + 3 * np.array(built_view.ahead) + 1.5 * np.array(built_view.up)
    )
    assert built_view.project(ahead) == pytest.approx([0.0, 0.5], abs=1e-12)
    assert built_view.depth_m(ahead) == pytest.approx(3.0)


def view_of_a_box():
    from roomcheck.scene import look_at

    return look_at(Point(1, 2, 1), azimuth_deg=40, elevation_deg=30, distance_m=5)
