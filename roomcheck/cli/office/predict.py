"""roomcheck predict JOB [PLAN]: what the plan will measure, and what the seat will get."""

from __future__ import annotations

import argparse

from roomcheck.cli.progress import opened
from roomcheck.cli.terminal import Subparsers, add_command, show, show_json
from roomcheck.errors import RoomcheckError
from roomcheck.plain import to_plain


def add_parser(subparsers: Subparsers) -> None:
    parser = add_command(
        subparsers,
        "predict",
        run,
        what=(
            "the decay and the seat's reflections before and after a plan, by every method, with "
            "a range"
        ),
        example="roomcheck predict harbour-room 2",
    )
    parser.add_argument("job", metavar="JOB", help="the job folder")
    parser.add_argument(
        "number",
        type=int,
        nargs="?",
        metavar="PLAN",
        help="which plan (default: the signed one, else the target's)",
    )
    parser.add_argument("--plan", type=int, metavar="N", help="the same as PLAN")
    parser.add_argument(
        "--second", action="store_true", help="a second opinion by ray tracing (takes a while)"
    )
    parser.add_argument(
        "--all", action="store_true", help="every method, the seat's reflections and the modes"
    )


def run(args: argparse.Namespace) -> int:
    if None not in (args.number, args.plan) and args.number != args.plan:
        raise RoomcheckError(f"PLAN {args.number} and --plan {args.plan}: give one of them")
    chain = opened(args.job, args.plan if args.number is None else args.number)
    forecast = chain.outlook_with(second=args.second)
    if args.json:
        plain = to_plain(forecast)
        return show_json({**plain.pop("prediction"), **plain})
    from roomcheck.report import outlook_blocks
    from roomcheck.words import Reader

    show(outlook_blocks(forecast, Reader(units=chain.job.units), everything=args.all))
    return 0
