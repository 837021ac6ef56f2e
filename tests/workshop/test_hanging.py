"""Hanging lines: studs met, cleat heights by drawing, refusals with their cure, and what frames run
into."""

from __future__ import annotations

from dataclasses import replace

import made_up_story_room as made
import numpy as np
import pytest
from made_up_story_room import IN

from roomcheck.geometry import Rectangle
from roomcheck.job import Fixing, Framing, FramingKind, KeepClear, Patch, hook_m
from roomcheck.job.model.practice import ShopPractice
from roomcheck.workshop import Caution, HangingCaution, Packing, Refusal, build
from roomcheck.workshop.hanging_kinds import FixingKind


def kinds_of(line):
    return {caution.kind for caution in line.cautions}


def lines(job, *pieces, practice=None):
    return build(job, made.made_up_plan(*pieces), practice).hanging


# Cleat length against studs, 1 in of end distance kept, random phase: least count and chance of one
# more (trade table, computed there).
@pytest.mark.parametrize(
    ("cleat_in", "spacing_in", "least", "chance"),
    [
        (20, 16, 1, 0.12),
        (24, 16, 1, 0.38),
        (36, 16, 2, 0.12),
        (40, 16, 2, 0.38),
        (44, 16, 2, 0.62),
        (48, 16, 2, 0.88),
        (60, 16, 3, 0.62),
        (20, 24, 0, 0.75),
        (24, 24, 0, 0.92),
        (48, 24, 1, 0.92),
    ],
)
def test_studs_behind_a_cleat_agree_with_the_trade_table(cleat_in, spacing_in, least, chance):
    counts = []
    for first in np.arange(0, spacing_in, 0.05) + 0.01:
        framing = Framing(face="north", spacing_m=spacing_in * IN, first_m=first * IN)
        ends = (100 + 1) * IN, (100 + cleat_in - 1) * IN
        counts.append(len(framing.centres_m(*ends, 300 * IN)))
    assert min(counts) == least
    assert np.mean(np.array(counts) == least + 1) == pytest.approx(chance, abs=0.01)


def test_studs_stand_where_they_were_found():
    # 14-1/2 in, then every 16 in.
    (line,) = lines(made.made_up_job(), made.on("north", "A1", "2 in panel", 30, 36, 48, 24))
    assert [round(stud / IN, 6) for stud in line.studs_m] == [46.5, 62.5]


def test_hook_in_distance_agrees_with_a_drawing():
    """Cleats drawn edge by edge: the wall cleat's groove meets the piece's point on the wall's
    side."""
    practice = ShopPractice()
    item_top = -practice.board_m
    item_point = item_top - practice.cleat_width_m  # long face to the wall
    wall_short_face = practice.cleat_width_m - practice.cleat_m  # 45 degrees over its thickness
    wall_bottom = item_point - wall_short_face
    assert hook_m(practice) == pytest.approx(-wall_bottom)
    assert hook_m(practice) == pytest.approx(7 * IN)


def test_cleat_line_is_the_top_less_the_hook_in_distance():
    (line,) = lines(made.made_up_job(), made.on("north", "A1", "2 in panel", 30, 36, 48, 24))
    assert line.top_m == pytest.approx(60 * IN)
    assert line.cleat_m == pytest.approx((60 - 7) * IN)
    assert line.left_m == pytest.approx(30 * IN)
    assert line.right_m == pytest.approx((174 - 78) * IN)
    assert line.off_centre_m == pytest.approx((54 - 87) * IN)


def test_a_light_panel_slides_two_inches_either_way_and_a_heavy_one_no_further_than_it_may():
    # Inside width 46-1/2 and 48-1/8, wall cleat shorter by 4 in (common practice).
    (light,) = lines(made.made_up_job(), made.on("south", "A1", "2 in panel", 90, 36, 48, 24))
    assert light.cleat_length_m == pytest.approx(42.5 * IN)
    assert light.freedom_m == pytest.approx(2 * IN)
    (heavy,) = lines(made.made_up_job(), made.on("south", "D1", "block diffuser", 90, 36, 48, 24))
    assert heavy.cleat_length_m == pytest.approx(44.125 * IN)
    assert heavy.freedom_m < 2 * IN
    assert HangingCaution.LITTLE_PLAY in kinds_of(heavy)


def portrait(first_in: float):
    framing = (
        Framing(
            face="north",
            kind=FramingKind.WOOD_STUDS,
            sheathing_m=IN / 2,
            spacing_m=16 * IN,
            first_m=first_in * IN,
        ),
    )
    return lines(
        made.made_up_job(framing=framing), made.on("north", "D1", "block diffuser", 60, 36, 24, 48)
    )[0]


