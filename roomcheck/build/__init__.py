"""Cut lists, row maps, hanging lines."""

from roomcheck.build.blocks import BlockArray, PanelError, block_diffuser
from roomcheck.build.buying import NotInStock
from roomcheck.build.cutting import CannotCut, CuttingPlan
from roomcheck.build.fabric import FabricTooWide
from roomcheck.build.patterns import number_blocks
from roomcheck.build.results import (
    BlockCount,
    BuildSheet,
    Cut,
    DayPlan,
    HangingLine,
    MaterialPlan,
    Operation,
    PieceSheet,
    Purchase,
    SawSetup,
)
from roomcheck.build.sheet import build, build_pieces
from roomcheck.build.sheets import PartTooLarge
from roomcheck.job.practice import Practice

__all__ = [
    "BlockArray",
    "BlockCount",
    "BuildSheet",
    "CannotCut",
    "Cut",
    "CuttingPlan",
    "DayPlan",
    "FabricTooWide",
    "HangingLine",
    "MaterialPlan",
    "NotInStock",
    "Operation",
    "PanelError",
    "PartTooLarge",
    "PieceSheet",
    "Practice",
    "Purchase",
    "SawSetup",
    "block_diffuser",
    "build",
    "build_pieces",
    "number_blocks",
]
