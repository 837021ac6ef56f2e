"""roomcheck check JOB: what the job is ready for, and what is missing for which stage."""

from __future__ import annotations

import argparse
from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from roomcheck.cli.terminal import Subparsers, add_command, show, show_json
from roomcheck.errors import RoomcheckError
from roomcheck.facts import Fact, K, fact
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


ALIKE, NAMES = 3, 6
"""How many notes of one kind a step shows, and how many names a note."""


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
    parser.add_argument(
        "--all", action="store_true", help="every note and every name in it, not the first few"
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
        from roomcheck.report import Text, room_blocks
        from roomcheck.words import Reader, say

        shown = readiness if args.all else tuple(map(_in_short, readiness))
        show((*room_blocks(job), *_blocks(shown, Reader(units=job.units))))
        left = _left_out(readiness) if not args.all else 0
        if left:
            show((Text(body=say("notes_left_out", count=left)),), gap=True)
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


def _in_short(step: Readiness) -> Readiness:
    """A step with the first few of what is missing and of the notes of each kind, and the first
    few names in each."""
    missing, notes = (_first(facts) for facts in (step.missing, step.notes))
    return replace(step, missing=missing, notes=notes)


def _first(facts: Sequence[Fact[K]]) -> tuple[Fact[K], ...]:
    seen: Counter[Any] = Counter()
    kept = []
    for one in facts:
        seen[one.kind] += 1
        if seen[one.kind] <= ALIKE:
            kept.append(fact(one.kind, **{key: _few(it) for key, it in one.values}))
    return tuple(kept)


def _few(value: Any) -> Any:
    """A value as it is; of many names the first, and how many more there are."""
    if not isinstance(value, tuple) or len(value) <= NAMES + 1:
        return value
    if not all(isinstance(name, str) for name in value):
        return value
    from roomcheck.words import say

    return (*value[:NAMES], say("and_more", count=len(value) - NAMES))


def _left_out(readiness: Sequence[Readiness]) -> int:
    """How many notes and lacks are not shown for want of room."""
    return sum(
        len(step.missing) - len(_first(step.missing)) + len(step.notes) - len(_first(step.notes))
        for step in readiness
    )


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
