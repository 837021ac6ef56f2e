"""Files put into a folder, all or none and never over another, with the errors of this stage."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from roomcheck.job import (
    ENDINGS,
    UNKNOWN_ENDING,
    CannotWrite,
    Put,
    holding,
    make_folder,
    write_together,
)
from roomcheck.measure.faults import TakeNotWritten


def put_in(folder: Path, files: Sequence[Put]) -> tuple[Path, ...]:
    """Write files into a folder as one step; returns their paths.

    Raises
    ------
    TakeNotWritten
        No right to write, disk full: nothing was changed.
    ThereAlready
        A new one is there.
    """
    with _said():
        make_folder(folder)
        return write_together(folder, files)


@contextmanager
def writing(folder: Path) -> Iterator[None]:
    """Hold a job's folder while takes are put in it.

    Raises
    ------
    TakeNotWritten
        The folder may not be written.
    """
    with _said(), holding(folder):
        yield


@contextmanager
def _said() -> Iterator[None]:
    """What cannot be written, as an error of this stage."""
    try:
        yield
    except CannotWrite as problem:
        why = problem.problem.strerror or problem.problem
        raise TakeNotWritten(
            where=str(problem.path),
            found=f"it cannot be written ({why})",
            needed="a folder that may be written, with room in it",
            todo="Nothing was changed. Choose another folder, or make room, and try again.",
        ) from problem


def keep_beside(folder: Path, path: str, data: bytes | Path) -> None:
    """Keep a file under a name that tells its content; one that is there is the same."""
    if not (folder / path).exists():
        put_in(folder, [Put(path=path, data=data)])


def ending_of(path: Path) -> str:
    """The ending under which a sound file is kept: its own where that is one of a sound file,
    else one by its first bytes. What reads it looks at these bytes alone."""
    own = path.suffix.lower()
    if own in ENDINGS:
        return own
    with path.open("rb") as file:
        head = file.read(12)
    for start, ending in _STARTS.items():
        if head[: len(start)] == start:
            return ending
    return ".mp4" if head[4:8] == b"ftyp" else UNKNOWN_ENDING


_STARTS = {
    b"RIFF": ".wav",
    b"RF64": ".wav",
    b"fLaC": ".flac",
    b"FORM": ".aif",
    b"OggS": ".ogg",
    b"caff": ".caf",
    b"riff": ".w64",
    b"ID3": ".mp3",
    b"#!AMR": ".amr",
}
