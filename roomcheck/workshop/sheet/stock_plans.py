"""How the whole job's parts come out of sticks, boards, sheets and rolls: pooled, offcuts first."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal

from roomcheck.job import Offcut, Price, Shop, ShopMaterial, ShopPractice
from roomcheck.units import M_PER_FT
from roomcheck.workshop.cutting.cutting import Bar, SawRules, cut_plan
from roomcheck.workshop.cutting.fabric import nest
from roomcheck.workshop.cutting.sheets import leftovers_of, rip_plan, sheets_of
from roomcheck.workshop.kinds import Part
from roomcheck.workshop.parts.materials_list import bar_m, bars_bought, core_m, sheet_m
from roomcheck.workshop.results import (
    Cut,
    FabricPlan,
    MaterialPlan,
    PieceSheet,
    SawSetup,
    SheetPlan,
)

ROLL_M = {"yd": 3 * M_PER_FT, "m": 1.0, "ft": M_PER_FT}


def cutting_plans(
    shop: Shop, sheets: Sequence[PieceSheet], practice: ShopPractice
) -> tuple[MaterialPlan, ...]:
    """Sticks and boards of the whole job, pooled: one exact plan for each material.

    Raises
    ------
    CannotCut
        A part is longer than every bar.
    """
    prices = {price.item: price for price in shop.prices}
    parts: dict[str, Counter[float]] = defaultdict(Counter)
    for cut in all_cuts(sheets):
        if cut.stock.item in prices and bar_m(prices[cut.stock.item], practice) is not None:
            parts[cut.stock.item][cut.length_m] += cut.count
    found = []
    for item, lengths in parts.items():
        stick = prices[item].material is ShopMaterial.STICK
        hold = practice.hold_m if stick else 0.0
        rules = SawRules(kerf_m=shop.kerf_m, trim_m=practice.trim_m, hold_m=hold)
        found.append(
            MaterialPlan(
                item=item, plan=cut_plan(lengths, rack(shop, prices[item], practice), rules, item)
            )
        )
    return tuple(found)


def rack(shop: Shop, price: Price, practice: ShopPractice) -> list[Bar]:
    """Bars of one material: what lies on the rack at no cost, then every length on sale."""
    usual = bar_m(price, practice)
    assert usual is not None
    bars = [
        Bar(name=price.item, length_m=o.length_m, cost=Decimal(0), limit=o.count, offcut=True)
        for o in shop.offcuts
        if o.item == price.item and o.width_m is None
    ]
    bars.append(
        Bar(name=price.item, length_m=usual, cost=price.price * bars_bought(price, 1) / price.pack)
    )
    return bars + [
        Bar(name=price.item, length_m=other.length_m, cost=other.price) for other in price.also
    ]


def leftovers(
    plans: Sequence[MaterialPlan], panels: Sequence[SheetPlan], practice: ShopPractice
) -> tuple[Offcut, ...]:
    """What is long enough to go back on the rack, longest first: bars, then sheets."""
    bars: Counter[tuple[str, float]] = Counter()
    for plan in plans:
        for bar in plan.plan.bars:
            if bar.left_m >= practice.offcut_m - 1e-9:
                bars[(plan.item, round(bar.left_m, 4))] += bar.count
    sheets: Counter[tuple[str, float, float]] = Counter()
    for panel in panels:
        for left in panel.left:
            sheets[(panel.item, round(left.length_m, 4), round(left.width_m, 4))] += 1
    return (
        *(
            Offcut(item=item, length_m=length, count=count)
            for (item, length), count in sorted(bars.items(), key=lambda f: (f[0][0], -f[0][1]))
        ),
        *(
            Offcut(item=item, length_m=length, width_m=width, count=count)
            for (item, length, width), count in sorted(
                sheets.items(), key=lambda f: (f[0][0], -f[0][1], -f[0][2])
            )
        ),
    )


def rack_after(
    shop: Shop,
    plans: Sequence[MaterialPlan],
    practice: ShopPractice,
    panels: Sequence[SheetPlan] = (),
) -> tuple[Offcut, ...]:
    """The rack once the job is cut: what was used taken off, what is left over put on."""
    used: Counter[tuple[str, float, float | None]] = Counter()
    for plan in plans:
        for bar in plan.plan.bars:
            if bar.offcut:
                used[(plan.item, bar.length_m, None)] += bar.count
    for panel in panels:
        used.update((panel.item, length, width) for width, length in panel.from_rack)
    kept = []
    for offcut in shop.offcuts:
        key = (offcut.item, offcut.length_m, offcut.width_m)
        taken = min(used[key], offcut.count)
        used[key] -= taken
        if offcut.count > taken:
            kept.append(replace(offcut, count=offcut.count - taken))
    return (*kept, *leftovers(plans, panels, practice))


def sheet_plans(
    shop: Shop, sheets: Sequence[PieceSheet], practice: ShopPractice
) -> tuple[SheetPlan, ...]:
    """Plywood and core boards of the whole job: rips and crosscuts, sheet by sheet."""
    found = []
    for price in shop.prices:
        sizes = sizes_of(price.item, sheets)
        size = board_or_sheet(price, practice)
        if not sizes or size is None:
            continue
        kerf = 0.0 if price.material is ShopMaterial.CORE else shop.kerf_m
        offcuts = sheet_offcuts(shop, price.item)
        rips = rip_plan(sizes, size, kerf, price.item, offcuts)
        used = {rip.sheet for rip in rips if rip.offcut}
        found.append(
            SheetPlan(
                item=price.item,
                width_m=size[0],
                length_m=size[1],
                sheets=sheets_of(rips),
                rips=rips,
                left=leftovers_of(rips, size, kerf, practice.offcut_m),
                from_rack=tuple(o for n, o in enumerate(offcuts, 1) if n in used),
            )
        )
    return tuple(found)


def sheet_offcuts(shop: Shop, item: str) -> list[tuple[float, float]]:
    """Width and length of the rack's offcuts of one sheet material, smallest first. [m]"""
    sizes = [
        (offcut.width_m, offcut.length_m)
        for offcut in shop.offcuts
        if offcut.item == item and offcut.width_m is not None
        for _ in range(offcut.count)
    ]
    return sorted(sizes, key=lambda size: size[0] * size[1])