def test_sixty_pounds_on_one_stud_is_refused_and_the_cures_named():
    line = portrait(first_in=8)  # studs at 56, 72, 88: only 72 lies behind it
    assert len(line.studs_m) == 1
    # Trade: 1.7 in shear alone on two screws; a quarter inch off its stud and pulled it is less.
    assert line.load_ratio < 1.9
    (refusal,) = line.refused
    assert refusal.kind is Refusal.FEW_SCREWS
    assert refusal["studs"] == 1
    # Across, a frame of 49-5/8 in meets 56, 72 and 88: with three screws in each the weight is shared
    # by nine, 51.8 lbf each (trade: 5.2 for six in shear alone, more than nine can have once pulled).
    assert refusal["across_studs"] == 3
    assert 4 <= refusal["across_ratio"] <= 1.5 * 5.2
    # A rail on 56, 72 and 88 may be jointed over 72: it brings no more than its own cleat does.
    assert line.rail is None


def test_turning_is_no_cure_where_it_is_refused_too():
    # Studs at 24 in: the piece turned meets two, and two are refused.
    framing = (
        Framing(
            face="north",
            kind=FramingKind.WOOD_STUDS,
            sheathing_m=IN / 2,
            spacing_m=24 * IN,
            first_m=14.5 * IN,
        ),
    )
    (line,) = lines(
        made.made_up_job(framing=framing), made.on("north", "D1", "block diffuser", 60, 36, 24, 48)
    )
    (refusal,) = line.refused
    assert refusal.get("across_studs") is None


def test_five_eighths_of_gypsum_has_a_screw():
    """#10 x 2-1/2 in reaches 1-1/8 in, under its six diameters of 1.14: the #8 needs 0.98."""
    framing = tuple(replace(f, sheathing_m=0.625 * IN) for f in made.made_up_job().framing)
    (line,) = lines(
        made.made_up_job(framing=framing), made.on("north", "A1", "2 in panel", 30, 36, 48, 24)
    )
    assert (line.screw, line.screw_m) == ("#8", pytest.approx(2.5 * IN))
    assert line.into_wood_m == pytest.approx(1.125 * IN)
    assert line.refused == ()
    assert HangingCaution.OTHER_SCREW in kinds_of(line)


def test_sixty_pounds_on_two_studs_is_refused():
    # Trade: 3.5 with four #10 and 5.2 with six, in shear alone; the pull of the bevel takes it under
    # 4 even with three a stud.
    line = portrait(first_in=0.5)  # studs at 64.5 and 80.5
    assert len(line.studs_m) == 2
    assert line.load_ratio < 4
    assert [refusal.kind for refusal in line.refused] == [Refusal.FEW_SCREWS]


def test_a_third_screw_a_stud_is_planned_where_two_are_too_few():
    """60 lb across three studs: two screws a stud have 5.2 in shear alone and less than 4 pulled."""
    practice = ShopPractice(wood_kg_m3=400.0)
    across = made.on("south", "D1", "block diffuser", 90, 36, 48, 24)
    (line,) = lines(made.made_up_job(), across, practice=practice)
    assert len(line.studs_m) == 3
    assert (line.per_stud, line.screws) == (3, 9)
    assert 4 <= line.load_ratio < 1.5 * 5.2
    assert line.refused == ()
    assert HangingCaution.DEFER in kinds_of(line)


def test_a_sheet_names_the_pieces_that_are_refused():
    framing = (
        Framing(
            face="north",
            kind=FramingKind.WOOD_STUDS,
            sheathing_m=IN / 2,
            spacing_m=16 * IN,
            first_m=8 * IN,
        ),
    )
    job = made.made_up_job(framing=framing)
    sheet = build(job, made.made_up_plan(made.on("north", "D1", "block diffuser", 60, 36, 24, 48)))
    assert sheet.refusals == ("D1",)


UNKNOWN = {
    "not in the file": ((), Refusal.STUDS_MISSING),
    "sheathing not known": (
        (Framing(face="north", kind=FramingKind.WOOD_STUDS, spacing_m=0.4, first_m=0.3),),
        Refusal.SHEATHING_MISSING,
    ),
    "no spacing": (
        (Framing(face="north", kind=FramingKind.WOOD_STUDS, sheathing_m=0.0127),),
        Refusal.STUDS_MISSING,
    ),
    "unknown": ((Framing(face="north", kind=FramingKind.UNKNOWN),), Refusal.FRAMING_UNKNOWN),
    "grid": ((Framing(face="north", kind=FramingKind.GRID),), Refusal.GRID),
}


