"""Bars, saws, and parts as whole nanometres: what cutting plans are made of."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from roomcheck.errors import RoomcheckError
from roomcheck.units import both

NM = 1_000_000_000

Pattern = tuple[int, tuple[int, ...]]
"""A stock's place in the list, and how many of each length one bar of it gives."""


class CannotCut(RoomcheckError):
    """A part that no stock on the list yields."""

    def __init__(self, *, part_m: float, longest_m: float, item: str = "") -> None:
        self.part_m, self.longest_m, self.item = part_m, longest_m, item
        super().__init__(
            f"{item or 'cutting'}: a part of {both(part_m)} does not come out of stock whose "
            f"longest part is {both(longest_m)}, after the trim at both ends, what stays in the "
            "clamp and the saw cut. Add a longer stock, join two lengths, or leave less in the "
            "clamp."
        )


class StockRunsOut(CannotCut):
    """Parts that only a limited stock yields, and more of them than it gives."""

    def __init__(self, *, part_m: float, longest_m: float, item: str = "") -> None:
        super().__init__(part_m=part_m, longest_m=longest_m, item=item)
        self.args = (
            f"{item or 'cutting'}: there are not enough bars for every part of {both(part_m)}; the "
            f"longest bar, {both(longest_m)}, is limited. Add such a stock, or join two lengths.",
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Bar:
    """Stock of one length."""

    name: str
    length_m: float
    """[m]"""
    cost: Decimal = Decimal(1)
    """Of one; 0 for an offcut that is already there."""
    limit: int | None = None
    """How many there are; None where more can be bought."""
    offcut: bool = False
    """Lies on the rack, left over from another job."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SawRules:
    """What the saw takes, and what must stay."""

    kerf_m: float
    """Width of a cut [m]."""
    trim_m: float = 0.0
    """Cut off each end before anything is measured [m]."""
    hold_m: float = 0.0
    """Shortest remainder that the clamp can hold while the last part is cut [m]."""

    @property
    def kept_m(self) -> float:
        """What no part of a bar is made of, cuts aside. [m]"""
        return 2 * self.trim_m + self.hold_m

    def longest_part_m(self, bar_m: float) -> float:
        """Longest part that a bar gives: a part that ends at the bar's own end needs no cut. [m]

        >>> rules = SawRules(kerf_m=0.003, trim_m=0.005)
        >>> round(rules.longest_part_m(2.4), 4), SawRules(kerf_m=0.003).longest_part_m(2.4)
        (2.387, 2.4)
        """
        return bar_m - self.kept_m - self.kerf_m if self.kept_m else bar_m


@dataclass(frozen=True, slots=True, kw_only=True)
class CutBar:
    """So many bars cut alike."""

    stock: str
    length_m: float
    """[m]"""
    count: int
    parts: tuple[tuple[float, int], ...]
    """Length [m] and count of the parts from one bar, longest first."""
    left_m: float
    """What remains of one after its trims and cuts [m]."""
    offcut: bool = False
    """From the rack, not bought."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CuttingPlan:
    """Every part, each cut once."""

    bars: tuple[CutBar, ...]
    rules: SawRules
    cost: Decimal
    proved: bool
    """True where no plan can cost less; False where only a bound is known."""

    @property
    def count(self) -> int:
        """Bars taken."""
        return sum(bar.count for bar in self.bars)


class CutProblem:
    """Lengths as whole nanometres, so that sixteenths of an inch and millimetres both add up
    exactly."""

    def __init__(
        self,
        lengths: list[float],
        need: list[int],
        stock: Sequence[Bar],
        rules: SawRules,
        item: str = "",
    ) -> None:
        self.lengths, self.need, self.stock, self.rules, self.item = (
            lengths,
            need,
            stock,
            rules,
            item,
        )
        kerf = round(rules.kerf_m * NM)
        keeps = round(rules.kept_m * NM)
        self.sizes = [round(length * NM) + kerf for length in lengths]
        self.room = [round(bar.length_m * NM) - keeps + (0 if keeps else kerf) for bar in stock]

    def check(self) -> None:
        if self.sizes[0] > max(self.room):
            longest = self.rules.longest_part_m(max(bar.length_m for bar in self.stock))
            raise CannotCut(part_m=self.lengths[0], longest_m=longest, item=self.item)


def cost_of(task: CutProblem, chosen: Mapping[Pattern, int]) -> Decimal:
    return sum((task.stock[b].cost * n for (b, _), n in chosen.items()), Decimal(0))


def fullest(
    sizes: list[int], worth: list[float], most: list[int], room: int
) -> tuple[float, tuple[int, ...]]:
    """The bar's most valuable filling, by branch and bound over lengths in order of worth per
    length."""
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
            fill(
                place + 1,
                left - n * sizes[i],
                value + n * worth[i],
                {**taken, i: n} if n else taken,
            )

    fill(0, room, 0.0, {})
    return best[0], tuple(best[1].get(i, 0) for i in range(len(sizes)))
