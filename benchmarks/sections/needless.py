"""Pieces that a plan could do without, and price against risk; kept from run to run."""

from __future__ import annotations

from pathlib import Path

import needless

TITLE = "Pieces that can be left out, and price against risk"


def write(figures: Path) -> str | None:
    journal = figures / "plan-levels.json"
    found = needless.kept(journal)
    if not found:
        return None
    how = f"Made by `benchmarks/needless.py --journal docs/figures/{journal.name}`.\n\n"
    return how + "\n".join(needless.summary(found)) + "\n"
