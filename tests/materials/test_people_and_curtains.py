"""Occupied and empty rooms, curtains by their fullness."""

from __future__ import annotations

import math

import pytest

from roomcheck.materials import absorption_of
from roomcheck.materials.table.handbooks import curtain
from roomcheck.materials.table.people import with_people


def test_people_shorten_a_decay_as_sabine_says():
    # 25 pupils seated, 0.45 m2 each at 1 kHz (Bies, Hansen and Howard 2017, Table 6.2): 11.25 m2 in
    # 180 m3.
    step = with_people(0.80, 1000.0, 25, 180.0, 343.2)
    A = 24 * math.log(10) * 180 / (343.2 * 0.80)
    assert step.added_m2 == pytest.approx(11.25)
    assert step.decay_s == pytest.approx(24 * math.log(10) * 180 / (343.2 * (A + 11.25)))
    assert 0.01 < step.step_u_s < 0.05


def test_the_step_there_and_back_is_no_step():
    there = with_people(0.80, 500.0, 12, 90.0)
    assert with_people(there.decay_s, 500.0, -12, 90.0).decay_s == pytest.approx(0.80)


def test_what_no_book_says_and_what_cannot_be_is_none():
    assert with_people(0.8, 8000.0, 10, 90.0) is None
    assert with_people(0.5, 1000.0, -500, 90.0) is None


def test_a_curtain_at_its_printed_ends_is_its_row_and_between_them_between():
    flat, folded = (
        absorption_of("curtain, 150 mm off, flat"),
        absorption_of("curtain, 150 mm off, folded"),
    )
    assert curtain("loose", 1.0).values == pytest.approx(flat.values)
    assert curtain("loose", 2.0).values == pytest.approx(folded.values)
    middle = curtain("loose", 1.5)
    assert flat.at(500) < middle.at(500) < folded.at(500)
    assert middle.uncertainty_at(500) > max(flat.uncertainty_at(500), folded.uncertainty_at(500))


def test_beyond_the_printed_fullness_nothing_is_known():
    with pytest.raises(ValueError, match="fullness"):
        curtain("velour", 3.0)
    with pytest.raises(ValueError, match="velour"):
        curtain("silk", 1.5)


# Cotton folded to 7/8 and to 3/4 of its area (Vorländer 2008, as carried in open data), velour flat
# and on half its area (two handbooks): what the rows' sources say of them.
@pytest.mark.parametrize(
    ("cloth", "of_its_area", "row"),
    [
        ("cotton", 7 / 8, "cotton curtain, little folded"),
        ("cotton", 3 / 4, "cotton curtain, some folds"),
        ("velour", 1, "light curtain, flat"),
        ("velour", 1 / 2, "medium curtain, draped"),
    ],
)
def test_a_fullness_is_the_cloth_over_the_area_it_covers(cloth, of_its_area, row):
    found, printed = curtain(cloth, 1 / of_its_area), absorption_of(row)
    assert found.values == pytest.approx(printed.values)
    assert found.uncertainty == pytest.approx(printed.uncertainty)


def test_a_seat_is_its_blocks_coefficient_times_the_floor_it_takes():
    # Rows 0.90 m apart, seats 0.55 m wide (common practice).
    block, seat = absorption_of("upholstered chairs in rows"), absorption_of("upholstered chair")
    assert seat.per_piece and not block.per_piece
    assert seat.values == pytest.approx([0.90 * 0.55 * a for a in block.values])
