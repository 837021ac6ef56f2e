"""Names of what stands behind a wall, of what the shop buys and of what it cuts."""

from __future__ import annotations

from roomcheck.job import FramingKind, ShopMaterial, UsedFor
from roomcheck.words.reader import Reader
from roomcheck.words.saying import register


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
