"""Rails for pieces that do not meet their studs: planned, cut, bought, drawn; never a ratio above
what an elastic beam on elastic studs can have."""

from __future__ import annotations

import random
from dataclasses import replace
from itertools import pairwise
from math import atan2, cos, hypot, sin

import made_up_story_room as made
import numpy as np
import pytest
from limit_analysis import lateral_lbf
from made_up_story_room import IN
from test_random_hangings import DIAMETER_IN, LB

from roomcheck.geometry import Rectangle
from roomcheck.job import Behind, Found, Framing, FramingKind, KeepClear
from roomcheck.job.model.practice import ShopPractice
from roomcheck.job.on_rails import PLYWOOD_PA, through_shares
from roomcheck.recommend.places.candidates import candidates
from roomcheck.recommend.places.held import railed
from roomcheck.workshop import HangingCaution, Part, Refusal, Step, build
from roomcheck.workshop.hanging.hanging import hanging_lines
from roomcheck.workshop.hanging.placing import Hung

ROWS = 400
PSI = 6894.757
PLYWOOD_PSI = PLYWOOD_PA / PSI


def studs(spacing_in: float, first_in: float, **more) -> Framing:
    return Framing(
        face="north",
        kind=FramingKind.WOOD_STUDS,
        spacing_m=spacing_in * IN,
        first_m=first_in * IN,
        sheathing_m=IN / 2,
        **more,
    )


def row_at_random(draw: random.Random):
    """One to five panels beside each other on a wall whose studs they do not meet."""
    framing = studs(draw.choice((16, 19.2, 24, 24, 24)), draw.uniform(0.5, 24))
    job = made.made_up_job(framing=(framing,))
    piece = job.shop.piece("4 in panel")
    left, hung = draw.uniform(2, 30), []
    for i in range(draw.randint(1, 5)):
        wide = draw.choice((20, 24, 24))
        if left + wide > 172:
            break
        hung.append(
            Hung(
                placed=made.on("north", f"A{i}", piece.name, left, 36, wide, 48),
                piece=piece,
                size_m=(wide * IN, 48 * IN),
                frame_m=piece.depth_m,
                weight_kg=draw.uniform(5, 35) * LB,
            )
        )
        left += wide + draw.uniform(0.5, 8)
    return job, framing, hung


def beam(nodes, springs, loads, stiffness):
    """Reactions of springs under an Euler beam by its elements' stiffness matrix, and its largest
    moment between nodes: two unknowns a node, deflection and slope."""
    n = len(nodes)
    whole, force = np.zeros((2 * n, 2 * n)), np.zeros(2 * n)
    elements = []
    for i, (a, b) in enumerate(pairwise(nodes)):
        long = b - a
        own = (
            stiffness
            / long**3
            * np.array(
                [
                    [12, 6 * long, -12, 6 * long],
                    [6 * long, 4 * long**2, -6 * long, 2 * long**2],
                    [-12, -6 * long, 12, -6 * long],
                    [6 * long, 2 * long**2, -6 * long, 4 * long**2],
                ]
            )
        )
        at = slice(2 * i, 2 * i + 4)
        whole[at, at] += own
        elements.append((at, own))
    for place, spring in springs.items():
        whole[2 * nodes.index(place), 2 * nodes.index(place)] += spring
    for place, load in loads:
        force[2 * nodes.index(place)] += load
    moved = np.linalg.solve(whole, force)
    ends = [own @ moved[at] for at, own in elements]
    reactions = {place: spring * moved[2 * nodes.index(place)] for place, spring in springs.items()}
    return reactions, max(max(abs(end[1]), abs(end[3])) for end in ends)


