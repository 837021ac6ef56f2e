"""Everything on one screen for the owner of the shop, from what is kept alone: what would have to
be worked out for it is said, and worked out beside the page."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from roomcheck.chain import Chain, begun, kept_together, to_build
from roomcheck.errors import RoomcheckError
from roomcheck.job import Done, Job, read_done
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
from roomcheck.report import (
    foretold_blocks,
    html_blocks,
    no_work_blocks,
    record_blocks,
    unknown_blocks,
    work_blocks,
)
from roomcheck.verify import Verification, foretold
from roomcheck.words import money
from roomcheck.workshop import BuildSheet, CutTogether, by_week, over_jobs

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
    chain: Chain | None = None
    sheet: BuildSheet | None = None
    to_build: bool = False
    """Whether it is signed and not done."""
    begun: bool = False
    """Whether it was bought or cut by its own sheet already."""
    done: Done = field(default_factory=Done)
    verification: Verification | None = None

    @property
    def title(self) -> str:
        return self.name if self.job is None else self.job.title


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
    """Pieces by week, the buy list and the cutting plan, as HTML."""
    waits: bool
    """Whether the cutting plan over all jobs is not worked out yet."""
    record: str
    """Promises against second measurements, as HTML."""


def owner_page(folder: Folder, memory: Memory, today: datetime.date) -> OwnerPage:
    """The screen of a folder of jobs."""
    found = tuple(_remembered(folder, memory, shown) for shown in folder.shown())
    return OwnerPage(
        rows=tuple(_row(one, today) for one in found),
        sums=tuple(_sums(found)),
        work=_work(folder, found),
        waits=_waits(folder, found),
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
        chain=None if again else chain,
        sheet=None if again else chain.kept_sheet(),
        to_build=to_build(chain),
        begun=begun(chain),
        done=read_done(job.folder),
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


def _work(folder: Folder, found: Sequence[Standing]) -> str:
    """Pieces, buy list and cutting plan; jobs of one title are told apart by their folders."""
    waiting = _by_day([one for one in found if one.to_build])
    parts = [html_blocks(unknown_blocks("over_unknown", _called(found, _unplanned(waiting))))]
    for group in _by_currency([one for one in waiting if one.sheet is not None]).values():
        ones = [one for _, one in group]
        names = _called(found, ones)
        sheets = {n: one.sheet for n, one in zip(names, ones, strict=True) if one.sheet}
        doing = [(n, one.sheet, one.done) for n, one in zip(names, ones, strict=True) if one.sheet]
        job = group[0][0]
        a_week = job.shop.rates.bench_hours_week
        weeks = by_week(doing, a_week) if a_week > 0 else ()
        kept = _kept_together(folder, ones)
        called = {one.name: name for name, one in zip(names, ones, strict=True)}
        own = [called[one.name] for one in ones if one.begun]
        blocks = work_blocks(job, over_jobs(sheets), weeks, kept, called, own)
        parts.insert(-1, html_blocks(blocks))
    if len(parts) == 1:
        parts.insert(0, html_blocks(no_work_blocks(waiting=bool(waiting))))
    return "\n".join(parts)


def _by_day(waiting: Sequence[Standing]) -> list[Standing]:
    """Jobs in the order of their promised days, those without one last."""
    return sorted(waiting, key=lambda one: (one.promised is None, one.promised or 0, one.name))


def _chains(ones: Iterable[Standing]) -> dict[str, Chain]:
    """Jobs that are bought and cut together: none that was begun by itself."""
    return {one.name: one.chain for one in ones if one.chain is not None and not one.begun}


def _kept_together(folder: Folder, ones: Sequence[Standing]) -> tuple[CutTogether, ...] | None:
    chains = _chains(ones)
    return kept_together(folder.path, chains) if len(chains) > 1 and not folder.single else ()


def _waits(folder: Folder, found: Sequence[Standing]) -> bool:
    """Whether a build sheet or the plan over all jobs is still to be worked out."""
    waiting = _by_day([one for one in found if one.to_build])
    if folder.single:
        return False
    if _unplanned(waiting):
        return True
    groups = _by_currency(waiting).values()
    return any(_kept_together(folder, [one for _, one in group]) is None for group in groups)


def _unplanned(waiting: Sequence[Standing]) -> list[Standing]:
    return [one for one in waiting if one.sheet is None]


def _record(found: Sequence[Standing]) -> str:
    again = [one for one in found if one.agreement is not None and one.again]
    judged = [one for one in again if one.verification is not None]
    names = _called(found, judged)
    kept = {n: one.verification for n, one in zip(names, judged, strict=True) if one.verification}
    stood = {
        n: foretold(one.agreement.plan.prediction, one.verification)
        for n, one in zip(names, judged, strict=True)
        if one.verification is not None and one.agreement is not None
    }
    open_names = _called(found, [one for one in again if one.verification is None])
    return html_blocks(
        (
            *record_blocks(kept),
            *foretold_blocks(stood),
            *unknown_blocks("over_record_unknown", open_names),
        )
    )


def _called(found: Sequence[Standing], some: Sequence[Standing]) -> list[str]:
    """What jobs are called among all: by their titles, with the folder where two share one."""
    titles = [one.title for one in found]
    return [
        one.title if titles.count(one.title) == 1 else f"{one.title} ({one.name})" for one in some
    ]
