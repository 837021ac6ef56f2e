"""The shop's price list as stock that can be cut: bars, sheets, boards of core."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from itertools import product
from math import ceil

from roomcheck.errors import RoomcheckError
from roomcheck.job import NEEDED_SIZES, Price, Shop, ShopMaterial, ShopPractice, StockPiece, UsedFor
from roomcheck.units import M_PER_FT, M_PER_IN
from roomcheck.workshop.cutting.sheets import rip_plan, sheets_of
from roomcheck.workshop.results import Stock

UNITS_M = {"ft": M_PER_FT, "in": M_PER_IN, "m": 1.0, "cm": 0.01}
"""Units that bars are priced in. [m]"""
LITRES = {
    "l": 1.0,
    "ml": 0.001,
    "pint": 0.473176473,
    "quart": 0.946352946,
    "gal": 3.785411784,
    "fl oz": 0.0295735295625,
}
"""Units that finish and glue are sold in. [l]"""
_AREAS = ("ft2", "ft²", "m2", "m²")
_SHEETS_FT2 = {8: (24, 48), 16: (48, 48), 32: (48, 96), 50: (60, 120)}
"""Square feet of a usual sheet: its width and length. [in]"""


class MaterialUnknown(RoomcheckError):
    """A price that a piece needs does not say what it is, or what it measures."""

    def __init__(self, *, item: str, piece: str, keys: tuple[str, ...]) -> None:
        self.item, self.piece, self.keys = item, piece, keys
        listed = " and ".join(f"`{key}`" for key in keys)
        kinds = ", ".join(kind for kind in ShopMaterial if kind is not ShopMaterial.UNKNOWN)
        such = f" (one of {kinds})" if "material" in keys else ""
        super().__init__(
            f"shop.toml: the [[price]] of {item!r} does not say what it is, so {piece!r}, which "
            f"needs it, can be neither cut nor weighed: add {listed}{such}."
        )


@dataclass(frozen=True, slots=True)
class Board:
    """A frame board of the price list."""

    stock: Stock
    thick_m: float
    """[m]"""
    wide_m: float
    """[m]"""


def prices_of(shop: Shop, piece: StockPiece) -> tuple[Price, ...]:
    """Prices of what a piece needs, in the order of its needs."""
    by_item = {price.item: price for price in shop.prices}
    return tuple(by_item[need.item] for need in piece.needs if need.item in by_item)


def refuse_unknown(shop: Shop, piece: StockPiece) -> None:
    """Refuse a piece that needs what nobody said what it is, rather than guess its weight.

    Raises
    ------
    MaterialUnknown
        Names the price and the keys that it lacks.
    """
    for price in prices_of(shop, piece):
        lacking = lacking_keys(price)
        if lacking:
            raise MaterialUnknown(item=price.item, piece=piece.name, keys=lacking)


def lacking_keys(price: Price) -> tuple[str, ...]:
    """Keys without which nothing of a material can be cut or weighed."""
    if price.material is ShopMaterial.UNKNOWN:
        return ("material",)
    sizes = {
        "thickness": price.thickness_m,
        "width": price.width_m,
        "length": price.length_m,
    }
    return tuple(key for key in NEEDED_SIZES.get(price.material, ()) if sizes[key] is None)


def stock_of(price: Price) -> Stock:
    """What a part of this material is cut from."""
    return Stock(
        material=price.material,
        item=price.item,
        thickness_m=price.thickness_m,
        width_m=price.width_m,
        length_m=price.length_m,
        density_kg_m3=price.density_kg_m3,
        mass_kg_m2=price.mass_kg_m2,
    )


def stock_for(
    shop: Shop, piece: StockPiece, material: ShopMaterial, purpose: UsedFor | None = None
) -> Stock | None:
    """The piece's own stock of a material, else the shop's; for a purpose, or for either."""
    for prices in (prices_of(shop, piece), shop.prices):
        here = [price for price in prices if price.material is material]
        for use in (purpose, None):
            for price in here:
                if price.used_for is use:
                    return stock_of(price)
    return None


def boards_of(shop: Shop, piece: StockPiece) -> tuple[Board, ...]:
    """Frame boards among a piece's needs, widest first."""
    boards = [
        Board(stock_of(price), price.thickness_m, price.width_m)
        for price in prices_of(shop, piece)
        if price.material is ShopMaterial.BOARD and price.thickness_m and price.width_m
    ]
    return tuple(sorted(boards, key=lambda board: -board.wide_m))


