"""What every test may ask for."""

from __future__ import annotations

from pathlib import Path

import pytest

MEASURED_DATA = Path(__file__).resolve().parents[1].parent / "shared" / "data"


@pytest.fixture(scope="session")
def measured_data() -> Path:
    """Folder of open measured recordings; a test that needs it is skipped where it is absent."""
    if not MEASURED_DATA.is_dir():
        pytest.skip("open measured recordings are not on this machine")
    return MEASURED_DATA
