"""Changes by hand, explanations, symmetry, time that runs out, and the check list, on drawn
plans."""

from __future__ import annotations

import time
from dataclasses import replace
from decimal import Decimal
from functools import cache

import layout_check
import made_up_rooms as made
import pytest

from roomcheck.facts import fact
from roomcheck.geometry import Point, Rectangle, Room
from roomcheck.job import (
    Fixing,
    Forbid,
    Framing,
    FramingKind,
    Job,
    KeepClear,
    Pin,
    Placement,
    Position,
)
from roomcheck.judge import Finding, FindingKind, LimitSource
from roomcheck.recommend import (
    CannotHang,
    NoSuchPiece,
    NoSuchThing,
    Plan,
    PlanKind,
    PlanNote,
    Site,
    asked_for,
    change_in,
    plans_of,
    why,
)
from roomcheck.recommend.aims.reaching import settle
from roomcheck.recommend.integer.choose import choose
from roomcheck.recommend.plan.checklist import checks
from roomcheck.recommend.plan.one_plan import plan_of
from roomcheck.recommend.solver.fit import bare_fit
from roomcheck.recommend.solver.money import price_of
from roomcheck.recommend.solver.targets_as_constraints import problem
from roomcheck.recommend.solver.wishes import heard
from roomcheck.words import Reader, sentence

NEED = PlanKind.TARGET
LIVE = {250.0: 0.62, 500.0: 0.60, 1000.0: 0.58, 2000.0: 0.55, 4000.0: 0.50}


@cache
def settled() -> tuple[Site, Plan]:
    """A room, calibrated once, and what its target needs."""
    job = made.job(shop=made.shop(made.THIN, made.DEEP), seat=None)
    site = Site.of(job, made.measured(LIVE), made.verdict(made.target(None, 0.40)))
    return site, plan_of(site, NEED, settle(site, NEED))


def test_a_forbidden_place_stays_free_and_the_rest_hardly_moves():
    site, plan = settled()
    gone = plan.pieces[0]
    start = time.process_time()
    found = change_in(site, plan, (), (Forbid(face=gone.face, place=gone.place),))
    assert time.process_time() - start < 2.0
    assert not any(
        p.face == gone.face and p.place.overlap_m2(gone.place) > 1e-6 for p in found.plan.pieces
    )
    job = replace(site.job, forbids=(Forbid(face=gone.face, place=gone.place),))
    assert layout_check.complaints(job, found.plan.pieces) == []
    kept = {(p.face, p.place) for p in plan.pieces} & {(p.face, p.place) for p in found.plan.pieces}
    assert len(kept) >= len(plan.pieces) / 2
    bought = [
        sum((price_of([(site.job.shop.piece(p.piece), 1) for p in x.pieces], site.job.shop),))
        for x in (plan, found.plan)
    ]
    assert float(found.price_change) == pytest.approx(float(bought[1] - bought[0]), abs=0.02)
    assert found.mid_change_s == pytest.approx(
        found.plan.prediction.mid_likely_s - plan.prediction.mid_likely_s
    )
    assert found.pieces_before == len(plan.pieces)
    # Names: what hangs where it hung keeps its own; the change lists the rest and nothing else.
    before, after = ({p.name: p for p in each.pieces} for each in (plan, found.plan))
    stayed = [n for n in before if n in after and before[n].place == after[n].place]
    assert {p.name for p in found.added} == after.keys() - before.keys()
    assert {p.name for p in found.removed} == before.keys() - after.keys()
    moved = {was.name for was, _ in found.moved}
    assert moved.isdisjoint(stayed) and moved | set(stayed) == before.keys() & after.keys()
    assert gone.name not in stayed


def test_a_pinned_piece_stays_whatever_else_hangs():
    site, plan = settled()
    pin = Pin(piece=made.THIN.name, face="west", place=Rectangle(1.11, 0.9, 0.6096, 1.2192))
    found = change_in(site, plan, (pin,), ())
    assert any(
        p.face == "west" and p.place == pin.place and p.piece == pin.piece
        for p in found.plan.pieces
    )
    assert layout_check.complaints(site.job, found.plan.pieces) == []


