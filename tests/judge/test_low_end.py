"""Findings below the transition frequency, on analyses written by hand, and on a room's own
standing waves."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from test_judge import a_job, a_room

from roomcheck.analyse import BoxMode, Modes, Rattle, Response, RoomMode, dips
from roomcheck.analyse.modes.spectrum import grid_hz
from roomcheck.facts import fact
from roomcheck.geometry import Point, Room
from roomcheck.job import Position
from roomcheck.judge import Certainty, FindingKind, Remedy
from roomcheck.judge.findings.boundary import (
    AROUND_OCTAVES,
    _of_the_loudspeaker,
    boundary_dips,
    quarter_wave_hz,
)
from roomcheck.judge.findings.rattle import rattling
from roomcheck.judge.findings.response_dips import nulls, seat_move
from roomcheck.judge.findings.ringing_modes import ringing

HZ = grid_hz()


def mode(hz: float, decay_s: float, late_db: float | None, **more: object) -> RoomMode:
    facts: dict[str, object] = {
        "frequency_hz": hz, "frequency_u_hz": 0.1, "decay_s": decay_s, "decay_u_s": 0.02, "level_db": 0.0,
        "range_db": 35.0, "late_db": late_db,
    }  # fmt: skip
    return RoomMode(**(facts | more))  # type: ignore[arg-type]


def with_modes(*found: RoomMode):
    modes = Modes(from_hz=20, to_hz=180, found=found, not_found=(), positions=6)
    return replace(a_room(0.27), modes=modes)


# Common practice: longer than 0.4 s and 1.5 times the middle, 10 dB over its neighbours after 150
# ms.
@pytest.mark.parametrize(
    ("decay_s", "late_db", "found"),
    [
        (0.9, 14.0, True),
        (0.9, 9.0, False),
        (0.42, 14.0, False),
        (0.9, None, False),
        (0.30, 20.0, False),
    ],
)
def test_a_mode_rings_where_it_is_long_and_stands_out(decay_s, late_db, found):
    analysis = with_modes(
        mode(50, 0.35, 2.0),
        mode(62, decay_s, late_db, box=BoxMode(frequency_hz=62.0, order=(2, 0, 0))),
    )
    finding = ringing(analysis, a_job("control room"))
    assert (finding is not None) is found
    if finding is not None:
        assert finding.measured["frequency_hz"] == 62
        assert finding.measured["order"] == (2, 0, 0)
        assert finding.remedies[0] == fact(Remedy.MOVE_ALONG, order=(2, 0, 0))


def test_in_a_room_for_speech_a_note_below_the_voice_is_no_fault():
    analysis = with_modes(mode(50, 0.35, 2.0), mode(62, 0.9, 14.0))
    assert ringing(analysis, a_job("meeting room")) is None


def response(source: str, microphone: str, *dips: tuple[float, float, float]) -> Response:
    """Flat but for dips: frequency, depth, width in octaves (Gaussian, at half depth)."""
    level = np.zeros(len(HZ))
    for at, depth, width in dips:
        level -= depth * np.exp(-4 * math.log(2) * (np.log2(HZ / at) / width) ** 2)
    return Response(
        source=source,
        microphone=microphone,
        hz=tuple(HZ),
        level_db=tuple(level),
        clear_from_hz=25,
        clear_to_hz=18_000,
    )


ROOM = Room.box(5.0, 4.0, 2.5)
SOURCES = (
    Position(name="S1", point=Point(0.6, 1.4, 1.2)),
    Position(name="S2", point=Point(1.5, 2.7, 1.7)),
)
MICS = tuple(
    Position(name=n, point=p)
    for n, p in (
        ("P1", Point(2.5, 2.0, 1.2)),
        ("P2", Point(3.9, 1.1, 1.2)),
        ("P3", Point(4.1, 3.1, 1.2)),
    )
)
JOB = a_job("control room", room=ROOM, sources=SOURCES, microphones=MICS, seat="P1")


def heard(*responses: Response):
    return replace(a_room(0.27), responses=responses)


def test_a_hole_at_the_seat_alone_is_found():
    at_seat, P2, P3 = (
        response("S1", "P1", (60, 18, 0.2)),
        response("S1", "P2"),
        response("S1", "P3"),
    )
    found = list(nulls(heard(at_seat, P2, P3), JOB))
    assert [(f.kind, f.seats) for f in found] == [(FindingKind.MISSING_NOTE, ("P1",))]
    remedies = [remedy.kind for remedy in found[0].remedies]
    assert remedies[0] in (Remedy.MOVE_SEAT_TOWARDS, Remedy.MOVE_SEAT_AND_LISTEN)
    assert Remedy.NO_PANEL_FILLS in remedies
    assert not list(nulls(heard(response("S1", "P1", (60, 8, 0.2)), P2, P3), JOB))
    assert not list(nulls(heard(response("S1", "P1", (60, 18, 0.7)), P2, P3), JOB))
    everywhere = [response("S1", name, (60, 18, 0.2)) for name in ("P1", "P2", "P3")]
    assert not list(nulls(heard(*everywhere), JOB))


def test_one_note_that_both_loudspeakers_lack_is_one_finding():
    here = [response("S1", "P1", (60, 14, 0.2)), response("S2", "P1", (61, 18, 0.2))]
    there = [response(s, p) for s in ("S1", "S2") for p in ("P2", "P3")]
    (found,) = nulls(heard(*here, *there), JOB)
    depths = [(source, round(depth_db)) for source, depth_db, *_ in found.measured["holes"]]
    assert depths == [("S2", 18), ("S1", 14)]
    assert found.seats == ("P1",)
    apart = [response("S1", "P1", (60, 14, 0.2)), response("S2", "P1", (90, 18, 0.2))]
    assert len(list(nulls(heard(*apart, *there), JOB))) == 2


def test_a_seat_in_the_middle_of_the_length_is_moved_along_the_length():
    """5 m long: the first axial mode, c/2L = 34.3 Hz, has its node half-way; moved towards an end
    it is heard."""
    move, sure = seat_move(JOB, with_modes(mode(34.3, 0.6, 5.0)), "S1", 34.3)
    assert move is not None and move["wall"] in ("east", "west")
    assert sure.kind == Certainty.MOVE_FORESEEN


def test_a_hole_that_standing_waves_do_not_explain_gets_no_direction():
    move, sure = seat_move(replace(JOB, seat="P2"), with_modes(mode(34.3, 0.6, 5.0)), "S1", 34.3)
    assert move is None
    assert sure.kind == Certainty.NOT_EXPLAINED_BY_SIZE


# c = 343 m/s: 0.3 m 285.83, 0.5 m 171.5, 0.6 m 142.92, 1.0 m 85.75 Hz (computed by a second
# script).
@pytest.mark.parametrize(
    ("distance_m", "hz"), [(0.3, 285.83), (0.5, 171.5), (0.6, 142.92), (1.0, 85.75)]
)
def test_a_quarter_wave_to_the_wall(distance_m, hz):
    assert quarter_wave_hz(distance_m, 343.0) == pytest.approx(hz, abs=0.005)


def test_a_loudspeaker_and_the_wall_behind_it_make_a_hole():
    """S1 stands 0.6 m from the west wall: 143 Hz, at all places, and S2 has none."""
    hole = (143.0, 9.0, 0.4)
    of_s1 = [response("S1", name, hole) for name in ("P1", "P2", "P3")]
    of_s2 = [response("S2", name) for name in ("P1", "P2", "P3")]
    found = list(boundary_dips(heard(*of_s1, *of_s2), JOB))
    assert [(f.kind, f.faces) for f in found] == [(FindingKind.BOUNDARY_DIP, ("west",))]
    assert found[0].measured["source"] == "S1"
    assert found[0].sure == (fact(Certainty.ONLY_THIS_SOURCE),)
    both = [response("S2", name, hole) for name in ("P1", "P2", "P3")]
    assert not list(boundary_dips(heard(*of_s1, *both), JOB))
    one_place = [of_s1[0], response("S1", "P2"), response("S1", "P3")]
    assert not list(boundary_dips(heard(*one_place, *of_s2), JOB))
    elsewhere = [response("S1", name, (240.0, 9.0, 0.4)) for name in ("P1", "P2", "P3")]
    assert not list(boundary_dips(heard(*elsewhere, *of_s2), JOB))


def test_a_rattle_is_said_with_its_note():
    rattle = Rattle(frequency_hz=84.0, over_db=22.0, under_db=-41.0, takes=("a", "b"), of=6)
    finding = rattling(replace(a_room(0.27), rattles=(rattle,)))
    assert finding is not None
    assert finding.measured["buzzes"] == ((84.0, 2, 6, 22.0, -41.0),)
    assert rattling(a_room(0.27)) is None


def test_nothing_is_wrong_in_a_room_without_faults():
    flat = [response(s, p) for s in ("S1", "S2") for p in ("P1", "P2", "P3")]
    analysis = replace(with_modes(mode(45, 0.35, 2.0), mode(62, 0.38, 4.0)), responses=tuple(flat))
    assert ringing(analysis, JOB) is None
    assert not list(nulls(analysis, JOB))
    assert not list(boundary_dips(analysis, JOB))
    assert rattling(analysis) is None


def test_the_worst_mode_leads_and_the_next_two_are_named_with_it():
    """By hand: 62, 50, 71 and 83 Hz ring, in the order of how far they stand out."""
    found = [mode(hz, 0.9, late_db) for hz, late_db in ((50, 16), (62, 18), (71, 14), (83, 12))]
    finding = ringing(with_modes(*found), a_job("control room"))
    assert finding is not None
    assert finding.measured["frequency_hz"] == 62
    assert finding.measured["others"] == ((50, 0.9), (71, 0.9))


@pytest.mark.parametrize("distance_m", [0.27, 1.45, 2.0])
def test_a_wall_too_near_or_too_far_makes_no_hole_that_counts(distance_m):
    """Common practice: between 0.3 m and about 1.1 m, whatever quarter wave would fit."""
    source = replace(SOURCES[0], point=Point(distance_m, 1.6, 1.3))
    job = replace(JOB, sources=(source, SOURCES[1]))
    hole = (quarter_wave_hz(distance_m, job.speed_of_sound_m_s("before")), 9.0, 0.4)
    of_s1 = [response("S1", name, hole) for name in ("P1", "P2", "P3")]
    of_s2 = [response("S2", name) for name in ("P1", "P2", "P3")]
    found = list(boundary_dips(heard(*of_s1, *of_s2), job))
    assert not [f for f in found if "west" in f.faces]


def test_a_hole_that_is_alike_at_all_places_is_as_deep_as_at_one():
    """The mean of equal energies is that energy, whatever their number."""
    hole = (143.0, 9.0, 0.4)
    alike = [response("S1", name, hole) for name in ("P1", "P2", "P3")]
    (dip,) = _of_the_loudspeaker(alike, [])
    level_db = np.array(alike[0].level_db)
    (alone,) = dips(
        HZ, level_db, least_db=6.0, from_hz=25, to_hz=300, around_octaves=AROUND_OCTAVES
    )
    assert (dip.frequency_hz, dip.depth_db) == pytest.approx((alone.frequency_hz, alone.depth_db))
