"""Sound files opened and read block by block, whatever their header claims."""

from __future__ import annotations

import contextlib
import os
import struct
from collections.abc import Iterator
from io import BufferedReader
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from roomcheck.job import NoRegularFile, open_regular
from roomcheck.measure.faults import EmptyRecording, NotAudio, RecordingError, TruncatedRecording
from roomcheck.measure.files.memo import is_memo, memo_blocks
from roomcheck.measure.signal.memory import LARGE, reuse

BLOCK_SAMPLES = 1 << 20
"""Samples of all channels that are read at once."""

MOST_SAMPLES = 1 << 30
"""More than three hours of two channels at 48 kHz; a longer recording is cut first."""

MOST_CHANNELS = 128
RATES_HZ = (1, 768_000)
"""No recorder runs outside of this. [Hz]"""

LOSSY = ("MP3", "OGG")
NEEDED = "a WAV, FLAC, AIFF, OGG, MP3, M4A or CAF file"
_KNOWN_HEADS = (b"fLaC", b"OggS", b"RIFF", b"FORM", b"RF64")
UNTOLD = 1 << 40
"""Frames: a header that claims more knows nothing of its length (libsndfile says 2^63 - 1)."""

Block = NDArray[np.float32]


class _Nameless:
    """An open file without its name: libsndfile then reads the header, not the ending, and any name
    will do."""

    def __init__(self, file: BufferedReader) -> None:
        self.readinto, self.read = file.readinto, file.read
        self.tell, self._seek = file.tell, file.seek

    def seek(self, offset: int, whence: int = os.SEEK_SET) -> int:
        """Where the file stands then; where it stood, if a header sends to before its beginning."""
        try:
            return self._seek(offset, whence)
        except OSError:
            return self.tell()


@contextlib.contextmanager
def opened(path: Path) -> Iterator[Any]:
    """A `soundfile.SoundFile` of a regular file.

    Raises
    ------
    RecordingError
        No file, or nothing that libsndfile reads.
    """
    import soundfile

    with _regular(path) as file:
        try:
            sound = soundfile.SoundFile(_Nameless(file))
        except (soundfile.LibsndfileError, TypeError) as problem:
            raise _unreadable(path, str(problem).rpartition(": ")[2]) from problem
        try:
            with sound:
                _check_claims(path, sound)
                if sound.frames > LARGE:
                    reuse()
                yield sound
        except soundfile.LibsndfileError as problem:
            raise truncated(str(path)) from problem


def check_sound(path: Path) -> None:
    """Refuse what is no sound file, and one whose sound is shorter than its header says.

    Raises
    ------
    RecordingError
    """
    with _regular(path) as file:
        size = os.fstat(file.fileno()).st_size
        head = file.read(12)
        if size == 0:
            raise EmptyRecording(
                where=str(path), found="0 bytes", needed=NEEDED, todo="Copy the recording again."
            )
        if head[:4] == b"RIFF" and head[8:] == b"WAVE":
            _check_chunks(path, file, size, "<")
        if head[:4] == b"FORM" and head[8:] in (b"AIFF", b"AIFC"):
            _check_chunks(path, file, size, ">")


def heading(path: Path) -> tuple[int, int, bool, int | None]:
    """Rate [Hz], channels, whether it is lossy, and the frames that the header claims; None where
    it claims none."""
    if _by_libsndfile(path):
        with opened(path) as sound:
            claimed = sound.frames if 0 < sound.frames < UNTOLD else None
            return int(sound.samplerate), int(sound.channels), sound.format in LOSSY, claimed
    rate, channels, lossy = next(memo_blocks(path))[1:]
    return rate, channels, lossy, None


def blocks(path: Path, first: int = 0) -> Iterator[Block]:
    """The samples from frame `first` on, a block at a time: (frames, channels) each.

    Raises
    ------
    RecordingError
        It ends in the middle, or is longer than anything that is measured.
    """
    parts = _decoded(path, first) if _by_libsndfile(path) else _memo(path, first)
    held = 0
    for part in parts:
        held += part.size
        if held > MOST_SAMPLES:
            raise _too_long(path)
        yield part


