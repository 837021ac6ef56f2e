"""Keep a library's own debug output off the terminal."""

from __future__ import annotations

import contextlib
import ctypes
import os
import sys
from collections.abc import Iterator


@contextlib.contextmanager
def silenced() -> Iterator[None]:
    """Send what compiled code prints to nowhere while the block runs.

    HiGHS 1.8 prints a line of its own debugging straight from C, whatever its options say.
    """
    kept: list[tuple[int, int]] = []
    _flush()
    try:
        nowhere = os.open(os.devnull, os.O_WRONLY)
    except OSError:
        yield
        return
    for descriptor in (1, 2):
        # A program without a terminal may have neither.
        with contextlib.suppress(OSError):
            kept.append((descriptor, os.dup(descriptor)))
            os.dup2(nowhere, descriptor)
    try:
        yield
    finally:
        _flush()
        for descriptor, copy in kept:
            os.dup2(copy, descriptor)
            os.close(copy)
        os.close(nowhere)


def _flush() -> None:
    """Empty Python's buffers and C's, so that each line goes where it was meant to."""
    for stream in (sys.stdout, sys.stderr):
        with contextlib.suppress(OSError, ValueError, AttributeError):
            stream.flush()
    with contextlib.suppress(OSError, AttributeError, TypeError):
        ctypes.CDLL("ucrtbase" if os.name == "nt" else None).fflush(None)
