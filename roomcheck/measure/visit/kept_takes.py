"""The takes of a job: listed, put aside, put back and moved to another pair, none ever lost."""

from __future__ import annotations

import datetime
import os
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from roomcheck.job import Job
from roomcheck.measure.faults import RecordingError
from roomcheck.measure.files.audio import read_audio
from roomcheck.measure.files.played import digest, read_toml
from roomcheck.measure.signal.signals import TakeCheck
from roomcheck.measure.visit.takes import check_places, place_take, read_take, recording_beside

ASIDE = "set-aside"
"""Folder beside those of the visits."""

VISITS = ("before", "after")


@dataclass(frozen=True, slots=True, kw_only=True)
class KeptTake:
    """One take of the job, by its facts; nothing of the recording was read."""

    take: str
    """The recording's path within the job folder."""
    visit: str
    source: str
    microphone: str
    number: int
    """Of the pair's takes [1]."""
    added: str
    """Day and time at which the recording came in, by its file, in the machine's own time."""
    sha256: str
    """Of the recording."""
    print: str
    """What its sound is known by; empty where it was not kept."""
    aside: bool
    """Whether it was put aside: then it counts nowhere."""
    came_from: str = ""
    """The take it was moved from."""
    cut_from: str = ""
    """The long recording that it was cut from."""

    @property
    def pair(self) -> tuple[str, str]:
        """Source and microphone."""
        return self.source, self.microphone


@dataclass(frozen=True, slots=True, kw_only=True)
class HeardTake:
    """A take with what its recording says."""

    kept: KeptTake
    check: TakeCheck | None
    """None where the recording cannot be used."""
    length_s: float | None
    """Of the recording [s]."""
    problem: str = ""
    """Text of the error that kept it from being read."""


def kept_takes(job: Job, *, aside: bool = False) -> tuple[KeptTake, ...]:
    """Every take of both visits in the order of their names; those put aside last, if asked for."""
    found = [take for visit in VISITS for take in _of_folder(job, visit, aside=False)]
    if aside:
        found += [take for visit in VISITS for take in _of_folder(job, visit, aside=True)]
    return tuple(found)


def hear(job: Job, kept: KeptTake) -> HeardTake:
    """Read a take again and judge it."""
    try:
        recording = recording_beside(facts_path(job, kept.take))
        check = read_take(job, facts_path(job, kept.take)).check
        return HeardTake(kept=kept, check=check, length_s=read_audio(recording).seconds)
    except RecordingError as problem:
        return HeardTake(kept=kept, check=None, length_s=None, problem=str(problem))


def find_take(job: Job, name: str) -> KeptTake:
    """A take by what a person calls it: `before/S1-P1`, with or without `takes/` and the ending.

    Raises
    ------
    RecordingError
        There is none of that name.
    """
    there = kept_takes(job, aside=True)
    wanted = _bare(name)
    for kept in there:
        if _bare(kept.take) == wanted:
            return kept
    raise RecordingError(
        where=str(job.folder / "takes"),
        found=f"no take {name!r}",
        needed=f"one of {', '.join(_bare(kept.take) for kept in there) or 'none so far'}",
        todo=f"See them all with: roomcheck takes {job.folder}",
    )


def set_aside(job: Job, kept: KeptTake) -> KeptTake:
    """Move a take, with its facts, to where it counts nowhere; `put_back` undoes it."""
    if kept.aside:
        return kept
    return _moved(job, kept, job.folder / "takes" / ASIDE / kept.visit, aside=True)


def put_back(job: Job, kept: KeptTake) -> KeptTake:
    """Bring a take that was put aside back to its visit."""
    if not kept.aside:
        return kept
    return _moved(job, kept, job.folder / "takes" / kept.visit, aside=False)


def move_to(job: Job, kept: KeptTake, *, visit: str, source: str, microphone: str) -> KeptTake:
    """Make a take one of another pair or visit; the take as it was is put aside.

    Raises
    ------
    RecordingError
        The job has no such place.
    """
    check_places(job, visit, source, microphone)
    old = facts_path(job, kept.take)
    places = {position.name: position.point for position in (*job.sources, *job.microphones)}
    facts = {
        **read_toml(old),
        "source": source,
        "microphone": microphone,
        "stood_m": [list(places[name]) for name in (source, microphone)],
        "came_from": kept.take,
    }
    folder = job.folder / "takes" / visit
    recording = place_take(recording_beside(old), folder, f"{source}-{microphone}", facts)
    set_aside(job, kept)
    return _kept(job, recording.with_suffix(".toml"), visit, aside=False)


def facts_path(job: Job, take: str) -> Path:
    """The facts beside a recording of the job."""
    return (job.folder / take).with_suffix(".toml")


def _moved(job: Job, kept: KeptTake, folder: Path, *, aside: bool) -> KeptTake:
    """A copy under the first free name, then the first one goes: a take is never nowhere."""
    facts_file = facts_path(job, kept.take)
    recording = recording_beside(facts_file)
    came_s = recording.stat().st_mtime
    to = place_take(recording, folder, facts_file.stem, read_toml(facts_file), keep_number=True)
    _same_time(to, came_s)
    if digest(to) == digest(recording):
        facts_file.unlink()
        recording.unlink()
    return _kept(job, to.with_suffix(".toml"), kept.visit, aside=aside)


def _same_time(path: Path, time_s: float) -> None:
    """The recording's own time, which says when it came in."""
    os.utime(path, (time_s, time_s))


def _of_folder(job: Job, visit: str, *, aside: bool) -> Iterator[KeptTake]:
    folder = job.folder / "takes"
    folder = folder / ASIDE / visit if aside else folder / visit
    for path in sorted(folder.glob("*.toml")):
        if {"source", "microphone", "sha256"} <= read_toml(path).keys():
            yield _kept(job, path, visit, aside=aside)


def _kept(job: Job, path: Path, visit: str, *, aside: bool) -> KeptTake:
    facts = read_toml(path)
    recording = recording_beside(path)
    came = datetime.datetime.fromtimestamp(recording.stat().st_mtime).astimezone()
    return KeptTake(
        take=recording.relative_to(job.folder).as_posix(),
        visit=visit,
        source=str(facts["source"]),
        microphone=str(facts["microphone"]),
        number=int(facts.get("take", 1)),
        added=came.strftime("%Y-%m-%d %H:%M"),
        sha256=str(facts["sha256"]),
        print=str(facts.get("print", "")),
        aside=aside,
        came_from=str(facts.get("came_from", "")),
        cut_from=str(facts.get("cut_from", "")),
    )


def _bare(name: str) -> str:
    """`before/S1-P1` of whatever way a take is written."""
    path = Path(name)
    parts = path.with_suffix("").parts if path.suffix else path.parts
    return "/".join(parts[1:] if parts[:1] == ("takes",) else parts)
