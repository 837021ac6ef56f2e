"""The demo's job at schema 1, with its recordings: planned, priced and verified as by 0.1.0."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from roomcheck.chain import Chain, open_job
from roomcheck.demo import demo

HERE = Path(__file__).parent
# As computed by version 0.1.0 at schema 1.
EXPECTED = json.loads((HERE / "story_room_by_0_1_0.json").read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def golden(tmp_path_factory: pytest.TempPathFactory) -> Chain:
    folder = demo(tmp_path_factory.mktemp("golden") / "story-room").folder
    shutil.copytree(HERE / "jobs" / "story-room", folder, dirs_exist_ok=True)
    assert "schema = 1" in (folder / "job.toml").read_text(encoding="utf-8")
    return open_job(folder)


def test_the_signed_promise_is_verified_as_before(golden):
    verification = golden.verification
    assert (verification.kept, verification.pairs) == (EXPECTED["kept"], EXPECTED["pairs"])
    assert len(verification.bands) == len(EXPECTED["bands"]) == 8
    for band in verification.bands:
        for name, value in EXPECTED["bands"][f"{band.band_hz:.0f}"].items():
            assert getattr(band, name) == _near(value), (band.band_hz, name)
    for name, value in EXPECTED["mid"].items():
        assert getattr(verification.mid, name) == _near(value), name


def test_plans_and_prices_are_those_of_before(golden):
    today = Chain(job=golden.job)
    assert len(today.plans) == len(EXPECTED["plans"]) == 3
    pairs = zip(today.plans, today.quotes, EXPECTED["plans"], strict=True)
    for plan, quote, (count, total, places) in pairs:
        assert (len(plan.pieces), str(quote.total)) == (count, total)
        hung = [[p.piece, p.face, p.place.u_m, p.place.v_m] for p in plan.pieces]
        for piece, before in zip(hung, places, strict=True):
            assert piece[:2] == before[:2]
            assert piece[2:] == pytest.approx(before[2:], abs=1e-6)


def _near(value: object) -> object:
    return pytest.approx(value, rel=1e-6) if isinstance(value, float) else value
