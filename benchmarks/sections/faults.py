"""Proof: kills, full disks, two at once, strangers' files; as `benchmarks/faults.py` counts them."""

from __future__ import annotations

import importlib
import sys
from pathlib import Path
from types import ModuleType

TITLE = "Kills, full disks, two at once, strangers' files"
SHARE = 1.0


def campaign() -> ModuleType:
    """`benchmarks/faults.py`."""
    folder = str(Path(__file__).parents[1])
    if folder not in sys.path:
        sys.path.insert(0, folder)
    return importlib.import_module("faults")


def write(figures: Path, share: float = SHARE) -> str:
    """The section, as markdown: every part anew, more than an hour."""
    del figures
    faults = campaign()
    return "\n".join(faults.run(name, share).markdown() for name in faults.names())
