"""Recordings of the background noise: in the visit's own folder, with what makes their levels
absolute."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from roomcheck.facts import Fact, fact
from roomcheck.job import Job
from roomcheck.measure.checks.calibrator import FullScale, from_calibrator, from_sensitivity
from roomcheck.measure.faults import ChooseChannel, RecordingError
from roomcheck.measure.files.audio import Audio, check_rate, read_audio
from roomcheck.measure.files.correction import Correction, keep_correction, kept_correction
from roomcheck.measure.files.played import digest, read_toml, write_toml
from roomcheck.measure.files.whole_files import place
from roomcheck.measure.kinds import Scale, Take

NOISE_S, LEAST_S = 30.0, 10.0
"""How long background noise is recorded, and the least that is taken. Common practice. [s]"""

MOST_TONE_S = 60.0
"""No calibrator is held on longer. [s]"""

COMMENT = "What roomcheck knows of the recording beside it. The recording itself is never changed."
NO_FULL_SCALE = fact(Scale.RELATIVE)

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class NoiseTake:
    """A recording of a room in which nothing is played."""

    take: str
    """Its path within the job folder."""
    conditions: str
    """What was on or off, as typed."""
    audio: Audio
    """The recording, read part by part where it is long."""
    channel: int
    """The microphone's, from 1."""
    full_scale: FullScale | None
    """None: levels are relative."""
    correction: Correction | None
    """The microphone's own response; None where no file was given."""

    @property
    def rate_hz(self) -> int:
        """Sampling rate [Hz]."""
        return self.audio.rate_hz


def add_noise(
    job: Job,
    recording: Path | str,
    *,
    visit: str,
    conditions: str = "",
    channel: int | None = None,
    sensitivity_dbfs: float | None = None,
    correction: Path | str | None = None,
    faults: tuple[Fact[Take], ...] = (),
) -> str:
    """Copy a recording of the background noise into the visit; returns its path within the job
    folder.

    Parameters
    ----------
    conditions : str
        "HVAC off", "HVAC on, fridge running": whatever made or stopped noise.
    channel : int, optional
        From 1; needed where there are several.
    sensitivity_dbfs : float, optional
        RMS that 94 dB leaves in a recording. [dB re full scale]
    correction : path, optional
        The microphone's correction file.
    faults : tuple of Fact
        What the sound card reported.

    Raises
    ------
    RecordingError
        Too short, silent, or not readable; nothing was written.
    """
    path = Path(recording)
    audio = read_audio(path)
    check_rate(audio.rate_hz, audio.where)
    if faults or audio.seconds < LEAST_S:
        raise RecordingError(
            where=audio.where,
            found=_gaps(faults) or f"{audio.seconds:.1f} s",
            needed=f"{LEAST_S:g} s at least without a gap, better {NOISE_S:g} s",
            todo="Record the noise again.",
        )
    channel = _checked(audio, channel or _only(audio))
    facts: dict[str, Any] = {"schema": 1, "conditions": conditions, "channel": channel}
    if sensitivity_dbfs is not None:
        facts["sensitivity_dbfs"] = from_sensitivity(sensitivity_dbfs) and sensitivity_dbfs
    if correction is not None:
        facts["correction"] = keep_correction(job, Path(correction))
    return _put(job, path, _folder(job, visit), "noise", facts)


def add_calibrator(
    job: Job, recording: Path | str, *, visit: str, level_db: float, channel: int | None = None
) -> str:
    """Copy a recording of a sound calibrator into the visit; it makes the visit's noise absolute.

    Raises
    ------
    RecordingError
        No steady, clean tone; nothing was written.
    """
    path = Path(recording)
    audio = read_audio(path)
    channel = channel or _only(audio)
    from_calibrator(_tone(audio, channel), audio.rate_hz, level_db, path.name)
    facts = {"schema": 1, "calibrator_db": level_db, "channel": channel}
    return _put(job, path, _folder(job, visit), "calibrator", facts)


def noise_takes(job: Job, visit: str) -> tuple[NoiseTake, ...]:
    """The visit's recordings of the background noise, oldest first.

    A noise recording with a sensitivity of its own keeps it; all others take the visit's newest
    calibrator recording of the same channel.

    Raises
    ------
    RecordingError
        One that is not what was added.
    """
    folder = _folder(job, visit)
    return tuple(
        _read(job, path, read_toml(path))
        for path in sorted(folder.glob("noise*.toml"), key=_number)
    )


