"""Reflections at the seat: patches moved on and off their places, polygon rooms, and the closed
form of each level."""

from __future__ import annotations

import numpy as np
import pytest

from roomcheck.facts import fact
from roomcheck.geometry import Point, Rectangle, Room
from roomcheck.job import Placement, Position
from roomcheck.materials.layers.porous import IN_ROOMS, porous_layer
from roomcheck.mirrors import mirror_paths
from roomcheck.predict import NoSeatForecast
from roomcheck.predict.answer import before_after as samples
from roomcheck.predict.answer import statistics
from roomcheck.predict.answer.before_after import before_after
from roomcheck.predict.answer.seat import MOST_ABSORBED, seat_forecasts
from roomcheck.predict.rays.scene import flat_shape

BOX = Room.box(6, 4, 3)
SOURCE, SEAT = Point(1.5, 1.2, 1.4), Point(4.2, 2.7, 1.2)
L_ROOM = Room(
    corners=((0.0, 0.0), (5.0, 0.0), (5.0, 2.5), (2.5, 2.5), (2.5, 4.5), (0.0, 4.5)),
    height_m=2.6,
    wall_names=("a", "b", "c", "d", "e", "f"),
)


@pytest.fixture(autouse=True)
def no_decays(monkeypatch):
    """Reflections need no simulated decay."""
    for module in (samples, statistics):
        monkeypatch.setattr(module, "shape_of", lambda scene, logs, *_, **__: flat_shape(logs))


def forecast(make_job, pieces, room=BOX, source=SOURCE, seat=SEAT):
    job = make_job(
        room,
        sources=(Position(name="S1", point=source),),
        microphones=(Position(name="P1", point=seat),),
    )
    return seat_forecasts(job, before_after(job, pieces, simulate=False))[0]


def place_of(found, *faces):
    return next(r for r in found.reflections if r.faces == faces)


def panel_on(face, u, v):
    return (
        Placement(
            name="A1", piece="panel", face=face, place=Rectangle(u - 0.305, v - 0.61, 0.61, 1.22)
        ),
    )


# Worked apart for this box: first-order lengths [m] and delays after the direct sound of 3.095158
# m, c 343 [ms].
FIRST = {
    "west": (5.89746, 8.1700),
    "east": (6.47920, 9.8660),
    "south": (4.74763, 4.8177),
    "north": (4.91325, 5.3006),
}


@pytest.mark.parametrize(("wall", "printed"), FIRST.items())
def test_lengths_and_delays_of_the_first_reflections(make_job, wall, printed):
    found = forecast(make_job, ())
    r = place_of(found, wall)
    assert found.direct_m == pytest.approx(3.095158, abs=5e-7)
    assert r.length_m == pytest.approx(printed[0], abs=5e-6)
    # The made-up visit is at 21 degrees: delays shrink by 343 over its speed of sound, 343.2
    # sqrt(294.15 / 293.15).
    speed = 343.2 * (294.15 / 293.15) ** 0.5
    assert 1000 * r.delay_s == pytest.approx(printed[1] * 343 / speed, abs=1e-3)


def test_a_level_is_spreading_and_what_the_wall_leaves(make_job):
    # Gypsum board 0.05, 0.04, 0.07, 0.09 from 500 Hz to 4 kHz (Bies, Hansen and Howard 2017, Table
    # 6.2).
    r = place_of(forecast(make_job, ()), "south")
    left = np.mean([0.95, 0.96, 0.93, 0.91])
    assert r.before_db == pytest.approx(
        20 * np.log10(3.095158 / 4.74763) + 10 * np.log10(left), abs=1e-3
    )
    assert r.before_db == r.after_db


