"""The bands as they are used, against the printed limits of IEC 61260-1:2014, at every rate that
recorders have."""

from __future__ import annotations

import numpy as np
import pytest

from roomcheck.analyse.band.bands import Spectrum
from roomcheck.standards.iec_61260_1_2014 import (
    MOST_LEAN,
    OCTAVES_HZ,
    THIRDS_HZ,
    bandwidth_hz,
    exact_hz,
)

G = 10**0.3

# IEC 61260-1:2014, Table 1, class 1, as quoted in open filter libraries: exponent of G of an
# octave, least and most relative attenuation in dB. "Just inside" and "just outside" the edge are 1
# % of the bandwidth away from it.
CLASS_1 = [
    *(
        (0.125, -0.4, 0.5),
        (0.25, -0.4, 0.7),
        (0.375, -0.4, 1.4),
        (0.49, -0.4, 5.3),
        (0.51, 1.2, np.inf),
    ),
    *((1, 16.6, np.inf), (2, 40.5, np.inf), (3, 60, np.inf), (4, 70, np.inf)),
]


def level_db(f, band_hz, fraction, rate_hz, lean_per_s=0.0):
    """What the band passes of a long tone that swells and fades."""
    t = np.arange(int(40 / bandwidth_hz(band_hz, fraction) * rate_hz)) / rate_hz
    tone = np.sin(np.pi * t / t[-1]) ** 4 * np.sin(2 * np.pi * f * t)
    return 10 * np.log10(
        Spectrum(tone, rate_hz, 0.0, 0.05).band(band_hz, fraction, lean_per_s).power.sum()
    )


def check(band_hz, fraction, rate_hz, lean_per_s=0.0):
    middle = exact_hz(band_hz, fraction)
    reference = level_db(middle, band_hz, fraction, rate_hz, lean_per_s)
    checked = 0
    for x, least, most in CLASS_1:
        # Formula (9): where the limits of a fraction of an octave stand.
        ratio = 1 + (G ** (0.5 / fraction) - 1) / (G**0.5 - 1) * (G**x - 1)
        for f in (middle * ratio, middle / ratio):
            if f < 0.49 * rate_hz:
                found = reference - level_db(f, band_hz, fraction, rate_hz, lean_per_s)
                assert least <= found <= most, (band_hz, x, f, found)
                checked += 1
    return checked


@pytest.mark.parametrize("rate_hz", [44_100, 48_000, 88_200, 96_000])
@pytest.mark.parametrize(
    ("fraction", "bands"), [(1, (*OCTAVES_HZ[::3], 8000.0)), (3, (*THIRDS_HZ[::8], 1e4))]
)
def test_bands_as_used_keep_class_1(fraction, bands, rate_hz):
    for band_hz in bands:
        assert check(band_hz, fraction, rate_hz) >= 13


@pytest.mark.parametrize(("fraction", "band_hz"), [(1, 63.0), (1, 125.0), (3, 100.0)])
def test_bands_of_short_decays_keep_it_too(fraction, band_hz):
    assert check(band_hz, fraction, 48_000, MOST_LEAN * bandwidth_hz(band_hz, fraction)) == 18
