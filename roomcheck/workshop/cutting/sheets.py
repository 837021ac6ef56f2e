"""Parts out of sheets of plywood and boards of core: rips across the sheet, so that every cut runs
from edge to edge."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from itertools import product
from math import ceil

from roomcheck.errors import RoomcheckError
from roomcheck.units import both

_TINY_M = 1e-9
"""What is lost on the way from inches to binary metres."""
_MOST_WAYS = 256
"""Ways to turn kinds of parts that are tried by hand."""
_MOST_PATTERNS = 4000

Size = tuple[float, float]


class PartTooLarge(RoomcheckError):
    """A part that no sheet holds."""

    def __init__(
        self, *, width_m: float, length_m: float, sheet_m: tuple[float, float], item: str = ""
    ) -> None:
        self.width_m, self.length_m, self.sheet_m, self.item = width_m, length_m, sheet_m, item
        super().__init__(
            f"{item or 'cutting'}: a part of {both(width_m)} x {both(length_m)} does not come "
            f"out of a sheet of {both(sheet_m[0])} x {both(sheet_m[1])}. Enter a larger sheet in "
            "shop.toml, or join two parts."
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Rip:
    """A strip across one sheet."""

    sheet: int
    """From 1."""
    width_m: float
    """[m]"""
    parts: tuple[tuple[float, float], ...]
    """Across the strip, and along it [m]."""
    offcut: bool = False
    """The sheet is an offcut of the rack, numbered apart."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetOffcut:
    """A rectangle that is left of a sheet."""

    width_m: float
    """The shorter side [m]."""
    length_m: float
    """[m]"""


def rip_plan(
    parts: Sequence[Size],
    sheet_m: Size,
    kerf_m: float,
    item: str = "",
    rack: Sequence[Size] = (),
) -> tuple[Rip, ...]:
    """Cut all parts out of the fewest sheets: strips across a sheet, parts along a strip.

    Offcuts of the rack are filled first. Strips along the sheet and across it are both tried, parts
    turned either way. Where the ways to fill a strip and a sheet are few enough to list, the count
    is
    the least that strips can reach; else the best of the ways by hand.

    Parameters
    ----------
    parts : sequence of (width, length)
        [m]
    sheet_m : (width, length)
        [m]
    kerf_m : float
        [m]
    item : str
        Named in the error.
    rack : sequence of (width, length)
        Offcuts of the same material. [m]

    Raises
    ------
    PartTooLarge
    """
    fits = [part for part in parts if _lies(part, sheet_m) or _lies(part[::-1], sheet_m)]
    if len(fits) < len(parts):
        width, length = max((part for part in parts if part not in fits), key=max)
        raise PartTooLarge(width_m=width, length_m=length, sheet_m=sheet_m, item=item)
    return _ripped(tuple(parts), sheet_m, kerf_m, tuple(rack))


@lru_cache(maxsize=256)
def _ripped(
    parts: tuple[Size, ...], sheet: Size, kerf: float, rack: tuple[Size, ...]
) -> tuple[Rip, ...]:
    """The same for parts that fit; joints and plans of one job ask for the same again and again."""
    reused, left = _out_of_rack(parts, rack, kerf)
    return (*reused, *_fewest(left, sheet, kerf))


def _lies(part: Size, sheet: Size) -> bool:
    return part[0] <= sheet[0] + _TINY_M and part[1] <= sheet[1] + _TINY_M


def _fewest(parts: Sequence[Size], sheet: Size, kerf: float) -> tuple[Rip, ...]:
    if not parts:
        return ()
    plans = []
    for across, along in dict.fromkeys((sheet, sheet[::-1])):
        plans += list(_by_hand(parts, along, across, kerf))
    best = min(plans, key=lambda plan: (sheets_of(plan), -_largest_left(plan, sheet, kerf)))
    least = ceil(sum(a * b for a, b in parts) / (sheet[0] * sheet[1]) - 1e-6)
    if sheets_of(best) <= least:
        return best
    for across, along in dict.fromkeys((sheet, sheet[::-1])):
        exact = _Strips(parts, along, across, kerf).plan(sheets_of(best))
        if exact is not None and sheets_of(exact) < sheets_of(best):
            best = exact
    return best


def sheets_of(rips: Sequence[Rip]) -> int:
    """How many whole sheets a plan takes, offcuts apart."""
    return max((rip.sheet for rip in rips if not rip.offcut), default=0)


def leftovers_of(
    rips: Sequence[Rip], sheet: Size, kerf: float, least: float
) -> tuple[SheetOffcut, ...]:
    """Rectangles that stay of whole sheets, both sides at least so long: the rest beside the
    strips,
    and the end of every strip. [m]"""
    found = []
    for number in range(1, sheets_of(rips) + 1):
        here = [rip for rip in rips if rip.sheet == number and not rip.offcut]
        across, along = _direction(here, sheet, kerf)
        beside = across - sum(rip.width_m + kerf for rip in here)
        found.append((beside, along))
        for rip in here:
            used = sum(length + kerf for _, length in rip.parts)
            found.append((rip.width_m, along - used))
    return tuple(
        SheetOffcut(width_m=min(size), length_m=max(size))
        for size in sorted(found, reverse=True)
        if min(size) >= least - _TINY_M
    )


