"""The chain's steps on standard error, while they go on."""

from __future__ import annotations

import sys
import time
from pathlib import Path
from typing import Any

from roomcheck.chain import SHOWN, Activity, Chain, Progress, left, open_job
from roomcheck.cli.terminal import tell
from roomcheck.words import say


def opened(folder: Path | str, plan: int | None = None, **settings: Any) -> Chain:
    """Open a job as `open_job` does, and show its steps on standard error."""
    chain = open_job(folder, plan, on_step=show_step, **settings)
    for path in chain.changed_by_hand:
        tell(f"roomcheck: {say('signed_by_hand', file=path)}")
    return chain


def show_step(step: Progress) -> None:
    """Show that a long step begins; where a person looks on, how far it is and how long it takes
    yet, by the parts that are done."""
    if step.kind not in SHOWN:
        return
    if step.done == 0:
        _BEGAN[step.kind] = time.monotonic()
        print(f"{say(f'doing_{step.kind}')} …", file=sys.stderr, flush=True)
    elif sys.stderr.isatty():
        text = left(step, time.monotonic() - _BEGAN[step.kind]) if step.of > 1 else _CLEARED
        print(f"\r{text}", end="", file=sys.stderr, flush=True)


_CLEARED = "\033[K"
"""Takes the line away that said how long it takes yet."""

_BEGAN: dict[Activity, float] = {}
"""When each step began, by the system's own clock [s]."""
