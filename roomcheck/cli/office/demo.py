"""roomcheck demo: the whole chain on a made-up room."""

from __future__ import annotations

import argparse
from pathlib import Path

from roomcheck.cli.chain import Chain
from roomcheck.cli.office.quote import show_quote
from roomcheck.cli.office.recommend import show_plans
from roomcheck.cli.office.report import write_documents
from roomcheck.cli.office.verify import show_verification
from roomcheck.cli.terminal import Subparsers, add_command, show, show_json, step

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
    from roomcheck.report import analysis_screen

    with step("Laying down the made-up job and its recordings"):
        chain = Chain(demo(Path(args.folder)))
    if not args.json:
        print(
            "Everything here is made up: no such client, no such room; the recordings are "
            "simulated.\n"
        )
        show(analysis_screen(chain.job, chain.before, chain.verdict))
        show_plans(chain)
        show_quote(chain.job, chain.quote)
        show_verification(chain.verification)
    files, lacking = write_documents(chain)
    if args.json:
        return show_json({"files": files, "lacking": lacking, "verification": chain.verification})
    print("\nDocuments:")
    for file in files:
        if file.suffix == ".pdf":
            print(f"  {file}")
    print(f"\nVerdict: {chain.verification.sentence}\n")
    print(_GO_ON, end="")
    return 0
