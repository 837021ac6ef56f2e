"""roomcheck report JOB: every document that the job allows."""

from __future__ import annotations

import argparse
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from roomcheck.cli.chain import Chain
from roomcheck.cli.office.verify import add_compare_anyway
from roomcheck.cli.terminal import Subparsers, add_command, show_json, step

if TYPE_CHECKING:
    from roomcheck.report import Case


def add_parser(subparsers: Subparsers) -> None:
    parser = add_command(
        subparsers,
        "report",
        run,
        what="the documents and result files that the job allows, and what is missing for the rest",
        example="roomcheck report harbour-room",
    )
    parser.add_argument("job", metavar="JOB", help="the job folder")
    parser.add_argument(
        "--plan", type=int, metavar="N", help="which plan to draw (default: the signed one, else 2)"
    )
    add_compare_anyway(parser)


def run(args: argparse.Namespace) -> int:
    chain = replace(Chain.of(args.job, args.plan), compare_anyway=args.compare_anyway)
    files, lacking = write_documents(chain)
    if args.json:
        return show_json({"files": files, "lacking": lacking})
    for file in files:
        print(file)
    for lack in lacking:
        print(f"not made: {lack}")
    return 0


def write_documents(chain: Chain) -> tuple[tuple[Path, ...], tuple[str, ...]]:
    """Write everything the state of the job allows: the files, and what was missing for the
    others."""
    from roomcheck.report import lacking, report

    case = case_of(chain)
    with step("Setting the documents"):
        return report(case), lacking(case)


def case_of(chain: Chain) -> Case:
    """Collect the results that the state of the job allows."""
    from roomcheck.report import Case

    if not chain.has_takes("before"):
        return Case(job=chain.job, agreement=chain.agreement)
    case = Case(
        job=chain.job,
        before=chain.before,
        responses=chain.before_takes,
        verdict=chain.verdict,
        plans=chain.plans,
        quotes=tuple(chain.quote_of(plan) for plan in chain.plans),
        plan=chain.plan,
        sheet=chain.sheet,
        quote=chain.quote,
        agreement=chain.agreement,
    )
    if chain.agreement is None or not chain.has_takes("after"):
        return case
    return replace(
        case,
        after=chain.after,
        verdict_after=chain.verdict_after,
        verification=chain.verification,
        responses_after=chain.after_takes,
    )
