"""Cutting plans: the trade's worked values, brute force, and a checker that shares no code with the
planner."""

from __future__ import annotations

from collections import Counter
from decimal import Decimal
from functools import cache
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from roomcheck.workshop.cutting.cutting import (
    Bar,
    CannotCut,
    CuttingPlan,
    SawRules,
    best_fit_decreasing,
    cut_plan,
)

IN = 0.0254
STICK = Bar(name="stick", length_m=96 * IN)
NET = {1 * IN: 103, 2 * IN: 102, 3 * IN: 102, 4 * IN: 102}
WITH_5_PCT = {1 * IN: 109, 2 * IN: 108, 3 * IN: 108, 4 * IN: 108}
WITH_10_PCT = {1 * IN: 114, 2 * IN: 113, 3 * IN: 113, 4 * IN: 113}


def saw(hold_in: float = 0.0) -> SawRules:
    """Full kerf of 1/8 in, 1/4 in trimmed off each end."""
    return SawRules(kerf_m=IN / 8, trim_m=IN / 4, hold_m=hold_in * IN)


def assert_can_be_cut(plan: CuttingPlan, parts: dict[float, int], rules: SawRules) -> None:
    """Every part is cut once, every cut takes its kerf, and what must stay in the clamp stays. In
    whole nanometres."""

    def nm(length_m: float) -> int:
        return round(length_m * 1e9)

    found: Counter[float] = Counter()
    for bar in plan.bars:
        left = nm(bar.length_m) - 2 * nm(rules.trim_m)
        cuts = 0
        for length, count in bar.parts:
            left -= count * (nm(length) + nm(rules.kerf_m))
            cuts += count
            found[length] += count * bar.count
        free = 0 if rules.trim_m or rules.hold_m else nm(rules.kerf_m)
        assert left + free >= nm(rules.hold_m)
        assert cuts > 0
        assert nm(bar.left_m) == max(left, 0)
    assert found == Counter({length: count for length, count in parts.items() if count})


# Trade values for a 2 x 4 ft panel of 1-1/2 in sticks (common practice, computed there by an exact
# plan): 12 sticks net with and without 6 in held, 13 with 10 % spares, 14 with both.
@pytest.mark.parametrize(
    ("parts", "hold_in", "sticks"),
    [(NET, 0, 12), (NET, 6, 12), (WITH_5_PCT, 0, 12), (WITH_10_PCT, 0, 13), (WITH_10_PCT, 6, 14)],
)
def test_sticks_of_a_block_panel_agree_with_the_trade(parts, hold_in, sticks):
    plan = cut_plan(parts, [STICK], saw(hold_in))
    assert (plan.count, plan.proved) == (sticks, True)
    assert_can_be_cut(plan, parts, saw(hold_in))


def test_cutting_by_hand_needs_a_stick_more_when_the_clamp_keeps_six_inches():
    assert best_fit_decreasing(NET, STICK, saw(6)) == 13
    assert best_fit_decreasing(NET, STICK, saw(0)) == 12


def test_pieces_of_one_length_follow_the_closed_form():
    # floor((stock + kerf) / (piece + kerf)): 4 of 23-1/4 in from 96 in with 1/8 in (common
    # practice).
    rules = SawRules(kerf_m=IN / 8)
    assert cut_plan({23.25 * IN: 4}, [STICK], rules).count == 1
    assert cut_plan({23.25 * IN: 5}, [STICK], rules).count == 2
    # 24 in pieces: three, not four, because of the kerf.
    assert cut_plan({24 * IN: 3}, [STICK], rules).count == 1
    assert cut_plan({24 * IN: 4}, [STICK], rules).count == 2
    assert cut_plan({24 * IN: 4}, [STICK], SawRules(kerf_m=0.0)).count == 1


def test_a_thinner_kerf_leaves_more():
    full, thin = (
        cut_plan({IN: 60}, [STICK], SawRules(kerf_m=k, trim_m=IN / 4))
        for k in (IN / 8, 3 * IN / 32)
    )
    assert thin.bars[0].left_m - full.bars[0].left_m == pytest.approx(60 * IN / 32)


