"""Reading and writing the job folder's text files: whole, or not at all."""

from __future__ import annotations

import contextlib
import errno
import os
import stat
import tempfile
from pathlib import Path

from roomcheck.errors import RoomcheckError
from roomcheck.job.toml.regular import NoRegularFile, read_regular

_BOM = "\ufeff"
_CAUSES = {
    errno.ENOSPC: "the disk is full; make room and try again",
    errno.EDQUOT: "your quota of the disk is used up; make room and try again",
    errno.EROFS: "the disk is write-protected; copy the job folder to another one",
    errno.EACCES: (
        "no permission to write there; change the folder's permissions or work on a copy elsewhere"
    ),
    errno.EPERM: (
        "no permission to write there; change the folder's permissions or work on a copy elsewhere"
    ),
    errno.ENOENT: "the folder is missing; make it first",
    errno.ENOTDIR: "something on the way there is a file, not a folder",
    errno.EISDIR: "a folder stands where the file belongs; move it away",
}


class CannotWrite(RoomcheckError):
    """A file that could not be written; what stood there before still stands."""

    def __init__(self, path: Path, problem: OSError) -> None:
        self.path, self.problem = path, problem
        super().__init__(f"{path} was not written: {cause_of(problem)}. Nothing is half written.")


def cause_of(problem: OSError) -> str:
    """Why a disk refuses, and what to do."""
    return _CAUSES.get(problem.errno or 0, f"{problem.strerror or problem}")


class CannotRead(RoomcheckError):
    """A file that is not there, is not text, or may not be read."""

    def __init__(self, path: Path, why: str) -> None:
        self.path, self.why = path, why
        super().__init__(f"{path}: {why}")


def write_atomically(path: Path | str, data: bytes | str) -> None:
    """Write a file whole or not at all.

    The data goes to a temporary file in the same folder, is forced to the disk, and takes the old
    file's place in one step; a mode that the old file had is kept, and a link stays a link. Text is
    written as UTF-8, with its line ends as they are.

    Parameters
    ----------
    path : Path or str
        Its folder must exist.
    data : bytes or str

    Raises
    ------
    CannotWrite
        Folder missing or unwritable, disk full: says which. The old file is then as it was.
    """
    named = Path(path)
    # A link stays a link: what it points to is replaced.
    target = Path(os.path.realpath(named))
    blob = data.encode("utf-8") if isinstance(data, str) else data
    draft: Path | None = None
    try:
        if target.is_dir():
            raise IsADirectoryError(errno.EISDIR, "is a folder")
        handle, name = tempfile.mkstemp(
            prefix=f".{target.name}.", suffix=".part", dir=target.parent
        )
        draft = Path(name)
        try:
            pour(handle, blob)
            os.fsync(handle)
        finally:
            os.close(handle)
        draft.chmod(mode_for(target))
        os.replace(draft, target)  # noqa: PTH105 - the step that must be atomic, by its own name
        draft = None
    except OSError as problem:
        raise CannotWrite(named, problem) from problem
    finally:
        if draft is not None:
            with contextlib.suppress(OSError):
                draft.unlink()
    settle(target.parent)


def marked_as(path: Path, text: str) -> str:
    """A person's file's new text, with a byte order mark where the file has one."""
    return f"{_BOM}{text}" if path.read_bytes().startswith(_BOM.encode()) else text


def pour(handle: int, blob: bytes) -> None:
    """Write all of a block into an open file."""
    rest = memoryview(blob)
    while rest:
        rest = rest[os.write(handle, rest) :]


def mode_for(target: Path) -> int:
    """The mode of the file that stands there, else the usual one."""
    if target.exists():
        return stat.S_IMODE(target.stat().st_mode)
    mask = os.umask(0)
    os.umask(mask)
    return 0o666 & ~mask


def settle(folder: Path) -> None:
    """Force the folder's new entry to the disk, where the system can."""
    with contextlib.suppress(OSError):
        handle = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)


def make_folder(path: Path) -> None:
    """Make a folder, and those above it."""
    try:
        path.mkdir(parents=True, exist_ok=True)
    except OSError as problem:
        raise CannotWrite(path, problem) from problem


def read_text(path: Path) -> str:
    """A file's text, line ends as they are, without a byte order mark.

    Raises
    ------
    CannotRead
        Missing, unreadable or not UTF-8: says which, and in which line.
    """
    try:
        blob = read_regular(path)
    except NoRegularFile as problem:
        raise CannotRead(path, problem.why) from problem
    try:
        return blob.decode("utf-8").removeprefix(_BOM)
    except UnicodeDecodeError as problem:
        line = blob[: problem.start].count(b"\n") + 1
        found = blob[problem.start]
        raise CannotRead(
            path,
            f"line {line}: byte {found:#04x} is not UTF-8 text; save the file again with the "
            "encoding UTF-8",
        ) from problem
