"""roomcheck undo JOB: job.toml as it was before its last change."""

from __future__ import annotations

import argparse

from roomcheck.cli.terminal import Subparsers, add_command, show, show_json


def add_parser(subparsers: Subparsers) -> None:
    parser = add_command(
        subparsers,
        "undo",
        run,
        what="put job.toml back to what it was before its last change; nothing is thrown away",
        example="roomcheck undo harbour-room\n  roomcheck undo harbour-room --redo",
    )
    parser.add_argument("job", metavar="JOB", help="the job folder")
    parser.add_argument("--redo", action="store_true", help="take the last undo back")


def run(args: argparse.Namespace) -> int:
    from roomcheck.job import can_undo, redo, undo

    job = redo(args.job) if args.redo else undo(args.job)
    earlier, later = can_undo(job.folder)
    if args.json:
        return show_json({"job": job.folder, "earlier": earlier, "later": later})
    from roomcheck.report import undone_blocks

    show(undone_blocks(job, earlier=earlier, later=later))
    return 0
