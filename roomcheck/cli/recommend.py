"""roomcheck recommend JOB: what to hang, how many, where."""

from __future__ import annotations

import argparse
from collections import Counter
from typing import TYPE_CHECKING

from roomcheck.cli.chain import Chain
from roomcheck.cli.shown import Subparsers, add_command, show_json, show_table
from roomcheck.units import format_length

if TYPE_CHECKING:
    from roomcheck.job import Job
    from roomcheck.recommend import Plan


def add_parser(subparsers: Subparsers) -> None:
    parser = add_command(
        subparsers,
        "recommend",
        run,
        what="three plans of pieces from the shop's stock, each at its place",
        example="roomcheck recommend harbour-room --plan 2",
    )
    parser.add_argument("job", metavar="JOB", help="the job folder")
    parser.add_argument("--plan", type=int, metavar="N", help="show the places of plan N alone")


def run(args: argparse.Namespace) -> int:
    chain = Chain.of(args.job, args.plan)
    if args.json:
        return show_json(chain.plans if args.plan is None else chain.plan)
    if args.plan is not None:
        show_places(chain.job, chain.plan)
        return 0
    show_plans(chain)
    return 0


def show_plans(chain: Chain) -> None:
    """The plans side by side, on standard output."""
    rows = []
    for number, plan in enumerate(chain.plans, 1):
        prediction = plan.prediction
        total = chain.quote_of(plan).total
        rows.append(
            (
                f"{number}: {plan.title}",
                str(len(plan.pieces)),
                _range(prediction.mid_likely_s, prediction.mid_low_s, prediction.mid_high_s),
                "yes" if plan.reaches_target else "no",
                f"{chain.job.currency}{total:,.2f}",
            )
        )
    show_table("Plans", ("plan", "pieces", "mid T20 s (range)", "reaches target", "price"), rows)
    for number, plan in enumerate(chain.plans, 1):
        counts = Counter(placed.piece for placed in plan.pieces)
        print(f"{number}: " + ("; ".join(f"{n} × {piece}" for piece, n in counts.items()) or "nothing to hang"))
        for note in (*plan.shortfalls, *plan.notes):
            print(f"   {note}")
    print(f"\nPlaces of one plan: roomcheck recommend {chain.job.folder} --plan 2")


def show_places(job: Job, plan: Plan) -> None:
    """Where each piece of a plan hangs, and why."""
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


def _range(likely: float | None, low: float | None, high: float | None) -> str:
    if likely is None or low is None or high is None:
        return "–"
    return f"{likely:.2f} ({low:.2f}–{high:.2f})"
