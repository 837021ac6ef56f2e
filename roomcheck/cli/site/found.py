"""roomcheck found JOB [WALL WHAT]: what is behind the walls, as it is found while hanging."""

from __future__ import annotations

import argparse
from datetime import datetime

from roomcheck.cli.progress import opened
from roomcheck.cli.terminal import Subparsers, add_command, show, show_json
from roomcheck.errors import RoomcheckError


def add_parser(subparsers: Subparsers) -> None:
    parser = add_command(
        subparsers,
        "found",
        run,
        what="what was found behind the walls: a stud elsewhere moves the mark, a cable stops it",
        example='roomcheck found harbour-room north stud --left "3 ft 2 in" --piece A1 --by Sam\n'
        '  roomcheck found harbour-room north cable --left "5 ft" --by Sam\n'
        '  roomcheck found harbour-room north cleared --of 2 --note "who looked, licence"',
    )
    parser.description = (
        f"{parser.description} Nobody drills where a cable, a pipe, metal or something unknown was "
        "found, before a licensed person has looked."
    )
    parser.add_argument("job", metavar="JOB", help="the job folder")
    parser.add_argument("wall", metavar="WALL", nargs="?", help="its name in the job")
    parser.add_argument(
        "what",
        metavar="WHAT",
        nargs="?",
        help='stud, "no stud", cable, pipe, metal, doubt, or cleared',
    )
    parser.add_argument("--left", metavar="LENGTH", default="", help="from the left corner")
    parser.add_argument("--piece", metavar="NAME", default="", help="the piece that hangs there")
    parser.add_argument("--of", metavar="N", type=int, help="of cleared: which finding")
    parser.add_argument("--note", metavar="TEXT", default="", help="more words; who cleared it")
    parser.add_argument("--by", metavar="NAME", default="", help="who found it")
    parser.add_argument(
        "--take-back", metavar="N", type=int, help="finding N was typed by mistake; it stays there"
    )


def run(args: argparse.Namespace) -> int:
    from roomcheck.job import load_job, note_found, take_back_found

    job = load_job(args.job)
    if args.wall and not args.what:
        raise RoomcheckError("roomcheck found: say WHAT was found: stud, cable, pipe, metal, doubt")
    if args.wall:
        note_found(
            job.folder,
            job.room,
            face=args.wall,
            what=args.what,
            left=args.left,
            piece=args.piece,
            of=args.of,
            by=args.by,
            when=datetime.now().isoformat(sep=" ", timespec="minutes"),
            note=args.note,
        )
    if args.take_back:
        take_back_found(job.folder, args.take_back)
    chain = opened(args.job)
    lines = chain.sheet.hanging if chain.agreement is not None else ()
    if args.json:
        return show_json({"found": chain.job.found, "hanging": lines})
    from roomcheck.report import found_blocks

    show(found_blocks(chain.job, lines))
    return 0
