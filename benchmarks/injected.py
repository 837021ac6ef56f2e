"""An end, or a full disk, at the n-th file event of a process."""

from __future__ import annotations

import errno
import os
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

from forked import KILLED

EVENTS = {
    "open": 0,
    "os.rename": 1,
    "os.link": 1,
    "os.remove": 0,
    "os.mkdir": 0,
    "os.rmdir": 0,
    "os.chmod": 0,
    "os.truncate": 0,
}
"""What Python tells of, and which of its arguments is the path that is changed."""

GROWING = ("open", "os.rename", "os.link", "os.mkdir", "write", "fsync")
"""What a full disk can refuse."""


class Injected:
    """Counts the file events below a folder in this process, and acts at one of them."""

    def __init__(self, folder: Path, at: int, act: Callable[[str], None]) -> None:
        self.folder, self.at, self.act, self.seen = str(folder.resolve()), at, act, 0

    def start(self) -> None:
        """From here on; for the rest of this process."""
        sys.addaudithook(self._heard)
        for name in ("write", "fsync"):
            setattr(os, name, self._counted(name, getattr(os, name)))

    def _heard(self, event: str, args: tuple[Any, ...]) -> None:
        if event not in EVENTS or (event == "open" and not _writes(args)):
            return
        path = args[EVENTS[event]]
        if isinstance(path, int):
            return
        if os.fsdecode(path).startswith(self.folder):
            self._count(event)

    def _count(self, event: str) -> None:
        self.seen += 1
        if self.seen == self.at:
            self.act(event)

    def _counted(self, name: str, real: Callable[..., Any]) -> Callable[..., Any]:
        def call(handle: int, *args: Any) -> Any:
            ours = self._is_ours(handle)
            if ours and name == "write" and self.seen + 1 == self.at and len(args[0]) > 1:
                real(handle, args[0][: len(args[0]) // 2])  # half of it comes to the disk
            if ours:
                self._count(name)
            return real(handle, *args)

        return call

    def _is_ours(self, handle: int) -> bool:
        try:
            return str(Path(f"/proc/self/fd/{handle}").readlink()).startswith(self.folder)
        except OSError:
            return False


def _writes(args: tuple[Any, ...]) -> bool:
    _, mode, flags = args
    if isinstance(mode, str):
        return any(sign in mode for sign in "wax+")
    return bool(flags & (os.O_WRONLY | os.O_RDWR | os.O_CREAT))


def killed_at(folder: Path, at: int) -> Injected:
    """A process that ends at one of its file events, with nothing done after it."""

    def act(event: str) -> None:
        os._exit(KILLED)

    return Injected(folder, at, act)


def full_at(folder: Path, at: int, *, stays: bool) -> Injected:
    """A disk that is full at one file event, or from it on."""

    def act(event: str) -> None:
        if stays:
            injected.at = injected.seen + 1
        if event in GROWING:
            raise OSError(errno.ENOSPC, "No space left on device")

    injected = Injected(folder, at, act)
    return injected


def counting(folder: Path) -> Injected:
    """Nothing happens; the events are counted."""
    return Injected(folder, 0, lambda event: None)
