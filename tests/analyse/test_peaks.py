"""Arrivals after the direct sound: pulses put where they are known to be."""

from __future__ import annotations

import numpy as np
import pytest

from roomcheck.analyse.echoes.peaks import arrivals, echogram
from roomcheck.measure import ImpulseResponse

RATE = 48_000


def response(echoes, *, smear=None, seed=1, noise=1e-4, rate=RATE):
    """A direct sound and echoes (delay s, amplitude), delayed in the frequency domain, so between
    samples too."""
    size = 1 << 14
    f = np.fft.rfftfreq(size, 1 / rate)
    spectrum = sum(a * np.exp(-2j * np.pi * f * (0.02 + t)) for t, a in [(0.0, 1.0), *echoes])
    x = np.fft.irfft(spectrum * np.exp(-((f / 18_000) ** 8)), size)
    if smear is not None:
        x = np.convolve(x, smear)[:size]
    return ImpulseResponse(
        samples=x + noise * np.random.default_rng(seed).standard_normal(size), rate_hz=rate
    )


def heard(echoes, **how):
    return arrivals(echogram(response(echoes, **how), 0.03))


@pytest.mark.parametrize("rate", [44_100, 48_000, 96_000])
@pytest.mark.parametrize("delay", [0.00301, 0.0072345, 0.01512])
def test_level_and_delay_of_a_lone_echo(rate, delay):
    """Asked: levels right to 0.5 dB wherever between two samples the echo falls."""
    (found,) = heard([(delay, 0.35)], rate=rate)
    assert found.level_db == pytest.approx(20 * np.log10(0.35), abs=0.2)
    assert found.delay_s == pytest.approx(delay, abs=5e-6)


def test_the_loudspeakers_smear_is_taken_out():
    """A resonance of 5 kHz that rings on is in the direct sound and in the echo alike."""
    t = np.arange(200) / RATE
    smear = np.exp(-t / 0.0002) * np.cos(2 * np.pi * 5000 * t)
    gram = echogram(response([(0.004, 0.4)], smear=smear), 0.03)
    loudest = max(arrivals(gram), key=lambda a: a.level_db)
    assert (loudest.delay_s, loudest.level_db) == (
        pytest.approx(0.004, abs=1e-5),
        pytest.approx(-7.96, abs=0.3),
    )
    assert 0.0002 < gram.smear_s < 0.001


def test_two_echoes_closer_than_the_pulse_is_wide_keep_their_levels():
    found = heard([(0.0050, 0.40), (0.0053, 0.30)])
    assert [a.delay_s for a in found] == pytest.approx([0.0050, 0.0053], abs=3e-5)
    assert [a.level_db for a in found] == pytest.approx([-7.96, -10.46], abs=0.5)


def test_an_echo_louder_than_the_direct_sound_is_no_direct_sound():
    (found,) = heard([(0.006, 1.8)])
    assert found.level_db == pytest.approx(5.1, abs=0.3)


def test_no_band_no_echogram():
    assert echogram(ImpulseResponse(samples=np.zeros(4800), rate_hz=RATE), 0.03) is None
    assert echogram(response([], rate=16_000), 0.03) is None
