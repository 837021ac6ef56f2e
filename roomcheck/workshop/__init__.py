"""Cut lists, row maps, hanging lines."""

from __future__ import annotations

from typing import TYPE_CHECKING

from roomcheck.doors import door

if TYPE_CHECKING:
    from roomcheck.job import ShopPractice
    from roomcheck.workshop.cutting.cutting import CannotCut, CutBar, CuttingPlan
    from roomcheck.workshop.cutting.fabric import FabricTooWide
    from roomcheck.workshop.cutting.sheets import PartTooLarge, Rip
    from roomcheck.workshop.hanging.collisions import true_place
    from roomcheck.workshop.hanging.placing import MAY_MOVE_M
    from roomcheck.workshop.hanging_kinds import FixingKind, HangingCaution, Refusal
    from roomcheck.workshop.kinds import (
        Caution,
        Note,
        Packing,
        Part,
        Pattern,
        SiteStep,
        Step,
        Surface,
        Work,
    )
    from roomcheck.workshop.parts.materials_list import MaterialUnknown
    from roomcheck.workshop.parts.piece_text import (
        NoSuchSize,
        UnknownPiece,
        Wanted,
        redrawn,
        wanted,
    )
    from roomcheck.workshop.patterns.blocks import BlockArray, PanelError, block_diffuser
    from roomcheck.workshop.patterns.layout import lay_out
    from roomcheck.workshop.patterns.patterns import PatternChoice, choices
    from roomcheck.workshop.patterns.rows_of_wells import spans
    from roomcheck.workshop.results import (
        BlockCount,
        BuildSheet,
        Cut,
        DayPlan,
        FabricPlan,
        FaceFixing,
        HangingLine,
        HangingRow,
        LaidPanel,
        MaterialPlan,
        Operation,
        PieceSheet,
        Purchase,
        Rail,
        SawSetup,
        SheetPlan,
        Solid,
        Stock,
        Task,
    )
    from roomcheck.workshop.sheet.buying import NotInStock
    from roomcheck.workshop.sheet.hours import (
        PieceHours,
        WorkHours,
        taken_hours,
        work_hours,
        work_key,
    )
    from roomcheck.workshop.sheet.in_space import PieceInSpace, piece_in_space
    from roomcheck.workshop.sheet.over_jobs import (
        PieceOverJobs,
        PurchaseOverJobs,
        WorkOverJobs,
        over_jobs,
    )
    from roomcheck.workshop.sheet.sheet import build, build_pieces, build_placed, build_wanted
    from roomcheck.workshop.sheet.stock_plans import rack_after
    from roomcheck.workshop.sheet.together import (
        CutTogether,
        PartOf,
        SharedBar,
        SharedPurchase,
        SharedRow,
        SharedStrip,
        cut_together,
        rack_of,
    )
    from roomcheck.workshop.sheet.weeks import WeekOf, by_week

__all__ = [
    "MAY_MOVE_M",
    "BlockArray",
    "BlockCount",
    "BuildSheet",
    "CannotCut",
    "Caution",
    "Cut",
    "CutBar",
    "CutTogether",
    "CuttingPlan",
    "DayPlan",
    "FabricPlan",
    "FabricTooWide",
    "FaceFixing",
    "FixingKind",
    "HangingCaution",
    "HangingLine",
    "HangingRow",
    "LaidPanel",
    "MaterialPlan",
    "MaterialUnknown",
    "NoSuchSize",
    "NotInStock",
    "Note",
    "Operation",
    "Packing",
    "PanelError",
    "Part",
    "PartOf",
    "PartTooLarge",
    "Pattern",
    "PatternChoice",
    "PieceHours",
    "PieceInSpace",
    "PieceOverJobs",
    "PieceSheet",
    "Purchase",
    "PurchaseOverJobs",
    "Rail",
    "Refusal",
    "Rip",
    "SawSetup",
    "SharedBar",
    "SharedPurchase",
    "SharedRow",
    "SharedStrip",
    "SheetPlan",
    "ShopPractice",
    "SiteStep",
    "Solid",
    "Step",
    "Stock",
    "Surface",
    "Task",
    "UnknownPiece",
    "Wanted",
    "WeekOf",
    "Work",
    "WorkHours",
    "WorkOverJobs",
    "block_diffuser",
    "build",
    "build_pieces",
    "build_placed",
    "build_wanted",
    "by_week",
    "choices",
    "cut_together",
    "lay_out",
    "over_jobs",
    "piece_in_space",
    "rack_after",
    "rack_of",
    "redrawn",
    "spans",
    "taken_hours",
    "true_place",
    "wanted",
    "work_hours",
    "work_key",
]

__getattr__, __dir__ = door(__name__)
