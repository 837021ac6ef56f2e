"""All jobs of the shop on one page, for its owner: what is built, bought, and was kept."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from decimal import Decimal

from roomcheck.job import Job
from roomcheck.report.pages.certificate import change_row
from roomcheck.report.pages.parts import blocks
from roomcheck.report.render.blocks import Align, Block, CautionBox, Heading, Table, Text
from roomcheck.report.shop_pages.shop_cutting import share_text
from roomcheck.report.shop_pages.shopsheets import packs_text
from roomcheck.units import band_name
from roomcheck.verify import Foretold, Kept, Verification, inside, record
from roomcheck.words import (
    beside,
    by,
    counted,
    hours,
    money,
    quantity,
    say,
    size,
    stock_names,
    yes_no,
)
from roomcheck.workshop import CutTogether, PartOf, SharedPurchase, WeekOf, WorkOverJobs


def work_blocks(
    job: Job,
    work: WorkOverJobs,
    weeks: Sequence[WeekOf] = (),
    together: Sequence[CutTogether] | None = (),
    called: Mapping[str, str] | None = None,
    begun: Sequence[str] = (),
) -> tuple[Block, ...]:
    """Pieces to build, what to buy for them, and how it is cut.

    Parameters
    ----------
    job : Job
        Any one of them, for how its money and lengths are written.
    together : sequence of CutTogether or None
        One buy list and cutting plan over jobs that are not begun; nothing where they are fewer
        than two, None where it is not worked out.
    called : mapping of str to str, optional
        What the plan's jobs are called.
    begun : sequence of str
        Jobs that are bought and cut by their own sheet.
    """
    names = called or {}
    shared = [_together(job, plan, names) for plan in together or ()]
    buy = blocks(*shared) if shared else _buy(job, work)
    rest = unknown_blocks("over_buy_begun", begun) if shared else ()
    return blocks(_refused(work), _weeks(job, weeks), _pieces(work), buy, _lacking(job, work), rest)


def _weeks(job: Job, weeks: Sequence[WeekOf]) -> tuple[Block, ...]:
    """What is begun this week and after it."""
    if not weeks:
        return ()
    rows = [
        (
            say("over_this_week") if one.week == 1 else say("over_next_week", week=one.week),
            f"{len(one.names)} × {one.piece}",
            hours(one.hours),
            one.job,
        )
        for one in weeks
    ]
    heads = ("head_week", "head_item", "head_hours_left", "over_jobs")
    table = Table(
        heads=tuple(map(say, heads)), rows=tuple(rows), align=("left", "left", "right", "left")
    )
    this_week = sum((one.hours for one in weeks if one.week == 1), Decimal(0))
    a_week = hours(job.shop.rates.bench_hours_week)
    said = say("over_weeks_say", hours=a_week, week=hours(this_week))
    return (Heading(text=say("over_weeks")), Text(body=said), table)


def _together(job: Job, plan: CutTogether, names: Mapping[str, str]) -> tuple[Block, ...]:
    """One buy list and one cutting plan."""

    def name(key: str) -> str:
        return names.get(key, key)

    rows = [
        (
            line.purchase.item,
            packs_text(line.purchase),
            money(line.purchase.cost, job),
            "; ".join(
                f"{quantity(net)} {line.purchase.unit} {name(key)}" for key, net in line.jobs
            ),
        )
        for line in plan.purchases
    ]
    heads = ("head_item", "head_packs", "head_cost", "over_jobs")
    buy = Table(
        heads=tuple(map(say, heads)), rows=tuple(rows), align=("left", "right", "right", "left")
    )
    jobs = " and ".join(map(name, plan.jobs))
    said = say(
        "over_buy_together", jobs=jobs, cost=money(plan.cost, job), apart=money(plan.apart, job)
    )
    return (
        Heading(text=say("over_buy")),
        Text(body=said),
        buy,
        Heading(text=say("over_cut")),
        Text(body=say("over_cut_say")),
        *_stops(job, plan, names),
        *_bars(job, plan, name),
        *_sheets(job, plan, name),
        *_rolls(job, plan, name),
        *_left(job, plan),
    )


Name = Callable[[str], str]


def _nets(line: SharedPurchase, name: Name) -> str:
    """What each job needs of an item, before waste."""
    unit = line.purchase.unit
    return "; ".join(f"{quantity(net)} {unit} {name(key)}" for key, net in line.jobs)


def _parts(job: Job, parts: Sequence[PartOf], name: Name) -> str:
    """Parts with their jobs, in one line."""
    texts = []
    for part in parts:
        text = size(part.length_m, job)
        if part.width_m is not None:
            text = by(part.width_m, part.length_m, job)
        texts.append(say("over_part", count=part.count, size=text, job=name(part.job)))
    return "; ".join(texts)


def _table(
    title: str, heads: tuple[str, ...], rows: Sequence[tuple[str, ...]]
) -> tuple[Block, ...]:
    if not rows:
        return ()
    left: Align = "left"
    align: tuple[Align, ...] = (left,) * len(heads)
    table = Table(heads=tuple(map(say, heads)), rows=tuple(rows), align=align, wide=len(heads) - 1)
    return (Heading(text=say(title), level=2), table)


def _stops(job: Job, plan: CutTogether, names: Mapping[str, str]) -> tuple[Block, ...]:
    rows = [
        (
            setup.stock,
            size(setup.stop_m, job),
            str(setup.count),
            "; ".join(_of_job(share_text(job, *share), names) for share in setup.parts),
        )
        for setup in plan.setups
    ]
    return _table("over_stops", ("head_stock", "head_stop", "head_count", "head_for"), rows)


def _of_job(text: str, names: Mapping[str, str]) -> str:
    """A share of a setting, its job by what it is called."""
    for key, called in names.items():
        text = text.replace(f", {key}: ", f", {called}: ")
    return text


def _bars(job: Job, plan: CutTogether, name: Name) -> tuple[Block, ...]:
    rows = [
        (
            bar.item,
            f"{bar.count} × {size(bar.length_m, job)}" + (f", {say('offcut')}" * bar.offcut),
            size(bar.left_m, job),
            _parts(job, bar.parts, name),
        )
        for bar in plan.bars
    ]
    return _table("over_bars", ("head_stock", "head_bars", "head_left_over", "head_parts"), rows)


def _sheets(job: Job, plan: CutTogether, name: Name) -> tuple[Block, ...]:
    rows = []
    for strip in plan.strips:
        sheet = say("from_rack", number=strip.sheet) if strip.offcut else str(strip.sheet)
        row = (strip.item, sheet, size(strip.width_m, job), _parts(job, strip.parts, name))
        rows.append(row)
    return _table("over_sheets", ("head_stock", "head_sheet", "head_fence", "head_parts"), rows)


def _rolls(job: Job, plan: CutTogether, name: Name) -> tuple[Block, ...]:
    rows = [(row.item, size(row.length_m, job), _parts(job, row.parts, name)) for row in plan.rows]
    return _table("over_rolls", ("head_stock", "head_along", "head_parts"), rows)


def _left(job: Job, plan: CutTogether) -> tuple[Block, ...]:
    rows = [
        (
            offcut.item,
            size(offcut.length_m, job)
            if offcut.width_m is None
            else by(offcut.width_m, offcut.length_m, job),
            str(offcut.count),
        )
        for offcut in plan.leftovers
    ]
    return _table("over_left", ("head_stock", "head_length", "head_count"), rows)


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
    return blocks((Heading(text=say("over_buy")), said, table), _rack(work))


def _lacking(job: Job, work: WorkOverJobs) -> tuple[Block, ...]:
    """What no price list has."""
    texts = [
        say("over_unpriced", job=name, items=", ".join(stock_names(stocks, job.units)))
        for name, stocks in work.unpriced
    ]
    return tuple(Text(body=text) for text in texts)


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


def foretold_blocks(stood: Mapping[str, Sequence[Foretold]]) -> tuple[Block, ...]:
    """How predictions have stood against second measurements, octave by octave.

    Parameters
    ----------
    stood : mapping of str to sequence of Foretold
        By the name of the job.
    """
    values = [value for found in stood.values() for value in found]
    if not values:
        return ()
    rows = [
        (
            name,
            band_name(value.band_hz),
            f"{value.likely_s:.2f}",
            f"{value.low_s:.2f}–{value.high_s:.2f}",
            beside(value.measured_s, value.low_s, value.high_s),
            f"{value.off_pct:+.0f} %".replace("-", "−"),
            yes_no(value.inside),
        )
        for name, found in stood.items()
        for value in found
    ]
    heads = ("head_job", "head_band", "head_predicted", "head_range_s", "head_after", "head_off")
    table = Table(
        heads=tuple(map(say, (*heads, "head_inside"))),
        rows=tuple(rows),
        align=("left", "left", "right", "right", "right", "right", "left"),
        wide=0,
    )
    within, of = inside(values)
    said = say("over_foretold_say", inside=within, of=of)
    return (Heading(text=say("over_foretold")), Text(body=said), table)
