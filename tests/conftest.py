"""What every test may ask for."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path

import pytest

from roomcheck.words.saying import sayings

TOP_FOLDER = Path(__file__).resolve().parents[1]
MEASURED_DATA = TOP_FOLDER.parent / "shared" / "data"


@pytest.fixture(scope="session")
def measured_data() -> Path:
    """Folder of open measured recordings; a test that needs it is skipped where it is absent."""
    if not MEASURED_DATA.is_dir():
        pytest.skip("open measured recordings are not on this machine")
    return MEASURED_DATA


@pytest.fixture
def wordless(monkeypatch: pytest.MonkeyPatch) -> None:
    """Every sentence that a fact can be put in becomes the same letter."""
    table = sayings()
    for key in table:
        monkeypatch.setitem(table, key, "x")  # type: ignore[arg-type]


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
        env={
            **os.environ,
            "PYTHONPATH": str(TOP_FOLDER),
            "OPENBLAS_NUM_THREADS": "1",
            "COLUMNS": "80",
        },
        stdin=subprocess.DEVNULL,
        capture_output=True,
        check=True,
    )
    return Told(folder, done.stdout.decode("utf-8"))


@pytest.fixture(scope="module")
def own_copy(told: Told, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The finished demo, to do with as a test likes."""
    return Path(shutil.copytree(told.folder, tmp_path_factory.mktemp("copy") / "story-room"))
