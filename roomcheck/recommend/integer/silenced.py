"""Keep a library's own debug output off standard output."""

from __future__ import annotations

import contextlib
import ctypes
import os
import sys
import threading
from collections.abc import Iterator
from pathlib import Path

STANDARD_OUTPUT = 1
"""Its file descriptor."""


@contextlib.contextmanager
def silenced() -> Iterator[None]:
    """Send what compiled code prints on standard output to nowhere while the block runs.

    HiGHS (1.8 to 1.12 at least) prints a line of its own debugging straight from C, whatever its
    options say. A descriptor is the whole process's, so this is done in the main thread alone:
    commands, whose standard output is their result, solve there. In another thread, such as a
    server's, the line is let through, and standard error is left alone everywhere.
    """
    copy = None
    if threading.current_thread() is threading.main_thread():
        with contextlib.suppress(OSError):  # a program without a terminal may have none
            copy = os.dup(STANDARD_OUTPUT)
    if copy is None:
        yield
        return
    _flush()
    try:
        with Path(os.devnull).open("wb") as nowhere:
            os.dup2(nowhere.fileno(), STANDARD_OUTPUT)
        yield
    finally:
        _flush()
        os.dup2(copy, STANDARD_OUTPUT)
        os.close(copy)


def _flush() -> None:
    """Empty Python's buffer and C's, so that each line goes where it was meant to."""
    with contextlib.suppress(OSError, ValueError, AttributeError):
        sys.stdout.flush()
    with contextlib.suppress(OSError, AttributeError, TypeError):
        ctypes.CDLL("ucrtbase" if os.name == "nt" else None).fflush(None)
