"""Well diffusers beside each other: no grating, and nothing else to cut."""

from __future__ import annotations

import random
from itertools import groupby

import made_up_story_room as made
import numpy as np
import pytest

from roomcheck.materials import primitive_root_sequence, quadratic_residues
from roomcheck.workshop import Part, Step, build, build_pieces
from roomcheck.workshop.patterns.rows_of_wells import rows_of, wells_run_on
from roomcheck.workshop.patterns.seams import seams_of

RUNS = {
    "residues of 7": quadratic_residues(7),
    "residues of 11": quadratic_residues(11),
    "residues of 13": quadratic_residues(13),
    "powers of a root of 7": primitive_root_sequence(7),
    "powers of a root of 11": primitive_root_sequence(11),
}


def laid(run, runs: int, panels: int):
    """Depths of a row of panels, plain and as laid, and the orders."""
    depths = tuple(float(n) for n in run) * runs
    names = [f"A{i}" for i in range(panels)]
    found = wells_run_on(depths, len(run), names, [range(panels)])
    row = [depths[n - 1] for panel in found for n in panel.rows]
    return depths, row, found


def by_transform(row, run: int) -> float:
    """Largest autocorrelation from one run on, by a padded Fourier transform, over the power of
    what lies on each other."""
    level = np.array(row) - np.mean(row)
    n = len(level)
    spectrum = np.abs(np.fft.rfft(level, 2 * n)) ** 2
    whole = np.fft.irfft(spectrum, 2 * n)[:n]
    power = np.concatenate([[0.0], np.cumsum(level**2)])
    lags = range(run, n - run + 1)
    return max(whole[lag] / np.sqrt((power[n] - power[lag]) * power[n - lag]) for lag in lags)


@pytest.mark.parametrize("run", RUNS.values(), ids=RUNS)
@pytest.mark.parametrize("runs", [1, 2, 3])
@pytest.mark.parametrize("panels", [2, 4, 8])
def test_a_row_repeats_itself_far_less_than_equal_panels_do(run, runs, panels):
    depths, row, _ = laid(run, runs, panels)
    assert by_transform(depths * panels, len(run)) == pytest.approx(1.0)
    assert by_transform(row, len(run)) < 0.75


@pytest.mark.parametrize("run", RUNS.values(), ids=RUNS)
def test_every_panel_takes_the_same_wells_and_no_wide_flat_arises_over_a_seam(run):
    depths, row, found = laid(run, 2, 6)
    for panel in found:
        assert sorted(panel.rows) == list(range(1, len(depths) + 1))
    assert found[0].rows == tuple(range(1, len(depths) + 1))

    def longest(of) -> int:
        return max(len(list(same)) for _, same in groupby(of))

    # Three equal neighbours at the most, as a drawn block pattern has.
    assert longest(row) <= max(longest(depths), 3)


def wells_in_a_row(*lefts_in: float):
    job = made.made_up_job()
    name = next(p.name for p in job.shop.stock if p.kind == "well diffuser")
    piece = job.shop.piece(name)
    wide, high = piece.width_m / made.IN, piece.height_m / made.IN
    at = [
        made.on("north", f"W{i}", name, left, 36, wide, high) for i, left in enumerate(lefts_in, 1)
    ]
    return job, name, build(job, made.made_up_plan(*at)), wide


def test_neighbours_on_a_wall_run_on_and_a_lone_one_is_as_drawn():
    *_, wide = wells_in_a_row(10)
    _, _, sheet, _ = wells_in_a_row(10, 10 + wide + 2, 10 + 3 * wide + 20)
    (piece,) = sheet.sheets
    drawn = tuple(range(1, len(piece.depths_m) + 1))
    first, second, alone = piece.laid
    assert (first.rows, alone.rows) == (drawn, drawn)
    assert second.rows != drawn
    (step,) = [step for step in piece.steps if step.kind is Step.WELLS_RUN_ON]
    assert step["panels"][1] == ("W2", second.rows)
    # What is cut is what three equal ones take.
    _, _, apart, _ = wells_in_a_row(10, 10 + 2 * wide, 10 + 4 * wide)
    assert apart.sheets[0].laid == ()

    def cuts(of):
        own = [c for c in of.sheets[0].cuts if c.part is not Part.WALL_CLEAT]
        return sorted((c.part, c.count, c.length_m, c.width_m) for c in own)

    assert cuts(sheet) == cuts(apart)


def test_panels_that_hang_nowhere_yet_are_laid_in_their_order():
    job, name, *_ = wells_in_a_row(10)
    (piece,) = build_pieces(job, [(name, 3)]).sheets
    assert len({panel.rows for panel in piece.laid}) == 3
    (piece,) = build_pieces(job, [(name, 1)]).sheets
    assert piece.laid == ()


def test_rows_are_read_from_the_left_whatever_order_the_plan_names_them_in():
    *_, wide = wells_in_a_row(10)
    draw = random.Random(3)
    lefts = [10 + i * (wide + 1) for i in range(4)]
    draw.shuffle(lefts)
    _, _, sheet, _ = wells_in_a_row(*lefts)
    rows = rows_of(sheet.hanging, seams_of(sheet.hanging, 0.05))
    assert [[lefts[i] for i in row] for row in rows] == [sorted(lefts)]
