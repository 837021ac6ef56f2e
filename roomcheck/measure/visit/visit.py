"""Walk a visit: every pair of the job, one take after another, each judged before the next."""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from statistics import median
from typing import Any

import numpy as np
from numpy.typing import NDArray

from roomcheck.errors import RoomcheckError
from roomcheck.facts import Fact, fact
from roomcheck.job import Job, Position, Put, visit_files, write_together
from roomcheck.measure.card.card import PRE_ROLL_S, Recorded, SoundCard
from roomcheck.measure.faults import RecordingError, TakeNotWritten
from roomcheck.measure.files.played import Played, read_toml, write_toml
from roomcheck.measure.files.whole_files import writing
from roomcheck.measure.kinds import Choice, Flown, Take, Walk
from roomcheck.measure.signal.sweep import Sweep
from roomcheck.measure.signal.timing import APART_M, Flight, flight
from roomcheck.measure.visit.directions import directions
from roomcheck.measure.visit.kept_takes import find_take, set_aside
from roomcheck.measure.visit.placed import Look
from roomcheck.measure.visit.takes import Added, read_take
from roomcheck.measure.visit.unjudged import bring_in, secure, waiting

Array = NDArray[np.float64]
Pair = tuple[str, str]
Event = Fact[Walk] | Fact[Flown] | Fact[Take] | Added
"""What a walk has to say: a fact, or a take with its verdict."""

Ask = Callable[[tuple[Fact[Walk], ...], tuple[Choice, ...]], Choice]
"""Puts a question, a line a fact, with its choices to a person; returns one of them."""

