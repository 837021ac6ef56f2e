"""What is no response gets no number, and says why."""

from __future__ import annotations

import numpy as np
import pytest

from roomcheck.analyse import DecayWarning, Reason, decays
from roomcheck.analyse.decay.onset import NotAResponse, start
from roomcheck.errors import RoomcheckError
from roomcheck.facts import fact
from roomcheck.measure.signal.signals import ImpulseResponse
from roomcheck.words import Reader, sentence

RATE_HZ = 48_000
NUMBERS = (
    "edt_s",
    "t20_s",
    "t30_s",
    "c50_db",
    "c80_db",
    "d50",
    "ts_s",
    "t20_sd_s",
    "t30_sd_s",
    "curvature_pct",
)


def response(t60_s=0.6, seconds=1.3, noise_db=-60, seed=3):
    rng = np.random.default_rng(seed)
    t = np.arange(int(seconds * RATE_HZ)) / RATE_HZ
    return rng.standard_normal(t.size) * 10 ** (-3 * t / t60_s) + 10 ** (
        noise_db / 20
    ) * rng.standard_normal(t.size)


SECOND = np.arange(RATE_HZ) / RATE_HZ
NO_RESPONSES = {
    "silence": np.zeros(RATE_HZ),
    "noise only": np.random.default_rng(1).standard_normal(RATE_HZ),
    "long noise": np.random.default_rng(2).standard_normal(3 * RATE_HZ),
    "reversed": response()[::-1],
    "constant": np.ones(RATE_HZ),
    "step": np.concatenate((np.zeros(500), np.ones(RATE_HZ))),
    "tone": np.sin(2 * np.pi * 1000 * SECOND),
    "low tone": np.sin(2 * np.pi * 100 * SECOND),
    "odd tone": 0.3 * np.sin(2 * np.pi * 437.3 * SECOND),
    "10 ms": response()[:480],
    "one sample": np.ones(1),
    "click": np.concatenate((np.zeros(100), [1.0], np.zeros(RATE_HZ))),
    "10 dB over the noise": response(noise_db=-10),
}


@pytest.mark.parametrize("fraction", [1, 3])
@pytest.mark.parametrize("name", NO_RESPONSES)
def test_no_number_and_a_reason(name, fraction):
    for band in decays(ImpulseResponse(samples=NO_RESPONSES[name], rate_hz=RATE_HZ), fraction):
        assert all(getattr(band, number) is None for number in NUMBERS), band
        assert band.withheld and all(sentence(r, Reader()).endswith(".") for r in band.withheld)


def test_the_same_code_does_give_numbers():
    bands = decays(ImpulseResponse(samples=response(), rate_hz=RATE_HZ))
    assert all(getattr(band, number) is not None for band in bands[2:] for number in NUMBERS)


@pytest.mark.parametrize(
    ("samples", "said"),
    [
        ([], "no samples"),
        ([0.0, 1.0, np.nan, 0.5], "1 samples are no numbers, the first at 0.0000"),
        ([0.0, np.inf], "no numbers"),
    ],
)
def test_what_holds_no_numbers_is_refused(samples, said):
    with pytest.raises(NotAResponse, match=said) as caught:
        decays(ImpulseResponse(samples=samples, rate_hz=RATE_HZ))
    assert isinstance(caught.value, RoomcheckError)


def test_the_decibels_that_lack_are_named():
    """Onset to noise 30 dB is 36 to 40 dB from peak to noise: enough for T20, not for T30 (ISO
    3382-1, 5.3.3)."""
    for band in decays(ImpulseResponse(samples=response(noise_db=-29), rate_hz=RATE_HZ)):
        if band.band_hz >= 500:
            assert 33 < band.range_db < 45
            assert band.t30_s is None
            lacking = 45 - band.range_db
            (no_t30,) = [r for r in band.withheld if r.get("number") == "T30"]
            assert (no_t30.kind, no_t30["needed_db"]) == (Reason.RANGE_TOO_SMALL, 45.0)
            assert no_t30["lacking_db"] == pytest.approx(lacking)


