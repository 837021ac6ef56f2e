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
from roomcheck.job import Job, Put, noise_facts, noise_files
from roomcheck.measure.checks.calibrator import FullScale, from_calibrator, from_sensitivity
from roomcheck.measure.faults import ChooseChannel, RecordingError
from roomcheck.measure.files.audio import Audio, check_rate, read_audio
from roomcheck.measure.files.correction import Correction, keep_correction, kept_correction
from roomcheck.measure.files.played import digest, write_toml
from roomcheck.measure.files.whole_files import ending_of, put_in, writing
from roomcheck.measure.kinds import Scale, Take
from roomcheck.signs import visible

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
    return _put(job, path, _known(job, visit), "noise", facts)


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
    return _put(job, path, _known(job, visit), "calibrator", facts)


def noise_takes(job: Job, visit: str) -> tuple[NoiseTake, ...]:
    """The visit's recordings of the background noise, oldest first.

    A noise recording with a sensitivity of its own keeps it; all others take the visit's newest
    calibrator recording of the same channel.

    Raises
    ------
    RecordingError
        One that is not what was added.
    """
    folder = job.folder / "takes" / _known(job, visit) / "noise"
    return tuple(_read(job, path, noise_facts(path)) for path in noise_files(folder, "noise"))


def _gaps(faults: tuple[Fact[Take], ...]) -> str:
    """When the sound card lost samples, for an error; empty where it did not."""
    if not faults:
        return ""
    times = ", ".join(f"{fault.get('after_s', 0.0):.1f} s" for fault in faults)
    return f"the sound card lost samples at {times}"


def _known(job: Job, visit: str) -> str:
    """The visit, once it is known to be one."""
    if visit not in ("before", "after"):
        raise RecordingError(
            where=str(job.folder),
            found=f"no visit {visit!r}",
            needed="before or after",
            todo="Use one of these.",
        )
    return visit


def _read(job: Job, path: Path, facts: Mapping[str, Any]) -> NoiseTake:
    audio = _recording(path, facts)
    if "sensitivity_dbfs" in facts:
        full_scale: FullScale | None = from_sensitivity(facts["sensitivity_dbfs"])
    else:
        full_scale = _calibrated(path.parent, facts["channel"])
    return NoiseTake(
        take=Path(audio.where).relative_to(job.folder).as_posix(),
        conditions=facts.get("conditions", ""),
        audio=replace(audio, held=None),
        channel=_checked(audio, facts["channel"]),
        full_scale=full_scale,
        correction=kept_correction(job, facts["correction"]) if "correction" in facts else None,
    )


def _calibrated(folder: Path, channel: int) -> FullScale | None:
    for path in reversed(noise_files(folder, "calibrator")):
        facts = noise_facts(path)
        if facts["channel"] == channel:
            audio = _recording(path, facts)
            name = Path(audio.where).name
            return from_calibrator(
                _tone(audio, channel), audio.rate_hz, facts["calibrator_db"], name
            )
    return None


def _recording(path: Path, facts: Mapping[str, Any]) -> Audio:
    recording = path.with_name(facts["file"])
    if not recording.exists() or digest(recording) != facts["sha256"]:
        raise RecordingError(
            where=str(path),
            found="the recording beside it is not the one that was added",
            needed="recordings as they came",
            todo=f"Put it back, or delete it with {path.name} and record again.",
        )
    return read_audio(recording)


def _put(job: Job, recording: Path, visit: str, stem: str, facts: Mapping[str, Any]) -> str:
    """The recording and its facts, in one step, under the first free name."""
    where = f"takes/{visit}/noise"
    sha256 = digest(recording)
    told = {**facts, "came_as": visible(recording.name), "sha256": sha256}
    with writing(job.folder):
        name = _free(job.folder / where, stem)
        file = f"{name}{ending_of(recording)}"
        sound = Put(path=f"{where}/{file}", data=recording, new=True, sha256=sha256)
        text = write_toml({**told, "file": file}, COMMENT)
        put_in(job.folder, [sound, Put(path=f"{where}/{name}.toml", data=text, new=True)])
    return f"{where}/{file}"


def _free(folder: Path, stem: str) -> str:
    """The first name that no file of the folder bears."""
    there = {path.stem for path in folder.iterdir()} if folder.is_dir() else set()
    for number in range(1, 1000):
        name = stem if number == 1 else f"{stem}-{number}"
        if name not in there:
            return name
    raise RecordingError(
        where=str(folder), found=f"999 times {stem}", needed="a free name", todo="Delete some."
    )


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
