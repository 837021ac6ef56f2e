"""All jobs of the shop on one page, for its owner: what is built, bought, and was kept."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from roomcheck.job import Job
from roomcheck.report.pages.certificate import change_row
from roomcheck.report.pages.parts import blocks
from roomcheck.report.render.blocks import Align, Block, CautionBox, Heading, Table, Text
from roomcheck.report.shop_pages.shopsheets import packs_text
from roomcheck.verify import Kept, Verification, record
from roomcheck.words import counted, hours, money, quantity, say, stock_names
from roomcheck.workshop import WorkOverJobs


def work_blocks(job: Job, work: WorkOverJobs) -> tuple[Block, ...]:
    """Pieces to build and what to buy for them.

    Parameters
    ----------
    job : Job
        Any one of them, for how its money and lengths are written.
    """
    return blocks(_refused(work), _pieces(work), _buy(job, work))


def no_work_blocks(*, waiting: bool) -> tuple[Block, ...]:
    """What stands there where no build sheet is kept, of jobs that wait for one or of none."""
    none = () if waiting else (Text(body=say("over_none")),)
    return (Heading(text=say("over_pieces")), *none)


def _refused(work: WorkOverJobs) -> tuple[Block, ...]:
    if not work.refused:
        return ()
    items = [
        say("over_refused", job=name, names=", ".join(pieces)) for name, pieces in work.refused
    ]
    return (CautionBox(title=say("over_refused_title"), items=tuple(items)),)


def _pieces(work: WorkOverJobs) -> tuple[Block, ...]:
    rows = [
        (piece.piece, str(piece.count), hours(piece.hours), _shares(piece.jobs))
        for piece in work.pieces
    ]
    heads = tuple(map(say, ("head_item", "head_count", "head_hours", "over_jobs")))
    said = say(
        "over_pieces_say",
        count=counted(work.count, "piece"),
        build=hours(work.build_hours),
        install=hours(work.install_hours),
    )
    table = Table(heads=heads, rows=tuple(rows), align=("left", "right", "right", "left"), wide=0)
    return (Heading(text=say("over_pieces")), Text(body=said), table)


def _buy(job: Job, work: WorkOverJobs) -> tuple[Block, ...]:
    rows = []
    for line in work.purchases:
        bought = line.purchase
        need = f"{quantity(bought.net)} {bought.unit}"
        cost = money(bought.cost, job)
        rows.append((bought.item, need, packs_text(bought), cost, _shares(line.jobs)))
    heads = ("head_item", "head_need", "head_packs", "head_cost", "over_jobs")
    align: tuple[Align, ...] = ("left", "right", "right", "right", "left")
    table = Table(heads=tuple(map(say, heads)), rows=tuple(rows), align=align, wide=0)
    said = Text(body=say("over_buy_say", cost=money(work.cost, job)))
    lacking = [
        say("over_unpriced", job=name, items=", ".join(stock_names(stocks, job.units)))
        for name, stocks in work.unpriced
    ]
    return blocks(
        (Heading(text=say("over_buy")), said, table),
        _rack(work),
        tuple(Text(body=text) for text in lacking),
    )


def _rack(work: WorkOverJobs) -> tuple[Block, ...]:
    if len(work.from_rack) < 2:
        return ()
    return (Text(body=say("over_rack", jobs=" and ".join(work.from_rack))),)


def _shares(jobs: Sequence[tuple[str, int]]) -> str:
    return "; ".join(say("over_job", count=count, job=name) for name, count in jobs)


def record_blocks(verifications: Mapping[str, Verification]) -> tuple[Block, ...]:
    """How promises have stood against second measurements: counted, then value by value.

    Parameters
    ----------
    verifications : mapping of str to Verification
        By the name of the job.
    """
    title = Heading(text=say("over_record"))
    if not verifications:
        return (title, Text(body=say("over_record_none")))
    rows = [
        (name, *change_row(change)[:6])
        for name, verification in verifications.items()
        for change in verification.changes
        if change.kept is not Kept.NOT_PROMISED
    ]
    heads = ("head_job", "head_band", "head_before", "head_after", "head_95", "head_promise")
    table = Table(
        heads=tuple(map(say, (*heads, "head_kept"))),
        rows=tuple(rows),
        align=("left", "left", "right", "right", "right", "right", "left"),
        wide=0,
    )
    return (title, Text(body=_tallied(verifications)), *_anyway(verifications), table)


def _tallied(verifications: Mapping[str, Verification]) -> str:
    found = record(verifications.values())
    return say(
        "over_record_say",
        kept=found.jobs.kept,
        not_kept=found.jobs.not_kept,
        undecided=found.jobs.undecided,
        values=found.values.promised,
        values_kept=found.values.kept,
        values_not_kept=found.values.not_kept,
        values_undecided=found.values.undecided,
    )


def _anyway(verifications: Mapping[str, Verification]) -> tuple[Block, ...]:
    names = [name for name, one in verifications.items() if one.compared_anyway]
    return (Text(body=say("over_anyway", jobs=", ".join(names))),) if names else ()


def unknown_blocks(key: str, names: Sequence[str]) -> tuple[Block, ...]:
    """Jobs of which something is not worked out yet, by the key of the sentence that says so."""
    return (Text(body=say(key, jobs=", ".join(names))),) if names else ()