def _largest_left(rips: Sequence[Rip], sheet: Size, kerf: float) -> float:
    """Area of the largest rectangle that stays: of equal plans, the one that leaves most in one
    piece. [m2]"""
    left = leftovers_of(rips, sheet, kerf, 0.0)
    return max((offcut.width_m * offcut.length_m for offcut in left), default=0.0)


def _direction(rips: Sequence[Rip], sheet: Size, kerf: float) -> Size:
    """Across and along the strips of one sheet: the way round in which they all fit."""
    for across, along in (sheet, sheet[::-1]):
        wide = sum(rip.width_m + kerf for rip in rips) - kerf
        long = max(sum(part[1] + kerf for part in rip.parts) - kerf for rip in rips)
        if wide <= across + 1e-6 and long <= along + 1e-6:
            return across, along
    raise ValueError("rips: found strips that do not fit their sheet")


def _out_of_rack(
    parts: Sequence[Size], rack: Sequence[Size], kerf: float
) -> tuple[list[Rip], list[Size]]:
    """Fill offcuts, smallest first, with the largest parts that they hold."""
    left, found = sorted(parts, key=lambda part: -part[0] * part[1]), list[Rip]()
    for number, offcut in enumerate(sorted(rack, key=lambda size: size[0] * size[1]), 1):
        taken, plan = list[Size](), tuple[Rip, ...]()
        for part in left:
            more = _one_sheet([*taken, part], offcut, kerf)
            if more:
                taken, plan = [*taken, part], more
        for part in taken:
            left.remove(part)
        found += [replace(rip, sheet=number, offcut=True) for rip in plan]
    return found, left


def _one_sheet(parts: Sequence[Size], sheet: Size, kerf: float) -> tuple[Rip, ...]:
    """All parts on one sheet by hand; empty where they do not fit."""
    for across, along in (sheet, sheet[::-1]):
        for plan in _by_hand(parts, along, across, kerf):
            if sheets_of(plan) == 1:
                return plan
    return ()


def _by_hand(
    parts: Sequence[Size], along: float, across: float, kerf: float
) -> Iterator[tuple[Rip, ...]]:
    """The widest parts first, each into the first strip with room, strips into the first sheet with
    room: once for every way to turn the kinds of parts."""
    kinds = list(dict.fromkeys(tuple(sorted(part)) for part in parts))
    count = Counter(tuple(sorted(part)) for part in parts)
    ways = []
    for narrow, long in kinds:
        turned = [(narrow, long), (long, narrow)] if long - narrow > _TINY_M else [(narrow, long)]
        ways.append([way for way in turned if _lies(way, (across, along))])
    if not all(ways):
        return
    total = 1
    for way in ways:
        total *= len(way)
    chosen = product(*ways) if total <= _MOST_WAYS else [tuple(way[0] for way in ways)]
    for turned_kinds in chosen:
        laid = [
            size for kind, size in zip(kinds, turned_kinds, strict=True) for _ in range(count[kind])
        ]
        yield _on_sheets(_strips(laid, along, kerf), across, kerf)


def _strips(parts: Sequence[Size], along: float, kerf: float) -> list[list[Size]]:
    """Parts end to end, each in the first strip with room; a strip is as wide as its first."""
    strips: list[list[Size]] = []
    used: list[float] = []
    for width, length in sorted(parts, reverse=True):
        for number, taken in enumerate(used):
            if taken + length <= along + _TINY_M:
                strips[number].append((width, length))
                used[number] += length + kerf
                break
        else:
            strips.append([(width, length)])
            used.append(length + kerf)
    return strips


def _on_sheets(strips: Sequence[Sequence[Size]], across: float, kerf: float) -> tuple[Rip, ...]:
    """Strips side by side, each on the first sheet with room."""
    used: list[float] = []
    rips = []
    for strip in sorted(strips, key=lambda strip: -strip[0][0]):
        width = strip[0][0]
        free = [n for n, taken in enumerate(used) if taken + width <= across + _TINY_M]
        number = free[0] if free else len(used)
        if not free:
            used.append(0.0)
        used[number] += width + kerf
        rips.append(Rip(sheet=number + 1, width_m=width, parts=tuple(strip)))
    return tuple(rips)


Filling = tuple[int, ...]

_TINY_SHARE = 1e-6
"""Of a sheet: less is the solver's rounding. [1]"""


