"""Everything that is marked on a wall stands on a grid that a hand marks, and the chain closes."""

from __future__ import annotations

import random
from dataclasses import replace
from itertools import pairwise

import made_up_story_room as made
import pytest
from made_up_story_room import IN

from roomcheck.geometry import Rectangle
from roomcheck.job import Framing, FramingKind, KeepClear
from roomcheck.job.model.practice import ShopPractice
from roomcheck.workshop import HangingCaution
from roomcheck.workshop.hanging.hanging import hanging_lines
from roomcheck.workshop.hanging.marks import mark_step_m
from roomcheck.workshop.hanging.placing import Hung

METRIC = ShopPractice(
    board_m=0.018,
    cleat_m=0.018,
    cleat_width_m=0.09,
    freedom_m=0.05,
    screw="4.5 mm",
    screw_m=0.06,
)


def is_whole(value_m: float, step_m: float) -> bool:
    return abs(value_m / step_m - round(value_m / step_m)) < 1e-4


def hung(name: str, left_m: float, bottom_m: float, wide_m: float, high_m: float) -> Hung:
    piece = made.made_up_job().shop.piece("4 in panel")
    placed = made.on("north", name, piece.name, 0, 0, 1, 1)
    placed = replace(placed, place=Rectangle(left_m, bottom_m, wide_m, high_m))
    return Hung(placed=placed, piece=piece, size_m=(wide_m, high_m), frame_m=0.1, weight_kg=9.0)


@pytest.mark.parametrize(
    ("units", "practice", "wide_m", "high_m", "step_m", "cut_m"),
    [
        ("imperial", ShopPractice(), 24 * IN, 48 * IN, IN / 4, IN / 4),
        # A block panel's true width is whole sixteenths: so is what is left of the wall.
        ("imperial", ShopPractice(), 25.625 * IN, 49.625 * IN, IN / 4, IN / 16),
        ("metric", METRIC, 0.6, 1.2, 0.005, 0.001),
    ],
)
def test_every_mark_of_a_piece_is_on_the_grid_and_the_chain_closes(
    units, practice, wide_m, high_m, step_m, cut_m
):
    draw = random.Random(14)
    framing = Framing(
        face="north",
        kind=FramingKind.WOOD_STUDS,
        spacing_m=16 * IN if units == "imperial" else 0.4,
        first_m=14.5 * IN if units == "imperial" else 0.35,
        sheathing_m=IN / 2 if units == "imperial" else 0.0125,
    )
    job = replace(made.made_up_job(framing=(framing,)), units=units)
    wall_m = job.room.face("north").width_m
    for _ in range(200):
        at_m = draw.uniform(0.02, wall_m - wide_m - 0.02)
        (line,) = hanging_lines(
            job, [hung("A1", at_m, draw.uniform(0.1, 1.0), wide_m, high_m)], practice
        )
        marks = line.left_m, line.cleat_m, line.top_m
        assert all(is_whole(mark, step_m) for mark in marks), line
        cleat_off_m = line.cleat_left_m - line.left_m
        assert is_whole(cleat_off_m, cut_m) and is_whole(line.cleat_length_m, cut_m)
        assert line.left_m + line.width_m + line.right_m == pytest.approx(wall_m)
        assert line.cleat_m + line.hook_m == pytest.approx(line.top_m)
        # Half a step onto the grid, then whole steps to its studs, 2 in from the plan at the most.
        onto_m = line.left_m - line.moved_m - at_m
        assert abs(onto_m) <= step_m / 2 + 1e-9
        assert abs(line.left_m - at_m) <= 2 * IN + 1e-9
        said = [
            caution["by_m"] for caution in line.cautions if caution.kind is HangingCaution.MOVED
        ]
        assert said == ([pytest.approx(line.moved_m)] if line.moved_m else [])
        assert is_whole(line.moved_m, step_m)


def test_neighbours_that_touch_do_not_overlap_on_the_grid():
    """Three panels of 24-1/16 in edge to edge: each goes to the mark that leaves its neighbour
    free."""
    wide_m = 24.0625 * IN
    job = made.made_up_job(framing=())
    three = [hung(f"A{i}", 30.03 * IN + i * wide_m, 36.1 * IN, wide_m, 48 * IN) for i in range(3)]
    lines = hanging_lines(job, three, ShopPractice())
    edges = [(line.left_m / IN, (line.left_m + line.width_m) / IN) for line in lines]
    assert all(b[0] - a[1] >= -1e-4 for a, b in pairwise(edges)), edges
    assert all(not line.refused or line.refused[0]["face"] == "north" for line in lines)


def test_a_piece_that_nothing_leaves_room_for_stays_where_the_plan_drew_it():
    """An outlet on its left, 1/16 in away from where its mark would be, and one on its right."""
    kept = [
        KeepClear(
            name=name,
            face="north",
            kind="outlet",
            place=Rectangle(left_m, 40 * IN, 3 * IN, 4 * IN),
            clearance_m=0.0,
        )
        for name, left_m in (("left", 27.05 * IN), ("right", 54.15 * IN))
    ]
    job = made.made_up_job(keep_clear=tuple(kept), framing=())
    (line,) = hanging_lines(job, [hung("A1", 30.1 * IN, 36 * IN, 24 * IN, 48 * IN)], ShopPractice())
    assert line.left_m / IN == pytest.approx(30.1)


def test_the_grid_is_what_a_hand_marks():
    assert mark_step_m("imperial") == pytest.approx(IN / 4)
    assert mark_step_m("metric") == pytest.approx(0.005)
