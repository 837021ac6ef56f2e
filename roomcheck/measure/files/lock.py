"""One roomcheck at a time measures a job."""

from __future__ import annotations

import contextlib
import os
import sys
from collections.abc import Iterator
from pathlib import Path

from roomcheck.measure.faults import RecordingError


class JobIsBusy(RecordingError):
    """Another roomcheck is measuring this job."""


@contextlib.contextmanager
def only_one(folder: Path) -> Iterator[None]:
    """Hold a job for measuring; the hold ends with the process, however that ends.

    Raises
    ------
    JobIsBusy
        Another process holds it.
    """
    path = folder / "takes" / ".measuring"
    try:
        path.parent.mkdir(exist_ok=True)
        handle = os.open(path, os.O_RDWR | os.O_CREAT, 0o644)
    except OSError as problem:
        raise RecordingError(
            where=str(path),
            found=f"it cannot be written ({problem.strerror or problem})",
            needed="a job folder that may be written",
            todo="Copy the job folder to a disk with room, and measure there.",
        ) from problem
    try:
        if not _hold(handle):
            raise JobIsBusy(
                where=str(folder),
                found="another roomcheck is measuring this job now",
                needed="one at a time",
                todo="Go on in the other window, or stop it there with Ctrl-C first.",
            )
        yield
    finally:
        os.close(handle)


def _hold(handle: int) -> bool:
    """Take the system's own lock on an open file; False where somebody has it."""
    try:
        if sys.platform == "win32":
            import msvcrt

            msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
        else:
            import fcntl

            fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    except OSError as problem:
        # A disk without locks (some network shares): measuring there is better than not measuring.
        return sys.platform != "win32" or problem.errno not in (13, 36)
    return True