def ratio_by_elements(draw, rail, on_it, hung, framing, practice) -> float:
    """The least strength over load of any screw of a rail, or of the rail itself, in pounds and
    inches, for some of its pieces hung somewhere within a quarter inch of their marks, resting
    anywhere under their cleats, on studs that give as much as somebody likes."""
    line = on_it[0]
    start, end = round(rail.left_m / IN, 6), round((rail.left_m + rail.length_m) / IN, 6)
    screws = [round(stud / IN, 6) for stud in line.studs_m]
    down, out = [], []
    for each in on_it:
        if draw.random() < 0.2:
            continue
        own = hung[each.name]
        weight, middle = own.weight_kg / LB, (each.left_m + each.width_m / 2) / IN
        middle += draw.choice((-0.25, 0.25))
        reach = draw.choice((0.0, 1.0, draw.random())) * (each.width_m / IN - 5.5) / 2
        pull = (own.piece.depth_m / IN / 2) / (each.height_m / IN - 8)
        for rest in (middle - reach, middle + reach):
            spot = round(min(max(rest, start), end), 6)
            down.append((spot, weight / 2))
            out.append((spot, weight * pull / 2))
    own_weight = rail.length_m / IN * 3.5 * 0.75 * 577 * IN**3 / LB
    for k in range(9):
        down.append((round(start + k * (end - start) / 8, 6), own_weight / 9))
    nodes = sorted({start, end, *screws, *(spot for spot, _ in down)})
    modulus = 1.0e6
    spring = dict.fromkeys(screws, 10 ** draw.uniform(2, 7))
    reactions, moment = beam(nodes, spring, down, modulus * 0.75 * 3.5**3 / 12)
    pulls, bent = dict.fromkeys(screws, 0.0), 0.0
    if out:
        pulls, bent = beam(nodes, spring, out, modulus * 3.5 * 0.75**3 / 12)
    side = lateral_lbf(
        line.screw, framing.sheathing_m / IN, practice.cleat_m / IN, line.into_wood_m / IN
    )
    axis = 2850 * 0.42**2 * DIAMETER_IN[line.screw] * line.into_wood_m / IN
    worst = PLYWOOD_PSI / (6 * moment / (0.75 * 3.5**2) + 6 * bent / (3.5 * 0.75**2))
    for stud in screws:
        across, pull = abs(reactions[stud]) / line.per_stud, max(pulls[stud], 0.0)
        angle = atan2(pull, across)
        both = axis * side / (axis * cos(angle) ** 2 + side * sin(angle) ** 2)
        worst = min(worst, both / max(hypot(across, pull), 1e-9))
    return worst


def test_no_ratio_of_a_rail_is_above_what_an_elastic_one_can_have():
    draw, practice = random.Random(20261130), ShopPractice()
    rails = refused = 0
    for _ in range(ROWS):
        job, framing, hung = row_at_random(draw)
        lines = hanging_lines(job, hung, practice)
        own = {each.placed.name: each for each in hung}
        refused += any(line.refused for line in lines)
        for rail in dict.fromkeys(line.rail for line in lines if line.rail is not None):
            on_it = [line for line in lines if line.rail == rail]
            assert tuple(line.name for line in on_it) == rail.names
            assert all(not line.refused for line in on_it)
            assert on_it[0].load_ratio >= practice.least_ratio
            rails += 1
            for _ in range(8):
                can_be = ratio_by_elements(draw, rail, on_it, own, framing, practice)
                assert on_it[0].load_ratio <= 1.01 * can_be, (rail, can_be)
    # Both happen often, or the test would show nothing.
    assert rails > ROWS / 3
    assert refused > ROWS / 20


def test_two_equal_spans_agree_with_the_handbook():
    """A load in the middle of one of two equal spans: 13/32, 22/32 and -3/32 of it (AISC beam
    tables, from memory)."""
    assert through_shares((0.0, 2.0, 4.0), 1.0) == pytest.approx((13 / 32, 22 / 32, -3 / 32))
    # Beyond the end, by the lever of a beam on two supports.
    assert through_shares((0.0, 2.0), 3.0) == pytest.approx((-0.5, 1.5))


def four_panels(**more):
    """Panels of 24 in whose middles stand beside studs at 24 in, the first at 18."""
    job = made.made_up_job(framing=(studs(24, 18),), **more)
    at = [made.on("north", f"A{i}", "4 in panel", 18 + 26 * i, 36, 24, 48) for i in range(3)]
    return job, build(job, made.made_up_plan(*at))


