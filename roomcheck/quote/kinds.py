"""Closed lists of the price: its lines, what it assumes, what it leaves out."""

from __future__ import annotations

from roomcheck.facts import Kind


class Line(Kind):
    """What an amount is for."""

    # what the client pays for
    PIECES = "pieces"
    PIECES_AS_CHOSEN = "pieces_as_chosen"
    INSTALLATION = "installation"
    MEASURING = "measuring"
    ALLOWANCE = "allowance"
    SMALLEST_JOB = "smallest_job"
    SURVEY_CREDIT = "survey_credit"
    EXTRA = "extra"
    CHANGE = "change"
    CREDIT = "credit"
    # what it costs the shop
    MATERIAL = "material"
    BUILDING = "building"
    INSTALLING = "installing"
    SURVEY = "survey"
    VERIFYING = "verifying"
    TRAVEL = "travel"
    CONSUMABLES = "consumables"
    DISPOSAL = "disposal"
    SUBCONTRACT = "subcontract"
    # when it is paid
    ON_ACCEPTANCE = "on_acceptance"
    ON_DELIVERY = "on_delivery"
    ON_RESULT = "on_result"
    AS_SIGNED = "as_signed"


class Assumption(Kind):
    """What the price rests on."""

    FRAMING_UNKNOWN = "framing_unknown"
    OTHER_FIXING = "other_fixing"
    SOUND_STRUCTURE = "sound_structure"
    ROOM_FREE = "room_free"
    SAMPLES = "samples"
    VALID = "valid"
    AS_SIGNED = "as_signed"


class Caveat(Kind):
    """What is said before somebody signs."""

    OVER_BUDGET = "over_budget"
    MISSES_TARGET = "misses_target"
    NO_PROMISE = "no_promise"
    PLANNING_VALUES = "planning_values"


class Exclusion(Kind):
    """What the price does not include."""

    SOUNDPROOFING = "soundproofing"
    VENTILATION = "ventilation"
    PAINT_AND_ELECTRICAL = "paint_and_electrical"
    PERMITS = "permits"
    AS_SIGNED = "as_signed"
