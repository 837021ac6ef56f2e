"""Cutting sticks and boards to length with the least cost: an exact plan where one can be proved."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from roomcheck.errors import RoomcheckError
from roomcheck.units import both

_NM = 1_000_000_000
_MOST_PATTERNS = 12_000
_MOST_TIDIED = 120

Pattern = tuple[int, tuple[int, ...]]
"""A stock's place in the list, and how many of each length one bar of it gives."""


class CannotCut(RoomcheckError):
    """A part that no stock on the list yields."""

    def __init__(self, *, part_m: float, longest_m: float, item: str = "") -> None:
        self.part_m, self.longest_m, self.item = part_m, longest_m, item
        super().__init__(
            f"{item or 'cutting'}: a part of {both(part_m)} does not come out of stock that gives {both(longest_m)} "
            "after trimming. Add a longer stock, join two lengths, or leave less in the clamp."
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """Stock of one length.

    Attributes
    ----------
    name : str
    length_m : float
        [m]
    cost : Decimal
        Of one; 0 for an offcut that is already there.
    limit : int or None
        How many there are; None where more can be bought.
    """

    name: str
    length_m: float
    cost: Decimal = Decimal(1)
    limit: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SawRules:
    """What the saw takes, and what must stay.

    Attributes
    ----------
    kerf_m : float
        Width of a cut. [m]
    trim_m : float
        Cut off each end before anything is measured. [m]
    hold_m : float
        Shortest remainder that the clamp can hold while the last part is cut. [m]
    """

    kerf_m: float
    trim_m: float = 0.0
    hold_m: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class CutBar:
    """So many bars cut alike.

    Attributes
    ----------
    stock : str
    length_m : float
        [m]
    count : int
    parts : tuple of (length [m], count)
        From one bar, longest first.
    left_m : float
        What remains of one after its trims and cuts. [m]
    """

    stock: str
    length_m: float
    count: int
    parts: tuple[tuple[float, int], ...]
    left_m: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CuttingPlan:
    """Every part, each cut once.

    Attributes
    ----------
    bars : tuple of CutBar
    rules : SawRules
    cost : Decimal
    proved : bool
        True where no plan can cost less; False where only a bound is known.
    """

    bars: tuple[CutBar, ...]
    rules: SawRules
    cost: Decimal
    proved: bool

    @property
    def count(self) -> int:
        """Bars taken."""
        return sum(bar.count for bar in self.bars)


def cut_plan(parts_m: Mapping[float, int], stock: Sequence[Bar], rules: SawRules, item: str = "") -> CuttingPlan:
    """The cheapest way to cut parts from stock.

    Every part takes its length and one cut. Where neither trim nor hold is kept, the last part may end at the bar's
    end without a cut.

    Parameters
    ----------
    parts_m : mapping of length to count
        [m]
    stock : sequence of Bar
        Lengths on the rack and in the shop. Offcuts at no cost are filled first, as far as that costs nothing.
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
        raise ValueError(f"parts_m: found {dict(parts_m)!r}, needed lengths above 0 and counts of 0 or more")
    if not parts:
        return CuttingPlan(bars=(), rules=rules, cost=Decimal(0), proved=True)
    lengths = sorted(parts, reverse=True)
    task = _Task(lengths, [parts[length] for length in lengths], stock, rules, item)
    task.check()
    chosen, proved = _solve(task)
    return _as_plan(task, _offcuts_filled(task, _exactly(task, chosen)), proved)


def best_fit_decreasing(parts_m: Mapping[float, int], bar: Bar, rules: SawRules) -> int:
    """Bars that the usual way by hand takes: longest part first, into the bar where it fits tightest."""
    lengths = sorted((length for length, count in parts_m.items() if count), reverse=True)
    task = _Task(lengths, [parts_m[length] for length in lengths], [bar], rules)
    task.check()
    return sum(_by_hand(task, 0).values())


class _Task:
    """Lengths as whole nanometres, so that sixteenths of an inch and millimetres both add up exactly."""

    def __init__(
        self, lengths: list[float], need: list[int], stock: Sequence[Bar], rules: SawRules, item: str = ""
    ) -> None:
        self.lengths, self.need, self.stock, self.rules, self.item = lengths, need, stock, rules, item
        kerf = round(rules.kerf_m * _NM)
        keeps = round((2 * rules.trim_m + rules.hold_m) * _NM)
        self.sizes = [round(length * _NM) + kerf for length in lengths]
        self.room = [round(bar.length_m * _NM) - keeps + (0 if keeps else kerf) for bar in stock]

    def check(self) -> None:
        if self.sizes[0] > max(self.room):
            kept = 2 * self.rules.trim_m + self.rules.hold_m
            longest = max(bar.length_m for bar in self.stock) - kept
            raise CannotCut(part_m=self.lengths[0], longest_m=longest, item=self.item)


def _by_hand(task: _Task, bar: int) -> Counter[Pattern]:
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


def _solve(task: _Task) -> tuple[Counter[Pattern], bool]:
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
    if chosen is not None and _cost(task, chosen) <= _rounded_up(task, bound):
        return _fewest_kinds(task, patterns, chosen), True
    every = _all_patterns(task)
    better, best = _whole(task, every) if every is not None else (None, False)
    if better is not None and (chosen is None or _cost(task, better) <= _cost(task, chosen)):
        return better, best
    if chosen is None:
        raise CannotCut(part_m=task.lengths[0], longest_m=max(bar.length_m for bar in task.stock), item=task.item)
    return chosen, False


def _fullest_first(task: _Task, bar: int) -> set[Pattern]:
    """Bars filled one after the other as full as what remains allows."""
    left, found = list(task.need), set()
    while any(left):
        sizes = [float(size) for size in task.sizes]
        _, counts = _fullest(task.sizes, sizes, left, task.room[bar])
        if not any(counts):
            break
        found.add((bar, counts))
        left = [need - count for need, count in zip(left, counts, strict=True)]
    return found


def _cost(task: _Task, chosen: Mapping[Pattern, int]) -> Decimal:
    return sum((task.stock[b].cost * n for (b, _), n in chosen.items()), Decimal(0))


def _rounded_up(task: _Task, bound: float) -> Decimal:
    prices = {bar.cost for bar in task.stock if bar.cost}
    if len(prices) != 1:
        return Decimal(repr(bound - 1e-9)) if bound > 0 else Decimal(0)
    price = prices.pop()
    return price * math.ceil(bound / float(price) - 1e-6)


def _grow(task: _Task, patterns: set[Pattern]) -> float:
    """Add the patterns that make the relaxed plan cheapest; its cost is a bound for every plan."""
    from scipy.optimize import linprog

    while True:
        columns = sorted(patterns)
        cover = [[-p[1][i] for p in columns] for i in range(len(task.need))]
        limited = [(b, bar.limit) for b, bar in enumerate(task.stock) if bar.limit is not None]
        rows = cover + [[int(p[0] == b) for p in columns] for b, _ in limited]
        ends = [-n for n in task.need] + [limit for _, limit in limited]
        relaxed = linprog([float(task.stock[p[0]].cost) for p in columns], A_ub=rows, b_ub=ends, method="highs")
        if relaxed.status != 0:
            return 0.0
        values = [-float(m) for m in relaxed.ineqlin.marginals]
        worth, rents = values[: len(task.need)], values[len(task.need) :]
        rent = {b: -r for (b, _), r in zip(limited, rents, strict=True)}
        new = set()
        for b, bar in enumerate(task.stock):
            gain, counts = _fullest(task.sizes, worth, task.need, task.room[b])
            if gain > float(bar.cost) + rent.get(b, 0.0) + 1e-7:
                new.add((b, counts))
        if new <= patterns:
            return float(relaxed.fun or 0.0)
        patterns |= new


def _fullest(sizes: list[int], worth: list[float], most: list[int], room: int) -> tuple[float, tuple[int, ...]]:
    """The bar's most valuable filling, by branch and bound over lengths in order of worth per length."""
    order = sorted(range(len(sizes)), key=lambda i: -worth[i] / sizes[i])
    best: tuple[float, dict[int, int]] = (0.0, {})

    def fill(place: int, left: int, value: float, taken: dict[int, int]) -> None:
        nonlocal best
        if value > best[0] + 1e-12:
            best = (value, dict(taken))
        if place == len(order):
            return
        i = order[place]
        if worth[i] <= 0 or value + left * worth[i] / sizes[i] <= best[0] + 1e-9:
            return
        for n in range(min(left // sizes[i], most[i]), -1, -1):
            fill(place + 1, left - n * sizes[i], value + n * worth[i], {**taken, i: n} if n else taken)

    fill(0, room, 0.0, {})
    return best[0], tuple(best[1].get(i, 0) for i in range(len(sizes)))


def _whole(task: _Task, patterns: list[Pattern]) -> tuple[Counter[Pattern] | None, bool]:
    """Whole bars of each pattern at least cost, None where limited stock runs out; and whether that is proved."""
    import numpy as np
    from scipy.optimize import Bounds, LinearConstraint, milp

    cover = np.array([[p[1][i] for p in patterns] for i in range(len(task.need))], dtype=float)
    limits = [task.stock[p[0]].limit for p in patterns]
    held = [LinearConstraint(cover, lb=np.array(task.need, dtype=float))]
    for b, bar in enumerate(task.stock):
        if bar.limit is not None:
            held.append(LinearConstraint(np.array([[float(p[0] == b) for p in patterns]]), ub=float(bar.limit)))
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


def _fewest_kinds(task: _Task, patterns: set[Pattern], chosen: Counter[Pattern]) -> Counter[Pattern]:
    """A plan of the same cost whose bars are cut in as few ways as can be found in little time: easier to follow."""
    import numpy as np
    from scipy.optimize import Bounds, LinearConstraint, milp

    listed = sorted(patterns | set(chosen))
    if len(listed) > _MOST_TIDIED or len(chosen) < 3:
        return chosen
    n, bars = len(listed), float(sum(chosen.values()))
    eye, zero = np.eye(n), np.zeros(n)
    cover = np.array([[p[1][i] for p in listed] for i in range(len(task.need))], dtype=float)
    cost = np.array([float(task.stock[p[0]].cost) for p in listed])
    held = [
        LinearConstraint(np.hstack([cover, 0 * cover]), lb=np.array(task.need, dtype=float)),
        LinearConstraint(np.concatenate([cost, zero])[None, :], ub=float(_cost(task, chosen)) + 1e-6),
        LinearConstraint(np.hstack([eye, -bars * eye]), ub=zero),
    ]
    for b, bar in enumerate(task.stock):
        if bar.limit is not None:
            own = np.array([float(p[0] == b) for p in listed])
            held.append(LinearConstraint(np.concatenate([own, zero])[None, :], ub=float(bar.limit)))
    found = milp(
        np.concatenate([zero, np.ones(n)]),
        constraints=held,
        integrality=np.ones(2 * n, dtype=np.int64),
        bounds=Bounds(0, np.concatenate([np.full(n, bars), np.ones(n)])),
        # Nodes, not seconds: the same job gives the same plan on every machine.
        options={"node_limit": 200},
    )
    if found.x is None:
        return chosen
    tidy = Counter({p: round(x) for p, x in zip(listed, found.x[:n], strict=True) if round(x)})
    fewer = len(_exactly(task, tidy)) < len(_exactly(task, chosen))
    return tidy if fewer and _cost(task, tidy) <= _cost(task, chosen) else chosen


def _all_patterns(task: _Task) -> list[Pattern] | None:
    """Every filling that leaves no room for a further part; None where there are too many to list."""
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


def _exactly(task: _Task, chosen: Mapping[Pattern, int]) -> Counter[Pattern]:
    """Bars without the parts that nobody asked for, which bought bars lose first."""
    left_over = [sum(p[1][i] * n for p, n in chosen.items()) - need for i, need in enumerate(task.need)]
    bars: Counter[Pattern] = Counter()

    def bought_first(item: tuple[Pattern, int]) -> tuple[bool, int, Pattern]:
        return not task.stock[item[0][0]].cost, -sum(item[0][1]), item[0]

    for (b, counts), n in sorted(chosen.items(), key=bought_first):
        for _ in range(n):
            drop = [min(c, over) for c, over in zip(counts, left_over, strict=True)]
            left_over = [over - d for over, d in zip(left_over, drop, strict=True)]
            kept = tuple(c - d for c, d in zip(counts, drop, strict=True))
            if any(kept):
                bars[(b, kept)] += 1
    return bars


def _offcuts_filled(task: _Task, bars: Counter[Pattern]) -> Counter[Pattern]:
    """Move parts from bought bars into offcuts that lie unused, fullest first: long bars keep longer leftovers."""
    single = [_Cutting(b, list(counts)) for (b, counts), n in sorted(bars.items()) for _ in range(n)]
    used = Counter(bar.stock for bar in single)
    for o, stock in enumerate(task.stock):
        if stock.cost or stock.limit is None:
            continue
        for _ in range(stock.limit - used[o]):
            bought = [bar for bar in single if task.stock[bar.stock].cost]
            movable = [sum(bar.counts[i] for bar in bought) for i in range(len(task.sizes))]
            _, counts = _fullest(task.sizes, [float(s) for s in task.sizes], movable, task.room[o])
            if not any(counts):
                break
            _take(bought, list(counts))
            single.append(_Cutting(o, list(counts)))
    return Counter((bar.stock, tuple(bar.counts)) for bar in single if any(bar.counts))


@dataclass
class _Cutting:
    """One bar while parts move: its place in the stock list, and how many of each length it gives."""

    stock: int
    counts: list[int]


def _take(bars: list[_Cutting], counts: list[int]) -> None:
    """Take parts off the emptiest bars first."""
    for bar in sorted(bars, key=lambda bar: sum(bar.counts)):
        for i, want in enumerate(counts):
            moved = min(want, bar.counts[i])
            bar.counts[i] -= moved
            counts[i] -= moved


def _as_plan(task: _Task, bars: Counter[Pattern], proved: bool) -> CuttingPlan:
    cuts = tuple(_cut_bar(task, b, counts, n) for (b, counts), n in sorted(bars.items(), key=_longest_first))
    return CuttingPlan(bars=cuts, rules=task.rules, cost=_cost(task, bars), proved=proved)


def _longest_first(item: tuple[Pattern, int]) -> tuple[int, tuple[int, ...]]:
    (b, counts), _ = item
    return b, tuple(-c for c in counts)


def _cut_bar(task: _Task, b: int, counts: tuple[int, ...], n: int) -> CutBar:
    bar, rules = task.stock[b], task.rules
    used = sum(c * size for c, size in zip(counts, task.sizes, strict=True)) / _NM
    return CutBar(
        stock=bar.name,
        length_m=bar.length_m,
        count=n,
        parts=tuple((length, c) for length, c in zip(task.lengths, counts, strict=True) if c),
        left_m=round(max(bar.length_m - 2 * rules.trim_m - used, 0.0), 9),
    )
