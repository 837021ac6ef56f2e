"""`roomcheck recommend`: plans side by side, one plan in full, a change, a piece explained."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from roomcheck.facts import fact
from roomcheck.job import Job, Placement
from roomcheck.recommend import Check, PieceReasons, Plan, PlanChange
from roomcheck.report.offer.options import hung_pieces
from roomcheck.report.render.blocks import Align, Block, Bullets, Heading, Table, Text, VerdictBox
from roomcheck.words import (
    NONE,
    Reader,
    change_lines,
    counted,
    decibels,
    face_text,
    heading,
    length,
    money,
    plan_notes,
    plan_title,
    promise_odds,
    reach,
    say,
    sentence,
    sentences,
    shortened,
    tighter_lines,
    tolerance,
    why_lines,
    yes_no,
)

PLACE_HEADS = ("head_piece", "head_from_left", "head_up", "head_width", "head_height")

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
    titles = [
        say("plan_named", number=number, plan=plan_title(plan, reader))
        for number, plan in enumerate(plans, 1)
    ]
    blocks: list[Block] = [_answer(plans, totals, job), _side_by_side(job, plans, titles, totals)]
    hung = [
        say("plan_named", number=number, plan=hung_pieces(plan) or say("nothing_hangs"))
        for number, plan in enumerate(plans, 1)
    ]
    blocks.append(Bullets(items=tuple(hung)))
    for title, plan in zip(titles, plans, strict=True):
        lines = _lines(plan, reader, everything)
        if lines:
            blocks += [Heading(text=title, level=2), Bullets(items=lines)]
    hints = ("places_hint",) if everything else ("places_hint", "plans_hint")
    least = _least_reaching(plans, totals)
    number = 1 if least is None else least + 1
    more = Bullets(items=tuple(say(hint, folder=job.folder, number=number) for hint in hints))
    return (*blocks, more)


def _side_by_side(
    job: Job, plans: Sequence[Plan], titles: Sequence[str], totals: Sequence[Decimal]
) -> Table:
    rows = []
    for title, plan, total in zip(titles, plans, totals, strict=True):
        weeks = NONE if plan.weeks is None else str(plan.weeks)
        on_target = yes_no(plan.reaches_target)
        rows.append((title, _expected(plan), on_target, weeks, money(total, job)))
    heads = ("head_plan", "head_mean_t20", "head_on_target", "head_weeks", "head_price")
    return Table(
        heads=tuple(map(say, heads)),
        rows=tuple(rows),
        align=("left", "right", "left", "right", "right"),
        wide=0,
    )


def _least_reaching(plans: Sequence[Plan], totals: Sequence[Decimal]) -> int | None:
    """Index of the cheapest plan that reaches the target; None where none does."""
    reaching = [i for i, plan in enumerate(plans) if plan.reaches_target]
    return min(reaching, key=lambda i: (totals[i], i), default=None)


def _answer(plans: Sequence[Plan], totals: Sequence[Decimal], job: Job) -> VerdictBox:
    """What reaches the target, for how much."""
    least = _least_reaching(plans, totals)
    if least is None:
        return VerdictBox(word=say("not_reached"), sentence=say("not_reached_says"), tone="bad")
    if not any(plan.pieces for plan in plans):
        return VerdictBox(word=say("good"), sentence=say("nothing_hangs"), tone="good")
    answer = say(
        "reached_says",
        number=least + 1,
        pieces=counted(len(plans[least].pieces), "piece"),
        price=money(totals[least], job),
    )
    return VerdictBox(word=say("reached"), sentence=answer, tone="good")


def _expected(plan: Plan) -> str:
    prediction = plan.prediction
    if prediction.mid_likely_s is None:
        return NONE
    ends = reach(prediction.mid_low_s, prediction.mid_high_s)
    return f"{prediction.mid_likely_s:.2f} ({ends})"


def _lines(plan: Plan, reader: Reader, everything: bool) -> tuple[str, ...]:
    missed = sentences(plan.shortfalls, reader)
    if everything:
        return (*missed, *plan_notes(plan, reader))
    left = len(missed) - MOST_SHORTFALLS
    more = (say("and_more", count=left),) if left > 0 else ()
    return (*missed[:MOST_SHORTFALLS], *more)


MANY_PIECES = 12
"""More than so many are counted by face and kind where a plan is shown in short."""


def plan_blocks(
    job: Job, plan: Plan, *, everything: bool = False, short: bool = False
) -> tuple[Block, ...]:
    """One plan: its pieces by face, what it misses and what to check before drilling; `everything`
    adds reasons, reflections, notes and tolerances, `short` keeps to one screen."""
    reader = Reader(units=job.units)
    missed = sentences(plan.shortfalls, reader)
    in_short = short and len(plan.pieces) > MANY_PIECES
    places = _counted(plan) if in_short else _places(job, plan)
    blocks: list[Block] = [Heading(text=plan_title(plan, reader)), _reached(plan), *places]
    if missed:
        lines = _lines(plan, reader, everything=False) if short else missed
        blocks += [Heading(text=say("not_reached_title"), level=2), Bullets(items=lines)]
    if everything:
        blocks += _all_of(plan, reader)
    return tuple(blocks)


def plan_hint(plan: Plan) -> tuple[Block, ...]:
    """For the terminal: what more is known of a plan, and how to ask for it."""
    if not plan.pieces:
        return ()
    warnings = counted(len(plan.checks), "warning")
    return (Text(body=say("plan_hint", count=warnings), small=True),)


def _reached(plan: Plan) -> VerdictBox:
    sentence = say("nothing_hangs")
    if plan.pieces:
        sentence = say("expected", expected=_expected(plan))
    if plan.reaches_target:
        return VerdictBox(word=say("on_target"), sentence=sentence, tone="good")
    return VerdictBox(word=say("off_target"), sentence=sentence, tone="open")


def _counted(plan: Plan) -> tuple[Block, ...]:
    """How many of each kind hang on each face, and their names."""
    alike: dict[tuple[str, str], list[str]] = {}
    for placed in plan.pieces:
        alike.setdefault((placed.face, placed.piece), []).append(placed.name)
    rows = tuple(
        (face, piece, str(len(names)), shortened(names)) for (face, piece), names in alike.items()
    )
    heads = ("head_place", "head_item", "head_count", "head_hangs")
    align: tuple[Align, ...] = ("left", "left", "right", "left")
    return (Table(heads=tuple(map(say, heads)), rows=rows, align=align, wide=3),)


def _places(job: Job, plan: Plan) -> tuple[Block, ...]:
    """The pieces face by face, alike ones in a row."""
    blocks: list[Block] = []
    for face in job.room.faces:
        here = [placed for placed in plan.pieces if placed.face == face.name]
        if not here:
            continue
        rows = tuple(_place(job, placed) for placed in here)
        table = Table(
            heads=("", *map(say, PLACE_HEADS)),
            rows=rows,
            align=("left", "left", "right", "right", "right", "right"),
        )
        blocks += [Heading(text=heading(face_text(face)), level=2), table]
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
        (say("why_title"), reasons),
        (say("notes"), plan_notes(plan, reader)),
        (say("bounces_title"), _reflections(plan, reader)),
        (say("promised_title"), _promised(plan, reader)),
        (
            say("checks_screen"),
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
    tighter = tighter_lines(plan.promise.tighter, reader)
    return (now, *promise_odds(plan.promise, reader), *tighter) if now else ()


def pairs_blocks(job: Job, plan: Plan, *, kept: bool) -> tuple[Block, ...]:
    """What may be promised of a plan with the pairs that were asked for, and whether they are
    written."""
    reader = Reader(units=job.units)
    lines = _promised(plan, reader)
    return (
        Heading(text=f"{say('promised_title')}: {plan_title(plan, reader)}", level=2),
        Bullets(items=lines) if lines else Text(body=say("nothing_promised")),
        Text(body=say("change_kept" if kept else "change_not_kept")),
    )


def _check(check: Check, reader: Reader) -> str:
    named = f" ({shortened(check.pieces)})" if check.pieces else ""
    return f"{sentence(fact(check.subject), reader)}: {sentence(check.caution, reader)}{named}"


def change_blocks(
    job: Job, change: PlanChange, *, kept: bool, everything: bool
) -> tuple[Block, ...]:
    """What a change by hand costs, and the plan after it."""
    lines = change_lines(change, Reader(units=job.units), job.currency)
    return (
        Heading(text=say("by_hand_title")),
        Bullets(items=lines),
        *plan_blocks(job, change.plan, everything=everything, short=not everything),
        Text(body=say("change_kept" if kept else "change_not_kept")),
    )


def why_blocks(job: Job, why: PieceReasons) -> tuple[Block, ...]:
    """Why one piece is there, and what there would be instead."""
    reader = Reader(units=job.units)
    face = face_text(job.room.face(why.face))
    blocks: list[Block] = [
        Heading(text=say("why_piece", name=why.name, piece=why.piece, face=face)),
        Bullets(items=(*sentences(why.reasons, reader), *why_lines(why, job.currency))),
    ]
    if why.instead is not None:
        lines = change_lines(why.instead, reader, job.currency)
        blocks += [Heading(text=say("instead_title"), level=2), Bullets(items=lines)]
    return tuple(blocks)
