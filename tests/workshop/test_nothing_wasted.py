"""Nothing is bought that is not cut: corner joints, cores and sheets over the whole job, and
offcuts of sheets on the rack."""

from __future__ import annotations

import random
from dataclasses import replace
from functools import cache

import pytest

from roomcheck.job import Offcut, bench_job, default_shop
from roomcheck.workshop import build_wanted, rack_after, wanted
from roomcheck.workshop.cutting.sheets import leftovers_of, rip_plan, sheets_of

IN = 0.0254
SHOP = default_shop()


def built(*texts, shop=SHOP, **practice):
    job = bench_job(shop, units="imperial", title="made up")
    return build_wanted(
        job,
        [wanted(text, shop) for text in texts],
        replace(shop.practice, **practice) if practice else None,
    )


def bought(sheet, item):
    return next(purchase for purchase in sheet.purchases if purchase.item == item)


def test_eleven_panels_take_seventeen_boards_with_the_better_corner_joint():
    """Long boards over short ones: 49-1/2 and 22-1/2 in, 22 boards of 8 ft; short over long: 24 and
    46-1/2 in. 22 pairs need 22 x 70.5 in and cuts; two long ones and no more fill a board, or one
    long and two short, or four short less what the saw takes: 17 (integer programme by hand)."""
    board = "board 1x5, pine"
    assert bought(built("11 x 4 in panel", runs_long="long"), board).packs == 22
    assert bought(built("11 x 4 in panel", runs_long="short"), board).packs == 17
    assert bought(built("11 x 4 in panel"), board).packs == 17


def test_no_kind_of_piece_keeps_a_joint_that_costs_more():
    mixed = ("5 x 4 in panel", "3 x 2 in panel, 2 in gap", "2 x well diffuser")
    spent = {
        runs: sum(p.cost for p in built(*mixed, runs_long=runs).purchases)
        for runs in ("long", "short", "cheaper")
    }
    assert spent["cheaper"] <= min(spent["long"], spent["short"])


def test_ten_long_panels_take_25_core_boards_not_40():
    """24 x 60 in, two layers of 2 in: a whole board and a strip of 10-3/8 in, four out of a board."""
    sheet = built("10 x 4 in panel 24 x 60 in")
    core = next(p for p in sheet.panels if "mineral wool" in p.item)
    assert core.sheets == 25
    purchase = bought(sheet, core.item)
    # 5 % more is 26.25: five packs of six.
    assert (purchase.packs, purchase.cost) == (5, 5 * SHOP.prices[0].price)


def test_boards_are_bought_as_they_are_cut():
    for text in ("6 x 4 in panel", "3 x slatted resonator", "4 x block diffuser"):
        sheet = built(text)
        for material in sheet.cutting:
            bars = sum(bar.count for bar in material.plan.bars if not bar.offcut)
            assert bought(sheet, material.item).packs == bars


def fits_one(parts, sheet):
    """Whether parts come out of one sheet by any sequence of cuts from edge to edge: every first
    cut, every way to share the parts between both sides (no saw cut is lost)."""

    @cache
    def fits(sizes, width, length):
        if not sizes:
            return True
        if sum(a * b for a, b in sizes) > width * length:
            return False
        if len(sizes) == 1:
            a, b = sizes[0]
            return (a <= width and b <= length) or (b <= width and a <= length)
        for mask in range(1, 2 ** (len(sizes) - 1)):
            one = tuple(s for i, s in enumerate(sizes) if mask >> i & 1)
            other = tuple(s for i, s in enumerate(sizes) if not mask >> i & 1)
            for cut in range(1, max(width, length)):
                if cut < width and fits(one, cut, length) and fits(other, width - cut, length):
                    return True
                if cut < length and fits(one, width, cut) and fits(other, width, length - cut):
                    return True
        return False

    return fits(tuple(sorted(parts, reverse=True)), *sheet)


def test_small_sheets_against_every_way_to_cut_them():
    """120 draws of three to five parts out of a sheet of 6 by 9: what fits one sheet by cuts from
    edge to edge must come out of one, but for the few that strips cannot lay (cuts in more than
    three stages): no more than one in twenty."""
    draw = random.Random(5)
    fitting = missed = 0
    for _ in range(120):
        parts = [(draw.randint(1, 5), draw.randint(1, 7)) for _ in range(draw.randint(3, 5))]
        plan = rip_plan([(float(a), float(b)) for a, b in parts], (6.0, 9.0), 0.0)
        if fits_one(parts, (6, 9)):
            fitting += 1
            missed += sheets_of(plan) > 1
        else:
            assert sheets_of(plan) > 1
    assert fitting > 30
    assert missed <= fitting / 20


def test_no_sheet_is_more_than_the_area_and_what_strips_lose():
    """Whole quarter sheets: nothing is lost at all."""
    plan = rip_plan([(24 * IN, 48 * IN)] * 7, (48 * IN, 96 * IN), 0.0)
    assert sheets_of(plan) == 2


def test_what_is_left_of_sheets_goes_on_the_rack_and_comes_off_it_first():
    item = "plywood 1/2 in"
    first = built("block diffuser")
    sheets = [o for o in first.leftovers if o.item == item and o.width_m]
    left = max(sheets, key=lambda offcut: offcut.width_m * offcut.length_m)
    # A sheet of 48 x 96 in less a backing of 24 x 48 in and its cuts.
    assert left.width_m * left.length_m >= 0.4 * 48 * 96 * IN**2
    assert bought(first, item).left == pytest.approx(32 - 8, abs=0.3)
    shop = replace(SHOP, offcuts=rack_after(SHOP, first.cutting, SHOP.practice, first.panels))
    second = built("block diffuser", shop=shop)
    assert not [purchase for purchase in second.purchases if purchase.item == item]
    after = rack_after(shop, second.cutting, shop.practice, second.panels)
    assert Offcut(item=item, length_m=left.length_m, width_m=left.width_m) not in after


def test_leftovers_of_a_sheet_are_where_nothing_was_cut():
    sheet, kerf = (48 * IN, 96 * IN), IN / 8
    plan = rip_plan([(10 * IN, 40 * IN), (20 * IN, 30 * IN)], sheet, kerf)
    left = leftovers_of(plan, sheet, kerf, 12 * IN)
    used = 10 * 40 + 20 * 30
    area = sum(o.width_m * o.length_m for o in left) / IN**2
    assert 0 < area <= 48 * 96 - used
    assert all(o.width_m >= 12 * IN - 1e-9 for o in left)


def test_nothing_takes_no_sheet_and_leaves_none():
    assert rip_plan([], (6.0, 9.0), 0.1) == () and sheets_of(()) == 0
    assert leftovers_of((), (6.0, 9.0), 0.1, 0.0) == ()
