"""Pieces in a few words: sizes nobody thinks of, metric shops, slips of the pen, and sheets that
can be built again."""

from __future__ import annotations

import json
from collections import Counter
from dataclasses import replace
from decimal import Decimal

import made_up_story_room as made
import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st
from made_up_story_room import IN

from roomcheck.cli import main
from roomcheck.facts import fact
from roomcheck.job import Need, Offcut, OtherLength, Price, ShopMaterial, bench_job, default_shop
from roomcheck.job.model.practice import ShopPractice
from roomcheck.words import Reader, sentence
from roomcheck.workshop import (
    Caution,
    NoSuchSize,
    PanelError,
    Part,
    Pattern,
    Step,
    UnknownPiece,
    build_pieces,
    build_wanted,
    rack_after,
    wanted,
)
from roomcheck.workshop.cutting.cutting import CannotCut
from roomcheck.workshop.parts.piece_text import sides_m
from roomcheck.workshop.patterns.layout import block_array

SHOP = default_shop()


def one(text: str, practice: ShopPractice | None = None, units: str = "imperial"):
    """Sheet of one wording."""
    job = bench_job(SHOP, units=units, title=text)
    return build_wanted(job, [wanted(text, SHOP)], practice)


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("24 in x 48 in", (24, 48)),
        ("19 7/8 x 37 3/16 in", (19.875, 37.1875)),
        ("2 ft by 4 ft", (24, 48)),
        ('24" × 48" × 6"', (24, 48, 6)),
        ("600 x 1200 mm", (600 / 25.4, 1200 / 25.4)),
        ("3 m x 300 mm", (3000 / 25.4, 300 / 25.4)),
    ],
)
def test_sizes_are_read_as_people_write_them(text, inches):
    assert [side / IN for side in sides_m(text)] == pytest.approx(inches)


@pytest.mark.parametrize(
    ("text", "count", "name"),
    [
        ("2 x 4 in panel, 2 in gap", 2, "4 in panel, 2 in gap"),
        ("2 in panel", 1, "2 in panel"),
        ("Block diffuser", 1, "block diffuser"),
        ("12 × felt tile", 12, "felt tile"),
        ("cloud", 1, "4 in ceiling cloud"),
    ],
)
def test_pieces_are_found_by_name_or_kind(text, count, name):
    found = wanted(text, SHOP)
    assert (found.count, found.piece.name) == (count, name)


@pytest.mark.parametrize(
    ("text", "error", "word"),
    [
        ("sofa", UnknownPiece, "write one of"),
        ("block diffuser 24 in", NoSuchSize, "width x height"),
        ("block diffuser 24 x 48", NoSuchSize, "no unit"),
        ("block diffuser -24 in x 48 in", NoSuchSize, "sides from"),
        ("block diffuser 1 mm x 1 mm", NoSuchSize, "sides from"),
        ("block diffuser 10 m x 10 m", NoSuchSize, "sides from"),
        ("0 x block diffuser", NoSuchSize, "1 or more"),
    ],
)
def test_slips_of_the_pen_are_named(text, error, word):
    with pytest.raises(error, match=word):
        wanted(text, SHOP)


