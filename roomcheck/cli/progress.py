"""The chain's steps on standard error, while they go on."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

from roomcheck.chain import Activity, Chain, Progress, open_job
from roomcheck.words import say

_SHOWN = (
    Activity.READ,
    Activity.ANALYSE,
    Activity.CALIBRATE,
    Activity.PLAN,
    Activity.SIMULATE,
    Activity.LEARN,
    Activity.REPORT,
)
"""Steps that take more than a second."""


def opened(folder: Path | str, plan: int | None = None, **settings: Any) -> Chain:
    """Open a job as `open_job` does, and show its steps on standard error."""
    chain = open_job(folder, plan, on_step=show_step, **settings)
    for path in chain.changed_by_hand:
        print(f"roomcheck: {say('signed_by_hand', file=path)}", file=sys.stderr)
    return chain


def show_step(step: Progress) -> None:
    """Show that a long step begins."""
    if step.done == 0 and step.kind in _SHOWN:
        print(f"{say(f'doing_{step.kind}')} …", file=sys.stderr, flush=True)
