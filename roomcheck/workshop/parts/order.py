"""In which order a piece is made, and what every maker of one must know of wood, glue and
batches."""

from __future__ import annotations

from collections.abc import Sequence

from roomcheck.facts import Fact
from roomcheck.workshop.kinds import Step

_ORDER = (
    # the wood, before anything is cut
    Step.ACCLIMATISE,
    Step.CHOOSE_WOOD,
    Step.MEASURE_STICKS,
    Step.SAND_STICKS,
    Step.STAIN_STICKS,
    Step.BLOW_THROUGH,
    Step.BATCH,
    # what is cut
    Step.DEPTH,
    Step.CAVITY,
    Step.CUT_BLOCKS,
    Step.CUT_TRIANGLES,
    Step.CUT_FELT,
    Step.WELL_ORDER,
    Step.WELLS_RUN_ON,
    Step.WIDEN_WELLS,
    Step.DRILL,
    # the relief is laid and glued
    Step.READ_MAP,
    Step.LAY_FROM,
    Step.LAY_DRY,
    Step.GLUE_ROWS,
    Step.CHECK_ROWS,
    Step.WEIGH_DOWN,
    Step.ASSEMBLE_WELLS,
    Step.GLUE_FINS,
    # finish, before the frame hides what takes it
    Step.FINISH_FIRST,
    Step.FINISH,
    # the frame
    Step.FRAME,
    Step.CLAMP,
    Step.NOTCH_FRAME,
    Step.FIT_CLEAT,
    Step.SEAL_BOX,
    # what goes into it
    Step.CORE_STOPS,
    Step.NOTCH_CORE,
    Step.LAY_CORE,
    Step.SHELVE_FILL,
    Step.SHELVE_STACK,
    Step.HOLD_FILL_BACK,
    Step.CLOTH_BEHIND_SLATS,
    Step.CLOTH_BEHIND_HOLES,
    Step.SPACE_SLATS,
    Step.BED_MEMBRANE,
    Step.STRETCH_FABRIC,
    Step.STAPLE_BACKING,
    # and how it hangs
    Step.LIFT_POINTS,
    Step.STRADDLE,
    Step.TIE_STACK,
)


def in_order(steps: Sequence[Fact[Step]]) -> tuple[Fact[Step], ...]:
    """Steps as they are done at the bench."""
    return tuple(sorted(steps, key=lambda step: _ORDER.index(step.kind)))
