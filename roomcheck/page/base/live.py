"""What happens to a job, sent to every window that shows it."""

from __future__ import annotations

import asyncio
import json
from collections.abc import AsyncIterator
from dataclasses import dataclass, field
from hashlib import sha256
from pathlib import Path
from typing import Any

from roomcheck.job import can_undo

LOOK_S = 0.5
"""How often the job's files are looked at for changes by other programs. [s]"""

ALIVE_S = 10.0
"""A line is sent at least so often, so that a window knows that the server is there. [s]"""

Event = dict[str, Any]


def stamp(folder: Path) -> str:
    """A short text that changes when what a person typed, recorded, placed or ticked changes."""
    more = ("layouts/*.toml", "progress/done.toml", "photos/*.toml")
    return _stamp([*_typed(folder), *(path for kind in more for path in sorted(folder.glob(kind)))])


def typed_stamp(folder: Path) -> str:
    """The same for what was typed or recorded alone."""
    return _stamp(_typed(folder))


def _typed(folder: Path) -> list[Path]:
    named = ("job.toml", "shop.toml", "progress/found.toml")
    shared = folder.absolute().parent / "shop.toml"  # serves every job beside it, and learns
    own = [folder / name for name in named]
    return [*own, shared, *sorted(folder.glob("takes/*/*.toml"))]


def _stamp(watched: list[Path]) -> str:
    times = [(path.name, path.stat().st_mtime_ns) for path in watched if path.exists()]
    return sha256(repr(times).encode()).hexdigest()[:16]


@dataclass
class Live:
    """Who listens to which job."""

    loop: asyncio.AbstractEventLoop | None = None
    listeners: dict[str, set[asyncio.Queue[Event]]] = field(default_factory=dict)

    def tell(self, name: str, event: Event) -> None:
        """Send an event to every window that shows a job; from any thread."""
        if self.loop is None or self.loop.is_closed():
            return
        for queue in tuple(self.listeners.get(name, ())):
            self.loop.call_soon_threadsafe(queue.put_nowait, event)

    async def listen(self, name: str, folder: Path) -> AsyncIterator[str]:
        """Events of one job as lines of a stream: changes of its files, and steps of its work."""
        self.loop = asyncio.get_running_loop()
        queue: asyncio.Queue[Event] = asyncio.Queue()
        self.listeners.setdefault(name, set()).add(queue)
        seen = stamp(folder)
        silent_s = 0.0
        yield _line({"hello": seen})
        try:
            while True:
                try:
                    yield _line(await asyncio.wait_for(queue.get(), LOOK_S))
                    continue
                except TimeoutError:
                    silent_s += LOOK_S
                now = stamp(folder)
                if now != seen:
                    seen, silent_s = now, 0.0
                    yield _line({"changed": now, "undo": can_undo(folder)})
                elif silent_s >= ALIVE_S:
                    silent_s = 0.0
                    yield _line({"alive": True})
        finally:
            self.listeners[name].discard(queue)


def _line(event: Event) -> str:
    return f"data: {json.dumps(event)}\n\n"