@pytest.mark.parametrize(
    ("pin", "said"),
    [
        (
            Pin(piece=made.THIN.name, face="ceiling", place=Rectangle(1, 1, 0.6096, 1.2192)),
            "mounts on wall only",
        ),
        (
            Pin(piece=made.THIN.name, face="west", place=Rectangle(3.3, 1, 0.6096, 1.2192)),
            "wholly on that face",
        ),
    ],
)
def test_a_pin_that_nobody_can_build_is_refused(pin, said):
    site, plan = settled()
    with pytest.raises(CannotHang, match=said):
        change_in(site, plan, (pin,), ())
    with pytest.raises(CannotHang, match="less than 2 in"):
        fine = Pin(piece=made.THIN.name, face="west", place=Rectangle(1, 1, 0.6096, 1.2192))
        change_in(site, plan, (fine, replace(fine, place=Rectangle(1.3, 1, 0.6096, 1.2192))), ())


def test_words_of_a_person_become_changes():
    site, plan = settled()
    first = plan.pieces[0]
    pins, forbids = asked_for(
        site.job, plan, ["A1"], ["A1", "north", made.THIN.name], [["A1", "west", "1 m", "30 in"]]
    )
    assert pins[0].place == first.place and pins[0].face == first.face
    assert (pins[1].face, pins[1].place.u_m, round(pins[1].place.v_m, 4)) == ("west", 1.0, 0.762)
    assert [(f.piece, f.face) for f in forbids] == [
        ("", first.face),
        ("", "north"),
        (made.THIN.name, ""),
    ]
    for words, error in (({"pin": ["B7"]}, NoSuchPiece), ({"forbid": ["moon"]}, NoSuchThing)):
        with pytest.raises(error):
            asked_for(site.job, plan, words.get("pin", []), words.get("forbid", []), [])


def test_why_a_piece_is_there_is_what_the_room_lacks_without_it():
    site, plan = settled()
    found = why(site, plan, "A1")
    without = site.full(tuple(replace(p, reasons=()) for p in plan.pieces[1:]))
    assert found.mid_without_s == pytest.approx(without.mid_likely_s)
    assert found.mid_without_s > found.mid_with_s
    each = [
        price_of([(site.job.shop.piece(p.piece), 1) for p in x], site.job.shop)
        for x in (plan.pieces, plan.pieces[1:])
    ]
    assert float(found.price) == pytest.approx(float(each[0] - each[1]), abs=0.02)
    per = float(found.price) / (100 * (found.mid_without_s - found.mid_with_s))
    assert float(found.price_per_hundredth) == pytest.approx(per, abs=0.01)
    assert found.reasons[: len(plan.pieces[0].reasons)] == plan.pieces[0].reasons
    assert found.instead is not None and found.instead.plan.pieces
    with pytest.raises(NoSuchPiece, match="A1"):
        why(site, plan, "Z9")


def test_a_search_that_runs_out_of_nodes_is_said():
    site, _ = settled()
    for plan in plans_of(site, nodes=0):
        assert plan.pieces == ()
        (stopped,) = [note for note in plan.notes if note.kind == PlanNote.SEARCH_STOPPED]
        assert stopped.get("gap_pct") is None
    pinned = site.changed(
        replace(
            site.job,
            pins=(Pin(piece=made.THIN.name, face="west", place=Rectangle(1, 1, 0.6096, 1.2192)),),
        )
    )
    assert [p.piece for p in plans_of(pinned, nodes=0)[0].pieces] == [made.THIN.name]


def test_pins_that_cost_more_than_the_budget_are_said_and_kept():
    site, _ = settled()
    pins = tuple(
        Pin(piece=made.DEEP.name, face="west", place=Rectangle(0.2 + 0.8 * i, 1, 0.6096, 1.2192))
        for i in range(3)
    )
    least = price_of([(made.DEEP, 1)], site.job.shop)
    poor = site.changed(
        replace(site.job, pins=pins, budget=Decimal(round(least * Decimal("1.06"))))
    )
    plan = plans_of(poor, nodes=20)[0]
    assert [p.piece for p in plan.pieces] == [made.DEEP.name] * 3
    (over,) = [note for note in plan.notes if note.kind == PlanNote.PINS_OVER_BUDGET]
    assert over["price"] > over["budget"]


