"""Planned hours beside those that were noted, work by work."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal

from roomcheck.facts import Fact, fact
from roomcheck.job import Done
from roomcheck.workshop.kinds import Work
from roomcheck.workshop.results import BuildSheet, PieceSheet

_HUNDREDTH = Decimal("0.01")


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkHours:
    """One work on all pieces of a kind."""

    piece: str
    """"" for work on site."""
    work: Fact[Work]
    key: str
    """As noted hours name it."""
    planned: Decimal
    """Person-hours [h]."""
    noted: Decimal
    """Person-hours [h]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceHours:
    """What one piece of a kind took, once each of its works has hours."""

    piece: str
    count: int
    planned_each: Decimal
    """[h]"""
    noted_each: Decimal
    """[h]"""


def work_key(work: Fact[Work]) -> str:
    """How noted hours name a work: by its kind, or by the shop's own name.

    >>> work_key(fact(Work.FRAME)), work_key(fact(Work.OWN, name="veneer"))
    ('frame', 'veneer')
    """
    return str(work["name"]) if work.kind is Work.OWN else str(work.kind)


def work_hours(sheet: BuildSheet, done: Done) -> tuple[WorkHours, ...]:
    """Every work of a build sheet, the site's last."""
    return tuple(_works(sheet, done))


def _works(sheet: BuildSheet, done: Done) -> Iterator[WorkHours]:
    for piece in sheet.sheets:
        for operation in piece.operations:
            key = work_key(operation.work)
            yield WorkHours(
                piece=piece.piece,
                work=operation.work,
                key=key,
                planned=operation.hours,
                noted=done.noted(piece.piece, key),
            )
    if sheet.install_hours > 0:
        crew = max((line.people for line in sheet.hanging), default=1)
        work = fact(Work.INSTALL, people=crew)
        yield WorkHours(
            piece="",
            work=work,
            key=work_key(work),
            planned=sheet.install_hours,
            noted=done.noted("", work_key(work)),
        )


def taken_hours(sheet: BuildSheet, done: Done) -> tuple[PieceHours, ...]:
    """What one piece of each kind took; kinds of which a work has no hours yet, or whose clock
    runs, are left out: half a piece teaches nothing."""
    running = {clock.piece for clock in done.clocks}
    found = [_piece_hours(piece, done) for piece in sheet.sheets if piece.piece not in running]
    return tuple(one for one in found if one is not None)


def _piece_hours(piece: PieceSheet, done: Done) -> PieceHours | None:
    works = [done.noted(piece.piece, work_key(one.work)) for one in piece.operations]
    count = len(piece.names)
    if not works or min(works) <= 0 or not count:
        return None
    return PieceHours(
        piece=piece.piece,
        count=count,
        planned_each=(piece.hours / count).quantize(_HUNDREDTH, rounding=ROUND_HALF_UP),
        noted_each=(sum(works, Decimal(0)) / count).quantize(_HUNDREDTH, rounding=ROUND_HALF_UP),
    )
