"""Block panels beside each other run on as one pattern: held against plainly repeated panels, by
sums and flood fills written apart from the code."""

from __future__ import annotations

from collections import Counter
from itertools import pairwise

import made_up_story_room as made
import numpy as np
import pytest

from roomcheck.job import NumberPattern
from roomcheck.report.shop_pages.shop_bench import _order, row_map
from roomcheck.workshop import LaidPanel, Step, build, build_pieces
from roomcheck.workshop.patterns.blocks import drawn_array
from roomcheck.workshop.patterns.patterns import number_array
from roomcheck.workshop.patterns.seams import Seam, laid_as, likeness, run_on, seams_of

IN = 0.0254
STEPS = (0.0, 1 * IN, 2 * IN, 3 * IN, 4 * IN)


def numbers(name: str, prime: int | None):
    return number_array(16, 32, 1.5 * IN, STEPS, NumberPattern(name=name, prime=prime))


PATTERNS = {
    "drawn": drawn_array(16, 32, 1.5 * IN, STEPS, 7),
    "drawn anew": drawn_array(16, 16, 1.5 * IN, STEPS, 11),
    "residues of 37": numbers("quadratic residues", 37),
    "residues of 7": numbers("quadratic residues", 7),
    "root of 13": numbers("primitive root", 13),
    "root": numbers("primitive root", None),
}


def row_of(maps) -> np.ndarray:
    return np.hstack([np.array(rows) for rows in maps])


