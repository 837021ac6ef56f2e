"""Files of schema 1, whose walls and prices said in words what schema 2 says by key.

The only place that looks into such a text. It answers where the text is clear; where it says
nothing, two things, or leaves a doubt, the answer is unknown, and `roomcheck check` asks.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TypeVar

from roomcheck.job.model.kinds import FramingKind, ShopMaterial, UsedFor
from roomcheck.typed import LengthError, parse_length
from roomcheck.units import M_PER_FT, M_PER_IN

T = TypeVar("T")

_DOUBT = re.compile(r"\b(or|not|no|without|maybe|perhaps|probably|unknown|unsure)\b|\?", re.I)

_WOOD = r"(?:wood(?:en)?|timber|lumber|softwood|spruce|pine|fir|spf)"
_STEEL = r"(?:steel|metal|light[- ]gau?ge(?:[- ](?:steel|metal))?)"
_MEMBER = r"(?:i[- ])?(?:studs?|joists?|framing|frame|track)"
_FRAMING = {
    FramingKind.WOOD_STUDS: rf"\b{_WOOD}[- ]+{_MEMBER}\b",
    FramingKind.STEEL_STUDS: rf"\b{_STEEL}[- ]+{_MEMBER}\b",
    FramingKind.MASONRY: (
        r"\b(?:cmu|masonry|bricks?|brickwork|(?:concrete|cinder|breeze) ?blocks?"
        r"|blockwork|stonework"
        r"|stone (?:wall|masonry))\b"
    ),
    FramingKind.CONCRETE: r"\bconcrete\b(?! ?blocks?\b)",
    FramingKind.GRID: (
        r"\b(?:ceiling grid|hung grid|t-?bar|(?:suspended|hung|drop(?:ped)?) ceiling)\b"
    ),
}

_LENGTH = r"\d[\d\s./-]*(?:in|mm|cm)\b|\d[\d\s./-]*\""
_SHEATHING = (
    r"(?:gypsum|drywall|plasterboard|wallboard|plaster|osb|plywood|mdf|particle ?board|panell?ing)"
)
_LAYER = re.compile(rf"({_LENGTH})\s+(?:[\w-]+\s+)?{_SHEATHING}\b", re.I)
_SEVERAL_LAYERS = re.compile(r"\b(?:layers|double|two|twice)\b", re.I)
_SHEATHING_M = (0.003, 0.08)
"""Outside of this a thickness in front of a wall is something else. [m]"""


def framing_of(build: str) -> tuple[FramingKind, float | None]:
    """Kind of framing and thickness in front of it, from a description of a wall. [m]

    >>> framing_of("1/2 in gypsum on wood studs")
    (<FramingKind.WOOD_STUDS: 'wood studs'>, 0.0127)
    """
    return _only(_FRAMING, build) or FramingKind.UNKNOWN, _sheathing_m(build)


def _only(patterns: Mapping[T, str], text: str) -> T | None:
    """The one pattern that a text holds; None where it holds none, several, or a doubt."""
    held = [kind for kind, pattern in patterns.items() if re.search(pattern, text, re.I)]
    return held[0] if len(held) == 1 and not _DOUBT.search(text) else None


def _sheathing_m(build: str) -> float | None:
    layers = _LAYER.findall(build)
    named = re.findall(rf"\b{_SHEATHING}\b", build, re.I)
    if len(layers) != 1 or len(named) != 1 or _SEVERAL_LAYERS.search(build):
        return None
    thickness_m = _length_m(layers[0])
    least, most = _SHEATHING_M
    return thickness_m if thickness_m is not None and least <= thickness_m <= most else None


def _length_m(text: str) -> float | None:
    try:
        return parse_length(text.strip())
    except LengthError:
        return None


@dataclass(frozen=True, slots=True, kw_only=True)
class Bought:
    """What a price's name says of its material; sizes in metres, None where it does not say."""

    material: ShopMaterial = ShopMaterial.UNKNOWN
    thickness_m: float | None = None
    width_m: float | None = None
    length_m: float | None = None
    used_for: UsedFor | None = None


_BY_LENGTH_M = {"ft": M_PER_FT, "in": M_PER_IN, "m": 1.0, "cm": 0.01}
_BY_AREA = ("ft2", "ft²", "m2", "m²")
_OFF_THE_ROLL = ("yd", "m", "ft")

_MATERIALS = {
    ShopMaterial.CORE: (
        r"\b(?:mineral|rock|stone|glass|slag)[- ]?(?:wool|fib(?:re|er))\b|\bfib(?:re|er) ?glass\b"
    ),
    ShopMaterial.FELT: r"\bfelt\b(?! pads?\b)",
    ShopMaterial.FABRIC: r"\b(?:fabric|cloth)\b",
    ShopMaterial.STICK: r"\bsticks?\b",
    ShopMaterial.SLAT: r"\bslats?\b",
    ShopMaterial.PLYWOOD: r"\bplywood\b",
    ShopMaterial.SCREW: r"\bscrews?\b",
    ShopMaterial.HANGING_SET: r"\bhanging (?:set|kit)\b",
    ShopMaterial.GLUE: r"\b(?:glue|adhesive)\b",
    ShopMaterial.FINISH: (
        r"\b(?:finish(?! nails?\b)|paint|primer|stain|varnish|lacquer"
        r"|(?:linseed|tung|danish) oil)\b"
    ),
    ShopMaterial.HARDWARE: r"\b(?:staples?|nails?|brads?|brackets?|washers?|bolts?|nuts?|tape)\b",
}
_NOT_WOOD = re.compile(r"\b(?:mdf|hardboard|osb|particle|acrylic|foam|hemp|gypsum|cement)\b", re.I)


