"""roomcheck check JOB: what the job is ready for, and what is missing for which stage."""

from __future__ import annotations

import argparse
from typing import TYPE_CHECKING

from roomcheck.cli.terminal import Subparsers, add_command, show_json
from roomcheck.errors import RoomcheckError
from roomcheck.facts import Fact
from roomcheck.job import FileMistakes, Lack, Mistake, Readiness, check_job, load_job

if TYPE_CHECKING:
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
    except FileMistakes as problem:
        if args.json:
            _show_json(problem.mistakes, ())
        raise
    asked = _asked(readiness, args.stage)
    if args.json:
        _show_json((), readiness)
    else:
        from roomcheck.words import Reader

        print("\n".join(_lines(readiness, Reader(units=job.units))))
    return 0 if asked is None or asked.ready else 2


def _asked(readiness: tuple[Readiness, ...], stage: str | None) -> Readiness | None:
    if stage is None:
        return None
    for one in readiness:
        if stage == one.stage or stage in one.stage.split(" and "):
            return one
    stages = ", ".join(one.stage for one in readiness)
    raise RoomcheckError(f"--for {stage!r} is no stage; it may be one of: {stages}")


def _show_json(mistakes: tuple[Mistake, ...], readiness: tuple[Readiness, ...]) -> None:
    stages = [
        {"stage": one.stage, "ready": one.ready, "missing": one.missing, "notes": one.notes}
        for one in readiness
    ]
    show_json({"mistakes": mistakes, "stages": stages})


def _lines(readiness: tuple[Readiness, ...], reader: Reader) -> list[str]:
    from roomcheck.words import sentence, sentences

    wide = max(len(one.stage) for one in readiness)
    lines: list[str] = []
    named: dict[Fact[Lack], str] = {}
    for one in readiness:
        fresh = [lack for lack in one.missing if lack not in named]
        again = dict.fromkeys(named[lack] for lack in one.missing if lack in named)
        lines.append(f"{one.stage:<{wide}}  {'ready' if one.ready else 'not yet'}")
        lines += [f"  missing: {sentence(lack, reader)}" for lack in fresh]
        lines += [f"  missing: what {stage} needs" for stage in again]
        lines += [f"  note: {text}" for text in sentences(one.notes, reader)]
        named |= dict.fromkeys(fresh, one.stage)
    return lines
