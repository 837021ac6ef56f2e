"""roomcheck new FOLDER: a commented job file, from a few questions or from options."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Callable
from functools import partial
from pathlib import Path

from roomcheck.cli.terminal import Subparsers, add_command, show, show_json
from roomcheck.errors import Mistakes, RoomcheckError
from roomcheck.job import DEFAULT_MATERIALS, JobIsThere, check_job, new_job, problem_of
from roomcheck.signs import visible

_QUESTIONS = {
    "title": "What is the room called on the documents?",
    "client": "Who is the client?",
    "use": "What is the room for?",
    "length": "How long is it, along x? (such as 14' 6\" or 4.42 m)",
    "width": "How wide is it, along y?",
    "height": "How high is it?",
    "complaint": "What bothers them, in their own words? (may stay empty)",
    "walls": "What are the walls made of?",
    "floor": "And the floor?",
    "ceiling": "And the ceiling?",
}
_NEEDED = ("use", "length", "width", "height")


def add_parser(subparsers: Subparsers) -> None:
    parser = add_command(
        subparsers,
        "new",
        run,
        what="make a job folder with a commented job.toml, from a few questions or from options",
        example='roomcheck new harbour-room --use "meeting room" --length "18\' 2\\"" '
        '--width "12 ft" --height 2.6m',
    )
    parser.add_argument(
        "folder", metavar="FOLDER", help="made where it is missing; nothing in it is overwritten"
    )
    for name in ("length", "width", "height"):
        parser.add_argument(
            f"--{name}", metavar="LENGTH", help="with its unit, such as 14ft6in or 4.42m"
        )
    parser.add_argument("--use", metavar="USE", help="what the room is for; chooses the target")
    parser.add_argument("--client", metavar="NAME", help="default: the folder's name")
    parser.add_argument(
        "--title", metavar="TEXT", help="what the room is called; default: the folder's name"
    )
    parser.add_argument(
        "--complaint", metavar="TEXT", help="what bothers them, in the client's own words"
    )
    parser.add_argument(
        "--units",
        choices=("imperial", "metric"),
        help="how pages show lengths; default: as --length",
    )
    parser.add_argument(
        "--paper", choices=("letter", "a4"), help="default: letter for imperial, a4 for metric"
    )
    parser.add_argument("--currency", default="$", metavar="SIGN", help="default: $")
    for name in DEFAULT_MATERIALS:
        parser.add_argument(
            f"--{name}", metavar="MATERIAL", help=f'default: "{DEFAULT_MATERIALS[name]}"'
        )


def run(args: argparse.Namespace) -> int:
    folder = Path(args.folder)
    if (folder / "job.toml").exists():
        raise JobIsThere(folder / "job.toml")
    answers = {name: getattr(args, name) for name in _QUESTIONS if getattr(args, name) is not None}
    asking = sys.stdin.isatty() and not args.json
    if asking:
        answers = _ask(answers, folder)
    lacking = [name for name in _NEEDED if name not in answers]
    if lacking:
        raise Mistakes("roomcheck new", tuple(f"--{name} is missing" for name in lacking))
    name = folder.resolve().name or "job"
    job = new_job(
        folder,
        **{"client": name, "title": name, **answers},
        units=args.units,
        paper=args.paper,
        currency=args.currency,
    )
    if args.json:
        return show_json({"file": job.folder / "job.toml", "stages": check_job(job)})
    from roomcheck.report import Text, room_blocks
    from roomcheck.words import say, volume

    size = volume(job.room.volume_m3, job)
    made = say("job_is_made", file=str(job.folder / "job.toml"), volume=size, use=job.use)
    show([Text(body=made), *room_blocks(job), Text(body=say("fill_in", folder=str(args.folder)))])
    return 0


def _ask(answers: dict[str, str], folder: Path) -> dict[str, str]:
    """Ask on the terminal for what no option said; again where an answer cannot be."""
    defaults = {
        "title": folder.resolve().name,
        "client": folder.resolve().name,
        "complaint": "",
        **DEFAULT_MATERIALS,
    }
    for name, question in _QUESTIONS.items():
        if name not in answers:
            answers[name] = _answer(question, defaults.get(name), partial(problem_of, name))
    return answers


def _answer(question: str, default: str | None, problem: Callable[[str], str | None]) -> str:
    offered = f" [{default}]" if default else ""
    while True:
        print(visible(f"{question}{offered} "), end="", file=sys.stderr, flush=True)
        try:
            text = input().strip()
        except EOFError as end:
            raise RoomcheckError("no answer came; nothing was made") from end
        text = text or (default or "")
        wrong = problem(text)
        if wrong is None:
            return text
        print(visible(f"  {wrong}"), file=sys.stderr)
