"""roomcheck recommend JOB: what to hang, how many, where; and what changes by hand cost."""

from __future__ import annotations

import argparse
from collections import Counter
from typing import TYPE_CHECKING

from roomcheck.chain import USUAL, Chain
from roomcheck.cli.progress import opened
from roomcheck.cli.terminal import Subparsers, add_command, show_json, show_table, step
from roomcheck.units import format_length

if TYPE_CHECKING:
    from roomcheck.job import Job
    from roomcheck.recommend import Plan, Why

_BY_HAND = """
Pieces of a plan are named A1, A2, … (see --plan 2). Changes by hand:
  roomcheck recommend harbour-room --pin A3                     A3 stays where it is
  roomcheck recommend harbour-room --forbid A3                  nothing at that place
  roomcheck recommend harbour-room --forbid north --forbid "felt tile"
  roomcheck recommend harbour-room --move A3 west "3' 4\\"" "30 in" --keep
Without --keep nothing is written: you see what the change would cost in decay and money."""


def add_parser(subparsers: Subparsers) -> None:
    parser = add_command(
        subparsers,
        "recommend",
        run,
        what="three plans of pieces from the shop's stock, each at its place",
        example="roomcheck recommend harbour-room --plan 2\n" + _BY_HAND,
    )
    parser.add_argument("job", metavar="JOB", help="the job folder")
    parser.add_argument(
        "--plan",
        type=int,
        metavar="N",
        help="plan N alone: its places, or what is changed or explained",
    )
    parser.add_argument(
        "--explain",
        metavar="PIECE",
        help="why this piece is there, and what it costs for what it does",
    )
    parser.add_argument(
        "--pin", metavar="PIECE", action="append", default=[], help="keep this piece where it is"
    )
    parser.add_argument(
        "--forbid",
        metavar="WHAT",
        action="append",
        default=[],
        help=(
            "nothing at this piece's place; or no such piece of the stock; or nothing on this face"
        ),
    )
    parser.add_argument(
        "--move",
        nargs=4,
        metavar=("PIECE", "FACE", "LEFT", "BOTTOM"),
        action="append",
        default=[],
        help="hang this piece there instead, from the face's left and bottom edge",
    )
    parser.add_argument(
        "--keep", action="store_true", help="write the changes by hand into job.toml"
    )
    parser.add_argument(
        "--clear", action="store_true", help="take all changes by hand out of job.toml first"
    )
    parser.add_argument(
        "--drawings", metavar="FOLDER", help="write floor plan and elevations there, SVG and DXF"
    )
    parser.add_argument(
        "--seconds",
        type=float,
        metavar="S",
        help="stop searching after so long and give the best so far",
    )


def run(args: argparse.Namespace) -> int:
    chain = opened(args.job, args.plan, seconds=args.seconds)
    if args.clear:
        from roomcheck.job import keep_changes

        chain = chain.with_job(keep_changes(chain.job, (), ()))
    if args.explain is not None:
        return _explain(args, chain)
    if args.pin or args.forbid or args.move:
        return _change(args, chain)
    if args.drawings is not None:
        return _draw(args, chain)
    if args.json:
        return show_json(chain.whole_plans if args.plan is None else chain.plan)
    if args.plan is not None:
        show_places(chain.job, chain.plan)
        return 0
    show_plans(chain)
    return 0


def _explain(args: argparse.Namespace, chain: Chain) -> int:
    from roomcheck.recommend import why

    plan = chain.proposed
    with step("Looking at the plan without it"):
        found = why(chain.site, plan, args.explain)
    if args.json:
        return show_json(found)
    show_why(chain.job, found)
    return 0


def _change(args: argparse.Namespace, chain: Chain) -> int:
    from roomcheck.recommend import asked_for, change_in

    plan = chain.proposed
    pins, forbids = asked_for(chain.job, plan, args.pin, args.forbid, args.move)
    with step("Solving again round these changes"):
        found = change_in(chain.site, plan, pins, forbids)
    if args.keep:
        from roomcheck.job import keep_changes

        keep_changes(chain.job, (*chain.job.pins, *pins), (*chain.job.forbids, *forbids))
    if args.json:
        return show_json(found)
    show_places(chain.job, found.plan)
    print("\nWhat the change costs:")
    for sentence in found.sentences:
        print(f"  {sentence}")
    print(
        "Kept in job.toml." if args.keep else "Nothing is written yet; add --keep to hold on to it."
    )
    return 0


def _draw(args: argparse.Namespace, chain: Chain) -> int:
    from roomcheck.report import write_drawings

    with step("Drawing"):
        files = write_drawings(chain.job, chain.proposed, args.drawings)
    if args.json:
        return show_json({"files": files})
    for file in files:
        print(file)
    return 0