def test_left_and_right_are_alike_where_the_use_asks_for_it():
    """A control room: every piece has its mirror image across the middle, y = 1.8 m, checked in the
    room's frame."""
    job = made.job(
        Room.box(4.8, 3.6, 2.6),
        use="home cinema",
        sources=(
            Position(name="L", point=Point(0.8, 0.9, 1.2)),
            Position(name="R", point=Point(0.8, 2.7, 1.2)),
        ),
        microphones=(Position(name="P1", point=Point(2.6, 1.8, 1.2)),),
        shop=made.shop(made.THIN, made.DEEP),
    )
    site = Site.of(
        job, made.measured(LIVE), made.verdict(made.target(0.15, 0.42, key="home cinema"))
    )
    plan = plan_of(site, NEED, settle(site, NEED))
    assert layout_check.complaints(job, plan.pieces) == []
    assert {p.face for p in plan.pieces} >= {"south", "north"}
    centres = [_centre(job, p) for p in plan.pieces]
    for x, y, z, piece in centres:
        assert any(
            piece == other and abs(x - a) + abs(3.6 - y - b) + abs(z - c) < 2e-3
            for a, b, c, other in centres
        ), (x, y, z, piece)
    off = made.changed(job, microphones=(Position(name="P1", point=Point(2.6, 1.2, 1.2)),))
    askew = Site.of(
        off, made.measured(LIVE), made.verdict(made.target(0.15, 0.42, key="home cinema"))
    )
    assert askew.mirror is None and askew.twins == ()
    (off_axis,) = [n for n in plans_of(askew, nodes=0)[0].notes if n.kind == PlanNote.NOT_SYMMETRIC]
    # Seat 0.3 and 1.5 m off the loudspeakers across, 1.8 m along: Pythagoras.
    expected = (1.8**2 + 1.5**2) ** 0.5 - (1.8**2 + 0.3**2) ** 0.5
    assert off_axis["nearer_m"] == pytest.approx(expected)


def boomy() -> Finding:
    return Finding(
        measured=fact(FindingKind.BOOMY),
        source=fact(LimitSource.COMMON_PRACTICE),
        remedies=(),
        beyond_jnd=1.0,
    )


def chosen(*findings: Finding) -> list[tuple[str, str]]:
    """Row and face of every place that the rules choose in a room with these findings."""
    stock = made.shop(made.THIN, made.DEEP, made.changed(made.CORNER, build_hours=Decimal(9)))
    job, aim = made.job(shop=stock, seat=None), made.target(None, 0.45)
    site = Site.of(job, made.measured(LIVE), made.verdict(aim, findings=findings))
    places = choose(problem(site, bare_fit(site), wishes=heard(site))).chosen
    return [(site.places[i].row, site.places[i].face) for i in places]


def test_where_low_notes_ring_two_corners_are_filled():
    """Two vertical corners at the least (common practice); without the finding nothing asks for
    them."""

    def corners(*findings: Finding) -> set[str]:
        return {face for row, face in chosen(*findings) if row == "corner"}

    assert corners() == set()
    assert len(corners(boomy())) >= 2


def test_without_words_the_plan_stays(request):
    with_words = chosen(boomy())
    request.getfixturevalue("wordless")
    assert sentence(boomy().measured, Reader()) == "x"
    assert chosen(boomy()) == with_words != []


def _centre(job: Job, placed: Placement) -> tuple[float, float, float, str]:
    face, r = job.room.face(placed.face), placed.place
    p = face.to_room(r.u_m + r.width_m / 2, r.v_m + r.height_m / 2)
    return p.x, p.y, p.z, placed.piece


def test_a_piece_that_nobody_can_compute_is_left_out_and_said():
    trap = made.piece("odd trap", "panel", (24, 48), 5, ("wall",), core=None)
    site = Site.of(
        made.job(shop=made.shop(made.THIN, trap), seat=None),
        None,
        made.verdict(made.target(None, 0.4)),
    )
    assert site.unusable == {"odd trap"}
    assert {c.piece.name for c in site.places} == {made.THIN.name}
    assert fact(PlanNote.STOCK_UNUSABLE, piece="odd trap") in plans_of(site, nodes=0)[0].notes
    pin = Pin(piece="odd trap", face="west", place=Rectangle(1, 1, 0.6096, 1.2192))
    with pytest.raises(CannotHang, match="nothing says how it absorbs"):
        site.changed(replace(site.job, pins=(pin,)))