def board_or_sheet(price: Price, practice: ShopPractice) -> tuple[float, float] | None:
    """Width and length of one sheet or core board; None for everything else. [m]"""
    return core_m(price) or sheet_m(price, practice)


def fabric_plans(
    shop: Shop, sheets: Sequence[PieceSheet], practice: ShopPractice
) -> tuple[FabricPlan, ...]:
    """Fabrics of the whole job, nested on the roll."""
    found = []
    for price in shop.prices:
        sizes = sizes_of(price.item, sheets)
        if sizes and price.unit in ROLL_M and price.material is ShopMaterial.FABRIC:
            roll_m = price.width_m or shop.fabric_roll_m
            rows = nest(sizes, roll_m, practice.selvedge_m, turns=not practice.nap)
            length = sum(row.length_m for row in rows)
            found.append(FabricPlan(item=price.item, roll_m=roll_m, length_m=length, rows=rows))
    return tuple(found)


def saw_setups(plans: Sequence[MaterialPlan], sheets: Sequence[PieceSheet]) -> tuple[SawSetup, ...]:
    """One ticket a setting of the stop, longest first, for every stick and board."""
    found = []
    for item in (plan.item for plan in plans):
        tickets: dict[float, list[tuple[str, Part, int]]] = defaultdict(list)
        for sheet in sheets:
            for cut in sheet.cuts:
                if cut.stock.item == item:
                    tickets[cut.length_m].append((sheet.piece, cut.part, cut.count))
        for stop, parts in sorted(tickets.items(), reverse=True):
            count = sum(part[2] for part in parts)
            found.append(SawSetup(stock=item, parts=tuple(parts), stop_m=stop, count=count))
    return tuple(found)


def all_cuts(sheets: Sequence[PieceSheet]) -> list[Cut]:
    return [cut for sheet in sheets for cut in sheet.cuts]


def sizes_of(item: str, sheets: Sequence[PieceSheet]) -> list[tuple[float, float]]:
    """Width and length of every part cut from one material. [m]"""
    parts = [cut for cut in all_cuts(sheets) if cut.stock.item == item]
    return [(cut.width_m, cut.length_m) for cut in parts for _ in range(cut.count)]
