"""Kinds of piece that a shop's file need not name before one can be built: the trade's usual ones,
planning values."""

from __future__ import annotations

from decimal import Decimal

from roomcheck.job import Need, PorousCore, StockPiece
from roomcheck.units import M_PER_IN

_WOOL = "mineral wool board, 24 x 48 x 2 in"
_COMMON = (
    Need(item="plywood 3/4 in", amount=1.25),
    Need(item="screw #10 x 2-1/2 in", amount=6),
    Need(item="staples and finish nails", amount=1),
    Need(item="wood glue", amount=4),
)


def _box(
    kind: str,
    weight_kg: float,
    needs: tuple[Need, ...],
    front_m: float,
    slat_m: float = 0.0,
    hole_m: float = 0.0,
) -> StockPiece:
    return StockPiece(
        name=kind,
        kind=kind,  # type: ignore[arg-type]
        depth_m=5.5 * M_PER_IN,
        weight_kg=weight_kg,
        mounts=("wall",),
        core=None,
        material=None,
        build_hours=Decimal(4),
        install_hours=Decimal("0.9"),
        needs=(
            Need(item="board 1x6, pine", amount=12.25),
            Need(item=_WOOL, amount=1),
            Need(item="plywood 1/2 in", amount=8),
            *_COMMON,
            Need(item="finish", amount=1),
            *needs,
        ),
        turns=False,
        drawn=True,
        fill_m=2 * M_PER_IN,
        width_m=24 * M_PER_IN,
        height_m=48 * M_PER_IN,
        cell_m=slat_m,
        hole_m=hole_m,
        front_m=front_m,
    )


TEMPLATES: dict[str, StockPiece] = {
    "slatted box": _box(
        "slatted box",
        16.0,
        (Need(item="board 1x3, pine", amount=34),),
        slat_m=2.5 * M_PER_IN,
        hole_m=0.25 * M_PER_IN,
        front_m=0.75 * M_PER_IN,
    ),
    "perforated box": _box(
        "perforated box",
        15.0,
        (Need(item="plywood 1/4 in", amount=8),),
        slat_m=1.0 * M_PER_IN,
        hole_m=0.1875 * M_PER_IN,
        front_m=0.25 * M_PER_IN,
    ),
    "membrane trap": _box(
        "membrane trap", 15.0, (Need(item="plywood 1/4 in", amount=8),), front_m=0.25 * M_PER_IN
    ),
    "corner stack": StockPiece(
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
        needs=(
            Need(item=_WOOL, amount=6),
            Need(item="board 1x3, pine", amount=20),
            Need(item="face fabric", amount=3),
            *_COMMON,
        ),
        turns=False,
        drawn=True,
    ),
}
"""By kind, where the shop's file has none. Absorption of the boxes is not predicted: build one and
measure it."""
