"""Every piece is drawn to scale from its parts: texts never meet, nothing leaves the page, every
part has its letter, and a drawing file measures what a tape would."""

from __future__ import annotations

import random
import re

import pytest

from roomcheck.job import bench_job, default_shop
from roomcheck.report.figures.paper import overlapping
from roomcheck.report.shop_figures.piece_views import TALL_MM, WIDE_MM, piece_drawing
from roomcheck.workshop import Part, build_wanted, wanted

IN = 0.0254
SHOPS = {"imperial": default_shop(), "metric": default_shop("metric")}
STOCK = [(units, piece.name) for units, shop in SHOPS.items() for piece in shop.stock]
KINDS = (
    "2 in panel",
    "4 in panel",
    "4 in panel, 2 in gap",
    "slatted resonator",
    "membrane trap",
    "perforated resonator",
    "4 in ceiling cloud",
    "corner trap",
)
ON_THE_WALL = {Part.WALL_STRIP, Part.SPLICE, Part.BACKING_CLOTH, Part.FRONT_CLOTH}
"""Cut, and not drawn: strips stay on the wall, plates are shown by their step, cloth inside has no
thickness."""


def drawn(text, units="imperial"):
    job = bench_job(SHOPS[units], units=units, title="made up")
    (sheet,) = build_wanted(job, [wanted(text, SHOPS[units], units)]).sheets
    return sheet, *piece_drawing(job, sheet)


def check(paper):
    assert not overlapping(paper.written)
    assert all(paper.sheet.holds(each.box) for each in paper.written)
    assert paper.width_mm == WIDE_MM
    assert paper.height_mm <= TALL_MM


@pytest.mark.parametrize(("units", "name"), STOCK)
def test_every_piece_of_the_stock_is_drawn_with_all_its_letters(units, name):
    sheet, paper, _ = drawn(name, units)
    check(paper)
    seen = {each.text for each in paper.written}
    for letter, cut in zip(sheet.letters, sheet.cuts, strict=True):
        if cut.part not in ON_THE_WALL:
            assert letter in seen, (letter, cut)


@pytest.mark.parametrize("seed", range(25))
def test_random_sizes_stay_readable(seed):
    draw = random.Random(seed)
    kind = draw.choice(KINDS)
    _, paper, _ = drawn(f"{kind} {draw.randint(30, 46)} x {draw.randint(24, 90)} in")
    check(paper)


@pytest.mark.parametrize(
    ("text", "units", "edge", "reach"),
    [
        # At 45 degrees: 24 / sqrt 2 = 16.97 in, (24 + 4 1/2) / sqrt 2 = 20.15 in.
        ("corner trap", "imperial", "1'-5\"", "1'-8 1/8\""),
        # 600 / sqrt 2 = 424.3 mm, (600 + 70) / sqrt 2 = 473.8 mm.
        ("corner stack", "metric", "424 mm", "474 mm"),
        # 30 / sqrt 2 = 21.21 in, (30 + 2 1/2) / sqrt 2 = 22.98 in.
        ("corner stack 30 x 80 in", "imperial", "1'-9 3/16\"", "1'-11\""),
    ],
)
def test_a_corner_piece_is_drawn_with_what_it_takes_of_both_walls(text, units, edge, reach):
    sheet, paper, _ = drawn(text, units)
    check(paper)
    texts = [each.text for each in paper.written]
    assert sum("IN ITS CORNER" in text for text in texts) == 1
    assert (texts.count(edge), texts.count(reach)) == (2, 2)
    strip = next(
        letter
        for letter, cut in zip(sheet.letters, sheet.cuts, strict=True)
        if cut.part is Part.WALL_STRIP
    )
    assert strip in texts


def test_a_piece_on_a_wall_has_no_corner_plan():
    _, paper, _ = drawn("4 in panel")
    assert all("IN ITS CORNER" not in each.text for each in paper.written)


def test_a_drawing_file_measures_what_a_tape_would():
    """A 2 x 4 in panel is 24 x 48 in outside: its outline is the widest box of the front view."""
    _, paper, scale = drawn("4 in panel")
    groups = re.findall(r"\s*(\d+)\n(.*)\n", paper.dxf("imperial", scale))
    lines, line = [], {}
    for code, value in groups:
        if code == "0" and line:
            lines.append(line)
        line = {"kind": value} if code == "0" else line | {code: value}
    long = [
        abs(float(each["20"]) - float(each["21"]))
        for each in lines
        if each["kind"] == "LINE" and each.get("8") == "PIECES"
    ]
    assert max(long) == pytest.approx(48.0, abs=1e-3)


def test_shop_sheets_hold_the_drawing_and_the_letters(tmp_path):
    from roomcheck.report.render.blocks import Picture, Table
    from roomcheck.report.shop_pages.shopsheets import shop_sheets

    job = bench_job(SHOPS["imperial"], units="imperial", title="made up")
    sheet = build_wanted(job, [wanted("2 x block diffuser", SHOPS["imperial"])])
    blocks = shop_sheets(job, None, sheet).blocks
    assert any(isinstance(block, Picture) and "SECTION 1" in block.svg for block in blocks)
    (piece,) = sheet.sheets
    cuts = next(b for b in blocks if isinstance(b, Table) and b.rows[0][0] == "A")
    assert [row[0] for row in cuts.rows] == list(piece.letters)


def test_turned_pieces_and_whose_cleat_is_whose_stand_on_the_piece_sheet():
    import sys
    from pathlib import Path

    sys.path.insert(0, str(Path(__file__).parents[1] / "workshop"))
    import made_up_story_room as made

    from roomcheck.report.render.blocks import Table, Text
    from roomcheck.report.shop_pages.shopsheets import shop_sheets
    from roomcheck.workshop import build

    job = made.made_up_job()
    plan = made.made_up_plan(
        made.on("north", "A1", "4 in panel", 14, 36, 24, 48),
        made.on("north", "A2", "4 in panel", 60, 36, 48, 24),
    )
    blocks = shop_sheets(job, plan, build(job, plan)).blocks
    texts = [block.body for block in blocks if isinstance(block, Text)]
    assert any("long way across: A2." in text for text in texts)
    cuts = next(b for b in blocks if isinstance(b, Table) and b.rows[0][0] == "A")
    owners = {row[4]: row[-1].rpartition(": ")[2] for row in cuts.rows if row[1] == "wall cleat"}
    assert sorted(owners.values()) == ["A1", "A2"]
