"""One cutting plan and one buy list over several jobs: parts pooled, the rack used once, each part
marked with its job."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from roomcheck.job import Job, Offcut, Price, Shop
from roomcheck.workshop.cutting.bars import CutBar
from roomcheck.workshop.results import (
    BuildSheet,
    Cut,
    FabricPlan,
    MaterialPlan,
    PieceSheet,
    Purchase,
    SawSetup,
    SheetPlan,
)
from roomcheck.workshop.sheet.buying import Plans, purchases
from roomcheck.workshop.sheet.fixings_bought import fixings_of, fixings_priced
from roomcheck.workshop.sheet.looks import in_looks
from roomcheck.workshop.sheet.stock_plans import (
    all_cuts,
    cutting_plans,
    fabric_plans,
    leftovers,
    rack_after,
    saw_setups,
    sheet_plans,
)

_NM = 1_000_000_000


@dataclass(frozen=True, slots=True, kw_only=True)
class PartOf:
    """So many equal parts for one job."""

    job: str
    count: int
    length_m: float
    """[m]"""
    width_m: float | None = None
    """Of a sheet's or roll's part [m]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SharedBar:
    """So many bars cut alike, for the same jobs."""

    item: str
    length_m: float
    """[m]"""
    count: int
    parts: tuple[PartOf, ...]
    """From one bar."""
    left_m: float
    """[m]"""
    offcut: bool
    """From the rack, not bought."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SharedStrip:
    """One strip of a sheet."""

    item: str
    sheet: int
    """From 1; offcuts of the rack are numbered apart."""
    offcut: bool
    width_m: float
    """[m]"""
    parts: tuple[PartOf, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SharedRow:
    """One row across a roll."""

    item: str
    length_m: float
    """Along the roll [m]."""
    parts: tuple[PartOf, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SharedPurchase:
    """One line of the buy list."""

    purchase: Purchase
    jobs: tuple[tuple[str, Decimal], ...]
    """Each job with what its own parts need, before waste; empty where it cannot be told apart."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CutTogether:
    """Jobs that are bought and cut as one."""

    jobs: tuple[str, ...]
    purchases: tuple[SharedPurchase, ...]
    cost: Decimal
    """Of all purchases, at the prices of the first job that has each item."""
    apart: Decimal
    """What every job by itself would be bought for, each with the rack to itself."""
    bars: tuple[SharedBar, ...]
    strips: tuple[SharedStrip, ...]
    rows: tuple[SharedRow, ...]
    setups: tuple[SawSetup, ...]
    """Settings of the stop; pieces are named with their job."""
    leftovers: tuple[Offcut, ...]


def rack_of(jobs: Iterable[Job]) -> tuple[Offcut, ...]:
    """What lies on the rack by the files of several jobs: an offcut that several know of lies there
    once."""
    most: dict[tuple[str, float, float | None], int] = {}
    for job in jobs:
        for offcut in job.shop.offcuts:
            key = (offcut.item, offcut.length_m, offcut.width_m)
            most[key] = max(most.get(key, 0), offcut.count)
    return tuple(
        Offcut(item=item, length_m=length_m, width_m=width_m, count=count)
        for (item, length_m, width_m), count in most.items()
    )


def cut_together(
    built: Mapping[str, tuple[Job, BuildSheet]], rack: Sequence[Offcut]
) -> tuple[CutTogether, ...]:
    """Buy and cut for several jobs as one.

    Jobs whose shop files say another saw, other sizes of an item or other ways of the bench cannot
    share a stick: they are planned one group after the other, and each takes of the rack what those
    before it have left.

    Parameters
    ----------
    built : mapping of str to (Job, BuildSheet)
        By the job's name; all prices in one currency.
    rack : sequence of Offcut
        What lies there before anything is cut.

    Raises
    ------
    NotInStock, CannotCut, PartTooLarge, FabricTooWide
        As for one job.
    """
    together = []
    for shop, names in _groups(built):
        group = {name: built[name] for name in names}
        plan, rack = _cut(replace(shop, offcuts=tuple(rack)), group)
        together.append(plan)
    return tuple(together)


