"""Listening to a take while it is brought in: is it of the place that it is said to be of?"""

from __future__ import annotations

from dataclasses import replace

from roomcheck.analyse.places.doubts import PlaceDoubt, look_at_place
from roomcheck.analyse.places.likeness import print_of
from roomcheck.errors import RoomcheckError
from roomcheck.facts import Fact
from roomcheck.job import Job
from roomcheck.measure import ImpulseResponse, KeptTake, Look, PlaceHeard, hear_again, kept_takes
from roomcheck.parts import OnPart


def looking(job: Job) -> Look:
    """Listen to a take and say what speaks against its place and visit."""

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


def doubts_at(
    job: Job,
    kept: KeptTake,
    *,
    visit: str,
    pair: tuple[str, str],
    on_part: OnPart | None = None,
) -> tuple[Fact[PlaceDoubt], ...]:
    """What speaks against a take of the job where it is to count; nothing where its recording
    cannot be read, which has no sound to go by.

    Parameters
    ----------
    job : Job
    kept : KeptTake
        Put aside or not; it is not held against itself.
    visit : str
    pair : (source, microphone)
    on_part : callable or None
        Gets how much of its recording is listened to, and of how much.
    """
    try:
        response = hear_again(job, kept, on_part).response
    except RoomcheckError:
        return ()
    others = tuple(one for one in _earlier(job) if one.take != kept.take)
    looked = look_at_place(
        job, response, visit=visit, pair=pair, sha256=kept.sha256, earlier=others
    )
    return looked.doubts


def _earlier(job: Job) -> tuple[KeptTake, ...]:
    """The job's takes; what has no print, since an older version added it, is read again."""
    return tuple(kept if kept.print else _printed(job, kept) for kept in kept_takes(job))


def _printed(job: Job, kept: KeptTake) -> KeptTake:
    try:
        return replace(kept, print=print_of(hear_again(job, kept).response))
    except RoomcheckError:
        return kept
