"""One call in a forked process: what it printed, how it ended, what it took."""

from __future__ import annotations

import os
import resource
import select
import signal
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

KILLED = 137
"""What a process that was killed by fault injection exits with."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ended:
    """How a forked call ended."""

    code: int
    """Its exit code; minus the signal's number where a signal ended it."""
    said: str
    """Standard output and standard error, as they came."""
    cpu_s: float
    """Processor time [s]."""
    peak_mib: float
    """Largest memory held [MiB]."""
    late: bool
    """Ended because its time was over."""

    @property
    def fell(self) -> bool:
        """Whether an error came out that nobody had a sentence for."""
        return "Traceback (most recent call last)" in self.said

    @property
    def last_line(self) -> str:
        lines = self.said.strip().splitlines()
        return lines[-1] if lines else ""


def in_fork(
    call: Callable[[], int | None], *, wall_s: float = 60.0, memory_mib: int | None = None
) -> Ended:
    """Run a call in a fork of this process, so that what is imported here need not be again.

    Parameters
    ----------
    call : callable
        Its result is the exit code.
    wall_s : float
        After this it is killed. [s]
    memory_mib : int, optional
        Most that it may ask for, by `RLIMIT_AS`. [MiB]
    """
    sys.stdout.flush()
    sys.stderr.flush()
    reads, writes = os.pipe()
    pid = os.fork()
    if pid == 0:
        _become(call, reads, writes, memory_mib)
    os.close(writes)
    said, late = _read(reads, time.monotonic() + wall_s, pid)
    _, status, used = os.wait4(pid, 0)
    return Ended(
        code=os.waitstatus_to_exitcode(status),
        said=said.decode("utf-8", "replace"),
        cpu_s=used.ru_utime + used.ru_stime,
        peak_mib=used.ru_maxrss / 1024,
        late=late,
    )


def _become(
    call: Callable[[], int | None], reads: int, writes: int, memory_mib: int | None
) -> None:
    """Be the child: never returns."""
    code = 1
    try:
        os.close(reads)
        nothing = os.open(os.devnull, os.O_RDONLY)
        for number, to in ((0, nothing), (1, writes), (2, writes)):
            os.dup2(to, number)
        sys.stdout = sys.__stdout__ = os.fdopen(1, "w", encoding="utf-8", closefd=False)
        sys.stderr = sys.__stderr__ = os.fdopen(2, "w", encoding="utf-8", closefd=False)
        if memory_mib is not None:
            held = _address_space_mib()
            most = (held + memory_mib) * 2**20
            resource.setrlimit(resource.RLIMIT_AS, (most, most))
        code = int(call() or 0)
    except SystemExit as end:
        code = end.code if isinstance(end.code, int) else 2
    except BaseException:
        import traceback

        traceback.print_exc()
    finally:
        try:
            sys.stdout.flush()
            sys.stderr.flush()
        finally:
            os._exit(code)


def _address_space_mib() -> int:
    """What the process has mapped already. [MiB]"""
    pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[0])
    return pages * resource.getpagesize() // 2**20


def _read(reads: int, until_s: float, pid: int) -> tuple[bytes, bool]:
    """All that the child says; it is killed where it takes too long."""
    said = bytearray()
    late = False
    while True:
        ready, _, _ = select.select([reads], [], [], max(until_s - time.monotonic(), 0.0))
        if not ready:
            late = True
            os.kill(pid, signal.SIGKILL)
            until_s = time.monotonic() + 5
            continue
        block = os.read(reads, 65536)
        if not block:
            break
        said += block[: max(2**20 - len(said), 0)]
    os.close(reads)
    return bytes(said), late
