"""Takes in the job folder: put in, read again, judged."""

from __future__ import annotations

import dataclasses
import json
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any, cast

import numpy as np
from numpy.typing import NDArray

from roomcheck.errors import RoomcheckError
from roomcheck.facts import Fact, fact
from roomcheck.geometry import Point, distance_m
from roomcheck.job import TAKE_SCHEMA, Job, Put, TakeFile, plain_name, take_name, visit_files
from roomcheck.measure.checks.listening import Decisions, changed, decided, listen
from roomcheck.measure.faults import RecordingError, TakeNotWritten
from roomcheck.measure.files.audio import Audio, check_rate, choose_channel, read_audio
from roomcheck.measure.files.correction import corrected, kept_correction
from roomcheck.measure.files.impulses import find_impulses, judge_impulses
from roomcheck.measure.files.played import (
    Played,
    digest,
    facts_of,
    played_of,
    read_played,
    write_toml,
)
from roomcheck.measure.files.whole_files import ending_of, keep_beside, put_in, writing
from roomcheck.measure.kinds import Machine, Signal, Take
from roomcheck.measure.signal.deconvolution import forget_sweeps
from roomcheck.measure.signal.signals import (
    ImpulseResponse,
    Measurement,
    PassedOver,
    TakeCheck,
    Unread,
)
from roomcheck.measure.signal.sweep import Sweep
from roomcheck.measure.visit.placed import Look, PlaceHeard
from roomcheck.measure.visit.shelf import heard_once, keep_heard
from roomcheck.parts import OnPart
from roomcheck.plain import Misfits, from_plain, to_plain
from roomcheck.signs import visible

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Added:
    """A take that was put into the job folder."""

    take: str
    """The recording's path within the job folder."""
    source: str
    microphone: str
    visit: str
    channel: int
    """The one that was taken, from 1."""
    check: TakeCheck
    doubts: tuple[Fact[Any], ...] = ()
    """Why it may not be of the place and visit named; empty where nothing speaks against them."""
    notes: tuple[Fact[Any], ...] = ()
    """What its sound cannot tell of its place."""


def add_recording(
    job: Job,
    recording: Path | str,
    *,
    visit: str,
    source: str,
    microphone: str,
    sweep: Path | str | Played | Sweep | None = None,
    channel: int | None = None,
    side: str | None = None,
    wrong_machine: Machine | None = None,
    keep_anyway: bool = False,
    faults: tuple[Fact[Take], ...] = (),
    more: Mapping[str, Any] | None = None,
    impulse: bool = False,
    direction: str | None = None,
    called: str = "",
    instead_of: Sequence[Path] = (),
    look: Look | None = None,
    on_part: OnPart | None = None,
) -> Added:
    """Copy a recording unchanged into the job folder, its facts beside it, with a verdict.

    Parameters
    ----------
    recording : path
        WAV, FLAC, AIFF, OGG or MP3.
    sweep : path, Played or Sweep, optional
        What was played: the facts or file of `roomcheck sweep`, any sweep's own sound file, or the
        sweep itself. Left out: the facts beside the recording, else those of the visit's other
        takes.
    channel : int, optional
        From 1; needed where several carry signal.
    side : str, optional
        Which pass of a file that holds left and right.
    wrong_machine : "player" or "recorder", optional
        Which one ran at the wrong rate.
    faults : tuple of Fact
        What the sound card reported; each is a reason to repeat.
    more : mapping, optional
        Further facts to keep with the take: `correction`, the microphone's file as
        `keep_correction` names it; `flight_s`, the time of flight; whatever else TOML holds.
    impulse : bool
        Balloons, claps or shots were recorded, one or several, and no sweep.
    direction : str, optional
        Which way the source pointed, or where around its place it stood: takes of several are
        averaged.
    called : str, optional
        What errors call the recording; its path where left out.
    instead_of : sequence of Path
        Files of the job's folder that go when the take is there.
    look : callable, optional
        Listens whether the take is of its place; where it raises, nothing is written.
    on_part : callable or None
        Gets how much of a recording of a sweep is listened to, and of how much.

    Raises
    ------
    RecordingError
        The recording cannot be used; nothing was written.
    """
    path = Path(recording)
    if wrong_machine not in (None, "player", "recorder"):
        raise ValueError(f"wrong_machine: {wrong_machine!r}, needed 'player' or 'recorder'")
    check_places(job, visit, source, microphone)
    audio = dataclasses.replace(read_audio(path), where=called or str(path))
    played, played_file = (None, None) if impulse else _what_was_played(job, path, visit, sweep)
    decisions = Decisions(
        channel=channel,
        side=side,
        wrong_machine=wrong_machine,
        keep_anyway=keep_anyway,
        faults=faults,
        away_m=_away_m(job, source, microphone),
    )
    responses, check, channel = _heard(audio, played, decisions, on_part)
    sha256 = digest(path)
    if choose_channel(audio, decisions.channel)[1] is None:
        keep_heard(sha256, played, decisions, (responses, check, channel))
    heard = PlaceHeard()
    if look is not None:
        heard = look(responses[0], visit=visit, pair=(source, microphone), sha256=sha256)
    optional = {
        "side": side,
        "wrong_machine": wrong_machine,
        "keep_anyway": keep_anyway,
        "faults": to_plain(faults),
        "direction": direction,
    }
    facts: dict[str, Any] = {
        "schema": TAKE_SCHEMA,
        "source": source,
        "microphone": microphone,
        "channel": channel,
        "came_as": visible(path.name),
        "sha256": sha256,
        **heard.facts,
        **{name: value for name, value in optional.items() if value},
        **(more or {}),
        "stood_m": [list(_places(job)[name]) for name in (source, microphone)],
    }
    if played is None:
        facts["impulse"] = True
    elif played_file is None:
        facts["sweep"] = facts_of(played)
    else:
        facts["sweep"] = {"file": _keep_played(job, played_file)}
    take = place_take(job, path, visit, facts, instead_of)
    return Added(
        take=take.relative_to(job.folder).as_posix(),
        source=source,
        microphone=microphone,
        visit=visit,
        channel=channel,
        check=check,
        doubts=heard.doubts,
        notes=heard.notes,
    )


