"""The limits that the page of proofs prints, held by the same functions on few draws."""

from __future__ import annotations

import importlib
import sys
from pathlib import Path

import numpy as np
import pytest

BENCHMARKS = Path(__file__).resolve().parents[2] / "benchmarks"


@pytest.fixture(scope="module")
def proof():
    patch = pytest.MonkeyPatch()
    patch.syspath_prepend(str(BENCHMARKS))
    patch.syspath_prepend(str(BENCHMARKS / "sections"))
    yield importlib.import_module("prediction")
    sys.modules.pop("prediction", None)
    patch.undo()


def test_printed_values_are_met_to_half_a_digit(proof):
    assert [
        what
        for what, printed, found, half in proof.printed_values()
        if abs(found - printed) > 1.01 * half
    ] == []


def test_a_panel_moved_across_a_point_by_the_closed_form(proof):
    moved, worst = proof.patches()
    assert {wall for wall, _, _ in moved} == {"south", "north", "west", "east"}
    assert all(
        found == pytest.approx(closed, abs=0.5) and closed < -10 for _, closed, found in moved
    )
    assert worst == 0.0


def test_few_random_rooms_are_not_far_from_what_is_promised(proof):
    # Two rooms of another model: of about ten values at nine in ten, three outside would be one in
    # fourteen.
    rows = proof.coverage(None, rooms=2)
    share, width, off = proof.inside(rows)
    assert len(rows) >= 8 and share >= 0.7
    assert 0.1 < width < 0.6 and off == pytest.approx(1.0, abs=0.15)


def test_the_share_inside_is_counted_right(proof):
    rows = np.array(
        [
            [500, 1.0, 0.9, 1.0, 1.1, 0, 0],
            [500, 1.2, 0.9, 1.0, 1.1, 0, 0],
            [500, 0.8, 0.7, 0.8, 1.0, 0, 0],
        ]
    )
    share, width, off = proof.inside(rows)
    assert (
        share == pytest.approx(2 / 3) and width == pytest.approx(0.2) and off == pytest.approx(1.0)
    )


def test_measured_rooms_as_far_as_they_reach(proof, measured_data):
    for band, measured, by_eyring in proof.seminar_room(measured_data):
        assert by_eyring == pytest.approx(measured, rel=0.03), band
    for _, measured, low, likely, high in proof.auditorium(measured_data):
        assert likely == pytest.approx(measured, rel=0.25) and low < likely < high