def _groups(built: Mapping[str, tuple[Job, BuildSheet]]) -> list[tuple[Shop, list[str]]]:
    """Jobs that can share stock, with a shop that has the items of all of them."""
    groups: list[tuple[Shop, list[str]]] = []
    for name, (job, sheet) in built.items():
        shop = in_looks(job).shop
        used = {cut.stock.item for cut in all_cuts(sheet.sheets)}
        used |= {line.item for line in sheet.purchases}
        for i, (other, names) in enumerate(groups):
            if _alike(shop, other, used):
                groups[i] = (_joined(other, shop), [*names, name])
                break
        else:
            groups.append((shop, [name]))
    return groups


def _alike(shop: Shop, other: Shop, used: set[str]) -> bool:
    """Whether two shops cut alike, as far as these items go."""
    if (shop.kerf_m, shop.practice) != (other.kerf_m, other.practice):
        return False
    known = {price.item: _sizes(price) for price in other.prices}
    return all(
        known.get(price.item, _sizes(price)) == _sizes(price)
        for price in shop.prices
        if price.item in used
    )


def _sizes(price: Price) -> object:
    """What of a price cutting depends on."""
    lengths = tuple(other.length_m for other in price.also)
    sizes = (price.length_m, price.width_m, price.thickness_m)
    return price.material, price.unit, price.pack, *sizes, lengths


def _joined(shop: Shop, more: Shop) -> Shop:
    """A shop with the items and pieces that only another one has."""
    items = {price.item for price in shop.prices}
    names = {piece.name for piece in shop.stock}
    prices = (*shop.prices, *(price for price in more.prices if price.item not in items))
    stock = (*shop.stock, *(piece for piece in more.stock if piece.name not in names))
    return replace(shop, prices=prices, stock=stock)


def _cut(
    shop: Shop, group: Mapping[str, tuple[Job, BuildSheet]]
) -> tuple[CutTogether, tuple[Offcut, ...]]:
    """One group as one job, and what lies on the rack then that lay there before."""
    practice = shop.practice
    sheets = tuple(sheet for _, built in group.values() for sheet in built.sheets)
    plans = Plans(
        bars=cutting_plans(shop, sheets, practice),
        panels=sheet_plans(shop, sheets, practice),
        fabrics=fabric_plans(shop, sheets, practice),
    )
    pieces = [
        in_looks(job).shop.piece(sheet.piece)
        for job, built in group.values()
        for sheet in built.sheets
        for _ in sheet.names
    ]
    lines = [line for _, built in group.values() for line in built.hanging]
    fixings, _ = fixings_priced(shop, fixings_of(lines), practice)
    bought = purchases(shop, pieces, sheets, plans, practice, fixings)
    queues = _Queues(group)
    together = CutTogether(
        jobs=tuple(group),
        purchases=tuple(_shared(line, group) for line in bought),
        cost=sum((line.cost for line in bought), Decimal(0)),
        apart=sum((p.cost for _, built in group.values() for p in built.purchases), Decimal(0)),
        bars=tuple(bar for plan in plans.bars for bar in _bars(plan, queues)),
        strips=tuple(strip for plan in plans.panels for strip in _strips(plan, queues)),
        rows=tuple(row for plan in plans.fabrics for row in _rows(plan, queues)),
        setups=saw_setups(plans.bars, _named(group)),
        leftovers=leftovers(plans.bars, plans.panels, practice),
    )
    old = rack_after(shop, plans.bars, practice, plans.panels)
    new = Counter({_key(offcut): offcut.count for offcut in together.leftovers})
    return together, _without(old, new)


def _key(offcut: Offcut) -> tuple[str, float, float | None]:
    return offcut.item, offcut.length_m, offcut.width_m


def _without(
    rack: Iterable[Offcut], new: Counter[tuple[str, float, float | None]]
) -> tuple[Offcut, ...]:
    """A rack without what has only just been left over: nobody has cut it yet."""
    kept = []
    for offcut in rack:
        taken = min(new[_key(offcut)], offcut.count)
        new[_key(offcut)] -= taken
        if offcut.count > taken:
            kept.append(replace(offcut, count=offcut.count - taken))
    return tuple(kept)


