"""Which pieces, how many, where."""

from roomcheck.recommend.places.pinned_places import CannotHang
from roomcheck.recommend.plan.change import (
    NoSuchPiece,
    NoSuchThing,
    asked_for,
    change,
    change_in,
    why,
)
from roomcheck.recommend.plan.plans import plans_of, recommend
from roomcheck.recommend.reasons import (
    Advice,
    Caution,
    CheckSubject,
    Condition,
    PlanKind,
    PlanNote,
    Shortfall,
    TighterNeeds,
)
from roomcheck.recommend.results import (
    Change,
    Check,
    LostValue,
    PieceGain,
    Plan,
    Promise,
    PromisedBand,
    ReflectionChange,
    Tighter,
    Why,
)
from roomcheck.recommend.solver.site import Site

__all__ = [
    "Advice",
    "CannotHang",
    "Caution",
    "Change",
    "Check",
    "CheckSubject",
    "Condition",
    "LostValue",
    "NoSuchPiece",
    "NoSuchThing",
    "PieceGain",
    "Plan",
    "PlanKind",
    "PlanNote",
    "Promise",
    "PromisedBand",
    "ReflectionChange",
    "Shortfall",
    "Site",
    "Tighter",
    "TighterNeeds",
    "Why",
    "asked_for",
    "change",
    "change_in",
    "plans_of",
    "recommend",
    "why",
]
