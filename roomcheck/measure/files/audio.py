"""Sound files in, one channel out, with everything that can be wrong said plainly."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from roomcheck.facts import Fact, fact
from roomcheck.measure.faults import ChooseChannel, EmptyRecording, NotFinite, WrongRate
from roomcheck.measure.files.sound_file import Block, blocks, check_sound, heading, truncated
from roomcheck.measure.kinds import Take
from roomcheck.measure.signal.signals import LOSSY as LOSSY_LIMITS
from roomcheck.measure.signal.signals import ImpulseResponse

MIN_RATE_HZ = 16_000
"""Below this even the 4 kHz octave, up to 5.6 kHz, is hardly carried. [Hz]"""

SILENT_DBFS = -70.0
"""A record whose peak stays below this holds nothing to work with. [dB re full scale]"""

OBVIOUS_DB = 40.0
"""A channel this far above all others needs no question. [dB]"""

HELD_SAMPLES = 1 << 23
"""Samples of all channels that are kept in memory, 32 MiB; longer files are read again, part by
part, wherever they are needed."""

LEAD_S, LONGEST_S = 5.0, 60.0
"""Of a record that is read part by part: before its peak, and after it. No room
sounds longer. [s]"""

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class _Figures:
    """What one pass over all samples tells."""

    frames: int
    peaks: Array
    """Highest sample of each channel: (channels,) [1]."""
    squares: Array
    """Sum of squares of each channel: (channels,) [1]."""
    alike: bool
    """Whether all channels hold the same."""
    bad: int
    """Samples that are no numbers."""
    first_bad: int
    """Frame of the first of them."""


@dataclass(frozen=True, slots=True, eq=False)
class Audio:
    """A sound file, held in memory where it is short."""

    held: Block | None
    """Full scale is 1: (frames, channels) [1]; None where it is read from `path` part by part."""
    rate_hz: int
    """Sampling rate [Hz]."""
    lossy: bool
    """True for MP3, OGG and what a telephone compresses."""
    where: str
    """The file, as it stands in messages."""
    path: Path | None = None
    known: _Figures | None = None

    def __post_init__(self) -> None:
        if self.known is None:
            object.__setattr__(self, "known", _figures(self.blocks()))

    @property
    def figures(self) -> _Figures:
        assert self.known is not None
        return self.known

    @property
    def frames(self) -> int:
        return self.figures.frames

    @property
    def channels(self) -> int:
        return len(self.figures.peaks)

    @property
    def seconds(self) -> float:
        return self.frames / self.rate_hz

    def blocks(self, first: int = 0) -> Iterator[Block]:
        """The samples from a frame on, part by part: (frames, channels) each."""
        if self.held is not None:
            yield self.held[first:]
        elif self.path is not None:
            yield from blocks(self.path, first)

    def parts(self, channel: int, first: int = 0) -> Iterator[Array]:
        """One channel, from 1, part by part: (frames,) each."""
        for block in self.blocks(first):
            yield block[:, channel - 1].astype(np.float64)

    def mono(self, channel: int, first: int = 0, last: int | None = None) -> Array:
        """One channel, from 1, between two frames: (frames,)."""
        first, last = max(first, 0), self.frames if last is None else min(last, self.frames)
        made = np.zeros(max(last - first, 0))
        at = 0
        for part in self.parts(channel, first):
            count = min(len(part), len(made) - at)
            made[at : at + count] = part[:count]
            at += count
            if at >= len(made):
                break
        return made


def read_audio(path: Path) -> Audio:
    """A WAV, FLAC, AIFF, OGG or MP3 file, or a telephone's memo, at any rate and channel count.

    Raises
    ------
    RecordingError
        Missing, not audio, empty, truncated, or not finite.
    """
    where = str(path)
    check_sound(path)
    rate, _, lossy, claimed = heading(path)
    kept: list[Block] = []
    figures = _figures(_keeping(blocks(path), kept))
    if figures.frames == 0:
        raise EmptyRecording(
            where=where, found="no samples in it", needed="a recorded sweep", todo="Record again."
        )
    if claimed is not None and figures.frames < claimed:
        raise truncated(where, figures.frames / rate, claimed / rate)
    if figures.bad:
        raise NotFinite(
            where=where,
            found=f"{figures.bad} samples are no numbers, the first at "
            f"{figures.first_bad / rate:.3f} s",
            needed="finite samples",
            todo="Export the recording again, or record again.",
        )
    held = np.concatenate(kept) if kept else None
    return Audio(held, rate, lossy, where, path, figures)


def _keeping(parts: Iterable[Block], kept: list[Block]) -> Iterator[Block]:
    """Hand parts on, and keep them as long as they are few."""
    count = 0
    for part in parts:
        count += part.size
        if count <= HELD_SAMPLES:
            kept.append(part)
        else:
            kept.clear()
        yield part


def _figures(parts: Iterable[Block]) -> _Figures:
    peaks, squares = np.zeros(1), np.zeros(1)
    frames, bad, first_bad, alike = 0, 0, 0, True
    for part in parts:
        if frames == 0:
            peaks, squares = np.zeros(part.shape[1]), np.zeros(part.shape[1])
        highest = np.maximum(part.max(axis=0, initial=0.0), -part.min(axis=0, initial=0.0))
        if not np.isfinite(highest).all():
            wrong = ~np.isfinite(part)
            first_bad = first_bad if bad else frames + int(np.argmax(wrong.any(axis=1)))
            bad += int(wrong.sum())
        peaks = np.maximum(peaks, highest)
        squares = squares + np.einsum("ij,ij->j", part, part, dtype=np.float64)
        alike = alike and bool((part == part[:, :1]).all())
        frames += len(part)
    return _Figures(frames, peaks, squares, alike, bad, first_bad)


def choose_channel(audio: Audio, channel: int | None = None) -> tuple[int, Fact[Take] | None]:
    """The number, from 1, of the channel to take, and why it was chosen; None where it was named.

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
    where = audio.where if audio.channels == 1 else f"{audio.where}, channel {channel}"
    _check_level(float(audio.figures.peaks[channel - 1]), where)
    return channel, chosen


