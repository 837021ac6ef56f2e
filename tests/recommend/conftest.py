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

    import roomcheck.predict.answer.statistics
    import roomcheck.predict.room.linings
    import roomcheck.recommend.places.paths

    for module in (
        roomcheck.predict.room.linings,
        roomcheck.predict.answer.statistics,
        roomcheck.recommend.places.paths,
    ):
        monkeypatch.setattr(module, "absorption_of", made_up_rooms.absorption_of, raising=False)
