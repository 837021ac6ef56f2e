"""A telephone's memo: M4A, AAC, CAF and the like, through PyAV where it is installed."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from roomcheck.measure.faults import EmptyRecording, NotAudio, TruncatedRecording

KINDS = (".m4a", ".aac", ".mp4", ".mov", ".3gp", ".amr", ".caf")
LOSSLESS = ("alac", "flac", "pcm")
COPY_AGAIN = "Copy it from the telephone again, or have it sent again."


def is_memo(path: Path) -> bool:
    """By its first bytes, or by its name where those say nothing."""
    with path.open("rb") as file:
        head = file.read(12)
    known = (
        head[4:8] == b"ftyp"
        or head[:4] == b"caff"
        or head[:5] == b"#!AMR"
        or head[:2] in (b"\xff\xf1", b"\xff\xf9")
    )
    return known or path.suffix.lower() in KINDS


def read_memo(path: Path) -> tuple[NDArray[np.float32], int, bool]:
    """Samples (frames, channels), rate [Hz], and whether its codec loses anything.

    Raises
    ------
    NotAudio
        PyAV is not installed, or the file holds no sound.
    TruncatedRecording
        It ends in the middle.
    EmptyRecording
    """
    where = str(path)
    try:
        import av
    except ImportError as problem:
        raise NotAudio(
            where=where,
            found="a telephone's memo, which needs PyAV, and that is not installed",
            needed='pip install "roomcheck[memo]", or a WAV or FLAC file',
            todo="Or convert it, for example: ffmpeg -i memo.m4a memo.wav, or send it through any "
            "program that exports WAV; the recording itself stays as it is.",
        ) from problem
    try:
        opened = av.open(where)
    except (av.FFmpegError, ValueError) as problem:
        raise NotAudio(
            where=where,
            found="no sound file, or one that is cut off in the middle",
            needed="a whole M4A, AAC or CAF file",
            todo=COPY_AGAIN,
        ) from problem
    try:
        with opened as container:
            samples, rate, codec, header_s = _decoded(container, where)
    except (av.FFmpegError, ValueError, EOFError) as problem:
        raise TruncatedRecording(
            where=where,
            found=f"it cannot be read to its end ({problem})",
            needed="a whole M4A, AAC or CAF file",
            todo=COPY_AGAIN,
        ) from problem
    held_s = len(samples) / rate
    if held_s == 0:
        raise EmptyRecording(
            where=where, found="no samples in it", needed="a recorded sweep", todo="Record again."
        )
    if header_s is not None and held_s < header_s - 0.2:
        raise TruncatedRecording(
            where=where,
            found=f"its header says {header_s:.2f} s, it holds {held_s:.2f} s",
            needed="a whole file",
            todo=COPY_AGAIN,
        )
    return samples, rate, not codec.startswith(LOSSLESS)


def _decoded(container: Any, where: str) -> tuple[NDArray[np.float32], int, str, float | None]:
    """Decode the sound of an open container.

    Samples (frames, channels), rate [Hz], codec, and the length that the header says [s].
    """
    import av

    stream = next(iter(container.streams.audio), None)
    if stream is None:
        raise NotAudio(
            where=where,
            found="no sound track in it",
            needed="a recording",
            todo="Check the file's name.",
        )
    header_s = None
    if stream.duration and stream.time_base:
        header_s = float(stream.duration * stream.time_base)
    to_float = av.AudioResampler(format="fltp")
    parts = [np.zeros((0, stream.codec_context.channels), dtype=np.float32)]
    for frame in container.decode(stream):
        parts += [converted.to_ndarray().T for converted in to_float.resample(frame)]
    samples = np.concatenate(parts).astype(np.float32)
    return samples, int(stream.codec_context.sample_rate), stream.codec_context.name, header_s
