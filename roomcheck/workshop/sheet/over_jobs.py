"""Several jobs' build sheets as one: what is built, and what is bought for all of them.

Packs are those of every sheet by itself, added up: whether a pack could serve two jobs, a cutting
plan over all of them would have to say.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from roomcheck.workshop.results import BuildSheet, Purchase, Stock


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceOverJobs:
    """One kind of piece, in all jobs that have it."""

    piece: str
    count: int
    hours: Decimal
    """To build all of them [h]."""
    jobs: tuple[tuple[str, int], ...]
    """Each job with its number of them."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PurchaseOverJobs:
    """One line of the buy list, for all jobs that need it."""

    purchase: Purchase
    jobs: tuple[tuple[str, int], ...]
    """Each job with its packs."""


@dataclass(frozen=True, slots=True, kw_only=True)
class WorkOverJobs:
    """What lies before the shop."""

    pieces: tuple[PieceOverJobs, ...]
    purchases: tuple[PurchaseOverJobs, ...]
    count: int
    """Of all pieces."""
    build_hours: Decimal
    """Person-hours in the shop [h]."""
    install_hours: Decimal
    """Person-hours on site [h]."""
    cost: Decimal
    """Of all purchases."""
    from_rack: tuple[str, ...]
    """Jobs that are cut in part from offcuts on the rack: each counts all that lie there."""
    unpriced: tuple[tuple[str, tuple[Stock, ...]], ...]
    """Jobs with what the price list does not have, so that no line is bought for it."""
    refused: tuple[tuple[str, tuple[str, ...]], ...]
    """Jobs with pieces that must not be hung as planned."""


def over_jobs(sheets: Mapping[str, BuildSheet]) -> WorkOverJobs:
    """Add up build sheets.

    Parameters
    ----------
    sheets : mapping of str to BuildSheet
        By the name of the job; all prices in one currency.
    """
    pieces = tuple(_pieces(sheets))
    bought = tuple(_purchases(sheets))
    return WorkOverJobs(
        pieces=pieces,
        purchases=bought,
        count=sum(piece.count for piece in pieces),
        build_hours=sum((sheet.build_hours for sheet in sheets.values()), Decimal(0)),
        install_hours=sum((sheet.install_hours for sheet in sheets.values()), Decimal(0)),
        cost=sum((line.purchase.cost for line in bought), Decimal(0)),
        from_rack=tuple(job for job, sheet in sheets.items() if _takes_offcuts(sheet)),
        unpriced=tuple((job, sheet.unpriced) for job, sheet in sheets.items() if sheet.unpriced),
        refused=tuple((job, sheet.refusals) for job, sheet in sheets.items() if sheet.refusals),
    )


def _pieces(sheets: Mapping[str, BuildSheet]) -> Iterator[PieceOverJobs]:
    kinds: dict[str, list[tuple[str, int, Decimal]]] = {}
    for job, sheet in sheets.items():
        for piece in sheet.sheets:
            kinds.setdefault(piece.piece, []).append((job, len(piece.names), piece.hours))
    for name, found in kinds.items():
        yield PieceOverJobs(
            piece=name,
            count=sum(count for _, count, _ in found),
            hours=sum((hours for _, _, hours in found), Decimal(0)),
            jobs=tuple((job, count) for job, count, _ in found),
        )


def _purchases(sheets: Mapping[str, BuildSheet]) -> Iterator[PurchaseOverJobs]:
    """One line for each item in packs of one size; jobs that pay different prices share it."""
    lines: dict[tuple[str, str, Decimal], list[tuple[str, Purchase]]] = {}
    for job, sheet in sheets.items():
        for line in sheet.purchases:
            lines.setdefault((line.item, line.unit, line.pack), []).append((job, line))
    for found in lines.values():
        jobs = tuple((job, line.packs) for job, line in found)
        yield PurchaseOverJobs(purchase=_sum([line for _, line in found]), jobs=jobs)


def _sum(lines: Sequence[Purchase]) -> Purchase:
    """Purchases of one item in packs of one size as one."""
    return replace(
        lines[0],
        net=sum((line.net for line in lines), Decimal(0)),
        with_waste=sum((line.with_waste for line in lines), Decimal(0)),
        packs=sum(line.packs for line in lines),
        cost=sum((line.cost for line in lines), Decimal(0)),
        left=sum((line.left for line in lines), Decimal(0)),
        reserve=sum(line.reserve for line in lines),
    )


def _takes_offcuts(sheet: BuildSheet) -> bool:
    bars = any(bar.offcut for material in sheet.cutting for bar in material.plan.bars)
    return bars or any(panel.from_rack for panel in sheet.panels)
