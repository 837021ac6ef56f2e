"""What a take is: a recording and its facts, under the name that these facts give it.

The one place that decides it. `S1-P1.toml` is a take where it says source S1, microphone P1 and
take 1; a copy of it under another name says the same and is none. Everything else that lies in a
visit's folder is a stray: drafts, what an editor or a system leaves, conflicts of a folder that is
kept the same on two machines, a recording without facts.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from roomcheck.errors import RoomcheckError
from roomcheck.geometry import Point
from roomcheck.job.toml.document import FileMistakes, TomlFile
from roomcheck.job.toml.reader import TomlTable
from roomcheck.job.toml.values import shown

TAKE_SCHEMA = 1

ENDINGS = (
    ".wav", ".flac", ".aif", ".aiff", ".ogg", ".mp3", ".w64", ".caf", ".m4a", ".aac", ".mp4",
    ".mov", ".3gp", ".amr",
)  # fmt: skip
"""Endings under which recordings are kept."""

SIDES = ("left", "right", "both")
MACHINES = ("player", "recorder")
UNKNOWN_ENDING = ".audio"
"""Of a recording that came under none of them; its first bytes tell what it is."""

OWN_FOLDERS = ("noise", "whole", ".coming")
"""Folders of a visit that hold something else."""

MOST_SWEEP_S = 120.0
"""No sweep lasts longer: 192 kHz of it are 184 MB. [s]"""

MOST_S = 3600.0
_MOST_HZ = 400_000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class TakeFacts:
    """What a take's file says of the recording beside it."""

    source: str
    microphone: str
    take: int
    """Its number among those of the same pair, from 1."""
    channel: int
    """From 1."""
    sha256: str
    """Of the recording."""
    file: str
    """Name of the recording; "" in takes that are older than this fact."""
    side: str | None
    wrong_machine: str | None
    keep_anyway: bool
    faults: tuple[Any, ...]
    """What the sound card reported, as plain facts."""
    direction: str | None
    correction: str | None
    """Name of the microphone's file."""
    stood_m: tuple[Point, Point] | None
    """Where source and microphone stood by the job of the day [m]."""
    flight_s: float | None
    level_dbfs: float | None
    sweep: Mapping[str, Any] | None
    """What was played; None where impulses were recorded."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TakeFile:
    """A take of a visit."""

    path: Path
    """Of its facts."""
    facts: TakeFacts

    @property
    def recording(self) -> Path | None:
        """The recording beside the facts; None where there is none."""
        if self.facts.file:
            path = self.path.with_name(self.facts.file)
            return path if path.exists() else None
        beside = (self.path.with_suffix(ending) for ending in ENDINGS)
        return next((path for path in beside if path.exists()), None)


@dataclass(frozen=True, slots=True, kw_only=True)
class VisitFiles:
    """What lies in a visit's folder."""

    takes: tuple[TakeFile, ...]
    unreadable: tuple[tuple[Path, RoomcheckError], ...]
    """Files that bear a take's name and whose facts cannot be read."""
    strays: tuple[Path, ...]
    """Whatever is neither a take nor belongs to one."""


def visit_files(folder: Path, visit: str) -> VisitFiles:
    """Look through a visit's folder of a job."""
    try:
        there = sorted((folder / "takes" / visit).iterdir())
    except OSError:
        there = []
    takes, unreadable, strays = [], [], []
    for path in there:
        if path.suffix != ".toml" or not _named_as_take(path.stem):
            strays.append(path)
            continue
        try:
            facts = take_facts(path)
        except RoomcheckError as problem:
            unreadable.append((path, problem))
            continue
        if path.stem == take_name(facts.source, facts.microphone, facts.take):
            takes.append(TakeFile(path=path, facts=facts))
        else:
            strays.append(path)
    kept = {take.recording for take in takes}
    known = {path.stem for path, _ in unreadable}
    return VisitFiles(
        takes=tuple(takes),
        unreadable=tuple(unreadable),
        strays=tuple(p for p in strays if p not in kept and not _belongs(p, known)),
    )


def has_takes(folder: Path, visit: str) -> bool:
    """Whether anything was recorded at a visit."""
    files = visit_files(folder, visit)
    return bool(files.takes or files.unreadable)


def take_name(source: str, microphone: str, number: int) -> str:
    """What a take is called, without its ending."""
    stem = plain_name(f"{source}-{microphone}")
    return stem if number == 1 else f"{stem}-{number}"


def plain_name(name: str) -> str:
    """A name that every file system takes."""
    return re.sub(r"[^\w.-]+", "_", name).strip(".") or "take"


