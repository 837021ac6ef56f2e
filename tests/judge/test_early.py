"""Findings on reflections: made-up arrivals, limits of the documents, and rooms with nothing to
find."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest

from roomcheck.analyse import (
    Analysis,
    CandidateImage,
    Flutter,
    Meeting,
    PositionReflections,
    Reflection,
)
from roomcheck.facts import fact
from roomcheck.geometry import Point, Rectangle, Room
from roomcheck.job import Job, Patch, Position, Rates, Shop
from roomcheck.judge import FREE, FindingKind, LimitSource, Remedy
from roomcheck.judge.findings.early import comb, early_reflections
from roomcheck.judge.findings.echo import fluttering, slap
from roomcheck.judge.findings.stereo import lopsided
from roomcheck.standards import target_for

ROOM = Room.box(5.5, 4.0, 2.5)
CONTROL = target_for("control room", 55)


def job(**more: object) -> Job:
    zero = Decimal(0)
    rates = Rates(
        **{name: zero for name in Rates.__dataclass_fields__ if name != "valid_days"}, valid_days=30
    )
    shop = Shop(
        name="",
        address="",
        contact="",
        made_up=True,
        kerf_m=0.0,
        fabric_roll_m=0.0,
        stock=(),
        prices=(),
        rates=rates,
    )
    facts: dict[str, object] = {
        "folder": Path("made-up"), "made_up": True, "client": "", "title": "", "complaint": "", "use": "control room",
        "own_target": None, "units": "metric", "paper": "a4", "currency": "$", "budget": None, "room": ROOM,
        "visits": (), "shop": shop, "seat": "P1",
        "sources": (Position(name="L", point=Point(1, 1.25, 1.2)), Position(name="R", point=Point(1, 2.75, 1.2))),
        "microphones": (Position(name="P1", point=Point(2.3, 2, 1.2)), Position(name="P2", point=Point(2.9, 2, 1.2))),
    }  # fmt: skip
    for name in ("materials", "patches", "keep_clear", "framing", "fixings", "furnishings"):
        facts[name] = ()
    return Job(**(facts | more))  # type: ignore[arg-type]


def arrival(delay_ms: float, level_db: float, *faces: str, out_db: float = 15.0) -> Reflection:
    meetings = []
    for name in faces:
        face = ROOM.face(name)
        place = face.to_room(1.5, 1.0)
        meetings.append(Meeting(face=name, u_m=1.5, v_m=1.0, x_m=place.x, y_m=place.y, z_m=place.z))
    cause = CandidateImage(meetings=tuple(meetings), due_s=delay_ms / 1000, residual_s=1e-5)
    causes = (cause,) if faces else ()
    return Reflection(
        delay_s=delay_ms / 1000, level_db=level_db, stands_out_db=out_db, causes=causes
    )


def analysis(
    *rows: tuple[str, str, tuple[Reflection, ...]], early_db=(None, None), flutter=()
) -> Analysis:
    heard = tuple(
        PositionReflections(
            source=s,
            microphone=m,
            take=f"{s}-{m}",
            reflections=found,
            smear_s=3e-4,
            early_db=early_db[i % 2],
        )
        for i, (s, m, found) in enumerate(rows)
    )
    return Analysis(
        visit="before", positions=(), octaves=(), thirds=(), transition_hz=None, mid_s=None, mid_u_s=None, grade="none",
        reflections=heard, flutter=flutter,
    )  # fmt: skip


def test_early_reflections_have_one_finding_a_surface():
    """BS.1116-3 (from memory): 10 dB below the direct sound within 15 ms. -7.4 dB at 5.8 ms is the
    trade's example."""
    heard = analysis(
        (
            "L",
            "P1",
            (
                arrival(5.8, -7.4, "south"),
                arrival(4.4, -6.0, "ceiling"),
                arrival(10.0, -10.3, "north"),
            ),
        ),
        ("R", "P1", (arrival(5.8, -7.0, "north"),)),
    )
    found = {finding.faces: finding for finding in early_reflections(heard, job(), CONTROL)}
    assert set(found) == {("south",), ("ceiling",), ("north",)}
    south = found[("south",)]
    assert south.kind == FindingKind.EARLY_REFLECTION
    assert south.beyond_jnd == pytest.approx(2.6)
    assert south.source == fact(LimitSource.BS_1116)
    assert south.measured["delay_s"] == pytest.approx(0.0058)
    assert south.remedies[0].kind in FREE
    face, up_m, ((along_m, _),) = south.measured["places"][0]
    assert (face, up_m, along_m) == ("south", 1.0, 1.5)


