"""Mirror images against worked examples and an independent image-source library."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest

from roomcheck.geometry import Point, Room, distance_m
from roomcheck.mirrors import mirror_paths

# Box 6 x 4 x 3 m, source (1.5, 1.2, 1.4), microphone (4.2, 2.7, 1.2): lengths by closed form, sqrt
# of the squared differences to the mirrored source; computed by hand of the closed form, not by
# this code. [m]
WORKED = {
    "west": 5.89746,
    "east": 6.47920,
    "south": 4.74763,
    "north": 4.91325,
    "floor": 4.03733,
    "ceiling": 4.59347,
}
SOURCE, MICROPHONE = Point(1.5, 1.2, 1.4), Point(4.2, 2.7, 1.2)
ELL = Room(
    ((0.0, 0.0), (6.0, 0.0), (6.0, 3.0), (3.5, 3.0), (3.5, 5.0), (0.0, 5.0)),
    2.6,
    ("south", "east", "inner north", "inner east", "north", "west"),
)


def test_first_order_lengths_of_the_worked_box():
    found = {p.names[0]: p.length_m for p in mirror_paths(Room.box(6, 4, 3), SOURCE, MICROPHONE, 1)}
    assert found == pytest.approx(WORKED, abs=5e-6)


def test_a_box_has_six_images_of_first_and_eighteen_of_second_order():
    """Lattice points with |i| + |j| + |k| = 1 and 2 in three dimensions: 6 and 18 (closed form)."""
    orders = [p.order for p in mirror_paths(Room.box(6, 4, 3), SOURCE, MICROPHONE, 2)]
    assert (orders.count(1), orders.count(2)) == (6, 18)


def test_the_meeting_places_make_up_the_length():
    for path in mirror_paths(ELL, Point(1.0, 1.2, 1.1), Point(2.2, 4.1, 1.5), 2):
        stops = [Point(1.0, 1.2, 1.1), *path.points, Point(2.2, 4.1, 1.5)]
        legs = sum(distance_m(a, b) for a, b in pairwise(stops))
        assert legs == pytest.approx(path.length_m, abs=1e-9)
        for face, point in zip(path.faces, path.points, strict=True):
            assert face.to_face(point)[2] == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize(
    "ends", [((1.0, 1.2, 1.1), (2.2, 4.1, 1.5)), ((5.2, 0.7, 1.3), (0.9, 2.0, 1.2))]
)
def test_an_l_shaped_room_agrees_with_pyroomacoustics(ends):
    """The library finds the images and their visibility by its own code (0.10, polygons with a
    height)."""
    pra = pytest.importorskip("pyroomacoustics", reason="no pyroomacoustics for this Python")

    model = pra.Room.from_corners(
        np.array(ELL.corners).T, fs=16_000, max_order=2, materials=pra.Material(0.1)
    )
    model.extrude(ELL.height_m, materials=pra.Material(0.1))
    model.add_source(list(ends[0]))
    model.add_microphone(list(ends[1]))
    model.image_source_model()
    source = model.sources[0]
    seen = np.asarray(model.visibility[0][0], dtype=bool) & (source.orders > 0)
    theirs = np.unique(
        np.round(np.linalg.norm(source.images.T[seen] - np.array(ends[1]), axis=1), 4)
    )
    ours = np.unique(
        np.round([p.length_m for p in mirror_paths(ELL, Point(*ends[0]), Point(*ends[1]), 2)], 4)
    )
    assert len(ours) == len(theirs)
    assert ours == pytest.approx(theirs, abs=2e-4)


def test_a_wall_round_the_corner_sends_nothing():
    """From deep inside one arm, the far end of the other arm cannot be reached by one bounce."""
    names = {p.names for p in mirror_paths(ELL, Point(5.5, 2.5, 1.2), Point(5.0, 1.0, 1.2), 1)}
    assert ("inner east",) not in names and ("north",) not in names


def test_order_must_be_one_at_least():
    with pytest.raises(ValueError, match="order"):
        mirror_paths(ELL, SOURCE, MICROPHONE, 0)


def test_the_image_moves_with_its_source():
    path = next(p for p in mirror_paths(Room.box(6, 4, 3), SOURCE, MICROPHONE, 2) if p.order == 2)
    A, b = path.mirror
    moved = np.array(SOURCE) + np.array((0.05, -0.03, 0.02))
    assert math.dist(A @ moved + b, MICROPHONE) == pytest.approx(
        next(
            p.length_m
            for p in mirror_paths(Room.box(6, 4, 3), Point(*moved), MICROPHONE, 2)
            if p.names == path.names
        )
    )
