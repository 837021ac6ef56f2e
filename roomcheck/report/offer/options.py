"""The three plans beside each other: what they reach, what they look like, and what each further
piece brings."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import zip_longest
from typing import TYPE_CHECKING, Any

from roomcheck.facts import fact
from roomcheck.geometry import Face
from roomcheck.job import Job
from roomcheck.predict import BandPrediction
from roomcheck.quote import Quote
from roomcheck.recommend import Check, Plan, Promise, ReflectionChange
from roomcheck.report.figures.drawings import plain
from roomcheck.report.figures.figures import INK, QUIET, SOFT, WIDE_IN, drawing, svg_of
from roomcheck.report.pages.parts import rights
from roomcheck.report.render.blocks import Block, Bullets, Heading, NewPage, Picture, Table, Text
from roomcheck.units import band_name
from roomcheck.words import (
    NONE,
    Reader,
    decibels,
    heading,
    money,
    pieces_of,
    plan_title,
    promise_odds,
    reach,
    rounded_up,
    say,
    sentence,
    tighter,
    yes_no,
)

if TYPE_CHECKING:
    from matplotlib.axes import Axes

MOST_REFLECTIONS = 6
SMALL = 0.62
"""Size of the walls side by side: three plans, their tables and their gains stand on one page.
[1]"""


def options(job: Job, plans: Sequence[Plan], quotes: Sequence[Quote]) -> tuple[Block, ...]:
    """One page for a client to choose from; nothing where there are no plans."""
    if not plans:
        return ()
    return (
        NewPage(),
        Heading(text=say("options_title")),
        _summary(job, plans, quotes),
        _bands(plans),
        *_reflections(plans),
        *_looks(job, plans),
        *_gains(plans),
    )


def _summary(job: Job, plans: Sequence[Plan], quotes: Sequence[Quote]) -> Table:
    rows = []
    for plan, quote in zip_longest(plans, quotes[: len(plans)]):
        weeks = NONE if plan.weeks is None else str(plan.weeks)
        price = NONE if quote is None else money(quote.total, job)
        row = (
            _title(plan),
            hung_pieces(plan) or say("no_pieces"),
            reach(plan.prediction.mid_low_s, plan.prediction.mid_high_s),
            yes_no(plan.reaches_target),
            _heard(plan),
            weeks,
            price,
        )
        rows.append(row)
    heads = ("option", "pieces", "range", "reaches", "heard", "weeks", "price")
    return Table(
        heads=tuple(say(f"head_{name}") for name in heads),
        rows=tuple(rows),
        align=("left", "left", "right", "left", "right", "right", "right"),
        wide=1,
        note=say("note_options"),
    )


def hung_pieces(plan: Plan) -> str:
    """Return how many of each piece hang."""
    counts = pieces_of(tuple(placed.piece for placed in plan.pieces))
    return "; ".join(f"{count} × {piece}" for piece, count in counts)


def _heard(plan: Plan) -> str:
    """Number of pieces, in order of benefit, after which nobody hears the rest in the decay, of how
    many."""
    if not plan.gains:
        return NONE
    heard = len(plan.gains) if plan.unheard_from is None else plan.unheard_from - 1
    return f"{heard} / {len(plan.gains)}"


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


def _looks(job: Job, plans: Sequence[Plan]) -> tuple[Block, ...]:
    hung = [plan for plan in plans if plan.pieces]
    if not hung:
        return ()
    listed = []
    for plan in hung:
        names = ", ".join(placed.name for placed in plan.pieces)
        listed.append(f"{_title(plan)}: {names}")
    alt = say("alt_looks", plans="; ".join(listed))
    return (Picture(svg=looks_svg(job, hung), alt=alt, caption=say("cap_looks")),)


def looks_svg(job: Job, plans: Sequence[Plan]) -> str:
    """Every plan's walls unfolded in a row, the ceiling after them, all at one scale."""
    faces = _shown(job, plans)
    gap = 0.06 * sum(f.width_m for f in faces) / len(faces)
    wide = sum(f.width_m for f in faces) + gap * (len(faces) - 1)
    tall = max(f.height_m for f in faces) + 0.13 * wide / WIDE_IN  # a line of words above
    with drawing(WIDE_IN, max(SMALL * len(plans) * tall / wide * WIDE_IN + 0.1, 0.6)) as figure:
        for row, plan in enumerate(plans):
            axes = figure.add_subplot(len(plans), 1, row + 1)
            axes.set_axis_off()
            axes.set_xlim(0, wide)
            axes.set_ylim(0, tall)
            axes.set_aspect("equal")
            _unfolded(axes, job, faces, plan, gap)
            axes.set_title(_title(plan), loc="left", fontsize=7.5, pad=2)
        return svg_of(figure)


