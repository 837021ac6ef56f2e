"""Cut lists, row maps, hanging lines."""

from roomcheck.build.blocks import BlockArray, PanelError, block_diffuser
from roomcheck.build.buying import NotInStock
from roomcheck.build.cutting import CannotCut, CuttingPlan
from roomcheck.build.fabric import FabricTooWide
from roomcheck.build.patterns import PatternChoice, choices, number_blocks
from roomcheck.build.results import (
    BlockCount,
    BuildSheet,
    Cut,
    DayPlan,
    FabricPlan,
    HangingLine,
    MaterialPlan,
    Operation,
    PieceSheet,
    Purchase,
    SawSetup,
    SheetPlan,
)
from roomcheck.build.sheet import build, build_pieces, build_wanted
from roomcheck.build.sheets import PartTooLarge
from roomcheck.build.stock_plans import rack_after
from roomcheck.build.wanted import NoSuchPiece, NoSuchSize, Wanted, wanted
from roomcheck.job.practice import Practice

__all__ = [
    "BlockArray",
    "BlockCount",
    "BuildSheet",
    "CannotCut",
    "Cut",
    "CuttingPlan",
    "DayPlan",
    "FabricPlan",
    "FabricTooWide",
    "HangingLine",
    "MaterialPlan",
    "NoSuchPiece",
    "NoSuchSize",
    "NotInStock",
    "Operation",
    "PanelError",
    "PartTooLarge",
    "PatternChoice",
    "PieceSheet",
    "Practice",
    "Purchase",
    "SawSetup",
    "SheetPlan",
    "Wanted",
    "block_diffuser",
    "build",
    "build_pieces",
    "build_wanted",
    "choices",
    "number_blocks",
    "rack_after",
    "wanted",
]
