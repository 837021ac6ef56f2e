"""Proof: kills, full disks, two at once, strangers' files; as `benchmarks/faults.py` counts them."""

from __future__ import annotations

import importlib
import os
import sys
import time
from pathlib import Path
from types import ModuleType

TITLE = "Kills, full disks, two at once, strangers' files"
SHARE = 1.0
JOURNAL, MINUTES = "FAULTS_JOURNAL", "FAULTS_MINUTES"
"""Environment: cases that were run in parts before, and how long the rest may take."""


def campaign() -> ModuleType:
    """`benchmarks/faults.py`."""
    folder = str(Path(__file__).parents[1])
    if folder not in sys.path:
        sys.path.insert(0, folder)
    return importlib.import_module("faults")


def write(figures: Path, share: float = SHARE) -> str:
    """The section, as markdown: what the journal lacks is run, all together more than an hour of
    processor time."""
    del figures
    faults = campaign()
    journal = None
    if JOURNAL in os.environ:
        until_s = time.monotonic() + 60 * float(os.environ.get(MINUTES, "1e9"))
        journal = faults.Journal(path=Path(os.environ[JOURNAL]), until_s=until_s)
    parts = [faults.run(name, share, faults.SEED, journal) for name in faults.names()]
    return "\n".join(tally.markdown() for tally in parts)
