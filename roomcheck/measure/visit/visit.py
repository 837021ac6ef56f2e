"""Walk a visit: every pair of the job, one take after another, each judged before the next."""

from __future__ import annotations

import math
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from roomcheck.job import Job, Position
from roomcheck.measure.card.card import PRE_ROLL_S, Recorded, SoundCard
from roomcheck.measure.faults import RecordingError, TakeNotWritten
from roomcheck.measure.files.played import Played, read_toml, write_toml
from roomcheck.measure.signal.sweep import Sweep
from roomcheck.measure.signal.timing import NO_LOOPBACK, Flight, flight
from roomcheck.measure.visit.directions import directions
from roomcheck.measure.visit.takes import Added, read_take
from roomcheck.measure.visit.unjudged import bring_in, secure, waiting

Ask = Callable[[str, tuple[str, ...]], str]
"""Puts a question with its choices (record, keep, repeat, skip, save, stop) to a person; returns
one of them."""

Array = NDArray[np.float64]
Pair = tuple[str, str]
Tell = Callable[[str], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class Walked:
    """How far a visit came.

    Attributes
    ----------
    takes : tuple of Added
        Recorded now.
    missing : tuple of (source, microphone)
        Pairs without a take that may be kept.
    stopped : bool
        Stopped before the last pair.
    flights : tuple of Flight
        Times of flight of the takes recorded now, where a loopback gave them.
    """

    takes: tuple[Added, ...]
    missing: tuple[Pair, ...]
    stopped: bool
    flights: tuple[Flight, ...] = ()


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
) -> Walked:
    """Play and record at every pair of source and microphone that has no good take yet.

    Every finished recording is on the disk before anything is asked about it, so that stopping
    loses none and a second walk goes on where the first stopped.

    Parameters
    ----------
    ask : callable
        Puts a question with its choices to a person, returns one of them; the first is the usual
        one.
    tell : callable
        Says something.
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
        good=set() if again else good_pairs(job, visit),
    )
    skipped = _through(now, [(s, m) for s in job.sources for m in job.microphones])
    pairs = [(s.name, m.name) for s in job.sources for m in job.microphones]
    good = now.good | good_pairs(job, visit) if again else now.good
    missing = tuple(pair for pair in pairs if pair not in good)
    return Walked(
        takes=tuple(now.takes),
        missing=missing,
        stopped=len(missing) > len(skipped),
        flights=tuple(now.flights),
    )


def good_pairs(job: Job, visit: str) -> set[Pair]:
    """Pairs of a visit that have a take which may be kept."""
    good: set[Pair] = set()
    for path in sorted((job.folder / "takes" / visit).glob("*.toml")):
        facts = read_toml(path)
        pair = (str(facts.get("source")), str(facts.get("microphone")))
        if pair in good:
            continue
        try:
            if read_take(job, path).check.keep:
                good.add(pair)
        except RecordingError:
            continue
    return good


def bring_in_waiting(job: Job, visit: str, tell: Tell) -> tuple[Added, ...]:
    """Judge what an earlier run recorded and had no time to judge: it was stopped, or its battery
    was flat."""
    found = []
    for path in waiting(job, visit):
        try:
            added = bring_in(job, visit, path)
        except TakeNotWritten:
            raise
        except RecordingError as problem:
            tell(f"The recording that was left from last time is of no use: {problem}")
            continue
        tell(f"Left from last time, and brought in now: {verdict_text(added)}")
        found.append(added)
    return tuple(found)


def keep_anyway(job: Job, take: str) -> None:
    """Mark a take as kept although roomcheck would repeat it."""
    from roomcheck.measure.files.whole_files import replace

    path = (job.folder / take).with_suffix(".toml")
    facts = {**read_toml(path), "keep_anyway": True}
    comment = (
        "What roomcheck knows of the recording beside it. The recording itself is never changed."
    )
    replace(path, write_toml(facts, comment).encode())


def _through(now: _Walk, pairs: list[tuple[Position, Position]]) -> list[Pair]:
    """Every pair in turn; returns those that were skipped."""
    skipped: list[Pair] = []
    at: Position | None = None
    for number, (source, microphone) in enumerate(pairs, 1):
        pair = (source.name, microphone.name)
        if pair in now.good:
            now.tell(
                f"{number} of {len(pairs)}, {source.name} to {microphone.name}: there is a good "
                "take already."
            )
            continue
        title = f"\n{number} of {len(pairs)}: {source.name} to {microphone.name}"
        choice = now.ask(
            f"{title}\n{_instruction(now, source, microphone, at)}", ("record", "skip", "stop")
        )
        at = source
        while choice in ("record", "repeat"):
            choice = _take(now, source, microphone)
        if choice == "skip":
            skipped.append(pair)
        if choice == "stop":
            break
    return skipped


def _instruction(now: _Walk, source: Position, microphone: Position, at: Position | None) -> str:
    if source is at:
        first = f"  Loudspeaker: leave it at {source.name}."
    else:
        first = f"  Loudspeaker to {source.name}: {directions(now.job, source)}."
    return (
        f"{first}\n  Microphone to {microphone.name}: {directions(now.job, microphone)}.\n"
        "  Step back or leave, shut the door, be quiet."
    )


def _take(now: _Walk, source: Position, microphone: Position) -> str:
    """Record once, put it in the folder, say the verdict, and ask what next."""
    seconds = math.ceil(len(now.signal) / now.sweep.rate_hz + PRE_ROLL_S)
    soon = f" in {now.wait_s:g} s" if now.wait_s else ""
    now.tell(
        f"Recording {source.name} to {microphone.name}{soon}, {seconds} s long: quiet please …"
    )
    time.sleep(now.wait_s)
    draft: Path | str = ""
    try:
        recorded = now.card.play_and_record(now.signal, now.sweep.rate_hz)
        draft = _saved(now, source, microphone, recorded)
        if isinstance(draft, str):
            return draft
        added = bring_in(now.job, now.visit, draft)
    except RecordingError as problem:
        said = str(problem)
        if isinstance(draft, Path):
            faults = "".join(f"; the sound card reported: {fault}" for fault in recorded.faults)
            said = said.replace(str(draft.with_suffix(".wav")), "This take") + faults
        now.tell(said)
        return now.ask("Nothing was kept of this take.", ("repeat", "skip", "stop"))
    now.takes.append(added)
    now.tell(verdict_text(added))
    now.tell(f"  {now.flights[-1] if now.loopback and now.flights else NO_LOOPBACK}")
    if added.check.keep:
        now.good.add((added.source, added.microphone))
        choice = now.ask("Good take.", ("keep", "repeat", "stop"))
        return choice
    choice = now.ask("Not good enough.", ("repeat", "keep", "skip", "stop"))
    if choice == "keep":
        keep_anyway(now.job, added.take)
        now.good.add((added.source, added.microphone))
    return choice


def _saved(now: _Walk, source: Position, microphone: Position, recorded: Recorded) -> Path | str:
    """The recording on the disk, unheard; or what was chosen where the disk does not take it."""
    more = dict(now.more)
    if now.loopback is not None and now.channel is not None:
        found = _flight(now, source, microphone, recorded)
        if found is not None:
            now.flights.append(found)
            more |= {"loopback": now.loopback, "flight_s": found.flight_s}
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
            now.tell(str(problem))
            choice = now.ask(
                "The recording is still in memory: make room, then save it.",
                ("save", "skip", "stop"),
            )
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
        now.tell(f"No time of flight: {problem}")
        return None


def verdict_text(added: Added) -> str:
    """The verdict of a take with its evidence, for a person."""
    check = added.check
    noise = "none in the record" if check.noise_dbfs is None else f"{check.noise_dbfs:.0f} dB"
    ranges = [b for b in check.bands if b.range_db is not None]
    least = min(ranges, key=lambda b: b.range_db or 0.0, default=None)
    lines = [
        f"{added.take}: {'keep' if check.keep else 'repeat'}",
        f"  peak {check.peak_dbfs:.1f} dB, noise {noise} re full scale"
        + (
            f"; least range {least.range_db:.0f} dB at {least.band_hz:g} Hz"
            if least and least.range_db
            else ""
        ),
        *(f"  repeat, because {reason}" for reason in check.reasons),
        *(f"  note: {warning}" for warning in check.warnings),
    ]
    return "\n".join(lines)