def _gaps(faults: tuple[Fact[Take], ...]) -> str:
    """When the sound card lost samples, for an error; empty where it did not."""
    if not faults:
        return ""
    times = ", ".join(f"{fault.get('after_s', 0.0):.1f} s" for fault in faults)
    return f"the sound card lost samples at {times}"


def _folder(job: Job, visit: str) -> Path:
    if visit not in ("before", "after"):
        raise RecordingError(
            where=str(job.folder),
            found=f"no visit {visit!r}",
            needed="before or after",
            todo="Use one of these.",
        )
    return job.folder / "takes" / visit / "noise"


def _read(job: Job, path: Path, facts: Mapping[str, Any]) -> NoiseTake:
    audio = _recording(path, facts)
    if "sensitivity_dbfs" in facts:
        full_scale: FullScale | None = from_sensitivity(facts["sensitivity_dbfs"])
    else:
        full_scale = _calibrated(path.parent, facts["channel"])
    return NoiseTake(
        take=Path(audio.where).relative_to(job.folder).as_posix(),
        conditions=facts["conditions"],
        audio=replace(audio, held=None),
        channel=_checked(audio, facts["channel"]),
        full_scale=full_scale,
        correction=kept_correction(job, facts["correction"]) if "correction" in facts else None,
    )


def _calibrated(folder: Path, channel: int) -> FullScale | None:
    for path in sorted(folder.glob("calibrator*.toml"), key=_number, reverse=True):
        facts = read_toml(path)
        if facts["channel"] == channel:
            audio = _recording(path, facts)
            name = Path(audio.where).name
            return from_calibrator(
                _tone(audio, channel), audio.rate_hz, facts["calibrator_db"], name
            )
    return None


def _recording(path: Path, facts: Mapping[str, Any]) -> Audio:
    lacking = [key for key in ("channel", "file", "sha256") if key not in facts]
    recording = path.with_name(str(facts.get("file")))
    if lacking or not recording.exists() or digest(recording) != facts["sha256"]:
        raise RecordingError(
            where=str(path),
            found=f"no {lacking[0]} in it"
            if lacking
            else "the recording beside it is not the one that was added",
            needed="recordings as they came",
            todo=f"Put it back, or delete it with {path.name} and record again.",
        )
    return read_audio(recording)


def _put(job: Job, recording: Path, folder: Path, stem: str, facts: Mapping[str, Any]) -> str:
    for number in range(1, 1000):
        name = stem if number == 1 else f"{stem}-{number}"
        to = folder / f"{name}{recording.suffix.lower()}"
        if to.with_suffix(".toml").exists():
            continue
        try:
            place(to, recording)
        except FileExistsError:
            continue
        told = {**facts, "file": to.name, "came_as": recording.name, "sha256": digest(recording)}
        try:
            place(to.with_suffix(".toml"), write_toml(told, COMMENT).encode())
        except BaseException:
            to.unlink(missing_ok=True)
            raise
        return to.relative_to(job.folder).as_posix()
    raise RecordingError(
        where=str(folder), found=f"999 times {stem}", needed="a free name", todo="Delete some."
    )


def _number(path: Path) -> int:
    last = path.stem.rpartition("-")[2]
    return int(last) if last.isdigit() else 1


def _only(audio: Audio) -> int:
    if audio.channels > 1:
        raise ChooseChannel(
            where=audio.where,
            found=f"{audio.channels} channels",
            needed="which one the microphone is",
            todo="Name it with --channel.",
            levels_dbfs=(),
        )
    return 1


def _tone(audio: Audio, channel: int) -> Array:
    """A calibrator's recording: (frames,)."""
    channel = _checked(audio, channel)
    if audio.seconds > MOST_TONE_S:
        raise RecordingError(
            where=audio.where,
            found=f"{audio.seconds / 60:.0f} min of a calibrator",
            needed=f"{MOST_TONE_S:g} s at most",
            todo="Cut the tone out of a copy.",
        )
    return audio.mono(channel)


def _checked(audio: Audio, channel: int) -> int:
    """The channel, once it is known to hold something."""
    if not 1 <= channel <= audio.channels:
        raise ChooseChannel(
            where=audio.where,
            found=f"there is no channel {channel}",
            needed=f"1 to {audio.channels}",
            todo="Name the microphone's channel.",
            levels_dbfs=(),
        )
    if not audio.figures.peaks[channel - 1]:
        raise RecordingError(
            where=audio.where,
            found="every sample is exactly zero",
            needed="the room's noise",
            todo="Check the input, its cable and its mute button, and record again.",
        )
    return channel
