"""Image sources against hand-worked paths, and patches against closed forms."""

from __future__ import annotations

import numpy as np
import pytest

from roomcheck.geometry import Point, Rectangle, Room
from roomcheck.predict.rays.images import FaceMap, Paths, paths, side_of

BOX = Room.box(6, 4, 3)
SOURCE, MICROPHONE = Point(1.5, 1.2, 1.4), Point(4.2, 2.7, 1.2)
WALL, PANEL = 0, 1


def followed(
    patches: dict[str, tuple[Rectangle, ...]] | None = None,
    reach_m: float = 20.0,
    sampled_m: float = 0.0,
) -> Paths:
    maps = {
        side_of(face): FaceMap(
            face=face,
            base=WALL,
            patches=tuple((p, PANEL) for p in (patches or {}).get(face.name, ())),
        )
        for face in BOX.faces
    }
    return paths(BOX, maps, 2, (SOURCE, MICROPHONE), reach_m, sampled_m)


def nearest(found: Paths, length_m: float) -> int:
    at = int(np.argmin(np.abs(found.length_m - length_m)))
    assert found.length_m[at] == pytest.approx(length_m, abs=5e-6)
    return at


# Worked apart: direct 3.095158 m; first-order lengths by wall [m] and level re direct, alpha 0.2
# [dB].
FIRST = {
    "west": (5.89746, -6.569),
    "east": (6.47920, -7.386),
    "south": (4.74763, -4.685),
    "north": (4.91325, -4.983),
    "floor": (4.03733, -3.277),
    "ceiling": (4.59347, -4.398),
}


@pytest.mark.parametrize(("wall", "printed"), FIRST.items())
def test_first_reflections(wall, printed):
    found = followed()
    direct, at = nearest(found, 3.095158), nearest(found, printed[0])
    assert (found.meets[direct].sum(), found.meets[at].sum()) == (0, 1)
    power = 0.8 ** found.meets[:, WALL] / found.length_m**2
    assert 10 * np.log10(power[at] / power[direct]) == pytest.approx(printed[1], abs=5.1e-4)


def test_every_image_within_reach_is_there_once():
    # One image a room's volume: N = 4/3 pi r^3 / V, less what the surface of the sphere cuts.
    found = followed(reach_m=40.0)
    assert len(found.length_m) == pytest.approx(4 / 3 * np.pi * 40**3 / BOX.volume_m3, rel=0.02)
    assert found.length_m.max() <= 40.0


def test_the_orders_of_a_path_are_its_crossings():
    # Six images of first order and eighteen of second in any box.
    orders = followed(reach_m=40.0).meets.sum(axis=1)
    assert [int((orders == n).sum()) for n in (0, 1, 2)] == [1, 6, 18]


def panel_at(wall: str, aside_m: float = 0.0) -> Rectangle:
    """A panel 0.6 m wide and high over the point where the wall mirrors the source, or beside
    it."""
    face = BOX.face(wall)
    image = np.array(face.mirror(SOURCE))
    way = np.array(MICROPHONE) - image
    part = face.to_face(Point(*image))[2] / (
        face.to_face(Point(*image))[2] - face.to_face(MICROPHONE)[2]
    )
    u, v, off = face.to_face(Point(*(image + part * way)))
    assert abs(off) < 1e-9
    return Rectangle(u - 0.3 + aside_m, v - 0.3, 0.6, 0.6)


@pytest.mark.parametrize("wall", ["south", "north", "west", "east", "floor", "ceiling"])
def test_a_panel_moved_off_the_reflection_point_changes_that_reflection_alone(wall):
    # The reflection changes by 10 lg((1 - 0.9) / (1 - 0.1)) = -9.54 dB; a path that misses both
    # places by nothing.
    on, off = followed({wall: (panel_at(wall),)}), followed({wall: (panel_at(wall, 0.7),)})
    keep = np.log([1 - 0.1, 1 - 0.9])
    change = 10 * np.log10(np.e) * ((on.meets - off.meets) @ keep)
    at = nearest(on, FIRST[wall][0])
    assert change[at] == pytest.approx(10 * np.log10(0.1 / 0.9), abs=1e-9)
    misses = (on.meets[:, PANEL] == 0) & (off.meets[:, PANEL] == 0)
    assert misses.sum() > 100
    assert np.all(change[misses] == 0)


