"""Kinds of piece that a shop's file need not name before one can be built: the trade's usual ones,
planning values."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass, replace
from decimal import Decimal

from roomcheck.job import (
    Need,
    PieceKind,
    PorousCore,
    Price,
    Shop,
    ShopMaterial,
    StockPiece,
    Units,
    UsedFor,
)
from roomcheck.units import M_PER_IN
from roomcheck.workshop.parts.materials_list import LITRES


@dataclass(frozen=True, slots=True)
class _Need:
    """So much of a material, of the size that the shop has nearest; glue and finish in litres."""

    material: ShopMaterial
    amount: float
    thickness_m: float | None = None
    width_m: float | None = None
    used_for: UsedFor | None = None


def _plywood(inches: float, amount: float) -> _Need:
    return _Need(ShopMaterial.PLYWOOD, amount, thickness_m=inches * M_PER_IN)


def _board(inches: float, amount: float) -> _Need:
    return _Need(ShopMaterial.BOARD, amount, width_m=inches * M_PER_IN)


_COMMON = (
    _plywood(0.75, 1.25),
    _Need(ShopMaterial.SCREW, 6),
    _Need(ShopMaterial.HARDWARE, 1),
    _Need(ShopMaterial.GLUE, 4 * LITRES["fl oz"]),
)


def _box(
    kind: PieceKind,
    weight_kg: float,
    front_m: float,
    slat_m: float = 0.0,
    hole_m: float = 0.0,
) -> StockPiece:
    return StockPiece(
        name=kind,
        kind=kind,
        depth_m=5.5 * M_PER_IN,
        weight_kg=weight_kg,
        mounts=("wall",),
        core=None,
        material=None,
        build_hours=Decimal(4),
        install_hours=Decimal("0.9"),
        needs=(),
        turns=False,
        drawn=True,
        fill_m=2 * M_PER_IN,
        width_m=24 * M_PER_IN,
        height_m=48 * M_PER_IN,
        cell_m=slat_m,
        hole_m=hole_m,
        front_m=front_m,
    )


_CORE_M = 2 * M_PER_IN
_BOX_NEEDS = (
    _board(5.5, 12.25),
    _Need(ShopMaterial.CORE, 1, thickness_m=_CORE_M),
    _plywood(0.5, 8),
    *_COMMON,
    _Need(ShopMaterial.FINISH, LITRES["pint"]),
)
_THIN_FRONT = _plywood(0.25, 8)

_SLATTED = _box(
    "slatted box",
    16.0,
    slat_m=2.5 * M_PER_IN,
    hole_m=0.25 * M_PER_IN,
    front_m=0.75 * M_PER_IN,
)
_PERFORATED = _box(
    "perforated box",
    15.0,
    slat_m=1.0 * M_PER_IN,
    hole_m=0.1875 * M_PER_IN,
    front_m=0.25 * M_PER_IN,
)
_MEMBRANE = _box("membrane trap", 15.0, front_m=0.25 * M_PER_IN)
_STACK = StockPiece(
    name="corner stack",
    kind="corner stack",
    width_m=24 * M_PER_IN,
    height_m=94 * M_PER_IN,
    depth_m=12 * M_PER_IN,
    weight_kg=20.0,
    mounts=("corner",),
    core=PorousCore(thickness_m=12 * M_PER_IN, gap_m=0.0, flow_resistivity_pa_s_m2=5000.0),
    material=None,
    build_hours=Decimal("2.5"),
    install_hours=Decimal("0.5"),
    needs=(),
    turns=False,
    drawn=True,
)
_METRIC_STACK = replace(
    _STACK,
    width_m=0.6,
    height_m=2.38,
    depth_m=0.3,
    core=PorousCore(thickness_m=0.3, gap_m=0.0, flow_resistivity_pa_s_m2=5000.0),
)
"""As wide as a metric core board, as tall as one board of 2.4 m gives."""
_STACK_NEEDS = (
    _Need(ShopMaterial.CORE, 6, thickness_m=_CORE_M),
    _board(2.5, 20),
    _Need(ShopMaterial.FABRIC, 3, used_for=UsedFor.FACE),
    *_COMMON,
)
_USUAL: dict[PieceKind, tuple[StockPiece, tuple[_Need, ...]]] = {
    "slatted box": (_SLATTED, (*_BOX_NEEDS, _board(2.5, 34))),
    "perforated box": (_PERFORATED, (*_BOX_NEEDS, _THIN_FRONT)),
    "membrane trap": (_MEMBRANE, (*_BOX_NEEDS, _THIN_FRONT)),
    "corner stack": (_STACK, _STACK_NEEDS),
}
"""Absorption of the boxes is not predicted: build one and measure it."""


def usual_piece(kind: PieceKind, shop: Shop, units: Units = "imperial") -> StockPiece | None:
    """The trade's usual piece of a kind, made of what the shop buys; None where there is none.

    A material that the shop has no price for keeps the material's name, which no price has.
    """
    if kind not in _USUAL:
        return None
    piece, needs = _USUAL[kind]
    if units == "metric" and kind == "corner stack":
        piece = _METRIC_STACK
    return replace(piece, needs=tuple(_bought(need, shop) for need in needs))


def _bought(need: _Need, shop: Shop) -> Need:
    """What the shop buys for it, in the unit of its price."""
    price = _price(need, shop)
    if price is None:
        return Need(item=str(need.material), amount=need.amount)
    poured = need.material in (ShopMaterial.GLUE, ShopMaterial.FINISH)
    unit = LITRES.get(price.unit, 1.0) if poured else 1.0
    return Need(item=price.item, amount=need.amount / unit)


def _price(need: _Need, shop: Shop) -> Price | None:
    """The price of the material that is nearest in size, and of those alike the one that most
    pieces of the shop need."""
    same = [price for price in shop.prices if price.material is need.material]
    if need.used_for is not None:
        same = [price for price in same if price.used_for in (need.used_for, None)]
    used = Counter(own.item for piece in shop.stock for own in piece.needs)
    return min(same, key=lambda p: (_off_m(need, p), -used[p.item]), default=None)


def _off_m(need: _Need, price: Price) -> float:
    """How far a price's sizes are off those needed. [m]"""
    pairs = ((need.thickness_m, price.thickness_m), (need.width_m, price.width_m))
    return sum(abs(want - (size or 0.0)) for want, size in pairs if want is not None)