FAULTS = {
    "egress and projection": {
        "face": "west",
        "place": Rectangle(1.0, 0.8, 0.6096, 1.2192),
        "piece": made.DEEP.name,
    },
    "doors and windows": {"face": "east", "place": Rectangle(0.4, 0.8, 0.6096, 1.2192)},
    "outlets and switches": {"face": "north", "place": Rectangle(1.9, 0.8, 0.6096, 1.2192)},
    "heaters and lights": {"face": "west", "place": Rectangle(2.2, 0.8, 0.6096, 1.2192)},
    "sprinklers and detectors": {
        "face": "ceiling",
        "place": Rectangle(1.6, 1.0, 1.2192, 1.2192),
        "piece": "cloud 4 in",
    },
    "overhead": {
        "face": "ceiling",
        "place": Rectangle(0.3, 0.3, 1.2192, 1.2192),
        "piece": "cloud 4 in",
    },
    "fire papers": {"face": "west", "place": Rectangle(1.0, 0.8, 0.6096, 1.2192)},
    "weight": {
        "face": "south",
        "place": Rectangle(1.0, 0.8, 0.6096, 1.2192),
        "piece": "lead panel",
    },
}


@pytest.mark.parametrize("subject", FAULTS)
def test_the_check_list_names_a_planted_fault(subject):
    door = made.changed(_door(), opening=True)
    lead = made.piece("lead panel", "panel", (24, 48), 4, ("wall",), weight_kg=60.0)
    job = made.job(
        patches=(door,),
        keep_clear=(
            KeepClear(
                name="outlet",
                face="north",
                kind="outlet",
                place=Rectangle(2.0, 1.0, 0.1, 0.1),
                clearance_m=0.1,
            ),
            KeepClear(
                name="stove", face="west", kind="radiator", place=Rectangle(2.85, 0.1, 0.5, 1.0)
            ),
            KeepClear(
                name="head", face="ceiling", kind="sprinkler", place=Rectangle(2.9, 1.5, 0.1, 0.1)
            ),
        ),
        framing=(
            Framing(face="south", kind=FramingKind.WOOD_STUDS, spacing_m=0.4064, first_m=0.37),
        ),
        shop=made.shop(*made.STOCK, lead),
    )
    facts = {"name": "A1", "piece": made.THIN.name, "reasons": ("x",)} | FAULTS[subject]
    found = [check for check in checks(job, (Placement(**facts),)) if check.subject == subject]
    assert any(check.pieces == ("A1",) for check in found), found
    assert checks(job, ()) == ()


def test_a_plan_without_faults_and_with_papers_is_silent_about_them():
    papers = made.changed(made.THIN, fire_papers="class A after ASTM E84, as built")
    job = made.job(shop=made.shop(papers), fixings=(Fixing(face="ceiling", rule="nothing"),))
    placed = Placement(
        name="A1",
        piece=papers.name,
        face="west",
        place=Rectangle(1.0, 0.8, 0.6096, 1.2192),
        reasons=("x",),
    )
    assert {check.subject for check in checks(job, (placed,))} <= {"weight", "not noted"}


def _door():
    from roomcheck.job import Patch

    return Patch(name="door", face="east", material="painted", place=Rectangle(0.3, 0.0, 0.9, 2.05))


def test_weeks_are_order_build_and_a_week_for_hanging():
    """By hand: 2 weeks of ordering, 40 panels of 0.7 h are 28 h or 0.93 weeks of 30 h, one week
    more: 4."""
    from roomcheck.recommend.solver.money import weeks_of

    shop = made.shop()
    assert weeks_of([made.THIN] * 40, shop) == 4
    assert weeks_of([], shop) is None
    slow = made.changed(shop, rates=made.changed(shop.rates, bench_hours_week=Decimal(7)))
    assert weeks_of([made.THIN] * 40, slow) == 7
