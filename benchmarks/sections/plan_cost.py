"""Proof: what a plan costs beside the cheapest choice, found by a program that shares nothing with
the planner."""

from __future__ import annotations

from pathlib import Path

import plan_cost

TITLE = "Plans: their price beside the cheapest choice there is"
JOURNAL = "plan-cost.json"
"""Kept by `python benchmarks/plan_cost.py 60 --journal docs/figures/plan-cost.json`."""


def write(figures: Path) -> str | None:
    """Of the rooms kept in the journal, as markdown; no figure."""
    rooms = plan_cost.kept(figures / JOURNAL)
    if not rooms:
        return None
    intro = (
        f"Small boxes with one source and three microphones, at most {plan_cost.PLACES} places for "
        "panels and clouds of the default stock, a target between what is there and what all "
        "pieces reach (`benchmarks/plan_cost.py`). The planner gets the decay that particles trace "
        "in the bare room, with the scatter of its pairs, and plans for 90 %. Another program "
        "prices all subsets by its own sum, foresees them by Eyring's formula drawn to what was "
        "traced so far, and traces them from the cheapest up until one holds. The goal is stated "
        "for the traced decay alone, the first row: what somebody could buy who knows the room "
        "exactly. The second row asks the other program to be as sure as the planner has to be, by "
        "its own draws of coefficients and of the next measurement round the traced decay. The planner "
        "does not know how much the room scatters, nor how far its model is off there; the other "
        "program traces, and does. The first ratio is split in three: all subsets are priced once "
        "more and asked from the cheapest up by the planner's own full prediction, for its surety "
        "and for its likely decays alone. The first part is the planner's search, the second what "
        "being sure costs at the width of its range, the third what its likely values are off, the "
        "luck of the one choice in thousands that happens to hold included."
    )
    return "\n".join([intro, "", *plan_cost.summary(rooms)])
