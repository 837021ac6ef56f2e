"""The options beside each other, where there is a choice; what the promise rests on; what to check
on site."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from roomcheck.facts import fact
from roomcheck.predict import BandPrediction
from roomcheck.recommend import Check, CheckSubject, Plan, Promise, ReflectionChange
from roomcheck.report.offer.front import hung_picture, what_hangs
from roomcheck.report.offer.offered import Offered
from roomcheck.report.pages.parts import rights, two_by_two
from roomcheck.report.render.blocks import Block, Bullets, Heading, Picture, Table, Text
from roomcheck.units import band_name
from roomcheck.words import (
    NONE,
    Reader,
    decibels,
    heading,
    mean_name,
    money,
    pieces_of,
    plan_title,
    promise_odds,
    reach,
    rounded_up,
    say,
    sentence,
    shortened,
    tighter_lines,
    yes_no,
)

MOST_REFLECTIONS = 6


def options(offered: Offered) -> tuple[Block, ...]:
    """The options beside each other; nothing where there is only one."""
    plans = [plan for plan, _ in offered.choices]
    if len(plans) < 2:
        return ()
    return (
        Heading(text=say("options_title")),
        _summary(offered),
        _bands(plans),
        *_reflections(plans),
        *two_by_two(tuple(_looks(offered))),
    )


def _summary(offered: Offered) -> Table:
    rows = []
    for plan, quote in offered.choices:
        row = (
            _title(plan),
            hung_pieces(plan) or say("no_pieces"),
            reach(plan.prediction.mid_low_s, plan.prediction.mid_high_s),
            yes_no(plan.reaches_target),
            NONE if plan.weeks is None else str(plan.weeks),
            money(quote.total, offered.job),
        )
        rows.append(row)
    heads = ("option", "pieces", "range", "reaches", "weeks", "price")
    mean = mean_name(offered.verdict.mid.bands_hz)
    return Table(
        heads=tuple(say(f"head_{name}") for name in heads),
        rows=tuple(rows),
        align=("left", "left", "right", "left", "right", "right"),
        wide=1,
        note=say("note_options", mean=mean),
    )


def hung_pieces(plan: Plan) -> str:
    """Return how many of each piece hang."""
    counts = pieces_of(tuple(placed.piece for placed in plan.pieces))
    return "; ".join(f"{count} × {piece}" for piece, count in counts)


def _bands(plans: Sequence[Plan]) -> Table:
    """Likely decay with its range in each octave, today and by plan."""
    by_plan = [{b.band_hz: b for b in plan.prediction.after} for plan in plans]
    before = {b.band_hz: b for b in plans[0].prediction.before}
    rows = []
    for hz in by_plan[0]:
        after = [_decay(bands.get(hz)) for bands in by_plan]
        if any(text != NONE for text in after):
            rows.append((band_name(hz), _today(before.get(hz)), *after))
    return _by_plan("head_band", plans, tuple(rows), "note_octaves")


def _today(band: BandPrediction | None) -> str:
    """As measured; as the tables say where it was not."""
    if band is None:
        return NONE
    now_s = band.likely_s if band.measured_s is None else band.measured_s
    return NONE if now_s is None else f"{now_s:.2f}"


def _decay(band: BandPrediction | None) -> str:
    if band is None or band.likely_s is None:
        return NONE
    return f"{band.likely_s:.2f} ({reach(band.low_s, band.high_s)})"


def _reflections(plans: Sequence[Plan]) -> tuple[Block, ...]:
    """First reflections that some plan changes, or that stay too loud where the use asks for quiet
    ones."""
    rows = []
    for same in zip(*(plan.reflections for plan in plans), strict=True):
        if any(after.piece or after.advice for after in same):
            now = same[0]
            name = f"{now.source}, {now.face}, {1000 * now.delay_s:.1f} ms"
            row = (name, decibels(now.before_db), *map(_afterwards, same))
            rows.append((now.before_db, row))
    if not rows:
        return ()
    rows.sort(key=lambda row: -row[0])
    loudest = tuple(row for _, row in rows[:MOST_REFLECTIONS])
    return (_by_plan("head_reflection", plans, loudest, "note_bounces"),)


def _afterwards(reflection: ReflectionChange) -> str:
    level = decibels(reflection.after_db)
    return f"{level} ({reflection.piece})" if reflection.piece else level


def _by_plan(
    head: str, plans: Sequence[Plan], rows: tuple[tuple[str, ...], ...], note: str
) -> Table:
    """What is named by `head`, today and by plan."""
    heads = (say(head), heading(say("today")), *map(_title, plans))
    return Table(heads=heads, rows=rows, align=rights(len(heads) - 1), note=say(note))


def _looks(offered: Offered) -> Iterator[Picture]:
    """What hangs in the options that are not on page one."""
    for plan, _ in offered.choices:
        if plan is not offered.plan and plan.pieces:
            caption = f"{plan_title(plan, offered.reader)}: {what_hangs(plan)}."
            alt = say("alt_hangs", pieces=caption)
            yield replace(hung_picture(offered.job, plan), alt=alt, caption=caption)


def tolerance(promise: Promise, reader: Reader) -> tuple[Block, ...]:
    """What the promised tolerance rests on, and what a tighter one would take."""
    if promise.tolerance_pct is None:
        return ()
    grade = ""
    if promise.grade not in ("", "none"):
        grade = say("acc_grade", grade=promise.grade)
    text = say(
        "acc_tolerance",
        pct=rounded_up(promise.tolerance_pct, 0),
        pairs=promise.positions,
        grade=grade,
    )
    lines = (*promise_odds(promise, reader), *tighter_lines(promise.tighter, reader))
    return (
        Text(lead=say("acc_tolerance_lead"), body=text),
        *((Bullets(items=lines),) if lines else ()),
    )


def to_look_at(plan: Plan, reader: Reader) -> tuple[Block, ...]:
    """The plan's check list: warnings, never approvals."""
    if not plan.checks:
        return ()
    return (
        Heading(text=say("checks_title")),
        Text(body=say("checks_say")),
        Bullets(items=tuple(_check(check, reader) for check in plan.checks)),
    )


def _check(check: Check, reader: Reader) -> str:
    named = f" ({shortened(check.pieces)})" if check.pieces else ""
    subject = sentence(fact(check.subject), reader)
    if check.subject is CheckSubject.FIRE_PAPERS:
        # As older plans were signed, this names the shop's file.
        return f"{subject}: {say('fire_unknown')}"
    return f"{subject}: {sentence(check.caution, reader)}{named}"


def _title(plan: Plan) -> str:
    return plan_title(plan, Reader("client"))
