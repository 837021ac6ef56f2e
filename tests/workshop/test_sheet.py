"""Whole sheets for a made-up story room: parts, packs, hours, days."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from decimal import Decimal

import made_up_story_room as made
import pytest
from made_up_story_room import IN

from roomcheck.facts import fact
from roomcheck.plain import from_plain, to_plain
from roomcheck.words import Reader, sentences
from roomcheck.workshop import (
    BuildSheet,
    Caution,
    NotInStock,
    Part,
    Pattern,
    ShopPractice,
    Step,
    Work,
    build,
    build_pieces,
)
from roomcheck.workshop.parts.bench import frame_lengths
from roomcheck.workshop.parts.block_parts import spares
from roomcheck.workshop.parts.well_parts import well_prime

EVERY_KIND = (
    made.on("north", "A1", "2 in panel", 30, 36, 24, 48),
    made.on("north", "A2", "2 in panel", 60, 36, 24, 48),
    made.on("south", "A3", "4 in panel, 2 in gap", 30, 36, 48, 24),
    made.on("south", "D1", "block diffuser", 90, 36, 48, 24),
    made.on("west", "D2", "well diffuser", 50, 36, 24, 48),
    made.on("ceiling", "C1", "4 in ceiling cloud", 50, 50, 48, 48),
    made.on("east", "F1", "felt tile", 20, 40, 24, 24),
    made.on("east", "T1", "corner trap", 0, 0, 24, 48),
)


@pytest.fixture(scope="module")
def sheet() -> BuildSheet:
    return build(made.made_up_job(), made.made_up_plan(*EVERY_KIND))


def of(sheet: BuildSheet, piece: str):
    return next(s for s in sheet.sheets if s.piece == piece)


def cuts(sheet: BuildSheet, piece: str, part: Part) -> dict[tuple[float, float], int]:
    found: Counter[tuple[float, float]] = Counter()
    for cut in of(sheet, piece).cuts:
        if cut.part == part:
            found[(round(cut.length_m / IN, 4), round(cut.width_m / IN, 4))] += cut.count
    return dict(found)


def test_a_frame_of_1x6_agrees_with_the_trade(sheet):
    # 24 x 48 in with 1/16 in: 24-1/8 and 49-5/8 in (common practice); short over long, which costs
    # this job no more: 48-1/8 between 25-5/8.
    assert frame_lengths(24, 48, 1 / 16, 3 / 4) == (24.125, 49.625)
    long = cuts(sheet, "block diffuser", Part.FRAME_LONG)
    short = cuts(sheet, "block diffuser", Part.FRAME_SHORT)
    joints = [
        ({(49.625, 5.5): 2}, {(24.125, 5.5): 2}),
        ({(48.125, 5.5): 2}, {(25.625, 5.5): 2}),
    ]
    assert (long, short) in joints


def test_a_panels_frame_has_its_outside_size(sheet):
    # 24 x 48 in outside in 3/4 in boards: the short ones stand between, 22-1/2 in, or run over, with
    # 46-1/2 in between; the core is 1/16 in smaller all round.
    long = cuts(sheet, "2 in panel", Part.FRAME_LONG)
    short = cuts(sheet, "2 in panel", Part.FRAME_SHORT)
    joints = [({(48.0, 2.5): 4}, {(22.5, 2.5): 4}), ({(46.5, 2.5): 4}, {(24.0, 2.5): 4})]
    assert (long, short) in joints
    assert cuts(sheet, "2 in panel", Part.CORE) == {(46.375, 22.375): 2}


def test_four_inches_of_core_are_two_boards(sheet):
    assert sum(cuts(sheet, "4 in panel, 2 in gap", Part.CORE).values()) == 2
    assert sum(cuts(sheet, "4 in ceiling cloud", Part.CORE).values()) == 4


def test_blocks_spares_and_setups_agree_with_the_trade(sheet):
    # 102 or 103 a height and a tenth on top, rounded up, four at least (common practice).
    blocks = of(sheet, "block diffuser").blocks
    assert [(round(b.height_m / IN), b.cells, b.spares) for b in blocks] == [
        (4, 102, 11),
        (3, 102, 11),
        (2, 102, 11),
        (1, 103, 11),
    ]
    assert spares(5, 10, 4) == 4
    stops = [round(s.stop_m / IN) for s in sheet.setups if s.stock == "stick 2x2, 8 ft"]
    assert stops == [4, 3, 2, 1]


def test_sticks_are_bought_as_the_exact_plan_needs_them(sheet):
    # 14 with 10 % spares and 6 in held (trade value).
    (plan,) = (m.plan for m in sheet.cutting if m.item == "stick 2x2, 8 ft")
    bought = next(p for p in sheet.purchases if p.item == "stick 2x2, 8 ft")
    assert (plan.count, plan.proved, bought.packs) == (14, True, 14)


def test_every_linear_part_is_in_one_cutting_plan_once(sheet):
    for material in sheet.cutting:
        wanted: Counter[float] = Counter()
        for piece in sheet.sheets:
            for cut in piece.cuts:
                if cut.stock.item == material.item:
                    wanted[cut.length_m] += cut.count
        planned: Counter[float] = Counter()
        for bar in material.plan.bars:
            for length, count in bar.parts:
                planned[length] += count * bar.count
        ticketed = Counter({s.stop_m: s.count for s in sheet.setups if s.stock == material.item})
        assert planned == wanted == ticketed


def test_cleats_of_the_cut_list_are_those_of_the_wall(sheet):
    cut = sum((Counter(cuts(sheet, p.piece, Part.WALL_CLEAT)) for p in sheet.sheets), Counter())
    hung = Counter(
        (round(h.cleat_length_m / IN, 4), 3.5) for h in sheet.hanging if h.cleat_length_m
    )
    assert cut == hung


def test_packs_hold_what_is_needed_and_one_less_would_not(sheet):
    for p in sheet.purchases:
        assert p.packs * p.pack >= p.with_waste > (p.packs - 1) * p.pack
        assert p.with_waste >= p.net > 0
        assert 0 <= p.left <= p.packs * p.pack - p.net


def test_twelve_panels_share_packs():
    # By hand: 12 boards and 5 % are 12.6: three packs of six.
    twelve = [made.on("north", f"A{i}", "2 in panel", 2 + i, 36, 24, 48) for i in range(12)]
    bought = build(made.made_up_job(), made.made_up_plan(*twelve)).purchases
    wool = next(p for p in bought if p.item.startswith("mineral wool"))
    assert (wool.net, wool.with_waste, wool.packs, wool.left) == (12, Decimal("12.6"), 3, 6)


def test_seven_wells_lie_in_the_order_of_the_residues(sheet):
    # One run of N = 7 in 22-3/8 in, its wells widened to fill the frame: (22.375 - 8 x 0.25) / 7 =
    # 2.911 in; depths 0 1 4 2 2 4 1 in, floors where the well is not deepest.
    well = of(sheet, "well diffuser")
    assert well.pattern == fact(Pattern.WELLS_RESIDUES, wells=7, prime=7)
    assert [round(depth / IN) for depth in well.depths_m] == [0, 1, 4, 2, 2, 4, 1]
    assert cuts(sheet, "well diffuser", Part.FIN) == {(46.375, 4.0): 8}
    assert cuts(sheet, "well diffuser", Part.WELL_FLOOR) == {(46.375, round(20.375 / 7, 4)): 5}
    assert well.works_from_hz == pytest.approx(965, abs=1)  # trade value for 4 in
    assert well.works_to_hz == pytest.approx(
        343 / (2 * 20.375 / 7 * IN), abs=1
    )  # half a wave across a well


@pytest.mark.parametrize(
    ("steps", "prime"),
    [
        ((0, 1, 4, 9, 5, 3, 3, 5, 9, 4, 1), 11),
        ((0, 1, 4, 9, 3, 12, 10, 10, 12, 3, 9, 4, 1), 13),
        ((0, 1, 4, 9, 16, 8, 2, 15, 13, 13, 15, 2, 8, 16, 9, 4, 1), 17),
        ((3, 2, 6, 4, 5, 1), 7),
        ((2, 4, 8, 5, 10, 9, 7, 3, 6, 1), 11),
        ((1, 2, 3, 4, 5), None),
    ],
)
def test_printed_sequences_are_known_by_their_prime(steps, prime):
    assert well_prime(tuple(0.007 * s for s in steps)) == prime


def test_fat_sticks_make_a_wider_panel_and_frame():
    # 1/64 in too thick: 1/4 in over 16 and 1/2 in over 32 (common practice).
    fat = build(
        made.made_up_job(),
        made.made_up_plan(EVERY_KIND[3]),
        ShopPractice(stick_m=(1.5 + 1 / 64) * IN),
    )
    (piece,) = fat.sheets
    assert piece.over_width_m == pytest.approx(IN / 4)
    assert piece.over_height_m == pytest.approx(IN / 2)
    assert cuts(fat, "block diffuser", Part.FRAME_LONG) == {(50.125, 5.5): 2}
    over = [caution for caution in piece.cautions if caution.kind == Caution.OVER_SIZE]
    assert [(caution["side"], round(caution["over_m"] / IN, 6)) for caution in over] == [
        ("wide", 0.25),
        ("high", 0.5),
    ]


def test_blocks_too_tall_for_the_frame_are_told():
    # Cleat 3/4, backing 1/2 and 4 in of blocks make 5-1/4 of 5-1/2 in (common practice); 4-1/2 in
    # would not.
    job = made.made_up_job()
    tall = tuple(
        replace(p, steps_m=(0, 1.5 * IN, 3 * IN, 4.5 * IN)) if p.name == "block diffuser" else p
        for p in job.shop.stock
    )
    deep = build(replace(job, shop=replace(job.shop, stock=tall)), made.made_up_plan(EVERY_KIND[3]))
    (too_deep,) = (c for c in deep.sheets[0].cautions if c.kind == Caution.TOO_DEEP)
    assert too_deep["stack_m"] / IN == pytest.approx(5.75)
    usual = build(job, made.made_up_plan(EVERY_KIND[3]))
    (depth,) = (step for step in usual.sheets[0].steps if step.kind == Step.DEPTH)
    assert depth["stack_m"] / IN == pytest.approx(5.25)
    assert depth["reveal_m"] / IN == pytest.approx(0.25)


def test_hours_add_up_everywhere(sheet):
    for piece in sheet.sheets:
        assert sum((o.hours for o in piece.operations), Decimal(0)) == piece.hours
    shop_hours = sum((d.hours for d in sheet.days if d.place == "shop"), Decimal(0))
    assert (
        shop_hours == sheet.build_hours == Decimal("22.35")
    )  # 2 x 0.6 + 0.9 + 11 + 5.5 + 2.5 + 1.25, by hand
    assert all(day.hours <= 7 for day in sheet.days)


def test_glue_dries_overnight(sheet):
    day = {(task.piece, task.work.kind): d.day for d in sheet.days for task in d.work}
    assert day["block diffuser", Work.FRAME] > day["block diffuser", Work.LAY_AND_GLUE]


def test_cautions_name_the_dangers(sheet):
    text = " ".join(sentences(sheet.cautions, Reader()))
    for word in (
        "stop block",
        "dust",
        "Mineral wool",
        "Two people",
        "wires and pipes",
        "tether",
        "fire",
        "local code",
    ):
        assert word in text


def test_a_sheet_goes_to_plain_values_and_back(sheet):
    assert from_plain(BuildSheet, to_plain(sheet)) == sheet


def test_the_same_plan_makes_the_same_sheet(sheet):
    assert build(made.made_up_job(), made.made_up_plan(*EVERY_KIND)) == sheet


def test_metric_jobs_are_told_in_millimetres():
    metric = build(made.made_up_job(units="metric"), made.made_up_plan(EVERY_KIND[0]))
    steps = sentences(metric.sheets[0].steps, Reader(units="metric"))
    assert any("572 mm × 1181 mm" in step for step in steps)


def test_just_build_me_this_diffuser():
    alone = build_pieces(made.made_up_job(), [("block diffuser", 2)])
    assert (alone.hanging, alone.refusals, alone.install_hours) == ((), (), 0)
    assert [b.cells for b in alone.sheets[0].blocks] == [204, 204, 204, 206]
    with pytest.raises(ValueError, match="wanted"):
        build_pieces(made.made_up_job(), [("block diffuser", 0)])


def test_what_is_not_in_the_shops_file_is_an_error_that_lists_what_is():
    with pytest.raises(NotInStock, match="block diffuser"):
        build(
            made.made_up_job(),
            made.made_up_plan(made.on("north", "A1", "3 in panel", 30, 36, 24, 48)),
        )
    job = made.made_up_job()
    bare = replace(job, shop=replace(job.shop, prices=job.shop.prices[1:]))
    with pytest.raises(NotInStock, match="mineral wool"):
        build(bare, made.made_up_plan(EVERY_KIND[0]))


def test_an_empty_plan_is_an_empty_sheet():
    empty = build(made.made_up_job(), made.made_up_plan())
    assert (empty.sheets, empty.purchases, empty.hanging, empty.cautions, empty.days) == (
        (),
        (),
        (),
        (),
        (),
    )
