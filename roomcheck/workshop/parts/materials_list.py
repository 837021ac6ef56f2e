"""The shop's price list, read as stock that can be cut: bars, sheets, boards of core."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from math import ceil

from roomcheck.job import Practice, Price, Shop, StockPiece
from roomcheck.units import M_PER_FT, M_PER_IN, LengthError, parse_length

_UNITS_M = {"ft": M_PER_FT, "in": M_PER_IN, "m": 1.0, "cm": 0.01, "yd": 3 * M_PER_FT}
_SHEETS_FT2 = {8: (24, 48), 16: (48, 48), 32: (48, 96), 50: (60, 120)}
_DRESSED_IN = {1: 0.75, 2: 1.5, 3: 2.5, 4: 3.5, 5: 4.5, 6: 5.5, 8: 7.25, 10: 9.25, 12: 11.25}
"""Nominal inches to dressed inches, softwood, dry (PS 20); 1 is a thickness, 2 either. 5, 10 and 12
from memory."""


_WIDEST_BOARD_MM = 400
_SHORTEST_STICK_M = 0.5
_MM = {"mm": 0.001, **_UNITS_M}


@dataclass(frozen=True, slots=True)
class Board:
    """A frame board of the price list. [m]"""

    item: str
    thick_m: float
    wide_m: float


def dressed_m(item: str) -> tuple[float, float] | None:
    """Thickness and width of a board, from its nominal size or its true one; None where its name
    has none. [m]

    >>> [round(side / 0.0254, 3) for side in dressed_m("board 1x6, pine")]
    [0.75, 5.5]
    >>> dressed_m("board 18 x 140 mm, spruce")
    (0.018, 0.14)
    """
    true = re.search(r"(?<![\dx×.])\s*([\d.]+)\s*[x×]\s*([\d.]+)\s*mm\b", item)
    if true is not None and not re.search(r"[x×]\s*[\d.]+\s*[x×]", item):
        thick, wide = sorted((float(true[1]), float(true[2])))
        return (thick / 1000, wide / 1000) if wide <= _WIDEST_BOARD_MM else None
    found = re.search(r"\b([12])\s*[x×]\s*(\d+)\b", item)
    if found is None or int(found[2]) not in _DRESSED_IN:
        return None
    nominal_thick, nominal_wide = int(found[1]), int(found[2])
    across = 1.5 if nominal_wide == 2 else _DRESSED_IN[nominal_wide]
    return (0.75 if nominal_thick == 1 else 1.5) * M_PER_IN, across * M_PER_IN


def is_stick(price: Price) -> bool:
    return "stick" in price.item.lower() or price.unit == "stick"


def boards_of(shop: Shop, piece: StockPiece) -> tuple[Board, ...]:
    """Frame boards among a piece's needs, widest first."""
    prices = {price.item: price for price in shop.prices}
    found = []
    for need in piece.needs:
        size = dressed_m(need.item)
        if size is not None and need.item in prices and not is_stick(prices[need.item]):
            found.append(Board(need.item, *size))
    return tuple(sorted(found, key=lambda b: -b.wide_m))


def item_named(shop: Shop, piece: StockPiece, words: Iterable[str], otherwise: str) -> str:
    """The piece's need whose name holds all the words; `otherwise` where there is none."""
    wanted = tuple(words)
    for need in piece.needs:
        if all(word in need.item.lower() for word in wanted):
            return need.item
    return otherwise


def bar_m(price: Price, practice: Practice) -> float | None:
    """Length of one bar of a material sold by length or by the stick; None for everything else. [m]

    The longest size that a stick's name gives is its length.
    """
    if is_stick(price):
        found = [
            float(n) * _MM[unit]
            for n, unit in re.findall(r"([\d.]+)\s*(ft|mm|cm|m|in)\b", price.item)
        ]
        long = max(found, default=0.0)
        return long if long > _SHORTEST_STICK_M else practice.stock_m[0]
    if price.unit in ("ft", "m", "in", "cm") and dressed_m(price.item) is not None:
        return float(price.pack) * _UNITS_M[price.unit]
    return None


def bars_bought(price: Price, bars: int) -> Decimal:
    """So many bars, in the units of the price."""
    return Decimal(bars) if is_stick(price) else bars * price.pack


def sheet_m(price: Price, practice: Practice) -> tuple[float, float] | None:
    """Width and length of one sheet of a material sold by area: as its name gives them, "plywood 12
    mm, 1220 x 2440 mm", else by its pack in square feet, else the practice's; None for everything
    else. [m]"""
    if price.unit not in ("ft2", "ft²", "m2", "m²"):
        return None
    named = re.search(r"([\d.]+)\s*[x×]\s*([\d.]+)\s*(mm|cm|m|in|ft)\b", price.item)
    if named is not None:
        sides = sorted(float(named[i]) * _MM[named[3]] for i in (1, 2))
        if sides[0] > 0.2:
            return sides[0], sides[1]
    size = _SHEETS_FT2.get(int(price.pack)) if price.unit.startswith("ft") else None
    return (size[0] * M_PER_IN, size[1] * M_PER_IN) if size else practice.sheet_m


def core_board_m(item: str) -> tuple[float, float, float] | None:
    """Width, length and thickness of a core board from its name; None where it has none. [m]

    >>> [round(side / 0.0254, 3) for side in core_board_m("mineral wool board, 24 x 48 x 2 in")]
    [24.0, 48.0, 2.0]
    """
    found = re.search(r"([\d.]+)\s*[x×]\s*([\d.]+)\s*[x×]\s*([\d.]+)\s*(in|mm|cm|m)\b", item)
    if found is None:
        return None
    unit = 0.001 if found[4] == "mm" else _UNITS_M[found[4]]
    a, b, thick = (float(found[i]) * unit for i in (1, 2, 3))
    return min(a, b), max(a, b), thick


def core_boards(
    area_m: tuple[float, float], board_m: tuple[float, float, float]
) -> tuple[int, tuple[float, float]]:
    """Equal parts that fill a frame out of the fewest whole boards: how many in one layer, and
    their size. [m]

    >>> core_boards((46.375 * 0.0254, 70.375 * 0.0254), (24 * 0.0254, 48 * 0.0254, 0.05))[0]
    3
    """
    across, along = area_m
    ways = []
    for wide, long in ((board_m[0], board_m[1]), (board_m[1], board_m[0])):
        columns, rows = (
            max(ceil((side - 1e-6) / size), 1) for side, size in ((across, wide), (along, long))
        )
        ways.append((columns * rows, (across / columns, along / rows)))
    return min(ways)


def thickness_m(stock: str) -> float | None:
    """Thickness that a stock's name gives, "plywood 1/2 in"; None where it gives none. [m]

    >>> round(thickness_m("plywood 1/2 in") / 0.0254, 3)
    0.5
    """
    found = re.search(r"(\d[\d ./]*)\s*(in|mm|cm)\b", stock)
    try:
        return parse_length(f"{found[1].strip()} {found[2]}") if found else None
    except LengthError:
        return None
