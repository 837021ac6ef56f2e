"""Where a take was recorded, by its first reflections: against the images of known rooms, measured
and made up."""

from __future__ import annotations

import numpy as np
import pytest

import places as benchmark
import reflections as rooms
from roomcheck import load_impulse_response
from roomcheck.analyse.echoes.images import explain
from roomcheck.analyse.echoes.peaks import echogram
from roomcheck.analyse.echoes.reflections import LATE_S, listen
from roomcheck.analyse.places.evidence import arrived
from roomcheck.analyse.places.which_place import first_delays_s, is_alike, placing
from roomcheck.analyse.places.would_fit import least_move
from roomcheck.geometry import Point, Room
from roomcheck.measure import ImpulseResponse

C = 343.2


def loss_db(path):
    return 1.0 * path.order


def test_swapped_places_of_a_measured_room_are_noticed_and_right_ones_are_not(measured_data):
    """At least 90 % of the twelve wrong pairs of four takes; none doubted where it is right."""
    takes = ("R1", "R9", "R15", "R23")
    typed, heard = benchmark.hard_room(measured_data)
    rng = np.random.default_rng(3)
    off = {name: benchmark.off(point, rng) for name, point in typed.items()}
    ends = {("S1", name): (off["S1"], off[name]) for name in heard}
    noticed = []
    for name in takes:
        for pair in (pair for pair in ends if pair[1] in takes):
            found = placing(
                heard[name], pair, ends, room=benchmark.HARD_ROOM, loss_db=loss_db, speed_m_s=C
            )
            if pair[1] == name:
                assert not found.elsewhere
            else:
                noticed.append(found.elsewhere)
    assert len(noticed) == 12 and np.mean(noticed) >= 0.9


def test_a_made_up_room_tells_its_places_apart():
    asked = list(benchmark.of_made_rooms(1, 0, first_seed=3))
    assert all(row.doubted and row.named for row in asked if not row.right)
    assert not any(row.doubted for row in asked if row.right)


def test_noise_that_no_geometry_explains_is_not_doubted():
    assert sum(benchmark.without_geometry(12)) == 0


def test_mirrored_places_and_exchanged_ends_are_alike():
    room = Room.box(5.0, 4.0, 2.6)
    source, one = Point(2.5, 1.0, 1.2), Point(1.2, 3.0, 1.1)
    mirrored = Point(3.8, 3.0, 1.1)
    assert is_alike(room, (source, one), (source, mirrored), C)
    assert is_alike(room, (source, one), (one, source), C)
    assert not is_alike(room, (source, one), (source, Point(1.4, 3.0, 1.1)), C)


def test_a_room_whose_corner_is_not_the_origin_names_the_same_walls():
    """The plan and all places shifted by one vector: the same arrivals, delays and names."""
    made = rooms.make(2, "box", sources=1, microphones=2)
    corners = tuple((x - 7.3, y + 4.9) for x, y in made.room.corners)
    walls = tuple(face.name for face in made.room.faces if face.kind == "wall")
    moved = Room(corners, made.room.height_m, walls)

    def there(point):
        return Point(point.x - 7.3, point.y + 4.9, point.z)

    source, microphone = made.sources[0], made.microphones[0]
    here_s = first_delays_s(made.room, (source, microphone), C)
    assert first_delays_s(moved, (there(source), there(microphone)), C) == pytest.approx(here_s)
    gram = echogram(ImpulseResponse(samples=made.responses[0, 0], rate_hz=rooms.RATE), LATE_S)
    heard = [listen("S", "M", gram, 0.03)]
    names = [
        [
            [path.names for path, _ in named.causes]
            for named in explain(room, heard, places, loss_db, C, LATE_S).pairs[0]
        ]
        for room, places in (
            (made.room, {"S": source, "M": microphone}),
            (moved, {"S": there(source), "M": there(microphone)}),
        )
    ]
    assert names[0] == names[1]
    assert sum(bool(causes) for causes in names[0]) >= 5


def test_a_doubt_about_places_says_how_far_off_one_would_be(measured_data):
    """A laboratory with another loudspeaker's place typed, 2.2 m from its own: none of the first
    reflections comes there. From its own place the floor comes at 1.56 ms."""
    response = load_impulse_response(
        measured_data / "tudelft-curtains" / "curtains_open_real_room_3.wav"
    )
    room, microphone = Room.box(8.1, 6.8, 3.07), Point(1.66, 3.33, 0.99)
    own, other = Point(5.56, 2.019, 1.175), Point(3.37, 1.63, 1.08)
    heard = arrived(response)
    move = least_move(
        heard, ("S", other), ("M", microphone), room=room, loss_db=loss_db, speed_m_s=C
    )
    assert move is not None and move.came >= 3 and move.away_m > 0.2
    floor_s = first_delays_s(room, (own, microphone), C)[0]
    assert floor_s == pytest.approx(0.00156, abs=0.00003)
    assert min(abs(heard.delay_s - floor_s)) < 0.00003


def test_a_place_typed_a_metre_off_is_found_again():
    """A made-up take; the microphone typed a metre along: no more than that is said."""
    made = rooms.make(6, "box", sources=1, microphones=2)
    heard = arrived(ImpulseResponse(samples=made.responses[0, 0], rate_hz=rooms.RATE))
    true = made.microphones[0]
    steps = ((1, 0), (-1, 0), (0, 1), (0, -1))
    around = [Point(true.x + dx, true.y + dy, true.z) for dx, dy in steps]
    typed = next(place for place in around if made.room.holds(place))
    move = least_move(
        heard, ("S", made.sources[0]), ("M", typed), room=made.room, loss_db=loss_db, speed_m_s=C
    )
    assert move is not None
    assert 0.1 < move.away_m <= 1.1
    assert 3 <= move.came <= move.due


def test_places_over_an_l_shaped_floor_are_told_together_as_one_by_one():
    """4 x 4 m without the quarter at the far corner, by hand; and a thousand places at random."""
    corners = ((0.0, 0.0), (4.0, 0.0), (4.0, 2.0), (2.0, 2.0), (2.0, 4.0), (0.0, 4.0))
    room = Room(corners=corners, height_m=3.0, wall_names=tuple("abcdef"))
    x, y = np.array([1.0, 3.0, 3.0, 1.0, -1.0, 1.0]), np.array([1.0, 1.0, 3.0, 3.0, 1.0, 5.0])
    assert room.holds_over(x, y).tolist() == [True, True, False, True, False, False]
    x, y = np.random.default_rng(1).uniform(-1, 5, (2, 1000))
    singly = [room.holds(Point(a, b, 1.5)) for a, b in zip(x.tolist(), y.tolist(), strict=True)]
    assert room.holds_over(x, y).tolist() == singly
