"""Takes in the job folder: put in, read again, judged."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from roomcheck.job import Job
from roomcheck.measure.audio import Audio, check_rate, choose_channel, read_audio
from roomcheck.measure.checks import Heard, check_take
from roomcheck.measure.clock import OFF_S, RATE_RATIOS, Clock, marker_offsets_s, read_markers, resample
from roomcheck.measure.deconvolution import Lags, all_lags, crest_db, crop, deconvolve
from roomcheck.measure.faults import (
    ChooseChannel,
    ClockJump,
    NoSweepFound,
    RecordingError,
    TakeNotWritten,
    TooShort,
    WrongRate,
)
from roomcheck.measure.files import place
from roomcheck.measure.played import Played, digest, facts_of, played_of, read_played, read_toml, write_toml
from roomcheck.measure.signals import ImpulseResponse, Measurement, TakeCheck
from roomcheck.measure.sweep import Sweep

SCHEMA = 1
SETTLE_S = 0.5
KINDS = (".wav", ".flac", ".aif", ".aiff", ".ogg", ".mp3", ".w64", ".caf")

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Decisions:
    """What a person decided about a take.

    Attributes
    ----------
    channel : int or None
        From 1.
    side : str or None
        Which pass of a sweep file.
    wrong_machine : "player", "recorder" or None
        Which of the two ran at the wrong rate, where their rates do not match.
    keep_anyway : bool
        Kept although roomcheck would repeat it; its reasons become warnings.
    faults : tuple of str
        What the sound card reported while it recorded.
    """

    channel: int | None = None
    side: str | None = None
    wrong_machine: str | None = None
    keep_anyway: bool = False
    faults: tuple[str, ...] = ()


def listen(audio: Audio, played: Played, decisions: Decisions) -> tuple[ImpulseResponse, TakeCheck, int]:
    """Response and verdict of one recording, and the channel it was taken from.

    Raises
    ------
    RecordingError
        Nothing can be made of it.
    """
    check_rate(audio.rate_hz, audio.where)
    raw, channel, said = choose_channel(audio, decisions.channel)
    notes = [said] if said else []
    rate = played.sweep.rate_hz
    y = resample(raw, rate / audio.rate_hz)
    if audio.rate_hz != rate:
        notes.append(f"recorded at {audio.rate_hz} Hz, resampled to the sweep's {rate} Hz")
    if audio.lossy:
        notes.append("from a lossy file: reflections and the highest octaves are only indicative")
    if min(audio.rate_hz, rate) < 2 * 11_314:
        notes.append(f"at {audio.rate_hz} Hz the 8 kHz octave is not carried")
    clock = None
    if played.marker is not None:
        clock = read_markers(y, played, audio.where)
        y = resample(y, 1 / clock.ratio)
        if abs(clock.drift_ppm) >= 2:
            notes.append(f"the recorder's clock runs {clock.drift_ppm:+.1f} ppm against the player's: corrected")
    segment, quiet, at = _cut(y, played, clock, decisions.side, audio.where)
    lags = _lags(segment, played.sweep, audio.where)
    if clock is not None:
        notes += _check_steady(y, played, clock, audio.where)
    heard = _heard(raw, audio, segment, quiet, at, lags, clock, played)
    response, check = crop(lags), check_take(heard, tuple(notes))
    if clock is not None and clock.rate_mismatch:
        response, check = _mismatch(response, check, clock, decisions.wrong_machine)
    if decisions.faults:
        told = tuple(f"the sound card reported: {fault}" for fault in decisions.faults)
        check = _changed(check, keep=False, reasons=(*told, *check.reasons))
    if decisions.keep_anyway and not check.keep:
        told = tuple(f"kept by decision although: {reason}" for reason in check.reasons)
        check = _changed(check, keep=True, reasons=(), warnings=(*told, *check.warnings))
    return response, check, channel


@dataclass(frozen=True, slots=True, kw_only=True)
class Added:
    """A take that was put into the job folder.

    Attributes
    ----------
    take : str
        The recording's path within the job folder.
    source, microphone, visit : str
    channel : int
    check : TakeCheck
    """

    take: str
    source: str
    microphone: str
    visit: str
    channel: int
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
    wrong_machine: str | None = None,
    keep_anyway: bool = False,
    faults: tuple[str, ...] = (),
) -> Added:
    """Copy a recording unchanged into the job folder, its facts beside it, with a verdict.

    Parameters
    ----------
    recording : path
        WAV, FLAC, AIFF, OGG or MP3.
    sweep : path, Played or Sweep, optional
        What was played: the facts or file of `roomcheck sweep`, any sweep's own sound file, or the sweep itself.
        Left out: the facts beside the recording, else those of the visit's other takes.
    channel : int, optional
        From 1; needed where several carry signal.
    side : str, optional
        Which pass of a file that holds left and right.
    wrong_machine : "player" or "recorder", optional
        Which one ran at the wrong rate.
    faults : tuple of str
        What the sound card reported; each is a reason to repeat.

    Raises
    ------
    RecordingError
        The recording cannot be used; nothing was written.
    """
    path = Path(recording)
    if wrong_machine not in (None, "player", "recorder"):
        raise ValueError(f"wrong_machine: {wrong_machine!r}, needed 'player' or 'recorder'")
    _check_places(job, visit, source, microphone)
    audio = read_audio(path)
    played, played_file = _what_was_played(job, path, visit, sweep)
    decisions = Decisions(
        channel=channel, side=side, wrong_machine=wrong_machine, keep_anyway=keep_anyway, faults=faults
    )
    _, check, channel = listen(audio, played, decisions)
    facts: dict[str, Any] = {
        "schema": SCHEMA,
        "source": source,
        "microphone": microphone,
        "channel": channel,
        "came_as": path.name,
        "sha256": digest(path),
    }
    facts |= {"side": side} if side else {}
    facts |= {"wrong_machine": wrong_machine} if wrong_machine else {}
    facts |= {"keep_anyway": True} if keep_anyway else {}
    facts |= {"faults": list(faults)} if faults else {}
    folder = job.folder / "takes" / visit
    facts["sweep"] = facts_of(played) if played_file is None else {"file": _keep_played(job, played_file)}
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

    Of repeated takes the newest that may be kept counts; where none may, the newest, with the reasons.

    Raises
    ------
    RecordingError
        No takes, or one that cannot be read.
    """
    folder = job.folder / "takes" / visit
    found: dict[tuple[str, str], list[tuple[int, Path, dict[str, Any]]]] = {}
    for path in sorted(folder.glob("*.toml")):
        facts = _read_facts(path)
        _check_places(job, visit, facts["source"], facts["microphone"], str(path))
        found.setdefault((facts["source"], facts["microphone"]), []).append((int(facts["take"]), path, facts))
    if not found:
        raise RecordingError(
            where=str(folder),
            found="no takes",
            needed=f"a recording for each position of visit {visit!r}",
            todo=f"Record with: roomcheck measure {job.folder}, or bring recordings in with: roomcheck add.",
        )
    order = [(s.name, m.name) for s in job.sources for m in job.microphones]
    return tuple(_newest_kept(job, found[pair]) for pair in order if pair in found)


