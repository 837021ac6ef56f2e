"""What to buy, in whole packs: what the pieces need with waste, and never less than the cutting plans take."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence
from decimal import ROUND_CEILING, Decimal

from roomcheck.build.cutting import Bar, SawRules, cut_plan
from roomcheck.build.fabric import nest
from roomcheck.build.materials_list import bar_m, bars_bought, is_stick, sheet_m
from roomcheck.build.practice import Practice
from roomcheck.build.results import Cut, MaterialPlan, PieceSheet, Purchase, SawSetup
from roomcheck.build.sheets import rip_plan
from roomcheck.errors import RoomcheckError
from roomcheck.job import Price, Shop, StockPiece
from roomcheck.units import M_PER_FT

_ROLL_M = {"yd": 3 * M_PER_FT, "m": 1.0, "ft": M_PER_FT}


class NotInStock(RoomcheckError):
    """The plan names something that the shop's file does not have."""

    def __init__(self, *, kind: str, name: str, known: tuple[str, ...]) -> None:
        self.kind, self.name, self.known = kind, name, known
        listed = ", ".join(known) or "nothing"
        super().__init__(f"shop.toml: no {kind} called {name!r}; it has {listed}. Add it there or change the plan.")


def cutting_plans(shop: Shop, sheets: Sequence[PieceSheet], practice: Practice) -> tuple[MaterialPlan, ...]:
    """Sticks and boards of the whole job, pooled: one exact plan for each material."""
    prices = {price.item: price for price in shop.prices}
    parts: dict[str, Counter[float]] = defaultdict(Counter)
    for cut in _cuts(sheets):
        if cut.stock in prices and bar_m(prices[cut.stock], practice) is not None:
            parts[cut.stock][cut.length_m] += cut.count
    found = []
    for item, lengths in parts.items():
        price = prices[item]
        hold = practice.hold_m if is_stick(price) else 0.0
        rules = SawRules(kerf_m=shop.kerf_m, trim_m=practice.trim_m, hold_m=hold)
        length = bar_m(price, practice)
        assert length is not None
        each = price.price * bars_bought(price, 1) / price.pack
        found.append(
            MaterialPlan(item=item, plan=cut_plan(lengths, [Bar(name=item, length_m=length, cost=each)], rules))
        )
    return tuple(found)


def saw_setups(plans: Sequence[MaterialPlan], sheets: Sequence[PieceSheet]) -> tuple[SawSetup, ...]:
    """One ticket a setting of the stop, longest first, for every stick and board."""
    found = []
    for item in (plan.item for plan in plans):
        tickets: dict[float, list[tuple[str, str, int]]] = defaultdict(list)
        for sheet in sheets:
            for cut in sheet.cuts:
                if cut.stock == item:
                    tickets[cut.length_m].append((sheet.piece, cut.part, cut.count))
        for stop, parts in sorted(tickets.items(), reverse=True):
            count = sum(part[2] for part in parts)
            found.append(SawSetup(stock=item, parts=tuple(parts), stop_m=stop, count=count))
    return tuple(found)


def purchases(
    shop: Shop,
    pieces: Sequence[StockPiece],
    sheets: Sequence[PieceSheet],
    plans: Sequence[MaterialPlan],
    practice: Practice,
) -> tuple[Purchase, ...]:
    """Materials of all pieces in whole packs, in the order of the price list.

    Raises
    ------
    NotInStock
        A piece needs something that has no price.
    """
    net: dict[str, Decimal] = defaultdict(Decimal)
    for piece in pieces:
        for need in piece.needs:
            # Nine places: what a person typed, without the tail of a binary number.
            net[need.item] += Decimal(repr(round(need.amount, 9)))
    known = {price.item: price for price in shop.prices}
    for item in net:
        if item not in known:
            raise NotInStock(kind="price", name=item, known=tuple(known))
    bars = {plan.item: plan.plan.count for plan in plans}
    return tuple(
        _purchase(price, net[item], _planned(shop, price, sheets, bars, practice))
        for item, price in known.items()
        if net[item] > 0
    )


def _cuts(sheets: Sequence[PieceSheet]) -> list[Cut]:
    return [cut for sheet in sheets for cut in sheet.cuts]


def _planned(
    shop: Shop, price: Price, sheets: Sequence[PieceSheet], bars: dict[str, int], practice: Practice
) -> Decimal | None:
    """What the drawn parts take, in the price's unit; None where nothing is drawn from it."""
    if price.item in bars:
        return bars_bought(price, bars[price.item])
    parts = [cut for cut in _cuts(sheets) if cut.stock == price.item]
    sizes = [(cut.width_m, cut.length_m) for cut in parts for _ in range(cut.count)]
    if not sizes:
        return None
    if price.unit in _ROLL_M and "fabric" in price.item.lower():
        length = sum(row.length_m for row in nest(sizes, shop.fabric_roll_m, practice.selvedge_m))
        return Decimal(repr(round(length / _ROLL_M[price.unit], 4)))
    sheet = sheet_m(price, practice)
    if sheet is not None:
        return max(rip.sheet for rip in rip_plan(sizes, sheet, shop.kerf_m)) * price.pack
    return None


def _purchase(price: Price, net: Decimal, planned: Decimal | None) -> Purchase:
    """Net as the piece says it; never fewer packs than the drawing takes."""
    drawn = net if planned is None else planned
    roll = price.unit in _ROLL_M
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