class _Strips:
    """The least number of sheets in one direction, as an integer programme over all ways to fill a
    strip and all ways to lay strips on a sheet."""

    def __init__(self, parts: Sequence[Size], along: float, across: float, kerf: float) -> None:
        self.count: Counter[Size] = Counter((min(part), max(part)) for part in parts)
        self.along, self.across, self.kerf = along, across, kerf
        self.kinds = list(self.count)
        self.turned: list[tuple[int, float, float]] = []
        for i, (narrow, long) in enumerate(self.kinds):
            for width, length in dict.fromkeys(((narrow, long), (long, narrow))):
                if _lies((width, length), (across, along)):
                    self.turned.append((i, width, length))
        self.widths = sorted({width for _, width, _ in self.turned}, reverse=True)

    @cached_property
    def strips(self) -> list[tuple[int, Filling]] | None:
        """Ways to fill a strip of each width, by turned kinds; None where they are too many."""
        found: list[tuple[int, Filling]] = []
        for w, width in enumerate(self.widths):
            usable = [t for t, (_, wide, _) in enumerate(self.turned) if wide <= width + _TINY_M]
            lengths = [self.turned[t][2] for t in usable]
            for filling in _full(lengths, self.along, self.kerf):
                counts = [0] * len(self.turned)
                for t, n in zip(usable, filling, strict=True):
                    counts[t] = n
                found.append((w, tuple(counts)))
                if len(found) > _MOST_PATTERNS:
                    return None
        return found

    @cached_property
    def sheets(self) -> list[Filling] | None:
        """Ways to lay strips of the widths on a sheet; None where they are too many."""
        found = []
        for filling in _full(self.widths, self.across, self.kerf):
            found.append(filling)
            if len(found) > _MOST_PATTERNS:
                return None
        return found

    def plan(self, known: int) -> tuple[Rip, ...] | None:
        """A plan of the fewest sheets; None where it was not found, or where no plan takes fewer
        than the number that is known."""
        strips, sheets = self.strips, self.sheets
        if not strips or not sheets:
            return None
        import numpy as np
        from scipy.optimize import Bounds, LinearConstraint, milp

        n = len(strips) + len(sheets)
        made = np.zeros((len(self.kinds), n))
        room = np.zeros((len(self.widths), n))
        for column, (w, counts) in enumerate(strips):
            room[w, column] = -1.0
            for (kind, _, _), amount in zip(self.turned, counts, strict=True):
                made[kind, column] += amount
        for column, filling in enumerate(sheets, len(strips)):
            room[:, column] = filling
        need = np.array([self.count[kind] for kind in self.kinds], dtype=float)
        cost = np.concatenate([np.zeros(len(strips)), np.ones(len(sheets))])
        asked = [LinearConstraint(made, lb=need), LinearConstraint(room, lb=0.0)]
        bounds = Bounds(0, np.full(n, need.sum()))
        # Parts of a strip and of a sheet would do no better than this.
        relaxed = milp(cost, constraints=asked, bounds=bounds)
        if relaxed.x is not None and ceil(relaxed.fun - _TINY_SHARE) >= known:
            return None
        found = milp(
            cost,
            constraints=asked,
            integrality=np.ones(n, dtype=np.int64),
            bounds=bounds,
            # Nodes, not seconds: the same job gives the same plan on every machine.
            options={"node_limit": 2000},
        )
        if found.x is None:
            return None
        return self._laid(strips, sheets, [round(x) for x in found.x])

    def _laid(
        self, strips: list[tuple[int, Filling]], sheets: list[Filling], chosen: list[int]
    ) -> tuple[Rip, ...]:
        """Strips with their parts on their sheets, without parts that nobody asked for."""
        left = Counter(self.count)
        waiting: list[list[tuple[Size, ...]]] = [[] for _ in self.widths]
        for (w, counts), times in zip(strips, chosen[: len(strips)], strict=True):
            for _ in range(times):
                parts = self._parts(counts, left)
                if parts:
                    waiting[w].append(parts)
        rips, sheet = [], 0
        for filling, times in zip(sheets, chosen[len(strips) :], strict=True):
            for _ in range(times):
                here = [
                    (w, waiting[w].pop())
                    for w, places in enumerate(filling)
                    for _ in range(min(places, len(waiting[w])))
                ]
                sheet += bool(here)
                rips += [
                    Rip(sheet=sheet, width_m=max(p[0] for p in parts), parts=parts)
                    for _, parts in here
                ]
        return tuple(rips)

    def _parts(self, counts: Filling, left: Counter[Size]) -> tuple[Size, ...]:
        found = []
        for (kind, width, length), amount in zip(self.turned, counts, strict=True):
            take = min(amount, left[self.kinds[kind]])
            left[self.kinds[kind]] -= take
            found += [(width, length)] * take
        return tuple(sorted(found, reverse=True))


def _full(sizes: Sequence[float], room: float, kerf: float) -> Iterator[Filling]:
    """Every filling of a length that leaves no room for one more of the smallest."""
    if not sizes:
        return
    yield from _filled(list(sizes), room + kerf, kerf)


def _filled(sizes: list[float], room: float, kerf: float) -> Iterator[Filling]:
    most = int((room + _TINY_M) / (sizes[0] + kerf))
    if len(sizes) == 1:
        yield (most,)
        return
    for n in range(most, -1, -1):
        for rest in _filled(sizes[1:], room - n * (sizes[0] + kerf), kerf):
            yield (n, *rest)
