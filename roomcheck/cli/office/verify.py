"""roomcheck verify JOB: is the promise kept?"""

from __future__ import annotations

import argparse

from roomcheck.cli.progress import opened
from roomcheck.cli.terminal import Subparsers, add_command, show, show_json
from roomcheck.job import drop_lesson, keep_lesson, lesson_path, load_job, read_shop


def add_parser(subparsers: Subparsers) -> None:
    parser = add_command(
        subparsers,
        "verify",
        run,
        what="before, after and the signed promise, band by band",
        example="roomcheck verify harbour-room",
    )
    parser.add_argument("job", metavar="JOB", help="the job folder")
    add_compare_anyway(parser)
    parser.add_argument(
        "--all",
        action="store_true",
        help="also clarity, reflections, standing waves, speech and the response, before and after",
    )
    parser.add_argument(
        "--learn",
        action="store_true",
        help="let the shop's file learn from this job how its pieces really absorb",
    )
    parser.add_argument(
        "--unlearn", action="store_true", help="take out again what this job taught the shop's file"
    )


def add_compare_anyway(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--compare-anyway",
        action="store_true",
        help=(
            "judge although something differed between the visits that cannot be taken off; the "
            "result says so"
        ),
    )


def run(args: argparse.Namespace) -> int:
    if args.unlearn:
        return _unlearn(args)
    chain = opened(args.job, compare_anyway=args.compare_anyway)
    verification = chain.verification
    lesson = chain.lesson if args.learn else None
    path = keep_lesson(chain.job.folder, lesson) if lesson else None
    if args.json:
        return show_json(
            {"verification": verification, "lesson": lesson} if lesson else verification
        )
    from roomcheck.report import lesson_blocks, verification_blocks
    from roomcheck.words import Reader

    reader = Reader(units=chain.job.units)
    show(verification_blocks(verification, reader, everything=args.all))
    if lesson and path:
        show(lesson_blocks(lesson, read_shop(path), path))
    return 0


def _unlearn(args: argparse.Namespace) -> int:
    folder = load_job(args.job).folder
    name = folder.absolute().name
    taken = drop_lesson(folder, name)
    path = lesson_path(folder)
    if args.json:
        return show_json({"job": name, "taken_out": taken, "file": path})
    from roomcheck.report import unlearned_blocks

    show(unlearned_blocks(name, path, taken=bool(taken)))
    return 0
