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
from roomcheck.recommend.results import (
    Change,
    Check,
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
    "CannotHang",
    "Change",
    "Check",
    "NoSuchPiece",
    "NoSuchThing",
    "PieceGain",
    "Plan",
    "Promise",
    "PromisedBand",
    "ReflectionChange",
    "Site",
    "Tighter",
    "Why",
    "asked_for",
    "change",
    "change_in",
    "plans_of",
    "recommend",
    "why",
]
