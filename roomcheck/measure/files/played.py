"""What is played to a room: a sweep alone, or a file for somebody else's player with marker chirps
around it."""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Literal

import numpy as np
from numpy.typing import NDArray

from roomcheck.job import (
    TAKE_SCHEMA,
    CannotRead,
    FileMistakes,
    NoRegularFile,
    Put,
    open_regular,
    read_regular,
    sweep_facts,
)
from roomcheck.measure.faults import NoSweepFound, RecordingError, TakeNotWritten
from roomcheck.measure.files.audio import check_rate, choose_channel, read_audio
from roomcheck.measure.signal.foreign import NotASweep
from roomcheck.measure.signal.sweep import Sweep

Side = Literal["left", "right", "both"]
Array = NDArray[np.float64]

LEAD_S = 3.0
GAP_S = 1.0
END_S = 1.0
LONGEST_S = 600.0
"""No played file lasts longer. [s]"""

MARKERS_APART_S = 15.0
"""10 mm of movement is 2 ppm of the way sound goes in this time. [s]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Marker:
    """A short chirp, linear in frequency, with tapered ends."""

    low_hz: float = 1000.0
    """Where it begins [Hz]."""
    high_hz: float = 8000.0
    """Where it ends [Hz]."""
    seconds: float = 0.1
    """Length [s]."""

    def samples(self, rate_hz: int) -> Array:
        """(frames,), peak 1."""
        t = np.arange(round(self.seconds * rate_hz)) / rate_hz
        k = (self.high_hz - self.low_hz) / self.seconds
        ramp = np.clip(np.minimum(t, t[-1] - t) / (0.1 * self.seconds), 0, 1)
        chirp: Array = (
            np.sin(2 * np.pi * (self.low_hz + k * t / 2) * t) * (1 - np.cos(np.pi * ramp)) / 2
        )
        return chirp


@dataclass(frozen=True, slots=True, kw_only=True)
class Pass:
    """One run of the sweep in a file."""

    side: Side
    start_s: float
    """From the file's start [s]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Played:
    """A sweep, and where it stands in the file that was played."""

    sweep: Sweep
    passes: tuple[Pass, ...] = ()
    """Empty where the sweep was played alone."""
    marker: Marker | None = None
    """None where the sweep was played alone."""
    first_s: float = 0.0
    """Where the first marker chirp begins in the file [s]."""
    last_s: float = 0.0
    """Where the last marker chirp begins in the file [s]."""
    silence_s: float = 0.0
    """Silence after each pass [s]."""
    level_dbfs: float = 0.0
    """Peak of the sweep in the file [dB re full scale]."""

    @property
    def seconds(self) -> float:
        """Length of the file. [s]"""
        if self.marker is None:
            return self.sweep.seconds
        return self.last_s + self.marker.seconds + END_S

    def samples(self) -> Array:
        """The file: (frames, 2), left and right."""
        rate, gain = self.sweep.rate_hz, 10 ** (self.level_dbfs / 20)
        out = np.zeros((round(self.seconds * rate), 2))
        parts = [(p.start_s, self.sweep.samples, p.side) for p in self.passes]
        if self.marker is not None:
            chirp = self.marker.samples(rate)
            parts += [
                (self.first_s, chirp, self.passes[0].side),
                (self.last_s, chirp, self.passes[0].side),
            ]
        for start_s, signal, side in parts:
            at = round(start_s * rate)
            for column in {"left": (0,), "right": (1,), "both": (0, 1)}[side]:
                out[at : at + len(signal), column] += gain * signal
        return out


