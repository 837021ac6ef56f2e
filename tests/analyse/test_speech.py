"""Speech transmission index from responses, against the closed form for straight decays."""

from __future__ import annotations

import numpy as np
import pytest

from roomcheck.analyse import SpeechReason, SpeechRemark, speech_index
from roomcheck.analyse.speech.speech import _turned
from roomcheck.facts import fact
from roomcheck.measure import ImpulseResponse
from roomcheck.standards.iec_61260_1_2014 import OCTAVES_HZ, band_edges_hz

RATE_HZ = 48_000

# Closed form m = 1/sqrt(1 + (2 pi F T/13.8155)^2) / (1 + 10^(-SNR/10)), weights of IEC
# 60268-16:2020; computed from the formula, the values without noise for 0.5, 1 and 2 s seen to
# agree with an open library's own routine.
TABLE = {0.2: (0.8876, 0.8496, 0.6229), 0.5: (0.7363, 0.7006, 0.5481), 1.0: (0.5885, 0.5653, 0.4636),
         2.0: (0.4374, 0.4268, 0.3607)}  # fmt: skip
NOISES_DB = (None, 15.0, 5.0)


def straight(t_s: float, seconds: float, seed: int, noise_db: float = -60.0) -> ImpulseResponse:
    """Gaussian noise that dies away straight, and white noise so far below its start."""
    rng = np.random.default_rng(seed)
    t = np.arange(int(seconds * RATE_HZ)) / RATE_HZ
    h = rng.standard_normal(len(t)) * 10 ** (-3 * t / t_s)
    return ImpulseResponse(
        samples=h + 10 ** (noise_db / 20) * rng.standard_normal(len(t)), rate_hz=RATE_HZ
    )


# One draw scatters by 0.005 to 0.01, four by half of that.
@pytest.mark.parametrize("t_s", TABLE)
def test_a_straight_decay_has_the_index_of_the_closed_form(t_s):
    responses = [straight(t_s, max(2.0, 1.5 * t_s), seed) for seed in range(4)]
    for expected, snr_db in zip(TABLE[t_s], NOISES_DB, strict=True):
        noise = None if snr_db is None else [snr_db] * 7
        found = [speech_index(ir, noise).sti for ir in responses]
        assert np.mean(found) == pytest.approx(expected, abs=0.01), snr_db
        assert np.ptp(found) < 0.05


def test_noise_in_the_record_is_not_taken_for_the_room():
    clean, noisy = (speech_index(straight(1.0, 2.5, 3, noise)).sti for noise in (-90.0, -28.0))
    assert noisy == pytest.approx(clean, abs=0.005)


def test_every_octave_has_its_own_index_and_noise():
    found = speech_index(straight(0.6, 2.0, 5), [0, 15, 15, 20, 20, 15, 10])
    assert [band.snr_db for band in found.bands] == [0, 15, 15, 20, 20, 15, 10]
    least = min(found.bands, key=lambda band: band.mti)
    assert least.band_hz == 125
    # At 0 dB the noise alone leaves at most m = 0.5, an index of 0.5.
    assert least.mti < 0.5
    assert found.remarks == (fact(SpeechRemark.WITHOUT_MASKING),)


def test_a_short_record_has_no_index_and_says_what_is_needed():
    found = speech_index(straight(0.4, 1.0, 1))
    assert found.sti is None
    assert (found.withheld[0].kind, found.withheld[0]["needed_s"]) == (SpeechReason.TOO_SHORT, 1.6)
    assert all(band.mti is None for band in found.bands)


def test_a_band_in_noise_is_named_and_the_others_keep_theirs():
    ir = straight(0.6, 2.0, 2)
    low, high = band_edges_hz(125.0)
    n = len(ir.samples)
    hz = np.fft.rfftfreq(n, 1 / RATE_HZ)
    noise = np.fft.irfft(np.where((hz > low) & (hz < high), 1.0, 0.0) * np.fft.rfft(
        np.random.default_rng(9).standard_normal(n)), n)  # fmt: skip
    found = speech_index(ImpulseResponse(samples=ir.samples + 0.5 * noise, rate_hz=RATE_HZ))
    assert found.sti is None
    assert found.rating is None
    assert [band.band_hz for band in found.bands if band.mti is None] == [125]
    (reason,) = found.withheld
    assert reason["band_hz"] == 125.0
    assert reason.kind in (SpeechReason.RANGE_TOO_SMALL, SpeechReason.NO_DECAY)
    assert len(found.bands) == len([hz for hz in OCTAVES_HZ if hz >= 125])


def test_what_is_no_response_has_no_index():
    for samples in (np.zeros(RATE_HZ * 2), np.random.default_rng(0).standard_normal(RATE_HZ * 2)):
        assert speech_index(ImpulseResponse(samples=samples, rate_hz=RATE_HZ)).sti is None
    slow = ImpulseResponse(samples=straight(0.5, 4.0, 0).samples[::3], rate_hz=RATE_HZ // 3)
    found = speech_index(slow)
    assert found.sti is None
    assert any(reason.get("rate_hz") == 16_000 for reason in found.withheld)


def test_noise_that_is_not_seven_numbers_is_refused():
    with pytest.raises(ValueError, match="seven"):
        speech_index(straight(0.5, 2.0, 0), [10.0] * 6)


@pytest.mark.parametrize("points", [1, 64, 1000])
def test_sums_in_blocks_are_those_of_a_loop(points):
    power = np.random.default_rng(1).random(points)
    turn = 2j * np.pi * np.array([0.0, 0.63, 12.5]) * 0.001
    loop = [sum(p * np.exp(-w * n) for n, p in enumerate(power)) for w in turn]
    assert _turned(power, turn) == pytest.approx(np.array(loop), rel=1e-12)
