"""Sound files in, one channel out, with everything that can be wrong said plainly."""

from __future__ import annotations

import struct
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from roomcheck.facts import Fact, fact
from roomcheck.measure.faults import (
    ChooseChannel,
    EmptyRecording,
    NotAudio,
    NotFinite,
    RecordingError,
    TruncatedRecording,
    WrongRate,
)
from roomcheck.measure.files.memo import is_memo, read_memo
from roomcheck.measure.kinds import Take
from roomcheck.measure.signal.signals import LOSSY as LOSSY_LIMITS
from roomcheck.measure.signal.signals import ImpulseResponse

MIN_RATE_HZ = 16_000
"""Below this even the 4 kHz octave, up to 5.6 kHz, is hardly carried. [Hz]"""

SILENT_DBFS = -70.0
"""A record whose peak stays below this holds nothing to work with. [dB re full scale]"""

OBVIOUS_DB = 40.0
"""A channel this far above all others needs no question. [dB]"""

LOSSY = ("MP3", "OGG")


@dataclass(frozen=True, slots=True, eq=False)
class Audio:
    """A sound file's samples."""

    samples: NDArray[np.float32]
    """Full scale is 1: (frames, channels) [1]."""
    rate_hz: int
    """Sampling rate [Hz]."""
    lossy: bool
    """True for MP3, OGG and what a telephone compresses."""
    where: str
    """The file, as it stands in messages."""

    @property
    def channels(self) -> int:
        return int(self.samples.shape[1])

    @property
    def seconds(self) -> float:
        return len(self.samples) / self.rate_hz


def read_audio(path: Path) -> Audio:
    """A WAV, FLAC, AIFF, OGG or MP3 file, or a telephone's memo, at any rate and channel count.

    Raises
    ------
    RecordingError
        Missing, not audio, empty, truncated, or not finite.
    """
    where = str(path)
    _check_file(path)
    try:
        import soundfile as sf
    except OSError as problem:  # pragma: no cover - the wheel carries libsndfile
        raise NotAudio(
            where=where,
            found=f"libsndfile does not load: {problem}",
            needed="libsndfile",
            todo="Install libsndfile.",
        ) from problem
    try:
        with sf.SoundFile(path) as file:
            said, rate, lossy = file.frames, file.samplerate, file.format in LOSSY
            samples = file.read(dtype="float32", always_2d=True)
    except sf.LibsndfileError as problem:
        if not is_memo(path):
            raise _unreadable(path, str(problem)) from problem
        samples, rate, lossy = read_memo(path)
        said = len(samples)
    if len(samples) == 0:
        raise EmptyRecording(
            where=where, found="no samples in it", needed="a recorded sweep", todo="Record again."
        )
    if len(samples) < said:
        raise _truncated(where, len(samples) / rate, said / rate)
    bad = ~np.isfinite(samples)
    if bad.any():
        at = int(np.argmax(bad.any(axis=1))) / rate
        raise NotFinite(
            where=where,
            found=f"{int(bad.sum())} samples are no numbers, the first at {at:.3f} s",
            needed="finite samples",
            todo="Export the recording again, or record again.",
        )
    return Audio(samples, int(rate), lossy, where)


def choose_channel(
    audio: Audio, channel: int | None = None
) -> tuple[NDArray[np.float64], int, Fact[Take] | None]:
    """One channel's samples, its number from 1, and why it was chosen; None where it was named.

    Raises
    ------
    ChooseChannel
        No such channel, or several carry signal and none was chosen.
    EmptyRecording
        The channel holds zeros only, or next to nothing.
    """
    if channel is not None and not 1 <= channel <= audio.channels:
        raise _choice(audio, f"there is no channel {channel}")
    chosen = None
    if channel is None:
        channel, chosen = _obvious(audio)
    samples = audio.samples[:, channel - 1].astype(np.float64)
    check_level(
        samples, audio.where if audio.channels == 1 else f"{audio.where}, channel {channel}"
    )
    return samples, channel, chosen


def check_level(samples: NDArray[np.float64], where: str) -> None:
    """Neither zeros only nor next to nothing."""
    peak = float(np.abs(samples).max())
    if peak == 0:
        raise EmptyRecording(
            where=where,
            found="every sample is exactly zero",
            needed="a recorded sweep",
            todo="Check the input, its cable and its mute button, and record again.",
        )
    if 20 * np.log10(peak) < SILENT_DBFS:
        raise EmptyRecording(
            where=where,
            found=f"nearly silent, its peak is {20 * np.log10(peak):.0f} dB re full scale",
            needed=f"{SILENT_DBFS:.0f} dB at least, better -12 to -3 dB",
            todo="Check that the loudspeaker played, turn the input up, and record again.",
        )


def check_rate(rate_hz: int, where: str) -> None:
    """High enough to carry the bands that are measured."""
    if rate_hz < MIN_RATE_HZ:
        raise WrongRate(
            where=where,
            found=f"recorded at {rate_hz} Hz, which carries nothing above {rate_hz / 2000:g} kHz",
            needed=f"{MIN_RATE_HZ} Hz at least, better 48000 Hz",
            todo="Set the recorder to 48 kHz and record again.",
        )