def read_take(job: Job, facts_path: Path) -> Measurement:
    """One take of the job folder again, from its facts."""
    return _read_take(job, facts_path, _read_facts(facts_path))


def _newest_kept(job: Job, takes: list[tuple[int, Path, dict[str, Any]]]) -> Measurement:
    passed_over: list[str] = []
    newest = None
    for _, path, facts in sorted(takes, key=lambda take: take[0], reverse=True):
        found = _read_take(job, path, facts)
        if found.check.keep:
            warnings = (*found.check.warnings, *passed_over)
            return _with_check(found, _changed(found.check, warnings=warnings))
        newest = newest or found
        passed_over.append(f"{found.take} is newer, but: {'; '.join(found.check.reasons)}")
    assert newest is not None
    return newest


def _read_take(job: Job, path: Path, facts: Mapping[str, Any]) -> Measurement:
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
        faults=tuple(facts.get("faults", ())),
    )
    played = played_of(facts["sweep"], job.folder / "takes" / "played", str(path))
    response, check, _ = listen(read_audio(recording), played, decisions)
    return Measurement(
        source=facts["source"],
        microphone=facts["microphone"],
        take=recording.relative_to(job.folder).as_posix(),
        response=response,
        check=check,
    )


def _lags(y: Array, sweep: Sweep, where: str) -> Lags:
    """The deconvolution; where there is none, whether the other common rate gives one."""
    try:
        return all_lags(y, sweep, where)
    except (NoSweepFound, TooShort):
        plain_db = crest_db(deconvolve(y, sweep)[0])
        for ratio, named in RATE_RATIOS.items():
            if crest_db(deconvolve(resample(y, 1 / ratio), sweep)[0]) < plain_db + 6:
                continue
            raise WrongRate(
                where=where,
                found=f"the sweep runs at {ratio:.4f} of its length: {named}",
                needed="player and recorder at one rate",
                todo="Set both to 48 kHz and record again, or use a sweep file with markers.",
            ) from None
        raise


def _cut(y: Array, played: Played, clock: Clock | None, side: str | None, where: str) -> tuple[Array, Array, int]:
    """One pass with the silence around it, the silence before anything was played, and where the pass's cut begins."""
    rate = played.sweep.rate_hz
    if clock is None or played.marker is None:
        return y, y[:0], 0
    one = _pass(played, side, where)
    first = clock.first / clock.ratio
    start = first + (one.start_s - played.first_s) * rate
    a = max(round(start - SETTLE_S * rate), 0)
    b = round(start + len(played.sweep.samples) + (played.silence_s - 0.05) * rate)
    return y[a:b], y[: max(round(first - 0.05 * rate), 0)], a


