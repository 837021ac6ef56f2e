"""Processor time and memory of the commands beside an older state, in one run."""

from __future__ import annotations

import os
from pathlib import Path

import times

TITLE = "Speed of the commands"

OLDER = "74b4e5d"


def write(figures: Path) -> str | None:
    how = (
        "User and system time of one command and its children on the demo's made-up job, each in a process of its own "
        f"with one thread of linear algebra, and the most memory; `benchmarks/times.py {OLDER}`, both states in the same "
        "run, row by row. Asked on a machine that does nothing else: the demo 12 s and 300 MiB, six takes 1.5 s, twelve in "
        "proportion, again 0.3 s, a change by hand 0.7 s (in the table with the start of the program and what it reads), "
        "documents 4 s, again 1.5 s, an error of arguments 0.4 s.\n\n"
    )
    kept = os.environ.get("TIMES_FOLDER")
    folder = Path(kept) if kept else None
    only_kept = bool(os.environ.get("TIMES_KEPT"))
    return how + "\n".join(times.lines(OLDER, folder, only_kept=only_kept)) + "\n"
