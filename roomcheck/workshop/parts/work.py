"""What the hours go to, which day they fall on, what goes on the van."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from decimal import ROUND_HALF_UP, Decimal

from roomcheck.facts import Fact, fact
from roomcheck.job import PieceKind, ShopPractice
from roomcheck.workshop.hanging_kinds import FixingKind
from roomcheck.workshop.kinds import Packing, SiteStep, Step, Work
from roomcheck.workshop.results import DayPlan, HangingLine, Operation, PieceSheet, Task

_ANCHORS = (FixingKind.STEEL_ANCHOR, FixingKind.MASONRY_ANCHOR, FixingKind.CONCRETE_ANCHOR)
_REACH_M = 1.8
"""Work above this height is done from a ladder or platform (common practice). [m]"""
_ON_CLEATS = (SiteStep.LEVEL_LINE, SiteStep.CLEATS, SiteStep.TEST_CLEATS, SiteStep.LOCK)
_OVERHEAD = (SiteStep.SET_POINTS, SiteStep.RAISE)
_HUNDREDTH = Decimal("0.01")
_OVERNIGHT = Decimal(12)
_ACCLIMATISE_DAYS = {False: 3, True: 7}
"""That boards lie in the room's air before they are cut; those of a relief, whose blocks and fins
show every gap, longer (common practice). [d]"""

# Work, its share of a piece's hours [%], and the wait after it [h]: planning values of the trade
# (common practice).
_Shares = tuple[tuple[Work, int, int], ...]
_BOX: _Shares = (
    (Work.RIP_AND_CUT, 30, 0),
    (Work.BOX_AND_FILL, 30, 1),
    (Work.FRONT, 20, 0),
    (Work.FINISH, 20, 12),
)
_WRAPPED: _Shares = ((Work.FRAME, 40, 1), (Work.CORE, 20, 0), (Work.FABRIC, 40, 0))
_SHARES: dict[PieceKind, _Shares] = {
    "block diffuser": (
        (Work.SAND_STICKS, 28, 0),
        (Work.CUT_BLOCKS, 16, 0),
        (Work.LAY_AND_GLUE, 23, 12),
        (Work.FRAME, 12, 0),
        (Work.FINISH, 21, 12),
    ),
    "well diffuser": (
        (Work.RIP_AND_CUT, 30, 0),
        (Work.GLUE_UP, 35, 12),
        (Work.FRAME, 15, 0),
        (Work.FINISH, 20, 12),
    ),
    "felt": ((Work.CUT, 100, 0),),
    "slatted box": _BOX,
    "perforated box": _BOX,
    "membrane trap": _BOX,
    "corner stack": (
        (Work.CUT_TRIANGLES, 50, 0),
        (Work.FRAME, 25, 1),
        (Work.FABRIC, 25, 0),
    ),
    "cloud": ((Work.FRAME, 50, 1), (Work.CORE, 20, 0), (Work.FABRIC, 30, 0)),
}


def site_order(lines: Sequence[HangingLine]) -> tuple[Fact[SiteStep], ...]:
    """Order of work on site, without what nothing that hangs needs."""
    if not lines:
        return ()
    left_out: set[SiteStep] = set()
    if all(line.cleat_m is None for line in lines):
        left_out |= set(_ON_CLEATS)
    if all(line.lift_points for line in lines):
        left_out.add(SiteStep.HANG)
    if not any(line.lift_points for line in lines):
        left_out |= set(_OVERHEAD)
    return tuple(fact(step) for step in SiteStep if step not in left_out)


def operations(
    kind: PieceKind, hours: Decimal, practice: ShopPractice | None = None
) -> tuple[Operation, ...]:
    """Split the hours of one kind of piece by operation; they add up to the hours exactly. [h]

    The shop's own split where it has one, else the trade's usual one.

    >>> [str(o.hours) for o in operations("panel", Decimal("3.0"))]
    ['1.20', '0.60', '1.20']
    """
    if hours <= 0:
        return ()
    shares = _shares(kind, practice)
    split = [
        Operation(
            work=work,
            hours=(hours * share / 100).quantize(_HUNDREDTH, rounding=ROUND_HALF_UP),
            wait_hours=wait,
        )
        for work, share, wait in shares[:-1]
    ]
    work, _, wait = shares[-1]
    rest = hours - sum((operation.hours for operation in split), Decimal(0))
    return (*split, Operation(work=work, hours=rest, wait_hours=wait))


def _shares(
    kind: PieceKind, practice: ShopPractice | None
) -> tuple[tuple[Fact[Work], Decimal, Decimal], ...]:
    own = dict(practice.shares).get(kind) if practice else None
    if own:
        return tuple((fact(Work.OWN, name=name), share, wait) for name, share, wait in own)
    usual = _SHARES.get(kind, _WRAPPED)
    return tuple((fact(work), Decimal(share), Decimal(wait)) for work, share, wait in usual)


def day_plan(
    sheets: Sequence[PieceSheet], site_hours: Decimal, crew: int, practice: ShopPractice
) -> tuple[DayPlan, ...]:
    """Plan days in the shop, one person at a time, then days on site. [h]

    Work that waits overnight lets other pieces go ahead; no day is longer than the shop's.
    """
    queues = {sheet.piece: list(sheet.operations) for sheet in sheets if sheet.operations}
    days = _acclimatised(sheets)
    while queues:
        work = _shop_day(queues, practice.day_hours)
        queues = {piece: waiting for piece, waiting in queues.items() if waiting}
        hours = sum((task.hours for task in work), Decimal(0))
        days.append(DayPlan(day=_next(days), place="shop", work=work, hours=hours))
    while site_hours > 0:
        hours = min(site_hours, practice.day_hours)
        site_hours -= hours
        task = Task(work=fact(Work.INSTALL, people=crew), hours=hours)
        days.append(DayPlan(day=_next(days), place="site", work=(task,), hours=hours))
    return tuple(days)


def _next(days: Sequence[DayPlan]) -> int:
    """Number of the day after those planned; the first working day is 1."""
    return days[-1].day + 1 if days else 1


def _acclimatised(sheets: Sequence[PieceSheet]) -> list[DayPlan]:
    """Day 0, where wood lies in the room's air first: no hours, but days that pass."""
    wood = [sheet for sheet in sheets if Step.ACCLIMATISE in {step.kind for step in sheet.steps}]
    if not wood:
        return []
    relief = any(sheet.row_map or sheet.depths_m for sheet in wood)
    days = _ACCLIMATISE_DAYS[relief]
    task = Task(work=fact(Work.ACCLIMATISE, days=days), hours=Decimal(0))
    return [DayPlan(day=0, place="shop", work=(task,), hours=Decimal(0))]


