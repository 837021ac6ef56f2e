"""roomcheck verify JOB: is the promise kept?"""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from roomcheck.cli.chain import Chain
from roomcheck.cli.shown import Subparsers, add_command, seconds, show_json, show_table
from roomcheck.units import band_label

if TYPE_CHECKING:
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


def run(args: argparse.Namespace) -> int:
    verification = Chain.of(args.job).verification
    if args.json:
        return show_json(verification)
    show_verification(verification)
    return 0


def show_verification(verification: Verification) -> None:
    """The bands and the verdict, on standard output."""
    rows = [_row(band) for band in (*verification.bands, verification.mid)]
    heads = ("band Hz", "before s", "after s", "(95 %)", "promised s", "kept?", "audible")
    show_table(f"Before and after at {verification.pairs} source-microphone pairs", heads, rows)
    for difference in verification.differences:
        print(difference)
    print(verification.sentence)


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
