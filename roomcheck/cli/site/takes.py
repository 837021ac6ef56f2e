"""roomcheck takes JOB: the takes of a job; put one aside, back, or to another pair."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from typing import TYPE_CHECKING

from roomcheck.cli.site.places import add_sure_option, settle_place
from roomcheck.cli.terminal import (
    Subparsers,
    add_all_option,
    add_command,
    doing,
    show_json,
    show_short,
)
from roomcheck.errors import RoomcheckError
from roomcheck.job import Job

if TYPE_CHECKING:
    from roomcheck.measure import HeardTake, KeptTake


def add_parser(subparsers: Subparsers) -> None:
    parser = add_command(
        subparsers,
        "takes",
        run,
        what="list the takes of a job; put one aside, back, or to another pair; none is ever lost",
        example="roomcheck takes harbour-room\n"
        "  roomcheck takes harbour-room before/S1-P2 --remove\n"
        "  roomcheck takes harbour-room set-aside/before/S1-P2 --put-back\n"
        "  roomcheck takes harbour-room before/S1-P2 --move-to before/S1-P3",
    )
    parser.add_argument("job", metavar="JOB", help="the job folder")
    parser.add_argument(
        "take", metavar="TAKE", nargs="?", help="one of those listed, such as before/S1-P2"
    )
    what = parser.add_mutually_exclusive_group()
    what.add_argument(
        "--remove",
        action="store_true",
        help="put it aside, in takes/set-aside: it counts no more, and --put-back undoes it",
    )
    what.add_argument("--put-back", action="store_true", help="bring one that was put aside back")
    what.add_argument(
        "--move-to",
        metavar="PAIR",
        help="it is of this visit and pair, such as before/S1-P3; as it was, it is put aside",
    )
    add_all_option(parser, "every take, not the first few")
    add_sure_option(parser)


def run(args: argparse.Namespace) -> int:
    from roomcheck.job import load_job

    job = load_job(args.job)
    if args.take is None:
        return _list(job, args)
    return _change(job, args)


_PARTS = 100
"""That listening to one take of a list is counted in."""


def _list(job: Job, args: argparse.Namespace) -> int:
    from roomcheck.chain import keeping_takes
    from roomcheck.measure import hear, kept_takes
    from roomcheck.parts import Parts

    if args.remove or args.put_back or args.move_to is not None:
        raise RoomcheckError(
            "roomcheck takes: no take is named; needed one of those that roomcheck takes "
            f"{args.job} lists, such as before/S1-P1"
        )
    there = kept_takes(job, aside=True)
    heard = []
    with doing("listen", file=str(job.folder / "takes")) as shown, keeping_takes(job):
        parts = Parts(shown.part, _PARTS * len(there))
        for kept in there:
            heard.append(hear(job, kept, parts.of_own(_PARTS)))
            parts.add(_PARTS)
    return _shown(heard, args)


def _change(job: Job, args: argparse.Namespace) -> int:
    from roomcheck.chain import keeping_takes
    from roomcheck.measure import find_take, hear, move_to, only_one, put_back, set_aside

    with only_one(job.folder), keeping_takes(job):
        kept = find_take(job, args.take)
        if args.remove:
            kept = set_aside(job, kept)
        elif args.put_back:
            _ask(job, kept, args, kept.visit, kept.pair)
            kept = put_back(job, kept)
        elif args.move_to is not None:
            visit, source, microphone = _pair(job, args.move_to)
            _ask(job, kept, args, visit, (source, microphone))
            kept = move_to(job, kept, visit=visit, source=source, microphone=microphone)
        with doing("listen", file=kept.take) as shown:
            heard = hear(job, kept, shown.part)
    return _shown((heard,), args)


def _ask(
    job: Job, kept: KeptTake, args: argparse.Namespace, visit: str, pair: tuple[str, str]
) -> None:
    """Ask whether a take is of a visit and pair where its sound says otherwise."""
    if args.sure:
        return
    settle_place(job, kept, visit=visit, pair=pair)


def _pair(job: Job, said: str) -> tuple[str, str, str]:
    """Visit, source and microphone of `before/S1-P3`."""
    pairs = job.pairs
    for visit in ("before", "after"):
        for source, microphone in pairs:
            if said == f"{visit}/{source}-{microphone}":
                return visit, source, microphone
    such = f"before/{pairs[0][0]}-{pairs[0][1]}" if pairs else "before/S1-P1"
    raise RoomcheckError(
        f"--move-to {said!r}: no such visit and pair in {job.folder / 'job.toml'}; needed such as "
        f"{such}"
    )


def _shown(heard: Sequence[HeardTake], args: argparse.Namespace) -> int:
    if args.json:
        return show_json({"takes": [_plain(one) for one in heard]})
    from roomcheck.report import takes_blocks

    show_short(takes_blocks(heard), everything=args.all)
    return 0


def _plain(heard: HeardTake) -> dict[str, object]:
    kept: KeptTake = heard.kept
    return {
        "take": kept.take,
        "visit": kept.visit,
        "source": kept.source,
        "microphone": kept.microphone,
        "number": kept.number,
        "added": kept.added,
        "keep": heard.check.keep if heard.check else False,
        "reasons": heard.check.reasons if heard.check else (),
        "length_s": heard.length_s,
        "set_aside": kept.aside,
        "came_from": kept.came_from or None,
        "problem": heard.problem or None,
    }