def measure(job: Job, visit: str) -> tuple[Measurement, ...]:
    """Every pair's response at a visit, in the job's order.

    Of repeated takes the newest that may be kept counts; where none may, the newest, with the
    reasons. Takes of several directions of a source count each by itself, and so does every balloon
    or clap of a take.

    Raises
    ------
    RecordingError
        No takes, or one that cannot be read.
    """
    return visited(job, visit).measurements


@dataclass(frozen=True, slots=True, kw_only=True)
class Visited:
    """What a visit's folder gives."""

    measurements: tuple[Measurement, ...]
    """Every pair's response, in the job's order."""
    unread: tuple[Unread, ...]
    """Takes that cannot be read; the others count without them."""


def visited(job: Job, visit: str, on_part: Callable[[int, int], None] | None = None) -> Visited:
    """As `measure`, with what of the visit cannot be read.

    Parameters
    ----------
    job : Job
    visit : str
    on_part : callable or None
        Gets, after each place and direction but the last, how many are read, and of how many.

    Raises
    ------
    RecordingError
        No takes, or none that can be read.
    """
    files = visit_files(job.folder, visit)
    problems = list(files.unreadable)
    known = _by_pair(job, visit, files.takes, problems)
    measurements: list[Measurement] = []
    places: list[list[TakeFile]] = []
    for pair in ((s.name, m.name) for s in job.sources for m in job.microphones):
        ways = known.get(pair, {}).values()
        places += sorted(ways, key=lambda takes: min(take.facts.take for take in takes))
    for read, takes in enumerate(places, 1):
        measurements += _newest_kept(job, takes, problems)
        if on_part is not None and read < len(places):
            on_part(read, len(places))
    forget_sweeps()
    if not measurements:
        raise _nothing(job, visit, problems)
    return Visited(
        measurements=tuple(measurements),
        unread=tuple(
            Unread(take=path.relative_to(job.folder).as_posix(), why=str(problem))
            for path, problem in problems
        ),
    )


def _by_pair(
    job: Job, visit: str, takes: Sequence[TakeFile], problems: list[tuple[Path, RoomcheckError]]
) -> dict[tuple[str, str], dict[str, list[TakeFile]]]:
    """Takes by source and microphone, then by direction; those of places that the job does not
    know go to `problems`."""
    known: dict[tuple[str, str], dict[str, list[TakeFile]]] = {}
    for take in takes:
        facts = take.facts
        try:
            check_places(job, visit, facts.source, facts.microphone, str(take.path))
        except RecordingError as problem:
            problems.append((take.path, problem))
            continue
        ways = known.setdefault((facts.source, facts.microphone), {})
        ways.setdefault(facts.direction or "", []).append(take)
    return known


def _nothing(job: Job, visit: str, problems: list[tuple[Path, RoomcheckError]]) -> RoomcheckError:
    """Why a visit gives nothing."""
    if problems:
        return problems[0][1]
    return RecordingError(
        where=str(job.folder / "takes" / visit),
        found="no takes",
        needed=f"a recording for each position of visit {visit!r}",
        todo=f"Record with: roomcheck measure {job.folder}, or bring recordings in with: "
        "roomcheck add.",
    )