def boards_on_sale(shop: Shop, thick_m: float) -> tuple[Board, ...]:
    """Every board of the price list of one thickness."""
    return tuple(
        Board(stock_of(price), price.thickness_m, price.width_m)
        for price in shop.prices
        if price.material is ShopMaterial.BOARD
        and price.thickness_m
        and price.width_m
        and abs(price.thickness_m - thick_m) < 0.001
    )


def bar_m(price: Price, practice: ShopPractice) -> float | None:
    """Length of one bar of a material sold by length or by the stick; None for everything else. [m]

    A stick is as long as its price says, else as the practice's first; a board as its pack.
    """
    if price.material is ShopMaterial.STICK:
        return price.length_m or practice.stock_m[0]
    by_length = price.material in (ShopMaterial.BOARD, ShopMaterial.SLAT)
    return float(price.pack) * UNITS_M[price.unit] if by_length and price.unit in UNITS_M else None


def bars_bought(price: Price, bars: int) -> Decimal:
    """So many bars, in the units of the price."""
    return Decimal(bars) if price.material is ShopMaterial.STICK else bars * price.pack


def sheet_m(price: Price, practice: ShopPractice) -> tuple[float, float] | None:
    """Width and length of one sheet of plywood: as its price says, else by its pack in square feet,
    else the practice's; None for everything else. [m]"""
    if price.material is not ShopMaterial.PLYWOOD or price.unit not in _AREAS:
        return None
    if price.width_m and price.length_m:
        return price.width_m, price.length_m
    size = _SHEETS_FT2.get(int(price.pack)) if price.unit in ("ft2", "ft²") else None
    return (size[0] * M_PER_IN, size[1] * M_PER_IN) if size else practice.sheet_m


def core_m(price: Price) -> tuple[float, float] | None:
    """Width and length of one core board; None for everything else. [m]"""
    if price.material is not ShopMaterial.CORE or not (price.width_m and price.length_m):
        return None
    return price.width_m, price.length_m


def core_grid(
    area_m: tuple[float, float], board_m: tuple[float, float, float], layers: int
) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Widths and heights of the parts that fill a frame out of the fewest whole boards. [m]

    Equal parts, or whole boards and what remains, each way round; the fewest boards for all layers
    together, then the fewest parts.
    """
    layouts = list(_layouts(area_m, board_m))
    return min(layouts, key=lambda layout: _boards_and_parts(layout, board_m, layers))


def core_parts(
    area_m: tuple[float, float], board_m: tuple[float, float, float], layers: int
) -> tuple[tuple[int, tuple[float, float]], ...]:
    """Parts of `core_grid`: how many of each size in one layer. [m]

    Parameters
    ----------
    area_m : (width, height)
        Of the frame's inside that is filled. [m]
    board_m : (width, length, thickness)
        [m]
    layers : int
        Of all pieces together.

    Examples
    --------
    >>> inch = 0.0254
    >>> long_panel = (22.375 * inch, 58.375 * inch)
    >>> board = (24 * inch, 48 * inch, 2 * inch)
    >>> parts = core_parts(long_panel, board, 20)
    >>> [(n, round(a / inch, 3), round(b / inch, 3)) for n, (a, b) in parts]
    [(1, 22.375, 48.0), (1, 22.375, 10.375)]
    """
    columns, rows = core_grid(area_m, board_m, layers)
    sizes = Counter((wide, high) for wide in columns for high in rows)
    return tuple((count, size) for size, count in sizes.items())


def _layouts(
    area_m: tuple[float, float], board_m: tuple[float, float, float]
) -> Iterator[tuple[tuple[float, ...], tuple[float, ...]]]:
    across, along = area_m
    for wide, long in ((board_m[0], board_m[1]), (board_m[1], board_m[0])):
        yield from product(_splits(across, wide), _splits(along, long))


def _splits(side_m: float, board_m: float) -> Iterator[tuple[float, ...]]:
    """A side in equal parts, or in whole boards and the rest. [m]"""
    parts = max(ceil((side_m - 1e-6) / board_m), 1)
    yield (side_m / parts,) * parts
    rest_m = side_m - (parts - 1) * board_m
    if parts > 1 and rest_m < board_m - 1e-6:
        yield (*((board_m,) * (parts - 1)), rest_m)


def _boards_and_parts(
    layout: tuple[tuple[float, ...], tuple[float, ...]],
    board_m: tuple[float, float, float],
    layers: int,
) -> tuple[int, int]:
    sizes = list(product(*layout))
    return sheets_of(rip_plan(sizes * layers, board_m[:2], 0.0)), len(sizes)
