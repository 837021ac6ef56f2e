"""The trade's worked values for a shop, common practice unless a line says otherwise: whole sheets,
closed forms."""

from __future__ import annotations

from dataclasses import replace
from math import sqrt

import made_up_story_room as made
import pytest
from made_up_story_room import IN

from roomcheck.facts import fact
from roomcheck.job import NumberPattern, ShopMaterial
from roomcheck.job.model.practice import ShopPractice
from roomcheck.job.read.schema_1 import dressed_m
from roomcheck.workshop import Caution, Part, Pattern, Step, Stock, build_wanted, wanted
from roomcheck.workshop.hanging.rows_of_pieces import equal_gap_m
from roomcheck.workshop.parts.bench import finish_l, frame_lengths, mitred_lengths
from roomcheck.workshop.parts.box_parts import membrane_hz, perforated_hz, slotted_hz
from roomcheck.workshop.parts.materials_list import core_parts
from roomcheck.workshop.parts.pieces import straddle_m
from roomcheck.workshop.parts.stack_parts import triangles
from roomcheck.workshop.parts.weights import parts_kg
from roomcheck.workshop.parts.well_parts import lay_wells, period_m, run_of
from roomcheck.workshop.patterns.blocks import drawn_array
from roomcheck.workshop.patterns.layout import outside_m
from roomcheck.workshop.patterns.patterns import choices, number_array, squarest_fold
from roomcheck.workshop.results import Cut

LB, FT2, PINT = 0.45359237, 0.3048**2, 0.473176
STEPS = tuple(k * IN for k in range(5))


@pytest.fixture(scope="module")
def diffuser():
    job = made.made_up_job()
    return build_wanted(job, [wanted("block diffuser", job.shop)])


# PS 20, actual sizes of dry lumber: 1x4, 1x6, 1x8, 2x4 to 2x8 seen; 1x2, 1x3, 2x2 from memory.
@pytest.mark.parametrize(
    ("name", "thick_in", "wide_in"),
    [
        ("1x2", 0.75, 1.5),
        ("1x3", 0.75, 2.5),
        ("1x4", 0.75, 3.5),
        ("1x6", 0.75, 5.5),
        ("1x8", 0.75, 7.25),
        ("2x2", 1.5, 1.5),
        ("2x4", 1.5, 3.5),
        ("2x6", 1.5, 5.5),
        ("2x8", 1.5, 7.25),
    ],
)
def test_dressed_sizes_agree_with_ps_20(name, thick_in, wide_in):
    assert dressed_m(f"board {name}, pine") == pytest.approx((thick_in * IN, wide_in * IN))


def test_a_block_panel_weighs_what_the_trade_says(diffuser):
    # Blocks 37 lb (spruce-pine-fir, 28 lb/ft3), 1/2 in plywood 12, 1x6 frame 10, glue and finish 2:
    # about 60 lb.
    (piece,) = diffuser.sheets
    blocks = (
        sum(b.cells * b.height_m for b in piece.blocks)
        * (1.5 * IN) ** 2
        * ShopPractice().wood_kg_m3
        / LB
    )
    assert blocks == pytest.approx(37, abs=0.5)
    backing = Cut(
        part=Part.BACKING,
        stock=Stock(material=ShopMaterial.PLYWOOD, thickness_m=IN / 2),
        count=1,
        length_m=48 * IN,
        width_m=24 * IN,
    )
    assert parts_kg([backing], (), 0.0, ShopPractice(), 1) / LB == pytest.approx(12, abs=0.5)
    frame = [cut for cut in piece.cuts if cut.part in (Part.FRAME_LONG, Part.FRAME_SHORT)]
    assert parts_kg(frame, (), 0.0, ShopPractice(), 1) / LB == pytest.approx(10, abs=0.5)
    # The cleat on the piece is another 2 lb or so.
    assert piece.made_kg / LB == pytest.approx(62, abs=2.5)


