"""roomcheck verify JOB: is the promise kept?"""

from __future__ import annotations

import argparse
from math import exp
from pathlib import Path
from typing import TYPE_CHECKING

from roomcheck.cli.progress import opened
from roomcheck.cli.tables.changes import show_changes
from roomcheck.cli.terminal import Subparsers, add_command, seconds, show_json, show_table
from roomcheck.job import drop_lesson, keep_lesson, lesson_path, load_job, read_shop
from roomcheck.units import band_label

if TYPE_CHECKING:
    from roomcheck.job import Lesson
    from roomcheck.verify import BandChange, Verification


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
    show_verification(verification)
    if lesson and path:
        _show_lesson(lesson, path)
    return 0


def _unlearn(args: argparse.Namespace) -> int:
    folder = load_job(args.job).folder
    name = folder.absolute().name
    taken = drop_lesson(folder, name)
    if args.json:
        return show_json({"job": name, "taken_out": taken, "file": lesson_path(folder)})
    said = "taken out of" if taken else "there was none in"
    print(f"What {name} taught: {said} {lesson_path(folder)}")
    return 0


def _show_lesson(lesson: Lesson, path: Path) -> None:
    """How much more or less each piece absorbs than computed, as the shop's file now has it."""
    shop = read_shop(path)
    known = {piece.name: {hz: (mean, sd) for hz, mean, sd in piece.learned} for piece in shop.stock}
    for share in lesson.shares:
        rows = [
            (band_label(hz), f"{100 * (exp(mean) - 1):+.0f} %", f"±{200 * sd:.0f} %")
            for hz, (mean, sd) in sorted(known.get(share.piece, {}).items())
        ]
        show_table(
            f"{share.piece}: absorbs, against what was computed", ("band Hz", "by", "(95 %)"), rows
        )
    jobs = ", ".join(one.job for one in shop.lessons)
    print(
        f"Learned from: {jobs}. Kept in {path}; to undo: --unlearn. Other jobs use it from now on."
    )


def show_verification(verification: Verification) -> None:
    """The bands and the verdict, on standard output."""
    rows = [_row(band) for band in (*verification.bands, verification.mid)]
    heads = ("band Hz", "before s", "after s", "(95 %)", "promised s", "kept?", "audible")
    show_table(f"Before and after at {verification.pairs} source-microphone pairs", heads, rows)
    show_changes(verification)
    for difference in verification.differences:
        print(difference)
    print(verification.sentence)
    for cause in verification.causes:
        print(f"  {cause}")
    if verification.barring and not verification.compared_anyway:
        print("To judge all the same, and have that printed on the result: --compare-anyway")


def _row(band: BandChange) -> tuple[str, ...]:
    promised = (
        "–" if band.low_s is None or band.high_s is None else f"{band.low_s:.2f}–{band.high_s:.2f}"
    )
    return (
        band_label(band.band_hz) if band.band_hz else "500 and 1k",
        seconds(band.before_s),
        seconds(band.after_s),
        "–" if band.after_u_s is None else f"±{2 * band.after_u_s:.2f}",
        promised,
        band.kept,
        {True: "yes", False: "no", None: "–"}[band.audible],
    )