@pytest.mark.parametrize(("framing", "refusal"), UNKNOWN.values(), ids=UNKNOWN)
def test_nothing_is_hung_on_a_wall_that_nobody_knows(framing, refusal):
    (line,) = lines(
        made.made_up_job(framing=framing), made.on("north", "A1", "2 in panel", 30, 36, 48, 24)
    )
    assert (line.load_ratio, line.screws, line.into_wood_m) == (None, None, None)
    assert [found.kind for found in line.refused] == [refusal]


ANCHORED = {
    FramingKind.STEEL_STUDS: FixingKind.STEEL_ANCHOR,
    FramingKind.MASONRY: FixingKind.MASONRY_ANCHOR,
    FramingKind.CONCRETE: FixingKind.CONCRETE_ANCHOR,
}


@pytest.mark.parametrize("kind", [FramingKind.WOOD_STUDS, *ANCHORED], ids=str)
def test_what_holds_a_corner_trap_is_bought_and_packed_and_has_no_ratio(kind):
    """Two strips beside a trap of 48 in, a fixing every 16 in and one at the end: by hand 2 x 4."""
    spacing = {"spacing_m": 16 * IN, "first_m": 0.3}
    spacing = spacing if kind in (FramingKind.WOOD_STUDS, FramingKind.STEEL_STUDS) else {}
    framing = tuple(
        Framing(face=face, kind=kind, sheathing_m=0.0127, **spacing) for face in ("north", "west")
    )
    job = made.made_up_job(framing=framing)
    sheet = build(job, made.made_up_plan(made.on("north", "A1", "corner trap", 0, 4, 24, 48)))
    (line,) = sheet.hanging
    assert (line.load_ratio, line.refused, line.fixing) == (None, (), None)
    assert [(strip.face, strip.count) for strip in line.strips] == [("north", 4), ("west", 4)]
    wood = kind is FramingKind.WOOD_STUDS
    usual = FixingKind.WOOD_SCREW if wood else ANCHORED[kind]
    assert {strip.fixing for strip in line.strips} == {usual}
    assert (HangingCaution.NOT_WOOD in kinds_of(line)) != wood
    word = "screw #10 x 2-1/2 in" if wood else "anchor"
    (bought,) = [p for p in sheet.purchases if word in p.item]
    assert bought.with_waste >= 8
    others = [p.item for p in sheet.purchases if ("anchor" if wood else "#10") in p.item]
    assert others == []
    packed = Packing.SCREWS if wood else Packing.ANCHORS
    assert packed in {each.kind for each in sheet.pick_list}


@pytest.mark.parametrize(("kind", "fixing"), ANCHORED.items(), ids=str)
def test_a_wall_without_wood_gets_a_kind_of_fixing_with_price_and_time_and_no_load(kind, fixing):
    spacing = {"spacing_m": 16 * IN, "first_m": 0.3} if kind is FramingKind.STEEL_STUDS else {}
    framing = (Framing(face="north", kind=kind, sheathing_m=0.0127, **spacing),)
    job, piece = made.made_up_job(framing=framing), "2 in panel"
    place = made.on("north", "A1", piece, 30, 36, 48, 24)
    sheet = build(job, made.made_up_plan(place))
    (line,) = sheet.hanging
    assert (line.load_ratio, line.screws, line.refused) == (None, None, ())
    assert line.fixing is fixing
    assert line.fixings >= 2
    assert HangingCaution.NOT_WOOD in kinds_of(line)
    (bought,) = [p for p in sheet.purchases if "anchor" in p.item]
    assert bought.with_waste >= line.fixings
    # The screws of the wood wall are not bought, and drilling takes its time.
    assert not any(p.item == "screw #10 x 2-1/2 in" for p in sheet.purchases)
    wood = build(made.made_up_job(), made.made_up_plan(place))
    hours = line.fixings * job.shop.practice.anchor_hours
    assert sheet.install_hours == wood.install_hours + hours
    assert Packing.ANCHORS in {packed.kind for packed in sheet.pick_list}


def test_a_note_on_the_wall_changes_nothing():
    """Whatever the note says, screws and ratio follow the kind."""
    lines_by_note = set()
    for note in ("", "steel studs", "CMU", "glass door left of it"):
        framing = tuple(replace(f, build=note) for f in made.made_up_job().framing)
        lines_by_note.add(
            lines(
                made.made_up_job(framing=framing),
                made.on("north", "A1", "2 in panel", 30, 36, 48, 24),
            )
        )
    assert len(lines_by_note) == 1


