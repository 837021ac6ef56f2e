"""What was found behind a face, ticked in the shop and noted in hours."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from roomcheck.facts import Kind

TickList = Literal[
    "buy", "rack", "bar", "stop", "sheet", "cloth", "jig", "row", "step", "van", "cleat", "hung"
]
"""Lists that are ticked: bought, taken off the rack, cut, glued, packed, fixed, hung."""


class Behind(Kind):
    """What somebody found behind a face."""

    STUD = "stud"
    """The middle of a stud or joist is there."""
    NO_STUD = "no stud"
    """None is where the job has one."""
    CABLE = "cable"
    PIPE = "pipe"
    METAL = "metal"
    DOUBT = "doubt"
    """Something, and nobody knows what."""
    CLEARED = "cleared"
    """Who is licensed has looked at an earlier finding, and says that it is safe to drill."""


DANGERS = (Behind.CABLE, Behind.PIPE, Behind.METAL, Behind.DOUBT)
"""Nobody drills before a licensed person has looked."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """One finding, as somebody typed it at the wall."""

    number: int
    """From 1, in the order they were typed."""
    face: str
    what: Behind
    at_m: float | None = None
    """From the face's left corner; None where it was not measured [m]."""
    piece: str = ""
    """Name of the piece that was being hung; "" where none was."""
    of: int | None = None
    """Of what is cleared: number of the finding."""
    by: str = ""
    """Who typed it."""
    when: str = ""
    """Day and time, as kept."""
    note: str = ""
    """As typed; of what is cleared, who looked and on which licence."""
    taken_back: bool = False
    """Typed by mistake: it stays on record and counts for nothing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Tick:
    """One line that is done."""

    list: TickList
    item: str
    """What the line says, in the words of code: it holds as long as the line stays the same."""
    by: str = ""
    when: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class NotedHours:
    """Hours that somebody worked."""

    number: int
    """From 1."""
    piece: str
    """Name of the stock piece; "" for work on site."""
    work: str
    """Key of the work, or the shop's own name for it."""
    hours: Decimal
    """Person-hours [h]."""
    by: str = ""
    when: str = ""
    taken_back: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Clock:
    """Work that runs."""

    piece: str
    work: str
    by: str
    since: str
    """Day and time, ISO 8601."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Done:
    """All that was ticked and noted in the shop."""

    ticks: tuple[Tick, ...] = ()
    hours: tuple[NotedHours, ...] = ()
    clocks: tuple[Clock, ...] = ()

    def has(self, name: TickList, item: str) -> bool:
        return self.tick(name, item) is not None

    def tick(self, name: TickList, item: str) -> Tick | None:
        """The tick of a line; None where it is open."""
        same = (tick for tick in self.ticks if (tick.list, tick.item) == (name, item))
        return next(same, None)

    def noted(self, piece: str, work: str) -> Decimal:
        """Hours that count for one work on one kind of piece. [h]"""
        counted = (
            one.hours
            for one in self.hours
            if not one.taken_back and (one.piece, one.work) == (piece, work)
        )
        return sum(counted, Decimal(0))
