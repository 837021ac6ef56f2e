"""Asking whether a take is of the place that it is said to be of."""

from __future__ import annotations

import argparse
import sys
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from roomcheck.cli.site.asking import Person
from roomcheck.cli.terminal import Quiet, doing
from roomcheck.facts import Fact
from roomcheck.job import Job
from roomcheck.words import Reader, sentences

if TYPE_CHECKING:
    from roomcheck.measure import ImpulseResponse, KeptTake, Look, PlaceHeard


def add_sure_option(parser: argparse._ActionsContainer) -> None:
    """`--sure`, which settles every doubt about a place."""
    parser.add_argument(
        "--sure",
        action="store_true",
        help="the take is of the places and the visit named, whatever it sounds like: ask nothing",
    )


def asking(job: Job, recording: str, sure: bool, quiet: Quiet) -> Look:
    """Listen for `add`: where there is a doubt, a person is asked; without one it is an error.

    With `sure` the take is listened to, since later ones are held against it, and nothing is asked.
    `quiet` keeps still what is shown while it is listened to.
    """
    from roomcheck.analyse import looking

    look = looking(job)

    def ask(
        response: ImpulseResponse, *, visit: str, pair: tuple[str, str], sha256: str
    ) -> PlaceHeard:
        heard = look(response, visit=visit, pair=pair, sha256=sha256)
        if sure:
            return replace(heard, doubts=())
        if heard.doubts:
            with quiet():
                _settle(job, recording, pair, visit, heard.doubts)
        return heard

    return ask


def settle_place(job: Job, kept: KeptTake, *, visit: str, pair: tuple[str, str]) -> None:
    """Ask about a take of the job before it counts at a visit and pair, as `add` does.

    Raises
    ------
    PlaceDoubted
        Its sound contradicts them, and nobody is there to ask or says that it is not.
    """
    from roomcheck.analyse import doubts_at

    with doing("listen", file=kept.take) as shown:
        doubts = doubts_at(job, kept, visit=visit, pair=pair, on_part=shown.part)
    if doubts:
        _settle(job, kept.take, pair, visit, doubts)


def _settle(
    job: Job,
    recording: str,
    pair: tuple[str, str],
    visit: str,
    doubts: tuple[Fact[Any], ...],
) -> None:
    """Return where a person says that the take is of its place.

    Raises
    ------
    PlaceDoubted
        Nobody is there to ask, or says that it is not.
    """
    from roomcheck.measure import PlaceDoubted

    said = " ".join(sentences(doubts, Reader(units=job.units)))
    if sys.stdin.isatty():
        question = f"{recording} as {visit}, {pair[0]} to {pair[1]}: {said}"
        if Person().choose(question, ("leave it out", "keep it", "stop")) == "keep it":
            return
    said = said.removesuffix(".")
    raise PlaceDoubted(
        where=recording,
        found=f"it does not sound like {visit}, {pair[0]} to {pair[1]}. {said}",
        needed="the places and the visit that it was recorded at",
        todo="Nothing was changed. Name the right ones, or add --sure if these are right.",
        doubts=doubts,
    )
