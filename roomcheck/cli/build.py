"""roomcheck build JOB: what the shop cuts, buys and hangs."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from roomcheck.cli.chain import Chain
from roomcheck.cli.shown import Subparsers, add_command, show_json, show_table
from roomcheck.units import format_length, format_size

if TYPE_CHECKING:
    from roomcheck.build import BuildSheet
    from roomcheck.job import Job


def add_parser(subparsers: Subparsers) -> None:
    parser = add_command(
        subparsers,
        "build",
        run,
        what="cut lists, what to buy, and where each piece hangs",
        example="roomcheck build harbour-room",
    )
    parser.add_argument("job", metavar="JOB", help="the job folder")
    parser.add_argument("--plan", type=int, metavar="N", help="which plan (default: the signed one, else 2)")


def run(args: argparse.Namespace) -> int:
    chain = Chain.of(args.job, args.plan)
    if args.json:
        return show_json(chain.sheet)
    show_sheet(chain.job, chain.sheet)
    return 0


def show_sheet(job: Job, sheet: BuildSheet) -> None:
    """Cuts, purchases and hanging lines, on standard output."""
    for piece in sheet.sheets:
        rows = [
            (
                cut.part,
                cut.stock,
                str(cut.count),
                format_size(cut.length_m, job.units),
                format_size(cut.width_m, job.units),
            )
            for cut in piece.cuts
        ]
        show_table(f"{len(piece.names)} × {piece.piece}", ("part", "from", "count", "length", "width"), rows)
    rows = [
        (
            buy.item,
            f"{buy.net:.2f}",
            f"{buy.with_waste:.2f} {buy.unit}",
            str(buy.packs),
            f"{job.currency}{buy.cost:,.2f}",
        )
        for buy in sheet.purchases
    ]
    show_table("To buy (for the shop)", ("item", "net", "with waste", "packs", "cost"), rows)
    rows = [
        (line.name, line.piece, line.face, format_length(line.left_m, job.units), format_length(line.top_m, job.units))
        for line in sheet.hanging
    ]
    show_table("To hang", ("", "piece", "face", "left edge from the left", "top edge"), rows)
    print(f"{sheet.build_hours} h to build, {sheet.install_hours} h to hang; {sheet.weight_kg:.0f} kg in all.")
    for caution in sheet.cautions:
        print(f"! {caution}")
