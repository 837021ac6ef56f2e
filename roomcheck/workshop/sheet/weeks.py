"""Which pieces the shop builds in which week, jobs in the order of their promised days."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from roomcheck.job import Done
from roomcheck.workshop.results import BuildSheet, Operation
from roomcheck.workshop.sheet.hours import work_key


@dataclass(frozen=True, slots=True, kw_only=True)
class WeekOf:
    """One kind of piece of one job in the week in which it is begun."""

    week: int
    """From 1, this one."""
    job: str
    piece: str
    names: tuple[str, ...]
    hours: Decimal
    """Left to build them: planned, less what is noted [h]."""


def by_week(
    jobs: Sequence[tuple[str, BuildSheet, Done]], hours_a_week: Decimal
) -> tuple[WeekOf, ...]:
    """Fill weeks of bench hours with the pieces of jobs, in the order given.

    Parameters
    ----------
    jobs : sequence of (name, sheet, done)
        The job that is promised first stands first.
    hours_a_week : Decimal
        That go into building; above 0. [h]
    """
    weeks, filled = list[WeekOf](), Decimal(0)
    for job, sheet, done in jobs:
        for piece in sheet.sheets:
            left = sum(_left(piece.piece, piece.operations, done), Decimal(0))
            if left <= 0:
                continue
            week = int(filled / hours_a_week) + 1
            weeks.append(
                WeekOf(week=week, job=job, piece=piece.piece, names=piece.names, hours=left)
            )
            filled += left
    return tuple(weeks)


def _left(piece: str, operations: Iterable[Operation], done: Done) -> list[Decimal]:
    """Hours left of each work: none below 0."""
    return [
        max(one.hours - done.noted(piece, work_key(one.work)), Decimal(0)) for one in operations
    ]
