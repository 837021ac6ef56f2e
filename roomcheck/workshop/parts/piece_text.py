"""A piece in a few words, "block diffuser 24 in x 48 in": one of the shop's own, or one of its kind
at another size."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import ROUND_CEILING, Decimal
from typing import Any, get_args

from roomcheck.errors import RoomcheckError
from roomcheck.job import Fits, Need, PieceKind, Shop, ShopMaterial, StockPiece, Units
from roomcheck.typed import LengthError, parse_length
from roomcheck.units import both
from roomcheck.workshop.parts.templates import usual_piece

LEAST_M, MOST_M = 0.025, 5.0
"""A piece's side outside of this is a slip of the pen."""
_COUNTED = (ShopMaterial.SCREW, ShopMaterial.HANGING_SET)
"""Materials that a smaller piece does not need fewer of."""


class UnknownPiece(RoomcheckError):
    """Words that name no piece."""

    def __init__(self, text: str, names: Sequence[str]) -> None:
        self.text = text
        super().__init__(
            f"{text!r} names no piece; write one of: {'; '.join(names)}; and a size if it is "
            "another one: "
            '"block diffuser 24 in x 48 in", "2 x 4 in panel 600 x 1200 mm"'
        )


class NoSuchSize(RoomcheckError):
    """A size that cannot be read, or that nobody builds."""

    def __init__(self, text: str, why: str) -> None:
        self.text, self.why = text, why
        super().__init__(f"size {text!r}: {why}")


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """So many of one piece."""

    piece: StockPiece
    count: int


def wanted(text: str, shop: Shop, units: Units = "imperial") -> Wanted:
    """Read a piece: [count x] name [width x height [x depth]].

    Parameters
    ----------
    text : str
    shop : Shop
    units : {'imperial', 'metric'}
        How the shop reads: which usual size a kind has that the shop does not stock.

    Raises
    ------
    NoSuchPiece, NoSuchSize
        Say what can be written.
    """
    found = re.match(r"\s*(\d+)\s*(?:×|x|\*)\s+(?=\S)", text, re.IGNORECASE)
    count, rest = (int(found[1]), text[found.end() :]) if found else (1, text)
    if count < 1:
        raise NoSuchSize(text, "the count must be 1 or more")
    piece, said = _named(rest.strip(), shop, units)
    if not said:
        return Wanted(piece=piece, count=count)
    fits: Fits = piece.fits
    opening = re.match(r"(?:in |for )?(?:an )?opening(?: of)?\s+", said, re.IGNORECASE)
    if opening:
        fits, said = "opening", said[opening.end() :]
    sizes = sides_m(said)
    return Wanted(piece=resized(replace(piece, fits=fits), said.strip(), sizes, shop), count=count)


def _named(text: str, shop: Shop, units: Units) -> tuple[StockPiece, str]:
    """The piece a text begins with, and what follows."""
    by_name = {piece.name: piece for piece in shop.stock}
    for kind in get_args(PieceKind):
        own = next((piece for piece in shop.stock if piece.kind == kind), None)
        by_name.setdefault(kind, own or usual_piece(kind, shop, units) or next(iter(shop.stock)))
    for name in sorted(by_name, key=len, reverse=True):
        if re.match(rf"{re.escape(name)}(?=[\s,:]|$)", text, re.IGNORECASE):
            return by_name[name], text[len(name) :].strip(" ,:")
    raise UnknownPiece(text, sorted(by_name))


def sides_m(text: str) -> tuple[float, ...]:
    """Width, height and perhaps depth; a number without a unit has that of the next one. [m]

    >>> [round(side / 0.0254, 4) for side in sides_m("19 7/8 x 37 3/16 in")]
    [19.875, 37.1875]

    Raises
    ------
    NoSuchSize
    """
    parts = [
        part.strip() for part in re.split(r"\s*(?:×|x|by)\s*", text.strip(), flags=re.IGNORECASE)
    ]
    if len(parts) not in (2, 3):
        raise NoSuchSize(text, 'write width x height, such as "24 in x 48 in" or "600 x 1200 mm"')
    found: list[float] = []
    unit = ""
    for part in reversed(parts):
        own = re.search(r"(in|inch|inches|\"|″|ft|'|mm|cm|m)\.?$", part)
        unit = own[0] if own else unit
        try:
            found.insert(0, parse_length(part if own else f"{part} {unit}"))
        except LengthError as problem:
            raise NoSuchSize(text, str(problem)) from problem
    for side in found[:2]:
        if not LEAST_M <= side <= MOST_M:
            raise NoSuchSize(
                text,
                f"a side of {both(side)}; pieces have sides from {both(LEAST_M)} to {both(MOST_M)}",
            )
    if len(found) == 3 and not 0 < found[2] <= 1.0:
        raise NoSuchSize(
            text, f"a depth of {both(found[2])}; it must be above 0, and no more than {both(1.0)}"
        )
    return tuple(found)


def resized(piece: StockPiece, said: str, sides: tuple[float, ...], shop: Shop) -> StockPiece:
    """One of its kind at another size: parts are drawn anew, the rest and the hours grow with it.

    Its weight is worked out from its parts, later.
    """
    width, height = sides[:2]
    depth = sides[2] if len(sides) == 3 else piece.depth_m
    usual = (piece.width_m, piece.height_m, piece.depth_m)
    if (
        max(abs(a - b) for a, b in zip((width, height, depth), usual, strict=True)) < 1e-6
        and piece.fits == "array"
    ):
        return piece
    area = width * height / (piece.width_m * piece.height_m)
    edge = (width + height) / (piece.width_m + piece.height_m)
    # Four fifths of the work lie in the face, one in the frame: a planning value.
    hours = piece.build_hours * Decimal(repr(round(0.8 * area + 0.2 * edge, 6)))
    counted = {price.item for price in shop.prices if price.material in _COUNTED}
    opening = "opening " if piece.fits == "opening" else ""
    return replace(
        piece,
        name=f"{piece.name} {opening}{said}",
        width_m=width,
        height_m=height,
        depth_m=depth,
        # Felt has no parts to work its weight out from.
        weight_kg=piece.weight_kg * area if piece.kind == "felt" else 0.0,
        build_hours=hours.quantize(Decimal("0.1"), rounding=ROUND_CEILING),
        needs=tuple(_scaled(need, area, counted) for need in piece.needs),
        drawn=True,
    )


def redrawn(piece: StockPiece, values: Mapping[str, Any]) -> StockPiece:
    """A diffuser with other heights, cells, pattern or seed: its parts and its weight are worked
    out anew."""
    changed = replace(piece, **values)
    if changed.steps_m == piece.steps_m and changed.cell_m == piece.cell_m:
        return changed
    cells = (piece.cell_m / changed.cell_m) ** 2 if piece.kind == "block diffuser" else 1.0
    hours = (piece.build_hours * Decimal(repr(round(cells, 6)))).quantize(
        Decimal("0.1"), rounding=ROUND_CEILING
    )
    return replace(changed, weight_kg=0.0, drawn=True, build_hours=hours)


def _scaled(need: Need, area: float, counted: set[str]) -> Need:
    if need.item in counted:
        return Need(item=need.item, amount=float(max(round(need.amount * max(area, 1.0)), 2)))
    return Need(item=need.item, amount=max(round(need.amount * area, 2), 0.01))
