"""Responses without noise are read to their end."""

import numpy as np
import pytest

import roomcheck
from roomcheck.analyse import quiet_t20_s
from roomcheck.measure import ImpulseResponse

RATE = 48_000


def ringing(t60_s: dict[float, float]) -> ImpulseResponse:
    """One tone in the middle of each octave, dying away by 60 dB in so long: closed form."""
    t = np.arange(2 * RATE) / RATE
    tones = [10 ** (-3 * t / t_s) * np.sin(2 * np.pi * hz * t) for hz, t_s in t60_s.items()]
    return ImpulseResponse(samples=np.sum(tones, axis=0), rate_hz=RATE)


def test_a_ringing_tone_dies_away_as_it_was_made_to() -> None:
    made = {63.1: 0.8, 251.2: 0.5, 1000.0: 0.35, 3981.1: 0.6}
    read = quiet_t20_s(ringing(made))
    nominal = dict(zip((63.0, 250.0, 1000.0, 4000.0), made.values(), strict=True))
    # The tone begins at once; what the filter rings on by bends the start of the line a little.
    for hz, t60_s in nominal.items():
        assert read[hz] == pytest.approx(t60_s, rel=0.02), hz


def test_what_a_recording_ends_at_is_part_of_a_quiet_response() -> None:
    # A late burst 36 dB down: in a recording something else happened; without noise it is the room's.
    t = np.arange(2 * RATE) / RATE
    noise = np.random.default_rng(4).standard_normal(len(t))
    x = noise * 10 ** (-3 * t / 0.5)
    burst = slice(round(0.33 * RATE), round(0.40 * RATE))
    x[burst] += 8 * 10 ** (-3 * 0.33 / 0.5) * noise[burst]
    response = ImpulseResponse(samples=np.concatenate([np.zeros(2400), x]), rate_hz=RATE)
    recorded = {band.band_hz: band.t20_s for band in roomcheck.decays(response)}
    read = quiet_t20_s(response)
    for hz in (1000.0, 2000.0, 4000.0):
        still = np.cumsum((x**2)[::-1])[::-1]
        db = 10 * np.log10(still / still[0] + 1e-30)
        inside = np.flatnonzero((db <= -5) & (db >= -25))
        # White noise: every octave has the whole's decay, but for chance.
        whole_s = -60 / np.polyfit(inside / RATE, db[inside], 1)[0]
        by_chance = 0.88 / np.sqrt(0.71 * hz * whole_s)
        assert read[hz] == pytest.approx(whole_s, rel=3 * by_chance), hz
        assert recorded[hz] is None or recorded[hz] < read[hz], hz


def test_silence_has_no_decay() -> None:
    assert quiet_t20_s(ImpulseResponse(samples=np.zeros(RATE), rate_hz=RATE)) == {}
