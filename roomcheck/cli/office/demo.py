"""roomcheck demo: the whole chain on a made-up room."""

from __future__ import annotations

import argparse
from pathlib import Path

from roomcheck.cli.office.analyse import show_analysis
from roomcheck.cli.office.quote import show_quote
from roomcheck.cli.office.recommend import show_plans
from roomcheck.cli.office.verify import show_verification
from roomcheck.cli.progress import opened
from roomcheck.cli.terminal import Subparsers, add_command, show_json, step

_GO_ON = """\
With a recording of your own:
  roomcheck new my-room                          a job folder; fill in source, microphone and visit, as its comments say
  roomcheck sweep my-sweep.wav                   a file to play in the room while a recorder runs, and its facts
  roomcheck add my-room REC.wav --visit before --source S1 --microphone P1 --sweep my-sweep.toml
  roomcheck analyse my-room                      what is wrong
"""


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

    with step("Laying down the made-up job and its recordings"):
        folder = demo(Path(args.folder)).folder
    chain = opened(folder)
    if not args.json:
        print(
            "Everything here is made up: no such client, no such room; the recordings are "
            "simulated.\n"
        )
        show_analysis(chain.before, chain.verdict, chain.job.units)
        show_plans(chain)
        show_quote(chain.job, chain.quote)
        show_verification(chain.verification)
    documents = chain.documents
    if args.json:
        return show_json(
            {
                "files": documents.files,
                "lacking": documents.lacking,
                "verification": chain.verification,
            }
        )
    print("\nDocuments:")
    for file in documents.files:
        if file.suffix == ".pdf":
            print(f"  {file}")
    print(f"\nVerdict: {chain.verification.sentence}\n")
    print(_GO_ON, end="")
    return 0
