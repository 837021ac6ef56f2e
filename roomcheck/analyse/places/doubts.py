"""What makes one doubt that a take is of the place, and of the visit, that it is said to be of."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from roomcheck.analyse.echoes.reflections import loss_db
from roomcheck.analyse.places.evidence import arrived
from roomcheck.analyse.places.likeness import (
    AS_BEFORE,
    LATE_S,
    SAME_SPOT,
    is_wire,
    likeness,
    print_of,
)
from roomcheck.analyse.places.which_place import Ends, Pair, Placing, is_alike, placing
from roomcheck.facts import Fact, Kind, fact
from roomcheck.job import Job
from roomcheck.measure import ImpulseResponse, KeptTake


class PlaceDoubt(Kind):
    """Why a take may not be of the place or the visit that it is said to be of."""

    SAME_RECORDING = "same recording"
    SAME_SPOT = "same spot"
    AS_BEFORE = "as before"
    NO_ROOM = "no room in it"
    FITS_OTHER = "fits another pair"
    FITS_ELSEWHERE = "fits elsewhere"


class PlaceNote(Kind):
    """What to know of a take's place."""

    ALIKE = "alike"
    CUT_ALIKE = "cut alike"


@dataclass(frozen=True, slots=True, kw_only=True)
class Looked:
    """What a take's sound says of its place and visit."""

    doubts: tuple[Fact[PlaceDoubt], ...]
    """Each by itself a reason to ask."""
    notes: tuple[Fact[PlaceNote], ...]
    placing: Placing | None
    """None where a place is not in the job, or there is nothing to go by."""
    print: str


def look_at_place(
    job: Job,
    response: ImpulseResponse,
    *,
    visit: str,
    pair: Pair,
    sha256: str,
    earlier: Sequence[KeptTake],
) -> Looked:
    """Hold a take's sound against its pair, its visit, and the job's other takes.

    Parameters
    ----------
    job : Job
    response : ImpulseResponse
        Of the take.
    visit : str
    pair : (source, microphone)
        As typed.
    sha256 : str
        Of the recording.
    earlier : sequence of KeptTake
        Of both visits, without this take.
    """
    speed = job.speed_of_sound_m_s(visit)
    ends = _ends(job)
    mark = print_of(response)
    if is_wire(response):
        wire = (fact(PlaceDoubt.NO_ROOM), *_same_recording(pair, sha256, earlier))
        return Looked(doubts=wire, notes=(), placing=None, print=mark)
    heard = arrived(response)
    found = None
    if heard is not None and pair in ends:
        found = placing(
            heard,
            pair,
            ends,
            room=job.room,
            loss_db=lambda path: loss_db(job, path),
            speed_m_s=speed,
        )
    alike = found.alike if found else ()
    others = [one for one in earlier if one.pair not in alike]
    doubts = (
        *_same_recording(pair, sha256, earlier),
        *_same_spot(visit, pair, mark, [one for one in others if not one.cut_from]),
        *_as_before(visit, pair, mark, earlier),
        *_elsewhere(job, found, ends, speed),
    )
    notes = [fact(PlaceNote.ALIKE, pairs=alike)] if alike else []
    # Within one long recording nobody can say which piece is which: told, and not asked about.
    notes += _cut_alike(visit, pair, mark, [one for one in others if one.cut_from])
    return Looked(doubts=doubts, notes=tuple(notes), placing=found, print=mark)


def _ends(job: Job) -> dict[Pair, Ends]:
    return {(s.name, m.name): (s.point, m.point) for s in job.sources for m in job.microphones}


def _same_recording(
    pair: Pair, sha256: str, earlier: Sequence[KeptTake]
) -> Iterator[Fact[PlaceDoubt]]:
    same = [one for one in earlier if one.sha256 == sha256 and not _other_pass(one, pair)]
    if same:
        yield fact(PlaceDoubt.SAME_RECORDING, take=same[0].take)


def _other_pass(one: KeptTake, pair: Pair) -> bool:
    """Whether a take is the other loudspeaker's pass of one playing: both are one cut."""
    return bool(one.cut_from) and one.microphone == pair[1] and one.source != pair[0]


def _same_spot(
    visit: str, pair: Pair, mark: str, earlier: Sequence[KeptTake]
) -> Iterator[Fact[PlaceDoubt]]:
    """Another pair of the same visit that sounds as a repeat of one pair does."""
    others = [one for one in earlier if one.visit == visit and one.pair != pair]
    alike = {one.take: likeness(mark, one.print) for one in others}
    most = max(others, key=lambda one: alike[one.take], default=None)
    if most is not None and alike[most.take] > SAME_SPOT:
        yield fact(
            PlaceDoubt.SAME_SPOT,
            take=most.take,
            source=most.source,
            microphone=most.microphone,
            likeness=alike[most.take],
        )


def _cut_alike(
    visit: str, pair: Pair, mark: str, earlier: Sequence[KeptTake]
) -> Iterator[Fact[PlaceNote]]:
    for doubt in _same_spot(visit, pair, mark, earlier):
        yield fact(PlaceNote.CUT_ALIKE, **dict(doubt.values))


def _as_before(
    visit: str, pair: Pair, mark: str, earlier: Sequence[KeptTake]
) -> Iterator[Fact[PlaceDoubt]]:
    """A take of the second visit whose room sounds as at the first."""
    if visit != "after":
        return
    before = [one for one in earlier if one.visit == "before"]
    alike = {one.take: likeness(mark, one.print, LATE_S) for one in before}
    most = max(before, key=lambda one: alike[one.take], default=None)
    if most is not None and alike[most.take] > AS_BEFORE:
        yield fact(PlaceDoubt.AS_BEFORE, take=most.take, likeness=alike[most.take])


def _elsewhere(
    job: Job, found: Placing | None, ends: dict[Pair, Ends], speed_m_s: float
) -> Iterator[Fact[PlaceDoubt]]:
    if found is None:
        return
    if found.other is not None:
        one = ends[found.other]
        same = [
            pair
            for pair, other in ends.items()
            if pair != found.other and is_alike(job.room, one, other, speed_m_s)
        ]
        yield fact(
            PlaceDoubt.FITS_OTHER,
            source=found.other[0],
            microphone=found.other[1],
            or_pairs=tuple(same) or None,
            gain=found.gain,
        )
    if found.spot is not None:
        yield fact(
            PlaceDoubt.FITS_ELSEWHERE,
            microphone=found.typed[1],
            away_m=found.away_m,
            x_m=found.spot.x,
            y_m=found.spot.y,
            z_m=found.spot.z,
            gain=found.gain,
        )
