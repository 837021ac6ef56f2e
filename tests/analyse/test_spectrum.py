"""The frequency response: closed forms of a click, a comb and a sum of both."""

from __future__ import annotations

import numpy as np
import pytest

from roomcheck.analyse.modes.spectrum import dips, frequency_response, grid_hz, response_of
from roomcheck.measure import ImpulseResponse

RATE = 48_000


def comb(delay_s: float, gain: float) -> ImpulseResponse:
    x = np.zeros(RATE)
    x[100], x[100 + round(delay_s * RATE)] = 1.0, gain
    return ImpulseResponse(samples=x, rate_hz=RATE)


@pytest.mark.parametrize("fraction", [1, 3, 6, 12, 24])
def test_a_click_is_flat_in_every_fraction(fraction):
    click = ImpulseResponse(samples=np.eye(1, 9600, 50)[0], rate_hz=RATE)
    level = frequency_response(click, grid_hz(), fraction)
    known = level[np.isfinite(level)]
    assert known == pytest.approx(np.zeros(len(known)), abs=1e-6)


def test_a_comb_has_its_teeth_where_the_delay_puts_them():
    """|1 + g e^(-i w tau)|: 2 ms and 0.8 give 20 lg 1.8 at 500 Hz and 20 lg 0.2 at 250 Hz."""
    level = frequency_response(comb(0.002, 0.8), np.array([250.0, 500.0]), 48)
    assert level[1] == pytest.approx(20 * np.log10(1.8), abs=0.05)
    assert level[0] == pytest.approx(20 * np.log10(0.2), abs=0.3)


def test_where_the_teeth_are_close_the_power_adds():
    """A third of an octave at 8 kHz holds four teeth of 2 ms: 1 + g^2."""
    level = frequency_response(comb(0.002, 0.8), np.array([8000.0]), 3)
    assert level[0] == pytest.approx(10 * np.log10(1 + 0.8**2), abs=0.3)


def test_a_dip_is_found_with_its_place():
    response = response_of(comb(0.005, 0.8), "S1", "P1")
    assert response is not None
    found = dips(
        np.array(response.hz), np.array(response.level_db), least_db=6, from_hz=40, to_hz=150
    )
    assert [round(dip.frequency_hz / 100, 1) for dip in found] == [1.0]


def test_what_was_not_swept_is_not_shown():
    response = response_of(comb(0.005, 0.8), "S1", "P1", (80.0, 10_000.0))
    assert response is not None
    assert min(response.hz) >= 80
    assert max(response.hz) <= 10_000


def test_silence_has_no_response():
    assert response_of(ImpulseResponse(samples=np.zeros(4800), rate_hz=RATE), "S1", "P1") is None


@pytest.mark.parametrize("width", [0.25, 0.5, 0.8])
def test_a_dip_is_as_deep_and_as_wide_at_half_its_depth_as_it_was_made(width):
    """A Gaussian in octaves on a level response; lines a forty-eighth of an octave apart."""
    hz = 40 * 2 ** (np.arange(6 * 48) / 48)
    level = -12 * np.exp(-4 * np.log(2) * (np.log2(hz / 200) / width) ** 2)
    (dip,) = dips(hz, level, least_db=6, from_hz=40, to_hz=1500, around_octaves=4.0)
    assert dip.frequency_hz == pytest.approx(200, rel=0.01)
    assert dip.depth_db == pytest.approx(12, abs=0.2)
    assert dip.width_octaves == pytest.approx(width, abs=3 / 48)