@pytest.mark.parametrize(
    "quiet",
    [
        (arrival(5.8, -10.5, "south"),),
        (arrival(5.8, -9.5, "south"),),  # above the limit by less than its uncertainty
        (arrival(16.0, -6.0, "south", out_db=5.0),),  # after 15 ms, and no echo that stands out
        (),
    ],
)
def test_nothing_wrong_with_reflections_is_a_possible_answer(quiet):
    heard = analysis(("L", "P1", quiet), ("R", "P1", quiet), early_db=(-3.0, -2.5))
    assert early_reflections(heard, job(), CONTROL) == ()
    assert slap(heard, job(), CONTROL) is None
    assert fluttering(heard, job()) == ()
    assert lopsided(heard, job(), CONTROL) is None


def test_early_reflections_are_welcome_in_a_classroom():
    heard = analysis(("L", "P1", (arrival(5.8, -3.0, "south"),)))
    assert early_reflections(heard, job(use="classroom"), target_for("classroom", 180)) == ()


def test_what_no_wall_explains_is_looked_for_on_the_desk():
    """A path 0.51 m longer is 1.5 ms later: the first notch at 1/(2 x 1.5 ms) = 333 Hz, the next
    667 Hz on."""
    (found,) = early_reflections(analysis(("L", "P1", (arrival(1.5, -5.0),))), job(), CONTROL)
    assert found.kind == FindingKind.HOLLOW
    assert found.measured["comb_first_hz"] == pytest.approx(333.3, abs=0.1)
    assert found.measured["comb_step_hz"] == pytest.approx(666.7, abs=0.1)
    assert [remedy.kind for remedy in found.remedies][-1] == Remedy.FOAM_AT_EDGE


def test_each_surface_gets_its_own_remedy_at_its_own_place():
    """343 m/s x 1.5 ms = 0.51 m of detour."""
    rows = (
        "L",
        "P1",
        (arrival(1.5, -5.0), arrival(4.4, -6.0, "ceiling"), arrival(6.4, -6.0, "floor")),
    )
    desk, ceiling, floor = early_reflections(analysis(rows), job(units="imperial"), CONTROL)
    assert desk.measured["detour_m"] == pytest.approx(0.5148, abs=1e-3)
    assert (ceiling.faces, floor.faces) == (("ceiling",), ("floor",))
    under, rug = ceiling.remedies[-1], floor.remedies[-1]
    assert (under.kind, under["place"][0]) == (Remedy.ABSORBER_UNDER_CEILING, "ceiling")
    assert (rug.kind, rug["place"][0]) == (Remedy.RUG, "floor")


def test_what_sends_an_unexplained_echo_is_sought_before_anything_is_hung():
    found = slap(analysis(("L", "P1", (arrival(22.0, -6.0),))), job(), CONTROL)
    assert found is not None and found.faces == ()
    assert [r.kind for r in found.remedies] == [Remedy.CLAP_AND_SEARCH, Remedy.COVER_WHEN_FOUND]


def test_a_comb_by_hand():
    """Half the amplitude, 1 ms late: notches at 500, 1500, … Hz; crest 1.5, notch 0.5: 9.54 dB
    (closed form)."""
    assert comb(0.001, -6.0206) == (
        pytest.approx(500),
        pytest.approx(1000),
        pytest.approx(9.5424, abs=1e-3),
    )