def test_a_cloud_hangs_on_lift_points_under_joists_with_safety_wires_and_no_load():
    job = made.made_up_job()
    sheet = build(
        job, made.made_up_plan(made.on("ceiling", "C1", "4 in ceiling cloud", 50, 50, 48, 48))
    )
    (line,) = sheet.hanging
    assert {HangingCaution.OVERHEAD, HangingCaution.LICENSED_OVERHEAD} <= kinds_of(line)
    assert (line.load_ratio, line.cleat_m, line.people) == (None, None, 2)
    # Joists at 62.5, 78.5 and 94.5 in behind a frame from 50 to 98: the outer two, 32 in apart, over
    # its near and far board of 3/4 in, an eighth off their middles to whole quarter inches.
    assert [(round(u / IN, 3), round(v / IN, 3)) for u, v in line.lift_points] == [
        (62.5, 50.5),
        (62.5, 97.5),
        (94.5, 50.5),
        (94.5, 97.5),
    ]
    assert len(line.tethers) == 2
    assert not set(line.tethers) & set(line.lift_points)
    # 8-1/2 in deep with a frame of 4-1/2.
    assert line.drop_m == pytest.approx(4 * IN)
    assert Caution.OVERHEAD in {caution.kind for caution in sheet.cautions}
    bought = {p.item: p for p in sheet.purchases}
    assert bought["ceiling hanging set"].packs == 4
    assert bought["safety wire set"].packs == 2


@pytest.mark.parametrize("piece", ["2 in panel", "4 in panel", "block diffuser"])
def test_what_is_built_for_a_wall_never_hangs_overhead(piece):
    (line,) = lines(made.made_up_job(), made.on("ceiling", "C1", piece, 50, 50, 24, 48))
    assert [refusal.kind for refusal in line.refused] == [Refusal.NO_CEILING_MOUNT]


@pytest.mark.parametrize("kind", [FramingKind.GRID, FramingKind.UNKNOWN])
def test_nothing_hangs_under_a_grid_or_what_nobody_knows(kind):
    framing = (Framing(face="ceiling", kind=kind),)
    (line,) = lines(
        made.made_up_job(framing=framing),
        made.on("ceiling", "C1", "4 in ceiling cloud", 50, 50, 48, 48),
    )
    assert line.lift_points == ()
    assert [r.kind for r in line.refused] == [
        Refusal.GRID if kind is FramingKind.GRID else Refusal.FRAMING_UNKNOWN
    ]


def test_a_cloud_under_one_joist_is_refused():
    framing = (
        Framing(
            face="ceiling",
            kind=FramingKind.WOOD_STUDS,
            sheathing_m=IN / 2,
            spacing_m=60 * IN,
            first_m=70 * IN,
        ),
    )
    (line,) = lines(
        made.made_up_job(framing=framing),
        made.on("ceiling", "C1", "4 in ceiling cloud", 50, 50, 48, 48),
    )
    assert [refusal.kind for refusal in line.refused] == [Refusal.FEW_JOISTS]


@pytest.mark.parametrize(
    ("rule", "refusal"),
    [("nothing", Refusal.NOTHING_ALLOWED), ("adhesive", Refusal.CLEAT_NEEDS_SCREWS)],
)
def test_a_wall_that_takes_no_screws_takes_no_cleat(rule, refusal):
    job = made.made_up_job(fixings=(Fixing(face="north", rule=rule),))
    (line,) = lines(job, made.on("north", "A1", "2 in panel", 30, 36, 48, 24))
    assert [found.kind for found in line.refused] == [refusal]


def test_felt_may_be_glued():
    job = made.made_up_job(fixings=(Fixing(face="north", rule="adhesive"),))
    (line,) = lines(job, made.on("north", "F1", "felt tile", 30, 36, 24, 24))
    assert line.refused == ()


def test_a_piece_under_the_ceiling_cannot_be_lifted_on():
    (line,) = lines(made.made_up_job(), made.on("north", "A1", "2 in panel", 30, 77.5, 48, 24))
    assert HangingCaution.TOO_HIGH in kinds_of(line)


def test_a_block_panels_frame_makes_it_larger_than_drawn():
    # 24 x 48 in of blocks, 1/16 in clearance, 3/4 in boards: 25-5/8 x 49-5/8 in.
    (line,) = lines(
        made.made_up_job(framing=()), made.on("south", "D1", "block diffuser", 90, 36, 48, 24)
    )
    assert (line.width_m / IN, line.height_m / IN) == (pytest.approx(49.625), pytest.approx(25.625))
    # Round the drawn middle its edges are at 89-3/16 and 60-13/16; a hand marks quarter inches.
    assert line.left_m == pytest.approx(89.25 * IN)
    assert line.top_m == pytest.approx(60.75 * IN)


