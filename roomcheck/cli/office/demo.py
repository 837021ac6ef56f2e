"""roomcheck demo: the whole chain on a made-up room."""

from __future__ import annotations

import argparse
from pathlib import Path

from roomcheck.cli.office.recommend import plans_screen
from roomcheck.cli.progress import opened
from roomcheck.cli.terminal import Subparsers, add_command, doing, show, show_json


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

    with doing("demo"):
        folder = demo(Path(args.folder)).folder
    chain = opened(folder)
    reader = Reader(units=chain.job.units)
    if args.json:
        documents = chain.documents
        return show_json(
            {
                "files": documents.files,
                "lacking": documents.lacking,
                "verification": chain.verification,
            }
        )
    show(demo_opening())
    show(analysis_screen(chain.job, chain.before, chain.verdict), gap=True)
    show(plans_screen(chain), gap=True)
    show(quote_blocks(chain.job, chain.quote, signed=chain.agreement), gap=True)
    show(verification_blocks(chain.verification, reader), gap=True)
    papers = [file for file in chain.documents.files if file.suffix == ".pdf"]
    show(files_written(papers, chain.documents.lacking), gap=True)
    show(demo_ending(), gap=True)
    return 0