@pytest.mark.parametrize("wall", ["south", "north", "west", "east"])
def test_a_panel_moved_across_the_point_changes_that_reflection_by_the_closed_form(make_job, wall):
    bare = forecast(make_job, ())
    u, v = place_of(bare, wall).places[0]
    aside = 0.8 if u + 1.2 < BOX.face(wall).width_m else -0.8
    on, off = (forecast(make_job, panel_on(wall, u + shift, v)) for shift in (0.0, aside))
    r, other = place_of(on, wall), place_of(off, wall)
    assert (r.meets_before, r.meets_after, other.meets_after) == ((wall,), ("A1",), (wall,))
    layer = porous_layer(0.1, 0.05, 10_000.0, edge_share=IN_ROOMS)
    for i, hz in enumerate((500.0, 1000.0, 2000.0, 4000.0), start=3):
        gypsum = {500.0: 0.05, 1000.0: 0.04, 2000.0: 0.07, 4000.0: 0.09}[hz]
        closed = 10 * np.log10((1 - min(layer.at(hz), MOST_ABSORBED)) / (1 - gypsum))
        assert r.bands_after_db[i] - other.bands_after_db[i] == pytest.approx(closed, abs=0.5)
    # No path that misses the panel in both places changes by anything.
    for a, b in zip(on.reflections, off.reflections, strict=True):
        if "A1" not in a.meets_after and "A1" not in b.meets_after:
            assert a.bands_after_db == b.bands_after_db
        assert a.faces == b.faces and a.before_db == b.before_db


def test_a_range_holds_its_middle_and_is_wide_for_strong_absorbers(make_job):
    u, v = place_of(forecast(make_job, ()), "south").places[0]
    found = forecast(make_job, panel_on("south", u, v))
    panel, wall = place_of(found, "south"), place_of(found, "north")
    for r in (panel, wall):
        assert r.after_low_db < r.after_db < r.after_high_db
    assert panel.after_high_db - panel.after_low_db > 4 * (wall.after_high_db - wall.after_low_db)


def test_a_small_piece_says_from_where_it_counts(make_job):
    # Rindel's limit, 2 c / ((a cos)^2 (1/a1 + 1/a2)), from memory; a 0.61 m, worked here for the
    # south wall.
    u, v = place_of(forecast(make_job, ()), "south").places[0]
    r = place_of(forecast(make_job, panel_on("south", u, v)), "south")
    a1, a2 = 4.74763 * 1.2 / 3.9, 4.74763 * 2.7 / 3.9
    cosine = 3.9 / 4.74763
    speed = 343.2 * (294.15 / 293.15) ** 0.5
    assert r.holds_from_hz == pytest.approx(
        2 * speed / ((0.61 * cosine) ** 2 * (1 / a1 + 1 / a2)), rel=1e-4
    )
    assert place_of(forecast(make_job, ()), "south").holds_from_hz is None


def test_images_of_a_polygon_room_are_those_of_pyroomacoustics():
    # Its own images and their visibility, third order, L-shaped room; both codes know nothing of
    # each other.
    pra = pytest.importorskip("pyroomacoustics", reason="no pyroomacoustics for this Python")

    source, seat = Point(1.2, 3.2, 1.1), Point(1.9, 1.4, 1.4)
    model = pra.Room.from_corners(
        np.array(L_ROOM.corners).T, fs=16_000, max_order=3, materials=pra.Material(0.1)
    )
    model.extrude(L_ROOM.height_m, materials=pra.Material(0.1))
    model.add_source(list(source))
    model.add_microphone(list(seat))
    model.image_source_model()
    shown = model.visibility[0][0].astype(bool)
    theirs = np.sort(np.linalg.norm(model.sources[0].images[:, shown].T - np.array(seat), axis=1))
    ours = np.array(
        [
            np.linalg.norm(np.subtract(source, seat)),
            *(p.length_m for p in mirror_paths(L_ROOM, source, seat, 3)),
        ]
    )
    assert np.unique(theirs.round(3)).tolist() == pytest.approx(
        np.unique(ours.round(3)).tolist(), abs=2e-3
    )
    assert len(ours) > 20


def test_a_seat_round_the_corner_says_so(make_job):
    found = forecast(make_job, (), L_ROOM, Point(4.2, 0.9, 1.3), Point(1.1, 3.9, 1.2))
    assert found.direct_m is None and not found.reflections
    assert found.reasons == (fact(NoSeatForecast.HIDDEN, source="S1", seat="P1"),)


def test_a_panel_in_a_polygon_room_counts_at_its_place(make_job):
    source, seat = Point(1.2, 3.2, 1.1), Point(1.9, 1.4, 1.4)
    bare = forecast(make_job, (), L_ROOM, source, seat)
    u, v = place_of(bare, "f").places[0]
    on, off = (
        forecast(make_job, panel_on("f", u + shift, v), L_ROOM, source, seat)
        for shift in (0.0, 0.9)
    )
    assert place_of(on, "f").after_db < place_of(off, "f").after_db - 8
    assert place_of(off, "f").after_db == place_of(bare, "f").before_db