@settings(max_examples=8, deadline=None, phases=[Phase.explicit, Phase.reuse, Phase.generate])
@given(
    wide=st.integers(6 * 16, 40 * 16),
    high=st.integers(6 * 16, 60 * 16),
    stick=st.sampled_from([None, 1.47, 1.5, 1.53]),
    opening=st.booleans(),
)
def test_block_panels_of_any_size_hold_together(wide, high, stick, opening):
    """Sixteenths of an inch: the frame fits the measured array, and an opening holds both."""
    w, h = wide / 16, high / 16
    practice = ShopPractice(stick_m=stick and stick * IN)
    if opening and min(w, h) < 4:
        return
    (sheet,) = one(
        f"block diffuser {'opening ' if opening else ''}{w} in x {h} in", practice
    ).sheets
    cell = (stick or 1.5) * IN
    columns, rows = len(sheet.row_map[0]), len(sheet.row_map)
    assert (sheet.array_width_m, sheet.array_height_m) == (
        pytest.approx(columns * cell),
        pytest.approx(rows * cell),
    )
    if opening:
        assert sheet.outside_width_m <= w * IN + 1e-9 < sheet.outside_width_m + cell
        assert sheet.outside_height_m <= h * IN + 1e-9 < sheet.outside_height_m + cell
    else:
        assert (columns, rows) == (int(w / 1.5 + 1e-6), int(h / 1.5 + 1e-6))
    heights = Counter(x for row in sheet.row_map for x in row)
    assert max(heights.values()) - min(heights.values()) <= 1 and len(heights) == min(
        5, columns * rows
    )
    frame = {
        c.part: c.length_m
        for c in sheet.cuts
        if c.part in (Part.FRAME_LONG, Part.FRAME_SHORT) and not c.in_line
    }
    if len(frame) == 2:
        short, long = sorted((sheet.array_width_m, sheet.array_height_m))
        assert frame[Part.FRAME_SHORT] == pytest.approx(short + IN / 8)
        assert frame[Part.FRAME_LONG] == pytest.approx(long + IN / 8 + 1.5 * IN)
        assert max(sheet.outside_width_m, sheet.outside_height_m) == pytest.approx(
            frame[Part.FRAME_LONG]
        )


def test_three_metres_of_diffuser_are_joined_out_of_short_boards():
    made_of = one("block diffuser 3 m x 300 mm", units="metric")
    (piece,) = made_of.sheets
    parts = [c.length_m for c in piece.cuts if c.part == Part.FRAME_LONG and c.in_line]
    # 78 whole sticks of 38.1 mm, clearance and two boards: 3.0131 m.
    assert sum(parts) == pytest.approx(78 * 0.0381 + IN / 8 + 1.5 * IN)
    backing = [c.length_m / 0.0381 for c in piece.cuts if c.part == Part.BACKING and c.in_line]
    assert sum(backing) == pytest.approx(78)
    assert all(abs(cells - round(cells)) < 1e-6 for cells in backing)
    (joined,) = (caution for caution in piece.cautions if caution.kind == Caution.JOINED)
    assert {part for part, _ in joined["parts"]} >= {Part.FRAME_LONG, Part.BACKING}


