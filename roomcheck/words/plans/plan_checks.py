"""What to check on site before drilling, in words: warnings, never approvals."""

from __future__ import annotations

from roomcheck.recommend import CheckSubject, PlanCaution
from roomcheck.units import KG_PER_LB
from roomcheck.words.numbers import length
from roomcheck.words.reader import Reader
from roomcheck.words.saying import fill, joined, register

AUTHORITY = "Local code and the authority having jurisdiction decide."
ENGINEER = "a licensed engineer first."


def _weight(weight_kg: float) -> str:
    """A weight in both units: whoever is asked about it may think in either."""
    return f"{weight_kg:.0f} kg ({weight_kg / KG_PER_LB:.0f} lb)"


def _no_swing(reader: Reader, doors: tuple[str, ...]) -> str:
    listed = joined([f"the {door}" for door in doors], "or")
    return f"No door swing is drawn: does {listed} open into the room, and against what?"


def _heavy_piece(reader: Reader, weight_kg: float) -> str:
    return f"Weighs {_weight(weight_kg)}: {ENGINEER}"


def _loaded_stud(reader: Reader, face: str, at_m: float, weight_kg: float) -> str:
    where = fill("The stud at {at_m:length} of the {face:face}", reader, at_m=at_m, face=face)
    return f"{where} carries about {_weight(weight_kg)}. No load is approved here."


def _not_noted(reader: Reader, subjects: tuple[str, ...]) -> str:
    return f"The job names none of these: {'; '.join(subjects)}. Look once more before drilling."


def _projects(reader: Reader, depth_m: float) -> str:
    """Both measures as the 2010 ADA Standards, 307.2, print them, from memory."""
    edge, most = ("27 and 80 in", "4 in")
    if reader.units == "metric":
        edge, most = ("685 and 2030 mm", "100 mm")
    return (
        f"These stand out up to {length(depth_m, reader)} from the wall with an edge between "
        f"{edge} above the floor; where people walk past, {most} is the most (2010 ADA Standards "
        f"307.2). The job draws no walkway: is there one? {AUTHORITY}"
    )


register(
    {
        CheckSubject.EGRESS: "Egress and projection",
        CheckSubject.SPRINKLERS: "Sprinklers and detectors",
        CheckSubject.VENTS: "Vents",
        CheckSubject.HEATERS: "Heaters and lights",
        CheckSubject.DOORS: "Doors and windows",
        CheckSubject.OUTLETS: "Outlets and switches",
        CheckSubject.IN_SIGHT: "What stays in sight",
        CheckSubject.WEIGHT: "Weight",
        CheckSubject.OVERHEAD: "Overhead",
        CheckSubject.FIRE_PAPERS: "Fire papers",
        CheckSubject.NOT_NOTED: "Not noted",
        PlanCaution.PROJECTS: _projects,
        PlanCaution.NO_SWING_DRAWN: _no_swing,
        PlanCaution.NEAR: f"{{thing}}: the nearest piece is {{apart_m:length}} away. {AUTHORITY}",
        PlanCaution.OVER_OPENING: (
            "Hangs over the {opening}: a way out and a window are never covered."
        ),
        PlanCaution.NOT_WANTED: "It is not wanted there.",
        PlanCaution.IN_SWING: "It is in the way of the {thing}.",
        PlanCaution.IN_WALKWAY: "It stands out more than {most_m:size} into the {thing}.",
        PlanCaution.UNDER_SPRINKLER: "It is less than {least_m:size} below the {thing}.",
        PlanCaution.HEAVY_PIECE: _heavy_piece,
        PlanCaution.HEAVY_WALL: (
            f"Everything on the {{face:face}} weighs {{weight_kg_per_m2:.0f}} kg per m²: {ENGINEER}"
        ),
        PlanCaution.LOADED_STUD: _loaded_stud,
        PlanCaution.OVERHEAD_GRID: (
            "Hangs over heads: wires run through the grid to the structure above, never to the "
            "grid; two independent fixings. Local code and licensed practice accept it, not we."
        ),
        PlanCaution.OVERHEAD_JOISTS: (
            "Hangs over heads: each point into a joist; two independent fixings. Local code and "
            "licensed practice accept it, not we."
        ),
        PlanCaution.WIDE_CLOUD: (
            "Wider than {widest_m:length} under a sprinklered ceiling: generally taken as an "
            "obstruction; ask the fire authority."
        ),
        PlanCaution.NO_FIRE_PAPERS: (
            "No fire papers in shop.toml for {stock:and}: fabric, core, frame and the piece as "
            "built may each need their own; the fire authority decides which, and how much of a "
            "wall may be covered."
        ),
        PlanCaution.FRAMING_UNKNOWN: (
            "Nobody has found the studs or joists of the {faces:and} yet: weights there are not "
            "checked."
        ),
        PlanCaution.NOT_NOTED: _not_noted,
        PlanCaution.AS_SIGNED: "{text}",
    }
)
