"""What to buy, in whole packs: what the pieces need with waste, and never less than the cutting
plans take."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import ROUND_CEILING, Decimal

from roomcheck.errors import RoomcheckError
from roomcheck.job import Price, Shop, ShopMaterial, ShopPractice, StockPiece
from roomcheck.units import format_length
from roomcheck.workshop.parts.materials_list import LITRES, UNITS_M, bar_m, bars_bought, sheet_m
from roomcheck.workshop.results import (
    FabricPlan,
    MaterialPlan,
    PieceSheet,
    Purchase,
    SheetPlan,
    Stock,
)
from roomcheck.workshop.sheet.fixings_bought import HUNG_ON, is_wall_screw
from roomcheck.workshop.sheet.stock_plans import ROLL_M, all_cuts

_NOT_WHOLE = (ShopMaterial.FABRIC, ShopMaterial.CORE)
"""Materials whose plans do not hold their own waste."""


class NotInStock(RoomcheckError):
    """The plan names something that the shop's file does not have."""

    def __init__(self, *, kind: str, name: str, known: tuple[str, ...]) -> None:
        self.kind, self.name, self.known = kind, name, known
        listed = ", ".join(known) or "nothing"
        super().__init__(
            f"shop.toml: no {kind} called {name!r}; it has {listed}. Add it there or change the "
            "plan."
        )


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
                return (
                    Decimal(panel.sheets)
                    if price.material is ShopMaterial.CORE
                    else panel.sheets * price.pack
                )
        return None


def purchases(
    shop: Shop,
    pieces: Sequence[StockPiece],
    sheets: Sequence[PieceSheet],
    plans: Plans,
    practice: ShopPractice,
    fixings: Mapping[str, Decimal] | None = None,
) -> tuple[Purchase, ...]:
    """Materials of all pieces in whole packs, in the order of the price list.

    `fixings` says how many of each item hold the pieces to the room; None takes what every piece
    names itself, for pieces that hang nowhere yet.

    Raises
    ------
    NotInStock
        A piece needs something that has no price.
    """
    known = {price.item: price for price in shop.prices}
    net = _net(shop, pieces, sheets, fixings)
    for item in net:
        if item not in known:
            raise NotInStock(kind="price", name=item, known=tuple(known))
    bars = {plan.item: plan for plan in plans.bars}
    found: list[Purchase] = []
    for item, price in known.items():
        parts = _parts(price, sheets, practice)
        if item in bars:
            if price.material is ShopMaterial.STICK:
                parts = Decimal(bars[item].plan.count)
            found += _bars(price, parts, bars[item], practice)
        else:
            found += _others(price, net[item], parts, plans.drawn(price))
    return tuple(found)


def _net(
    shop: Shop,
    pieces: Sequence[StockPiece],
    sheets: Sequence[PieceSheet],
    fixings: Mapping[str, Decimal] | None,
) -> dict[str, Decimal]:
    """What all pieces name of every item, and what holds them to the room. [unit]"""
    cut = {cut.stock.item for cut in all_cuts(sheets)}
    prices = {price.item: price for price in shop.prices}
    framed = {
        sheet.piece
        for sheet in sheets
        if any(cut.stock.material is ShopMaterial.BOARD for cut in sheet.cuts)
    }
    hung_on = set() if fixings is None else {p.item for p in shop.prices if _hangs(p, shop)}
    net: dict[str, Decimal] = defaultdict(Decimal)
    for piece in pieces:
        for need in piece.needs:
            drawn = piece.drawn and need.item in cut
            if piece.drawn and piece.name in framed and need.item in prices:
                # Asked deeper, it is framed with another board than the one that it names.
                drawn = drawn or prices[need.item].material is ShopMaterial.BOARD
            if not drawn and need.item not in hung_on:
                # Nine places: what a person typed, without the tail of a binary number.
                net[need.item] += Decimal(repr(round(need.amount, 9)))
    for item, count in (fixings or {}).items():
        net[item] += count
    for item, amount in _finish(shop, pieces, sheets).items():
        net[item] = amount
    return net


def _finish(
    shop: Shop, pieces: Sequence[StockPiece], sheets: Sequence[PieceSheet]
) -> dict[str, Decimal]:
    """Finish as the steps of all pieces say it, in the unit that it is sold in. [unit]"""
    litres = {sheet.piece: sheet.finish_l for sheet in sheets}
    found: dict[str, float] = defaultdict(float)
    for piece in pieces:
        needed = {need.item for need in piece.needs}
        for price in shop.prices:
            finish = price.material is ShopMaterial.FINISH and price.unit in LITRES
            if finish and price.item in needed and litres[piece.name] > 0:
                found[price.item] += litres[piece.name] / LITRES[price.unit]
    return {item: Decimal(repr(round(amount, 4))) for item, amount in found.items()}


def _others(price: Price, net: Decimal, parts: Decimal, drawn: Decimal | None) -> list[Purchase]:
    """Everything that is not sold by the bar."""
    if drawn is not None and price.material is ShopMaterial.PLYWOOD:
        used = min(parts, drawn)  # the rest comes off the rack
        return [_bought(price, used, drawn, _packs(price, drawn))] if drawn else []
    if net > 0 or drawn:
        return [_purchase(price, max(net, parts), drawn)]
    return []


