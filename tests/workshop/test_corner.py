"""A panel across a corner takes what its frame takes, of both walls."""

from __future__ import annotations

import made_up_story_room as made
import pytest
from made_up_story_room import IN

from roomcheck.workshop import Part, Step, build


def test_a_corner_traps_footprint_is_the_one_of_its_frame_on_both_walls():
    """By drawing: a slab of 24 by 4-1/2 in turned by 45 degrees, its back corners on the walls:
    24 / sqrt 2 = 16.97 in out; the front stands 4.5 / sqrt 2 = 3.18 in further: 20.15. Its front is
    12 + 4.5 in off the corner at the middle."""
    job = made.made_up_job()
    sheet = build(job, made.made_up_plan(made.on("north", "K1", "corner trap", 0, 4, 24, 48)))
    (line,) = sheet.hanging
    (piece,) = sheet.sheets
    frame = next(s for s in piece.solids if s.part is Part.FRAME_LONG)
    assert frame.size_m[2] == pytest.approx(4.5 * IN)
    # To the sixteenth, so that it adds up with what is left of the wall.
    assert line.width_m == pytest.approx(20.125 * IN)
    beside = job.room.face(line.beside)
    assert beside.width_m - line.beside_left_m == pytest.approx(line.width_m)
    straddle = next(step for step in piece.steps if step.kind is Step.STRADDLE)
    assert straddle["leg_m"] == pytest.approx(16.971 * IN, abs=0.001 * IN)
    assert straddle["reach_m"] == pytest.approx(20.153 * IN, abs=0.001 * IN)
    assert straddle["deep_m"] == pytest.approx(16.5 * IN)
    assert job.shop.piece("corner trap").depth_m == pytest.approx(straddle["deep_m"])
