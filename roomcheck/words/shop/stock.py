"""Names of what stands behind a wall, of what the shop buys and of what it cuts."""

from __future__ import annotations

from collections.abc import Sequence

from roomcheck.facts import fact
from roomcheck.job import FramingKind, ShopMaterial, Units, UsedFor
from roomcheck.words.numbers import size
from roomcheck.words.reader import Reader
from roomcheck.words.saying import register, sentence
from roomcheck.workshop import Stock


def stock_name(stock: Stock, reader: Reader) -> str:
    """The price's own name, else the material with its thickness."""
    if stock.item:
        return stock.item
    name: str = sentence(fact(stock.material), reader)
    if stock.gauge and stock.length_m is not None:
        return f"{name} {stock.gauge} × {size(stock.length_m, reader)}"
    if stock.into is not None:
        return f"{name} for {sentence(fact(stock.into), reader)}"
    if stock.used_for is UsedFor.BACK:
        name = f"backing {name}"
    if stock.thickness_m is None:
        return name
    return f"{name} {size(stock.thickness_m, reader)}"


def stock_names(stocks: Sequence[Stock], units: Units) -> list[str]:
    """Each with its name."""
    return [stock_name(stock, Reader(units=units)) for stock in stocks]


def _wood_studs(_: Reader, ceiling: bool = False) -> str:
    return "wood joists" if ceiling else "wood studs"


def _steel_studs(_: Reader, ceiling: bool = False) -> str:
    return "steel joists" if ceiling else "steel studs"


register(
    {
        FramingKind.WOOD_STUDS: _wood_studs,
        FramingKind.STEEL_STUDS: _steel_studs,
        FramingKind.MASONRY: "masonry",
        FramingKind.CONCRETE: "concrete",
        FramingKind.GRID: "a ceiling grid",
        FramingKind.UNKNOWN: "framing of an unknown kind",
    }
)
register({material: str(material) for material in ShopMaterial})
register({UsedFor.FACE: "in front of the core", UsedFor.BACK: "behind the core"})
