"""roomcheck set JOB WAY VALUE: one value of job.toml; comments and order stay."""

from __future__ import annotations

import argparse
import re
import tomllib
from typing import Any

from roomcheck.cli.terminal import Subparsers, add_command, show, show_json
from roomcheck.errors import RoomcheckError

_STEP = re.compile(r'\s*(?:"([^"]*)"|([^".]+))\s*(?:\.|$)')


def add_parser(subparsers: Subparsers) -> None:
    parser = add_command(
        subparsers,
        "set",
        run,
        what="change one value of job.toml; comments stay, and roomcheck undo takes it back",
        example='roomcheck set harbour-room room.height "8\' 1\\""\n'
        '  roomcheck set harbour-room "patch.tall window.left" 90cm\n'
        "  roomcheck set harbour-room keep_clear.outlet.clearance 4in\n"
        '  roomcheck set harbour-room "look.block diffuser" walnut\n'
        "  roomcheck set harbour-room budget --remove",
    )
    parser.add_argument("job", metavar="JOB", help="the job folder")
    parser.add_argument(
        "way",
        metavar="WAY",
        help="keys from the top of the file; one of several tables by its name, its face or number",
    )
    parser.add_argument("value", metavar="VALUE", nargs="?", help="as job.toml would have it")
    parser.add_argument("--remove", action="store_true", help="take the value or the table out")


def run(args: argparse.Namespace) -> int:
    from roomcheck.job import Edit, edit_job, value_at

    way = way_of(args.way)
    if (args.value is None) != args.remove:
        raise RoomcheckError("roomcheck set: give a VALUE, or --remove, one of the two")
    if way[0] == "look" and len(way) < 3 and not way[-1].isdecimal():
        return _choose(args, "".join(way[1:]))
    was = value_at(args.job, way)
    job = edit_job(args.job, [Edit(way, None if args.remove else _value(args.value))])
    now = None if args.remove else value_at(args.job, way)
    if args.json:
        return show_json({"way": ".".join(way), "was": was, "now": now})
    from roomcheck.report import changed_blocks

    show(changed_blocks(job, ".".join(way), was, now))
    return 0


def _choose(args: argparse.Namespace, piece: str) -> int:
    """Choose a cloth, a stain or a paint for a kind of piece, or for all."""
    from roomcheck.job import edit_job, load_job, look_edits

    job = load_job(args.job)
    was = ", ".join(one.look.name for one in job.looks if one.piece == piece) or None
    edits = look_edits(job, args.value, piece)
    if not edits:
        raise RoomcheckError(f"{args.way}: nothing is chosen there")
    job = edit_job(args.job, edits)
    now = ", ".join(one.look.name for one in job.looks if one.piece == piece) or None
    if args.json:
        return show_json({"way": args.way, "was": was, "now": now})
    from roomcheck.report import changed_blocks

    show(changed_blocks(job, args.way, was, now))
    return 0


def way_of(text: str) -> tuple[str, ...]:
    """The keys of a way.

    >>> way_of("room.height"), way_of('patch."no. 2".left')
    (('room', 'height'), ('patch', 'no. 2', 'left'))

    Raises
    ------
    RoomcheckError
    """
    keys, at = [], 0
    while at < len(text):
        found = _STEP.match(text, at)
        if found is None:
            raise RoomcheckError(f'{text!r} is no way to a value; write it like "room.height"')
        keys.append(found[2].strip() if found[1] is None else found[1])
        at = found.end()
    if not keys or not all(keys):
        raise RoomcheckError(f'{text!r} is no way to a value; write it like "room.height"')
    return tuple(keys)


def _value(text: str) -> Any:
    """A text as typed; a list where it is written as one."""
    if not text.lstrip().startswith("["):
        return text
    try:
        return tomllib.loads(f"value = {text}")["value"]
    except (ValueError, RecursionError) as problem:
        raise RoomcheckError(f'{text!r} is no list; write it like ["0 in", "1 in"]') from problem