Tell = Callable[[Event], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Walked:
    """How far a visit came."""

    takes: tuple[Added, ...]
    """Recorded now."""
    missing: tuple[Pair, ...]
    """Source and microphone of the pairs without a take that may be kept."""
    stopped: bool
    """Stopped before the last pair."""
    flights: tuple[Flight, ...] = ()
    """Times of flight of the takes recorded now, where a loopback gave them."""


@dataclass(slots=True, kw_only=True)
class _Walk:
    """A walk under way."""

    job: Job
    visit: str
    card: SoundCard
    sweep: Sweep
    signal: Array
    ask: Ask
    tell: Tell
    channel: int | None
    loopback: int | None
    more: Mapping[str, Any]
    wait_s: float
    look: Look | None
    good: set[Pair]
    takes: list[Added] = field(default_factory=list)
    flights: list[Flight] = field(default_factory=list)


def walk(
    job: Job,
    visit: str,
    card: SoundCard,
    sweep: Sweep,
    *,
    ask: Ask,
    tell: Tell,
    level_dbfs: float = -24.0,
    tail_s: float = 2.0,
    channel: int | None = None,
    loopback: int | None = None,
    more: Mapping[str, Any] | None = None,
    wait_s: float = 0.0,
    again: bool = False,
    look: Look | None = None,
) -> Walked:
    """Play and record at every pair that the visit measures and that has no good take yet.

    Every finished recording is on the disk before anything is asked about it, so that stopping
    loses none and a second walk goes on where the first stopped.

    Parameters
    ----------
    ask : callable
        Puts a question with its choices to a person, returns one of them; the first is the usual
        one.
    tell : callable
        Takes what there is to say.
    level_dbfs : float
        Peak of what is played; never exceeded. [dB re full scale]
    tail_s : float
        Recorded after the sweep. [s]
    channel, loopback : int, optional
        Of the recording, from 1: the microphone's, and that of a cable from the output.
    more : mapping, optional
        Facts to keep with each take.
    wait_s : float
        Before each recording, to step back. [s]
    again : bool
        Record at every pair, also where there is a good take; the newest good one counts.
    look : callable, optional
        Listens whether each take is of its place; where it doubts that, it is asked about.

    Raises
    ------
    ValueError
        `level_dbfs` above 0.
    """
    if level_dbfs > 0:
        raise ValueError(f"level_dbfs: {level_dbfs}, needed 0 at most")
    silence = np.zeros(round(0.5 * sweep.rate_hz))
    tail = np.zeros(round(tail_s * sweep.rate_hz))
    now = _Walk(
        job=job,
        visit=visit,
        card=card,
        sweep=sweep,
        signal=np.concatenate([silence, 10 ** (level_dbfs / 20) * sweep.samples, tail]),
        ask=ask,
        tell=tell,
        channel=channel,
        loopback=loopback,
        more=more or {},
        wait_s=wait_s,
        look=look,
        good=set() if again else good_pairs(job, visit),
    )
    pairs = job.pairs_at(visit)
    skipped = _through(now, _places(job, pairs))
    good = now.good | good_pairs(job, visit) if again else now.good
    missing = tuple(pair for pair in pairs if pair not in good)
    return Walked(
        takes=tuple(now.takes),
        missing=missing,
        stopped=len(missing) > len(skipped),
        flights=tuple(now.flights),
    )


def _places(job: Job, pairs: Sequence[Pair]) -> list[tuple[Position, Position]]:
    stands = {position.name: position for position in (*job.sources, *job.microphones)}
    return [(stands[source], stands[microphone]) for source, microphone in pairs]


def good_pairs(job: Job, visit: str) -> set[Pair]:
    """Pairs of a visit that have a take which may be kept."""
    good: set[Pair] = set()
    for take in visit_files(job.folder, visit).takes:
        pair = (take.facts.source, take.facts.microphone)
        if pair in good:
            continue
        try:
            if read_take(job, take).check.keep:
                good.add(pair)
        except RoomcheckError:
            continue
    return good


def bring_in_waiting(job: Job, visit: str, tell: Tell) -> tuple[Added, ...]:
    """Judge what an earlier run recorded and had no time to judge: it was stopped, or its battery
    was flat."""
    brought_in = []
    for path in waiting(job, visit):
        try:
            added = bring_in(job, visit, path)
        except TakeNotWritten:
            raise
        except RecordingError as problem:
            tell(fact(Walk.LEFTOVER_USELESS, text=str(problem)))
            continue
        tell(fact(Walk.LEFTOVER_TAKEN))
        tell(added)
        brought_in.append(added)
    return tuple(brought_in)


def keep_anyway(job: Job, take: str) -> None:
    """Mark a take as kept although roomcheck would repeat it."""
    path = (job.folder / take).with_suffix(".toml")
    comment = (
        "What roomcheck knows of the recording beside it. The recording itself is never changed."
    )
    with writing(job.folder):
        facts = {**read_toml(path), "keep_anyway": True}
        where = path.relative_to(job.folder).as_posix()
        write_together(job.folder, [Put(path=where, data=write_toml(facts, comment))])


def _through(now: _Walk, pairs: list[tuple[Position, Position]]) -> list[Pair]:
    """Every pair in turn; returns those that were skipped."""
    skipped: list[Pair] = []
    standing: Position | None = None
    for number, (source, microphone) in enumerate(pairs, 1):
        pair = (source.name, microphone.name)
        if pair in now.good:
            now.tell(_pair(Walk.PAIR_DONE, number, len(pairs), pair))
            continue
        title = _pair(Walk.PAIR_NEXT, number, len(pairs), pair)
        places = _instructions(now.job, source, microphone, standing)
        choice = now.ask((title, *places), ("record", "skip", "stop"))
        standing = source
        while choice in ("record", "repeat"):
            choice = _take(now, source, microphone)
        if choice == "skip":
            skipped.append(pair)
        if choice == "stop":
            break
    return skipped


def _pair(kind: Walk, number: int, count: int, pair: Pair) -> Fact[Walk]:
    source, microphone = pair
    return fact(kind, number=number, count=count, source=source, microphone=microphone)


def place(kind: Walk, job: Job, position: Position) -> Fact[Walk]:
    """Where a stand goes: `kind` says which of the two."""
    way = directions(job, position)
    return fact(kind, name=position.name, way=way.kind, **dict(way.values))


def _instructions(
    job: Job, source: Position, microphone: Position, standing: Position | None
) -> tuple[Fact[Walk], ...]:
    """Where both stands go; the loudspeaker may stand there already."""
    if source is standing:
        speaker = fact(Walk.SPEAKER_STAYS, name=source.name)
    else:
        speaker = place(Walk.SPEAKER_TO, job, source)
    return speaker, place(Walk.MICROPHONE_TO, job, microphone), fact(Walk.STEP_BACK)


def _take(now: _Walk, source: Position, microphone: Position) -> Choice:
    """Record once, put it in the folder, tell the verdict, and ask what next."""
    seconds = math.ceil(len(now.signal) / now.sweep.rate_hz + PRE_ROLL_S)
    recording = fact(
        Walk.RECORDING,
        source=source.name,
        microphone=microphone.name,
        wait_s=now.wait_s,
        seconds=seconds,
    )
    now.tell(recording)
    time.sleep(now.wait_s)
    faults: tuple[Fact[Take], ...] = ()
    try:
        recorded = now.card.play_and_record(now.signal, now.sweep.rate_hz)
        faults = recorded.faults
        draft = _saved(now, source, microphone, recorded)
        if not isinstance(draft, Path):
            return draft
        added = bring_in(now.job, now.visit, draft, now.look)
    except RecordingError as problem:
        now.tell(fact(Walk.PROBLEM, text=str(problem)))
        for fault in faults:
            now.tell(fault)
        return now.ask((fact(Walk.NOTHING_KEPT),), ("repeat", "skip", "stop"))
    now.takes.append(added)
    now.tell(added)
    flown = now.flights[-1].remark if now.loopback and now.flights else fact(Flown.NO_LOOPBACK)
    now.tell(flown)
    doubts = (*added.doubts, *_flight_doubt(now))
    if doubts and now.look is not None:
        return _doubted(now, added, doubts)
    return _kept_or_not(now, added)


def _doubted(now: _Walk, added: Added, doubts: tuple[Fact[Any], ...]) -> Choice:
    """Ask about a take that may not be of its place; it is put aside unless somebody says it is."""
    not_of_place = fact(
        Walk.NOT_OF_PLACE, source=added.source, microphone=added.microphone, visit=now.visit
    )
    choice = now.ask((not_of_place, *doubts), ("repeat", "keep", "skip", "stop"))
    if choice == "keep":
        return _kept_or_not(now, added)
    aside = set_aside(now.job, find_take(now.job, added.take))
    now.tell(fact(Walk.PUT_ASIDE, take=aside.take))
    return choice


def _flight_doubt(now: _Walk) -> tuple[Fact[Flown], ...]:
    """The newest time of flight, where it is off by more than those before it, which hold the
    loudspeaker's own delay."""
    if not now.flights or now.loopback is None:
        return ()
    *before, newest = [one.distance_m - one.planned_m for one in now.flights]
    if abs(newest - (median(before) if before else 0.0)) <= APART_M:
        return ()
    remark = now.flights[-1].remark
    return () if remark.kind is Flown.AS_PLANNED else (remark,)


def _kept_or_not(now: _Walk, added: Added) -> Choice:
    """Ask what next, by the verdict on the take."""
    if added.check.keep:
        now.good.add((added.source, added.microphone))
        return now.ask((fact(Walk.GOOD),), ("keep", "repeat", "stop"))
    choice = now.ask((fact(Walk.NOT_GOOD),), ("repeat", "keep", "skip", "stop"))
    if choice == "keep":
        keep_anyway(now.job, added.take)
        now.good.add((added.source, added.microphone))
    return choice


def _saved(now: _Walk, source: Position, microphone: Position, recorded: Recorded) -> Path | Choice:
    """The recording on the disk, unheard; or what was chosen where the disk does not take it."""
    more = dict(now.more)
    if now.loopback is not None and now.channel is not None:
        flown = _flight(now, source, microphone, recorded)
        if flown is not None:
            now.flights.append(flown)
            more |= {"loopback": now.loopback, "flight_s": flown.flight_s}
    while True:
        try:
            return secure(
                now.job,
                now.visit,
                recorded.samples,
                source=source.name,
                microphone=microphone.name,
                played=Played(sweep=now.sweep),
                channel=now.channel,
                faults=recorded.faults,
                more=more,
            )
        except TakeNotWritten as problem:
            now.tell(fact(Walk.PROBLEM, text=str(problem)))
            choice = now.ask((fact(Walk.IN_MEMORY),), ("save", "skip", "stop"))
            if choice != "save":
                return choice


def _flight(
    now: _Walk, source: Position, microphone: Position, recorded: Recorded
) -> Flight | None:
    try:
        return flight(
            recorded.samples,
            now.sweep,
            channel=now.channel or 1,
            loopback=now.loopback or 1,
            job=now.job,
            visit=now.visit,
            source=source.name,
            microphone=microphone.name,
        )
    except RecordingError as problem:
        now.tell(fact(Walk.NO_FLIGHT, text=str(problem)))
        return None
