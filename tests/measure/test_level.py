"""The level: quietly first, up to what the noise needs, never above what was confirmed."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
import pytest
from scipy.signal import fftconvolve

from roomcheck.measure import Level, LevelLimit, Recorded, find_level
from roomcheck.measure.faults import CardError
from roomcheck.measure.visit.level import START_DBFS, WANTED_DB

RATE_HZ = 48_000


@dataclass
class Room:
    """A loudspeaker, a room and a microphone with noise."""

    response: np.ndarray
    noise_dbfs: float = -80.0
    gain: float = 1.0
    limit: float = 9.0
    peaks_dbfs: list[float] = field(default_factory=list)

    def play_and_record(self, samples, rate_hz):
        self.peaks_dbfs.append(20 * np.log10(np.abs(samples).max()))
        heard = self.gain * fftconvolve(self.limit * np.tanh(samples / self.limit), self.response)
        noise = 10 ** (self.noise_dbfs / 20) * np.random.default_rng(
            len(self.peaks_dbfs)
        ).standard_normal(len(heard))
        return Recorded(np.clip(heard + noise, -1, 1)[:, None])


@pytest.fixture(scope="module")
def response(helpers_of_module):
    return helpers_of_module.make_room(0.3, seed=2)


@pytest.fixture(scope="module")
def helpers_of_module():
    from .conftest import Helpers

    return Helpers


def settle(room, *, ceiling_dbfs=-6.0, confirm=lambda now, then: True, **more):
    said = []
    found = find_level(
        room,
        rate_hz=RATE_HZ,
        low_hz=40,
        high_hz=20_000,
        ceiling_dbfs=ceiling_dbfs,
        confirm=confirm,
        tell=said.append,
        **more,
    )
    return found, said


def test_a_quiet_room_stays_quiet(response):
    room = Room(response, noise_dbfs=-100)
    found, _ = settle(room)
    assert room.peaks_dbfs == pytest.approx([START_DBFS], abs=0.1)
    assert found.range_db >= WANTED_DB
    assert found.seconds <= 10
    assert found.remark.kind is Level.FOUND
    assert found.remark["why"] is LevelLimit.ENOUGH


def test_a_noisy_room_is_played_louder_and_longer_step_by_step(response):
    quiet, noisy = Room(response, noise_dbfs=-100), Room(response, noise_dbfs=-40)
    low, high = settle(quiet)[0], settle(noisy)[0]
    assert high.level_dbfs > low.level_dbfs + 5
    steps = np.diff(noisy.peaks_dbfs)
    assert (steps > 0).all()
    assert steps.max() <= 9.01
    assert high.range_db >= WANTED_DB - 0.01


def test_the_range_that_is_promised_is_the_range_that_comes(response, helpers_of_module):
    # The sweep that was chosen, made as the test's own takes are made, has that range: 10 lg of the
    # time is its gain.
    room = Room(response, noise_dbfs=-42)
    found, _ = settle(room)
    from roomcheck.measure import Sweep

    sweep = Sweep(low_hz=40, high_hz=20_000, seconds=found.seconds, rate_hz=RATE_HZ)
    y = helpers_of_module.make_take(
        sweep, response, noise_dbfs=-42, level=10 ** (found.level_dbfs / 20)
    )
    _, check = helpers_of_module.judge(y, sweep, bits=24)
    least = min(band.range_db for band in check.bands if 250 <= band.band_hz <= 4000)
    assert least == pytest.approx(found.range_db, abs=2.5)


@pytest.mark.parametrize("ceiling_dbfs", [-60.0, -40.0, -33.0])
def test_nothing_is_ever_louder_than_was_allowed(response, ceiling_dbfs):
    room = Room(response, noise_dbfs=-24)
    found, _ = settle(room, ceiling_dbfs=ceiling_dbfs)
    assert max(room.peaks_dbfs) <= ceiling_dbfs + 1e-6
    assert found.level_dbfs <= ceiling_dbfs
    assert found.remark["why"] is LevelLimit.CEILING
    assert found.seconds == 30
    if found.remark.kind is Level.FOUND:
        assert found.range_db < WANTED_DB
    else:
        assert found.remark.kind is Level.UNHEARD


def test_the_level_stays_where_the_person_says_enough(response):
    asked = []

    def confirm(now, then):
        asked.append((now, then))
        return len(asked) < 2

    room = Room(response, noise_dbfs=-30)
    found, _ = settle(room, confirm=confirm)
    assert found.level_dbfs == asked[1][0]
    assert max(room.peaks_dbfs) == pytest.approx(asked[1][0], abs=0.1)
    assert found.remark["why"] is LevelLimit.STOPPED


def test_a_limiter_is_noticed_and_not_driven_on(response):
    room = Room(response, noise_dbfs=-40, limit=0.012)
    found, said = settle(room)
    assert Level.YIELDS in [event.kind for event in said]
    assert found.level_dbfs < -30


def test_an_input_that_clips_is_told(response):
    found, _ = settle(Room(response, noise_dbfs=-60, gain=200))
    assert found.remark["why"] in (LevelLimit.INPUT_FULL, LevelLimit.INPUT_FULL_AT_ONCE)
    assert found.level_dbfs < START_DBFS


def test_silence_and_deafness_are_told_apart(response):
    with pytest.raises(CardError, match="exactly zero"):
        settle(Room(response, noise_dbfs=-np.inf, gain=0))
    found, said = settle(Room(response, noise_dbfs=-40, gain=1e-9), ceiling_dbfs=-36)
    assert found.remark.kind is Level.UNHEARD
    assert Level.PROBE_UNHEARD in [event.kind for event in said]


def test_a_given_length_is_kept(response):
    assert settle(Room(response, noise_dbfs=-75), lengths_s=(4.0,))[0].seconds == 4
