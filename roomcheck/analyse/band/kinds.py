"""Why a number of a band is withheld, and what to know of one that is given."""

from __future__ import annotations

from typing import Literal

from roomcheck.facts import Kind

Number = Literal["EDT", "T20", "T30"]
"""The fits that a reason names."""


class Reason(Kind):
    """Why numbers of a band are withheld: the one that `number` names, else all of them."""

    SILENCE = "silence"
    RATE_TOO_LOW = "rate too low"
    RECORD_TOO_SHORT = "record too short"
    NO_DECAY = "no decay"
    NO_RANGE = "no range"
    RANGE_TOO_SMALL = "range too small"
    SINKS_INTO_NOISE = "sinks into noise"
    DISTURBED = "disturbed"
    OTHERS_BROKEN = "others broken"
    NOT_FALLING = "not falling"
    NOT_A_LINE = "not a line"
    FILTER_LIMITED = "filter limited"
    FILTERS_DIFFER = "filters differ"
    FILTER_ALONE = "filter alone"
    DIRECT_SOUND = "direct sound"
    NO_LATE_ENERGY = "no late energy"
    NEIGHBOUR = "neighbouring band"
    RECORD_BAND = "band outside the record"
    NEEDS_SWEEP = "needs a sweep"


class DecayWarning(Kind):
    """What to know of the numbers that a band has."""

    FEW_SAMPLES = "few samples"
    BENDS = "bends"
    NOT_STRAIGHT = "not straight"
    NEIGHBOUR = "neighbour leaks"
    NOISE_RISES = "noise rises"
    NOISE_FALLS = "noise falls"
    CLICK = "click"
    TWO_SLOPES = "two slopes"
    FAR_APART = "two decays far apart"
    DISTURBED = "ends at a disturbance"
    STEADY_TONE = "steady tone"
