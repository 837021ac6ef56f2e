"""A telephone's memo: M4A, AAC, CAF and the like, through PyAV where it is installed."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from roomcheck.job import open_regular
from roomcheck.measure.faults import EmptyRecording, NotAudio, TruncatedRecording

KINDS = (".m4a", ".aac", ".mp4", ".mov", ".3gp", ".amr", ".caf")
LOSSLESS = ("alac", "flac", "pcm")
COPY_AGAIN = "Copy it from the telephone again, or have it sent again."


def is_memo(path: Path, head: bytes) -> bool:
    """By its first twelve bytes, or by its name where those say nothing."""
    known = (
        head[4:8] == b"ftyp"
        or head[:4] == b"caff"
        or head[:5] == b"#!AMR"
        or head[:2] in (b"\xff\xf1", b"\xff\xf9")
    )
    return known or path.suffix.lower() in KINDS


def memo_blocks(path: Path) -> Iterator[tuple[NDArray[np.float32], int, int, bool]]:
    """Samples (frames, channels) part by part, each with rate [Hz], channels, and whether the codec
    loses anything.

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
    with open_regular(path) as file:
        try:
            opened = av.open(file)
        except (av.FFmpegError, ValueError) as problem:
            raise NotAudio(
                where=where,
                found="no sound file, or one that is cut off in the middle",
                needed="a whole M4A, AAC or CAF file",
                todo=COPY_AGAIN,
            ) from problem
        try:
            with opened as container:
                yield from _decoded(container, where)
        except (av.FFmpegError, ValueError, EOFError) as problem:
            raise TruncatedRecording(
                where=where,
                found=f"it cannot be read to its end ({problem})",
                needed="a whole M4A, AAC or CAF file",
                todo=COPY_AGAIN,
            ) from problem


def _decoded(container: Any, where: str) -> Iterator[tuple[NDArray[np.float32], int, int, bool]]:
    """Decode the sound of an open container; its length must be what its header says."""
    import av

    stream = next(iter(container.streams.audio), None)
    if stream is None:
        raise NotAudio(
            where=where,
            found="no sound track in it",
            needed="a recording",
            todo="Check the file's name.",
        )
    codec = stream.codec_context
    lossy = not codec.name.startswith(LOSSLESS)
    to_float = av.AudioResampler(format="fltp")
    frames, rate = 0, int(codec.sample_rate)
    for frame in container.decode(stream):
        for converted in to_float.resample(frame):
            part = converted.to_ndarray().T.astype(np.float32)
            frames, rate = frames + len(part), int(codec.sample_rate)
            yield part, rate, part.shape[1], lossy
    if frames == 0:
        raise EmptyRecording(
            where=where, found="no samples in it", needed="a recorded sweep", todo="Record again."
        )
    header_s = None
    if stream.duration and stream.time_base:
        header_s = float(stream.duration * stream.time_base)
    if header_s is not None and frames / rate < header_s - 0.2:
        raise TruncatedRecording(
            where=where,
            found=f"its header says {header_s:.2f} s, it holds {frames / rate:.2f} s",
            needed="a whole file",
            todo=COPY_AGAIN,
        )