def read_take(job: Job, take: TakeFile, on_part: OnPart | None = None) -> Measurement:
    """One take of the job folder again, from its facts; `on_part` as of `add_recording`."""
    return _read_take(job, take, on_part)[0]


def _newest_kept(
    job: Job, takes: Sequence[TakeFile], problems: list[tuple[Path, RoomcheckError]]
) -> tuple[Measurement, ...]:
    """The newest take that may be kept, or else the newest; what cannot be read goes to
    `problems`."""
    passed_over: list[PassedOver] = []
    newest: tuple[Measurement, ...] = ()
    for take in sorted(takes, key=lambda take: take.facts.take, reverse=True):
        try:
            responses = _read_take(job, take)
        except RoomcheckError as problem:
            problems.append((take.path, problem))
            continue
        check = responses[0].check
        if check.keep:
            check = changed(check, passed_over=tuple(passed_over))
            return tuple(dataclasses.replace(response, check=check) for response in responses)
        newest = newest or responses
        passed_over.append(PassedOver(take=responses[0].take, reasons=check.reasons))
    return newest


def _heard(
    audio: Audio, played: Played | None, decisions: Decisions, on_part: OnPart | None = None
) -> tuple[tuple[ImpulseResponse, ...], TakeCheck, int]:
    """The response to a sweep, or to each impulse where none was played; the verdict; and the
    channel."""
    if played is not None:
        response, check, channel = listen(audio, played, decisions, on_part)
        return (response,), check, channel
    check_rate(audio.rate_hz, audio.where)
    channel, chosen = choose_channel(audio, decisions.channel)
    responses, check = judge_impulses(find_impulses(audio, channel), audio.lossy)
    if chosen is not None:
        check = changed(check, warnings=(chosen, *check.warnings))
    return responses, decided(check, decisions), channel


def _read_take(job: Job, take: TakeFile, on_part: OnPart | None = None) -> tuple[Measurement, ...]:
    path, facts, recording = take.path, take.facts, recording_beside(take)
    if digest(recording) != facts.sha256:
        raise RecordingError(
            where=str(recording),
            found="it is not the recording that was added (its SHA-256 differs)",
            needed="takes as they came",
            todo=f"Put the recording back, or delete it with {path.name} and add it again.",
        )
    decisions = Decisions(
        channel=facts.channel,
        side=facts.side,
        wrong_machine=cast(Machine | None, facts.wrong_machine),
        keep_anyway=facts.keep_anyway,
        faults=faults_of(facts.faults, path),
        away_m=_away_m(job, facts.source, facts.microphone),
    )
    played = None
    if facts.sweep is not None:
        played = _played_again(facts.sweep, job.folder / "takes" / "played", str(path))
    responses, check, _ = heard_once(
        facts.sha256,
        played,
        decisions,
        lambda: _heard(read_audio(recording), played, decisions, on_part),
    )
    if facts.correction is not None:
        microphone = kept_correction(job, facts.correction)
        responses = tuple(corrected(response, microphone) for response in responses)
        applied = fact(
            Take.MICROPHONE_CORRECTED,
            file=microphone.name,
            low_hz=microphone.frequency_hz[0],
            high_hz=microphone.frequency_hz[-1],
        )
        check = changed(check, warnings=(*check.warnings, applied))
    return tuple(
        Measurement(
            source=facts.source,
            microphone=facts.microphone,
            take=recording.relative_to(job.folder).as_posix(),
            response=response,
            check=check,
            direction=facts.direction,
            stood_m=facts.stood_m,
            flight_s=facts.flight_s,
            signal=played.sweep.signal if played else fact(Signal.IMPULSES),
            swept_hz=(played.sweep.low_hz, played.sweep.high_hz) if played else None,
        )
        for response in responses
    )


def _played_again(facts: Mapping[str, Any], folder: Path, where: str) -> Played:
    """What was played, the same for every take of the same facts where no file holds it."""
    if "file" in facts:
        return played_of(facts, folder, where)
    try:
        return _played_by(json.dumps(facts, sort_keys=True, default=str))
    except RecordingError:
        return played_of(facts, folder, where)  # says of which take


@lru_cache(maxsize=1)
def _played_by(facts: str) -> Played:
    return played_of(json.loads(facts), Path(), "")


def _what_was_played(
    job: Job, recording: Path, visit: str, sweep: Path | str | Played | Sweep | None
) -> tuple[Played, Path | None]:
    """What was played, and its own file where the samples themselves are needed again."""
    if isinstance(sweep, Sweep):
        return Played(sweep=sweep), None
    if isinstance(sweep, Played):
        return sweep, None
    beside = recording.with_suffix(".toml")
    if sweep is None and beside != recording and beside.exists():
        sweep = beside
    if sweep is not None:
        path = Path(sweep)
        played = read_played(path)
        own = (
            path.suffix.lower() != ".toml"
            and played.marker is None
            and not path.with_suffix(".toml").exists()
        )
        return played, path if own else None
    return _same_as_others(job, visit, recording), None