def repeat(maps) -> float:
    """Highest autocorrelation of a row of panels once it is moved by one panel's width, up or down
    as well: 1 where each repeats the one before it."""
    whole, wide = row_of(maps), len(maps[0][0])
    level, high = whole - whole.mean(), len(whole)
    found = []
    for down in range(-high // 2, high // 2 + 1):
        a = level[max(down, 0) : high + min(down, 0), wide:]
        b = level[max(-down, 0) : high + min(-down, 0), :-wide]
        found.append(np.sum(a * b) / np.sqrt(np.sum(a**2) * np.sum(b**2)) * a.shape[0] / high)
    return max(found)


def longest_run(maps) -> int:
    """Most cells in a row along a seam that equal the cell that they face."""
    best = 0
    for a, b in pairwise(maps):
        so_far = 0
        for left, right in zip(a, b, strict=True):
            so_far = so_far + 1 if left[-1] == right[0] else 0
            best = max(best, so_far)
    return best


def largest(grid) -> int:
    seen, best = set(), 0
    for start in np.ndindex(grid.shape):
        todo, size = [start], 0
        while todo:
            r, c = todo.pop()
            inside = 0 <= r < grid.shape[0] and 0 <= c < grid.shape[1]
            if not inside or (r, c) in seen or grid[r, c] != grid[start]:
                continue
            seen.add((r, c))
            size += 1
            todo += [(r + 1, c), (r - 1, c), (r, c + 1), (r, c - 1)]
        best = max(best, size)
    return best


def four(array, side="right"):
    seams = [Seam(first=i, second=i + 1, side=side) for i in range(3)]
    laid = run_on(array.rows, ["A1", "A2", "A3", "A4"], seams)
    return laid, [laid_as(array.rows, panel) for panel in laid]


@pytest.mark.parametrize("name", PATTERNS)
def test_a_row_of_panels_repeats_less_than_a_plain_repeat_and_no_cluster_grows(name):
    array = PATTERNS[name]
    _, maps = four(array)
    plain = [array.rows] * 4
    assert repeat(plain) == pytest.approx(1.0, abs=0.02)
    assert repeat(maps) < 0.75  # of a period of 7 in 16 columns; drawn ones below
    assert longest_run(maps) <= min(max(longest_run(plain), 1), 2)
    assert largest(row_of(maps)) <= max(largest(np.array(array.rows)), 3)
    if name.startswith("drawn") or name in ("root", "residues of 37"):
        assert repeat(maps) < 0.35


def test_what_a_plain_repeat_of_residues_gives_on_top_of_each_other():
    # Row 32 of 37 equals row 6, and row 1 stands under row 32 of the panel above: 15 of 16 alike.
    rows = PATTERNS["residues of 37"].rows
    equal = sum(a == b for a, b in zip(rows[-1], rows[0], strict=True))
    assert equal == 15
    _, maps = four(PATTERNS["residues of 37"], "below")
    for a, b in pairwise(maps):
        assert sum(x == y for x, y in zip(a[-1], b[0], strict=True)) <= 3


@pytest.mark.parametrize("name", PATTERNS)
def test_every_panel_takes_the_same_rows_and_blocks(name):
    array = PATTERNS[name]
    laid, maps = four(array)
    assert laid[0] == LaidPanel(
        name="A1", rows=tuple(range(1, len(array.rows) + 1)), mirrored=False
    )
    for panel, rows in zip(laid, maps, strict=True):
        strips = [row[::-1] if panel.mirrored else row for row in rows]
        assert Counter(strips) == Counter(array.rows)
        assert rows[0][:: -1 if panel.mirrored else 1] == array.rows[panel.rows[0] - 1]
    assert four(array) == (laid, maps)


def test_panels_that_hang_beside_each_other_are_neighbours_and_far_ones_are_none():
    job = made.made_up_job()
    piece = next(p for p in job.shop.stock if p.kind == "block diffuser")
    wide, high = piece.width_m / IN, piece.height_m / IN
    plan = made.made_up_plan(
        made.on("north", "A1", piece.name, 12, 20, wide, high),
        made.on("north", "A2", piece.name, 12 + wide + 4, 20, wide, high),
        made.on("south", "A3", piece.name, 12, 20, wide, high),
        made.on("south", "A4", piece.name, 12 + wide + 30, 20, wide, high),
    )
    sheet = next(s for s in build(job, plan).sheets if s.piece == piece.name)
    lines = build(job, plan).hanging
    assert [(s.first, s.second, s.side) for s in seams_of(lines, 1.5 * IN)] == [(0, 1, "right")]
    assert [panel.name for panel in sheet.laid] == ["A1", "A2", "A3", "A4"]
    assert Step.LAY_FROM in {step.kind for step in sheet.steps}
    assert (sheet.laid[1].rows, sheet.laid[1].mirrored) != (sheet.laid[0].rows, False)
    shown = str(row_map(job, sheet))
    assert "How each panel is laid" in shown and "'A4', " in shown


def test_one_panel_alone_is_laid_as_drawn_and_the_bench_takes_them_in_a_row():
    job = made.made_up_job()
    name = next(p.name for p in job.shop.stock if p.kind == "block diffuser")
    alone = build_pieces(job, [(name, 1)]).sheets[0]
    assert alone.laid == () and Step.LAY_FROM not in {step.kind for step in alone.steps}
    several = build_pieces(job, [(name, 3)]).sheets[0]
    assert len({(one.rows, one.mirrored) for one in several.laid}) == 3


@pytest.mark.parametrize(
    "rows",
    ["1–32", "14–32, 1–13", "2–32, 1", "32, 1–31", "32–1", "14–1, 32–15", "31–1, 32", "1, 32–2"],
)
def test_the_sheet_says_the_rows_from_the_top_down(rows):
    array = PATTERNS["drawn"]
    order = []
    for text in rows.split(", "):
        first, _, last = text.partition("–")
        step = -1 if int(last or first) < int(first) else 1
        order += range(int(first), int(last or first) + step, step)
    assert _order(order) == rows
    laid = laid_as(array.rows, LaidPanel(name="A1", rows=tuple(order), mirrored=False))
    assert laid == tuple(array.rows[number - 1] for number in order)


@pytest.mark.parametrize("seed", range(5))
def test_panels_of_any_seed_and_height_run_on(seed):
    array = drawn_array(16, (16, 24, 32, 12, 20)[seed], 1.5 * IN, STEPS, 100 + seed)
    _, maps = four(array)
    assert repeat(maps) < 0.5
    assert largest(row_of(maps)) <= max(largest(np.array(array.rows)), 3)


def test_likeness_is_a_correlation():
    """Cauchy and Schwarz: 1 for what differs by a factor and an offset alone, else less; what is
    level has no shape to tell it by."""
    one = np.array(PATTERNS["residues of 37"].rows)
    for other in (one, 3 * one + 0.1, 0.2 * one):
        assert likeness(one, other) == pytest.approx(1)
        assert likeness(other, one) == pytest.approx(1)
    assert likeness(one, np.ones_like(one)) == 1
    single = [[1.0, 0.0], [0.0, 0.0]]
    apart = [[0.0, 0.0], [0.0, 1.0]]
    # By hand, less their means: of nine shifts the one by one row and one column fits best, with
    # one product, 9/16 of a power of 12/16.
    assert likeness(single, apart) == pytest.approx(9 / 12)
