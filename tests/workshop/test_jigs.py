"""Jigs with a cut list of their own, and the order in which a piece is made."""

from __future__ import annotations

import made_up_story_room
import pytest

from roomcheck.job import bench_job, default_shop
from roomcheck.workshop import Part, SiteStep, Step, Work, build, build_wanted, wanted

IN = 0.0254
SHOP = default_shop()


def built(*texts):
    job = bench_job(SHOP, units="imperial", title="made up")
    return build_wanted(job, [wanted(text, SHOP) for text in texts])


def jig(sheet, part):
    return next(cut for cut in sheet.jigs if cut.part is part)


def test_the_cleat_gauge_is_as_long_as_the_hook():
    """Top board 3/4 in, two cleats of 3-1/2 in whose bevels mate over 3/4 in: 7 in."""
    assert jig(built("4 in panel"), Part.JIG_LEG).length_m == pytest.approx(7 * IN)


def test_spacer_and_drilling_strip_follow_the_front():
    sheet = built("slatted resonator", "perforated resonator")
    slats = next(s for p in sheet.sheets for s in p.steps if s.kind is Step.SPACE_SLATS)
    assert jig(sheet, Part.JIG_SPACER).stock.thickness_m == slats["slot_m"]
    drill = next(s for p in sheet.sheets for s in p.steps if s.kind is Step.DRILL)
    strip = jig(sheet, Part.JIG_DRILL)
    holes = strip.note["holes"]
    # Holes and one pitch beyond them, half at each end.
    assert strip.length_m == pytest.approx((holes + 1) * drill["pitch_m"])


def test_a_felt_tile_needs_no_jig_and_a_block_panel_a_fence():
    assert built("felt tile").jigs == ()
    fence = jig(built("block diffuser"), Part.JIG_FENCE)
    assert fence.length_m == pytest.approx(28 * IN)


def kinds(text):
    (piece,) = built(text).sheets
    return [step.kind for step in piece.steps]


BLOCKS = (
    Step.ACCLIMATISE,
    Step.SAND_STICKS,
    Step.STAIN_STICKS,
    Step.CUT_BLOCKS,
    Step.GLUE_ROWS,
    Step.WEIGH_DOWN,
    Step.FINISH,
    Step.FRAME,
    Step.FIT_CLEAT,
)
WRAPPED = (
    Step.CHOOSE_WOOD,
    Step.FRAME,
    Step.CLAMP,
    Step.FIT_CLEAT,
    Step.LAY_CORE,
    Step.STRETCH_FABRIC,
    Step.STAPLE_BACKING,
)
SLATTED = (
    Step.FINISH,
    Step.FRAME,
    Step.SEAL_BOX,
    Step.CLOTH_BEHIND_SLATS,
    Step.SPACE_SLATS,
)


@pytest.mark.parametrize(
    ("text", "order"),
    [
        ("block diffuser", BLOCKS),
        ("4 in panel", WRAPPED),
        ("slatted resonator", SLATTED),
        ("membrane trap", (Step.FRAME, Step.HOLD_FILL_BACK, Step.BED_MEMBRANE)),
    ],
)
def test_steps_stand_in_the_order_of_the_bench(text, order):
    steps = kinds(text)
    order = [step for step in order if step in steps]
    assert len(order) >= 3
    assert [steps.index(step) for step in order] == sorted(steps.index(step) for step in order)


def test_wood_lies_before_the_first_day_and_glue_dries():
    sheet = built("2 x block diffuser", "4 in panel")
    first = sheet.days[0]
    assert (first.day, first.hours) == (0, 0)
    assert first.work[0].work.kind is Work.ACCLIMATISE
    assert [day.day for day in sheet.days] == list(range(len(sheet.days)))
    assert any(task.wait_hours >= 12 for day in sheet.days for task in day.work)
    # Felt needs no wood: nothing has to lie.
    assert not any(day.day == 0 for day in built("felt tile").days)


def site_steps(*pieces):
    plan = made_up_story_room.made_up_plan(*pieces)
    return [step.kind for step in build(made_up_story_room.made_up_job(), plan).order]


def test_the_order_on_site_is_that_of_what_hangs():
    on = made_up_story_room.on
    wall = site_steps(on("north", "A1", "4 in panel", 14, 36, 24, 48))
    assert SiteStep.CLEATS in wall and SiteStep.RAISE not in wall
    overhead = site_steps(on("ceiling", "C1", "4 in ceiling cloud", 20, 20, 48, 48))
    assert SiteStep.CLEATS not in overhead and SiteStep.HANG not in overhead
    assert overhead.index(SiteStep.SET_POINTS) < overhead.index(SiteStep.RAISE)
