"""Block panels against the trade's counts and rules."""

from __future__ import annotations

from collections import Counter, deque
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import roomcheck
from roomcheck.facts import fact
from roomcheck.job import NumberPattern
from roomcheck.workshop import BlockArray, Caution, PanelError, Pattern, block_diffuser
from roomcheck.workshop.patterns.patterns import (
    exposed_area_m2,
    grown_by_moisture_m,
    number_array,
    predicted_diffusion,
    working_range_hz,
)

IN = 0.0254
STEPS = (0.0, 1 * IN, 2 * IN, 3 * IN, 4 * IN)
FT2 = 0.3048**2


def panel(seed: int = 7, w_in: float = 24, h_in: float = 48, steps: tuple[float, ...] = STEPS):
    return block_diffuser(
        width_m=w_in * IN, height_m=h_in * IN, cell_m=1.5 * IN, steps_m=steps, seed=seed
    )


def largest_cluster(rows: tuple[tuple[float, ...], ...]) -> int:
    """Flood fill, written apart from the code under test."""
    seen, best = set(), 0
    for start in ((r, c) for r in range(len(rows)) for c in range(len(rows[0]))):
        if start in seen:
            continue
        queue, size = deque([start]), 0
        seen.add(start)
        while queue:
            r, c = queue.popleft()
            size += 1
            for at in ((r + 1, c), (r - 1, c), (r, c + 1), (r, c - 1)):
                on = 0 <= at[0] < len(rows) and 0 <= at[1] < len(rows[0])
                if on and at not in seen and rows[at[0]][at[1]] == rows[r][c]:
                    seen.add(at)
                    queue.append(at)
        best = max(best, size)
    return best


def assert_follows_the_rules(rows: tuple[tuple[float, ...], ...]) -> None:
    assert largest_cluster(rows) <= 3
    assert len(set(rows)) == len(rows)
    for sums in ([sum(row) for row in rows], [sum(column) for column in zip(*rows, strict=True)]):
        mean = sum(sums) / len(sums)
        assert all(abs(s - mean) <= 0.15 * mean + 1e-9 for s in sums)


# Trade values (common practice): 512 cells of 1-1/2 in on 24 x 48 in, 103/103/102/102/102, 409
# blocks; 256 on 2 x 2 ft.
def test_counts_agree_with_the_trade():
    found = panel()
    assert found.counts == {0.0: 103, 1 * IN: 103, 2 * IN: 102, 3 * IN: 102, 4 * IN: 102}
    assert found.blocks == 409
    assert (len(found.rows), len(found.rows[0])) == (32, 16)
    assert sum(panel(h_in=24).counts.values()) == 256


def test_net_length_of_sticks_agrees_with_the_trade():
    # 1,021 in of blocks, 85 ft.
    inches = sum(count * height for height, count in panel().counts.items()) / IN
    assert inches == pytest.approx(1021, abs=0.5)


@pytest.mark.parametrize("seed", range(6))
def test_every_seed_follows_the_rules_of_the_trade(seed):
    found = panel(seed)
    assert_follows_the_rules(found.rows)
    assert found.unmet == ()
    assert Counter(h for row in found.rows for h in row) == Counter(found.counts)


def test_a_seed_makes_one_panel_and_another_seed_another():
    assert panel(3).rows == panel(3).rows
    assert panel(3).rows != panel(4).rows
    assert panel(3).pattern == fact(Pattern.DRAWN, seed=3)


def test_the_name_at_the_root_is_this_one():
    found = roomcheck.block_diffuser(
        width_m=0.6096, height_m=1.2192, cell_m=0.0381, steps_m=(0, 0.0254), seed=1
    )
    assert set(found.counts) == {0, 0.0254}


@settings(max_examples=20, deadline=None)
@given(
    columns=st.integers(8, 20),
    rows=st.integers(8, 24),
    steps=st.integers(4, 7),
    seed=st.integers(0, 10_000),
)
def test_panels_of_any_size_are_balanced_and_say_what_they_break(columns, rows, steps, seed):
    heights = tuple(0.02 * k for k in range(steps))
    found = block_diffuser(0.04 * columns, 0.04 * rows, 0.04, heights, seed)
    each, over = divmod(columns * rows, steps)
    assert list(found.counts.values()) == [each + (k < over) for k in range(steps)]
    if not found.unmet:
        assert_follows_the_rules(found.rows)
    else:
        with pytest.raises(AssertionError):
            assert_follows_the_rules(found.rows)


def test_a_panel_too_narrow_for_the_rules_says_so():
    found = block_diffuser(0.04, 0.4, 0.04, (0.0, 0.02), 1)
    assert Caution.ROWS_REPEAT in {rule.kind for rule in found.unmet}
    assert found.counts == {0.0: 5, 0.02: 5}