def test_offcuts_go_first_and_mixed_lengths_cost_least():
    # Two 30 in parts: an offcut on the rack takes one; a 4 ft board at 3 is cheaper for the other
    # than 8 ft at 5.
    rack = [
        Bar(name="8 ft", length_m=96 * IN, cost=Decimal(5)),
        Bar(name="4 ft", length_m=48 * IN, cost=Decimal(3)),
        Bar(name="offcut", length_m=31 * IN, cost=Decimal(0), limit=1),
    ]
    plan = cut_plan({30 * IN: 2}, rack, SawRules(kerf_m=IN / 8))
    assert plan.cost == 3
    assert sorted(bar.stock for bar in plan.bars) == ["4 ft", "offcut"]
    assert cut_plan({30 * IN: 4}, rack, SawRules(kerf_m=IN / 8)).cost == 5


def test_limited_stock_that_runs_out_is_an_error():
    with pytest.raises(CannotCut, match=r"not enough bars.*0\.7620"):
        cut_plan(
            {30 * IN: 2}, [Bar(name="offcut", length_m=31 * IN, limit=1)], SawRules(kerf_m=0.0)
        )


def test_a_part_longer_than_any_stock_says_what_would_help():
    with pytest.raises(CannotCut, match="longer stock") as caught:
        cut_plan({95.9 * IN: 1}, [STICK], saw())
    assert caught.value.longest_m == pytest.approx((95.5 - 0.125) * IN)


@pytest.mark.parametrize("trim_mm", [0, 5])
@pytest.mark.parametrize("hold_mm", [0, 150])
def test_the_longest_part_that_the_saw_is_said_to_give_is_cut_and_a_longer_one_is_not(
    trim_mm, hold_mm
):
    """By hand: 2400 mm bar, 3 mm saw; the cut counts wherever something stays behind it."""
    rules = SawRules(kerf_m=0.003, trim_m=trim_mm / 1000, hold_m=hold_mm / 1000)
    longest_mm = 2400 - 2 * trim_mm - hold_mm - (3 if trim_mm or hold_mm else 0)
    bar = Bar(name="board", length_m=2.4)
    assert rules.longest_part_m(2.4) == pytest.approx(longest_mm / 1000, abs=1e-9)
    assert cut_plan({longest_mm / 1000: 2}, [bar], rules).count == 2
    with pytest.raises(CannotCut) as caught:
        cut_plan({longest_mm / 1000 + 1e-4: 1}, [bar], rules)
    assert caught.value.part_m > caught.value.longest_m


@pytest.mark.parametrize("parts", [{0.0: 1}, {-1.0: 1}, {1.0: -1}])
def test_lengths_that_make_no_sense_are_refused(parts):
    with pytest.raises(ValueError, match="parts_m"):
        cut_plan(parts, [STICK], saw())


def test_nothing_to_cut_takes_nothing():
    assert cut_plan({0.5: 0}, [STICK], saw()).count == 0


def fewest_by_brute_force(sizes: tuple[int, ...], need: tuple[int, ...], room: int) -> int:
    """Try every filling of every bar; sizes with kerf, in millimetres."""
    fillings = [
        counts
        for counts in product(*(range(n + 1) for n in need))
        if any(counts) and sum(c * s for c, s in zip(counts, sizes, strict=True)) <= room
    ]

    @cache
    def bars(left: tuple[int, ...]) -> int:
        if not any(left):
            return 0
        options = (tuple(n - c for n, c in zip(left, counts, strict=True)) for counts in fillings)
        return 1 + min(bars(rest) for rest in options if min(rest) >= 0)

    return bars(need)


@settings(max_examples=25, deadline=None)
@given(
    lengths=st.lists(st.integers(100, 900), min_size=1, max_size=3, unique=True),
    need=st.lists(st.integers(1, 3), min_size=3, max_size=3),
    kerf=st.integers(0, 5),
)
def test_plans_equal_brute_force_on_small_cases(lengths, need, kerf):
    counts = tuple(need[: len(lengths)])
    parts = {mm / 1000: n for mm, n in zip(lengths, counts, strict=True)}
    rules = SawRules(kerf_m=kerf / 1000, trim_m=0.005)
    plan = cut_plan(parts, [Bar(name="bar", length_m=1.2)], rules)
    assert plan.count == fewest_by_brute_force(tuple(mm + kerf for mm in lengths), counts, 1190)
    assert plan.proved


