"""Bands and filters against IEC 61260-1:2014, as quoted in open filter libraries (verified
second-hand)."""

from __future__ import annotations

import numpy as np
import pytest

from roomcheck.standards.iec_61260_1_2014 import (
    MOST_LEAN,
    OCTAVES_HZ,
    THIRDS_HZ,
    attenuation_limits_db,
    band_edges_hz,
    band_gain,
    bandwidth_hz,
    exact_hz,
    leaning_gain,
    support_hz,
)

# IEC 61260-1:2014, Formulas (2) and (3): exact mid-band frequencies.
EXACT_OCTAVES = [
    "63.0957",
    "125.8925",
    "251.1886",
    "501.1872",
    "1000",
    "1995.2623",
    "3981.0717",
    "7943.2823",
]
EXACT_THIRDS = [
    *(
        "50.1187",
        "63.0957",
        "79.4328",
        "100",
        "125.8925",
        "158.4893",
        "199.5262",
        "251.1886",
        "316.2278",
        "398.1072",
    ),
    *(
        "501.1872",
        "630.9573",
        "794.3282",
        "1000",
        "1258.9254",
        "1584.8932",
        "1995.2623",
        "2511.8864",
        "3162.2777",
    ),
    *("3981.0717", "5011.8723", "6309.5734", "7943.2823", "10000"),
]

# Formula (9) and Table F.1: where the limits of a third stand, over the mid-band frequency.
THIRD_RATIOS = [
    "1.02667",
    "1.05575",
    "1.08746",
    "1.12202",
    "1.29437",
    "1.88173",
    "3.05365",
    "5.39195",
]


@pytest.mark.parametrize(
    ("fraction", "nominal", "printed"),
    [(1, OCTAVES_HZ, EXACT_OCTAVES), (3, THIRDS_HZ, EXACT_THIRDS)],
)
def test_exact_frequencies_are_those_printed(fraction, nominal, printed):
    for band_hz, text in zip(nominal, printed, strict=True):
        assert exact_hz(band_hz, fraction) == pytest.approx(float(text), abs=0.5e-4, rel=0)


def test_octave_edges_are_those_printed_and_meet():
    printed = [
        44.6684,
        89.1251,
        177.8279,
        354.8134,
        707.9458,
        1412.5375,
        2818.3829,
        5623.4133,
        11220.1845,
    ]
    for band_hz, low, high in zip(OCTAVES_HZ, printed, printed[1:], strict=False):
        assert band_edges_hz(band_hz) == pytest.approx((low, high), abs=0.5e-4, rel=0)


def test_limits_of_a_third_stand_where_table_f_1_prints_them():
    found = [ratio for ratio, _, _ in attenuation_limits_db(3) if ratio > 1]
    for ratio, text in zip(found, THIRD_RATIOS, strict=True):
        assert ratio == pytest.approx(float(text), abs=0.5e-5, rel=0)


# Table 1, class 1: exponent of G, least and most relative attenuation in dB.
CLASS_1 = [
    *(
        (0, -0.4, 0.4),
        (0.125, -0.4, 0.5),
        (0.25, -0.4, 0.7),
        (0.375, -0.4, 1.4),
        (0.4999, -0.4, 5.3),
    ),
    *(
        (0.5001, 1.2, np.inf),
        (1, 16.6, np.inf),
        (2, 40.5, np.inf),
        (3, 60, np.inf),
        (4, 70, np.inf),
        (5, 70, np.inf),
    ),
]


@pytest.mark.parametrize(("fraction", "bands"), [(1, OCTAVES_HZ), (3, THIRDS_HZ)])
def test_filters_keep_class_1_at_every_limit(fraction, bands):
    G = 10**0.3
    for band_hz in bands:
        middle = exact_hz(band_hz, fraction)
        reference = band_gain(middle, band_hz, fraction)
        for x, least, most in CLASS_1:
            ratio = 1 + (G ** (0.5 / fraction) - 1) / (G**0.5 - 1) * (G**x - 1)
            for f in (middle * ratio, middle / ratio):
                found = -20 * np.log10(
                    max(float(band_gain(f, band_hz, fraction) / reference), 1e-12)
                )
                assert least <= found <= most, (band_hz, x, found)


@pytest.mark.parametrize("lean", [0.0, 0.25, MOST_LEAN])
@pytest.mark.parametrize("fraction", [1, 3])
def test_leaning_filters_keep_class_1_too(lean, fraction):
    G = 10**0.3
    k = lean * bandwidth_hz(1000, fraction)
    reference = abs(leaning_gain(np.array([1000.0]), 1000, fraction, k)[0])
    for x, least, most in CLASS_1:
        ratio = 1 + (G ** (0.5 / fraction) - 1) / (G**0.5 - 1) * (G**x - 1)
        for f in (1000 * ratio, 1000 / ratio):
            gain = abs(leaning_gain(np.array([f]), 1000, fraction, k)[0])
            assert least <= -20 * np.log10(max(gain / reference, 1e-12)) <= most, (x, f)


def test_a_filter_that_leans_further_is_refused():
    with pytest.raises(ValueError, match="lean_per_s"):
        leaning_gain(np.array([1000.0]), 1000, 1, 0.8 * bandwidth_hz(1000))


def test_filters_pass_half_the_power_at_the_edges_and_nothing_beyond_their_support():
    for band_hz in OCTAVES_HZ:
        assert band_gain(band_edges_hz(band_hz), band_hz) ** 2 == pytest.approx(0.5, rel=1e-6)
        assert (band_gain(np.array(support_hz(band_hz)), band_hz) < 10 ** (-50 / 20)).all()


def test_neighbouring_bands_add_up_to_nearly_all_the_power():
    """The standard's summation rule allows +0.8 and -1.8 dB in class 1 (from memory)."""
    f = np.linspace(100, 5000, 2000)
    total_db = 10 * np.log10(sum(band_gain(f, band_hz) ** 2 for band_hz in OCTAVES_HZ))
    assert total_db.max() < 0.8 and total_db.min() > -1.8


def test_a_fraction_that_does_not_exist_is_refused():
    with pytest.raises(ValueError, match="fraction"):
        exact_hz(1000, 2)


def test_limits_of_an_octave_are_those_of_table_1():
    # Table 1's breakpoints, frequencies as powers of G; just within the edges 5.3 dB at most.
    printed = {round(x, 3): (least, most) for x, least, most in CLASS_1 if x not in (0.5001, 5)}
    found = [
        (round(float(np.log(ratio) / np.log(10**0.3)), 6), least, most)
        for ratio, least, most in attenuation_limits_db(1)
    ]
    assert len(found) == 2 * len(printed) - 1
    for x, least, most in found:
        assert printed[abs(x)] == (least, most)


def test_nominal_thirds_are_the_preferred_numbers():
    # ISO 266, series R 10, from memory: ten steps a decade, the same in every decade.
    decade = (1, 1.25, 1.6, 2, 2.5, 3.15, 4, 5, 6.3, 8)
    preferred = [step * 10**power for power in range(1, 5) for step in decade]
    wanted = [hz for hz in preferred if 50 <= hz <= 10_000]
    assert list(THIRDS_HZ) == pytest.approx(wanted, rel=1e-12)