def _check_level(peak: float, where: str) -> None:
    """Neither zeros only nor next to nothing."""
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
    channel, _ = choose_channel(audio, channel)
    if impulse is not None:
        return numbered(find_impulses(audio, channel), impulse, audio.where).response
    many = several(audio, channel)
    if many:
        return best_of(many).response
    return ImpulseResponse(
        samples=_around_its_peak(audio, channel),
        rate_hz=audio.rate_hz,
        limits=LOSSY_LIMITS if audio.lossy else None,
    )


def _around_its_peak(audio: Audio, channel: int) -> Array:
    """All of a short record; of one that is read part by part what can be a response."""
    if audio.held is not None:
        return audio.mono(channel)
    at, top, frames = 0, -1.0, 0
    for part in audio.parts(channel):
        size = np.abs(part)
        if size.max() > top:
            at, top = frames + int(np.argmax(size)), float(size.max())
        frames += len(part)
    return audio.mono(
        channel, at - round(LEAD_S * audio.rate_hz), at + round(LONGEST_S * audio.rate_hz)
    )


def levels_dbfs(audio: Audio) -> tuple[float | None, ...]:
    """RMS of each channel; None for zeros only. [dB re full scale]"""
    power = audio.figures.squares / max(audio.frames, 1)
    return tuple(None if p == 0 else float(10 * np.log10(p)) for p in power)


def _obvious(audio: Audio) -> tuple[int, Fact[Take] | None]:
    if audio.channels == 1:
        return 1, None
    levels = [-999.0 if level is None else level for level in levels_dbfs(audio)]
    best = int(np.argmax(levels))
    if audio.figures.alike:
        return 1, fact(Take.CHANNELS_ALIKE, channels=audio.channels)
    if max(level for i, level in enumerate(levels) if i != best) < levels[best] - OBVIOUS_DB:
        return best + 1, fact(Take.ONLY_CHANNEL, channel=best + 1)
    raise _choice(audio, f"{audio.channels} channels")


def _choice(audio: Audio, found: str) -> ChooseChannel:
    levels = levels_dbfs(audio)
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