def test_a_metric_shop_buys_metric_stock():
    """Boards, sheets and sticks named in millimetres; 40 mm sticks of 2.4 m; by hand."""
    names = {
        "stick": Price(
            item="stick 40 x 40 mm, 2.4 m",
            material=ShopMaterial.STICK,
            length_m=2.4,
            unit="stick",
            pack=Decimal(1),
            price=Decimal(4),
            waste_pct=Decimal(0),
        ),
        "board": Price(
            item="board 18 x 140 mm",
            material=ShopMaterial.BOARD,
            thickness_m=0.018,
            width_m=0.14,
            unit="m",
            pack=Decimal("2.4"),
            price=Decimal(9),
            waste_pct=Decimal(0),
        ),
        "ply": Price(
            item="plywood 12 mm, 1220 x 2440 mm",
            material=ShopMaterial.PLYWOOD,
            thickness_m=0.012,
            width_m=1.22,
            length_m=2.44,
            unit="m2",
            pack=Decimal("2.9768"),
            price=Decimal(40),
            waste_pct=Decimal(0),
        ),
        "cleat": Price(
            item="plywood 18 mm, 600 x 1200 mm",
            material=ShopMaterial.PLYWOOD,
            thickness_m=0.018,
            width_m=0.6,
            length_m=1.2,
            unit="m2",
            pack=Decimal("0.72"),
            price=Decimal(20),
            waste_pct=Decimal(0),
        ),
    }
    needs = tuple(Need(item=price.item, amount=1.0) for price in names.values())
    piece = replace(
        SHOP.piece("block diffuser"),
        needs=needs,
        drawn=True,
        cell_m=0.04,
        steps_m=(0.0, 0.03, 0.06, 0.09),
        width_m=0.6,
        height_m=1.2,
    )
    practice = ShopPractice(
        board_m=0.018, backing_m=0.012, cleat_m=0.018, clearance_m=0.001, hold_m=0.15, trim_m=0.005
    )
    shop = replace(
        SHOP, prices=tuple(names.values()), stock=(piece,), kerf_m=0.003, practice=practice
    )
    sheet = build_pieces(bench_job(shop, units="metric", title="one"), [("block diffuser", 1)])
    assert sheet.unpriced == ()
    cuts = {
        cut.part: (cut.stock.item, round(cut.length_m, 6))
        for cut in sheet.sheets[0].cuts
        if cut.part != Part.BLOCK
    }
    # 15 x 30 cells; frame 602 mm between, 1202 + 36 mm over.
    assert cuts[Part.FRAME_SHORT] == ("board 18 x 140 mm", 0.602)
    assert cuts[Part.FRAME_LONG] == ("board 18 x 140 mm", 1.238)
    assert cuts[Part.BACKING] == ("plywood 12 mm, 1220 x 2440 mm", 1.2)
    assert cuts[Part.WALL_CLEAT][0] == "plywood 18 mm, 600 x 1200 mm"
    assert sheet.panels[0].width_m == pytest.approx(1.22)
    # 450 cells in four heights: 113 113 112 112; a tenth on top, rounded up.
    blocks = {round(b.height_m, 3): (b.cells, b.spares) for b in sheet.sheets[0].blocks}
    assert blocks == {0.09: (112, 12), 0.06: (112, 12), 0.03: (113, 12)}
    net = sum((cells + spare) * (height + 0.003) for height, (cells, spare) in blocks.items())
    bars = next(p.packs for p in sheet.purchases if p.unit == "stick")
    assert bars >= net / (2.4 - 0.01 - 0.15)
    assert bars <= net / (2.4 - 0.01 - 0.15) + 1


def test_offcuts_go_first_and_leftovers_go_back():
    stick = "stick 2x2, 8 ft"
    rack = (Offcut(item=stick, length_m=40 * IN, count=2), Offcut(item=stick, length_m=5 * IN))
    bare = one("block diffuser")
    job = bench_job(replace(SHOP, offcuts=rack), units="imperial", title="one")
    sheet = build_wanted(job, [wanted("block diffuser", job.shop)])
    plan = next(p.plan for p in sheet.cutting if p.item == stick)
    from_rack = [bar for bar in plan.bars if bar.offcut]
    # Two of 40 in are used; 5 in holds no block beside what stays in the clamp.
    assert sum(bar.count for bar in from_rack) == 2 and {
        round(b.length_m / IN) for b in from_rack
    } == {40}
    bought = {
        s: next(p.packs for p in x.purchases if p.item == stick)
        for s, x in (("bare", bare), ("rack", sheet))
    }
    assert bought["rack"] <= bought["bare"]
    after = rack_after(job.shop, sheet.cutting, job.shop.practice)
    assert Offcut(item=stick, length_m=5 * IN) in after
    assert not any(o.length_m == 40 * IN and o.item == stick for o in after)
    for material in sheet.cutting:
        long_ones = sum(bar.count for bar in material.plan.bars if bar.left_m >= 12 * IN)
        assert sum(o.count for o in sheet.leftovers if o.item == material.item) == long_ones


def test_a_panel_of_another_size_buys_one_sheet_where_one_is_cut():
    # By hand: a backing of 19-1/2 x 36 in, 4.9 ft2, and 10 % are a sixth of a sheet of 32 ft2; two
    # cleats come out of a quarter sheet; a frame of 2 x (37-5/8 + 19-5/8) in, 9.5 ft, and 12 % come
    # out of two boards of 8 ft.
    bought = {p.item: p for p in one("block diffuser 19 7/8 x 37 3/16 in").purchases}
    assert bought["plywood 1/2 in"].net == pytest.approx(Decimal("4.875"), abs=Decimal("0.001"))
    assert [bought[f"plywood {thick} in"].packs for thick in ("1/2", "3/4")] == [1, 1]
    assert bought["board 1x6, pine"].net == pytest.approx(Decimal("9.5417"), abs=Decimal("0.001"))
    assert bought["board 1x6, pine"].packs == 2


