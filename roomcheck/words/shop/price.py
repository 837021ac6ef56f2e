"""The price in words: its lines, what it assumes, what it leaves out."""

from __future__ import annotations

from collections.abc import Sequence

from roomcheck.quote import Assumption, Caveat, Exclusion, Line
from roomcheck.words.reader import Reader
from roomcheck.words.saying import joined, register


def _as_chosen(_: Reader, **names: Sequence[str]) -> str:
    """The pieces, with what was chosen for them by its name."""
    looks = [f"{kind} {joined(names[kind])}" for kind in names if names[kind]]
    return f"Pieces, built and finished: {'; '.join(looks)}"


register(
    {
        Line.PIECES: "Pieces, built and finished",
        Line.PIECES_AS_CHOSEN: _as_chosen,
        Line.INSTALLATION: "Delivery and installation",
        Line.MEASURING: "Measuring before and after, with reports",
        Line.ALLOWANCE: "Allowance for the unforeseen",
        Line.SMALLEST_JOB: "To the smallest job we take on",
        Line.SURVEY_CREDIT: "Survey fee of the first visit, credited",
        Line.EXTRA: "{name}",
        Line.CHANGE: "Change {number}: {text}",
        Line.CREDIT: "Taken back of invoice {number}",
        Line.MATERIAL: "{item}, {packs} × {pack:g} {unit}",
        Line.BUILDING: "Building, {hours:g} h",
        Line.INSTALLING: "Installing, {hours:g} h",
        Line.SURVEY: "Survey and report, {hours:g} h",
        Line.VERIFYING: "Measuring again, {hours:g} h",
        Line.TRAVEL: "Travel",
        Line.CONSUMABLES: "Consumables",
        Line.DISPOSAL: "Disposal",
        Line.SUBCONTRACT: "Work by others",
        Line.ON_ACCEPTANCE: "On acceptance",
        Line.ON_DELIVERY: "On delivery",
        Line.ON_RESULT: "When the result is measured and signed",
        Line.AS_SIGNED: "{text}",
    }
)

register(
    {
        Assumption.FRAMING_UNKNOWN: (
            "Framing of the {face:face} was not found on the visit; fixings there are priced as "
            "usual."
        ),
        Assumption.OTHER_FIXING: (
            "Some pieces need another fixing than drawn; that is settled, and priced, before work "
            "begins."
        ),
        Assumption.SOUND_STRUCTURE: (
            "Walls and ceiling are sound, studs and joists are where they were found, and no wires "
            "or pipes run there."
        ),
        Assumption.ROOM_FREE: (
            "The room is free and its furniture moved aside on the day; there is access, power and "
            "a place to unload."
        ),
        Assumption.SAMPLES: (
            "Fabric, wood and finish as in the signed samples; lead times are those of the "
            "suppliers."
        ),
        Assumption.VALID: "The price holds for {days} days.",
        Assumption.AS_SIGNED: "{text}",
    }
)

register(
    {
        Exclusion.SOUNDPROOFING: (
            "Soundproofing: panels inside a room do not stop sound through its walls."
        ),
        Exclusion.VENTILATION: "Noise of heating and ventilation.",
        Exclusion.PAINT_AND_ELECTRICAL: (
            "Painting and repair of walls, electrical work, moved lamps or outlets."
        ),
        Exclusion.PERMITS: (
            "Permits, engineering of overhead fixings, and tests for asbestos or lead."
        ),
        Exclusion.AS_SIGNED: "{text}",
    }
)

register(
    {
        Caveat.OVER_BUDGET: (
            "The price is {currency}{over:,.2f} over the budget: {currency}{price:,.2f} of "
            "{currency}{budget:,.2f}."
        ),
        Caveat.MISSES_TARGET: (
            "This plan likely does not reach the whole target; the offer says so on its first page."
        ),
        Caveat.NO_PROMISE: (
            "Nothing is promised for this plan: it is sold as work, not as a result."
        ),
        Caveat.PLANNING_VALUES: (
            "The price rests on the planning prices that roomcheck came with, not on the shop's "
            "own: hours, materials and margin may be far off. Put your own into shop.toml first."
        ),
    }
)
