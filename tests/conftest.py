"""What every test may ask for."""

from __future__ import annotations

from pathlib import Path

import pytest

from roomcheck.words.saying import sayings

MEASURED_DATA = Path(__file__).resolve().parents[1].parent / "shared" / "data"


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