@settings(max_examples=30, deadline=None)
@given(
    parts=st.dictionaries(
        st.integers(2, 200).map(lambda n: n * IN / 4), st.integers(1, 40), min_size=1, max_size=5
    ),
    hold=st.sampled_from([0.0, 6.0]),
)
def test_plans_can_be_cut_and_are_never_worse_than_by_hand(parts, hold):
    plan = cut_plan(parts, [STICK], saw(hold))
    assert_can_be_cut(plan, parts, saw(hold))
    assert plan.count <= best_fit_decreasing(parts, STICK, saw(hold))
    length = sum(n * (p + IN / 8) for p, n in parts.items())
    assert plan.count >= length / ((95.5 - hold) * IN) - 1e-9


def assert_cut_from_a_rack(
    plan: CuttingPlan, parts: dict[float, int], rack: list[Bar], rules: SawRules
) -> None:
    """Every part once, every bar long enough, no more offcuts than lie there, the cost added up."""
    found: Counter[float] = Counter()
    taken: Counter[str] = Counter()
    cost = Decimal(0)
    for bar in plan.bars:
        stock = next(b for b in rack if b.name == bar.stock and b.length_m == bar.length_m)
        used = sum(n * (round(length * 1e9) + round(rules.kerf_m * 1e9)) for length, n in bar.parts)
        kept = round(1e9 * (2 * rules.trim_m + rules.hold_m))
        free = 0 if kept else round(rules.kerf_m * 1e9)
        assert used <= round(bar.length_m * 1e9) - kept + free
        taken[bar.stock] += bar.count
        cost += bar.count * stock.cost
        for length, n in bar.parts:
            found[length] += n * bar.count
    assert found == Counter(parts)
    assert cost == plan.cost
    assert all(b.limit is None or taken[b.name] <= b.limit for b in rack)


@settings(max_examples=20, deadline=None)
@given(
    parts=st.dictionaries(
        st.integers(8, 300).map(lambda n: n * IN / 8), st.integers(1, 12), min_size=1, max_size=4
    ),
    offcuts=st.lists(st.integers(5, 60), max_size=3, unique=True),
    kerf=st.sampled_from([1 / 8, 3 / 32, 0.1]),
    hold=st.sampled_from([0.0, 6.0]),
)
def test_mixed_racks_are_cut_right_and_cost_no_more_than_one_length_alone(
    parts, offcuts, kerf, hold
):
    rules = SawRules(kerf_m=kerf * IN, trim_m=IN / 4, hold_m=hold * IN)
    bought = [
        Bar(name="8 ft", length_m=96 * IN, cost=Decimal("4.25")),
        Bar(name="12 ft", length_m=144 * IN, cost=Decimal("6.90")),
    ]
    rack = [
        *(Bar(name=f"offcut {n}", length_m=n * IN, cost=Decimal(0), limit=1) for n in offcuts),
        *bought,
    ]
    plan = cut_plan(parts, rack, rules)
    assert_cut_from_a_rack(plan, parts, rack, rules)
    for alone in bought:
        assert plan.cost <= best_fit_decreasing(parts, alone, rules) * alone.cost


def test_offcuts_are_filled_even_where_a_new_bar_has_room():
    # One bar must be bought for 90 in; the 20 in part would fit nowhere but on an offcut or a
    # second bar. The 4 in part fits on the bar, and goes to the other offcut: the bar keeps more.
    rack = [
        Bar(name="offcut a", length_m=21 * IN, cost=Decimal(0), limit=1),
        Bar(name="offcut b", length_m=5 * IN, cost=Decimal(0), limit=1),
        Bar(name="8 ft", length_m=96 * IN, cost=Decimal(5)),
    ]
    plan = cut_plan({90 * IN: 1, 20 * IN: 1, 4 * IN: 1}, rack, SawRules(kerf_m=IN / 8))
    assert plan.cost == 5
    assert {bar.stock: bar.parts for bar in plan.bars} == {
        "offcut a": ((20 * IN, 1),),
        "offcut b": ((4 * IN, 1),),
        "8 ft": ((90 * IN, 1),),
    }


def test_the_printed_limits_of_the_benchmark_hold_on_a_few_jobs():
    import importlib.util
    from pathlib import Path

    path = Path(__file__).parents[2] / "benchmarks" / "sections" / "cutting.py"
    if not path.exists():
        pytest.skip("benchmarks are not part of an installed package")
    spec = importlib.util.spec_from_file_location("cutting_section", path)
    section = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(section)
    found = section.measure(8, seed=2)
    assert (found["wrong"], found["more"]) == (0, 0)
    assert found["bound"] <= found["bars"] <= found["by_hand"]
    assert section.TITLE
