"""What holds the pieces to the room, as it is bought: wall screws, anchors, hanging sets and safety
wires."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from decimal import Decimal

from roomcheck.job import FramingKind, Price, Shop, ShopMaterial, ShopPractice
from roomcheck.workshop.hanging_kinds import FixingKind
from roomcheck.workshop.results import FaceFixing, HangingLine, Stock

HUNG_ON = frozenset({ShopMaterial.ANCHOR, ShopMaterial.HANGING_SET, ShopMaterial.SAFETY_WIRE})
"""Materials that hang pieces and do nothing else."""
_INTO = {
    FixingKind.STEEL_ANCHOR: FramingKind.STEEL_STUDS,
    FixingKind.MASONRY_ANCHOR: FramingKind.MASONRY,
    FixingKind.CONCRETE_ANCHOR: FramingKind.CONCRETE,
}
_SAME_M = 0.001


def fixings_of(lines: Sequence[HangingLine]) -> dict[Stock, int]:
    """Every fixing of all pieces, by what it is."""
    found: Counter[Stock] = Counter()
    for line in lines:
        found.update(_of_one(line))
    return {stock: count for stock, count in found.items() if count}


def _of_one(line: HangingLine) -> dict[Stock, int]:
    found = Counter[Stock]()
    for fixed in line.all_fixings:
        found[_stock(fixed)] += fixed.count
    if line.fixing is FixingKind.HANGING_SET:
        found[Stock(material=ShopMaterial.SAFETY_WIRE)] += len(line.tethers)
    return found


def _stock(fixed: FaceFixing) -> Stock:
    """What a fixing is bought as."""
    if fixed.fixing is FixingKind.WOOD_SCREW:
        return Stock(
            material=ShopMaterial.SCREW,
            length_m=fixed.screw_m,
            into=FramingKind.WOOD_STUDS,
            gauge=fixed.screw,
        )
    if fixed.fixing is FixingKind.HANGING_SET:
        return Stock(material=ShopMaterial.HANGING_SET)
    return Stock(material=ShopMaterial.ANCHOR, into=_INTO[fixed.fixing])


def anchor_hours(lines: Sequence[HangingLine], practice: ShopPractice) -> Decimal:
    """What setting anchors takes on top of the pieces' hours. [h]"""
    fixings = [fixed for line in lines for fixed in line.all_fixings]
    count = sum(fixed.count for fixed in fixings if fixed.fixing in _INTO)
    return count * practice.anchor_hours


def rail_hours(lines: Sequence[HangingLine], practice: ShopPractice) -> Decimal:
    """What rails take on top of the pieces' hours. [h]"""
    return sum(line.rail is not None for line in lines) * practice.rail_hours


def fixings_priced(
    shop: Shop, fixings: Mapping[Stock, int], practice: ShopPractice
) -> tuple[dict[str, Decimal], tuple[Stock, ...]]:
    """How many of each item of the price list, and what the list does not have."""
    priced: dict[str, Decimal] = {}
    lacking = []
    for stock, count in fixings.items():
        price = _price_of(shop, stock, practice)
        if price is None:
            lacking.append(stock)
        else:
            priced[price.item] = priced.get(price.item, Decimal(0)) + count
    return priced, tuple(lacking)


def _price_of(shop: Shop, stock: Stock, practice: ShopPractice) -> Price | None:
    if stock.material is ShopMaterial.SCREW:
        return _screw(shop, stock, practice)
    alike = (p for p in shop.prices if p.material is stock.material and p.into is stock.into)
    return next(alike, None)


def _screw(shop: Shop, stock: Stock, practice: ShopPractice) -> Price | None:
    """The price of that very screw; of the usual one also a price that does not say which it is."""
    screws = [price for price in shop.prices if is_wall_screw(price, shop)]
    for price in screws:
        long_m = price.length_m or 0.0
        if price.gauge == stock.gauge and abs(long_m - (stock.length_m or 0.0)) < _SAME_M:
            return price
    if (stock.gauge, stock.length_m) != (practice.screw, practice.screw_m):
        return None
    return next((price for price in screws if not price.gauge), None)


def is_wall_screw(price: Price, shop: Shop) -> bool:
    """Whether a price is of screws into walls; in a list that does not tell them apart, any is."""
    told = any(p.into is FramingKind.WOOD_STUDS for p in shop.prices)
    if price.material is not ShopMaterial.SCREW:
        return False
    return price.into is FramingKind.WOOD_STUDS if told else not price.gauge