def _shared(line: Purchase, group: Mapping[str, tuple[Job, BuildSheet]]) -> SharedPurchase:
    shares = [
        (name, own.net)
        for name, (_, built) in group.items()
        for own in built.purchases
        if own.item == line.item
    ]
    return SharedPurchase(purchase=line, jobs=tuple(shares))


def _named(group: Mapping[str, tuple[Job, BuildSheet]]) -> tuple[PieceSheet, ...]:
    """Sheets of all jobs, each piece named with its job."""
    return tuple(
        replace(sheet, piece=f"{name}: {sheet.piece}")
        for name, (_, built) in group.items()
        for sheet in built.sheets
    )


class _Queues:
    """Which job each part is for: equal parts of one material go to the jobs in their order."""

    def __init__(self, group: Mapping[str, tuple[Job, BuildSheet]]) -> None:
        self.waiting: dict[tuple[str, tuple[int, ...]], list[list[str | int]]] = defaultdict(list)
        for name, (_, built) in group.items():
            for cut in all_cuts(built.sheets):
                for size in ((cut.length_m,), (cut.width_m, cut.length_m)):
                    self._wait(name, cut, size)

    def _wait(self, name: str, cut: Cut, size: tuple[float, ...]) -> None:
        self.waiting[cut.stock.item, _whole(size)].append([name, cut.count])

    def take(self, item: str, size: tuple[float, ...], count: int) -> tuple[tuple[str, int], ...]:
        """So many parts of a size, and for which jobs they are."""
        waiting, taken = self.waiting[item, _whole(size)], list[tuple[str, int]]()
        while count and waiting:
            name, left = str(waiting[0][0]), int(waiting[0][1])
            here = min(left, count)
            taken.append((name, here))
            waiting[0][1], count = left - here, count - here
            if left == here:
                waiting.pop(0)
        assert not count, f"{item}: more parts of {size} in the plan than the jobs need"
        return tuple(taken)


def _whole(size: tuple[float, ...]) -> tuple[int, ...]:
    """A size in whole nanometres, either way round."""
    return tuple(sorted(round(side * _NM) for side in size))


def _bars(plan: MaterialPlan, queues: _Queues) -> list[SharedBar]:
    """Every bar by itself, so that its parts can be marked; those alike together again."""
    bars: Counter[SharedBar] = Counter()
    for bar in plan.plan.bars:
        for _ in range(bar.count):
            bars[_bar(plan.item, bar, queues)] += 1
    return [replace(bar, count=count) for bar, count in bars.items()]


def _bar(item: str, bar: CutBar, queues: _Queues) -> SharedBar:
    parts = [
        PartOf(job=job, count=count, length_m=length_m)
        for length_m, needed in bar.parts
        for job, count in queues.take(item, (length_m,), needed)
    ]
    return SharedBar(
        item=item,
        length_m=bar.length_m,
        count=1,
        parts=tuple(parts),
        left_m=bar.left_m,
        offcut=bar.offcut,
    )


def _strips(plan: SheetPlan, queues: _Queues) -> list[SharedStrip]:
    return [
        SharedStrip(
            item=plan.item,
            sheet=rip.sheet,
            offcut=rip.offcut,
            width_m=rip.width_m,
            parts=_marked(plan.item, rip.parts, queues),
        )
        for rip in plan.rips
    ]


def _rows(plan: FabricPlan, queues: _Queues) -> list[SharedRow]:
    return [
        SharedRow(
            item=plan.item,
            length_m=row.length_m,
            parts=_marked(plan.item, row.pieces, queues),
        )
        for row in plan.rows
    ]


def _marked(item: str, sizes: Sequence[tuple[float, float]], queues: _Queues) -> tuple[PartOf, ...]:
    """Parts of a strip or a row with their jobs, equal neighbours together."""
    parts: Counter[tuple[str, float, float]] = Counter()
    for width_m, length_m in sizes:
        for job, count in queues.take(item, (width_m, length_m), 1):
            parts[job, width_m, length_m] += count
    return tuple(
        PartOf(job=job, count=count, length_m=length_m, width_m=width_m)
        for (job, width_m, length_m), count in parts.items()
    )
