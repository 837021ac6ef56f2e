"""Closed lists of the hanging lines: what to mind, and why a piece must not be hung as planned."""

from __future__ import annotations

from roomcheck.facts import Kind


class HangingCaution(Kind):
    """What the installer must know of one piece."""

    NOTHING_ALLOWED = "nothing_allowed"
    TWO_PEOPLE = "two_people"
    LICENSED_LOAD = "licensed_load"
    OVERHEAD = "overhead"
    LICENSED_OVERHEAD = "licensed_overhead"
    JOISTS_MISSING = "joists_missing"
    TRY_ONE_TILE = "try_one_tile"
    TIE_TO_STUD = "tie_to_stud"
    HIDDEN = "hidden"
    TOO_HIGH = "too_high"
    STANDS_OUT = "stands_out"
    STUDS_MISSING = "studs_missing"
    NOT_WOOD = "not_wood"
    """Behind the face stands no wood, or nobody knows what: no screws, no ratio, who decides."""
    SHEATHING_MISSING = "sheathing_missing"
    SCREW_TOO_LONG = "screw_too_long"
    SCREW_TOO_SHORT = "screw_too_short"
    NO_ANCHORS = "no_anchors"
    DEFER = "defer"


class Refusal(Kind):
    """Why a piece must not be hung as planned, with what cures it."""

    RUNS_INTO_PIECE = "runs_into_piece"
    RUNS_INTO = "runs_into"
    OVER_THE_EDGE = "over_the_edge"
    NOTHING_ALLOWED = "nothing_allowed"
    ADHESIVE_OVERHEAD = "adhesive_overhead"
    FEW_JOISTS = "few_joists"
    TOO_HEAVY_TO_GLUE = "too_heavy_to_glue"
    CORNER_NEEDS_SCREW = "corner_needs_screw"
    CLEAT_NEEDS_SCREWS = "cleat_needs_screws"
    SCREWS_TOO_SHORT = "screws_too_short"
    FEW_SCREWS = "few_screws"
