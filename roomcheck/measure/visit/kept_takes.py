"""The takes of a job: listed, put aside, put back and moved to another pair, none ever lost."""

from __future__ import annotations

import datetime
from dataclasses import dataclass
from pathlib import Path

from roomcheck.errors import RoomcheckError
from roomcheck.job import Job, TakeFile, visit_files
from roomcheck.measure.faults import RecordingError
from roomcheck.measure.files.audio import read_audio
from roomcheck.measure.files.played import read_toml
from roomcheck.measure.signal.signals import Measurement, TakeCheck
from roomcheck.measure.visit.takes import check_places, place_take, read_take, recording_beside
from roomcheck.parts import OnPart

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
    """Day and time at which the recording came in, in the machine's own time."""
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

    @property
    def folder(self) -> str:
        """Where it lies, within the folder of takes."""
        return f"{ASIDE}/{self.visit}" if self.aside else self.visit


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


def hear(job: Job, kept: KeptTake, on_part: OnPart | None = None) -> HeardTake:
    """Read a take again and judge it; `on_part` as of `add_recording`."""
    try:
        length_s = read_audio(job.folder / kept.take).seconds
        check = hear_again(job, kept, on_part).check
        return HeardTake(kept=kept, check=check, length_s=length_s)
    except RoomcheckError as problem:
        return HeardTake(kept=kept, check=None, length_s=None, problem=str(problem))


def hear_again(job: Job, kept: KeptTake, on_part: OnPart | None = None) -> Measurement:
    """The response of a take; `on_part` as of `add_recording`."""
    return read_take(job, _file(job, kept), on_part)


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
    return kept if kept.aside else _moved(job, kept, f"{ASIDE}/{kept.visit}")


def put_back(job: Job, kept: KeptTake) -> KeptTake:
    """Bring a take that was put aside back to its visit."""
    return _moved(job, kept, kept.visit) if kept.aside else kept


def move_to(job: Job, kept: KeptTake, *, visit: str, source: str, microphone: str) -> KeptTake:
    """Make a take one of another pair or visit; the take as it was is put aside.

    Raises
    ------
    RecordingError
        The job has no such place.
    """
    check_places(job, visit, source, microphone)
    file = _file(job, kept)
    places = {position.name: position.point for position in (*job.sources, *job.microphones)}
    facts = {
        **read_toml(file.path),
        "source": source,
        "microphone": microphone,
        "stood_m": [list(places[name]) for name in (source, microphone)],
        "added": kept.added,
        "came_from": kept.take,
    }
    recording = place_take(job, recording_beside(file), visit, facts, ())
    set_aside(job, kept)
    return find_take(job, recording.relative_to(job.folder).as_posix())


def _moved(job: Job, kept: KeptTake, folder: str) -> KeptTake:
    """The take in another folder, in one step."""
    file = _file(job, kept)
    recording = recording_beside(file)
    facts = {**read_toml(file.path), "added": kept.added}
    to = place_take(job, recording, folder, facts, (recording, file.path))
    return find_take(job, to.relative_to(job.folder).as_posix())


def _file(job: Job, kept: KeptTake) -> TakeFile:
    path = (job.folder / kept.take).with_suffix(".toml")
    return next(one for one in visit_files(job.folder, kept.folder).takes if one.path == path)


def _of_folder(job: Job, visit: str, *, aside: bool) -> tuple[KeptTake, ...]:
    folder = f"{ASIDE}/{visit}" if aside else visit
    files = (file for file in visit_files(job.folder, folder).takes if file.recording is not None)
    return tuple(_kept(job, file, visit, aside=aside) for file in files)


def _kept(job: Job, file: TakeFile, visit: str, *, aside: bool) -> KeptTake:
    raw = read_toml(file.path)
    recording = recording_beside(file)
    came = datetime.datetime.fromtimestamp(recording.stat().st_mtime).astimezone()
    return KeptTake(
        take=recording.relative_to(job.folder).as_posix(),
        visit=visit,
        source=file.facts.source,
        microphone=file.facts.microphone,
        number=file.facts.take,
        added=str(raw.get("added") or came.strftime("%Y-%m-%d %H:%M")),
        sha256=file.facts.sha256,
        print=str(raw.get("print", "")),
        aside=aside,
        came_from=str(raw.get("came_from", "")),
        cut_from=str(raw.get("cut_from", "")),
    )


def _bare(name: str) -> str:
    """`before/S1-P1` of whatever way a take is written."""
    path = Path(name)
    parts = path.with_suffix("").parts if path.suffix else path.parts
    return "/".join(parts[1:] if parts[:1] == ("takes",) else parts)