def test_pieces_that_meet_one_stud_hang_on_one_rail_that_is_cut_bought_and_packed():
    _, sheet = four_panels()
    (rail,) = sheet.rails
    assert rail.names == ("A0", "A1", "A2")
    (piece,) = sheet.sheets
    (cut,) = [cut for cut in piece.cuts if cut.part is Part.WALL_RAIL]
    assert (cut.count, cut.length_m) == (1, pytest.approx(rail.length_m))
    # A quarter sheet of 24 x 48 in gives none so long: it is a board, at least as broad as a cleat.
    assert cut.stock.width_m >= 3.5 * IN
    assert not [cut for cut in piece.cuts if cut.part is Part.WALL_CLEAT]
    assert sum(c.count for c in piece.cuts if c.part is Part.PIECE_CLEAT) == 3
    first, *others = sheet.hanging
    assert first.screws == first.per_stud * len(first.studs_m)
    assert [line.screws for line in others] == [0, 0]
    screws = next(p for p in sheet.purchases if p.item.startswith("screw #10"))
    assert screws.net == first.screws
    assert any(fact.kind.value == "rails" for fact in sheet.pick_list)
    # The gauge for the height of cleats is made for rails alone, too.
    assert Part.JIG_LEG in {jig.part for jig in sheet.jigs}
    # Every stud that it crosses, and a screw's end distance past the outermost.
    crossed = [18 + 24 * i for i in range(8)]
    ends = rail.left_m / IN + 1, (rail.left_m + rail.length_m) / IN - 1
    inside = [stud for stud in crossed if ends[0] - 1e-6 <= stud <= ends[1] + 1e-6]
    assert [round(stud / IN, 6) for stud in first.studs_m] == inside


def test_a_rail_takes_hours_and_notches_that_let_the_piece_be_lifted_over_it():
    job, sheet = four_panels()
    spared = build(job, made.made_up_plan(), None)
    assert spared.install_hours == 0
    each = job.shop.piece("4 in panel").install_hours
    assert sheet.install_hours == 3 * each + 3 * job.shop.practice.rail_hours
    (piece,) = sheet.sheets
    (notch,) = [step for step in piece.steps if step.kind is Step.NOTCH_FRAME]
    assert notch["names"] == ("A0", "A1", "A2")
    # Hung, the rail's back stands 7 to 3-1/2 in below the top; lifted onto it, 3/4 in lower.
    assert notch["from_m"] < 3.5 * IN
    assert notch["to_m"] > 7.75 * IN
    # 4 in of core in a frame of 4-1/2: the cleat stands 1/4 in behind it, so 1/2 in of 3/4 is in it.
    assert notch["deep_m"] == pytest.approx(0.5 * IN + job.shop.practice.clearance_m)


def test_where_something_is_in_the_rails_way_the_refusal_stays_with_its_cure():
    def outlet(left_in: float, name: str) -> KeepClear:
        place = Rectangle(left_in * IN, 76 * IN, 1 * IN, 3 * IN)
        return KeepClear(name=name, face="north", kind="outlet", place=place, clearance_m=0.0)

    framing = (studs(24, 18),)
    alone = made.on("north", "A1", "4 in panel", 60, 36, 24, 48)
    (held,) = build(made.made_up_job(framing=framing), made.made_up_plan(alone)).hanging
    assert held.rail is not None and not held.refused
    both = outlet(58, "left"), outlet(85, "right")
    job = made.made_up_job(framing=framing, keep_clear=both)
    (line,) = build(job, made.made_up_plan(alone)).hanging
    assert line.rail is None
    assert [refusal.kind for refusal in line.refused] == [Refusal.FEW_SCREWS]


def test_what_meets_its_studs_keeps_its_own_cleat():
    job = made.made_up_job(framing=(studs(16, 14.5),))
    (line,) = build(
        job, made.made_up_plan(made.on("north", "A1", "4 in panel", 36, 36, 24, 48))
    ).hanging
    assert line.rail is None and line.cleat_length_m is not None


