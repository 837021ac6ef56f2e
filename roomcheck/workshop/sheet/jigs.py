"""Jigs that the job is made with: parts with a cut list of their own, from offcuts, not bought."""

from __future__ import annotations

from collections.abc import Sequence

from roomcheck.facts import Fact, fact
from roomcheck.job import ShopMaterial, ShopPractice
from roomcheck.units import M_PER_IN
from roomcheck.workshop.kinds import Note, Part, Step
from roomcheck.workshop.results import Cut, PieceSheet, Stock

_STOP_M = (3 * M_PER_IN, 2 * M_PER_IN)
_SQUARE_M = 12 * M_PER_IN
_SPACER_M = (6 * M_PER_IN, 1.5 * M_PER_IN)
_SPACERS = 4
_HOLES = 12
"""In a row of the drilling jig, where the front has as many."""
_DRILL_WIDE_M = 3 * M_PER_IN
_HEAD_M = (12 * M_PER_IN, 1.5 * M_PER_IN)
_LEG_WIDE_M = 1.5 * M_PER_IN
_FENCE_WIDE_M = 2 * M_PER_IN


def jigs(sheets: Sequence[PieceSheet], practice: ShopPractice, hook_m: float) -> tuple[Cut, ...]:
    """List the jigs that some pieces need: stop block, frame squares, spacers, drilling strip,
    fence for rows, gauge for wall cleats.

    Parameters
    ----------
    hook_m : float
        From a hung piece's top down to the bottom edge of its wall cleat. [m]
    """
    stock = Stock(material=ShopMaterial.PLYWOOD, thickness_m=practice.cleat_m)
    steps = {step.kind: (sheet, step) for sheet in sheets for step in sheet.steps}
    parts = {cut.part for sheet in sheets for cut in sheet.cuts}
    found: list[Cut] = []

    def add(
        part: Part, count: int, size: tuple[float, float], note: Fact[Note], wood: Stock = stock
    ) -> None:
        found.append(
            Cut(part=part, stock=wood, count=count, length_m=size[0], width_m=size[1], note=note)
        )

    if parts & {Part.FRAME_LONG, Part.BLOCK, Part.SLAT}:
        add(Part.JIG_STOP, 1, _STOP_M, fact(Note.JIG_FOOT))
    if Step.FRAME in steps:
        add(Part.JIG_SQUARE, 2, (_SQUARE_M, _SQUARE_M), fact(Note.JIG_CORNER_TO_CORNER))
    for sheet in sheets:
        for step in sheet.steps:
            if step.kind is Step.SPACE_SLATS:
                slot_m = _number(step["slot_m"])
                spacer = Stock(material=ShopMaterial.PLYWOOD, thickness_m=slot_m)
                note = fact(Note.JIG_THICK, thick_m=slot_m)
                add(Part.JIG_SPACER, _SPACERS, _SPACER_M, note, spacer)
            if step.kind is Step.DRILL:
                add(Part.JIG_DRILL, 1, *_drilling(step))
    if Step.GLUE_ROWS in steps:
        wide_m = max(sheet.array_width_m or 0.0 for sheet in sheets)
        add(Part.JIG_FENCE, 1, (wide_m + 4 * M_PER_IN, _FENCE_WIDE_M), fact(Note.JIG_STRAIGHT))
    if Part.WALL_CLEAT in parts:
        add(Part.JIG_HEAD, 1, _HEAD_M, fact(Note.JIG_HOOK, hook_m=hook_m))
        add(Part.JIG_LEG, 1, (hook_m, _LEG_WIDE_M), fact(Note.JIG_HOOK, hook_m=hook_m))
    return tuple(dict.fromkeys(found))


def _drilling(step: Fact[Step]) -> tuple[tuple[float, float], Fact[Note]]:
    """Size and holes of the strip that guides the bit along a row."""
    pitch_m, columns = _number(step["pitch_m"]), int(_number(step["columns"]))
    holes = min(columns, _HOLES)
    note = fact(Note.JIG_HOLES, holes=holes, hole_m=_number(step["hole_m"]), pitch_m=pitch_m)
    return ((holes + 1) * pitch_m, _DRILL_WIDE_M), note


def _number(value: object) -> float:
    assert isinstance(value, int | float)
    return float(value)
