"""The chain's steps on standard error, while they go on."""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from roomcheck.chain import SHOWN, Activity, Chain, Progress, left, open_job
from roomcheck.cli.terminal import tell
from roomcheck.words import say


def opened(
    folder: Path | str,
    plan: int | None = None,
    *,
    on_step: Callable[[Progress], None] | None = None,
    **settings: Any,
) -> Chain:
    """Open a job as `open_job` does, and show its steps on standard error, each with its own share
    where nothing else is to hear of them."""
    chain = open_job(folder, plan, on_step=on_step or show_step, **settings)
    for path in chain.changed_by_hand:
        tell(f"roomcheck: {say('signed_by_hand', file=path)}")
    return chain


def show_step(step: Progress) -> None:
    """Show that a long step begins; where a person looks on, how far it is and how long it takes
    yet, by the parts that are done."""
    if step.kind not in SHOWN or os.getpid() != _OURS:
        return
    if step.done == 0:
        _BEGAN[step.kind] = time.monotonic()
        _say_begun(step.kind)
    elif sys.stderr.isatty():
        # What is done makes room for what comes next, be that a step or a result.
        going_on = step.done < step.of
        if going_on and step.kind not in _NAMED[-1:]:
            _say_begun(step.kind)  # another step came between
        text = left(step, time.monotonic() - _BEGAN[step.kind]) if going_on else ""
        print(f"\r{text}{_CLEARED}", end="", file=sys.stderr, flush=True)


def _say_begun(kind: Activity) -> None:
    """Name a step in a line of its own, in the place of how far the one around it is."""
    _NAMED[:] = [kind]
    fresh = f"\r{_CLEARED}" if sys.stderr.isatty() else ""
    print(f"{fresh}{say(f'doing_{kind}')} …", file=sys.stderr, flush=True)


_CLEARED = "\033[K"
"""Takes away what stood there before: a longer text, or how long it takes yet."""

_OURS = os.getpid()
"""Copies of this process say nothing: their work is a part of a step that is shown here."""

_NAMED: list[Activity] = []
"""The step that the last line named."""

_BEGAN: dict[Activity, float] = {}
"""When each step began, by the system's own clock [s]."""


class Whole:
    """One share over all steps of a job whose work is known, shown on standard error.

    A step of which everything is kept does not come; it counts as done when a later one begins.

    Parameters
    ----------
    work : sequence of (Activity, int)
        Every step in its order, and how long it takes beside the others.
    """

    def __init__(self, work: Sequence[tuple[Activity, int]]) -> None:
        self._work = work
        self._all = sum(size for _, size in work)
        self._began_s = time.monotonic()
        self._at = 0
        self._share = 0.0

    def show(self, step: Progress) -> None:
        """Show that a long step begins; where a person looks on, how far everything is."""
        if os.getpid() != _OURS:
            return
        share = self.share(step)
        if step.kind in SHOWN and step.done == 0:
            _say_begun(step.kind)
        if share > 0 and sys.stderr.isatty():
            left_s = (time.monotonic() - self._began_s) * (1 - share) / share
            text = say("doing_whole", done_pct=100 * share, left_s=left_s)
            print(f"\r{text}{_CLEARED}", end="", file=sys.stderr, flush=True)

    def share(self, step: Progress) -> float:
        """How much of everything is done; never less than before."""
        rest = range(self._at, len(self._work))
        found = next((i for i in rest if self._work[i][0] is step.kind), None)
        if found is not None:
            self._at = found
            before = sum(size for _, size in self._work[:found])
            done = before + self._work[found][1] * step.done / step.of
            self._share = max(self._share, done / self._all)
        return self._share

    def clear(self) -> None:
        """Take the line away, for what comes to stand in its place."""
        if sys.stderr.isatty():
            print(f"\r{_CLEARED}", end="", file=sys.stderr, flush=True)