def bought(item: str, unit: str) -> Bought:
    """What a price buys, from its name and unit.

    >>> bought("mineral wool board, 24 x 48 x 2 in", "board").material
    <ShopMaterial.CORE: 'core'>
    >>> bought("hemp batt, 24 x 48 x 2 in", "batt").material
    <ShopMaterial.UNKNOWN: 'unknown'>
    """
    material = _only(_MATERIALS, item)
    if unit == "stick" and material is None:
        material = ShopMaterial.STICK
    if material is None:
        return _board(item, unit)
    sized = _SIZED.get(material)
    return sized(item, unit) if sized else Bought(material=material)


def _board(item: str, unit: str) -> Bought:
    """A board by its nominal or its true size; anything else stays unknown."""
    size = dressed_m(item)
    named = any(re.search(pattern, item, re.I) for pattern in _MATERIALS.values())
    if size is None or unit not in _BY_LENGTH_M or named or _NOT_WOOD.search(item):
        return Bought()
    return Bought(material=ShopMaterial.BOARD, thickness_m=size[0], width_m=size[1])


def _plywood(item: str, unit: str) -> Bought:
    if _NOT_WOOD.search(item) or unit not in _BY_AREA:
        return Bought()
    width, length = _sheet_m(item) or (None, None)
    return Bought(
        material=ShopMaterial.PLYWOOD,
        thickness_m=_first_m(item),
        width_m=width,
        length_m=length,
    )


def _core(item: str, _: str) -> Bought:
    size = core_board_m(item)
    width, length, thickness = size or (None, None, None)
    return Bought(material=ShopMaterial.CORE, thickness_m=thickness, width_m=width, length_m=length)


def _fabric(item: str, unit: str) -> Bought:
    """Fabric comes off a roll; emery cloth does not."""
    if unit not in _OFF_THE_ROLL:
        return Bought()
    uses = {UsedFor.BACK: r"\b(?:back|backing)\b", UsedFor.FACE: r"\b(?:face|facing|front)\b"}
    return Bought(material=ShopMaterial.FABRIC, used_for=_only(uses, item))


def _stick(item: str, _: str) -> Bought:
    """The longest size that a stick's name gives is its length."""
    sizes = re.findall(r"([\d.]+)\s*(ft|mm|cm|m|in)\b", item)
    longest = max((float(number) * _UNITS_M[unit] for number, unit in sizes), default=0.0)
    length_m = longest if longest > _SHORTEST_STICK_M else None
    return Bought(material=ShopMaterial.STICK, length_m=length_m)


def _slat(item: str, _: str) -> Bought:
    thickness, width = dressed_m(item) or (_first_m(item), None)
    return Bought(material=ShopMaterial.SLAT, thickness_m=thickness, width_m=width)


_SIZED: dict[ShopMaterial, Callable[[str, str], Bought]] = {
    ShopMaterial.PLYWOOD: _plywood,
    ShopMaterial.CORE: _core,
    ShopMaterial.FABRIC: _fabric,
    ShopMaterial.STICK: _stick,
    ShopMaterial.SLAT: _slat,
}

_DRESSED_IN = {1: 0.75, 2: 1.5, 3: 2.5, 4: 3.5, 5: 4.5, 6: 5.5, 8: 7.25, 10: 9.25, 12: 11.25}
"""Nominal inches to dressed inches, softwood, dry (PS 20); 1 is a thickness, 2 either. 5, 10 and 12
from memory."""
_WIDEST_BOARD_MM = 400
_SHORTEST_STICK_M = 0.5
_NARROWEST_SHEET_M = 0.2
_UNITS_M = {**_BY_LENGTH_M, "mm": 0.001}


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
    nominal = re.search(r"\b([12])\s*[x×]\s*(\d+)\b", item)
    if nominal is None or int(nominal[2]) not in _DRESSED_IN:
        return None
    nominal_thick, nominal_wide = int(nominal[1]), int(nominal[2])
    across = 1.5 if nominal_wide == 2 else _DRESSED_IN[nominal_wide]
    return (0.75 if nominal_thick == 1 else 1.5) * M_PER_IN, across * M_PER_IN


def core_board_m(item: str) -> tuple[float, float, float] | None:
    """Width, length and thickness of a core board from its name; None where it has none. [m]

    >>> [round(side / 0.0254, 3) for side in core_board_m("mineral wool board, 24 x 48 x 2 in")]
    [24.0, 48.0, 2.0]
    """
    sides = re.search(r"([\d.]+)\s*[x×]\s*([\d.]+)\s*[x×]\s*([\d.]+)\s*(in|mm|cm|m)\b", item)
    if sides is None:
        return None
    a, b, thick = (float(sides[i]) * _UNITS_M[sides[4]] for i in (1, 2, 3))
    return min(a, b), max(a, b), thick


def _sheet_m(item: str) -> tuple[float, float] | None:
    """Width and length of a sheet from its name, "plywood 12 mm, 1220 x 2440 mm". [m]"""
    sides = re.search(r"([\d.]+)\s*[x×]\s*([\d.]+)\s*(mm|cm|m|in|ft)\b", item)
    if sides is None:
        return None
    width, length = sorted(float(sides[i]) * _UNITS_M[sides[3]] for i in (1, 2))
    return (width, length) if width > _NARROWEST_SHEET_M else None


def _first_m(item: str) -> float | None:
    """The first size that a name gives, "plywood 1/2 in": its thickness. [m]"""
    size = re.search(r"(\d[\d ./]*)\s*(in|mm|cm)\b", item)
    return _length_m(f"{size[1].strip()} {size[2]}") if size else None
