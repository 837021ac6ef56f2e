"""Two machines: their clocks compared by markers, and what is no clock."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.signal import fftconvolve, resample, resample_poly

from roomcheck.measure import Sweep, lay_out
from roomcheck.measure.checks.clock import read_markers
from roomcheck.measure.checks.clock import resample as by_ratio
from roomcheck.measure.faults import ChooseChannel, ClockJump, MarkersNotFound

RATE_HZ = 48_000
STEP = 200_000  # so that 5 ppm is a whole sample


@pytest.fixture(scope="module")
def played():
    return lay_out(Sweep(low_hz=40, high_hz=20_000, seconds=10, rate_hz=RATE_HZ), silence_s=2)


@pytest.fixture(scope="module")
def both():
    return lay_out(
        Sweep(low_hz=40, high_hz=20_000, seconds=5, rate_hz=RATE_HZ),
        sides=("left", "right"),
        silence_s=2,
    )


def heard(played, room, seed=0, noise=2e-4, rooms=None):
    """What a recorder at the seat hears of the file, both loudspeakers through their own rooms."""
    file = played.samples()
    rooms = room if rooms is None else rooms
    pad = np.zeros((4 * RATE_HZ, 2))
    file = np.concatenate([file, pad])
    left, right = (
        fftconvolve(part, h)[: len(file)] for part, h in ((file[:, 0], room), (file[:, 1], rooms))
    )
    y = np.concatenate([np.zeros(31_001), 0.5 * (left + right)])
    y = np.concatenate([y, np.zeros(-len(y) % STEP)])
    return y + noise * np.random.default_rng(seed).standard_normal(len(y))


def drifted(y, ppm):
    """Another clock, by scipy's own resampling to a whole number of samples."""
    return resample(y, len(y) + len(y) * ppm // 1_000_000)


def test_markers_are_15_s_apart_and_the_silence_is_as_long_as_asked(played, both):
    # 10 mm of movement is 2 ppm of the 5.1 m that sound goes in 15 s: 343 m/s, common practice.
    for file in (played, both):
        assert file.last_s - file.first_s >= 15
        assert file.silence_s >= 2
        samples = file.samples()
        assert len(samples) == round(file.seconds * RATE_HZ)
        for one in file.passes:
            end = round((one.start_s + file.sweep.seconds) * RATE_HZ)
            assert not samples[end : end + 2 * RATE_HZ].any()
        assert not samples[: 3 * RATE_HZ].any()
        assert 20 * np.log10(np.abs(samples).max()) == pytest.approx(-12, abs=0.01)
    assert not played.samples()[:, 1].any()
    assert [p.side for p in both.passes] == ["left", "right"]
    assert both.samples()[round(both.passes[1].start_s * RATE_HZ) + 1000, 0] == 0


@pytest.mark.parametrize(
    ("ppm", "direct"), [(5, 3.0), (20, 0.0), (50, 3.0), (-100, 0.0), (200, 3.0)]
)
def test_drift_is_found_to_far_better_than_2_ppm(played, helpers, ppm, direct):
    y = heard(played, helpers.make_room(0.6, seed=ppm % 7, direct=direct))
    clock = read_markers(drifted(y, ppm), played, "REC.wav")
    assert clock.drift_ppm == pytest.approx(ppm, abs=0.2)
    assert clock.rate_mismatch is None


def test_the_corrected_take_is_that_of_one_clock(played, helpers):
    y = heard(played, helpers.make_room(0.5, seed=3))
    (one, kept), (two, check) = (helpers.judge(z, played, bits=24) for z in (y, drifted(y, 100)))
    assert kept.keep
    assert check.keep
    assert check.drift_ppm == pytest.approx(100, abs=0.2)
    a, b = (z.samples[np.argmax(np.abs(z.samples)) - 500 :][:20_000] for z in (one, two))
    spectra = [np.abs(np.fft.rfft(z)) for z in (a, b)]
    hz = np.fft.rfftfreq(20_000, 1 / RATE_HZ)
    inside = (hz > 100) & (hz < 16_000)
    assert np.median(np.abs(20 * np.log10(spectra[0] / spectra[1]))[inside]) < 0.05
    assert np.abs(b).max() / np.abs(a).max() == pytest.approx(1, abs=0.05)


@pytest.mark.parametrize(
    ("up", "down", "named"),
    [(147, 160, "44.1 kHz taken for 48 kHz"), (160, 147, "48 kHz taken for 44.1 kHz")],
)
def test_a_rate_mismatch_is_named_and_a_person_says_whose(played, helpers, up, down, named):
    room = helpers.make_room(0.5, seed=5)
    y = resample_poly(heard(played, room), up, down)
    response, check = helpers.judge(y, played)
    assert not check.keep
    assert named in helpers.words(check.reasons)
    assert check.drift_ppm == pytest.approx(0, abs=0.5)
    response, check = helpers.judge(y, played, wrong_machine="recorder")
    assert check.keep
    assert named in helpers.words(check.warnings)
    assert response.rate_hz == RATE_HZ
    response, check = helpers.judge(y, played, wrong_machine="player")
    assert check.keep
    # A sample of the player's took up/down samples of the recorder's true 48 kHz.
    assert response.rate_hz == pytest.approx(RATE_HZ * down / up, abs=1)


def test_left_and_right_come_out_of_one_file_each_by_itself(both, helpers):
    left, right = helpers.make_room(0.3, seed=6), helpers.make_room(0.6, seed=7)
    y = drifted(heard(both, left, rooms=right), 40)
    with pytest.raises(ChooseChannel, match="--side"):
        helpers.judge(y, both)
    for side, room in (("left", left), ("right", right)):
        response, check = helpers.judge(y, both, side=side)
        assert check.keep, check.reasons
        h = response.samples[np.argmax(np.abs(response.samples)) :][: len(room)]
        likeness = np.sum(h * room[: len(h)]) / np.linalg.norm(h) / np.linalg.norm(room[: len(h)])
        assert likeness > 0.9  # the top of the band, above 19 kHz, is not in the sweep


# A spacing wrong by more than about 1000 ppm that is no ratio of rates is a dropout, not a clock:
# common practice.
@pytest.mark.parametrize("lost_ms", [30, -30, 200])
def test_a_wrong_spacing_that_is_no_clock_is_refused(played, helpers, lost_ms):
    y = heard(played, helpers.make_room(0.5, seed=8))
    at, n = int(9 * RATE_HZ), int(abs(lost_ms) / 1000 * RATE_HZ)
    y = np.delete(y, slice(at, at + n)) if lost_ms > 0 else np.insert(y, at, y[at - n : at])
    with pytest.raises(ClockJump, match="lost" if lost_ms > 0 else "added"):
        helpers.judge(y, played)


# Two markers alone cannot tell 1 to 10 ms lost from 60 to 600 ppm of drift: the sweep between them
# can.
@pytest.mark.parametrize(("at_s", "lost_ms"), [(6.5, 10), (9.0, 1), (11.0, 5), (13.0, 1)])
def test_a_jump_that_looks_like_drift_is_refused(played, helpers, at_s, lost_ms):
    y = heard(played, helpers.make_room(0.5, seed=9))
    at = int(at_s * RATE_HZ)
    y = np.delete(y, slice(at, at + lost_ms * RATE_HZ // 1000))
    with pytest.raises(ClockJump):
        helpers.judge(y, played)


def test_a_missing_marker_is_said(played, helpers):
    y = heard(played, helpers.make_room(0.5, seed=10))
    for part in (y[5 * RATE_HZ :], y[: 15 * RATE_HZ]):
        with pytest.raises(MarkersNotFound, match="both marker chirps"):
            helpers.judge(part, played)


@pytest.mark.parametrize("ratio", [1.00005, 44_100 / 48_000, 48_000 / 44_100, 1.3])
def test_resampling_keeps_a_tone_and_its_place(ratio):
    t = np.arange(40_000)
    y = np.sin(2 * np.pi * 0.01 * t) * np.exp(-(((t - 20_000) / 4000) ** 2))
    out = by_ratio(y, ratio)
    s = np.arange(len(out)) / ratio
    true = np.sin(2 * np.pi * 0.01 * s) * np.exp(-(((s - 20_000) / 4000) ** 2))
    assert len(out) == np.ceil(len(y) * ratio)
    assert np.abs(out - true).max() < 1e-4


@pytest.mark.parametrize(
    ("wrong", "named"),
    [
        ({"sides": ()}, "sides"),
        ({"silence_s": 0.1}, "silence_s"),
        ({"level_dbfs": 1}, "level_dbfs"),
    ],
)
def test_impossible_files_name_the_argument(wrong, named):
    sweep = Sweep(low_hz=40, high_hz=20_000, seconds=2, rate_hz=RATE_HZ)
    with pytest.raises(ValueError, match=named):
        lay_out(sweep, **wrong)