def test_whole_cells_are_laid_and_the_rest_is_told():
    # 25 in of 1-1/2 in cells: 16, and 1 in over.
    found = panel(w_in=25)
    assert len(found.rows[0]) == 16
    assert found.spare_width_m == pytest.approx(IN)
    assert found.spare_height_m == 0


@pytest.mark.parametrize(
    ("change", "argument"),
    [
        ({"cell_m": 0.7}, "cell_m"),
        ({"cell_m": 0.0}, "cell_m"),
        ({"width_m": -1.0}, "width_m"),
        ({"height_m": float("nan")}, "height_m"),
        ({"steps_m": ()}, "steps_m"),
        ({"steps_m": (0.02,)}, "steps_m"),
        ({"width_m": 10.0, "height_m": 10.0}, "width_m and height_m"),
        ({"width_m": 0.001}, "cell_m"),
        ({"steps_m": (0.0, 0.02, 0.02)}, "steps_m"),
        ({"steps_m": (0.0, -0.02)}, "steps_m"),
        ({"seed": -1}, "seed"),
        ({"seed": 1.5}, "seed"),
    ],
)
def test_wrong_arguments_are_named(change, argument):
    asked = {
        "width_m": 0.6,
        "height_m": 1.2,
        "cell_m": 0.04,
        "steps_m": (0.0, 0.02),
        "seed": 1,
        **change,
    }
    with pytest.raises(PanelError) as caught:
        block_diffuser(**asked)
    assert caught.value.argument == argument
    assert isinstance(caught.value, ValueError)
    assert isinstance(caught.value, roomcheck.RoomcheckError)


def test_finish_area_agrees_with_the_trade():
    # Face 8 ft2; block sides 16.3 ft2 for heights drawn without rules (mean step 1.6 in). The
    # mended panel parts equal neighbours, so its sides are a little more.
    fronts, sides = exposed_area_m2(panel())
    assert fronts / FT2 == pytest.approx(8.0)
    assert 16.3 < sides / FT2 < 1.15 * 16.3
    rows = panel().rows
    by_hand = sum(
        abs(a - b) for line in (*rows, *zip(*rows, strict=True)) for a, b in pairwise(line)
    )
    assert sides == pytest.approx(by_hand * 1.5 * IN)


def test_moisture_agrees_with_the_trade():
    # +6 % MC: 0.4 to 0.8 in over 48 in (common practice, wood handbook values from memory).
    low, high = grown_by_moisture_m(48 * IN, 6)
    assert (low / IN, high / IN) == (pytest.approx(0.4, abs=0.05), pytest.approx(0.8, abs=0.05))


def test_working_range_agrees_with_the_trade():
    # 4 in blocks of 1-1/2 in: quarter wave 840 Hz, "about 0.9 to 4.5 kHz".
    low, high = working_range_hz(panel())
    assert (low, high) == (pytest.approx(840, abs=5), pytest.approx(4500, abs=5))
    flat = BlockArray(rows=((0.05, 0.05),), cell_m=0.04, steps_m=(0.05,))
    assert working_range_hz(flat) is None


def test_a_relief_is_predicted_to_scatter_and_a_flat_panel_is_not():
    flat = BlockArray(rows=((0.05,) * 16,) * 32, cell_m=1.5 * IN, steps_m=(0.05,))
    assert dict(predicted_diffusion(flat))[2000.0] == pytest.approx(0, abs=1e-12)
    assert dict(predicted_diffusion(panel()))[2000.0] > 0.02


RESIDUES_7 = NumberPattern(name="quadratic residues", prime=7)


def test_number_panels_repeat_the_published_arrays():
    # Quadratic residues n2 + m2 mod 7, second row; primitive root 2 of 13 folded into 3 x 4, first
    # row.
    unit = 0.01
    residues = number_array(14, 14, 0.04, tuple(unit * k for k in range(7)), RESIDUES_7)
    assert [round(h / unit) for h in residues.rows[1]] == [1, 2, 5, 3, 3, 5, 2] * 2
    root_13 = NumberPattern(name="primitive root", prime=13)
    roots = number_array(8, 3, 0.04, tuple(unit * k for k in range(13)), root_13, fold=(3, 4))
    assert [round(h / unit) for h in roots.rows[0]] == [1, 5, 12, 8] * 2
    assert roots.pattern.kind == Pattern.ROOT


def test_number_panels_use_only_the_shops_heights():
    found = number_array(16, 32, 0.0381, STEPS, RESIDUES_7)
    assert {h for row in found.rows for h in row} <= set(STEPS)
    assert sum(found.counts.values()) == 512
