"""Independent pieces of work by several processes, where that ends sooner; never another result."""

from __future__ import annotations

import contextlib
import gc
import os
import pickle
import signal
import sys
import threading
from collections.abc import Callable, Iterator, Sequence
from functools import partial
from typing import Any, TypeVar

S = TypeVar("S")
T = TypeVar("T")

MOST = 2
"""Processes at a time: each holds what it works on."""

LEAST_PIECES = 4
"""Below this the processes cost more than they save."""

_KEPT_BY_THREADS = ("typst", "uvicorn", "sounddevice")
"""Who has threads of its own, which no copy of the process would have."""


def in_turn(work: Sequence[Callable[[], T]]) -> Iterator[T]:
    """The results one after another, each worked out when it is asked for."""
    return (piece() for piece in work)


def side_by_side(work: Sequence[Callable[[], T]]) -> Iterator[T]:
    """The results in their order, worked out by copies of this process; `in_turn` where there is
    one core, little work, or no way to copy a process safely.

    Each piece must depend on nothing that another changes, and its result must be picklable. One
    that fails in a copy is done again here, where the error belongs.
    """
    processes = min(MOST, _cores())
    if processes < 2 or len(work) < LEAST_PIECES or not _may_copy():
        yield from in_turn(work)
        return
    import multiprocessing

    context = multiprocessing.get_context("fork")
    # What is there stays where it is: a copy that looks for garbage in it writes all of it anew.
    gc.freeze()
    try:
        yield work[0]()  # here, so that no copy imports the libraries for itself
        gc.collect()
        gc.freeze()
        with context.Pool(processes, _begin, (work,)) as pool:
            for i, packed in enumerate(pool.imap(_done, range(1, len(work))), 1):
                yield _unpacked(packed, work[i])
    finally:
        gc.unfreeze()


def _unpacked(packed: bytes | None, piece: Callable[[], T]) -> T:
    """A copy's result; where there is none, or it cannot be read, the piece is done here."""
    if packed is not None:
        with contextlib.suppress(Exception):
            return pickle.loads(packed)  # type: ignore[no-any-return]
    return piece()


def each(function: Callable[[S], T], things: Sequence[S]) -> Iterator[T]:
    """A function of each thing, as `map` gives it, side by side."""
    return side_by_side([partial(function, thing) for thing in things])


def _cores() -> int:
    """Cores that this process may use."""
    with contextlib.suppress(AttributeError):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def _may_copy() -> bool:
    """Whether this process can be copied as it stands: on Linux, from its only thread."""
    if sys.platform != "linux":
        return False
    from multiprocessing import current_process

    if current_process().daemon:
        return False
    alone = threading.active_count() == 1
    return alone and not sys.modules.keys() & set(_KEPT_BY_THREADS)


_WORK: list[Callable[[], Any]] = []
"""In a copy: what there is to do."""


def _begin(work: Sequence[Callable[[], Any]]) -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the keyboard stops the one that waits
    _WORK[:] = work


def _done(i: int) -> bytes | None:
    """One result, packed; None where there is none."""
    try:
        return pickle.dumps(_WORK[i]())
    except Exception:
        return None
    finally:
        gc.collect()
