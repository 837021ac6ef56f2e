"""The made-up story room as it comes with roomcheck, with the stock and the tables that everybody
gets."""

from __future__ import annotations

from pathlib import Path

import layout_check
import made_up_rooms as made
import pytest

import roomcheck
from roomcheck.job import load_job
from roomcheck.quote import quote
from roomcheck.recommend import recommend
from roomcheck.standards import target_for
from roomcheck.workshop import build

STORY_ROOM = Path(roomcheck.__file__).parent / "demo" / "story-room"


@pytest.fixture(autouse=True)
def made_up_materials() -> None:
    """Not here: this room is lined from the real table."""


def test_the_story_room_gets_three_plans_that_can_be_built_within_the_budget():
    job = load_job(STORY_ROOM)
    target = target_for(job.use, job.room.volume_m3, job.own_target)
    live = made.measured({250.0: 0.72, 500.0: 0.75, 1000.0: 0.66, 2000.0: 0.55, 4000.0: 0.50})
    found = recommend(job, live, made.verdict(target))
    for plan in found:
        assert plan.pieces
        assert layout_check.complaints(job, plan.pieces) == []
        assert [line.refused for line in build(job, plan).hanging if line.refused] == []
    bought = quote(job, found[0], build(job, found[0]))
    assert job.budget is not None
    assert (
        0.4 * float(job.budget) < bought.total <= job.budget or found[0].pieces == found[1].pieces
    )
    assert bought.total <= job.budget
    assert found[1].prediction.calibrated
