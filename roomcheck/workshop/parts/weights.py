"""What a piece weighs, worked out from its parts."""

from __future__ import annotations

from collections.abc import Sequence

from roomcheck.job import ShopMaterial, ShopPractice
from roomcheck.units import KG_PER_LB
from roomcheck.workshop.kinds import Part
from roomcheck.workshop.results import BlockCount, Cut, Stock

GLUE_AND_FINISH_KG = 2 * KG_PER_LB
"""Of one diffuser (common practice, planning value)."""
_LEFT_OUT = frozenset({Part.WALL_CLEAT, Part.WALL_RAIL, Part.WALL_STRIP, Part.BLOCK})
"""What stays on the wall, and blocks, which are counted without their spares."""


def parts_kg(
    cuts: Sequence[Cut],
    blocks: Sequence[BlockCount],
    stick_m: float,
    practice: ShopPractice,
    pieces: int,
) -> float:
    """Work out the weight of one piece from its cuts, without spare blocks and wall cleats. [kg]

    Wood, plywood and core by volume, fabric by area, each with the density of its price, else the
    practice's. A diffuser has 2 lb of glue and finish on top.
    """
    total_kg = 0.0
    for cut in cuts:
        if cut.part not in _LEFT_OUT:
            area_m2 = cut.count * cut.length_m * cut.width_m
            total_kg += area_m2 * area_mass_kg_m2(cut.stock, practice)
    wood_m3 = sum(block.cells * block.height_m for block in blocks) * stick_m**2
    total_kg += wood_m3 * practice.wood_kg_m3
    relief = bool(blocks) or any(cut.part is Part.FIN for cut in cuts)
    return total_kg / pieces + (GLUE_AND_FINISH_KG if relief else 0.0)


def area_mass_kg_m2(stock: Stock, practice: ShopPractice) -> float:
    """Mass of a material per area of a part; 0 for what is not weighed. [kg/m2]"""
    if stock.material is ShopMaterial.FABRIC:
        return practice.cloth_kg_m2 if stock.mass_kg_m2 is None else stock.mass_kg_m2
    density_kg_m3 = stock.density_kg_m3
    if density_kg_m3 is None:
        usual = {
            ShopMaterial.BOARD: practice.wood_kg_m3,
            ShopMaterial.SLAT: practice.wood_kg_m3,
            ShopMaterial.PLYWOOD: practice.plywood_kg_m3,
            ShopMaterial.CORE: practice.core_kg_m3,
        }
        density_kg_m3 = usual.get(stock.material, 0.0)
    return (stock.thickness_m or 0.0) * density_kg_m3