def test_a_panels_core_and_frame_weigh_what_the_handbook_says():
    # 24 x 48 x 2 in at 48 and 60 kg/m3: 1.812 and 2.265 kg; 1x3 of 470 kg/m3 and 3.6576 m: 2.080 kg
    # (computed there).
    core = Cut(
        part=Part.CORE,
        stock=Stock(material=ShopMaterial.CORE, thickness_m=2 * IN),
        count=1,
        length_m=48 * IN,
        width_m=24 * IN,
    )
    for density, printed in ((48.0, 1.812), (60.0, 2.265)):
        assert parts_kg([core], (), 0.0, ShopPractice(core_kg_m3=density), 1) == pytest.approx(
            printed, abs=0.0005
        )
    frame = Cut(
        part=Part.FRAME_LONG,
        stock=Stock(material=ShopMaterial.BOARD, thickness_m=0.75 * IN),
        count=1,
        length_m=3.6576,
        width_m=2.5 * IN,
    )
    assert parts_kg([frame], (), 0.0, ShopPractice(wood_kg_m3=470.0), 1) == pytest.approx(
        2.080, abs=0.0005
    )


def test_finish_agrees_with_the_trade(diffuser):
    # Face 8, block sides 16.3 ft2 and frame 11 ft2; 24 ft2 and two coats are about a pint (350 to
    # 400 ft2 a gallon).
    (piece,) = diffuser.sheets
    assert piece.finish_m2 / FT2 == pytest.approx(8 + 16.3 + 11, abs=2.5)
    for coverage_ft2_gal, low, high in ((350, 1.05, 1.15), (400, 0.9, 1.0)):
        practice = ShopPractice(coverage_m2_l=coverage_ft2_gal * FT2 / (8 * PINT))
        assert low < finish_l(24 * FT2, 0.0, practice) / PINT < high
    # Stained before they are cut: 14 sticks, four faces, 56 ft2.
    (stain,) = (step for step in piece.steps if step.kind == Step.STAIN_STICKS)
    assert stain["coat_m2"] / FT2 == pytest.approx(56, abs=0.5)


def test_kerfs_of_a_block_panel_agree_with_the_trade():
    # One a piece: 51 in of 1/8 in, 38 in of 3/32 in.
    pieces = drawn_array(16, 32, 1.5 * IN, STEPS, 7).blocks
    assert pieces / 8 == pytest.approx(51, abs=0.5)
    assert pieces * 3 / 32 == pytest.approx(38, abs=0.5)


# 1/64 in too thick per stick: 1/4 in over 16 and 1/2 in over 32; 1/32 in: 1/2 and 1 in.
@pytest.mark.parametrize(
    ("per_stick", "wide", "high"), [(1 / 64, 1 / 4, 1 / 2), (1 / 32, 1 / 2, 1.0)]
)
def test_width_errors_add_up(per_stick, wide, high):
    job = made.made_up_job()
    sheet = build_wanted(
        job, [wanted("block diffuser", job.shop)], ShopPractice(stick_m=(1.5 + per_stick) * IN)
    )
    (piece,) = sheet.sheets
    assert (piece.over_width_m, piece.over_height_m) == (
        pytest.approx(wide * IN),
        pytest.approx(high * IN),
    )
    over = [caution for caution in piece.cautions if caution.kind == Caution.OVER_SIZE]
    assert [caution["plane_to_m"] / IN for caution in over] == pytest.approx([24 / 16, 48 / 32])


def test_frames_agree_with_the_trade():
    # Diffuser 24 x 48 with 1/16: 24-1/8 and 49-5/8. Absorber: 4 ft sides between 25-1/2 in ends,
    # 147 in in all.
    assert frame_lengths(24, 48, 1 / 16, 3 / 4) == (24.125, 49.625)
    ends, sides = frame_lengths(24, 48, 0, 3 / 4, runs_long="short")
    assert (ends, sides, 2 * ends + 2 * sides) == (25.5, 48, 147)
    assert mitred_lengths(24, 48, 0, 3 / 4) == (25.5, 49.5)


