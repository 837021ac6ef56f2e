"""Every command stopped by the keyboard at any moment, and wrong calls refused at once."""

from __future__ import annotations

import os
from pathlib import Path

import stops

TITLE = "Stopped by the keyboard, and wrong calls"


def write(figures: Path) -> str | None:
    how = (
        "The signal of Ctrl-C, sent to a command and all its copies after 5, 25, 50, 75 and 95 % of the time that it takes, "
        "on a copy of the demo's made-up job; `benchmarks/stops.py`. Wall time from the signal to the end of the last "
        "process, and the processor time of the command meanwhile. Files changed: of the job and beside it, but what is kept "
        "in `results/` under its digest. Then the command that was stopped half way is asked for again, and must write what "
        "an undisturbed run writes. The demo makes its job first, and a stopped one leaves what it has made, to go on from. "
        "Asked on a machine that does nothing else: 0.3 s, nothing changed; wrong calls 0.4 s.\n\n"
    )
    kept = os.environ.get("STOPS_FOLDER")
    folder = Path(kept) if kept else None
    only_kept = bool(os.environ.get("STOPS_KEPT"))
    return how + "\n".join(stops.lines(folder, only_kept=only_kept)) + "\n"