def load_impulse_response(
    path: Path | str, *, channel: int | None = None, impulse: int | None = None
) -> ImpulseResponse:
    """An impulse response that already exists, from a sound file.

    Parameters
    ----------
    path : path
        WAV, FLAC, AIFF, OGG or MP3.
    channel : int, optional
        From 1; needed where several carry signal.
    impulse : int, optional
        From 1: the file is a recording of balloons, claps or shots, and this one is meant. Left
        out, a file that holds several gives the best of them, and its `limits` say so.

    Raises
    ------
    RecordingError
        What is wrong with the file, and what to do.
    """
    from roomcheck.measure.files.impulses import best_of, find_impulses, numbered, several

    audio = read_audio(Path(path))
    check_rate(audio.rate_hz, audio.where)
    samples, _, _ = choose_channel(audio, channel)
    if impulse is not None:
        return numbered(
            find_impulses(samples, audio.rate_hz, audio.where), impulse, audio.where
        ).response
    many = several(samples, audio.rate_hz, audio.where)
    if many:
        return best_of(many).response
    return ImpulseResponse(
        samples=samples, rate_hz=audio.rate_hz, limits=LOSSY_LIMITS if audio.lossy else None
    )


def levels_dbfs(samples: NDArray[np.float32]) -> tuple[float | None, ...]:
    """RMS of each channel; None for zeros only. [dB re full scale]"""
    power = np.mean(np.square(samples, dtype=np.float64), axis=0)
    return tuple(None if p == 0 else float(10 * np.log10(p)) for p in power)


def _obvious(audio: Audio) -> tuple[int, Fact[Take] | None]:
    if audio.channels == 1:
        return 1, None
    levels = [-999.0 if level is None else level for level in levels_dbfs(audio.samples)]
    best = int(np.argmax(levels))
    if all(np.array_equal(audio.samples[:, 0], other) for other in audio.samples.T[1:]):
        return 1, fact(Take.CHANNELS_ALIKE, channels=audio.channels)
    if max(level for i, level in enumerate(levels) if i != best) < levels[best] - OBVIOUS_DB:
        return best + 1, fact(Take.ONLY_CHANNEL, channel=best + 1)
    raise _choice(audio, f"{audio.channels} channels")


def _choice(audio: Audio, found: str) -> ChooseChannel:
    levels = levels_dbfs(audio.samples)
    shown = ", ".join(
        f"{i}: {'zeros only' if x is None else f'{x:.0f} dB'}" for i, x in enumerate(levels, 1)
    )
    return ChooseChannel(
        where=audio.where,
        found=f"{found} (level of each, re full scale: {shown})",
        needed="one channel, the measuring microphone's",
        todo="Name it with --channel N.",
        levels_dbfs=levels,
    )


def _check_file(path: Path) -> None:
    where = str(path)
    needed, todo = (
        "a WAV, FLAC, AIFF, OGG, MP3, M4A or CAF file",
        "Check the name of the recording.",
    )
    if path.is_dir():
        raise NotAudio(where=where, found="a folder", needed=needed, todo=todo)
    if not path.exists():
        raise NotAudio(where=where, found="no such file", needed=needed, todo=todo)
    try:
        size = path.stat().st_size
        with path.open("rb") as file:
            head = file.read(12)
    except OSError as problem:
        found = f"it cannot be read ({problem.strerror})"
        raise NotAudio(
            where=where, found=found, needed=needed, todo="Check who may read it."
        ) from problem
    if size == 0:
        raise EmptyRecording(
            where=where, found="0 bytes", needed=needed, todo="Copy the recording again."
        )
    if head[:4] == b"RIFF" and head[8:] == b"WAVE":
        _check_chunks(path, size, "<")
    if head[:4] == b"FORM" and head[8:] in (b"AIFF", b"AIFC"):
        _check_chunks(path, size, ">")


def _check_chunks(path: Path, size: int, order: str) -> None:
    """Walk the chunks of a WAV or AIFF file: the sound must be as long as its header says."""
    sound = b"data" if order == "<" else b"SSND"
    with path.open("rb") as file:
        at = 12
        while at + 8 <= size:
            file.seek(at)
            name, length = struct.unpack(f"{order}4sI", file.read(8))
            if name == sound:
                if at + 8 + length > size:
                    raise _truncated(str(path), None, None, missing=at + 8 + length - size)
                return
            at += 8 + length + length % 2
    raise _truncated(str(path), None, None, missing=None)


def _unreadable(path: Path, problem: str) -> RecordingError:
    head = path.read_bytes()[:4]
    if head in (b"fLaC", b"OggS", b"RIFF", b"FORM") and path.stat().st_size > 64:
        return _truncated(str(path), None, None, missing=None)
    todo = "Check that it is the recording."
    needed = "a WAV, FLAC, AIFF, OGG, MP3, M4A or CAF file"
    return NotAudio(
        where=str(path), found=f"not a sound file ({problem.strip('. ')})", needed=needed, todo=todo
    )


def _truncated(
    where: str, held_s: float | None, said_s: float | None, missing: int | None = None
) -> TruncatedRecording:
    if held_s is not None:
        found = f"its header says {said_s:.2f} s, it holds {held_s:.2f} s"
    else:
        found = "it ends in the middle" + (f": {missing} bytes are missing" if missing else "")
    return TruncatedRecording(
        where=where,
        found=found,
        needed="a whole file",
        todo="Copy it from the recorder again; if it is broken there too, record again.",
    )