def _shop_day(queues: dict[str, list[Operation]], day_hours: Decimal) -> tuple[Task, ...]:
    """Take one day's work off the queues, piece by piece, each until glue or finish must dry."""
    left, done = day_hours, list[Task]()
    for piece, waiting in queues.items():
        dries = False
        while waiting and left > 0 and not dries:
            operation = waiting[0]
            hours = min(left, operation.hours)
            left -= hours
            partly = hours < operation.hours
            wait = Decimal(0) if partly else operation.wait_hours
            done.append(
                Task(piece=piece, work=operation.work, hours=hours, partly=partly, wait_hours=wait)
            )
            if partly:
                waiting[0] = replace(operation, hours=operation.hours - hours)
                break
            waiting.pop(0)
            dries = operation.wait_hours >= _OVERNIGHT
    return tuple(done)


def pick_list(
    sheets: Sequence[PieceSheet], lines: Sequence[HangingLine]
) -> tuple[Fact[Packing], ...]:
    """What goes on the van, to tick off."""
    if not lines:
        return ()
    packed = [
        fact(Packing.PIECES, count=len(sheet.names), piece=sheet.piece, names=sheet.names)
        for sheet in sheets
    ]
    cleats = sum(line.cleat_length_m is not None for line in lines)
    if cleats:
        packed.append(fact(Packing.CLEATS, count=cleats))
    rails = dict.fromkeys(line.rail for line in lines if line.rail is not None)
    for rail in rails:
        packed.append(fact(Packing.RAILS, name=rail.name, long_m=rail.length_m, names=rail.names))
    fixings = [fixed for line in lines for fixed in line.all_fixings if fixed.count]
    screws, anchors = Counter[tuple[str, float | None]](), Counter[FixingKind]()
    for fixed in fixings:
        if fixed.fixing is FixingKind.WOOD_SCREW:
            screws[fixed.screw, fixed.screw_m] += fixed.count
        elif fixed.fixing in _ANCHORS:
            anchors[fixed.fixing] += fixed.count
    for (screw, length_m), count in screws.items():
        packed.append(fact(Packing.SCREWS, count=count, screw=screw, length_m=length_m))
    for kind, count in anchors.items():
        packed.append(fact(Packing.ANCHORS, count=count, fixing=kind))
    points = sum(len(line.lift_points) for line in lines)
    if points:
        wires = sum(len(line.tethers) for line in lines)
        packed.append(fact(Packing.HANGING_SETS, points=points, wires=wires))
    if any(line.top_m > _REACH_M or line.lift_points for line in lines):
        packed.append(fact(Packing.LADDER))
    if any(line.people > 1 for line in lines):
        packed.append(fact(Packing.SECOND_PERSON))
    faces = tuple(reversed(dict.fromkeys(line.face for line in lines)))
    return (
        *packed,
        fact(Packing.TOOLS),
        fact(Packing.PROTECTION),
        fact(Packing.WRAPPING),
        fact(Packing.LOADING, faces=faces),
        fact(Packing.TOUCH_UP),
        fact(Packing.MICROPHONE),
    )