@pytest.mark.parametrize(
    ("rate_hz", "fraction", "carried"), [(16_000, 1, 4000), (44_100, 3, 10_000), (12_000, 3, 5000)]
)
def test_bands_above_half_the_rate_are_there_without_numbers(rate_hz, fraction, carried):
    rng = np.random.default_rng(1)
    t = np.arange(2 * rate_hz) / rate_hz
    x = rng.standard_normal(t.size) * 10 ** (-3 * t / 0.8) + 1e-3 * rng.standard_normal(t.size)
    for band in decays(ImpulseResponse(samples=x, rate_hz=rate_hz), fraction):
        if band.band_hz <= carried:
            assert band.t20_s is not None or band.band_hz < 200
        else:
            assert band.t20_s is None and band.withheld == (
                fact(Reason.RATE_TOO_LOW, rate_hz=rate_hz),
            )


def test_a_fraction_that_does_not_exist_is_refused():
    with pytest.raises(ValueError, match="fraction"):
        decays(ImpulseResponse(samples=response(), rate_hz=RATE_HZ), 2)


def test_the_start_is_the_first_arrival_20_db_below_the_peak():
    """ISO 3382-1:2009, A.3.4: a precursor 26 dB down does not start the response, one 14 dB down
    does."""
    x = np.zeros(RATE_HZ)
    x[9000], x[10_000], x[12_000] = 0.05, 0.2, -1.0
    assert start(ImpulseResponse(samples=x, rate_hz=RATE_HZ)).onset_s == pytest.approx(
        10_000 / RATE_HZ, abs=1 / RATE_HZ
    )


def test_neither_lead_in_nor_level_nor_offset_changes_a_decay():
    x = response()
    plain = decays(ImpulseResponse(samples=x, rate_hz=RATE_HZ))
    lead = 1e-3 * np.random.default_rng(5).standard_normal(RATE_HZ // 2)
    moved = decays(
        ImpulseResponse(samples=0.01 * np.concatenate((lead, x)) + 0.003, rate_hz=RATE_HZ)
    )
    for a, b in zip(plain[1:], moved[1:], strict=True):
        assert b.t20_s == pytest.approx(a.t20_s, rel=0.01)
        assert b.edt_s == pytest.approx(a.edt_s, rel=0.03)
        assert b.c50_db == pytest.approx(a.c50_db, abs=0.1)


def test_bandwidth_times_decay_is_there_and_a_band_below_16_is_marked():
    """ISO 3382-2:2008, 7.3: 16 for filters run forward. 63 Hz octave 44.5 Hz, 8 kHz octave 5597 Hz
    wide."""
    bands = decays(ImpulseResponse(samples=response(0.3, 0.9, -70, 2), rate_hz=RATE_HZ))
    for band, width_hz in ((bands[0], 44.457), (bands[-1], 5596.8)):
        assert band.bt == pytest.approx(width_hz * (band.t30_s or band.t20_s), rel=1e-3)
    few = DecayWarning.FEW_SAMPLES
    assert bands[0].bt < 16 and any(warning.kind is few for warning in bands[0].warnings)
    assert not any(warning.kind is few for warning in bands[-1].warnings)


def test_a_decay_as_short_as_the_filter_gets_no_t20_or_t30_and_says_so():
    """63 Hz octave (44.5 Hz wide), T 0.1 s: bandwidth times decay is 4.5; zero-phase filters serve
    from 8 on."""
    withheld = 0
    for seed in range(6):
        band = decays(ImpulseResponse(samples=response(0.1, 0.8, -70, seed), rate_hz=RATE_HZ))[0]
        for number in ("t20_s", "t30_s"):
            value = getattr(band, number)
            assert value is None or value * 44.5 >= 8
            withheld += value is None
        assert band.withheld
    assert withheld >= 6