def test_a_frame_goes_round_an_uncut_core():
    job = made.made_up_job()
    whole = replace(job.shop.piece("2 in panel"), fits="core")
    practice = ShopPractice(clearance_m=0.0, runs_long="short")
    shop = replace(job.shop, stock=(whole,))
    sheet = build_wanted(replace(job, shop=shop), [wanted("2 in panel", shop)], practice)
    sizes = {cut.part: (cut.length_m, cut.width_m) for cut in sheet.sheets[0].cuts}
    assert sizes[Part.CORE] == pytest.approx((48 * IN, 24 * IN))
    assert sizes[Part.FRAME_SHORT][0] == pytest.approx(25.5 * IN)
    assert sizes[Part.FRAME_LONG][0] == pytest.approx(48 * IN)
    assert outside_m(whole, practice) == pytest.approx((25.5 * IN, 49.5 * IN))


def test_a_run_of_seven_wells_is_as_wide_as_the_trade_says():
    assert period_m(7, 2.5, 0.25) == 19.5
    assert lay_wells(STEPS, 2.5 * IN, 0.25 * IN, 19.5 * IN + 1e-9).runs == 1


# Depths of 8.2 (Cox and D'Antonio, Eq. 10.3, as quoted in open code), as shares of the deepest.
QR = {
    7: [0, 50, 200, 100, 100, 200, 50],
    11: [0, 31.18, 124.73, 280.64, 155.91, 93.55, 93.55, 155.91, 280.64, 124.73, 31.18],
    13: [
        0,
        26.38,
        105.54,
        237.46,
        79.15,
        316.62,
        263.85,
        263.85,
        316.62,
        79.15,
        237.46,
        105.54,
        26.38,
    ],
}
PR = {
    7: [147, 98, 294, 196, 245, 49],
    11: [62.36, 124.73, 249.45, 155.91, 311.82, 280.64, 218.27, 93.55, 187.09, 31.18],
    13: [
        52.77,
        105.54,
        211.08,
        79.15,
        158.31,
        316.62,
        290.23,
        237.46,
        131.92,
        263.85,
        184.69,
        26.38,
    ],
}


@pytest.mark.parametrize(
    ("name", "prime", "printed_mm"),
    [
        *(("quadratic residues", n, d) for n, d in QR.items()),
        *(("primitive root", n, d) for n, d in PR.items()),
    ],
)
def test_wells_have_the_printed_depths(name, prime, printed_mm):
    piece = replace(
        made.made_up_job().shop.piece("well diffuser"),
        pattern=NumberPattern(name=name, prime=prime),
        steps_m=(max(printed_mm) / 1000,),
    )
    assert [1000 * depth for depth in run_of(piece)] == pytest.approx(printed_mm, abs=0.02)


# Trade values for the depth of N = 7 wells: 2 in 1930, 3 in 1290, 4 in 965, 5.5 in 700, 6 in 640
# Hz.
@pytest.mark.parametrize(("deep_in", "hz"), [(2, 1930), (3, 1290), (4, 965), (5.5, 700), (6, 640)])
def test_wells_work_from_the_frequency_that_the_trade_says(deep_in, hz):
    job = made.made_up_job()
    well = job.shop.piece("well diffuser")
    deep = replace(
        well,
        steps_m=(deep_in * IN,),
        pattern=NumberPattern(name="quadratic residues", prime=7),
        depth_m=(deep_in + 1.5) * IN,
    )
    shop = replace(job.shop, stock=(deep,))
    sheet = build_wanted(replace(job, shop=shop), [wanted("well diffuser", shop)])
    assert sheet.sheets[0].works_from_hz == pytest.approx(hz, abs=6)


def test_number_arrays_of_any_size_cover_the_panel_with_as_many_of_each_height():
    for columns, rows in ((16, 32), (13, 24), (5, 9), (40, 31)):
        found = number_array(columns, rows, 0.04, STEPS, NumberPattern(name="primitive root"))
        assert (len(found.rows), len(found.rows[0])) == (rows, columns)
        assert len(set(found.rows)) == rows
        share = columns * rows / 5
        assert all(abs(count - share) < 0.25 * share + 3 for count in found.counts.values())


