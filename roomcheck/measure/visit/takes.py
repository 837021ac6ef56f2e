"""Takes in the job folder: put in, read again, judged."""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from roomcheck.facts import Fact, fact
from roomcheck.geometry import Point, distance_m
from roomcheck.job import Job
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
    read_toml,
    write_toml,
)
from roomcheck.measure.files.whole_files import place
from roomcheck.measure.kinds import Machine, Signal, Take
from roomcheck.measure.signal.signals import ImpulseResponse, Measurement, PassedOver, TakeCheck
from roomcheck.measure.signal.sweep import Sweep
from roomcheck.plain import from_plain, to_plain

SCHEMA = 1
KINDS = (
    ".wav",
    ".flac",
    ".aif",
    ".aiff",
    ".ogg",
    ".mp3",
    ".w64",
    ".caf",
    ".m4a",
    ".aac",
    ".mp4",
    ".mov",
    ".3gp",
    ".amr",
)

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

    Raises
    ------
    RecordingError
        The recording cannot be used; nothing was written.
    """
    path = Path(recording)
    if wrong_machine not in (None, "player", "recorder"):
        raise ValueError(f"wrong_machine: {wrong_machine!r}, needed 'player' or 'recorder'")
    _check_places(job, visit, source, microphone)
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
    _, check, channel = _heard(audio, played, decisions)
    optional = {
        "side": side,
        "wrong_machine": wrong_machine,
        "keep_anyway": keep_anyway,
        "faults": to_plain(faults),
        "direction": direction,
    }
    facts: dict[str, Any] = {
        "schema": SCHEMA,
        "source": source,
        "microphone": microphone,
        "channel": channel,
        "came_as": path.name,
        "sha256": digest(path),
        **{name: value for name, value in optional.items() if value},
        **(more or {}),
        "stood_m": [list(_places(job)[name]) for name in (source, microphone)],
    }
    folder = job.folder / "takes" / visit
    if played is None:
        facts["impulse"] = True
    elif played_file is None:
        facts["sweep"] = facts_of(played)
    else:
        facts["sweep"] = {"file": _keep_played(job, played_file)}
    take = _place(path, folder, f"{source}-{microphone}", facts)
    return Added(
        take=take.relative_to(job.folder).as_posix(),
        source=source,
        microphone=microphone,
        visit=visit,
        channel=channel,
        check=check,
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
    folder = job.folder / "takes" / visit
    found: dict[tuple[str, str], dict[str, list[tuple[int, Path, dict[str, Any]]]]] = {}
    for path in sorted(folder.glob("*.toml")):
        facts = _read_facts(path)
        _check_places(job, visit, facts["source"], facts["microphone"], str(path))
        ways = found.setdefault((facts["source"], facts["microphone"]), {})
        ways.setdefault(str(facts.get("direction", "")), []).append(
            (int(facts["take"]), path, facts)
        )
    if not found:
        raise RecordingError(
            where=str(folder),
            found="no takes",
            needed=f"a recording for each position of visit {visit!r}",
            todo=(
                f"Record with: roomcheck measure {job.folder}, or bring recordings in with: "
                "roomcheck add."
            ),
        )
    order = [(s.name, m.name) for s in job.sources for m in job.microphones]
    return tuple(
        one
        for pair in order
        for takes in sorted(
            found.get(pair, {}).values(), key=lambda takes: min(number for number, _, _ in takes)
        )
        for one in _newest_kept(job, takes)
    )


def read_take(job: Job, facts_path: Path) -> Measurement:
    """One take of the job folder again, from its facts."""
    return _read_take(job, facts_path, _read_facts(facts_path))[0]


def _newest_kept(
    job: Job, takes: list[tuple[int, Path, dict[str, Any]]]
) -> tuple[Measurement, ...]:
    passed_over: list[PassedOver] = []
    newest = None
    for _, path, facts in sorted(takes, key=lambda take: take[0], reverse=True):
        responses = _read_take(job, path, facts)
        check = responses[0].check
        if check.keep:
            check = changed(check, passed_over=tuple(passed_over))
            return tuple(dataclasses.replace(response, check=check) for response in responses)
        newest = newest or responses
        passed_over.append(PassedOver(take=responses[0].take, reasons=check.reasons))
    assert newest is not None
    return newest


def _heard(
    audio: Audio, played: Played | None, decisions: Decisions
) -> tuple[tuple[ImpulseResponse, ...], TakeCheck, int]:
    """The response to a sweep, or to each impulse where none was played; the verdict; and the
    channel."""
    if played is not None:
        response, check, channel = listen(audio, played, decisions)
        return (response,), check, channel
    check_rate(audio.rate_hz, audio.where)
    channel, chosen = choose_channel(audio, decisions.channel)
    responses, check = judge_impulses(find_impulses(audio, channel), audio.lossy)
    if chosen is not None:
        check = changed(check, warnings=(chosen, *check.warnings))
    return responses, decided(check, decisions), channel


def _read_take(job: Job, path: Path, facts: Mapping[str, Any]) -> tuple[Measurement, ...]:
    recording = _recording_beside(path)
    if digest(recording) != facts["sha256"]:
        raise RecordingError(
            where=str(recording),
            found="it is not the recording that was added (its SHA-256 differs)",
            needed="takes as they came",
            todo=f"Put the recording back, or delete it with {path.name} and add it again.",
        )
    decisions = Decisions(
        channel=facts["channel"],
        side=facts.get("side"),
        wrong_machine=facts.get("wrong_machine"),
        keep_anyway=facts.get("keep_anyway", False),
        faults=faults_of(facts),
        away_m=_away_m(job, facts["source"], facts["microphone"]),
    )
    played = None
    if "sweep" in facts:
        played = played_of(facts["sweep"], job.folder / "takes" / "played", str(path))
    responses, check, _ = _heard(read_audio(recording), played, decisions)
    if "correction" in facts:
        microphone = kept_correction(job, facts["correction"])
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
            source=facts["source"],
            microphone=facts["microphone"],
            take=recording.relative_to(job.folder).as_posix(),
            response=response,
            check=check,
            direction=facts.get("direction"),
            stood_m=_stood(facts),
            flight_s=facts.get("flight_s"),
            signal=played.sweep.signal if played else fact(Signal.IMPULSES),
            swept_hz=(played.sweep.low_hz, played.sweep.high_hz) if played else None,
        )
        for response in responses
    )


def _what_was_played(
    job: Job, recording: Path, visit: str, sweep: Path | str | Played | Sweep | None
) -> tuple[Played, Path | None]:
    """What was played, and its own file where the samples themselves are needed again."""
    if isinstance(sweep, Sweep):
        return Played(sweep=sweep), None
    if isinstance(sweep, Played):
        return sweep, None
    if sweep is None and recording.with_suffix(".toml").exists():
        sweep = recording.with_suffix(".toml")
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
    known = []
    for path in sorted((job.folder / "takes").glob("*/*.toml")):
        facts = _read_facts(path).get("sweep")
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
    name = f"{_plain(path.stem)}-{digest(path)[:12]}{path.suffix.lower()}"
    to = job.folder / "takes" / "played" / name
    if not to.exists():
        place(to, path)
    return name


def _place(recording: Path, folder: Path, stem: str, facts: Mapping[str, Any]) -> Path:
    """The recording and its facts under the first free name; never over another."""
    stem = _plain(stem)
    comment = (
        "What roomcheck knows of the recording beside it. The recording itself is never changed."
    )
    for number in range(1, 1000):
        name = stem if number == 1 else f"{stem}-{number}"
        to = folder / f"{name}{recording.suffix.lower()}"
        if folder.is_dir() and any(there.stem == name for there in folder.iterdir()):
            continue
        try:
            place(to, recording)
        except FileExistsError:
            continue
        try:
            place(to.with_suffix(".toml"), write_toml({**facts, "take": number}, comment).encode())
        except (FileExistsError, TakeNotWritten):
            to.unlink(missing_ok=True)
            raise
        return to
    raise TakeNotWritten(
        where=str(folder),
        found=f"999 takes of {stem}",
        needed="a free name",
        todo="Delete takes that are not needed.",
    )


def _recording_beside(path: Path) -> Path:
    found = [p for p in sorted(path.parent.glob(f"{path.stem}.*")) if p.suffix.lower() in KINDS]
    if not found:
        raise RecordingError(
            where=str(path),
            found="there is no recording beside it",
            needed=f"{path.stem}.wav or the like",
            todo="Put the recording back, or delete the .toml.",
        )
    return found[0]


def _read_facts(path: Path) -> dict[str, Any]:
    facts = read_toml(path)
    needed = (
        "source",
        "microphone",
        "take",
        "channel",
        "sha256",
        *(() if facts.get("impulse") else ("sweep",)),
    )
    lacking = [key for key in needed if key not in facts]
    if lacking or facts.get("schema") != SCHEMA:
        found = f"no {', '.join(lacking)}" if lacking else f"schema {facts.get('schema')}"
        raise RecordingError(
            where=str(path),
            found=found,
            needed=f"the facts that roomcheck add writes, schema {SCHEMA}",
            todo="Add the recording again, or use the roomcheck that wrote it.",
        )
    return facts


def faults_of(facts: Mapping[str, Any]) -> tuple[Fact[Take], ...]:
    """What the sound card reported, from a take's facts; older versions wrote it as text."""
    return tuple(
        fact(Take.AS_WRITTEN, text=fault)
        if isinstance(fault, str)
        else from_plain(Fact[Take], fault)
        for fault in facts.get("faults", ())
    )


def _check_places(
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


def _stood(facts: Mapping[str, Any]) -> tuple[Point, Point] | None:
    """Where source and microphone stood by the job of the day; None in takes that say nothing of
    it."""
    if "stood_m" not in facts:
        return None
    source, microphone = facts["stood_m"]
    return Point(*source), Point(*microphone)


def _away_m(job: Job, source: str, microphone: str) -> float | None:
    places = _places(job)
    return (
        distance_m(places[source], places[microphone])
        if {source, microphone} <= set(places)
        else None
    )


def _plain(name: str) -> str:
    """A name that every file system takes."""
    return re.sub(r"[^\w.-]+", "_", name).strip(".") or "take"
