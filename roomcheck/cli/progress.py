"""The chain's steps on standard error, while they go on."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

from roomcheck.chain import Activity, Chain, Progress, open_job

_TEXTS = {
    Activity.READ: "Reading the recordings",
    Activity.ANALYSE: "Analysing the responses",
    Activity.CALIBRATE: "Calibrating the room and listing places",
    Activity.PLAN: "Choosing and placing pieces",
    Activity.SIMULATE: "Simulating the room before and after",
    Activity.LEARN: "Comparing with the prediction",
    Activity.REPORT: "Setting the documents",
}
"""Steps that take more than a second."""


def opened(folder: Path | str, plan: int | None = None, **settings: Any) -> Chain:
    """Open a job as `open_job` does, and show its steps on standard error."""
    return open_job(folder, plan, on_step=show_step, **settings)


def show_step(step: Progress) -> None:
    """Show that a long step begins."""
    if step.done == 0 and step.kind in _TEXTS:
        print(f"{_TEXTS[step.kind]} …", file=sys.stderr, flush=True)
