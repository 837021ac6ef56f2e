"""Which pieces, how many, where."""

from roomcheck.recommend.places.pinned_places import CannotHang
from roomcheck.recommend.plan.change import (
    NoSuchPiece,
    NoSuchThing,
    asked_for,
    change,
    change_in,
    moved_to,
    why,
)
from roomcheck.recommend.plan.plans import plans_of, recommend
from roomcheck.recommend.reasons import (
    AIMED,
    Advice,
    CheckSubject,
    Condition,
    PlanCaution,
    PlanKind,
    PlanNote,
    Shortfall,
    TighterNeeds,
    Wish,
)
from roomcheck.recommend.results import (
    Check,
    LostValue,
    PieceGain,
    PieceReasons,
    Plan,
    PlanChange,
    Promise,
    PromisedBand,
    ReflectionChange,
    Tighter,
)
from roomcheck.recommend.solver.site import Site

__all__ = [
    "AIMED",
    "Advice",
    "CannotHang",
    "Check",
    "CheckSubject",
    "Condition",
    "LostValue",
    "NoSuchPiece",
    "NoSuchThing",
    "PieceGain",
    "PieceReasons",
    "Plan",
    "PlanCaution",
    "PlanChange",
    "PlanKind",
    "PlanNote",
    "Promise",
    "PromisedBand",
    "ReflectionChange",
    "Shortfall",
    "Site",
    "Tighter",
    "TighterNeeds",
    "Wish",
    "asked_for",
    "change",
    "change_in",
    "moved_to",
    "plans_of",
    "recommend",
    "why",
]