def test_a_panel_is_met_as_often_as_its_area_says():
    # Over many paths the share of hits on a face that fall on a patch is the patch's share of the
    # area.
    place = Rectangle(0.5, 0.5, 1.5, 2.0)
    with_it, bare = (
        followed({"west": (place,)}, 40.0),
        followed({"west": (Rectangle(0, 0, 4, 3),)}, 40.0),
    )
    assert with_it.meets[:, PANEL].sum() / bare.meets[:, PANEL].sum() == pytest.approx(
        3.0 / 12.0, rel=0.05
    )


def test_the_first_patch_of_a_list_covers_the_next():
    face = BOX.face("north")
    layered = FaceMap(
        face=face, base=0, patches=((Rectangle(1, 1, 1, 1), 1), (Rectangle(0, 0, 3, 3), 2))
    )
    points = np.array([face.to_room(1.5, 1.5), face.to_room(0.5, 0.5), face.to_room(5.5, 0.5)])
    assert layered.rows_at(points).tolist() == [1, 2, 0]


@pytest.mark.parametrize("moved", [(3.0, -2.0), (-7.5, 0.25), (0.0, 11.0)])
def test_a_room_whose_corner_is_not_at_the_origin_has_the_same_paths(moved):
    """Lengths and faces met do not know where the plan's zero is; on every face hangs a patch."""
    dx, dy = moved
    corners = tuple((x + dx, y + dy) for x, y in BOX.corners)
    room = Room(corners=corners, height_m=BOX.height_m, wall_names=BOX.wall_names)
    patches = {face.name: (Rectangle(0.4, 0.3, 1.5, 1.1),) for face in room.faces}
    maps = {
        side_of(face): FaceMap(face=face, base=WALL, patches=((patches[face.name][0], PANEL),))
        for face in room.faces
    }
    ends = tuple(Point(p.x + dx, p.y + dy, p.z) for p in (SOURCE, MICROPHONE))
    there, here = paths(room, maps, 2, ends, 25.0), followed(patches, 25.0)
    order = np.lexsort((*here.meets.T, here.length_m.round(9)))
    moved_order = np.lexsort((*there.meets.T, there.length_m.round(9)))
    assert there.length_m[moved_order] == pytest.approx(here.length_m[order], abs=1e-9)
    assert np.array_equal(there.meets[moved_order], here.meets[order])
    assert here.meets[:, PANEL].sum() > 100


def test_a_sample_of_long_paths_carries_the_energy_of_all_of_them():
    # The same room with every path followed; eight in nine of the long ones are left out.
    patches = {"north": (Rectangle(0.2, 0.2, 2.0, 1.5),), "floor": (Rectangle(0.5, 0.5, 2.0, 2.0),)}
    every = followed(patches, reach_m=60.0)
    some = followed(patches, reach_m=30.0, sampled_m=60.0)
    long, far = every.length_m > 30.0, some.length_m > 30.0
    assert far.sum() < 0.3 * long.sum()
    for keep in ((0.97, 0.2), (0.8, 0.6)):
        left = np.exp(every.meets @ np.log(keep)) / every.length_m**2
        carried = some.stands_for * np.exp(some.meets @ np.log(keep)) / some.length_m**2
        assert carried[far].sum() == pytest.approx(left[long].sum(), rel=0.03)


def test_each_side_of_a_box_has_its_axis_and_end():
    """Length, width, height; 0 at the lower coordinate, whose normal points up the axis."""
    found = {face.name: side_of(face) for face in BOX.faces}
    assert sorted(found.values()) == [(axis, end) for axis in range(3) for end in (0, 1)]
    assert (found["floor"], found["ceiling"]) == ((2, 0), (2, 1))
    assert (found["west"], found["east"]) == ((0, 0), (0, 1))
    assert (found["south"], found["north"]) == ((1, 0), (1, 1))