def take_facts(path: Path) -> TakeFacts:
    """A take's facts.

    Raises
    ------
    CannotRead, FileMistakes, NewerFile
        As for the job's file.
    """
    table = TomlTable.of(TomlFile.read(path, TAKE_SCHEMA))
    table.whole("schema", least=1)
    impulse = table.flag("impulse", False)
    facts = TakeFacts(
        source=table.text("source"),
        microphone=table.text("microphone"),
        take=table.whole("take", least=1),
        channel=table.whole("channel", least=1),
        sha256=_sha256(table, "sha256"),
        file=bare_name(table, "file", "") or "",
        side=table.choice("side", SIDES, None) if table.has("side") else None,
        wrong_machine=table.choice("wrong_machine", MACHINES)
        if table.has("wrong_machine")
        else None,
        keep_anyway=table.flag("keep_anyway", False),
        faults=faults_in(table),
        direction=table.text("direction") if table.has("direction") else None,
        correction=bare_name(table, "correction", None),
        stood_m=_stood(table),
        flight_s=ranged(table, "flight_s", -1.0, MOST_S, None),
        level_dbfs=ranged(table, "level_dbfs", -200.0, 20.0, None),
        sweep=None if impulse else sweep_in(table.table("sweep")),
    )
    finished(table)
    return facts


def noise_files(folder: Path, stem: str) -> tuple[Path, ...]:
    """Facts of recordings of the background noise, or of a calibrator, in the order of their
    numbers; a copy under another name is none."""
    numbers = {}
    for path in folder.glob("*.toml"):
        found = re.fullmatch(rf"{stem}(?:-([1-9][0-9]{{0,3}}))?", path.stem)
        if found:
            numbers[path] = int(found[1] or 1)
    return tuple(sorted(numbers, key=lambda path: numbers[path]))


def noise_facts(path: Path) -> Mapping[str, Any]:
    """Facts of a recording of the background noise, or of a calibrator.

    Raises
    ------
    CannotRead, FileMistakes, NewerFile
        As for the job's file.
    """
    table = TomlTable.of(TomlFile.read(path, TAKE_SCHEMA))
    table.whole("channel", least=1)
    bare_name(table, "file", None)
    if not table.has("file"):
        table.note(None, "`file` is missing")
    _sha256(table, "sha256")
    table.text("conditions", "")
    bare_name(table, "correction", None)
    ranged(table, "sensitivity_dbfs", -200.0, 20.0, None)
    if table.has("calibrator_db"):
        ranged(table, "calibrator_db", 0.0, 200.0)
    finished(table)
    return table.data


def coming_facts(path: Path) -> Mapping[str, Any]:
    """Facts of a recording that was made and not yet judged.

    Raises
    ------
    CannotRead, FileMistakes, NewerFile
        As for the job's file.
    """
    table = TomlTable.of(TomlFile.read(path, TAKE_SCHEMA))
    table.text("source")
    table.text("microphone")
    table.whole("channel", None, least=1)
    faults_in(table)
    table.table("more", required=False)
    sweep_in(table.table("sweep"))
    finished(table)
    return table.data


def sweep_facts(path: Path) -> Mapping[str, Any]:
    """What was played, from the file that `roomcheck sweep` wrote or from a take's.

    Raises
    ------
    CannotRead, FileMistakes, NewerFile
        As for the job's file.
    """
    top = TomlTable.of(TomlFile.read(path, TAKE_SCHEMA))
    table = top.table("sweep") if top.has("sweep") else top
    facts = sweep_in(table)
    finished(top)
    return facts


def sweep_in(table: TomlTable) -> Mapping[str, Any]:
    """A table of what was played, every value in it looked at."""
    if table.has("file"):
        bare_name(table, "file", "")
    else:
        rate_hz = table.whole("rate_hz", least=1000)
        high_hz = ranged(table, "high_hz", 1.0, _MOST_HZ)
        low_hz = ranged(table, "low_hz", 1e-3, _MOST_HZ)
        ranged(table, "seconds", 1e-3, MOST_SWEEP_S)
        if not table.spoiled and not low_hz < high_hz <= rate_hz / 2:
            table.note("high_hz", f"a sweep from {low_hz:g} to {high_hz:g} Hz at {rate_hz} Hz")
        if not table.spoiled and rate_hz > _MOST_HZ:
            table.note("rate_hz", f"`rate_hz` is {rate_hz}; it must be {_MOST_HZ:g} at most")
        if table.has("marker"):
            _marked(table, table.table("marker"), rate_hz)
    _missing(table)
    return table.data


