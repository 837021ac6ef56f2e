"""Cutting sticks and boards to length with the least cost: an exact plan where one can be
proved."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from decimal import Decimal

from roomcheck.workshop.cutting.bars import (
    NM,
    Bar,
    CannotCut,
    CutBar,
    CutProblem,
    CuttingPlan,
    Pattern,
    SawRules,
    StockRunsOut,
    cost_of,
    fullest,
)
from roomcheck.workshop.cutting.simplify_cutting import exactly, fewest_kinds, offcuts_filled

__all__ = [
    "Bar",
    "CannotCut",
    "CutBar",
    "CuttingPlan",
    "SawRules",
    "best_fit_decreasing",
    "cut_plan",
]

_MOST_PATTERNS = 12_000


def cut_plan(
    parts_m: Mapping[float, int], stock: Sequence[Bar], rules: SawRules, item: str = ""
) -> CuttingPlan:
    """Find the cheapest way to cut parts from stock.

    Every part takes its length and one cut. Where neither trim nor hold is kept, the last part may
    end at the bar's end without a cut.

    Parameters
    ----------
    parts_m : mapping of length to count
        [m]
    stock : sequence of Bar
        Lengths on the rack and in the shop. Offcuts at no cost are filled first, as far as that
        costs nothing.
    rules : SawRules
    item : str
        Named in the error.

    Raises
    ------
    CannotCut
        A part is longer than anything the stock yields, or limited stock runs out.
    ValueError
        A length or count that is not above 0, or no stock.

    Examples
    --------
    >>> plan = cut_plan({0.5906: 4}, [Bar(name="8 ft", length_m=2.4384)], SawRules(kerf_m=0.0032))
    >>> plan.count, plan.proved
    (1, True)

    References
    ----------
    Gilmore and Gomory, Operations Research 9 (1961): patterns as columns of a linear programme.
    """
    parts = {length: count for length, count in parts_m.items() if count}
    if not stock or any(bar.length_m <= 0 for bar in stock):
        raise ValueError(f"stock: found {stock!r}, needed bars of a length above 0")
    if any(length <= 0 or count < 0 for length, count in parts.items()):
        raise ValueError(
            f"parts_m: found {dict(parts_m)!r}, needed lengths above 0 and counts of 0 or more"
        )
    if not parts:
        return CuttingPlan(bars=(), rules=rules, cost=Decimal(0), proved=True)
    lengths = sorted(parts, reverse=True)
    task = CutProblem(lengths, [parts[length] for length in lengths], stock, rules, item)
    task.check()
    chosen, proved = _solve(task)
    return _as_plan(task, offcuts_filled(task, exactly(task, chosen)), proved)


def best_fit_decreasing(parts_m: Mapping[float, int], bar: Bar, rules: SawRules) -> int:
    """Count the bars that the usual way by hand takes: longest part first, into the bar where it
    fits tightest."""
    lengths = sorted((length for length, count in parts_m.items() if count), reverse=True)
    task = CutProblem(lengths, [parts_m[length] for length in lengths], [bar], rules)
    task.check()
    return sum(_by_hand(task, 0).values())


def _by_hand(task: CutProblem, bar: int) -> Counter[Pattern]:
    left: list[int] = []
    counts: list[list[int]] = []
    for i, (size, need) in enumerate(zip(task.sizes, task.need, strict=True)):
        for _ in range(need):
            fits = [(room, j) for j, room in enumerate(left) if room >= size]
            if fits:
                j = min(fits)[1]
            elif size <= task.room[bar]:
                left.append(task.room[bar])
                counts.append([0] * len(task.sizes))
                j = len(left) - 1
            else:
                break
            left[j] -= size
            counts[j][i] += 1
    return Counter((bar, tuple(row)) for row in counts)


def _solve(task: CutProblem) -> tuple[Counter[Pattern], bool]:
    patterns = {p for bar in range(len(task.stock)) for p in _by_hand(task, bar)}
    patterns |= {
        (b, tuple(min(room // size, need) if i == j else 0 for j, need in enumerate(task.need)))
        for b, room in enumerate(task.room)
        for i, size in enumerate(task.sizes)
        if size <= room
    }
    for bar in range(len(task.stock)):
        patterns |= _fullest_first(task, bar)
    bound = _grow(task, patterns)
    chosen, _ = _whole(task, sorted(patterns))
    if chosen is not None and cost_of(task, chosen) <= _rounded_up(task, bound):
        return fewest_kinds(task, patterns, chosen), True
    every = _all_patterns(task)
    better, best = _whole(task, every) if every is not None else (None, False)
    if better is not None and (chosen is None or cost_of(task, better) <= cost_of(task, chosen)):
        return better, best
    if chosen is None:
        raise StockRunsOut(
            part_m=task.lengths[0],
            longest_m=max(bar.length_m for bar in task.stock),
            item=task.item,
        )
    return chosen, False


def _fullest_first(task: CutProblem, bar: int) -> set[Pattern]:
    """Bars filled one after the other as full as what remains allows."""
    left, found = list(task.need), set()
    while any(left):
        sizes = [float(size) for size in task.sizes]
        _, counts = fullest(task.sizes, sizes, left, task.room[bar])
        if not any(counts):
            break
        found.add((bar, counts))
        left = [need - count for need, count in zip(left, counts, strict=True)]
    return found


def _rounded_up(task: CutProblem, bound: float) -> Decimal:
    prices = {bar.cost for bar in task.stock if bar.cost}
    if len(prices) != 1:
        return Decimal(repr(bound - 1e-9)) if bound > 0 else Decimal(0)
    price = prices.pop()
    return price * math.ceil(bound / float(price) - 1e-6)


def _grow(task: CutProblem, patterns: set[Pattern]) -> float:
    """Add the patterns that make the relaxed plan cheapest; its cost is a bound for every plan."""
    from scipy.optimize import linprog

    while True:
        columns = sorted(patterns)
        cover = [[-p[1][i] for p in columns] for i in range(len(task.need))]
        limited = [(b, bar.limit) for b, bar in enumerate(task.stock) if bar.limit is not None]
        rows = cover + [[int(p[0] == b) for p in columns] for b, _ in limited]
        ends = [-n for n in task.need] + [limit for _, limit in limited]
        relaxed = linprog(
            [float(task.stock[p[0]].cost) for p in columns], A_ub=rows, b_ub=ends, method="highs"
        )
        if relaxed.status != 0:
            return 0.0
        values = [-float(m) for m in relaxed.ineqlin.marginals]
        worth, rents = values[: len(task.need)], values[len(task.need) :]
        rent = {b: -r for (b, _), r in zip(limited, rents, strict=True)}
        new = set()
        for b, bar in enumerate(task.stock):
            gain, counts = fullest(task.sizes, worth, task.need, task.room[b])
            if gain > float(bar.cost) + rent.get(b, 0.0) + 1e-7:
                new.add((b, counts))
        if new <= patterns:
            return float(relaxed.fun or 0.0)
        patterns |= new


def _whole(task: CutProblem, patterns: list[Pattern]) -> tuple[Counter[Pattern] | None, bool]:
    """Whole bars of each pattern at least cost, None where limited stock runs out; and whether that
    is proved."""
    import numpy as np
    from scipy.optimize import Bounds, LinearConstraint, milp

    cover = np.array([[p[1][i] for p in patterns] for i in range(len(task.need))], dtype=float)
    limits = [task.stock[p[0]].limit for p in patterns]
    held = [LinearConstraint(cover, lb=np.array(task.need, dtype=float))]
    for b, bar in enumerate(task.stock):
        if bar.limit is not None:
            held.append(
                LinearConstraint(
                    np.array([[float(p[0] == b) for p in patterns]]), ub=float(bar.limit)
                )
            )
    cost = np.array([float(task.stock[p[0]].cost) for p in patterns])
    top = np.array([max(task.need) + 1.0 if limit is None else float(limit) for limit in limits])
    found = milp(
        cost,
        constraints=held,
        integrality=np.ones(len(patterns), dtype=np.int64),
        bounds=Bounds(0, top),
        options={"mip_rel_gap": 0.0, "time_limit": 20.0},
    )
    if found.x is None:
        return None, False
    chosen = Counter({p: round(x) for p, x in zip(patterns, found.x, strict=True) if round(x)})
    return chosen, bool(found.status == 0)


def _all_patterns(task: CutProblem) -> list[Pattern] | None:
    """Every filling that leaves no room for a further part; None where there are too many to
    list."""
    found: list[Pattern] = []
    for b, room in enumerate(task.room):
        for counts in _fillings(task.sizes, task.need, room):
            found.append((b, counts))
            if len(found) > _MOST_PATTERNS:
                return None
    return found


def _fillings(sizes: list[int], most: list[int], room: int) -> Iterator[tuple[int, ...]]:
    if len(sizes) == 1:
        yield (min(room // sizes[0], most[0]),)
        return
    for n in range(min(room // sizes[0], most[0]), -1, -1):
        for rest in _fillings(sizes[1:], most[1:], room - n * sizes[0]):
            yield (n, *rest)


def _as_plan(task: CutProblem, bars: Counter[Pattern], proved: bool) -> CuttingPlan:
    cuts = tuple(
        _cut_bar(task, b, counts, n) for (b, counts), n in sorted(bars.items(), key=_longest_first)
    )
    return CuttingPlan(bars=cuts, rules=task.rules, cost=cost_of(task, bars), proved=proved)


def _longest_first(item: tuple[Pattern, int]) -> tuple[int, tuple[int, ...]]:
    (b, counts), _ = item
    return b, tuple(-c for c in counts)


def _cut_bar(task: CutProblem, b: int, counts: tuple[int, ...], n: int) -> CutBar:
    bar, rules = task.stock[b], task.rules
    used = sum(c * size for c, size in zip(counts, task.sizes, strict=True)) / NM
    return CutBar(
        stock=bar.name,
        offcut=bar.offcut,
        length_m=bar.length_m,
        count=n,
        parts=tuple((length, c) for length, c in zip(task.lengths, counts, strict=True) if c),
        left_m=round(max(bar.length_m - 2 * rules.trim_m - used, 0.0), 9),
    )
