"""roomcheck pack JOB: the whole job as one file."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from roomcheck.cli.terminal import Subparsers, add_command, doing, show, show_json

if TYPE_CHECKING:
    from roomcheck.chain import Extent

_ABOUT = (
    "Documents, job file, what was signed, results, and recordings (as FLAC where every byte comes "
    "back) go into one zip file with the SHA-256 of each; roomcheck unpack restores them byte by "
    "byte. A shop file in the folder above is taken along. How long recordings, names and "
    "addresses of a client are kept is the contractor's to decide and to tell the client, within "
    "the law of the place."
)


def add_parser(subparsers: Subparsers) -> None:
    parser = add_command(
        subparsers,
        "pack",
        run,
        what="write a job into one file, to keep it or to hand it over",
        example="roomcheck pack harbour-room\n"
        "  roomcheck pack harbour-room --for-client --out for-client-a.zip\n"
        "  roomcheck pack harbour-room --out /media/archive/harbour-room.zip --then-remove",
    )
    parser.description = f"{parser.description} {_ABOUT}"
    parser.add_argument("job", metavar="JOB", help="the job folder")
    parser.add_argument(
        "--out", metavar="FILE", help="default: beside the job, JOB.roomcheck.zip; must be new"
    )
    extent = parser.add_mutually_exclusive_group()
    extent.add_argument(
        "--without-recordings",
        action="store_true",
        help="takes keep their facts alone; results and documents stay as they are",
    )
    extent.add_argument(
        "--for-client",
        action="store_true",
        help="only the documents that a client gets: no costs, no shop sheets, no recordings",
    )
    parser.add_argument(
        "--then-remove",
        action="store_true",
        help="take the job's folder away, once the file was read through and is whole",
    )


def run(args: argparse.Namespace) -> int:
    from roomcheck.chain import pack
    from roomcheck.cli.mending import tell_mended_in

    extent: Extent = "whole"
    if args.without_recordings:
        extent = "without recordings"
    if args.for_client:
        extent = "for the client"
    if args.out:
        tell_mended_in(Path(args.out).absolute().parent)
    with doing("pack") as shown:
        packed = pack(
            args.job, args.out, extent=extent, then_remove=args.then_remove, on_part=shown.part
        )
    if args.json:
        return show_json(packed)
    from roomcheck.report import packed_blocks

    show(
        packed_blocks(
            packed.file,
            extent=packed.extent,
            files=packed.files,
            size=packed.size,
            packed_size=packed.packed_size,
            left_out=packed.left_out,
            removed=packed.removed,
        )
    )
    return 0