def lay_out(
    sweep: Sweep,
    *,
    sides: tuple[Side, ...] = ("left",),
    silence_s: float = 3.0,
    level_dbfs: float = -12.0,
) -> Played:
    """Lead, marker, gap, each side's sweep with silence after it, marker.

    Parameters
    ----------
    sides : tuple of "left", "right", "both"
        One pass each. Both markers come from the first one's loudspeaker, so that they travel the
        same way.
    silence_s : float
        At least the longest decay; more where the markers would stand less than 15 s apart. [s]
    level_dbfs : float
        Peak, below 0. [dB re full scale]

    Raises
    ------
    ValueError
    """
    if not sides:
        raise ValueError("sides: none, needed one at least")
    if not silence_s >= 0.5:
        raise ValueError(f"silence_s: {silence_s}, needed 0.5 at least")
    if not -60 <= level_dbfs <= 0:
        raise ValueError(f"level_dbfs: {level_dbfs}, needed -60 to 0")
    marker = Marker()
    if 2.2 * marker.high_hz > sweep.rate_hz:
        raise ValueError(
            f"sweep.rate_hz: {sweep.rate_hz}, needed {2.2 * marker.high_hz:g} at least"
        )
    length_s = len(sweep.samples) / sweep.rate_hz
    short_s = MARKERS_APART_S - (marker.seconds + GAP_S + len(sides) * (length_s + silence_s))
    silence_s += max(short_s, 0.0) / len(sides)
    start_s = LEAD_S + marker.seconds + GAP_S
    passes = tuple(
        Pass(side=side, start_s=start_s + i * (length_s + silence_s))
        for i, side in enumerate(sides)
    )
    return Played(
        sweep=sweep,
        passes=passes,
        marker=marker,
        first_s=LEAD_S,
        last_s=passes[-1].start_s + length_s + silence_s,
        silence_s=silence_s,
        level_dbfs=level_dbfs,
    )


def export(path: Path, played: Played) -> Path:
    """Write the file to play (24-bit WAV), and its facts beside it; returns the facts' path.

    Raises
    ------
    TakeNotWritten
        Something is there already, or the folder cannot be written.
    """
    import io

    import soundfile as sf

    from roomcheck.measure.files.whole_files import put_in

    sidecar = path.with_suffix(".toml")
    for there in (path, sidecar):
        if there.exists():
            raise TakeNotWritten(
                where=str(there),
                found="it is there already",
                needed="a new name",
                todo="Name another file.",
            )
    held = io.BytesIO()
    sf.write(held, played.samples(), played.sweep.rate_hz, format="WAV", subtype="PCM_24")
    facts = write_toml({"schema": TAKE_SCHEMA, **facts_of(played)})
    sound = Put(path=path.name, data=held.getvalue(), new=True)
    put_in(path.parent, [sound, Put(path=sidecar.name, data=facts, new=True)])
    return sidecar


def facts_of(played: Played) -> dict[str, Any]:
    """The facts that rebuild a sweep, as TOML can hold them."""
    s = played.sweep
    facts: dict[str, Any] = {
        "rate_hz": s.rate_hz,
        "low_hz": s.low_hz,
        "high_hz": s.high_hz,
        "seconds": s.seconds,
    }
    if played.marker is not None:
        m = played.marker
        facts |= {
            "level_dbfs": played.level_dbfs,
            "silence_s": played.silence_s,
            "marker": {
                "low_hz": m.low_hz,
                "high_hz": m.high_hz,
                "seconds": m.seconds,
                "first_s": played.first_s,
                "last_s": played.last_s,
            },
            "pass": [{"side": p.side, "start_s": p.start_s} for p in played.passes],
        }
    return facts


