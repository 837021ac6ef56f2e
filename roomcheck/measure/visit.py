"""Walk a visit: every pair of the job, one take after another, each judged before the next."""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from roomcheck.job import Job, Position
from roomcheck.measure.card import SoundCard
from roomcheck.measure.faults import CardError, RecordingError
from roomcheck.measure.played import Played, read_toml, write_toml
from roomcheck.measure.sweep import Sweep
from roomcheck.measure.takes import Added, add_recording, read_take
from roomcheck.units import format_length

Ask = Callable[[str, tuple[str, ...]], str]
"""Puts a question with its choices (record, keep, repeat, skip, stop) to a person; returns one of them."""

Array = NDArray[np.float64]
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
    """

    takes: tuple[Added, ...]
    missing: tuple[tuple[str, str], ...]
    stopped: bool


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
) -> Walked:
    """Play and record at every pair of source and microphone that has no good take yet.

    Every finished take is in the job folder before anything is asked about it, so that stopping loses none and a
    second walk goes on where the first stopped.

    Parameters
    ----------
    ask : callable
        Puts a question with its choices to a person, returns one of them; the first is the usual one.
    tell : callable
        Says something.
    level_dbfs : float
        Peak of what is played; never exceeded. [dB re full scale]
    tail_s : float
        Recorded after the sweep. [s]
    channel : int, optional
        Of the recording, from 1.

    Raises
    ------
    ValueError
        `level_dbfs` above 0.
    """
    if level_dbfs > 0:
        raise ValueError(f"level_dbfs: {level_dbfs}, needed 0 at most")
    takes: list[Added] = []
    skipped: list[tuple[str, str]] = []
    pairs = [(s, m) for s in job.sources for m in job.microphones]
    silence = np.zeros(round(0.5 * sweep.rate_hz))
    tail = np.zeros(round(tail_s * sweep.rate_hz))
    signal = np.concatenate([silence, 10 ** (level_dbfs / 20) * sweep.samples, tail])
    for source, microphone in pairs:
        if _has_good_take(job, visit, source, microphone):
            tell(f"{source.name} to {microphone.name}: there is a good take already")
            continue
        choice = ask(_instruction(job, source, microphone), ("record", "skip", "stop"))
        while choice in ("record", "repeat"):
            choice = _take(job, visit, source, microphone, card, sweep, signal, takes, ask, tell, channel)
        if choice == "skip":
            skipped.append((source.name, microphone.name))
        if choice == "stop":
            break
    missing = tuple((s.name, m.name) for s, m in pairs if not _has_good_take(job, visit, s, m))
    return Walked(takes=tuple(takes), missing=missing, stopped=len(missing) > len(skipped))


def keep_anyway(job: Job, take: str) -> None:
    """Mark a take as kept although roomcheck would repeat it."""
    from roomcheck.measure.files import replace

    path = (job.folder / take).with_suffix(".toml")
    facts = {**read_toml(path), "keep_anyway": True}
    comment = "What roomcheck knows of the recording beside it. The recording itself is never changed."
    replace(path, write_toml(facts, comment).encode())


def _take(
    job: Job,
    visit: str,
    source: Position,
    microphone: Position,
    card: SoundCard,
    sweep: Sweep,
    signal: Array,
    takes: list[Added],
    ask: Ask,
    tell: Tell,
    channel: int | None,
) -> str:
    """Record once, put it in the folder, say the verdict, and ask what next."""
    try:
        recorded = card.play_and_record(signal, sweep.rate_hz)
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / f"{source.name}-{microphone.name}.wav"
            _write(path, recorded.samples, sweep.rate_hz)
            added = add_recording(
                job,
                path,
                visit=visit,
                source=source.name,
                microphone=microphone.name,
                sweep=Played(sweep=sweep),
                channel=channel,
                faults=recorded.faults,
            )
    except (RecordingError, CardError) as problem:
        tell(str(problem))
        return ask("Nothing was kept of this take.", ("repeat", "skip", "stop"))
    takes.append(added)
    tell(verdict_text(added))
    if added.check.keep:
        return ask("Keep it?", ("keep", "repeat", "stop"))
    choice = ask("Repeat it?", ("repeat", "keep", "skip", "stop"))
    if choice == "keep":
        keep_anyway(job, added.take)
    return choice


def verdict_text(added: Added) -> str:
    """The verdict of a take with its evidence, for a person."""
    check = added.check
    noise = "none in the record" if check.noise_dbfs is None else f"{check.noise_dbfs:.0f} dB"
    ranges = [b for b in check.bands if b.range_db is not None]
    least = min(ranges, key=lambda b: b.range_db or 0.0, default=None)
    lines = [
        f"{added.take}: {'keep' if check.keep else 'repeat'}",
        f"  peak {check.peak_dbfs:.1f} dB, noise {noise} re full scale"
        + (f"; least range {least.range_db:.0f} dB at {least.band_hz:g} Hz" if least and least.range_db else ""),
        *(f"  repeat, because {reason}" for reason in check.reasons),
        *(f"  note: {warning}" for warning in check.warnings),
    ]
    return "\n".join(lines)


def _has_good_take(job: Job, visit: str, source: Position, microphone: Position) -> bool:
    for path in sorted((job.folder / "takes" / visit).glob("*.toml")):
        facts = read_toml(path)
        if (facts.get("source"), facts.get("microphone")) == (source.name, microphone.name):
            try:
                if read_take(job, path).check.keep:
                    return True
            except RecordingError:
                continue
    return False


def _instruction(job: Job, source: Position, microphone: Position) -> str:
    def place(position: Position) -> str:
        x, y, z = (format_length(value, job.units) for value in position.point)
        return f"{position.name}: x {x}, y {y} on the plan, {z} above the floor"

    return f"Loudspeaker at {place(source)}; microphone at {place(microphone)}. Stand still and be quiet."


def _write(path: Path, samples: Array, rate_hz: int) -> None:
    import soundfile as sf

    sf.write(path, samples, rate_hz, subtype="FLOAT")
