"""Cut lists, row maps, hanging lines."""

from roomcheck.job import Practice
from roomcheck.workshop.cutting.cutting import CannotCut, CuttingPlan
from roomcheck.workshop.cutting.fabric import FabricTooWide
from roomcheck.workshop.cutting.sheets import PartTooLarge, Rip
from roomcheck.workshop.hanging.kinds import HangingCaution, Refusal
from roomcheck.workshop.parts.cautions import DUST, SAW
from roomcheck.workshop.parts.piece_text import NoSuchPiece, NoSuchSize, Wanted, redrawn, wanted
from roomcheck.workshop.patterns.blocks import BlockArray, PanelError, block_diffuser
from roomcheck.workshop.patterns.layout import lay_out
from roomcheck.workshop.patterns.patterns import PatternChoice, choices, number_blocks
from roomcheck.workshop.results import (
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
    Row,
    SawSetup,
    SheetPlan,
)
from roomcheck.workshop.sheet.buying import NotInStock
from roomcheck.workshop.sheet.sheet import build, build_pieces, build_wanted
from roomcheck.workshop.sheet.stock_plans import OFFCUT, rack_after

__all__ = [
    "DUST",
    "OFFCUT",
    "SAW",
    "BlockArray",
    "BlockCount",
    "BuildSheet",
    "CannotCut",
    "Cut",
    "CuttingPlan",
    "DayPlan",
    "FabricPlan",
    "FabricTooWide",
    "HangingCaution",
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
    "Refusal",
    "Rip",
    "Row",
    "SawSetup",
    "SheetPlan",
    "Wanted",
    "block_diffuser",
    "build",
    "build_pieces",
    "build_wanted",
    "choices",
    "lay_out",
    "number_blocks",
    "rack_after",
    "redrawn",
    "wanted",
]
