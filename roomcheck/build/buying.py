"""What to buy, in whole packs: what the pieces need with waste, and never less than the cutting plans take."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal

from roomcheck.build.materials_list import bar_m, bars_bought, core_board_m, is_stick
from roomcheck.build.results import FabricPlan, MaterialPlan, PieceSheet, Purchase, SheetPlan
from roomcheck.build.stock_plans import OFFCUT, ROLL_M, all_cuts
from roomcheck.errors import RoomcheckError
from roomcheck.job import Price, Shop, StockPiece
from roomcheck.job.practice import Practice
from roomcheck.units import M_PER_FT, format_length

_UNIT_M = {"ft": M_PER_FT, "in": M_PER_FT / 12, "m": 1.0, "cm": 0.01}


class NotInStock(RoomcheckError):
    """The plan names something that the shop's file does not have."""

    def __init__(self, *, kind: str, name: str, known: tuple[str, ...]) -> None:
        self.kind, self.name, self.known = kind, name, known
        listed = ", ".join(known) or "nothing"
        super().__init__(f"shop.toml: no {kind} called {name!r}; it has {listed}. Add it there or change the plan.")


@dataclass(frozen=True)
class Plans:
    """Everything that is cut, by material."""

    bars: tuple[MaterialPlan, ...]
    panels: tuple[SheetPlan, ...]
    fabrics: tuple[FabricPlan, ...]

    def drawn(self, price: Price) -> Decimal | None:
        """What the drawn parts take, in the price's unit; None where nothing is drawn from it."""
        for fabric in self.fabrics:
            if fabric.item == price.item:
                return Decimal(repr(round(fabric.length_m / ROLL_M[price.unit], 4)))
        for panel in self.panels:
            if panel.item == price.item:
                return Decimal(panel.sheets) if core_board_m(price.item) else panel.sheets * price.pack
        return None


def purchases(
    shop: Shop, pieces: Sequence[StockPiece], sheets: Sequence[PieceSheet], plans: Plans, practice: Practice
) -> tuple[Purchase, ...]:
    """Materials of all pieces in whole packs, in the order of the price list.

    Raises
    ------
    NotInStock
        A piece needs something that has no price.
    """
    cut = {cut.stock for cut in all_cuts(sheets)}
    net: dict[str, Decimal] = defaultdict(Decimal)
    for piece in pieces:
        for need in piece.needs:
            if not (piece.drawn and need.item in cut):
                # Nine places: what a person typed, without the tail of a binary number.
                net[need.item] += Decimal(repr(round(need.amount, 9)))
    known = {price.item: price for price in shop.prices}
    for item in net:
        if item not in known:
            raise NotInStock(kind="price", name=item, known=tuple(known))
    bars = {plan.item: plan for plan in plans.bars}
    found: list[Purchase] = []
    for item, price in known.items():
        if item in bars:
            found += _bars(price, net[item], bars[item], practice)
            continue
        drawn = plans.drawn(price)
        if net[item] > 0 or drawn:
            found.append(_purchase(price, net[item], drawn))
    return tuple(found)


def unpriced(shop: Shop, sheets: Sequence[PieceSheet]) -> tuple[str, ...]:
    """Stock of the cut lists that has no price."""
    known = {price.item for price in shop.prices}
    return tuple(dict.fromkeys(cut.stock for cut in all_cuts(sheets) if cut.stock not in known))


def _bars(price: Price, net: Decimal, material: MaterialPlan, practice: Practice) -> list[Purchase]:
    """Sticks and boards, one line a length; offcuts cost nothing and are not bought."""
    usual = bar_m(price, practice)
    counts = Counter[float]()
    rack = False
    for bar in material.plan.bars:
        if bar.stock.startswith(OFFCUT):
            rack = True
        else:
            counts[bar.length_m] += bar.count
    found = []
    alone = not price.also and not rack
    taken = sum((count for length, count in counts.items() if length == usual), 0)
    if taken or (alone and net > 0):
        found.append(_purchase(price, net if alone else Decimal(0), bars_bought(price, taken)))
    for other in price.also:
        if counts[other.length_m]:
            found.append(_other_length(price, other.length_m, other.price, counts[other.length_m]))
    return found


def _other_length(price: Price, length_m: float, each: Decimal, bars: int) -> Purchase:
    units = "imperial" if price.unit in ("ft", "in", "stick") else "metric"
    name = f"{price.item}, {format_length(length_m, units)}"  # type: ignore[arg-type]
    pack = Decimal(1) if is_stick(price) else Decimal(repr(round(length_m / _UNIT_M[price.unit], 6)))
    waste = (bars * (1 + price.waste_pct / 100)).to_integral_value(rounding=ROUND_CEILING)
    return Purchase(
        item=name,
        unit=price.unit,
        net=bars * pack,
        with_waste=waste * pack,
        packs=int(waste),
        pack=pack,
        cost=waste * each,
        left=(waste - bars) * pack,
    )


def _purchase(price: Price, net: Decimal, planned: Decimal | None) -> Purchase:
    """Net as the piece says it; never fewer packs than the drawing takes."""
    drawn = net if planned is None else planned
    net = net or drawn
    roll = price.unit in ROLL_M
    # Bars and sheets of a plan hold their own offcuts; fabric has waste on top of what was nested.
    with_waste = max(net * (1 + price.waste_pct / 100), drawn * (1 + price.waste_pct / 100) if roll else drawn)
    packs = int((with_waste / price.pack).to_integral_value(rounding=ROUND_CEILING))
    return Purchase(
        item=price.item,
        unit=price.unit,
        net=net,
        with_waste=with_waste,
        packs=packs,
        pack=price.pack,
        cost=packs * price.price,
        left=packs * price.pack - max(net, drawn),
    )