def test_the_installer_is_told_of_the_rail():
    _, sheet = four_panels()
    for line in sheet.hanging:
        (told,) = [c for c in line.cautions if c.kind is HangingCaution.ON_RAIL]
        assert told["names"] == ("A0", "A1", "A2")
        assert told["studs_m"] == line.studs_m


def test_heavier_pieces_are_refused_on_a_rail_too():
    """Sixty pounds over one stud: a rail jointed there brings all of it onto three screws, 51.8 lbf
    each: 2.6 in shear alone."""
    framing = studs(16, 8)
    job = made.made_up_job(framing=(framing,))
    piece = job.shop.piece("4 in panel")
    hung = Hung(
        placed=made.on("north", "A1", piece.name, 60, 36, 24, 48),
        piece=replace(piece, turns=False),
        size_m=(24 * IN, 48 * IN),
        frame_m=piece.depth_m,
        weight_kg=60 * LB,
    )
    (line,) = hanging_lines(job, [hung], ShopPractice())
    assert line.rail is None
    assert line.refused


@pytest.mark.parametrize("first_in", [3, 10, 18])
def test_where_no_piece_meets_its_studs_planner_and_sheet_agree_on_rails(first_in):
    """Studs at 24 in behind the north wall: rows of 24 in panels are offered there, and what the
    sheet makes of such a row is not refused."""
    framing = replace(studs(24, first_in), first_m=first_in * IN)
    job = made.made_up_job(framing=(framing,), keep_clear=(), patches=())
    piece = job.shop.piece("4 in panel")
    upright = [
        one
        for one in candidates(job)
        if one.piece.name == piece.name and one.face == "north" and one.place.width_m < 25 * IN
    ]
    level = upright[0].place.v_m
    row: list[Rectangle] = []
    for one in sorted(upright, key=lambda one: one.place.u_m):
        if one.place.v_m == level and (not row or one.place.u_m >= row[-1].right_m + 0.05 - 1e-9):
            row.append(one.place)
    assert len(row) >= 3
    placed = [
        replace(made.on("north", f"A{i}", piece.name, 0, 0, 1, 1), place=place)
        for i, place in enumerate(row, 1)
    ]
    hanging = build(job, made.made_up_plan(*placed)).hanging
    assert [line.name for line in hanging if line.refused] == []


def test_the_planner_asks_for_a_rail_what_the_sheet_plans():
    """A panel six inches beside its stud: the planner lets it hang where the free span has room for
    a rail to the next stud, and the sheet hangs it on one."""
    job = made.made_up_job(framing=(studs(24, 18),), keep_clear=(), patches=())
    face, piece = job.room.face("north"), job.shop.piece("4 in panel")
    place = Rectangle(60 * IN, 36 * IN, 24 * IN, 48 * IN)
    assert railed(job, face, piece, place, (0.0, face.width_m))
    assert not railed(job, face, piece, place, (59 * IN, 85 * IN))
    (line,) = build(
        job, made.made_up_plan(made.on("north", "A1", piece.name, 60, 36, 24, 48))
    ).hanging
    assert line.rail is not None


def test_no_rail_crosses_a_cable_that_was_found():
    """A rail of one panel reaches past its right edge to the next stud: a cable found there, beyond
    the zone of the piece itself, stops the rail."""
    framing = (studs(24, 18),)
    alone = made.on("north", "A1", "4 in panel", 60, 36, 24, 48)
    (line,) = build(made.made_up_job(framing=framing), made.made_up_plan(alone)).hanging
    assert line.rail is not None
    beyond_m = line.rail.left_m + line.rail.length_m + 0.1
    assert beyond_m > 84 * IN + 0.15
    cable = Found(number=1, face="north", what=Behind.CABLE, at_m=beyond_m)
    job = replace(made.made_up_job(framing=framing), found=(cable,))
    (line,) = build(job, made.made_up_plan(alone)).hanging
    assert line.rail is None or line.rail.left_m + line.rail.length_m < beyond_m - 0.15