def _shown(job: Job, plans: Sequence[Plan]) -> list[Face]:
    """Every wall, and the ceiling where some plan hangs something there."""
    above = any(job.room.face(p.face).kind == "ceiling" for plan in plans for p in plan.pieces)
    return [
        face for face in job.room.faces if face.kind == "wall" or (above and face.kind == "ceiling")
    ]


def _unfolded(axes: Axes, job: Job, faces: Sequence[Face], plan: Plan, gap: float) -> None:
    from matplotlib.patches import Rectangle as Box

    left = 0.0
    for face in faces:
        u, v = zip(*(*face.outline, face.outline[0]), strict=True)
        axes.plot([left + x for x in u], v, color=INK, lw=0.9)
        for patch in (p for p in job.patches if p.face == face.name):
            r = patch.place
            looks = {
                "facecolor": "white",
                "edgecolor": QUIET,
                "lw": 0.5,
                "hatch": "...." if patch.opening else "",
            }
            axes.add_patch(Box((left + r.u_m, r.v_m), r.width_m, r.height_m, **looks))  # type: ignore[arg-type]
        for piece in (p for p in plan.pieces if p.face == face.name):
            r = piece.place
            axes.add_patch(
                Box(
                    (left + r.u_m, r.v_m),
                    r.width_m,
                    r.height_m,
                    facecolor=SOFT,
                    edgecolor=INK,
                    lw=0.7,
                )
            )
        axes.text(left + gap / 4, gap / 4, plain(face.name), fontsize=5, color=QUIET, va="bottom")
        left += face.width_m + gap


def _gains(plans: Sequence[Plan]) -> tuple[Block, ...]:
    shown = [plan for plan in plans if plan.gains]
    if not shown:
        return ()
    lines = []
    for plan in shown:
        last = f"{plan.gains[-1].after_s:.2f} s"
        values = {"title": _title(plan), "count": len(plan.gains), "last": last}
        if plan.unheard_from is None:
            lines.append(say("gain_all", **values))
        else:
            lines.append(say("gain_until", **values, first=plan.unheard_from))
    alt = say("alt_gains", plans=" ".join(lines))
    return (Picture(svg=gains_svg(shown), alt=alt, caption=say("cap_gains")),)


def gains_svg(plans: Sequence[Plan]) -> str:
    """Mean decay after each further piece, in order of benefit; hollow from where nobody hears the
    rest."""
    with drawing(WIDE_IN, 1.3) as figure:
        axes = figure.add_subplot()
        most = 0.0
        for plan, marker, line in zip(plans, "os^", ("-", "--", ":"), strict=False):
            start = plan.gains[0].after_s + plan.gains[0].gain_s
            values = [start, *(gain.after_s for gain in plan.gains)]
            most = max(most, *values)
            axes.plot(range(len(values)), values, color=INK, lw=0.9, ls=line, label=_title(plan))
            until = len(values) if plan.unheard_from is None else plan.unheard_from
            looks: dict[str, Any] = {"ls": "", "marker": marker, "ms": 3.5, "color": INK}
            axes.plot(range(until), values[:until], mfc=INK, **looks)
            axes.plot(range(until, len(values)), values[until:], mfc="white", **looks)
        axes.set_ylim(0, 1.1 * most)
        axes.set_xlabel(say("axis_pieces"))
        axes.set_ylabel(say("axis_mean"))
        axes.locator_params(axis="x", integer=True)
        figure.legend(loc="outside upper right", fontsize=7.5, ncols=3)
        return svg_of(figure)


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
    lines = (*promise_odds(promise), *(tighter(needs, reader) for needs in promise.tighter))
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
    named = f" ({', '.join(check.pieces)})" if check.pieces else ""
    subject = sentence(fact(check.subject), reader)
    return f"{subject}: {sentence(check.caution, reader)}{named}"


def _title(plan: Plan) -> str:
    return plan_title(plan, Reader("client"))
