"""One writer at a time in a folder: a job's, or the one that holds a shop's file."""

from __future__ import annotations

import contextlib
import errno
import json
import os
import platform
import sys
import threading
import time
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from roomcheck.errors import RoomcheckError
from roomcheck.job.toml.disk import CannotWrite

NAME = ".roomcheck-lock"
"""The file that is locked; it stays, since removing it would let two hold it."""

WAIT_S = 30.0
"""How long a writer waits for another. [s]"""

STALE_S = 600.0
"""After this a lock of another machine, on a disk without locks, counts as left behind. [s]"""

_POLL_S = 0.05
_BEYOND = 1 << 20
"""Where Windows locks a byte: behind the text, which others must be able to read."""

_NO_LOCKS = {errno.ENOLCK, errno.ENOTSUP, errno.EOPNOTSUPP, errno.EINVAL, errno.ENOSYS}


@dataclass(frozen=True, slots=True, kw_only=True)
class Holder:
    """Who writes in a folder."""

    process: int
    machine: str
    since: str
    """ISO 8601, UTC."""

    @classmethod
    def here(cls) -> Holder:
        since = datetime.now(UTC).isoformat(timespec="seconds")
        return cls(process=os.getpid(), machine=platform.node(), since=since)

    @classmethod
    def of(cls, plain: Any) -> Holder | None:
        """From what a file says; None where it says nothing of the kind."""
        try:
            return cls(
                process=int(plain["process"]),
                machine=str(plain["machine"]),
                since=str(plain["since"]),
            )
        except (TypeError, KeyError, ValueError, OverflowError):
            return None

    @property
    def plain(self) -> dict[str, Any]:
        return {"process": self.process, "machine": self.machine, "since": self.since}

    @property
    def gone(self) -> bool:
        """Whether it is a process of this machine that has ended."""
        return self.machine == platform.node() and not _runs(self.process)


class FolderIsHeld(RoomcheckError):
    """Another roomcheck is writing into the same folder."""

    def __init__(self, folder: Path, holder: Holder | None) -> None:
        self.folder, self.holder = folder, holder
        who = "another roomcheck"
        if holder is not None:
            who += f" (process {holder.process} on {holder.machine}, since {holder.since})"
        super().__init__(
            f"{folder}: {who} is writing there; waited {WAIT_S:g} s, nothing was written. Try "
            "again when it is done, or end it if it hangs"
        )


@dataclass
class _Hold:
    """What this process knows of one folder's lock."""

    thread: threading.RLock = field(default_factory=threading.RLock)
    depth: int = 0


_HOLDS: dict[str, _Hold] = {}
_HOLDS_GUARD = threading.Lock()


@contextlib.contextmanager
def holding(folder: Path, wait_s: float = WAIT_S) -> Iterator[None]:
    """Be the only one that writes into a folder, for as long as the block runs.

    The system's own lock on a file of the folder, so that it ends with the process, however that
    ends; on a disk without locks a file that names its holder. The same thread may hold a folder
    several times over.

    Parameters
    ----------
    folder : Path
        It exists.
    wait_s : float
        How long to wait for another holder. [s]

    Raises
    ------
    FolderIsHeld
        Another one still holds it then; says who.
    CannotWrite
        The folder cannot be written.
    """
    key = os.path.realpath(folder)
    with _HOLDS_GUARD:
        hold = _HOLDS.setdefault(key, _Hold())
    if not hold.thread.acquire(timeout=max(wait_s, 0.0)):
        raise FolderIsHeld(folder, Holder.here())
    try:
        if hold.depth:
            yield
            return
        hold.depth += 1
        try:
            with _locked(folder, time.monotonic() + wait_s):
                yield
        finally:
            hold.depth -= 1
    finally:
        hold.thread.release()


def held_here(folder: Path) -> bool:
    """Whether this process holds a folder."""
    hold = _HOLDS.get(os.path.realpath(folder))
    return hold is not None and hold.depth > 0


def holder_of(folder: Path) -> Holder | None:
    """Who holds a folder, or held it when it ended, by the lock's file; None where nobody does."""
    return _read(folder / NAME)


@contextlib.contextmanager
def _locked(folder: Path, until_s: float) -> Iterator[None]:
    path = folder / NAME
    try:
        handle = os.open(path, os.O_RDWR | os.O_CREAT, 0o644)
    except OSError as problem:
        raise CannotWrite(path, problem) from problem
    try:
        while (held := _try(handle)) is False:
            if time.monotonic() >= until_s:
                raise FolderIsHeld(folder, _read(path))
            time.sleep(_POLL_S)
        if held is None:
            with _marked(folder, until_s):
                yield
            return
        _write(handle, Holder.here())
        try:
            yield
        finally:
            _write(handle, None)
    finally:
        os.close(handle)


def _try(handle: int) -> bool | None:
    """Take the system's lock on an open file; False where somebody has it, None where the disk
    knows no locks."""
    try:
        if sys.platform == "win32":
            import msvcrt

            os.lseek(handle, _BEYOND, os.SEEK_SET)
            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        else:
            import fcntl

            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError as problem:
        if problem.errno in _NO_LOCKS:
            return None
        if isinstance(problem, BlockingIOError | PermissionError) or sys.platform == "win32":
            return False
        raise
    return True


def _write(handle: int, holder: Holder | None) -> None:
    """Name the holder in the lock's file, or nobody; a full disk does not unlock it."""
    with contextlib.suppress(OSError):
        os.lseek(handle, 0, os.SEEK_SET)
        os.ftruncate(handle, 0)
        if holder is not None:
            os.write(handle, json.dumps(holder.plain).encode())


def _read(path: Path) -> Holder | None:
    try:
        return Holder.of(json.loads(path.read_bytes()[:1000]))
    except (OSError, ValueError):
        return None


@contextlib.contextmanager
def _marked(folder: Path, until_s: float) -> Iterator[None]:
    """Hold a folder by a file that only one can make, on a disk without locks."""
    mark = folder / f"{NAME}.held"
    while not _make(mark):
        holder = _read(mark)
        if (holder is not None and holder.gone) or _age_s(mark) > STALE_S:
            _break(mark)
        elif time.monotonic() >= until_s:
            raise FolderIsHeld(folder, holder)
        else:
            time.sleep(_POLL_S)
    try:
        yield
    finally:
        with contextlib.suppress(OSError):
            mark.unlink()


def _make(mark: Path) -> bool:
    try:
        handle = os.open(mark, os.O_RDWR | os.O_CREAT | os.O_EXCL, 0o644)
    except FileExistsError:
        return False
    except OSError as problem:
        raise CannotWrite(mark, problem) from problem
    _write(handle, Holder.here())
    os.close(handle)
    return True


def _break(mark: Path) -> None:
    """Take a mark away whose holder is gone; of two who try, one finds it gone."""
    aside = mark.with_name(f"{mark.name}-{os.getpid()}")
    with contextlib.suppress(OSError):
        mark.rename(aside)
        aside.unlink()


def _age_s(mark: Path) -> float:
    try:
        return time.time() - mark.stat().st_mtime
    except OSError:
        return 0.0


def _runs(process: int) -> bool:
    """Whether a process of this machine runs."""
    if sys.platform == "win32":
        import ctypes

        kernel = ctypes.windll.kernel32
        handle = kernel.OpenProcess(0x1000, False, process)  # PROCESS_QUERY_LIMITED_INFORMATION
        if handle:
            kernel.CloseHandle(handle)
        return bool(handle)
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    except (PermissionError, OverflowError):
        return True
    return True
