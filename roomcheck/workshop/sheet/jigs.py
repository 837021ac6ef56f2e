"""Jigs that the job is made with: parts with a cut list of their own, from offcuts, not bought."""

from __future__ import annotations

from collections.abc import Sequence

from roomcheck.facts import Fact, fact
from roomcheck.job import ShopMaterial, ShopPractice, Units
from roomcheck.units import M_PER_IN
from roomcheck.workshop.kinds import Note, Part, Step
from roomcheck.workshop.results import Cut, PieceSheet, Stock

_STOP = ((3, 75), (2, 50))
_SQUARE = (12, 300)
_SPACER = ((6, 150), (1.5, 40))
_SPACERS = 4
_HOLES = 12
"""In a row of the drilling jig, where the front has as many."""
_DRILL_WIDE = (3, 75)
_HEAD = ((12, 300), (1.5, 40))
_LEG_WIDE = (1.5, 40)
_FENCE = ((4, 100), (2, 50))
"""Beyond the array, and how wide. Sizes are ([in], [mm])."""


def jigs(
    sheets: Sequence[PieceSheet], practice: ShopPractice, hook_m: float, units: Units
) -> tuple[Cut, ...]:
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

    def nice(size: tuple[float, float]) -> float:
        return size[1] / 1000 if units == "metric" else size[0] * M_PER_IN

    def add(
        part: Part, count: int, size: tuple[float, float], note: Fact[Note], wood: Stock = stock
    ) -> None:
        found.append(
            Cut(part=part, stock=wood, count=count, length_m=size[0], width_m=size[1], note=note)
        )

    if parts & {Part.FRAME_LONG, Part.BLOCK, Part.SLAT}:
        add(Part.JIG_STOP, 1, (nice(_STOP[0]), nice(_STOP[1])), fact(Note.JIG_FOOT))
    if Step.FRAME in steps:
        add(Part.JIG_SQUARE, 2, (nice(_SQUARE), nice(_SQUARE)), fact(Note.JIG_CORNER_TO_CORNER))
    for sheet in sheets:
        for step in sheet.steps:
            if step.kind is Step.SPACE_SLATS:
                slot_m = _number(step["slot_m"])
                spacer = Stock(material=ShopMaterial.PLYWOOD, thickness_m=slot_m)
                note = fact(Note.JIG_THICK, thick_m=slot_m)
                sides = nice(_SPACER[0]), nice(_SPACER[1])
                add(Part.JIG_SPACER, _SPACERS, sides, note, spacer)
            if step.kind is Step.DRILL:
                add(Part.JIG_DRILL, 1, *_drilling(step, nice(_DRILL_WIDE)))
    if Step.GLUE_ROWS in steps:
        wide_m = max(sheet.array_width_m or 0.0 for sheet in sheets)
        add(Part.JIG_FENCE, 1, (wide_m + nice(_FENCE[0]), nice(_FENCE[1])), fact(Note.JIG_STRAIGHT))
    if Part.WALL_CLEAT in parts or Part.WALL_RAIL in parts:
        add(Part.JIG_HEAD, 1, (nice(_HEAD[0]), nice(_HEAD[1])), fact(Note.JIG_HOOK, hook_m=hook_m))
        add(Part.JIG_LEG, 1, (hook_m, nice(_LEG_WIDE)), fact(Note.JIG_HOOK, hook_m=hook_m))
    return tuple(dict.fromkeys(found))


def _drilling(step: Fact[Step], wide_m: float) -> tuple[tuple[float, float], Fact[Note]]:
    """Size and holes of the strip that guides the bit along a row."""
    pitch_m, columns = _number(step["pitch_m"]), int(_number(step["columns"]))
    holes = min(columns, _HOLES)
    note = fact(Note.JIG_HOLES, holes=holes, hole_m=_number(step["hole_m"]), pitch_m=pitch_m)
    return ((holes + 1) * pitch_m, wide_m), note


def _number(value: object) -> float:
    assert isinstance(value, int | float)
    return float(value)
