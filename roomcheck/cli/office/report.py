"""roomcheck report JOB: every document that the job allows."""

from __future__ import annotations

import argparse

from roomcheck.cli.office.verify import add_compare_anyway
from roomcheck.cli.progress import opened
from roomcheck.cli.terminal import Subparsers, add_command, show, show_json


def add_parser(subparsers: Subparsers) -> None:
    parser = add_command(
        subparsers,
        "report",
        run,
        what="the documents and result files that the job allows, and what is missing for the rest",
        example="roomcheck report harbour-room",
    )
    parser.add_argument("job", metavar="JOB", help="the job folder")
    parser.add_argument(
        "--plan", type=int, metavar="N", help="to draw (default: the signed one, else the target's)"
    )
    add_compare_anyway(parser)


def run(args: argparse.Namespace) -> int:
    documents = opened(args.job, args.plan, compare_anyway=args.compare_anyway).documents
    if args.json:
        return show_json(documents)
    from roomcheck.report import files_written

    show(files_written(documents.files, documents.lacking))
    return 0
