"""roomcheck list WHAT: materials, stock, uses, findings, usual clearances, with search."""

from __future__ import annotations

import argparse
import difflib
from collections.abc import Callable, Iterator
from pathlib import Path

from roomcheck.cli.terminal import Subparsers, add_command, show, show_json

Row = tuple[str, ...]

SHOWN_HZ = (125.0, 500.0, 2000.0)
"""Octaves whose absorption stands beside a material. [Hz]"""


def add_parser(subparsers: Subparsers) -> None:
    parser = add_command(
        subparsers,
        "list",
        run,
        what="what there is to choose from: materials, stock, uses, findings, clearances",
        example="roomcheck list materials --search wool\n"
        "  roomcheck list stock --job harbour-room\n"
        "  roomcheck list uses",
    )
    parser.add_argument("what", choices=sorted(_LISTS), help="which list")
    parser.add_argument(
        "--search", metavar="WORDS", default="", help="those that hold these words, or nearly"
    )
    parser.add_argument("--all", action="store_true", help="every row, however many there are")
    parser.add_argument(
        "--job", metavar="JOB", help="whose shop and units; default: the shop's file found here"
    )


def run(args: argparse.Namespace) -> int:
    rows = [row for row in _LISTS[args.what](args) if _fits(row, args.search)]
    if args.json:
        return show_json({args.what: [list(row) for row in rows]})
    from roomcheck.report import list_blocks

    show(list_blocks(args.what, rows, args.search, everything=args.all))
    return 0


def _fits(row: Row, search: str) -> bool:
    """Whether a row holds every word that is looked for, or a word nearly like it."""
    text = " ".join(row).casefold()
    words = text.replace(",", " ").split()
    return all(
        word in text or difflib.get_close_matches(word, words, n=1, cutoff=0.8)
        for word in search.casefold().split()
    )


def _materials(args: argparse.Namespace) -> Iterator[Row]:
    from roomcheck.materials import MATERIALS, absorption_of

    for key in MATERIALS:
        row = absorption_of(key)
        values = [row.at(band_hz) for band_hz in SHOWN_HZ]
        shown = " ".join("–" if value is None else f"{value:.2f}" for value in values)
        yield key, f"{shown} m²" if row.per_piece else shown, row.title


def _uses(args: argparse.Namespace) -> Iterator[Row]:
    from roomcheck.standards import USES

    yield from USES.items()


def _findings(args: argparse.Namespace) -> Iterator[Row]:
    from roomcheck.words import finding_meanings

    yield from finding_meanings()


def _clearances(args: argparse.Namespace) -> Iterator[Row]:
    from roomcheck.job import KINDS, USUAL_CLEARANCE_M
    from roomcheck.units import both
    from roomcheck.words import say

    for kind in KINDS:
        usual_m = USUAL_CLEARANCE_M.get(kind)
        yield kind, say("no_usual") if usual_m is None else both(usual_m)


def _stock(args: argparse.Namespace) -> Iterator[Row]:
    from roomcheck.job import default_shop, load_job, read_shop, shop_path
    from roomcheck.words import Reader, length

    if args.job:
        job = load_job(args.job)
        shop, reader = job.shop, Reader(units=job.units)
    else:
        own = shop_path(Path())
        shop, reader = read_shop(own) if own else default_shop(), Reader()
    for piece in shop.stock:
        sides = (piece.width_m, piece.height_m, piece.depth_m)
        yield piece.name, piece.kind, " × ".join(length(side_m, reader) for side_m in sides)


_LISTS: dict[str, Callable[[argparse.Namespace], Iterator[Row]]] = {
    "materials": _materials,
    "stock": _stock,
    "uses": _uses,
    "findings": _findings,
    "clearances": _clearances,
}