def _check_steady(y: Array, played: Played, clock: Clock, where: str) -> list[str]:
    """Whether the first sweep lies where both markers say; a note where that cannot be told."""
    segment, _, start = _cut(y, played, clock, played.passes[0].side, where)
    offsets = marker_offsets_s(y, played, all_lags(segment, played.sweep, where), start)
    if offsets is None and clock.alike > 0.9:
        raise ClockJump(
            where=where,
            found="the two markers are alike, but the sweep between them tells of another room: samples were lost or "
            "doubled within it, or the recorder was moved",
            needed="one steady recording",
            todo="Play from a file on the machine, by wire, keep the recorder still, and record again.",
        )
    if offsets is None:
        return ["noise hides whether samples were lost between the markers"]
    worst = max(offsets, key=abs)
    if abs(worst) > OFF_S:
        raise ClockJump(
            where=where,
            found=f"the markers' spacing looks like a clock {clock.drift_ppm:+.0f} ppm off, but the sweep between them "
            f"lies {1000 * abs(worst):.1f} ms from where they say: samples were lost or doubled",
            needed=f"within {1000 * OFF_S:g} ms",
            todo="Play from a file on the machine, by wire, keep the recorder still, and record again.",
        )
    return []


def _pass(played: Played, side: str | None, where: str) -> Any:
    sides = [p.side for p in played.passes]
    if side is None and len(sides) == 1:
        return played.passes[0]
    if side not in sides:
        raise ChooseChannel(
            where=where,
            found=f"the sweep was played {len(sides)} times in it ({', '.join(sides)})",
            needed="which one is meant",
            todo=f"Name it: --side {' or '.join(sides)}.",
            levels_dbfs=(),
        )
    return next(p for p in played.passes if p.side == side)


def _heard(
    raw: Array,
    audio: Audio,
    segment: Array,
    quiet: Array,
    at: int,
    lags: Any,
    clock: Clock | None,
    played: Played,
) -> Heard:
    rate, ratio = played.sweep.rate_hz, clock.ratio if clock else 1.0
    start = lags.start - lags.zero
    if clock is None:
        quiet = segment[: max(start - round(0.02 * rate), 0)]
    scale = audio.rate_hz / rate * ratio
    first, last = ((at + start + n) * scale for n in (0, len(played.sweep.samples)))
    return Heard(
        raw=raw[max(int(first), 0) : int(last)],
        raw_rate_hz=audio.rate_hz * ratio,
        y=segment,
        noise_before=quiet,
        lags=lags,
        where=audio.where,
        drift_ppm=clock.drift_ppm if clock else None,
    )


def _mismatch(
    response: ImpulseResponse, check: TakeCheck, clock: Clock, machine: str | None
) -> tuple[ImpulseResponse, TakeCheck]:
    """Two machines at two rates: only a person knows whose was wrong, and all times hang on it."""
    told = f"the markers' spacing is {clock.ratio:.4f} of what was played: {clock.rate_mismatch}"
    if machine is None:
        reason = (
            f"{told}; if the player was wrong, add it with --wrong-machine player, if the recorder, with "
            "--wrong-machine recorder: all times hang on it (8.8 %); else set both to one rate and record again"
        )
        return response, _changed(check, keep=False, reasons=(reason, *check.reasons))
    if machine == "player":
        # The recorder's time is true; a sample of the player's file took ratio times as long.
        nominal = clock.ratio / (1 + clock.drift_ppm / 1e6)
        response = ImpulseResponse(samples=response.samples, rate_hz=round(response.rate_hz / nominal))
    return response, _changed(check, warnings=(f"{told}, by the {machine}'s fault: corrected", *check.warnings))


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
        own = path.suffix.lower() != ".toml" and played.marker is None and not path.with_suffix(".toml").exists()
        return played, path if own else None
    return _same_as_others(job, visit, recording), None


def _same_as_others(job: Job, visit: str, recording: Path) -> Played:
    known = []
    for path in sorted((job.folder / "takes").glob("*/*.toml")):
        facts = _read_facts(path)["sweep"]
        if "file" not in facts and facts not in known:
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
    comment = "What roomcheck knows of the recording beside it. The recording itself is never changed."
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
        where=str(folder), found=f"999 takes of {stem}", needed="a free name", todo="Delete takes that are not needed."
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
    lacking = [key for key in ("source", "microphone", "take", "channel", "sha256", "sweep") if key not in facts]
    if lacking or facts.get("schema") != SCHEMA:
        found = f"no {', '.join(lacking)}" if lacking else f"schema {facts.get('schema')}"
        raise RecordingError(
            where=str(path),
            found=found,
            needed=f"the facts that roomcheck add writes, schema {SCHEMA}",
            todo="Add the recording again, or use the roomcheck that wrote it.",
        )
    return facts


def _check_places(job: Job, visit: str, source: str, microphone: str, where: str | None = None) -> None:
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


def _plain(name: str) -> str:
    """A name that every file system takes."""
    return re.sub(r"[^\w.-]+", "_", name).strip(".") or "take"


def _changed(check: TakeCheck, **fields: Any) -> TakeCheck:
    import dataclasses

    return dataclasses.replace(check, **fields)


def _with_check(found: Measurement, check: TakeCheck) -> Measurement:
    import dataclasses

    return dataclasses.replace(found, check=check)
