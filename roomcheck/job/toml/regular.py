"""Files of people and of other programs: looked at before they are opened, and never larger than
was thought of."""

from __future__ import annotations

import errno
import os
import stat
from io import BufferedReader
from pathlib import Path

from roomcheck.errors import RoomcheckError

TEXT_BYTES = 1 << 20
"""The most that a text of a person, a job or a shop, can hold. [byte]"""

_KINDS = (
    (stat.S_ISDIR, "it is a folder"),
    (stat.S_ISFIFO, "it is a pipe, which has no end"),
    (stat.S_ISCHR, "it is a device, which has no end"),
    (stat.S_ISBLK, "it is a device"),
    (stat.S_ISSOCK, "it is a socket"),
)
_PROBLEMS = {
    errno.ELOOP: "it is a link that leads back to itself",
    errno.EACCES: "there is no permission to read it",
    errno.EPERM: "there is no permission to read it",
    errno.ENAMETOOLONG: "its name is too long",
    errno.ENOTDIR: "something on the way there is a file, not a folder",
}


class NoRegularFile(RoomcheckError):
    """Something that cannot be read as a file, and why."""

    def __init__(self, path: Path, why: str, *, missing: bool = False) -> None:
        self.path, self.why, self.missing = path, why, missing
        super().__init__(f"{path}: {why}")


def open_regular(path: Path) -> BufferedReader:
    """Open a file for reading; a pipe, a device or a folder is refused before it can be waited for.

    Raises
    ------
    NoRegularFile
    """
    try:
        _check(path, path.stat().st_mode)
        # Without O_NONBLOCK a pipe put there meanwhile would be waited for.
        flags = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0)
        handle = os.open(path, flags | getattr(os, "O_CLOEXEC", 0))
    except (OSError, ValueError) as problem:
        raise NoRegularFile(path, _why(path, problem), missing=_missing(path, problem)) from problem
    try:
        _check(path, os.fstat(handle).st_mode)
        return os.fdopen(handle, "rb")
    except BaseException:
        os.close(handle)
        raise


def read_regular(path: Path, most_bytes: int = TEXT_BYTES) -> bytes:
    """All bytes of a file that is not larger than `most_bytes`.

    Raises
    ------
    NoRegularFile
    """
    with open_regular(path) as file:
        try:
            size = os.fstat(file.fileno()).st_size
            data = file.read(most_bytes + 1) if size <= most_bytes else b""
        except OSError as problem:
            raise NoRegularFile(path, f"it cannot be read: {problem.strerror}") from problem
    if size > most_bytes or len(data) > most_bytes:
        raise NoRegularFile(
            path, f"it is larger than {_size(most_bytes)}, more than such a file can need"
        )
    return data


def is_there(path: Path) -> bool:
    """Whether anything has this name, even a link that leads nowhere."""
    return os.path.lexists(path)


def _check(path: Path, mode: int) -> None:
    if stat.S_ISREG(mode):
        return
    kind = next((words for is_kind, words in _KINDS if is_kind(mode)), "it is no regular file")
    raise NoRegularFile(path, f"{kind}; a regular file is needed")


def _missing(path: Path, problem: Exception) -> bool:
    return isinstance(problem, FileNotFoundError) and not path.is_symlink()


def _why(path: Path, problem: Exception) -> str:
    if isinstance(problem, FileNotFoundError):
        if path.is_symlink():
            return "it is a link that leads to nothing"
        return "there is no such file"
    if not isinstance(problem, OSError):
        return "its name holds a sign that no file can have"
    return _PROBLEMS.get(problem.errno or 0, f"it cannot be read: {problem.strerror}")


def _size(count: int) -> str:
    return f"{count >> 20} MiB" if count >= 1 << 20 else f"{count >> 10} KiB"