def show_why(job: Job, found: Why) -> None:
    """Why one piece is there, on standard output."""
    print(f"{found.name}: {found.piece} on the {found.face}")
    for reason in found.reasons:
        print(f"  {reason}")
    print(
        "Without it, and nothing in its place, the client pays about "
        f"{job.currency}{found.price:,.0f} less."
    )
    if found.mid_with_s is not None and found.mid_without_s is not None:
        print(
            f"The mean decay would be {found.mid_without_s:.3f} s instead of "
            f"{found.mid_with_s:.3f} s."
        )
    if found.price_per_hundredth is not None:
        print(
            f"That is {job.currency}{found.price_per_hundredth:,.2f} for a hundredth of a second."
        )
    else:
        print(
            "It does not shorten the mean decay by a millisecond: it is there for the reasons "
            "above."
        )
    for line in found.lost:
        print(f"  {line}")
    if found.instead:
        print("If nothing may hang there, the next best plan:")
        for line in found.instead:
            print(f"  {line}")


def show_plans(chain: Chain) -> None:
    """The plans side by side, on standard output."""
    rows = []
    for number, (plan, quote) in enumerate(zip(chain.whole_plans, chain.quotes, strict=True), 1):
        prediction = plan.prediction
        rows.append(
            (
                f"{number}: {plan.title}",
                str(len(plan.pieces)),
                _range(prediction.mid_likely_s, prediction.mid_low_s, prediction.mid_high_s),
                "yes" if plan.reaches_target else "no",
                "–" if plan.unheard_from is None else f"{plan.unheard_from}",
                "–" if plan.weeks is None else f"{plan.weeks}",
                f"{chain.job.currency}{quote.total:,.2f}",
            )
        )
    heads = (
        "plan",
        "pieces",
        "mid T20 s (range)",
        "reaches target",
        "unheard from piece",
        "weeks",
        "price",
    )
    show_table("Plans", heads, rows)
    for number, plan in enumerate(chain.plans, 1):
        counts = Counter(placed.piece for placed in plan.pieces)
        print(
            f"{number}: "
            + ("; ".join(f"{n} × {piece}" for piece, n in counts.items()) or "nothing to hang")
        )
        for note in (*plan.shortfalls, *plan.notes):
            print(f"   {note}")
    print(f"\nPlaces of one plan: roomcheck recommend {chain.job.folder} --plan {USUAL}")


def show_places(job: Job, plan: Plan) -> None:
    """Where each piece of a plan hangs, and why, and what to look at before drilling."""
    rows = [
        (
            placed.name,
            placed.piece,
            placed.face,
            format_length(placed.place.u_m, job.units),
            format_length(placed.place.v_m, job.units),
            format_length(placed.place.width_m, job.units),
            format_length(placed.place.height_m, job.units),
        )
        for placed in plan.pieces
    ]
    heads = ("", "piece", "face", "from left", "from bottom", "width", "height")
    show_table(plan.title, heads, rows)
    for placed in plan.pieces:
        print(f"{placed.name}: {' '.join(placed.reasons)}")
    for note in (*plan.shortfalls, *plan.notes):
        print(note)
    for r in plan.reflections:
        print(
            f"{r.source} off the {r.face}, {1000 * r.delay_s:.1f} ms: {r.before_db:.1f} dB "
            f"before, {r.after_db:.1f} dB "
            f"after{f' ({r.piece})' if r.piece else ''}{f'; {r.advice}' if r.advice else ''}"
        )
    for line in promised(plan):
        print(line)
    if plan.checks:
        print("\nTo look at before anybody drills (warnings; nothing here is approved):")
    for check in plan.checks:
        named = f" ({', '.join(check.pieces)})" if check.pieces else ""
        print(f"  {check.subject}: {check.text}{named}")


def promised(plan: Plan) -> list[str]:
    """The tolerance of the mean, and what a tighter one would take."""
    promise = plan.promise
    if promise.tolerance_pct is None:
        return []
    grade = f", {promise.grade} grade" if promise.grade else ""
    found = [
        f"May be signed for the mean: ±{promise.tolerance_pct:.0f} % with {promise.positions} "
        f"pairs{grade}."
    ]
    for t in promise.tighter:
        needs = f"{t.pairs} pairs ({t.reason})" if t.pairs is not None else t.reason
        found.append(f"  ±{t.tolerance_pct:g} %: {needs}.")
    return found


def _range(likely: float | None, low: float | None, high: float | None) -> str:
    if likely is None or low is None or high is None:
        return "–"
    return f"{likely:.2f} ({low:.2f}–{high:.2f})"
