"""Recordings as FLAC, so that every byte of their file comes back.

A WAV file is its samples and what stands before and after them: headers, notes of the recorder. The
samples go through FLAC, which is lossless for whole numbers of 16 and 24 bits; the rest is kept
beside them as it is.
"""

from __future__ import annotations

import struct
from collections.abc import Iterator
from dataclasses import dataclass
from typing import IO, Any

import numpy as np

BITS = (16, 24)
MOST_CHANNELS = 8
"""What FLAC carries."""

MOST_RATE_HZ = 655_350
FRAMES = 1 << 16
"""Read at once."""

_PCM, _EXTENSIBLE = 1, 0xFFFE


@dataclass(frozen=True, slots=True, kw_only=True)
class Shell:
    """Where the samples of a WAV file lie in it."""

    channels: int
    rate_hz: int
    """Sampling rate [Hz]."""
    bits: int
    """Of a sample."""
    head_bytes: int
    """Before the first sample."""
    frames: int

    @property
    def frame_bytes(self) -> int:
        return self.channels * self.bits // 8

    @property
    def sound_bytes(self) -> int:
        return self.frames * self.frame_bytes


def shell_of(file: IO[bytes], size: int) -> Shell | None:
    """The shell of a WAV file; None where it is none, or holds what FLAC does not.

    Parameters
    ----------
    file : binary file that can seek
    size : int
        Of the file. [bytes]
    """
    file.seek(0)
    head = file.read(12)
    if head[:4] != b"RIFF" or head[8:] != b"WAVE":
        return None
    at, told = 12, None
    while at + 8 <= size:
        file.seek(at)
        name, length = struct.unpack("<4sI", file.read(8))
        if name == b"fmt " and 16 <= length <= 64:
            told = _told(file.read(length))
        if name == b"data":
            return _whole(told, at + 8, length, size)
        at += 8 + length + length % 2
    return None


def _told(block: bytes) -> tuple[int, int, int] | None:
    """Channels, rate and bits of whole-number samples; None for others."""
    tag, channels, rate_hz, _, align, bits = struct.unpack("<HHIIHH", block[:16])
    if tag == _EXTENSIBLE and len(block) >= 26:
        tag = struct.unpack("<H", block[24:26])[0]
    fits = 1 <= channels <= MOST_CHANNELS and 1 <= rate_hz <= MOST_RATE_HZ
    if tag != _PCM or bits not in BITS or not fits or align != channels * bits // 8:
        return None
    return channels, rate_hz, bits


def _whole(told: tuple[int, int, int] | None, at: int, length: int, size: int) -> Shell | None:
    if told is None or not 0 < length <= size - at:
        return None
    channels, rate_hz, bits = told
    frames, rest = divmod(length, channels * bits // 8)
    if rest:
        return None
    return Shell(channels=channels, rate_hz=rate_hz, bits=bits, head_bytes=at, frames=frames)


def to_flac(file: IO[bytes], shell: Shell, out: IO[bytes]) -> None:
    """The samples of a WAV file as FLAC."""
    import soundfile as sf

    file.seek(shell.head_bytes)
    settings: dict[str, Any] = {"format": "FLAC", "subtype": f"PCM_{shell.bits}"}
    with sf.SoundFile(out, "w", shell.rate_hz, shell.channels, **settings) as flac:
        left = shell.frames
        while left:
            count = min(left, FRAMES)
            flac.write(_samples(file.read(count * shell.frame_bytes), shell))
            left -= count


def from_flac(flac: IO[bytes], shell: Shell) -> Iterator[bytes]:
    """The samples as they stood in the WAV file, block by block; no more than the shell says.

    Raises
    ------
    ValueError
        The FLAC file holds other samples than the shell says.
    """
    import soundfile as sf

    kind = "int16" if shell.bits == 16 else "int32"
    try:
        with sf.SoundFile(flac) as file:
            if (file.channels, file.samplerate) != (shell.channels, shell.rate_hz):
                raise ValueError("the FLAC file holds other channels, or another rate")
            left = shell.frames
            while left:
                block = file.read(min(left, FRAMES), dtype=kind, always_2d=True)
                if not len(block):
                    raise ValueError("the FLAC file ends too early")
                left -= len(block)
                yield _bytes(block, shell)
    except sf.LibsndfileError as problem:
        raise ValueError(f"the FLAC file cannot be read: {problem}") from problem


def _samples(block: bytes, shell: Shell) -> Any:
    """(frames, channels); 24 bits stand in the upper ones of 32, as libsndfile wants them."""
    if shell.bits == 16:
        return np.frombuffer(block, "<i2").reshape(-1, shell.channels)
    parts = np.frombuffer(block, np.uint8).reshape(-1, 3)
    whole = np.zeros((len(parts), 4), np.uint8)
    whole[:, 1:] = parts
    return whole.view("<i4").reshape(-1, shell.channels)


def _bytes(block: Any, shell: Shell) -> bytes:
    if shell.bits == 16:
        return bytes(block.astype("<i2").tobytes())
    whole = np.ascontiguousarray(block, "<i4").view(np.uint8).reshape(-1, 4)
    return bytes(whole[:, 1:].tobytes())
