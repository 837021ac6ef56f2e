"""A client is shown no plan twice."""

from __future__ import annotations

import sys
from dataclasses import replace
from decimal import Decimal
from pathlib import Path

from roomcheck.recommend import PlanKind
from roomcheck.recommend.aims.plans import undominated

sys.path.insert(0, str(Path(__file__).parents[1] / "workshop"))
import made_up_story_room as made


def test_equal_pieces_elsewhere_for_the_same_money_are_one_plan():
    here = [made.on("north", f"A{i}", "4 in panel", 20 + 30 * i, 36, 24, 48) for i in range(3)]
    there = [made.on("north", f"A{i}", "4 in panel", 22 + 30 * i, 36, 24, 48) for i in range(3)]
    target = replace(made.made_up_plan(*here), kind=PlanKind.TARGET, price=Decimal(900), chance=0.9)
    most = replace(target, kind=PlanKind.MOST, pieces=tuple(there))
    assert undominated((target, most)) == (target,)
    surer = replace(most, price=Decimal(1000), chance=0.99)
    assert undominated((target, surer)) == (target, surer)
