"""A telephone's memo: M4A, AAC, CAF and the like, through PyAV where it is installed."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from roomcheck.measure.faults import EmptyRecording, NotAudio, TruncatedRecording

KINDS = (".m4a", ".aac", ".mp4", ".mov", ".3gp", ".amr", ".caf")
LOSSLESS = ("alac", "flac", "pcm")


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
            todo="Copy it from the telephone again, or have it sent again.",
        ) from problem
    try:
        with opened as container:
            stream = next(iter(container.streams.audio), None)
            if stream is None:
                raise NotAudio(
                    where=where,
                    found="no sound track in it",
                    needed="a recording",
                    todo="Check the file's name.",
                )
            codec, rate = stream.codec_context.name, int(stream.codec_context.sample_rate)
            said_s = (
                float(stream.duration * stream.time_base)
                if stream.duration and stream.time_base
                else None
            )
            to_float = av.AudioResampler(format="fltp")
            parts = [
                out.to_ndarray().T
                for frame in container.decode(stream)
                for out in to_float.resample(frame)
            ]
    except (av.FFmpegError, ValueError, EOFError) as problem:
        raise TruncatedRecording(
            where=where,
            found=f"it cannot be read to its end ({problem})",
            needed="a whole M4A, AAC or CAF file",
            todo="Copy it from the telephone again, or have it sent again.",
        ) from problem
    if not parts:
        raise EmptyRecording(
            where=where, found="no samples in it", needed="a recorded sweep", todo="Record again."
        )
    samples = np.concatenate(parts).astype(np.float32)
    if said_s is not None and len(samples) / rate < said_s - 0.2:
        raise TruncatedRecording(
            where=where,
            found=f"its header says {said_s:.2f} s, it holds {len(samples) / rate:.2f} s",
            needed="a whole file",
            todo="Copy it from the telephone again, or have it sent again.",
        )
    return samples, rate, not codec.startswith(LOSSLESS)
