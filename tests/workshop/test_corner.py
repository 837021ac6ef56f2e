"""A panel across a corner takes what its frame takes, of both walls."""

from __future__ import annotations

import made_up_story_room as made
import pytest
from made_up_story_room import IN

from roomcheck.job import Framing, FramingKind
from roomcheck.workshop import FixingKind, Packing, Part, Refusal, Step, build

TRAP = made.made_up_plan(made.on("north", "K1", "corner trap", 0, 4, 24, 48))


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


def two_walls(**beside):
    """A corner trap between the north wall, of wood studs behind 1/2 in, and the wall beside it."""
    job = made.made_up_job()
    (line,) = build(job, TRAP).hanging
    own = Framing(
        face="north",
        kind=FramingKind.WOOD_STUDS,
        spacing_m=16 * IN,
        first_m=14.5 * IN,
        sheathing_m=IN / 2,
    )
    return made.made_up_job(framing=(own, Framing(face=line.beside, **beside))), line.beside


def test_each_strip_of_a_corner_piece_takes_the_fixing_of_its_own_wall():
    """48 in of strip, a fixing every 16 in and at both ends: four a wall (common practice)."""
    job, beside = two_walls(kind=FramingKind.CONCRETE)
    sheet = build(job, TRAP)
    (line,) = sheet.hanging
    assert not line.refused
    wood, concrete = line.strips
    assert (wood.face, wood.fixing, wood.count) == ("north", FixingKind.WOOD_SCREW, 4)
    assert (concrete.face, concrete.fixing) == (beside, FixingKind.CONCRETE_ANCHOR)
    assert concrete.count == 4
    bought = {p.item: p.net for p in sheet.purchases}
    assert [n for item, n in bought.items() if item.startswith("screw #10")] == [4]
    assert [n for item, n in bought.items() if "concrete" in item] == [4]
    packed = [fact for fact in sheet.pick_list if fact.kind is Packing.ANCHORS]
    assert [(fact["count"], fact["fixing"]) for fact in packed] == [(4, FixingKind.CONCRETE_ANCHOR)]
    each = job.shop.piece("corner trap").install_hours
    assert sheet.install_hours == each + 4 * job.shop.practice.anchor_hours


def test_a_corner_piece_is_refused_for_the_wall_that_nobody_knows():
    job, beside = two_walls(kind=FramingKind.UNKNOWN)
    (line,) = build(job, TRAP).hanging
    assert [(r.kind, r["face"]) for r in line.refused] == [(Refusal.FRAMING_UNKNOWN, beside)]
    assert [strip.face for strip in line.strips] == ["north"]