def _same_as_others(job: Job, visit: str, recording: Path) -> Played:
    known: list[Mapping[str, Any]] = []
    for there in ("before", "after"):
        for take in visit_files(job.folder, there).takes:
            facts = take.facts.sweep
            if facts is not None and "file" not in facts and facts not in known:
                known.append(facts)
    if len(known) != 1:
        raise RecordingError(
            where=str(recording),
            found="it is not said which sweep was played",
            needed="the sweep's facts, or its sound file",
            todo="Name it with --sweep: the .toml that roomcheck sweep wrote, or the played file.",
        )
    return played_of(known[0], job.folder / "takes" / "played", visit)


def _keep_played(job: Job, path: Path) -> str:
    """A copy of a played file in takes/played, under a name that tells its content."""
    name = f"{plain_name(path.stem)}-{digest(path)[:12]}{ending_of(path)}"
    keep_beside(job.folder, f"takes/played/{name}", path)
    return name


def place_take(
    job: Job, recording: Path, visit: str, facts: Mapping[str, Any], instead_of: Sequence[Path]
) -> Path:
    """The recording and its facts, in one step, under the first free name; never over another."""
    comment = (
        "What roomcheck knows of the recording beside it. The recording itself is never changed."
    )
    where = f"takes/{visit}"
    gone = [Put(path=p.relative_to(job.folder).as_posix(), data=None) for p in instead_of]
    with writing(job.folder):
        number, name = _free(job.folder / where, facts)
        file = f"{name}{ending_of(recording)}"
        text = write_toml({**facts, "take": number, "file": file}, comment)
        sound = Put(path=f"{where}/{file}", data=recording, new=True, sha256=facts["sha256"])
        beside = Put(path=f"{where}/{name}.toml", data=text, new=True)
        return put_in(job.folder, [*gone, sound, beside])[0]


def _free(folder: Path, facts: Mapping[str, Any]) -> tuple[int, str]:
    """The first number of a pair that no file of the folder bears, and the name it gives: on some
    disks capitals make no difference."""
    there = {p.stem.casefold() for p in folder.iterdir()} if folder.is_dir() else set()
    for number in range(1, 1000):
        name = take_name(facts["source"], facts["microphone"], number)
        if name.casefold() not in there:
            return number, name
    raise TakeNotWritten(
        where=str(folder),
        found=f"999 takes of {take_name(facts['source'], facts['microphone'], 1)}",
        needed="a free name",
        todo="Delete takes that are not needed.",
    )


def recording_beside(take: TakeFile) -> Path:
    recording = take.recording
    if recording is None:
        raise RecordingError(
            where=str(take.path),
            found="there is no recording beside it",
            needed=take.facts.file or f"{take.path.stem}.wav or the like",
            todo="Put the recording back, or delete the .toml.",
        )
    return recording


def faults_of(faults: Iterable[Any], where: Path) -> tuple[Fact[Take], ...]:
    """What the sound card reported, from a take's facts; older versions wrote it as text.

    Raises
    ------
    RecordingError
        No such report.
    """
    try:
        return tuple(
            fact(Take.AS_WRITTEN, text=fault)
            if isinstance(fault, str)
            else from_plain(Fact[Take], fault)
            for fault in faults
        )
    except Misfits as problem:
        raise RecordingError(
            where=str(where),
            found=f"`faults`: {problem}",
            needed="the facts that roomcheck wrote",
            todo="Put the file back as it was, or add the recording again.",
        ) from problem


def check_places(
    job: Job, visit: str, source: str, microphone: str, where: str | None = None
) -> None:
    where = where or str(job.folder / "job.toml")
    for kind, name, known in (
        ("visit", visit, ("before", "after")),
        ("source", source, tuple(p.name for p in job.sources)),
        ("microphone", microphone, tuple(p.name for p in job.microphones)),
    ):
        if name not in known:
            raise RecordingError(
                where=where,
                found=f"no {kind} {name!r}",
                needed=f"one of {', '.join(known) or 'none so far'}",
                todo=f"Use one of these, or add it to {job.folder / 'job.toml'}.",
            )


def _places(job: Job) -> dict[str, Point]:
    return {p.name: p.point for p in (*job.sources, *job.microphones)}


def _away_m(job: Job, source: str, microphone: str) -> float | None:
    places = _places(job)
    return (
        distance_m(places[source], places[microphone])
        if {source, microphone} <= set(places)
        else None
    )
