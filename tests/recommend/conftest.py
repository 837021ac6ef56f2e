"""Made-up absorption for the tests of the plan, and the modules they share."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

sys.path += [str(Path(__file__).parent), str(Path(__file__).parents[2] / "benchmarks")]


@pytest.fixture(autouse=True)
def made_up_materials(monkeypatch: pytest.MonkeyPatch) -> None:
    """These tests know what their walls absorb: whole tables have tests of their own."""
    import made_up_rooms

    import roomcheck.predict.linings
    import roomcheck.predict.statistics
    import roomcheck.recommend.paths

    for module in (roomcheck.predict.linings, roomcheck.predict.statistics, roomcheck.recommend.paths):
        monkeypatch.setattr(module, "absorption_of", made_up_rooms.absorption_of, raising=False)