def test_one_row_of_blocks_has_short_frame_boards():
    # One row of 1-1/2 in and 1/16 in of clearance each side: 1-5/8 in between, shorter than the
    # board is wide.
    (sheet,) = one("block diffuser 24 in x 1 1/2 in").sheets
    (short,) = (cut for cut in sheet.cuts if cut.part == Part.FRAME_SHORT)
    assert (short.length_m / IN, short.width_m / IN) == (pytest.approx(1.625), pytest.approx(5.5))
    assert len(sheet.row_map) == 1


def test_a_clouds_rail_goes_the_short_way():
    # 8 ft x 4 ft: between the long boards, 48 in less two boards of 3/4 in.
    (sheet,) = one("cloud 8 ft x 4 ft").sheets
    (rail,) = (cut for cut in sheet.cuts if cut.part == Part.CROSS_RAIL)
    assert rail.length_m == pytest.approx(46.5 * IN)


def test_one_height_is_refused_in_the_words_and_units_of_the_bench():
    with pytest.raises(
        PanelError, match=r'^heights: found 0.0508 m \(2"\), needed at least two heights'
    ):
        block_array(replace(SHOP.piece("block diffuser"), steps_m=(2 * IN,)), ShopPractice())


def test_boxes_name_the_plywood_that_is_cut_for_them():
    for piece in SHOP.stock:
        if piece.kind in ("slatted box", "perforated box", "membrane trap"):
            (sheet,) = one(piece.name).sheets
            cut = {c.stock.item for c in sheet.cuts if "plywood" in c.stock.item}
            assert cut == {need.item for need in piece.needs if "plywood" in need.item}


def test_what_is_needed_counts_pieces_that_name_their_needs_and_pieces_that_do_not():
    # Fabric of the corner trap, 37 x 61 in, and of the stack, 33 x 103 in, side by side do not fit
    # 65 in: by hand the trap turned, 37 in, and 103 in, 140 in or 3.89 yd, and 10 % are 4.28 yd.
    # Wool: eleven boards are drawn.
    job = bench_job(SHOP, units="imperial", title="both")
    bought = {
        p.item: p
        for p in build_wanted(job, [wanted(k, SHOP) for k in ("corner", "corner stack")]).purchases
    }
    fabric, wool = bought["face fabric"], bought["mineral wool board, 24 x 48 x 2 in"]
    assert fabric.net == pytest.approx(Decimal("3.8889"), abs=Decimal("0.0001"))
    assert fabric.with_waste == pytest.approx(Decimal("4.2778"), abs=Decimal("0.0001"))
    # Two layers of the trap's core, and six boards of the stack's 48 triangles (trade value):
    # eight.
    assert (wool.net, wool.with_waste) == (8, Decimal("8.40"))


def test_the_standard_panels_frame_is_bought_as_two_boards():
    # Two 8 ft boards, one long and one short each (trade value); 2 x (49-5/8 + 24-1/8) in and 12 %
    # are 13.8 ft of 16.
    bought = {p.item: p for p in one("block diffuser").purchases}
    assert bought["board 1x6, pine"].net == pytest.approx(Decimal("12.2917"), abs=Decimal("0.0001"))
    assert bought["board 1x6, pine"].packs == 2


