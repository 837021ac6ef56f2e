"""roomcheck report JOB: every document that the job allows."""

from __future__ import annotations

import argparse

from roomcheck.cli.office.verify import add_compare_anyway
from roomcheck.cli.progress import opened
from roomcheck.cli.terminal import Subparsers, add_command, show, show_json


def add_parser(subparsers: Subparsers) -> None:
    parser = add_command(
        subparsers,
        "report",
        run,
        what="the documents and result files that the job allows, and what is missing for the rest",
        example="roomcheck report harbour-room",
    )
    parser.add_argument("job", metavar="JOB", help="the job folder")
    parser.add_argument(
        "--plan", type=int, metavar="N", help="to draw (default: the signed one, else the target's)"
    )
    parser.add_argument(
        "--only",
        choices=("scene",),
        help="scene: only the room in space as glTF, for programs that show such files",
    )
    add_compare_anyway(parser)


def run(args: argparse.Namespace) -> int:
    if args.only == "scene":
        return _scene(args)
    documents = opened(args.job, args.plan, compare_anyway=args.compare_anyway).documents
    if args.json:
        return show_json(documents)
    from roomcheck.report import files_written

    show(files_written(documents.files, documents.lacking))
    return 0


def _scene(args: argparse.Namespace) -> int:
    """Write the room with the pieces of its plan as a file for other programs."""
    from roomcheck.report import files_written, scene_glb, write_files
    from roomcheck.scene import scene

    chain = opened(args.job, args.plan)
    planned = chain.agreement is not None or chain.has_takes("before")
    built = scene(chain.job, chain.plan.pieces if planned else ())
    data = scene_glb(built, chain.job.title)
    files = write_files(chain.job.folder, [("documents/room-in-space.glb", data)])
    if args.json:
        return show_json({"files": files})
    show(files_written(files, ()))
    return 0