def test_a_frame_that_runs_into_an_outlet_or_a_neighbour_is_refused():
    outlet = KeepClear(
        name="outlet",
        face="south",
        kind="outlet",
        place=Rectangle(138.2 * IN, 40 * IN, 3 * IN, 4 * IN),
        clearance_m=0.0,
    )
    job = made.made_up_job(keep_clear=(outlet,), framing=())
    pieces = (
        made.on("south", "D1", "block diffuser", 90, 36, 48, 24),
        made.on("south", "D2", "block diffuser", 42, 36, 48, 24),
    )
    first, second = lines(job, *pieces)
    hits = [hit for hit in first.refused if hit.kind is not Refusal.STUDS_MISSING]
    assert [(hit.kind, hit["name"]) for hit in hits] == [
        (Refusal.RUNS_INTO_PIECE, "D2"),
        (Refusal.RUNS_INTO, "outlet"),
    ]
    hits = [hit for hit in second.refused if hit.kind is not Refusal.STUDS_MISSING]
    assert [(hit.kind, hit["name"]) for hit in hits] == [(Refusal.RUNS_INTO_PIECE, "D1")]


def test_heavy_pieces_go_to_a_licensed_person():
    job = made.made_up_job()
    shop = replace(job.shop, stock=tuple(replace(p, weight_kg=40.0) for p in job.shop.stock))
    (line,) = lines(replace(job, shop=shop), made.on("north", "A1", "2 in panel", 30, 36, 48, 24))
    assert HangingCaution.LICENSED_LOAD in kinds_of(line)
    assert line.people == 2


# Protruding objects, accessibility guide 307.2: 4 in at most between 27 and 80 in above the floor,
# where people walk.
@pytest.mark.parametrize(
    ("piece", "bottom_in", "told"),
    [("4 in panel", 36, True), ("2 in panel", 36, False), ("4 in panel", 1, False)],
)
def test_deep_pieces_at_head_height_are_told_apart(piece, bottom_in, told):
    (line,) = lines(made.made_up_job(), made.on("north", "A1", piece, 30, bottom_in, 48, 24))
    assert (HangingCaution.STANDS_OUT in kinds_of(line)) == told


@pytest.mark.parametrize("spacing_in", [400, 24])
def test_a_wall_whose_studs_are_nowhere_near_refuses_and_says_so(spacing_in):
    framing = (
        Framing(
            face="north",
            kind=FramingKind.WOOD_STUDS,
            sheathing_m=IN / 2,
            spacing_m=spacing_in * IN,
            first_m=170 * IN,
        ),
    )
    (line,) = lines(
        made.made_up_job(framing=framing), made.on("north", "A1", "2 in panel", 30, 36, 24, 48)
    )
    assert (line.studs_m, line.screws, line.load_ratio) == ((), 0, 0.0)
    (refusal,) = line.refused
    assert (refusal.kind, refusal["studs"]) == (Refusal.FEW_SCREWS, 0)


def test_a_piece_knows_how_far_it_is_off_the_door():
    door = Patch(
        name="door",
        face="north",
        material="door",
        place=Rectangle(10 * IN, 0, 32 * IN, 80 * IN),
        opening=True,
    )
    job = made.made_up_job(patches=(door,))
    (line,) = lines(job, made.on("north", "A1", "2 in panel", 60, 36, 48, 24))
    # Door's middle at 26 in, piece's at 84, wall's at 87.
    assert (line.opening, line.off_opening_m) == ("door", pytest.approx(58 * IN))
    assert line.off_centre_m == pytest.approx(-3 * IN)


def test_a_row_tells_its_gaps_and_the_even_ones():
    job = made.made_up_job(framing=())  # no studs to move to
    pieces = [
        made.on("north", f"A{i}", "2 in panel", left, 36, 24, 48)
        for i, left in enumerate((20, 60, 130), 1)
    ]
    (row,) = build(job, made.made_up_plan(*pieces)).rows
    # Gaps 16 and 46 in, 20 in at both ends; even: (174 - 72) / 4 = 25-1/2 in.
    assert (row.left_m, *row.gaps_m, row.right_m) == pytest.approx(
        (20 * IN, 16 * IN, 46 * IN, 20 * IN)
    )
    assert row.even_m == pytest.approx(25.5 * IN)
    assert row.even_lefts_m == pytest.approx((25.5 * IN, 75 * IN, 124.5 * IN))