def test_longer_boards_are_bought_where_they_cost_less():
    # Frame of 49-5/8 and 24-1/8 in, two of each, 147-1/2 in: two 8 ft at 13 are 26; one 14 ft at 20
    # holds all four, and 12-1/4 ft with 12 % of waste.
    longer = tuple(
        replace(p, also=(OtherLength(length_m=14 * 12 * IN, price=Decimal(20)),))
        if p.item == "board 1x6, pine"
        else p
        for p in SHOP.prices
    )
    job = bench_job(replace(SHOP, prices=longer), units="imperial", title="one")
    sheet = build_wanted(job, [wanted("block diffuser", job.shop)])
    (bought,) = (p for p in sheet.purchases if p.item.startswith("board 1x6"))
    assert (bought.item, bought.packs, bought.cost) == ("board 1x6, pine, 14'-0\"", 1, Decimal(20))


def test_a_metric_shops_corner_stack_is_metric_and_comes_out_of_its_boards():
    """600 mm core boards and 2.4 m of board, 5 mm off each end and a 3 mm cut: 2387 mm at most."""
    shop = default_shop("metric")
    asked = wanted("corner stack", shop, "metric")
    sheet = build_wanted(bench_job(shop, units="metric", title="one"), [asked])
    assert (asked.piece.width_m, asked.piece.height_m, asked.piece.depth_m) == (0.6, 2.38, 0.3)
    for cut in sheet.sheets[0].cuts:
        for length_m in (cut.length_m, cut.width_m or 0.0):
            if cut.part in (Part.FRAME_LONG, Part.FRAME_SHORT, Part.CORE_SQUARE):
                assert round(1000 * length_m, 6) == round(1000 * length_m)


@pytest.mark.parametrize(("units", "amount"), [("imperial", "4"), ("metric", "0.1183")])
def test_a_usual_piece_takes_its_four_ounces_of_glue_out_of_either_shops_bottle(units, amount):
    """4 US fl oz are 118.3 ml (NIST Handbook 44, appendix C: 29.573 53 ml each); wood glue, not the
    sealant that the price list has first."""
    shop = default_shop(units)
    sheet = build_wanted(bench_job(shop, units=units, title="one"), [wanted("corner stack", shop)])
    (glue,) = (p for p in sheet.purchases if p.item == "wood glue")
    assert float(glue.net) == pytest.approx(float(amount), rel=1e-3)
    assert glue.packs == 1
    assert all(p.item != "elastic sealant" for p in sheet.purchases)


@pytest.mark.parametrize(("height_mm", "whole"), [(2386, True), (2387, True), (2388, False)])
def test_a_frame_longer_than_a_board_gives_with_its_saw_cut_is_joined(height_mm, whole):
    shop = default_shop("metric")
    asked = wanted(f"corner stack 600 x {height_mm} mm", shop, "metric")
    (sheet,) = build_wanted(bench_job(shop, units="metric", title="one"), [asked]).sheets
    longest_mm = max(1000 * c.length_m for c in sheet.cuts if c.part is Part.FRAME_LONG)
    assert (longest_mm == pytest.approx(height_mm)) == whole


@pytest.mark.parametrize(
    ("change", "word"),
    [
        ({"stick_m": 3 * IN}, "stick"),
        ({"hold_m": 95 * IN}, "leave less in the clamp"),
    ],
)
def test_a_bench_that_cannot_work_is_told(change, word):
    with pytest.raises((PanelError, CannotCut), match=word):
        one("block diffuser", ShopPractice(**change))


def test_every_kind_is_built_without_the_shop_naming_it():
    kinds = (
        "slatted box",
        "perforated box",
        "membrane trap",
        "corner stack",
        "cloud 4 ft x 6 ft",
        "felt",
        "corner",
    )
    job = bench_job(SHOP, units="imperial", title="all")
    sheet = build_wanted(job, [wanted(kind, SHOP) for kind in kinds])
    assert len(sheet.sheets) == len(kinds) and sheet.unpriced == ()
    tuned = {s.piece: s.tuned_hz for s in sheet.sheets if s.tuned_hz}
    assert set(tuned) == {"slatted resonator", "perforated resonator", "membrane trap"}
    told_hz = {
        s.piece: c["resonance_hz"]
        for s in sheet.sheets
        for c in s.cautions
        if c.kind == Caution.RESONATES
    }
    assert told_hz == tuned
    for purchase in sheet.purchases:
        assert purchase.packs * purchase.pack >= purchase.net > 0


