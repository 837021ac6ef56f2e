"""Asking whether a take is of the place that it is said to be of."""

from __future__ import annotations

import argparse
import sys
from dataclasses import replace
from typing import TYPE_CHECKING

from roomcheck.cli.site.asking import Person
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


def looking(job: Job) -> Look:
    """Listen to a take and say what speaks against its place and visit."""
    from roomcheck.analyse import look_at_place
    from roomcheck.measure import PlaceHeard

    def look(
        response: ImpulseResponse, *, visit: str, pair: tuple[str, str], sha256: str
    ) -> PlaceHeard:
        earlier = _earlier(job)
        looked = look_at_place(
            job, response, visit=visit, pair=pair, sha256=sha256, earlier=earlier
        )
        facts = {"print": looked.print} if looked.print else {}
        return PlaceHeard(doubts=looked.doubts, notes=looked.notes, facts=facts)

    return look


def asking(job: Job, recording: str, sure: bool) -> Look:
    """The same, for `add`: where there is a doubt, a person is asked; without one it is an error.

    With `sure` the take is listened to, since later ones are held against it, and nothing is asked.
    """
    look = looking(job)

    def ask(
        response: ImpulseResponse, *, visit: str, pair: tuple[str, str], sha256: str
    ) -> PlaceHeard:
        heard = look(response, visit=visit, pair=pair, sha256=sha256)
        if sure:
            return replace(heard, doubts=())
        if heard.doubts:
            _settle(job, recording, pair, visit, heard)
        return heard

    return ask


def _settle(job: Job, recording: str, pair: tuple[str, str], visit: str, heard: PlaceHeard) -> None:
    """Return where a person says that the take is of its place.

    Raises
    ------
    PlaceDoubted
        Nobody is there to ask, or says that it is not.
    """
    from roomcheck.measure import PlaceDoubted

    said = " ".join(sentences(heard.doubts, Reader(units=job.units)))
    if sys.stdin.isatty():
        question = f"{recording} as {visit}, {pair[0]} to {pair[1]}: {said}"
        if Person().choose(question, ("leave it out", "keep it", "stop")) == "keep it":
            return
    raise PlaceDoubted(
        where=recording,
        found=f"it does not sound like {visit}, {pair[0]} to {pair[1]}. {said}",
        needed="the places and the visit that it was recorded at",
        todo="Nothing was changed. Name the right ones, or add --sure if these are right.",
        doubts=heard.doubts,
    )


def _earlier(job: Job) -> tuple[KeptTake, ...]:
    """The job's takes; what has no print, since an older version added it, is read again."""
    from roomcheck.measure import kept_takes

    return tuple(kept if kept.print else _printed(job, kept) for kept in kept_takes(job))


def _printed(job: Job, kept: KeptTake) -> KeptTake:
    from roomcheck.analyse import print_of
    from roomcheck.errors import RoomcheckError
    from roomcheck.measure import hear_again

    try:
        return replace(kept, print=print_of(hear_again(job, kept).response))
    except RoomcheckError:
        return kept
