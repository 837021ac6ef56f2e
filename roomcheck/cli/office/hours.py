"""roomcheck hours JOB: hours as they happen, beside those planned."""

from __future__ import annotations

import argparse
from datetime import datetime
from typing import TYPE_CHECKING

from roomcheck.cli.progress import opened
from roomcheck.cli.terminal import (
    Subparsers,
    add_all_option,
    add_command,
    show_json,
    show_line,
    show_short,
)
from roomcheck.errors import RoomcheckError
from roomcheck.words import say

if TYPE_CHECKING:
    from pathlib import Path

    from roomcheck.chain import Chain
    from roomcheck.job import Job


def add_parser(subparsers: Subparsers) -> None:
    parser = add_command(
        subparsers,
        "hours",
        run,
        what="hours that went into a job, beside those planned",
        example='roomcheck hours harbour-room --note "2 in panel: frame = 1:30" --by Sam\n'
        '  roomcheck hours harbour-room --take-up "2 in panel"',
    )
    parser.add_argument("job", metavar="JOB", help="the job folder")
    add_all_option(parser, "every piece and every note, not the first few")
    parser.add_argument(
        "--note",
        metavar="TEXT",
        help='hours to add: "PIECE: WORK = TIME", such as 1.5, 1:30 or 90 min; "WORK = TIME" for '
        "work on site",
    )
    parser.add_argument("--by", metavar="NAME", default="", help="whose hours they are")
    parser.add_argument(
        "--take-back", metavar="N", type=int, help="hours of this number were typed by mistake"
    )
    parser.add_argument(
        "--take-up",
        metavar="PIECE",
        help="write what one of these took into the shop's file, for the next jobs",
    )


def run(args: argparse.Namespace) -> int:
    from roomcheck.job import read_done, take_back_hours
    from roomcheck.workshop import taken_hours, work_hours

    chain = opened(args.job)
    folder = chain.job.folder
    if args.note:
        _note(chain, args.note, args.by)
    if args.take_back:
        take_back_hours(folder, args.take_back)
    if args.take_up:
        return _take_up(chain, args)
    sheet, done = chain.sheet, read_done(folder)
    if args.json:
        works, taken = work_hours(sheet, done), taken_hours(sheet, done)
        return show_json({"works": works, "notes": done.hours, "taken": taken})
    from roomcheck.report import hours_blocks

    show_short(hours_blocks(chain.job, sheet, done), everything=args.all)
    return 0


def _note(chain: Chain, text: str, by: str) -> None:
    from roomcheck.job import Done, hours_of, note_hours
    from roomcheck.workshop import work_hours

    what, sign, time = text.rpartition("=")
    piece, colon, work = what.rpartition(":")
    if not sign or not work.strip():
        raise RoomcheckError(f'--note {text!r}: needed "PIECE: WORK = TIME"')
    known = [(one.piece, one.key) for one in work_hours(chain.sheet, Done())]
    named = (piece.strip() if colon else "", work.strip().replace(" ", "_"))
    if named not in known and (named[0], work.strip()) not in known:
        works = "; ".join(": ".join(filter(None, one)) for one in known)
        raise RoomcheckError(f"--note {text!r}: no such work on the build sheet. It has {works}")
    key = named[1] if named in known else work.strip()
    when = datetime.now().isoformat(sep=" ", timespec="minutes")
    note_hours(chain.job.folder, named[0], key, hours_of(time), by=by, when=when)


def _take_up(chain: Chain, args: argparse.Namespace) -> int:
    from roomcheck.job import keep_build_hours, read_done
    from roomcheck.workshop import taken_hours

    job: Job = chain.job
    for taken in taken_hours(chain.sheet, read_done(job.folder)):
        if taken.piece == args.take_up:
            source = say("hours_why", job=job.folder.absolute().name, count=taken.count)
            file: Path = keep_build_hours(job, taken.piece, taken.noted_each, source)
            if args.json:
                return show_json({"file": file, "taken": taken})
            show_line(
                say("hours_kept_in_shop", piece=taken.piece, hours=taken.noted_each, file=file)
            )
            return 0
    raise RoomcheckError(
        f"--take-up {args.take_up!r}: each of its works needs hours first, and no clock that runs; "
        f"see: roomcheck hours {args.job}"
    )