def test_a_finding_says_which_seat_it_belongs_to():
    heard = analysis(("L", "P1", ()), ("L", "P2", (arrival(5.0, -5.0, "north"),)))
    (found,) = early_reflections(heard, job(), CONTROL)
    assert found.seats == ("P2",) and found.measured["only_at"] == "P2"
    both = analysis(
        ("L", "P1", (arrival(5.0, -6.0, "north"),)), ("L", "P2", (arrival(5.0, -5.0, "north"),))
    )
    (found,) = early_reflections(both, job(), CONTROL)
    assert found.seats == ("P1", "P2") and found.measured.get("only_at") is None


def test_nothing_is_screwed_to_a_window():
    window = Patch(
        name="window", face="south", material="glass", place=Rectangle(1, 0.5, 1, 1), opening=True
    )
    (found,) = early_reflections(
        analysis(("L", "P1", (arrival(5.8, -7.4, "south"),))), job(patches=(window,)), CONTROL
    )
    kinds = [remedy.kind for remedy in found.remedies]
    assert Remedy.CURTAIN_BEFORE in kinds and Remedy.ABSORBER_AT not in kinds


def test_a_slap_off_the_wall_behind():
    far = ROOM.face(
        "east"
    )  # length along x: the wall behind a listener who looks at loudspeakers at x = 1
    spot = far.to_room(2.0, 1.2)
    meeting = Meeting(face="east", u_m=2.0, v_m=1.2, x_m=spot.x, y_m=spot.y, z_m=spot.z)
    cause = CandidateImage(meetings=(meeting,), due_s=0.0182, residual_s=0.0)
    echo = Reflection(delay_s=0.0182, level_db=-7.0, stands_out_db=14.0, causes=(cause,))
    found = slap(analysis(("L", "P1", (echo,))), job(), CONTROL)
    assert found is not None and found.measured["behind"] is True
    assert found.beyond_jnd == pytest.approx(3.0)


def test_an_echo_after_50_ms_is_named_in_a_classroom_too():
    late = (arrival(62.0, -12.0, "east"),)
    found = slap(analysis(("L", "P1", late)), job(use="classroom"), target_for("classroom", 180))
    assert found is not None and found.measured["limit_from_s"] == 0.050
    soon = (arrival(30.0, -8.0, "east"),)
    assert (
        slap(analysis(("L", "P1", soon)), job(use="classroom"), target_for("classroom", 180))
        is None
    )


def test_flutter_names_the_pair_and_one_side_to_treat():
    one = Flutter(
        faces=(("south", "north"),), apart_m=4.0, period_s=0.0233, repeats=6, stands_out_db=5.0, fall_db=2.0,
        heard_at=(("L", "P1"),),
    )  # fmt: skip
    (found,) = fluttering(analysis(("L", "P1", ()), flutter=(one,)), job())
    assert found.kind == FindingKind.FLUTTER and found.faces == ("south", "north")
    assert (found.measured["period_s"], found.measured["apart_m"]) == (0.0233, 4.0)
    assert found.remedies[1] == fact(Remedy.ONE_OF_TWO_WALLS, first="south", second="north")


@pytest.mark.parametrize(("early", "said"), [((-2.0, -7.0), True), ((-2.0, -4.0), False)])
def test_left_and_right_differ_by_more_than_3_db(early, said):
    """Common practice: 3 dB of early energy, 4 dB of the side reflection."""
    sides = ((arrival(5.8, -12.0, "south"),), (arrival(5.8, -13.0, "north"),))
    heard = analysis(("L", "P1", sides[0]), ("R", "P1", sides[1]), early_db=early)
    found = lopsided(heard, job(), CONTROL)
    assert (found is not None) is said
    if found is not None:
        assert found.seats == ("P1",) and found.measured["early_energy"] is True
        assert found.measured["differs_db"] == pytest.approx(5.0)
