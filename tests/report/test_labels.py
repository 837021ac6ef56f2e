"""Texts of a drawing never cover each other, and their boxes are as wide as the font says."""

from __future__ import annotations

import random
from itertools import pairwise

import pytest
from matplotlib.font_manager import FontProperties
from matplotlib.textpath import text_to_path

from roomcheck.report.figures.labels import Box, Label, place_labels, spread, text_width_mm
from roomcheck.report.figures.paper import Fill, Paper, Pen, overlapping


@pytest.mark.parametrize("text", ["48 in", "5'-0 3/4\"", "W", "A1 610 × 1219 mm", "ß"])
def test_a_line_is_as_wide_as_the_fonts_own_outlines(text):
    """Second method: the outlines that matplotlib draws letters with."""
    font = FontProperties(family="DejaVu Sans", size=10)
    wide, _, _ = text_to_path.get_text_width_height_descent(text, font, ismath=False)
    assert text_width_mm(text, 10) == pytest.approx(wide, rel=0.02)


@pytest.mark.parametrize("seed", range(40))
def test_labels_cover_neither_each_other_nor_what_is_taken(seed):
    rng = random.Random(seed)
    paper = Paper(rng.uniform(80, 170), rng.uniform(60, 120))
    labels = []
    for i in range(rng.randint(1, 40)):
        x, y = rng.uniform(0, paper.width_mm - 12), rng.uniform(0, paper.height_mm - 12)
        home = Box(x, y, x + rng.uniform(1, 12), y + rng.uniform(1, 12))
        labels.append(Label(lines=(f"A{i}", "24 x 48 in"), home=home))
    taken = [paper.text((20, 20), "a wide text that stands already")]
    placed, left_out = place_labels(labels, paper.sheet, taken)
    assert len(placed) + len(left_out) == len(labels)
    for each in placed:
        paper.label(each)
        assert paper.sheet.holds(each.box)
    assert not overlapping(paper.written)
    leaders = [each.leader for each in placed if each.leader is not None]
    assert not any(each.box.crossed_by(*leader) for each in placed for leader in leaders)


def test_six_labels_of_one_spot_all_find_room():
    labels = [Label(lines=(f"A{i}",), home=Box(50, 50, 51, 51)) for i in range(6)]
    placed, left_out = place_labels(labels, Box(0, 0, 100, 100))
    assert len(placed) == 6
    assert not left_out


@pytest.mark.parametrize("seed", range(40))
def test_spread_keeps_order_distance_and_ends(seed):
    rng = random.Random(seed)
    count = rng.randint(1, 30)
    low, high = -5.0, -5.0 + 3.2 * count + rng.uniform(0, 60)
    values = sorted(rng.uniform(low, high) for _ in range(count))
    places = spread(values, 3.2, low, high)
    assert all(b - a >= 3.2 - 1e-6 for a, b in pairwise(places))
    assert places[0] >= low - 1e-6
    assert places[-1] <= high + 1e-6


def test_spread_refuses_a_line_that_is_too_short():
    with pytest.raises(ValueError, match="3 labels"):
        spread([0, 1, 2], 5, 0, 8)


def test_two_texts_on_one_spot_are_found():
    paper = Paper(50, 50)
    paper.text((20, 20), "one")
    paper.text((21, 20), "two", turned=True)
    assert overlapping(paper.written) == [("one", "two")]


def test_a_drawing_file_has_the_size_of_the_thing():
    """A line of 40 mm at 1:10 is 400 mm long."""
    paper = Paper(50, 50)
    paper.line((5, 5), (45, 5), pen=Pen.HIDDEN)
    paper.box(Box(0, 0, 1, 1), fill=Fill.HATCHED)
    text = paper.dxf("metric", 10)
    groups = text.split()
    assert groups[groups.index("LINE") + 1 :][1:9] == [
        "OUTLINE", "10", "50.0", "20", "50.0", "30", "0.0", "11",
    ]  # fmt: skip
    assert "450.0" in groups
