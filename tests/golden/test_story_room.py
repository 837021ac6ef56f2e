"""The demo's job at schema 1, with what was signed, comes out as version 0.1.0 computed it."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from roomcheck.chain import open_job
from roomcheck.demo import recordings
from roomcheck.demo.story_room import SWEEP
from roomcheck.job import load_job
from roomcheck.measure import add_recording
from roomcheck.workshop import build

HERE = Path(__file__).parent
LOWEST_HZ = 63.0
# As computed by version 0.1.0 at schema 1.
EXPECTED = json.loads((HERE / "story_room_by_0_1_0.json").read_text(encoding="utf-8"))


@pytest.fixture(scope="module")
def chain(tmp_path_factory):
    folder = tmp_path_factory.mktemp("golden") / "story-room"
    shutil.copytree(HERE / "jobs" / "story-room", folder)
    job = load_job(folder)
    for visit in ("before", "after"):
        for take in sorted((recordings() / visit).glob("*.flac")):
            source, microphone = take.stem.split("-")
            add_recording(job, take, visit=visit, source=source, microphone=microphone, sweep=SWEEP)
    return open_job(folder)


def _values(change):
    numbers = (change.before_s, change.after_s, change.change_s, change.low_s, change.high_s)
    now = [None if x is None else pytest.approx(x, rel=1e-6) for x in numbers]
    # The change is the small difference of two decays: a microsecond, as for a decay of a second.
    if change.change_s is not None:
        now[2] = pytest.approx(change.change_s, rel=0, abs=1e-6)
    # So is a decay of the lowest octave, which version 0.1.0 filtered otherwise.
    if getattr(change, "band_hz", None) == LOWEST_HZ:
        now[1] = pytest.approx(change.after_s, rel=0, abs=1e-6)
    return now, str(change.kept)


def test_the_signed_promise_is_verified_the_same(chain):
    verification = chain.verification
    assert str(verification.kept) == EXPECTED["kept"]
    assert verification.pairs == EXPECTED["pairs"]
    *numbers, kept = EXPECTED["mid"]
    assert _values(verification.mid) == (numbers, kept)
    for band, (band_hz, *numbers, kept) in zip(verification.bands, EXPECTED["bands"], strict=True):
        assert band.band_hz == band_hz
        now, kept_now = _values(band)
        # Version 0.1.0 withheld 125 Hz before the work, taking its slower inside for a neighbour's.
        given = [(new, old) for new, old in zip(now, numbers, strict=True) if old is not None]
        assert given
        assert ([new for new, _ in given], kept_now) == ([old for _, old in given], kept)


def test_planner_and_sheet_agree_on_what_a_wall_carries(chain):
    """Plans moved since version 0.1.0, which counted no turning moment."""
    least = chain.job.shop.practice.least_ratio
    assert chain.plans
    for plan in chain.plans:
        for line in build(chain.job, plan).hanging:
            assert line.refused == ()
            assert line.load_ratio is None or line.load_ratio >= least
