"""Which pieces, how many, where."""

from __future__ import annotations

from typing import TYPE_CHECKING

from roomcheck.doors import door

if TYPE_CHECKING:
    from roomcheck.recommend.aims.by_hand import (
        QuickAnswer,
        QuickBand,
        Refused,
        aimed,
        drawn,
        quick,
        refusals,
    )
    from roomcheck.recommend.aims.change import (
        NoSuchPiece,
        NoSuchThing,
        asked_for,
        change,
        change_in,
        moved_to,
        why,
    )
    from roomcheck.recommend.aims.plans import plans_of, recommend
    from roomcheck.recommend.places.exchanged import Exchange, NoSuchExchange, exchanged
    from roomcheck.recommend.places.pinned_places import CannotHang
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
    "Exchange",
    "LostValue",
    "NoSuchExchange",
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
    "QuickAnswer",
    "QuickBand",
    "ReflectionChange",
    "Refused",
    "Shortfall",
    "Site",
    "Tighter",
    "TighterNeeds",
    "Wish",
    "aimed",
    "asked_for",
    "change",
    "change_in",
    "drawn",
    "exchanged",
    "moved_to",
    "plans_of",
    "quick",
    "recommend",
    "refusals",
    "why",
]

__getattr__, __dir__ = door(__name__)
