"""roomcheck recommend JOB: what to hang, how many, where; and what changes by hand cost."""

from __future__ import annotations

import argparse
import re
from typing import TYPE_CHECKING

from roomcheck.chain import Chain
from roomcheck.cli.progress import opened
from roomcheck.cli.terminal import Subparsers, add_command, doing, show, show_json, show_line
from roomcheck.errors import RoomcheckError

if TYPE_CHECKING:
    from roomcheck.report import Block

_PIECE = re.compile(r"[A-Z][0-9]+")

_BY_HAND = """
Pieces of a plan are named A1, A2, … (see --plan 2). Changes by hand:
  roomcheck recommend harbour-room --pin A3               A3 stays where it is
  roomcheck recommend harbour-room --forbid A3            nothing at that place
  roomcheck recommend harbour-room --forbid north --forbid "felt tile"
  roomcheck recommend harbour-room --move A3 west "3' 4\\"" "30 in" --keep
Without --keep nothing is written: you see what the change would cost in decay and money."""


def add_parser(subparsers: Subparsers) -> None:
    parser = add_command(
        subparsers,
        "recommend",
        run,
        what="three plans of pieces from the shop's stock, each at its place",
        example="roomcheck recommend harbour-room --plan 2\n" + _BY_HAND,
    )
    parser.add_argument("job", metavar="JOB", help="the job folder")
    parser.add_argument(
        "--plan",
        type=int,
        metavar="N",
        help="plan N alone: its places, or what is changed or explained",
    )
    parser.add_argument(
        "--explain",
        metavar="PIECE",
        help="why this piece is there, and what it costs for what it does",
    )
    parser.add_argument(
        "--pin", metavar="PIECE", action="append", default=[], help="keep this piece where it is"
    )
    parser.add_argument(
        "--forbid",
        metavar="WHAT",
        action="append",
        default=[],
        help=(
            "nothing at this piece's place; or no such piece of the stock; or nothing on this face"
        ),
    )
    parser.add_argument(
        "--move",
        nargs=4,
        metavar=("PIECE", "FACE", "LEFT", "BOTTOM"),
        action="append",
        default=[],
        help="hang this piece there instead, from the face's left and bottom edge",
    )
    parser.add_argument(
        "--pairs",
        type=int,
        metavar="N",
        help="what can be promised if N pairs of places are measured again after the work",
    )
    parser.add_argument(
        "--keep", action="store_true", help="write the changes by hand, or --pairs, into job.toml"
    )
    parser.add_argument(
        "--clear", action="store_true", help="take all changes by hand out of job.toml first"
    )
    parser.add_argument(
        "--drawings", metavar="FOLDER", help="write floor plan and elevations there, SVG and DXF"
    )
    parser.add_argument(
        "--all", action="store_true", help="every reason, note and check, not the answer alone"
    )


def run(args: argparse.Namespace) -> int:
    _check(args)
    chain = opened(args.job, args.plan)
    _check_moves(args, chain)
    if args.clear:
        from roomcheck.job import clear_changes

        chain = chain.with_job(clear_changes(chain.job.folder))
    if args.pairs is not None:
        chain = _with_pairs(chain, args.pairs, keep=args.keep)
    if args.explain is not None:
        return _explain(args, chain)
    if args.pin or args.forbid or args.move:
        return _change(args, chain)
    if args.drawings is not None:
        return _draw(args, chain)
    if args.json:
        return show_json(chain.plans if args.plan is None else chain.plan)
    if args.plan is not None:
        from roomcheck.report import plan_blocks, plan_hint

        hint = () if args.all else plan_hint(chain.plan)
        whole, short = args.all, not args.all
        show((*plan_blocks(chain.job, chain.plan, everything=whole, short=short), *hint))
    else:
        show(plans_screen(chain, everything=args.all))
    if args.pairs is not None:
        from roomcheck.report import pairs_blocks

        show(pairs_blocks(chain.job, chain.proposed, kept=args.keep))
    return 0


def _check(args: argparse.Namespace) -> None:
    """Refuse what can be refused before anything is computed.

    Raises
    ------
    RoomcheckError
    """
    by_hand = bool(args.pin or args.forbid or args.move)
    if args.keep and not by_hand and args.pairs is None:
        raise RoomcheckError(
            "--keep goes with --pin, --forbid, --move or --pairs: give one of them"
        )
    asked = [by_hand, *(one is not None for one in (args.explain, args.drawings, args.pairs))]
    if sum(asked) > 1:
        raise RoomcheckError("--explain, --drawings, --pairs and changes by hand: one at a time")
    named = [*args.pin, *(move[0] for move in args.move)]
    for name in [*named, *([args.explain] if args.explain is not None else [])]:
        if not _PIECE.fullmatch(name.strip()):
            raise RoomcheckError(f"{name!r} is no piece of a plan; they are named A1, A2, …")


def _with_pairs(chain: Chain, pairs: int, *, keep: bool) -> Chain:
    """The job with so many pairs to be measured again; written into its file with `keep`.

    Raises
    ------
    RoomcheckError
    """
    from roomcheck.job import Edit, edit_job, edited_job

    edit = Edit(("pairs_after",), str(pairs))
    folder = chain.job.folder
    return chain.with_job(edit_job(folder, [edit]) if keep else edited_job(folder, [edit]))


def _check_moves(args: argparse.Namespace, chain: Chain) -> None:
    from roomcheck.recommend import moved_to

    moved_to(chain.job, args.move)


def plans_screen(chain: Chain, *, everything: bool = False) -> tuple[Block, ...]:
    """Set the plans side by side with their prices."""
    from roomcheck.report import plans_blocks

    totals = tuple(quote.total for quote in chain.quotes)
    return plans_blocks(chain.job, chain.plans, totals, everything=everything)


def _explain(args: argparse.Namespace, chain: Chain) -> int:
    from roomcheck.recommend import why
    from roomcheck.report import why_blocks

    plan = chain.proposed
    site = chain.site
    with doing("why"):
        reason = why(site, plan, args.explain)
    if args.json:
        return show_json(reason)
    show(why_blocks(chain.job, reason))
    return 0


def _change(args: argparse.Namespace, chain: Chain) -> int:
    from roomcheck.recommend import asked_for, change_in
    from roomcheck.report import change_blocks

    plan = chain.proposed
    pins, forbids = asked_for(chain.job, plan, args.pin, args.forbid, args.move)
    site = chain.site
    with doing("change") as shown:
        change = change_in(site, plan, pins, forbids, shown.part)
    if args.keep:
        from roomcheck.job import keep_changes

        keep_changes(chain.job.folder, pins, forbids)
    if args.json:
        return show_json(change)
    show(change_blocks(chain.job, change, kept=args.keep, everything=args.all))
    return 0


def _draw(args: argparse.Namespace, chain: Chain) -> int:
    from roomcheck.report import write_drawings

    plan = chain.proposed
    with doing("drawings") as shown:
        files = write_drawings(chain.job, plan, args.drawings, shown.part)
    if args.json:
        return show_json({"files": files})
    for file in files:
        show_line(str(file))
    return 0
