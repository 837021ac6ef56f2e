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
    TRY_ONE_TILE = "try_one_tile"
    TIE_TO_STUD = "tie_to_stud"
    HIDDEN = "hidden"
    TOO_HIGH = "too_high"
    STANDS_OUT = "stands_out"
    NOT_WOOD = "not_wood"
    """Behind the face stands no wood: which kind of fixing, no load, who decides."""
    OTHER_SCREW = "other_screw"
    """The shop's usual screw reaches too deep, or not deep enough: another one is planned."""
    MOVED = "moved"
    """It hangs `by_m` right of where the plan drew it (negative: left), to meet its studs."""
    ON_RAIL = "on_rail"
    """Its cleat would not meet enough studs: one rail carries it and its neighbours."""
    LITTLE_PLAY = "little_play"
    """It may slide no further than `play_m` from its mark: beyond, its screws carry too much."""
    FIND_OTHERS = "find_others"
    """Something of this wall is not where the job has it: the `studs_m` that nobody found yet are
    found before anything is drilled."""
    NO_ANCHORS = "no_anchors"
    DEFER = "defer"


class Refusal(Kind):
    """Why a piece must not be hung as planned, with what cures it."""

    FOUND_BEHIND = "found_behind"
    """`what` was found behind it, `at_m` from the left corner where that was measured: no hole
    before a licensed person has looked."""
    RUNS_INTO_PIECE = "runs_into_piece"
    RUNS_INTO = "runs_into"
    OVER_THE_EDGE = "over_the_edge"
    NOTHING_ALLOWED = "nothing_allowed"
    ADHESIVE_OVERHEAD = "adhesive_overhead"
    NO_CEILING_MOUNT = "no_ceiling_mount"
    """It is built for walls: nothing on it takes a lift point."""
    JOISTS_MISSING = "joists_missing"
    FEW_JOISTS = "few_joists"
    STUDS_MISSING = "studs_missing"
    SHEATHING_MISSING = "sheathing_missing"
    FRAMING_UNKNOWN = "framing_unknown"
    GRID = "grid"
    NO_SCREW = "no_screw"
    """No screw on sale reaches deep enough into a stud, and no deeper than cables allow."""
    FEW_STUDS = "few_studs"
    """Of steel: a cleat on fewer than two turns."""
    TOO_HEAVY_TO_GLUE = "too_heavy_to_glue"
    CORNER_NEEDS_SCREW = "corner_needs_screw"
    CLEAT_NEEDS_SCREWS = "cleat_needs_screws"
    FEW_SCREWS = "few_screws"


class FixingKind(Kind):
    """What holds a piece to a face."""

    WOOD_SCREW = "wood_screw"
    STEEL_ANCHOR = "steel_anchor"
    """Made for steel studs behind sheathing."""
    MASONRY_ANCHOR = "masonry_anchor"
    CONCRETE_ANCHOR = "concrete_anchor"
    HANGING_SET = "hanging_set"
    """One lift point overhead."""
