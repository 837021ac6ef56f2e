"""roomcheck verify JOB: is the promise kept?"""

from __future__ import annotations

import argparse
from dataclasses import replace
from typing import TYPE_CHECKING

from roomcheck.cli.chain import Chain
from roomcheck.cli.shown import Subparsers, add_command, seconds, show_json, show_table
from roomcheck.units import band_label

if TYPE_CHECKING:
    from roomcheck.verify import BandChange, ClarityChange, Verification


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


def add_compare_anyway(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--compare-anyway",
        action="store_true",
        help="judge although something differed between the visits that cannot be taken off; the result says so",
    )


def run(args: argparse.Namespace) -> int:
    verification = replace(Chain.of(args.job), compare_anyway=args.compare_anyway).verification
    if args.json:
        return show_json(verification)
    show_verification(verification)
    return 0


def show_verification(verification: Verification) -> None:
    """The bands and the verdict, on standard output."""
    rows = [_row(band) for band in (*verification.bands, verification.mid)]
    heads = ("band Hz", "before s", "after s", "(95 %)", "promised s", "kept?", "audible")
    show_table(f"Before and after at {verification.pairs} source-microphone pairs", heads, rows)
    if verification.clarity:
        titles = ("band Hz", "before dB", "after dB", "change dB", "(95 %)", "audible")
        show_table("Clarity C50 (higher is clearer)", titles, [_clarity(change) for change in verification.clarity])
    for difference in verification.differences:
        print(difference)
    print(verification.sentence)
    for cause in verification.causes:
        print(f"  {cause}")
    if verification.barring and not verification.compared_anyway:
        print("To judge all the same, and have that printed on the result: --compare-anyway")


def _clarity(change: ClarityChange) -> tuple[str, ...]:
    return (
        band_label(change.band_hz),
        *("–" if value is None else f"{value:.1f}" for value in (change.before_db, change.after_db, change.change_db)),
        "–" if change.change_u_db is None else f"±{2 * change.change_u_db:.1f}",
        {True: "yes", False: "no", None: "–"}[change.audible],
    )


def _row(band: BandChange) -> tuple[str, ...]:
    promised = "–" if band.low_s is None or band.high_s is None else f"{band.low_s:.2f}–{band.high_s:.2f}"
    return (
        band_label(band.band_hz) if band.band_hz else "500 and 1k",
        seconds(band.before_s),
        seconds(band.after_s),
        "–" if band.after_u_s is None else f"±{2 * band.after_u_s:.2f}",
        promised,
        band.kept,
        {True: "yes", False: "no", None: "–"}[band.audible],
    )