def _hangs(price: Price, shop: Shop) -> bool:
    """Whether a price is of what holds pieces to the room."""
    return price.material in HUNG_ON or is_wall_screw(price, shop)


def _parts(price: Price, sheets: Sequence[PieceSheet], practice: ShopPractice) -> Decimal:
    """What the parts themselves take of boards by length or of sheets by area, in the price's unit;
    0 for the rest."""
    cuts = [cut for cut in all_cuts(sheets) if cut.stock.item == price.item]
    if price.unit in UNITS_M and bar_m(price, practice) is not None:
        return Decimal(
            repr(round(sum(c.count * c.length_m for c in cuts) / UNITS_M[price.unit], 4))
        )
    sheet = sheet_m(price, practice)
    if sheet is None:
        return Decimal(0)
    share = sum(c.count * c.length_m * c.width_m for c in cuts) / (sheet[0] * sheet[1])
    return Decimal(repr(round(share * float(price.pack), 4)))


def unpriced(sheets: Sequence[PieceSheet]) -> tuple[Stock, ...]:
    """Stock of the cut lists that has no price."""
    return tuple(dict.fromkeys(cut.stock for cut in all_cuts(sheets) if not cut.stock.item))


def _bars(
    price: Price, net: Decimal, material: MaterialPlan, practice: ShopPractice
) -> list[Purchase]:
    """Sticks and boards, one line a length: what the plan cuts and no more; offcuts cost nothing
    and are not bought."""
    usual = bar_m(price, practice)
    counts = Counter[float]()
    planned, rack = Decimal(0), False
    for bar in material.plan.bars:
        planned += bar.count * _bar_units(price, bar.length_m)
        if bar.offcut:
            rack = True
        else:
            counts[bar.length_m] += bar.count
    found = []
    alone = not price.also and not rack
    taken = sum((count for length, count in counts.items() if length == usual), 0)
    if taken:
        bought = bars_bought(price, taken)
        used = min(net, planned) if alone else bought
        found.append(_bought(price, used, bought, _packs(price, bought)))
    for other in price.also:
        if counts[other.length_m]:
            found.append(_other_length(price, other.length_m, other.price, counts[other.length_m]))
    return [replace(line, reserve=_reserve(price, line.packs)) for line in found]


def _reserve(price: Price, packs: int) -> int:
    """Bars to take along on top for knots and bow, by the price's waste; they go back unopened."""
    share = packs * price.waste_pct / 100
    return int(share.to_integral_value(rounding=ROUND_CEILING))


def _packs(price: Price, amount: Decimal) -> int:
    return int((amount / price.pack).to_integral_value(rounding=ROUND_CEILING))


def _bar_units(price: Price, length_m: float) -> Decimal:
    """One bar of a length in the price's unit."""
    return (
        Decimal(1)
        if price.material is ShopMaterial.STICK
        else Decimal(repr(round(length_m / UNITS_M[price.unit], 6)))
    )


def _other_length(price: Price, length_m: float, each: Decimal, bars: int) -> Purchase:
    units = "imperial" if price.unit in ("ft", "in", "stick") else "metric"
    name = f"{price.item}, {format_length(length_m, units)}"  # type: ignore[arg-type]
    pack = _bar_units(price, length_m)
    amount = bars * pack
    return Purchase(
        item=name,
        unit=price.unit,
        net=amount,
        with_waste=amount,
        packs=bars,
        pack=pack,
        cost=bars * each,
        left=Decimal(0),
        supplier=price.supplier,
        material=price.material,
    )


def _purchase(price: Price, net: Decimal, planned: Decimal | None) -> Purchase:
    """Net as the piece says it; never fewer packs than the drawing takes."""
    drawn = net if planned is None else planned
    stated, net = net, net or drawn
    # Whole bars and sheets of a plan hold their own offcuts, and sticks their spare blocks; fabric
    # and core boards do not.
    whole = planned is not None and price.material not in _NOT_WHOLE
    if stated == 0 and whole:
        return _bought(
            price, drawn, drawn, int((drawn / price.pack).to_integral_value(rounding=ROUND_CEILING))
        )
    net = net if whole else max(net, drawn)
    with_waste = max(net * (1 + price.waste_pct / 100), drawn)
    packs = int((with_waste / price.pack).to_integral_value(rounding=ROUND_CEILING))
    return _bought(price, net, with_waste, packs, used=max(net, drawn))


def _bought(
    price: Price, net: Decimal, with_waste: Decimal, packs: int, used: Decimal | None = None
) -> Purchase:
    return Purchase(
        item=price.item,
        unit=price.unit,
        net=net,
        with_waste=with_waste,
        packs=packs,
        pack=price.pack,
        cost=packs * price.price,
        left=packs * price.pack - (net if used is None else used),
        supplier=price.supplier,
        material=price.material,
    )