def _marked(table: TomlTable, marker: TomlTable, rate_hz: int) -> None:
    """What a sweep with marker chirps says besides."""
    ranged(table, "silence_s", 0.0, MOST_S)
    ranged(table, "level_dbfs", -200.0, 20.0)
    for key in ("low_hz", "high_hz"):
        ranged(marker, key, 1.0, max(rate_hz / 2, 1.0))
    ranged(marker, "seconds", 1e-3, 10.0)
    first_s = ranged(marker, "first_s", 0.0, MOST_S)
    last_s = ranged(marker, "last_s", 0.0, MOST_S)
    if not marker.spoiled and not first_s < last_s:
        marker.note("last_s", f"`last_s` is {last_s:g}; it must be above `first_s`, {first_s:g}")
    passes = table.tables("pass")
    if not passes:
        table.note(None, "[[pass]] is missing: where each sweep begins")
    for one in passes:
        one.choice("side", SIDES)
        ranged(one, "start_s", 0.0, MOST_S)
        _missing(one)
    _missing(marker)


def faults_in(table: TomlTable) -> tuple[Any, ...]:
    """What the sound card reported: texts, as older versions wrote it, or tables with a kind."""
    raw = table.raw("faults")
    if raw is None:
        return ()
    fine = isinstance(raw, list) and all(
        isinstance(one, str) or (isinstance(one, dict) and isinstance(one.get("kind"), str))
        for one in raw
    )
    if not fine:
        table.note("faults", f"`faults` is {shown(raw)}; it must be a list of tables with a `kind`")
    return tuple(raw) if fine else ()


def ranged(table: TomlTable, key: str, least: float, most: float, *default: None) -> Any:
    """A finite number within bounds; NaN, or the default, where there is none."""
    raw = table.raw(key)
    if raw is None:
        if not default:
            table.note(None, f"`{key}` is missing")
        return None if default else math.nan
    number = isinstance(raw, int | float) and not isinstance(raw, bool)
    if number and least <= raw <= most:
        return float(raw)
    table.note(key, f"`{key}` is {shown(raw)}; it must be a number from {least:g} to {most:g}")
    return math.nan


def bare_name(table: TomlTable, key: str, default: str | None) -> str | None:
    """The name of a file beside this one, and of no other folder."""
    if not table.has(key):
        return default
    name = table.text(key)
    if name in (".", "..") or any(sign in name for sign in "/\\:\0"):
        table.note(key, f"`{key}` is {shown(name)}; it must be the name of a file beside this one")
    return name


def finished(table: TomlTable) -> None:
    """Raise all that was noted; what else the file holds is nobody's business.

    Raises
    ------
    FileMistakes
    """
    _missing(table)
    if table.document.mistakes:
        raise FileMistakes(str(table.document.path.parent), table.document.found())


def _missing(table: TomlTable) -> None:
    for written in table.missing.values():
        table.note(None, f"{table.title} needs {written}")
    table.missing.clear()


def _sha256(table: TomlTable, key: str) -> str:
    text = table.text(key)
    if text and re.fullmatch(r"[0-9a-f]{64}", text) is None:
        table.note(key, f"`{key}` is {shown(text)}; it must be 64 digits and letters a to f")
    return text


def _one_of(table: TomlTable, key: str, choices: tuple[str, ...]) -> str | None:
    return table.choice(key, choices) if table.has(key) else None


def _stood(table: TomlTable) -> tuple[Point, Point] | None:
    raw = table.raw("stood_m")
    if raw is None:
        return None
    pairs = isinstance(raw, list) and len(raw) == 2
    if not pairs or not all(_is_place(place) for place in raw):
        needed = "two lists of three numbers, of the source and of the microphone"
        table.note("stood_m", f"`stood_m` is {shown(raw)}; it must be {needed}")
        return None
    return Point(*raw[0]), Point(*raw[1])


def _is_place(place: Any) -> bool:
    return (
        isinstance(place, list)
        and len(place) == 3
        and all(isinstance(x, int | float) and not isinstance(x, bool) for x in place)
        and all(abs(x) < 1e4 for x in place)
    )


def _named_as_take(stem: str) -> bool:
    """Whether roomcheck could have given a file this name."""
    return not stem.startswith(".") and plain_name(stem) == stem and "-" in stem


def _belongs(path: Path, stems: set[str]) -> bool:
    """Whether a path is no stray after all: a folder of the visit's own, or the recording of a
    take that cannot be read."""
    return path.name in OWN_FOLDERS or (
        path.stem in stems and path.suffix.lower() in (*ENDINGS, ".audio")
    )
