"""What a piece weighs, worked out from its parts."""

from __future__ import annotations

from collections.abc import Sequence

from roomcheck.job import Practice
from roomcheck.units import KG_PER_LB
from roomcheck.workshop.kinds import Part
from roomcheck.workshop.parts.materials_list import core_board_m, dressed_m, thickness_m
from roomcheck.workshop.results import BlockCount, Cut

GLUE_AND_FINISH_KG = 2 * KG_PER_LB
"""Of one diffuser (common practice, planning value)."""
_LOOSE = frozenset({Part.WALL_CLEAT, Part.WALL_STRIP})


def parts_kg(
    cuts: Sequence[Cut],
    blocks: Sequence[BlockCount],
    stick_m: float,
    practice: Practice,
    pieces: int,
) -> float:
    """Weight of one piece from its cuts: spare blocks and what stays on the wall are left out. [kg]

    Wood and plywood by volume, mineral wool by volume, cloth by area; sheet thickness and board
    sizes are read from the stock's name. A diffuser has 2 lb of glue and finish on top.
    """
    total = sum(
        _cut_kg(cut, practice) for cut in cuts if cut.part not in _LOOSE and cut.part != Part.BLOCK
    )
    wood = sum(block.cells * block.height_m for block in blocks) * stick_m**2
    total += wood * practice.wood_kg_m3
    total = total / pieces
    relief = bool(blocks) or any(cut.part == Part.FIN for cut in cuts)
    return total + (GLUE_AND_FINISH_KG if relief else 0.0)


def _cut_kg(cut: Cut, practice: Practice) -> float:
    area = cut.count * cut.length_m * cut.width_m
    name = cut.stock.lower()
    if core_board_m(cut.stock) is not None or "wool" in name:
        board = core_board_m(cut.stock)
        return area * (board[2] if board else 0.0) * practice.core_kg_m3
    if "felt" in name:
        return 0.0
    if "fabric" in name or "cloth" in name:
        return area * practice.cloth_kg_m2
    dressed = dressed_m(cut.stock)
    if dressed is not None:
        return area * dressed[0] * practice.wood_kg_m3
    thick = thickness_m(cut.stock)
    if thick is None:
        return area * practice.board_m * practice.wood_kg_m3 if "board" in name else 0.0
    return area * thick * (practice.wood_kg_m3 if "slat" in name else practice.plywood_kg_m3)
