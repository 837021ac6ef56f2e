"""roomcheck unpack FILE: a packed job back into its folder."""

from __future__ import annotations

import argparse
from pathlib import Path

from roomcheck.cli.terminal import Subparsers, add_command, doing, show, show_json


def add_parser(subparsers: Subparsers) -> None:
    parser = add_command(
        subparsers,
        "unpack",
        run,
        what="restore a packed job, byte by byte",
        example="roomcheck unpack harbour-room.roomcheck.zip\n"
        "  roomcheck unpack harbour-room.roomcheck.zip --check",
    )
    parser.add_argument("file", metavar="FILE", help="what roomcheck pack wrote")
    parser.add_argument(
        "folder",
        metavar="FOLDER",
        nargs="?",
        help="the job's new folder, which must not be there (default: its old name, here)",
    )
    parser.add_argument(
        "--check", action="store_true", help="only read it through: is every file whole?"
    )


def run(args: argparse.Namespace) -> int:
    from roomcheck.chain import check_pack, unpack
    from roomcheck.cli.mending import tell_mended_in

    if args.check:
        with doing("unpack") as shown:
            manifest = check_pack(args.file, shown.part)
        if args.json:
            return show_json({"file": args.file, "whole": True, "manifest": manifest})
        from roomcheck.report import whole_pack_blocks

        show(whole_pack_blocks(args.file, manifest.job, len(manifest.files), manifest.size))
        return 0
    tell_mended_in(Path(args.folder or "job").absolute().parent)
    with doing("unpack") as shown:
        unpacked = unpack(args.file, args.folder, shown.part)
    if args.json:
        return show_json(unpacked)
    from roomcheck.report import unpacked_blocks

    show(unpacked_blocks(unpacked.folder, unpacked.files, unpacked.size, unpacked.extent))
    return 0
