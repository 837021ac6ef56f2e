"""`roomcheck recommend`: plans side by side, one plan in full, a change, a piece explained."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from roomcheck.facts import fact
from roomcheck.job import Job, Placement
from roomcheck.recommend import Check, PieceReasons, Plan, PlanChange
from roomcheck.report.render.blocks import Block, Bullets, Heading, Table, Text, VerdictBox
from roomcheck.words import (
    NONE,
    Reader,
    change_lines,
    decibels,
    length,
    pieces_of,
    plan_notes,
    plan_title,
    reach,
    sentence,
    sentences,
    tighter,
    tolerance,
    why_lines,
)

MOST_SHORTFALLS = 3
"""Shortfalls shown of each plan before somebody asks for all."""


def plans_blocks(
    job: Job, plans: Sequence[Plan], totals: Sequence[Decimal], *, everything: bool = False
) -> tuple[Block, ...]:
    """The answer in a sentence, the plans in a table, what hangs by plan; `everything` adds what
    there is to know about each.

    Parameters
    ----------
    job : Job
    plans : sequence of Plan
    totals : sequence of Decimal
        Price of each with tax, as its quote says.
    everything : bool
    """
    reader = Reader(units=job.units)
    rows = []
    for number, (plan, total) in enumerate(zip(plans, totals, strict=True), 1):
        row = (
            f"{number}: {plan_title(plan, reader)}",
            str(len(plan.pieces)),
            _expected(plan),
            "yes" if plan.reaches_target else "no",
            NONE if plan.weeks is None else str(plan.weeks),
            f"{job.currency}{total:,.2f}",
        )
        rows.append(row)
    table = Table(
        heads=("Plan", "Pieces", "Mean T20 [s]", "On target", "Weeks", "Price"),
        rows=tuple(rows),
        align=("left", "right", "right", "left", "right", "right"),
    )
    hung = tuple(f"{number}: {_hung(plan)}" for number, plan in enumerate(plans, 1))
    blocks: list[Block] = [_answer(plans, totals, job), table, Bullets(items=hung)]
    for number, plan in enumerate(plans, 1):
        lines = _lines(plan, reader, everything)
        if lines:
            title = Heading(text=f"{number}: {plan_title(plan, reader)}", level=2)
            blocks += [title, Bullets(items=lines)]
    more = f"Places of one plan: roomcheck recommend {job.folder} --plan 2"
    if not everything:
        more += "; all that is known of each: --all"
    return (*blocks, Text(body=more, small=True))


def _answer(plans: Sequence[Plan], totals: Sequence[Decimal], job: Job) -> VerdictBox:
    """What reaches the target, for how much."""
    reaching = [i for i, plan in enumerate(plans) if plan.reaches_target]
    if not reaching:
        closest = "no plan of this stock reaches the target with its whole range."
        return VerdictBox(word="Not reached:", sentence=closest, tone="bad")
    if not any(plan.pieces for plan in plans):
        return VerdictBox(word="Good as it is:", sentence="nothing needs to hang.", tone="good")
    least = min(reaching, key=lambda i: (totals[i], i))
    price = f"{job.currency}{totals[least]:,.2f}"
    pieces = len(plans[least].pieces)
    answer = f"plan {least + 1} reaches the target with {pieces} pieces for {price}."
    return VerdictBox(word="Reached:", sentence=answer, tone="good")


def _expected(plan: Plan) -> str:
    prediction = plan.prediction
    if prediction.mid_likely_s is None:
        return NONE
    ends = reach(prediction.mid_low_s, prediction.mid_high_s)
    return f"{prediction.mid_likely_s:.2f} ({ends})"


def _hung(plan: Plan) -> str:
    counts = pieces_of(tuple(placed.piece for placed in plan.pieces))
    return "; ".join(f"{count} × {piece}" for piece, count in counts) or "nothing to hang"


def _lines(plan: Plan, reader: Reader, everything: bool) -> tuple[str, ...]:
    missed = sentences(plan.shortfalls, reader)
    if everything:
        return (*missed, *plan_notes(plan, reader))
    left = len(missed) - MOST_SHORTFALLS
    more = (f"and {left} more",) if left > 0 else ()
    return (*missed[:MOST_SHORTFALLS], *more)


def plan_blocks(job: Job, plan: Plan, *, everything: bool = False) -> tuple[Block, ...]:
    """One plan: its pieces by face, what it misses and what to check before drilling; `everything`
    adds reasons, reflections, notes and tolerances."""
    reader = Reader(units=job.units)
    missed = sentences(plan.shortfalls, reader)
    blocks: list[Block] = [
        Heading(text=plan_title(plan, reader)),
        _reached(plan),
        *_places(job, plan),
    ]
    if missed:
        blocks += [Heading(text="What this plan does not reach", level=2), Bullets(items=missed)]
    if everything:
        blocks += _all_of(plan, reader)
    elif plan.pieces:
        count = len(plan.checks)
        more = (
            f"{count} warnings to check on site before drilling, and reasons, reflections and "
            "notes: --all"
        )
        blocks.append(Text(body=more, small=True))
    return tuple(blocks)


def _reached(plan: Plan) -> VerdictBox:
    expected = f"mean T20 {_expected(plan)} s expected." if plan.pieces else "nothing to hang."
    if plan.reaches_target:
        return VerdictBox(word="On target:", sentence=expected, tone="good")
    return VerdictBox(word="Not wholly on target:", sentence=expected, tone="open")


def _places(job: Job, plan: Plan) -> tuple[Block, ...]:
    """The pieces face by face, alike ones in a row."""
    blocks: list[Block] = []
    for face in job.room.faces:
        here = [placed for placed in plan.pieces if placed.face == face.name]
        if not here:
            continue
        rows = tuple(_place(job, placed) for placed in here)
        table = Table(
            heads=("", "Piece", "From left", "Up", "Width", "Height"),
            rows=rows,
            align=("left", "left", "right", "right", "right", "right"),
        )
        blocks += [Heading(text=face.name.capitalize(), level=2), table]
    return tuple(blocks)


def _place(job: Job, placed: Placement) -> tuple[str, ...]:
    place = placed.place
    sizes = (place.u_m, place.v_m, place.width_m, place.height_m)
    return (placed.name, placed.piece, *(length(size_m, job) for size_m in sizes))


def _all_of(plan: Plan, reader: Reader) -> list[Block]:
    reasons = tuple(
        f"{placed.name}: {' '.join(sentences(placed.reasons, reader))}" for placed in plan.pieces
    )
    lists = (
        ("Why each piece hangs there", reasons),
        ("Notes", plan_notes(plan, reader)),
        ("First reflections", _reflections(plan, reader)),
        ("What may be promised", _promised(plan, reader)),
        (
            "To check on site before drilling (warnings; nothing here is approved)",
            tuple(_check(check, reader) for check in plan.checks),
        ),
    )
    blocks: list[Block] = []
    for title, lines in lists:
        if lines:
            blocks += [Heading(text=title, level=2), Bullets(items=lines)]
    return blocks


def _reflections(plan: Plan, reader: Reader) -> tuple[str, ...]:
    lines = []
    for r in plan.reflections:
        piece = f" ({r.piece})" if r.piece else ""
        help_text = sentence(r.advice, reader) if r.advice else ""
        advice = f"; {help_text}" if help_text else ""
        levels = f"{decibels(r.before_db)} dB before, {decibels(r.after_db)} dB after"
        lines.append(
            f"{r.source} off the {r.face}, {1000 * r.delay_s:.1f} ms: {levels}{piece}{advice}"
        )
    return tuple(lines)


def _promised(plan: Plan, reader: Reader) -> tuple[str, ...]:
    now = tolerance(plan.promise)
    return (now, *(tighter(needs, reader) for needs in plan.promise.tighter)) if now else ()


def _check(check: Check, reader: Reader) -> str:
    named = f" ({', '.join(check.pieces)})" if check.pieces else ""
    return f"{sentence(fact(check.subject), reader)}: {sentence(check.caution, reader)}{named}"


def change_blocks(
    job: Job, change: PlanChange, *, kept: bool, everything: bool
) -> tuple[Block, ...]:
    """What a change by hand costs, and the plan after it."""
    lines = change_lines(change, Reader(units=job.units), job.currency)
    end = "Kept in job.toml." if kept else "Nothing is written yet; add --keep to hold on to it."
    return (
        Heading(text="What the change costs"),
        Bullets(items=lines),
        *plan_blocks(job, change.plan, everything=everything),
        Text(body=end),
    )


def why_blocks(job: Job, why: PieceReasons) -> tuple[Block, ...]:
    """Why one piece is there, and what there would be instead."""
    reader = Reader(units=job.units)
    blocks: list[Block] = [
        Heading(text=f"{why.name}: {why.piece} on the {why.face}"),
        Bullets(items=(*sentences(why.reasons, reader), *why_lines(why, job.currency))),
    ]
    if why.instead is not None:
        lines = change_lines(why.instead, reader, job.currency)
        title = "If nothing may hang there, the next best plan"
        blocks += [Heading(text=title, level=2), Bullets(items=lines)]
    return tuple(blocks)