def played_of(facts: Mapping[str, Any], folder: Path, where: str) -> Played:
    """What was played, from the facts beside it.

    Parameters
    ----------
    facts : mapping
        `low_hz`, `high_hz`, `seconds`, `rate_hz`, perhaps `marker` and `pass`; or `file`, the
        played WAV.
    folder : Path
        Where `file` is looked for.

    Raises
    ------
    NoSweepFound
        The facts describe no sweep.
    """
    try:
        if "file" in facts:
            return read_played_audio(folder / str(facts["file"]))
        sweep = Sweep(**{key: facts[key] for key in ("low_hz", "high_hz", "seconds", "rate_hz")})
        if "marker" not in facts:
            return Played(sweep=sweep)
        m = dict(facts["marker"])
        first_s, last_s = float(m.pop("first_s")), float(m.pop("last_s"))
        return Played(
            sweep=sweep,
            passes=tuple(Pass(side=p["side"], start_s=float(p["start_s"])) for p in facts["pass"]),
            marker=Marker(**m),
            first_s=first_s,
            last_s=last_s,
            silence_s=float(facts["silence_s"]),
            level_dbfs=float(facts["level_dbfs"]),
        )
    except (KeyError, TypeError, ValueError) as problem:
        said = f"no {problem}" if isinstance(problem, KeyError) else str(problem)
        raise NoSweepFound(
            where=where,
            found=f"no sweep is described there ({said})",
            needed="low_hz, high_hz, seconds and rate_hz",
            todo="Use the .toml that roomcheck sweep wrote, or the played file itself.",
        ) from problem


def read_played(path: Path) -> Played:
    """What was played, from a sweep's facts (.toml) or the played sound file itself.

    A sound file with roomcheck's facts beside it is read by these.
    """
    beside = path.with_suffix(".toml")
    if path.suffix.lower() == ".toml":
        return _told(path)
    if beside.exists():
        facts = read_toml(beside)
        if "sweep" in facts or "low_hz" in facts:
            return _told(beside)
    return read_played_audio(path)


def _told(path: Path) -> Played:
    """What was played, by a file of facts."""
    try:
        facts = sweep_facts(path)
    except (FileMistakes, CannotRead) as problem:
        raise NoSweepFound(
            where=str(path),
            found=f"no sweep is described there ({problem})",
            needed="low_hz, high_hz, seconds and rate_hz",
            todo="Use the .toml that roomcheck sweep wrote, or the played file itself.",
        ) from problem
    return played_of(facts, path.parent, str(path))


def read_played_audio(path: Path) -> Played:
    """An exponential sweep from its sound file, whatever else stands around it."""
    audio = read_audio(path)
    check_rate(audio.rate_hz, audio.where)
    channel, _ = choose_channel(audio)
    if audio.seconds > LONGEST_S:
        raise NoSweepFound(
            where=audio.where,
            found=f"{audio.seconds / 60:.0f} min of sound",
            needed=f"the played file, {LONGEST_S / 60:.0f} min at most",
            todo="Name the played file, or the .toml of roomcheck sweep.",
        )
    samples = audio.mono(channel)
    try:
        return Played(sweep=Sweep.of_samples(samples, audio.rate_hz))
    except NotASweep as problem:
        raise NoSweepFound(
            where=audio.where,
            found=problem.why,
            needed="the exponential sweep that was played, alone in its file",
            todo="Name the played file, or the .toml of roomcheck sweep.",
        ) from problem


def digest(path: Path) -> str:
    """SHA-256 of a file's bytes."""
    try:
        with open_regular(path) as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except NoRegularFile as problem:
        raise RecordingError(
            where=str(path),
            found=problem.why,
            needed="a recording",
            todo="Put it back as it was, or add the recording again.",
        ) from problem


def read_toml(path: Path) -> dict[str, Any]:
    """A TOML file's tables.

    Raises
    ------
    RecordingError
        Missing, or no TOML.
    """
    import tomllib

    try:
        return tomllib.loads(read_regular(path).decode("utf-8"))
    except (NoRegularFile, UnicodeDecodeError, ValueError, RecursionError) as problem:
        raise RecordingError(
            where=str(path),
            found=f"its facts cannot be read ({problem})",
            needed="a TOML file",
            todo="Put it back as it was written, or add the recording again.",
        ) from problem


def write_toml(facts: Mapping[str, Any], comment: str = "") -> str:
    """TOML text of plain values, tables and lists of tables."""
    import tomlkit

    document = tomlkit.document()
    for line in comment.splitlines():
        document.add(tomlkit.comment(line))
    document.update(facts)
    return tomlkit.dumps(document)
