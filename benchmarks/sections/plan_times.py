"""Processor time of plan sets over random jobs, and of changes by hand; kept from run to run."""

from __future__ import annotations

from pathlib import Path

import plan_times

TITLE = "Speed of planning"


def write(figures: Path) -> str | None:
    journal = figures / "plan-times.json"
    found = plan_times.kept(journal, plan_times.code_now())
    if not found:
        return None
    how = (
        "Processor time from the measured room to the whole plan set (places, calibration, searches, full predictions, "
        "notes), one thread of linear algebra, in one process after another job; `benchmarks/plan_times.py --journal "
        f"docs/figures/{journal.name}`, on a machine that does nothing else.\n\n"
    )
    return how + "\n".join(plan_times.lines(found)) + "\n"
