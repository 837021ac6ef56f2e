"""roomcheck build: what the shop cuts, buys and hangs, for a job or for pieces alone."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from roomcheck.cli.office.bench import Settings, add_settings, read_settings
from roomcheck.cli.progress import opened
from roomcheck.cli.terminal import Subparsers, add_command, show, show_json, show_line
from roomcheck.errors import RoomcheckError
from roomcheck.job import bench_job, default_shop, keep_practice, keep_rack, read_shop, shop_path
from roomcheck.signs import visible
from roomcheck.words import say

if TYPE_CHECKING:
    from roomcheck.chain import Chain
    from roomcheck.job import Job, Units
    from roomcheck.workshop import BuildSheet, Wanted

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
        "--plan", type=int, metavar="N", help="(default: the signed one, else the target's)"
    )
    parser.add_argument(
        "--piece",
        action="append",
        default=[],
        metavar="TEXT",
        help='build just this: "[count x] name [width x height [x depth]]", or '
        '"block diffuser opening 25 x 50 in"; '
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
    parser.add_argument(
        "--all", action="store_true", help="also cut lists, steps, saw tickets, days and cautions"
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
    sheet = _sheet(chain)
    if args.rack:
        from roomcheck.workshop import rack_after

        shop = chain.job.shop
        keep_practice(
            chain.job, {}, {}, rack_after(shop, sheet.cutting, shop.practice, sheet.panels)
        )
        _racked(chain.job.folder / "shop.toml")
    if args.json:
        return show_json(sheet)
    _show(args, chain.job, sheet)
    if settings.any:
        show_line(say("kept_in_shop", file=chain.job.folder / "shop.toml"))
    return 0


def _sheet(chain: Chain) -> BuildSheet:
    """The plan's build sheet; before anything is measured, that of what a person placed."""
    placed = None
    if chain.agreed is None and not chain.has_takes("before"):
        placed = chain.placed_sheet
    return chain.sheet if placed is None else placed


def _alone(args: argparse.Namespace, settings: Settings) -> int:
    from roomcheck.workshop import build_wanted, wanted

    own = Path(args.shop) if args.shop else shop_path(Path())
    # Who types millimetres alone keeps the usual stock; who asks for metric gets metric stock.
    ours = default_shop(args.units or "imperial")
    shop = settings.applied(read_shop(own) if own else ours)
    units: Units = args.units or _units_of(args.piece)
    asked = [settings.piece(wanted(text, shop, units)) for text in args.piece]
    job = bench_job(shop, units=units, title=_title(asked))
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
    _show(args, job, sheet)
    for file in files:
        show_line(str(file))
    return 0


def _units_of(texts: list[str]) -> Units:
    """Return the units that pieces were typed in."""
    metric = any(unit in f"{text} " for text in texts for unit in (" mm", " cm", " m "))
    return "metric" if metric else "imperial"


def _title(asked: list[Wanted]) -> str:
    named = [f"{one.count} × {one.piece.name}" for one in asked]
    more = [say("and_more", count=len(named) - 2)] if len(named) > 2 else []
    return "; ".join([*named[:2], *more])


def _show(args: argparse.Namespace, job: Job, sheet: BuildSheet) -> None:
    from roomcheck.report import build_blocks

    show(build_blocks(job, sheet, everything=args.all))


def _rack(job: Job, sheet: BuildSheet, path: Path | None) -> None:
    from roomcheck.workshop import rack_after

    if path is None or not path.exists():
        raise RoomcheckError(
            "--rack: there is no shop.toml here to write the rack into; copy one first, or use "
            "--shop"
        )
    offcuts = rack_after(job.shop, sheet.cutting, job.shop.practice, sheet.panels)
    keep_rack(path, offcuts, job.units, job.shop)
    _racked(path)


def _racked(path: Path) -> None:
    print(visible(say("rack_kept", file=path)), file=sys.stderr)


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
    from roomcheck.report import pattern_blocks

    for one, rows in zip(asked, found, strict=True):
        show(pattern_blocks(job, one.piece.name, rows))
    return 0
