"""roomcheck demo: the whole chain on a made-up room."""

from __future__ import annotations

import argparse
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from roomcheck.chain import Activity, Steps
from roomcheck.cli.office.recommend import plans_screen
from roomcheck.cli.progress import Whole, opened
from roomcheck.cli.terminal import Subparsers, add_command, show, show_json

if TYPE_CHECKING:
    from roomcheck.report import Block

WORK = (
    (Activity.LAY, 13),
    (Activity.READ, 1),
    (Activity.ANALYSE, 11),
    (Activity.CALIBRATE, 9),
    (Activity.PLAN, 35),
    (Activity.PRICE, 7),
    (Activity.READ, 1),
    (Activity.ANALYSE, 10),
    (Activity.BUILD, 1),
    (Activity.REPORT, 43),
)
"""What there is to do, and how long each takes beside the others: the job is always the same one.
Only what is shown depends on it."""


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

    whole = Whole(WORK)
    folder = demo(Path(args.folder), Steps(on_step=whole.show)).folder
    chain = opened(folder, on_step=whole.show)
    reader = Reader(units=chain.job.units)
    if args.json:
        documents = chain.documents
        whole.clear()
        return show_json(
            {
                "files": documents.files,
                "lacking": documents.lacking,
                "verification": chain.verification,
            }
        )

    def papers() -> tuple[Block, ...]:
        made = [file for file in chain.documents.files if file.suffix == ".pdf"]
        return files_written(made, chain.documents.lacking)

    whole.clear()
    show(demo_opening())
    screens: tuple[Callable[[], tuple[Block, ...]], ...] = (
        lambda: analysis_screen(chain.job, chain.before, chain.verdict),
        lambda: plans_screen(chain),
        lambda: quote_blocks(chain.job, chain.quote, signed=chain.agreement),
        lambda: verification_blocks(chain.verification, reader),
        papers,
        demo_ending,
    )
    for screen in screens:
        made = screen()
        whole.clear()
        show(made, gap=True)
    return 0
