"""roomcheck demo: the whole chain on a made-up room."""

from __future__ import annotations

import argparse
from pathlib import Path

from roomcheck.cli.office.recommend import show_plans
from roomcheck.cli.progress import opened
from roomcheck.cli.terminal import Subparsers, add_command, show, show_json, step


def add_parser(subparsers: Subparsers) -> None:
    parser = add_command(
        subparsers,
        "demo",
        run,
        what="run a made-up job on simulated recordings, from sweep to documents",
        example="roomcheck demo story-room",
    )
    parser.add_argument(
        "folder", metavar="FOLDER", nargs="?", default="story-room", help="default: story-room"
    )


def run(args: argparse.Namespace) -> int:
    from roomcheck.demo import demo
    from roomcheck.report import (
        analysis_screen,
        demo_ending,
        demo_opening,
        files_written,
        quote_blocks,
        verification_blocks,
    )
    from roomcheck.words import Reader

    with step("Laying down the made-up job and its recordings"):
        folder = demo(Path(args.folder)).folder
    chain = opened(folder)
    reader = Reader(units=chain.job.units)
    if not args.json:
        show(demo_opening())
        show(analysis_screen(chain.job, chain.before, chain.verdict))
        show_plans(chain)
        show(quote_blocks(chain.job, chain.quote))
        show(verification_blocks(chain.verification, reader))
    documents = chain.documents
    if args.json:
        return show_json(
            {
                "files": documents.files,
                "lacking": documents.lacking,
                "verification": chain.verification,
            }
        )
    papers = [file for file in documents.files if file.suffix == ".pdf"]
    verification = chain.verification
    print()
    show(files_written(papers, documents.lacking))
    print()
    show(demo_ending(verification, reader))
    return 0