def test_the_command_builds_a_piece_and_writes_sheets_that_hold_its_pattern(
    tmp_path, capsys, monkeypatch
):
    monkeypatch.chdir(tmp_path)
    text = "block diffuser 19 7/8 x 37 3/16 in"
    assert (
        main(["build", "--piece", text, "--seed", "12", "--stick", "1.515 in", "--out", "bench"])
        == 0
    )
    capsys.readouterr()
    drawn = "piece-1-block-diffuser-19-7-8-x-37-3-16-in"
    assert {p.name for p in (tmp_path / "bench").glob("[!.]*")} == {
        *(f"build-sheets.{s}" for s in ("pdf", "html", "json")),
        *(f"{drawn}.{s}" for s in ("svg", "dxf")),
        "labels.pdf",
    }
    kept = json.loads((tmp_path / "bench" / "build-sheets.json").read_text("utf-8"))["result"][
        "sheets"
    ][0]
    assert kept["pattern"] == {"kind": "drawn", "seed": 12}
    assert main(["build", "--piece", text, "--seed", "12", "--stick", "1.515 in", "--json"]) == 0
    again = json.loads(capsys.readouterr().out)["sheets"][0]
    assert again["row_map"] == kept["row_map"]
    assert main(["build", "--piece", text, "--seed", "13", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["sheets"][0]["row_map"] != kept["row_map"]


@pytest.mark.parametrize(
    ("arguments", "word"),
    [
        ([], "one of the two"),
        (["somewhere", "--piece", "panel"], "one of the two"),
        (["--piece", "block diffuser", "--kerf", "0 in"], "above 0"),
        (["--piece", "block diffuser", "--stick", "0 in"], "above 0"),
        (["--piece", "block diffuser", "--stick", "1.5"], "no unit"),
        (["--piece", "block diffuser", "--heights", "1 in"], "at least two heights"),
        (["--piece", "block diffuser", "--heights", "1 in, 1 in"], "all differ"),
        (["--piece", "block diffuser", "--heights=-1 in, 1 in"], "0 or more"),
        (["--piece", "block diffuser", "--cell", "30 in"], "no more than the panel"),
        (["--piece", "block diffuser", "--pattern", "quadratic residues 8"], "odd prime"),
        (["--piece", "block diffuser", "--pattern", "spiral"], "primitive root"),
        (["--piece", "block diffuser", "--seed", "-1"], "0 or more"),
        (["--piece", "panel", "--patterns"], "no block diffuser"),
        (["--piece", "panel", "--rack"], "no shop.toml"),
    ],
)
def test_what_cannot_be_built_is_said_in_one_line(arguments, word, tmp_path, capsys, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert main(["build", *arguments]) == 2
    said = capsys.readouterr().err
    assert word in said and said.startswith("roomcheck: ") and "Traceback" not in said


def test_patterns_are_shown_side_by_side(tmp_path, capsys, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert main(["build", "--piece", "block diffuser 12 x 24 in", "--patterns"]) == 0
    said = capsys.readouterr().out
    assert (
        "balanced draw, seed 7" in said
        and "primitive root" in said
        and "1 kHz" in said
        and "…" not in said
    )


def test_the_rack_is_written_into_the_shops_own_file(tmp_path, capsys, monkeypatch):
    from roomcheck.job import read_shop
    from roomcheck.job.read.shop_file import DEFAULT

    monkeypatch.chdir(tmp_path)
    (tmp_path / "shop.toml").write_text(DEFAULT.read_text("utf-8"), encoding="utf-8")
    assert main(["build", "--piece", "block diffuser", "--rack", "--json"]) == 0
    sheet = json.loads(capsys.readouterr().out)
    rack = read_shop(tmp_path / "shop.toml").offcuts
    assert [o.item for o in rack] == [o["item"] for o in sheet["leftovers"]]
    # Cut down to the sixteenth, never up: a rack must not promise more than lies on it.
    assert all(
        o.length_m <= left["length_m"] + 1e-9
        for o, left in zip(rack, sheet["leftovers"], strict=True)
    )


def test_a_job_keeps_what_was_measured_at_the_bench(tmp_path):
    from roomcheck.job import keep_practice, read_shop

    job = replace(made.made_up_job(), folder=tmp_path)
    keep_practice(job, {"stick": "1.515 in", "corner": "mitre"}, {"block diffuser": {"seed": 12}})
    shop = read_shop(tmp_path / "shop.toml")
    assert (shop.practice.stick_m, shop.practice.corner) == (pytest.approx(1.515 * IN), "mitre")
    assert shop.piece("block diffuser").seed == 12
    from roomcheck.workshop import build

    sheet = build(
        replace(job, shop=shop),
        made.made_up_plan(made.on("south", "D1", "block diffuser", 90, 36, 48, 24)),
    )
    (piece,) = sheet.sheets
    assert piece.pattern == fact(Pattern.DRAWN, seed=12)
    assert piece.array_width_m == pytest.approx(16 * 1.515 * IN)
    (frame,) = (step for step in piece.steps if step.kind == Step.FRAME)
    assert frame["corner"] == "mitre"


def test_weights_ask_for_the_scales_only_where_they_are_far_off():
    """Shipped weights are the trade's planning values: parts make nearly as much, and no sheet
    cries wolf."""
    job = bench_job(SHOP, units="imperial", title="all")
    sheet = build_pieces(job, [(piece.name, 1) for piece in SHOP.stock])
    kinds = {caution.kind for piece in sheet.sheets for caution in piece.cautions}
    assert Caution.WEIGH_ONE not in kinds and Caution.SAW in kinds
    light = replace(SHOP.piece("block diffuser"), weight_kg=20.0)
    job = bench_job(replace(SHOP, stock=(light,)), units="imperial", title="one")
    (piece,) = build_pieces(job, [("block diffuser", 1)]).sheets
    assert Caution.WEIGH_ONE in {caution.kind for caution in piece.cautions}
    half = wanted("felt 12 x 24 in", SHOP).piece
    assert half.weight_kg == pytest.approx(SHOP.piece("felt tile").weight_kg / 2)


def test_a_deeper_box_is_framed_with_a_deeper_board_and_no_other_one_is_bought():
    """7-1/4 in deep is a 1x8, and the 1x6 that the shop's own trap names is not bought beside it."""
    job = bench_job(SHOP, units="imperial", title="made up")
    asked = wanted("membrane trap 24 x 24 x 7 1/4 in", SHOP)
    sheet = build_wanted(job, [asked])
    boards = [p.item for p in sheet.purchases if p.material is ShopMaterial.BOARD]
    assert boards == ["board 1x8, pine"]
    cut = {cut.stock.item for cut in sheet.sheets[0].cuts}
    assert set(boards) <= cut
    shallow = build_wanted(job, [wanted("membrane trap 24 x 24 x 5 1/2 in", SHOP)])
    # 60 over the root of mass and depth: a deeper cavity resonates lower.
    assert sheet.sheets[0].tuned_hz < shallow.sheets[0].tuned_hz


def test_cards_between_blocks_are_counted_against_the_clearance_round_them():
    """32 rows: a card after every 4th of them but the last, 7 of 0.3 mm in 1/8 in."""
    job = bench_job(SHOP, units="imperial", title="made up")
    (piece,) = build_pieces(job, [("block diffuser", 1)]).sheets
    assert len(piece.row_map) == 32
    step = next(step for step in piece.steps if step.kind is Step.CHECK_ROWS)
    assert (step["gaps"], step["gaps_m"]) == (7, pytest.approx(0.0021))
    assert step["clear_m"] == pytest.approx(IN / 8)
    text = sentence(step, Reader())
    assert "7 cards make 0.08 in of 0.12 in: the clearance round the blocks takes that" in text
