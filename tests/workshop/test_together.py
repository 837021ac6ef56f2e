"""Several jobs bought and cut as one: every part once, marked with its job, the rack used once."""

from __future__ import annotations

import random
from collections import Counter
from dataclasses import replace
from decimal import Decimal

import pytest

from roomcheck.job import Done, NotedHours, Offcut, bench_job, default_shop
from roomcheck.workshop import build_pieces, by_week, cut_together, rack_of

NM = 1_000_000_000


def whole(*size):
    return tuple(sorted(round(side * NM) for side in size))


def jobs_of(seed, count=3, shop=None):
    """Jobs of random pieces from the shop that comes with roomcheck."""
    chance, shop = random.Random(seed), shop or default_shop("imperial")
    job = bench_job(shop, units="imperial", title="x")
    names = [piece.name for piece in shop.stock if piece.kind in ("panel", "cloud", "slatted box")]
    built = {}
    for number in range(count):
        wanted = [(name, chance.randint(1, 4)) for name in chance.sample(names, 2)]
        built[f"job {number}"] = (job, build_pieces(job, wanted))
    return built


def needed(built, kinds):
    """What all jobs need, by job, item and size: counted from their own cut lists."""
    need = Counter()
    for name, (_, sheet) in built.items():
        for piece in sheet.sheets:
            for cut in piece.cuts:
                if cut.stock.item in kinds:
                    size = kinds[cut.stock.item](cut)
                    need[name, cut.stock.item, size] += cut.count
    return need


@pytest.mark.parametrize("seed", range(6))
def test_every_part_is_cut_once_and_bears_its_job(seed):
    built = jobs_of(seed)
    (plan,) = cut_together(built, ())
    bars = {bar.item for bar in plan.bars}
    flat = {strip.item for strip in plan.strips} | {row.item for row in plan.rows}
    kinds = {item: lambda cut: whole(cut.length_m) for item in bars}
    kinds |= {item: lambda cut: whole(cut.width_m, cut.length_m) for item in flat}
    there = Counter()
    for bar in plan.bars:
        for part in bar.parts:
            there[part.job, bar.item, whole(part.length_m)] += bar.count * part.count
    for strip in (*plan.strips, *plan.rows):
        for part in strip.parts:
            there[part.job, strip.item, whole(part.width_m, part.length_m)] += part.count
    assert there == needed(built, kinds)
    # No bar holds more than its length, and every part its own cut.
    kerf_m = default_shop("imperial").kerf_m
    for bar in plan.bars:
        used = sum(part.count * (part.length_m + kerf_m) for part in bar.parts)
        assert used <= bar.length_m + kerf_m + 1e-9
    assert plan.cost <= plan.apart  # packs are shared, nothing else differs
    setups = Counter()
    for setup in plan.setups:
        setups[setup.stock] += setup.count
        assert setup.count == sum(count for _, _, count in setup.parts)
    assert setups == Counter(
        {item: sum(b.count * p.count for b in plan.bars if b.item == item for p in b.parts)
         for item in bars}
    )  # fmt: skip


def test_the_rack_is_used_once():
    shop = default_shop("imperial")
    item = next(price.item for price in shop.prices if price.item.startswith("board 1x5"))
    offcut = Offcut(item=item, length_m=1.3, count=1)
    racked = replace(shop, offcuts=(offcut,))
    job = bench_job(racked, units="imperial", title="x")
    built = {name: (job, build_pieces(job, [("4 in panel", 1)])) for name in ("a", "b", "c")}
    for _, sheet in built.values():  # each by itself counts on the same offcut
        assert sum(bar.count for plan in sheet.cutting for bar in plan.plan.bars if bar.offcut) == 1
    rack = rack_of(job for job, _ in built.values())
    assert rack == (offcut,)
    (plan,) = cut_together(built, rack)
    assert sum(bar.count for bar in plan.bars if bar.offcut) == 1


def test_jobs_with_another_saw_share_no_stick_but_one_rack():
    shop = default_shop("imperial")
    wide = replace(shop, kerf_m=shop.kerf_m + 0.001)
    item = next(price.item for price in shop.prices if price.item.startswith("board 1x5"))
    rack = (Offcut(item=item, length_m=1.3, count=1),)
    built = {}
    for name, saw in (("a", shop), ("b", wide), ("c", shop)):
        job = bench_job(saw, units="imperial", title="x")
        built[name] = (job, build_pieces(job, [("4 in panel", 1)]))
    first, second = cut_together(built, rack)
    assert (first.jobs, second.jobs) == (("a", "c"), ("b",))
    used = [sum(bar.count for bar in plan.bars if bar.offcut) for plan in (first, second)]
    assert used == [1, 0]


def test_weeks_fill_with_the_job_that_is_promised_first():
    job = bench_job(default_shop("imperial"), units="imperial", title="x")
    sheet = build_pieces(job, [("4 in panel", 4)])
    (piece,) = sheet.sheets
    doing = [("a", sheet, Done()), ("b", sheet, Done()), ("c", sheet, Done())]
    weeks = by_week(doing, piece.hours * Decimal("1.5"))
    assert [(one.job, one.week) for one in weeks] == [("a", 1), ("b", 1), ("c", 2)]
    first = piece.operations[0]
    noted = NotedHours(
        number=1, piece=piece.piece, work=str(first.work.kind), hours=first.hours + 1
    )
    (left,) = by_week([("a", sheet, Done(hours=(noted,)))], Decimal(30))
    assert left.hours == piece.hours - first.hours  # an hour too much on one work saves no other
