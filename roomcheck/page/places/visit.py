"""A visit: its places, its takes and their verdicts."""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

from roomcheck.errors import RoomcheckError
from roomcheck.job import Job, has_takes, load_job
from roomcheck.measure import Measurement, Walk, kept_takes, measure, place
from roomcheck.page.base.live import typed_stamp
from roomcheck.words import Reader, sentence


@dataclass(frozen=True, slots=True)
class PairShown:
    """One pair of loudspeaker and microphone places, and how its take stands."""

    source: str
    microphone: str
    state: str
    """ "", "keep" or "repeat"."""
    take: str = ""
    """The recording's path within the job's folder."""
    reasons: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class VisitPage:
    """All that the page of a visit shows."""

    pairs: tuple[PairShown, ...]
    looking: bool
    """The takes are being read now; their verdicts follow."""
    problem: str = ""
    """Why the takes cannot be read."""
    chosen: PairShown | None = None
    """The pair that is recorded next."""
    aside: tuple[str, ...] = ()
    """Takes of the visit that were put aside."""
    directions: tuple[str, ...] = ()
    """How to walk to its two places by tape."""

    @property
    def done(self) -> int:
        return sum(pair.state == "keep" for pair in self.pairs)


@dataclass
class Takes:
    """The takes of visits as read last, read again in a thread when something changed."""

    ready: Callable[[Path], None]
    """Called when a visit's takes were read."""
    known: dict[tuple[Path, str], tuple[str, tuple[Measurement, ...], str]] = field(
        default_factory=dict
    )
    reading: set[tuple[Path, str]] = field(default_factory=set)

    def of(self, folder: Path, visit: str) -> tuple[tuple[Measurement, ...], str, bool]:
        """Takes, what is wrong with them, and whether they are being read just now."""
        key, now = (folder, visit), typed_stamp(folder)
        seen, takes, problem = self.known.get(key, ("", (), ""))
        if seen == now or not has_takes(folder, visit):
            return (takes if seen == now else ()), problem if seen == now else "", False
        if key not in self.reading:
            self.reading.add(key)
            threading.Thread(target=self._read, args=(folder, visit, now), daemon=True).start()
        return takes, "", True

    def _read(self, folder: Path, visit: str, now: str) -> None:
        takes: tuple[Measurement, ...] = ()
        problem = ""
        try:
            takes = measure(load_job(folder), visit)
        except RoomcheckError as wrong:
            problem = str(wrong)
        finally:
            self.known[folder, visit] = (now, takes, problem)
            self.reading.discard((folder, visit))
            self.ready(folder)


def visit_page(job: Job, visit: str, takes: Takes, pair: str = "") -> VisitPage:
    """The values of the page; `pair` is "S1 P1" where one was chosen."""
    known, problem, looking = takes.of(job.folder, visit)
    reader = Reader(units=job.units)
    by_pair = {(take.source, take.microphone): take for take in known}
    wanted = job.pairs_at(visit)
    also = tuple(pair for pair in job.pairs if pair in by_pair and pair not in wanted)
    pairs = tuple(
        _shown(source, microphone, by_pair, reader) for source, microphone in (*wanted, *also)
    )
    chosen = next((one for one in pairs if f"{one.source} {one.microphone}" == pair), None)
    if chosen is None:
        chosen = next((one for one in pairs if one.state != "keep"), None)
    return VisitPage(
        pairs=pairs,
        looking=looking,
        problem=problem,
        chosen=chosen,
        aside=tuple(one.take for one in kept_takes(job, aside=True) if one.aside),
        directions=() if chosen is None else _directions(job, chosen, reader),
    )


def _shown(
    source: str, microphone: str, takes: dict[tuple[str, str], Measurement], reader: Reader
) -> PairShown:
    take = takes.get((source, microphone))
    if take is None:
        return PairShown(source, microphone, "")
    reasons = tuple(sentence(reason, reader) for reason in take.check.reasons)
    state = "keep" if take.check.keep else "repeat"
    return PairShown(source, microphone, state, take.take, reasons)


def _directions(job: Job, pair: PairShown, reader: Reader) -> tuple[str, ...]:
    stands = (
        (Walk.SPEAKER_TO, next(one for one in job.sources if one.name == pair.source)),
        (Walk.MICROPHONE_TO, next(one for one in job.microphones if one.name == pair.microphone)),
    )
    return tuple(sentence(place(kind, job, stand), reader) for kind, stand in stands)