def _decoded(path: Path, first: int) -> Iterator[Block]:
    with opened(path) as sound:
        skip = first
        if first and sound.seekable() and sound.format not in LOSSY:
            sound.seek(min(first, sound.frames))
            skip = 0
        count = max(BLOCK_SAMPLES // sound.channels, 1)
        while len(part := _next(sound, count)):
            kept = part[skip:]
            skip = max(skip - len(part), 0)
            if len(kept):
                yield kept


def _next(sound: Any, count: int) -> Block:
    """The next block; nothing at the end.

    A FLAC that was streamed does not say its length: libsndfile then reads its last samples and
    reports an error for the end of the file. What it left untouched stays no number.
    """
    import soundfile

    block: Block = np.full((count, sound.channels), np.nan, dtype=np.float32)
    try:
        read: Block = sound.read(count, dtype="float32", always_2d=True, out=block)
        return read
    except soundfile.LibsndfileError:
        untouched = np.isnan(block).all(axis=1)
        if sound.frames < UNTOLD or not untouched.any():
            raise
        return block[: int(np.argmax(untouched))]


def _memo(path: Path, first: int) -> Iterator[Block]:
    skip = first
    for part, _, _, _ in memo_blocks(path):
        kept = part[skip:]
        skip = max(skip - len(part), 0)
        if len(kept):
            yield kept


def _by_libsndfile(path: Path) -> bool:
    """Whether libsndfile reads it; what it does not read may be a telephone's memo."""
    try:
        with opened(path):
            return True
    except RecordingError:
        with _regular(path) as file:
            if is_memo(path, file.read(12)):
                return False
        raise


@contextlib.contextmanager
def _regular(path: Path) -> Iterator[BufferedReader]:
    try:
        file = open_regular(path)
    except NoRegularFile as problem:
        raise NotAudio(
            where=str(path),
            found=problem.why,
            needed=NEEDED,
            todo="Check the name of the recording, and who may read it.",
        ) from problem
    with file:
        yield file


def _check_claims(path: Path, sound: Any) -> None:
    wrong = ""
    if not RATES_HZ[0] <= sound.samplerate <= RATES_HZ[1]:
        wrong = f"its header says {sound.samplerate} Hz"
    elif sound.channels > MOST_CHANNELS:
        wrong = f"its header says {sound.channels} channels"
    if wrong:
        raise NotAudio(
            where=str(path),
            found=wrong,
            needed=f"up to {RATES_HZ[1]} Hz and {MOST_CHANNELS} channels",
            todo="Copy it from the recorder again, or export it again.",
        )
    if MOST_SAMPLES < sound.frames * sound.channels < UNTOLD and _plain_size(path, sound):
        raise _too_long(path)


def _plain_size(path: Path, sound: Any) -> bool:
    """Whether the file is large enough for what its header claims, so that it is no wrong claim."""
    return bool(path.stat().st_size > sound.frames * sound.channels // 16)


def _too_long(path: Path) -> RecordingError:
    hours = MOST_SAMPLES / 48_000 / 3600
    return RecordingError(
        where=str(path),
        found=f"more than {MOST_SAMPLES} samples ({hours:.0f} hours of one channel at 48 kHz)",
        needed="the part in which something was measured",
        todo="Cut that part out of a copy and add it.",
    )


def _check_chunks(path: Path, file: BufferedReader, size: int, order: str) -> None:
    """Walk the chunks of a WAV or AIFF file: the sound must be as long as its header says."""
    sound = b"data" if order == "<" else b"SSND"
    at = 12
    while at + 8 <= size:
        file.seek(at)
        name, length = struct.unpack(f"{order}4sI", file.read(8))
        if name == sound:
            if at + 8 + length > size:
                raise truncated(str(path), missing=at + 8 + length - size)
            return
        at += 8 + length + length % 2
    raise truncated(str(path))


def _unreadable(path: Path, problem: str) -> RecordingError:
    with _regular(path) as file:
        head, size = file.read(4), os.fstat(file.fileno()).st_size
    if head in _KNOWN_HEADS and size > 64:
        return truncated(str(path))
    return NotAudio(
        where=str(path),
        found=f"not a sound file ({problem.strip('. ')})",
        needed=NEEDED,
        todo="Check that it is the recording.",
    )


def truncated(
    where: str, held_s: float | None = None, said_s: float | None = None, missing: int = 0
) -> TruncatedRecording:
    """A file that ends before its sound does."""
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
