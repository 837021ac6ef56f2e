"""The demo, run once as a stranger runs it."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import pytest

TOP = Path(__file__).resolve().parents[2]


@dataclass(frozen=True)
class Told:
    """The demo's folder with every result kept, and what it said; nobody changes it."""

    folder: Path
    said: str


@pytest.fixture(scope="session")
def told(tmp_path_factory: pytest.TempPathFactory) -> Told:
    folder = tmp_path_factory.mktemp("demo") / "story-room"
    done = subprocess.run(
        [sys.executable, "-m", "roomcheck", "demo", str(folder)],
        env={**os.environ, "PYTHONPATH": str(TOP), "OPENBLAS_NUM_THREADS": "1", "COLUMNS": "80"},
        stdin=subprocess.DEVNULL,
        capture_output=True,
        check=True,
    )
    return Told(folder, done.stdout.decode("utf-8"))


@pytest.fixture(scope="module")
def own_copy(told: Told, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The finished demo, to do with as a test likes."""
    return Path(shutil.copytree(told.folder, tmp_path_factory.mktemp("copy") / "story-room"))
