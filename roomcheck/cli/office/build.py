"""roomcheck build: what the shop cuts, buys and hangs, for a job or for pieces alone."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from roomcheck.cli.office.bench import Settings, add_settings, read_settings
from roomcheck.cli.progress import opened
from roomcheck.cli.terminal import Subparsers, add_command, show_json, show_table
from roomcheck.errors import RoomcheckError
from roomcheck.job import (
    bench_job,
    default_shop,
    keep_practice,
    keep_rack,
    keep_shop,
    read_shop,
    shop_path,
)
from roomcheck.units import band_name, format_length, format_size

if TYPE_CHECKING:
    from roomcheck.job import Job, Units
    from roomcheck.workshop import BuildSheet, PatternChoice, Wanted

OUT = "build-sheets"


def add_parser(subparsers: Subparsers) -> None:
    parser = add_command(
        subparsers,
        "build",
        run,
        what=(
            "cut lists, what to buy, and where each piece hangs; for a job, or for pieces without "
            "one"
        ),
        example="roomcheck build harbour-room\n"
        '  roomcheck build --piece "block diffuser 24 in x 48 in" --stick "1.515 in" --seed 12\n'
        '  roomcheck build --piece "2 x panel 600 x 1200 mm" --units metric --out bench',
    )
    parser.add_argument("job", metavar="JOB", nargs="?", help="the job folder; none with --piece")
    parser.add_argument(
        "--plan", type=int, metavar="N", help="which plan (default: the signed one, else 2)"
    )
    parser.add_argument(
        "--piece",
        action="append",
        default=[],
        metavar="TEXT",
        help='build just this: "[count x] name [width x height [x depth]]", or "block diffuser opening 25 x 50 in"; '
        "may be given several times",
    )
    parser.add_argument(
        "--shop",
        metavar="FILE",
        help="with --piece: the shop's file (default: shop.toml here, or ours)",
    )
    parser.add_argument(
        "--units",
        choices=("imperial", "metric"),
        help="with --piece: as the shop reads (default: as typed)",
    )
    parser.add_argument(
        "--out", metavar="FOLDER", help=f"with --piece: where the sheets go (default: {OUT})"
    )
    parser.add_argument(
        "--patterns",
        action="store_true",
        help="with --piece: block patterns side by side, best first",
    )
    parser.add_argument(
        "--rack",
        action="store_true",
        help="write what is left over into the shop's file as offcuts",
    )
    add_settings(parser)


def run(args: argparse.Namespace) -> int:
    settings = read_settings(args)
    if bool(args.job) == bool(args.piece):
        raise RoomcheckError("build: name a job folder, or pieces with --piece, one of the two")
    return _alone(args, settings) if args.piece else _job(args, settings)


def _job(args: argparse.Namespace, settings: Settings) -> int:
    chain = opened(args.job, args.plan)
    if settings.any:
        keep_practice(chain.job, settings.practice_text, settings.pieces_text(chain.job.shop))
        chain = opened(args.job, args.plan)
    sheet = chain.sheet
    if args.rack:
        _rack(chain.job, sheet, keep_shop(chain.job))
    if args.json:
        return show_json(sheet)
    show_sheet(chain.job, sheet)
    if settings.any:
        print(f"Kept in {chain.job.folder / 'shop.toml'}: report builds with it too.")
    return 0


def _alone(args: argparse.Namespace, settings: Settings) -> int:
    from roomcheck.workshop import build_wanted, wanted

    own = Path(args.shop) if args.shop else shop_path(Path())
    shop = settings.applied(read_shop(own) if own else default_shop())
    asked = [settings.piece(wanted(text, shop)) for text in args.piece]
    metric = any(
        unit in text for text in args.piece for unit in (" mm", " cm", " m ")
    ) or args.piece[0].endswith(" m")
    units: Units = args.units or ("metric" if metric else "imperial")
    named = [f"{one.count} × {one.piece.name}" for one in asked]
    job = bench_job(
        shop,
        units=units,
        title="; ".join(named[:2]) + (f"; {len(named) - 2} more" * (len(named) > 2)),
    )
    if args.patterns:
        return _patterns(args, job, asked)
    sheet = build_wanted(job, asked)
    if args.rack:
        _rack(job, sheet, own)
    if args.json and args.out is None:
        return show_json(sheet)
    from roomcheck.report import bench_sheets

    files = bench_sheets(job, sheet, Path(args.out or OUT))
    if args.json:
        return show_json(sheet)
    show_sheet(job, sheet)
    for file in files:
        print(file)
    return 0


def _rack(job: Job, sheet: BuildSheet, path: Path | None) -> None:
    from roomcheck.workshop import rack_after

    if path is None or not path.exists():
        raise RoomcheckError(
            "--rack: there is no shop.toml here to write the rack into; copy one first, or use "
            "--shop"
        )
    keep_rack(path, rack_after(job.shop, sheet.cutting, job.shop.practice), job.units)
    print(f"Rack written into {path}: do that once, when the job is cut.", file=sys.stderr)


def _patterns(args: argparse.Namespace, job: Job, asked: list[Wanted]) -> int:
    from roomcheck.workshop import choices, lay_out

    found = []
    for one in asked:
        if one.piece.kind != "block diffuser":
            raise RoomcheckError(
                f"--patterns: {one.piece.name!r} is no block diffuser; name one with --piece"
            )
        laid = lay_out(one.piece, job.shop.practice)
        found.append(
            choices(laid.columns, laid.rows, laid.cell_m, one.piece.steps_m, one.piece.seed)
        )
    if args.json:
        return show_json(tuple(found))
    for one, rows in zip(asked, found, strict=True):
        _show_patterns(job, one, rows)
    return 0


def _show_patterns(job: Job, one: Wanted, rows: tuple[PatternChoice, ...]) -> None:
    bands = [band_name(band) for band, _ in rows[0].diffusion]
    show_table(
        f"{one.piece.name}: predicted normalised diffusion against a flat panel, best mean first",
        ("pattern", *bands, "mean", "blocks", "stick"),
        [
            (
                row.pattern.replace(", folded into", ",").split(", repeated")[0]
                + "*" * (", repeated" in row.pattern),
                *(f"{value:.2f}" for _, value in row.diffusion),
                f"{row.mean:.3f}",
                str(row.blocks),
                format_length(row.stick_m, job.units),
            )
            for row in rows
        ],
    )
    print("* repeats over the panel: even in sum, with lobes at single frequencies.")
    print(
        "Far-field model without edges and losses; good enough to choose by, no promise. Higher "
        "scatters more evenly."
    )
    print('Take one with --pattern "quadratic residues 7", or --seed N for a draw.')


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
        show_table(
            f"{len(piece.names)} × {piece.piece}",
            ("part", "from", "count", "length", "width"),
            rows,
        )
        if piece.pattern:
            print(f"{piece.pattern}\n")
    rows = [
        (
            material.item if not bar.stock.startswith("offcut") else bar.stock,
            format_size(bar.length_m, job.units),
            str(bar.count),
            ", ".join(f"{count} × {format_size(length, job.units)}" for length, count in bar.parts),
            format_size(bar.left_m, job.units),
        )
        for material in sheet.cutting
        for bar in material.plan.bars
    ]
    show_table(
        "Bars, each cut longest first", ("from", "length", "bars", "parts of one", "left"), rows
    )
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
        (
            line.name,
            line.piece,
            line.face,
            format_length(line.left_m, job.units),
            format_length(line.top_m, job.units),
        )
        for line in sheet.hanging
    ]
    if rows:
        show_table("To hang", ("", "piece", "face", "left edge from the left", "top edge"), rows)
    weight = (
        f"{sheet.weight_kg:.0f} kg"
        if job.units == "metric"
        else f"{sheet.weight_kg / 0.45359237:.0f} lb"
    )
    print(f"{sheet.build_hours} h to build, {sheet.install_hours} h to hang; {weight} in all.")
    for item in sheet.unpriced:
        print(f"! {item}: no price in shop.toml, so it is not on the list of what to buy")
    for caution in sheet.cautions:
        print(f"! {caution}")