def test_folds_are_those_of_the_printed_arrays():
    # N 7 2 x 3, N 13 3 x 4, N 31 5 x 6, N 43 6 x 7 (verified: N 13 and N 43).
    assert [squarest_fold(n) for n in (7, 13, 31, 43)] == [(2, 3), (3, 4), (5, 6), (6, 7)]


def test_patterns_can_be_chosen_by_figure():
    found = choices(16, 32, 1.5 * IN, STEPS, 7)
    means = [choice.mean for choice in found]
    assert means == sorted(means, reverse=True) and means[0] > 0
    patterns = [choice.pattern for choice in found]
    assert fact(Pattern.DRAWN, seed=7) in patterns
    assert {p.get("prime") for p in patterns if p.kind == Pattern.RESIDUES} >= {7}
    assert Pattern.ROOT in {p.kind for p in patterns}
    assert all(len(choice.diffusion) == 4 for choice in found)


# 8 triangles a board with a 24 in face (17 in legs), 4 with 34 in (24 in legs); 8 ft are 48 layers,
# 6 or 12 boards, 8.0 or 16.0 ft3. A straddling 24 in panel is 17 in out on each wall and 12 in
# deep.
@pytest.mark.parametrize(
    ("face_in", "leg_in", "per_board", "boards", "cubic_ft"),
    [(24, 17, 8, 6, 8.0), (34, 24, 4, 12, 16.0)],
)
def test_corner_stacks_agree_with_the_trade(face_in, leg_in, per_board, boards, cubic_ft):
    found = triangles(face_in * IN, 96 * IN, (24 * IN, 48 * IN, 2 * IN))
    assert found.leg_m / IN == pytest.approx(leg_in, abs=0.05)
    assert (found.per_board, found.layers, found.boards) == (per_board, 48, boards)
    assert found.volume_m3 / 0.3048**3 == pytest.approx(cubic_ft, abs=0.06)
    assert straddle_m(24) == (pytest.approx(24 / sqrt(2)), 12)


def test_a_cloud_takes_whole_boards_the_way_that_needs_fewest():
    # 4 x 6 ft: three boards across, not four along ("2 to 3 panels").
    board = (24 * IN, 48 * IN, 2 * IN)
    assert [n for n, _ in core_parts((46.5 * IN, 70.5 * IN), board, 1)] == [3]
    assert [n for n, _ in core_parts((46.5 * IN, 46.5 * IN), board, 1)] == [2]


# Textbook values from memory, computed apart: slot 6, pitch 76, t 19, D 100 mm: 295.28 Hz; 5, 50,
# 20, 50: 479.66. Holes a 2.5, pitch 20, t 6, D 100: 405.70 Hz; a 3, 25, 12.7, 50: 407.61. Membrane
# 60/sqrt(m d) (handbooks): m 5 d 0.1: 84.85; 2.5, 0.1: 120.00; 6, 0.05: 109.54.
def test_boxes_resonate_where_the_closed_forms_say():
    assert slotted_hz(0.006, 0.076, 0.019, 0.1) == pytest.approx(295.28, abs=0.005)
    assert slotted_hz(0.005, 0.050, 0.020, 0.05) == pytest.approx(479.66, abs=0.005)
    assert perforated_hz(0.005, 0.020, 0.006, 0.1) == pytest.approx(405.70, abs=0.005)
    assert perforated_hz(0.006, 0.025, 0.0127, 0.05) == pytest.approx(407.61, abs=0.005)
    found = [membrane_hz(m, d) for m, d in ((5, 0.1), (2.5, 0.1), (6, 0.05))]
    assert found == pytest.approx([84.85, 120.00, 109.54], abs=0.005)


def test_equal_gaps_follow_the_trades_rule():
    # g = (W - n w) / (n + 1).
    assert equal_gap_m(174 * IN, [24 * IN] * 3) == pytest.approx((174 - 72) / 4 * IN)
