"""What the hours go to, which day they fall on, what goes on the van."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from decimal import ROUND_HALF_UP, Decimal

from roomcheck.job import Practice
from roomcheck.workshop.results import DayPlan, HangingLine, Operation, PieceSheet

_HUNDREDTH = Decimal("0.01")
_OVERNIGHT = Decimal(12)

_BOX = (
    ("rip and cut", "0.30", "0"),
    ("box and fill", "0.30", "1"),
    ("front", "0.20", "0"),
    ("finish", "0.20", "12"),
)
# Shares of a piece's hours, and the wait after each: planning values of the trade (common
# practice).
_SHARES: dict[str, tuple[tuple[str, str, str], ...]] = {
    "block diffuser": (
        ("sand sticks", "0.28", "0"),
        ("cut blocks", "0.16", "0"),
        ("lay and glue", "0.23", "12"),
        ("frame", "0.12", "0"),
        ("finish", "0.21", "12"),
    ),
    "well diffuser": (
        ("rip and cut", "0.30", "0"),
        ("glue up", "0.35", "12"),
        ("frame", "0.15", "0"),
        ("finish", "0.20", "12"),
    ),
    "felt": (("cut", "1", "0"),),
    "slatted box": _BOX,
    "perforated box": _BOX,
    "membrane trap": _BOX,
    "corner stack": (
        ("cut triangles", "0.50", "0"),
        ("frame", "0.25", "1"),
        ("fabric", "0.25", "0"),
    ),
    "cloud": (("frame", "0.50", "1"), ("core", "0.20", "0"), ("fabric", "0.30", "0")),
}
_WRAPPED = (("frame", "0.40", "1"), ("core", "0.20", "0"), ("fabric", "0.40", "0"))

ORDER = (
    "Protect the floor; clear and light the wall.",
    (
        "Find and mark studs and joists, wires and pipes; compare with the sheet before the first "
        "hole."
    ),
    (
        "One level line for each row of equal pieces; check the cleat line against a scrap hooked "
        "into the real piece."
    ),
    "All cleats, screws staggered, pilot holes in the studs.",
    "Tap every cleat, then hang twice the piece's weight on the first for a minute and look.",
    (
        "Pieces on; slide them to their left edges; shim until plumb; levels within 1/16 in (1.5 "
        "mm) over a row."
    ),
    "In public rooms lock each piece with a screw through its cleat.",
    "Photographs with a tape in the picture; then the sweep again at the stored places.",
)


def operations(
    kind: str, hours: Decimal, practice: Practice | None = None
) -> tuple[Operation, ...]:
    """Hours of one kind of piece by operation; they add up to the hours exactly.

    The shop's own split where it has one, else the trade's usual one.

    >>> [str(o.hours) for o in operations("panel", Decimal("3.0"))]
    ['1.20', '0.60', '1.20']
    """
    if hours <= 0:
        return ()
    own = dict(practice.shares).get(kind) if practice else None
    usual = tuple(
        (name, 100 * Decimal(s), Decimal(w)) for name, s, w in _SHARES.get(kind, _WRAPPED)
    )
    shares = own or usual
    found = [
        Operation(
            name=name,
            hours=(hours * share / 100).quantize(_HUNDREDTH, rounding=ROUND_HALF_UP),
            wait_hours=wait,
        )
        for name, share, wait in shares[:-1]
    ]
    name, _, wait = shares[-1]
    rest = hours - sum((o.hours for o in found), Decimal(0))
    return (*found, Operation(name=name, hours=rest, wait_hours=wait))


def day_plan(
    sheets: Sequence[PieceSheet], site_hours: Decimal, crew: int, practice: Practice
) -> tuple[DayPlan, ...]:
    """Days in the shop, one person at a time, then days on site.

    Work that waits overnight lets other pieces go ahead; no day is longer than the shop's.
    """
    queues = {sheet.piece: list(sheet.operations) for sheet in sheets if sheet.operations}
    days: list[DayPlan] = []
    while queues:
        left, done, blocked = practice.day_hours, [], set[str]()
        for piece in list(queues):
            while queues[piece] and left > 0 and piece not in blocked:
                task = queues[piece][0]
                now = min(left, task.hours)
                left -= now
                done.append(
                    f"{piece}: {task.name}{'' if now == task.hours else ', part'} "
                    f"({now.normalize():f} h)"
                )
                if now < task.hours:
                    queues[piece][0] = Operation(
                        name=task.name, hours=task.hours - now, wait_hours=task.wait_hours
                    )
                    break
                queues[piece].pop(0)
                if task.wait_hours >= _OVERNIGHT:
                    blocked.add(piece)
        queues = {piece: tasks for piece, tasks in queues.items() if tasks}
        days.append(
            DayPlan(
                day=len(days) + 1, place="shop", work=tuple(done), hours=practice.day_hours - left
            )
        )
    people = f"{crew} {'person' if crew == 1 else 'people'}"
    while site_hours > 0:
        now = min(site_hours, practice.day_hours)
        site_hours -= now
        days.append(
            DayPlan(day=len(days) + 1, place="site", work=(f"install, {people}",), hours=now)
        )
    return tuple(days)


def pick_list(sheets: Sequence[PieceSheet], lines: Sequence[HangingLine]) -> tuple[str, ...]:
    """What goes on the van, to tick off."""
    if not lines:
        return ()
    found = [f"{len(s.names)} × {s.piece}: {', '.join(s.names)}" for s in sheets]
    cleats = sum(line.cleat_length_m is not None for line in lines)
    if cleats:
        found.append(
            f"{cleats} wall cleats, marked with their piece's name, and a scrap of one to hook in"
        )
    screws = Counter[str]()
    for line in lines:
        if line.screws and line.screw:
            screws[line.screw] += line.screws
    found += [f"{count} screws {screw} and a tenth more" for screw, count in screws.items()]
    if any(line.people > 1 for line in lines):
        found.append("a second person, and a strip to carry the weight meanwhile")
    found += [
        (
            "level line, tape, stud finder with magnet, probe, pilot drills, shims, pencil, floor "
            "cover, vacuum"
        ),
        "goggles, masks, gloves, ear protection, first aid",
        "microphone, stand, recorder, the list of stored places",
    ]
    return tuple(found)
