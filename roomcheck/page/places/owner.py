"""Everything on one screen for the owner of the shop, from what is kept alone: nothing is computed
here, and what would need it is said."""

from __future__ import annotations

import datetime
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from roomcheck.chain import Chain
from roomcheck.errors import RoomcheckError
from roomcheck.job import Job
from roomcheck.page.base.folder import Folder, Shown
from roomcheck.page.base.memory import Memory
from roomcheck.page.places.jobs import MENDED, next_step
from roomcheck.quote import (
    Agreement,
    Balance,
    balance,
    promised_day,
    read_bills,
    read_change_orders,
    together,
)
from roomcheck.report import html_blocks, no_work_blocks, record_blocks, unknown_blocks, work_blocks
from roomcheck.verify import Verification
from roomcheck.words import money
from roomcheck.workshop import BuildSheet, over_jobs

AMOUNTS = ("agreed", "billed", "paid", "open")


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """Where one job stands."""

    name: str
    job: Job | None = None
    problem: str = ""
    """Why its files, or what was signed, cannot be read."""
    agreement: Agreement | None = None
    promised: datetime.date | None = None
    balance: Balance | None = None
    by_hand: bool = False
    """Whether a signed file was changed since."""
    again: bool = False
    """Whether it was measured after the work: then its pieces hang."""
    sheet: BuildSheet | None = None
    verification: Verification | None = None

    @property
    def title(self) -> str:
        return self.name if self.job is None else self.job.title

    @property
    def to_build(self) -> bool:
        return self.agreement is not None and not self.again


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One job as the table has it."""

    name: str
    title: str
    client: str
    made_up: bool
    next_place: str
    next_step: str
    signed: str
    promised: str
    late: bool
    money: Mapping[str, str]
    """`AMOUNTS` as text; empty where nothing is signed."""
    by_hand: bool
    problem: str


@dataclass(frozen=True, slots=True, kw_only=True)
class OwnerPage:
    """All that the screen shows."""

    rows: tuple[Row, ...]
    sums: tuple[Mapping[str, str], ...]
    """`AMOUNTS` of all jobs, one a currency."""
    work: str
    """Pieces and the buy list, as HTML."""
    record: str
    """Promises against second measurements, as HTML."""


def owner_page(folder: Folder, memory: Memory, today: datetime.date) -> OwnerPage:
    """The screen of a folder of jobs."""
    found = tuple(_remembered(folder, memory, shown) for shown in folder.shown())
    return OwnerPage(
        rows=tuple(_row(one, today) for one in found),
        sums=tuple(_sums(found)),
        work=_work(found),
        record=_record(found),
    )


def _remembered(folder: Folder, memory: Memory, shown: Shown) -> Standing:
    if shown.job is None:
        return Standing(name=shown.name, problem=shown.problem)
    job, asked = shown.job, ("owner", shown.name)
    return memory.of(asked, folder.of(shown.name), lambda: standing(shown.name, job))


def standing(name: str, job: Job) -> Standing:
    """Where a job stands, as far as it is kept."""
    try:
        return _signed(name, Chain(job=job))
    except RoomcheckError as problem:
        return Standing(name=name, job=job, problem=str(problem))


def _signed(name: str, chain: Chain) -> Standing:
    job, agreement = chain.job, chain.agreement
    if agreement is None:
        return Standing(name=name, job=job)
    changes = read_change_orders(job.folder)
    again = chain.has_takes("after")
    return Standing(
        name=name,
        job=job,
        agreement=agreement,
        promised=promised_day(agreement, changes),
        balance=balance(agreement, changes, read_bills(job.folder)),
        by_hand=bool(chain.changed_by_hand),
        again=again,
        sheet=None if again else chain.kept_sheet(),
        verification=chain.kept_verification() if again else None,
    )


def _row(one: Standing, today: datetime.date) -> Row:
    job, agreement = one.job, one.agreement
    place, step = MENDED if job is None or one.problem else next_step(job)
    return Row(
        name=one.name,
        title=one.title,
        client="" if job is None else job.client,
        made_up=job is not None and job.made_up,
        next_place=place,
        next_step=step,
        signed="" if agreement is None else agreement.signed_on,
        promised="" if one.promised is None else one.promised.isoformat(),
        late=one.promised is not None and not one.again and one.promised < today,
        money=_amounts(job, one.balance),
        by_hand=one.by_hand,
        problem=one.problem,
    )


def _amounts(job: Job | None, found: Balance | None) -> Mapping[str, str]:
    if job is None or found is None:
        return {}
    return {key: money(getattr(found, key), job) for key in AMOUNTS}


def _by_currency(found: Sequence[Standing]) -> Mapping[str, list[tuple[Job, Standing]]]:
    """Jobs that can be read, by the money that they are counted in."""
    groups: dict[str, list[tuple[Job, Standing]]] = {}
    for one in found:
        if one.job is not None:
            groups.setdefault(one.job.currency, []).append((one.job, one))
    return groups


def _sums(found: Sequence[Standing]) -> list[Mapping[str, str]]:
    sums = []
    for group in _by_currency(found).values():
        balances = [one.balance for _, one in group if one.balance is not None]
        if balances:
            sums.append(_amounts(group[0][0], together(balances)))
    return sums


def _work(found: Sequence[Standing]) -> str:
    """Pieces and buy lists; jobs of one title are told apart by their folders."""
    waiting = [one for one in found if one.to_build]
    parts = [html_blocks(unknown_blocks("over_unknown", _called(found, _unplanned(waiting))))]
    for group in _by_currency([one for one in waiting if one.sheet is not None]).values():
        names = _called(found, [one for _, one in group])
        sheets = [one.sheet for _, one in group]
        work = over_jobs({n: s for n, s in zip(names, sheets, strict=True) if s is not None})
        parts.insert(-1, html_blocks(work_blocks(group[0][0], work)))
    if len(parts) == 1:
        parts.insert(0, html_blocks(no_work_blocks(waiting=bool(waiting))))
    return "\n".join(parts)


def _unplanned(waiting: Sequence[Standing]) -> list[Standing]:
    return [one for one in waiting if one.sheet is None]


def _record(found: Sequence[Standing]) -> str:
    again = [one for one in found if one.agreement is not None and one.again]
    judged = [one for one in again if one.verification is not None]
    names = _called(found, judged)
    kept = {n: one.verification for n, one in zip(names, judged, strict=True) if one.verification}
    open_names = _called(found, [one for one in again if one.verification is None])
    return html_blocks((*record_blocks(kept), *unknown_blocks("over_record_unknown", open_names)))


def _called(found: Sequence[Standing], some: Sequence[Standing]) -> list[str]:
    """What jobs are called among all: by their titles, with the folder where two share one."""
    titles = [one.title for one in found]
    return [
        one.title if titles.count(one.title) == 1 else f"{one.title} ({one.name})" for one in some
    ]
