"""roomcheck check JOB: what the job is ready for, and what is missing for which stage."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from roomcheck.cli.terminal import Subparsers, add_command, show, show_json
from roomcheck.errors import RoomcheckError
from roomcheck.facts import Fact
from roomcheck.job import (
    FileMistakes,
    Job,
    Missing,
    Mistake,
    Readiness,
    check_job,
    load_job,
    read_done,
    room_facts,
    signed_path,
)

if TYPE_CHECKING:
    from roomcheck.report import Block
    from roomcheck.words import Reader


def add_parser(subparsers: Subparsers) -> None:
    parser = add_command(
        subparsers,
        "check",
        run,
        what="what a job is ready for, and what is missing for which stage",
        example="roomcheck check harbour-room",
    )
    parser.add_argument("job", metavar="JOB", help="the job folder")
    parser.add_argument(
        "--for", dest="stage", metavar="STAGE", help="exit with 2 unless ready for this stage"
    )


def run(args: argparse.Namespace) -> int:
    try:
        job = load_job(args.job)
        readiness = check_job(job)
        read_done(job.folder)
        if signed_path(job.folder).exists():
            _read_signed(args.job)
    except FileMistakes as problem:
        if args.json:
            _show_json(problem.mistakes, ())
        raise
    asked = _asked(readiness, args.stage)
    if args.json:
        _show_json((), readiness, job)
    else:
        from roomcheck.report import room_blocks
        from roomcheck.words import Reader

        show((*room_blocks(job), *_blocks(readiness, Reader(units=job.units))))
    return 0 if asked is None or asked.ready else 2


def _read_signed(folder: str) -> None:
    """Read what was signed as the later commands will.

    Raises
    ------
    FileMistakes
    """
    from roomcheck.chain import open_job

    _ = open_job(folder).agreed


def _asked(readiness: tuple[Readiness, ...], stage: str | None) -> Readiness | None:
    if stage is None:
        return None
    for one in readiness:
        if stage == one.stage or stage in one.stage.split(" and "):
            return one
    stages = ", ".join(one.stage for one in readiness)
    raise RoomcheckError(f"--for {stage!r} is no stage; it may be one of: {stages}")


def _show_json(
    mistakes: tuple[Mistake, ...], readiness: tuple[Readiness, ...], job: Job | None = None
) -> None:
    stages = [
        {"stage": one.stage, "ready": one.ready, "missing": one.missing, "notes": one.notes}
        for one in readiness
    ]
    room = () if job is None else room_facts(job)
    show_json({"mistakes": mistakes, "room": room, "stages": stages})


def _blocks(readiness: tuple[Readiness, ...], reader: Reader) -> list[Block]:
    from roomcheck.report import Bullets, Heading, Text
    from roomcheck.words import say, sentence, sentences

    lacking = ", ".join(step.stage for step in readiness if not step.ready)
    head = say("not_ready", stages=lacking) if lacking else say("all_ready")
    blocks: list[Block] = [Text(body=head)]
    named: dict[Fact[Missing], str] = {}
    for step in readiness:
        fresh = [lack for lack in step.missing if lack not in named]
        again = dict.fromkeys(named[lack] for lack in step.missing if lack in named)
        state = say("ready" if step.ready else "not_yet")
        blocks.append(Heading(text=say("step_is", stage=step.stage, state=state), level=2))
        items = [say("missing", what=sentence(lack, reader)) for lack in fresh]
        items += [say("missing_as_before", stage=stage) for stage in again]
        items += [say("to_note", what=note) for note in sentences(step.notes, reader)]
        if items:
            blocks.append(Bullets(items=tuple(items)))
        named |= dict.fromkeys(fresh, step.stage)
    return blocks
