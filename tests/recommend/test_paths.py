"""First reflections and facing walls against worked examples."""

from __future__ import annotations

import made_up_rooms as made
import pytest

from roomcheck.geometry import Point, Rectangle, Room, distance_m
from roomcheck.job import Patch, Position
from roomcheck.recommend.places.paths import facing_pairs, kept_db, mirror_point, reflections, seen

# A worked mirror-point example of the trade, computed for rigid walls: room 5.5 x 4.0 x 2.5 m,
# loudspeaker 1.0 m from the front and 1.25 m from a side wall, seat on the centre line 2.3 m from
# the front, both 1.2 m high. Surface: delay in ms, level in dB; -10 dB or less, or later than 15
# ms, needs nothing.
WORKED = {"ceiling": (4.4, -6.0), "west": (5.5, -7.1), "south": (5.8, -7.4)}


def worked_room() -> object:
    room = Room.box(5.5, 4.0, 2.5)
    return made.job(
        room,
        materials=tuple((face.name, "rigid") for face in room.faces),
        sources=(Position(name="L", point=Point(1.0, 1.25, 1.2)),),
        microphones=(Position(name="seat", point=Point(2.3, 2.0, 1.2)),),
        seat="seat",
    )


def test_the_worked_example_of_six_first_reflections():
    found = {r.face: (1000 * r.delay_s, r.level_db) for r in reflections(worked_room())}
    assert found.keys() == WORKED.keys()
    for face, (delay, level) in WORKED.items():
        assert found[face] == (pytest.approx(delay, abs=0.1), pytest.approx(level, abs=0.1))


def test_a_ray_off_a_wall_leaves_as_it_came():
    """Law of reflection: the two legs make the same angle with the wall, and together are as long
    as from the image."""
    room = Room.box(5.5, 4.0, 2.5)
    for face in room.faces:
        start, end = Point(1.0, 1.25, 1.1), Point(3.9, 2.7, 1.6)
        met = mirror_point(face, start, end)
        assert met is not None
        first, second = distance_m(start, met[1]), distance_m(met[1], end)
        assert face.to_face(start)[2] / first == pytest.approx(face.to_face(end)[2] / second)
        assert first + second == pytest.approx(distance_m(face.mirror(start), end))
        assert face.to_face(met[1])[2] == pytest.approx(0, abs=1e-9)


def test_round_the_corner_of_an_l_nothing_is_seen():
    room = Room(
        corners=((0, 0), (6, 0), (6, 2), (3, 2), (3, 5), (0, 5)),
        height_m=2.5,
        wall_names=("a", "b", "c", "d", "e", "f"),
    )
    assert not seen(room, Point(5.5, 1.0, 1.2), Point(1.0, 4.8, 1.2))
    assert seen(room, Point(5.5, 1.0, 1.2), Point(1.0, 1.5, 1.2))


def test_a_reflection_off_a_window_names_the_window():
    job = worked_room()
    pane = Patch(
        name="big window", face="south", material="glass", place=Rectangle(0.5, 0.8, 4.5, 1.2)
    )
    job = made.changed(job, patches=(pane,))
    assert {r.face: r.on_patch for r in reflections(job)}["south"] == "big window"


def test_a_soft_wall_needs_nothing_and_a_soft_pair_does_not_flutter():
    job = made.job(
        materials=made.lined(
            south="soft", north="hard", east="hard", west="hard", floor="soft", ceiling="hard"
        )
    )
    assert "south" not in {r.face for r in reflections(job)}
    assert [(p.first, p.second) for p in facing_pairs(job)] == [("east", "west")]
    assert facing_pairs(job)[0].area_m2 == pytest.approx(3.6 * (2.13 - 0.91))


@pytest.mark.parametrize(("alpha", "db"), [(0.0, 0.0), (0.5, -3.0103), (0.9, -10.0), (1.0, -20.0)])
def test_what_a_surface_takes_of_a_reflection(alpha, db):
    """10 lg(1 - alpha), and never more than 20 dB."""
    assert kept_db(alpha) == pytest.approx(db, abs=5e-5)
