"""The sweep against its published formula."""

from __future__ import annotations

import numpy as np
import pytest

from roomcheck.measure import Sweep

# A. Farina 2000: L = T/ln(f2/f1), order n arrives L ln n early; worked numbers computed from these
# formulas, the formulas themselves verified in open sweep code (secondary source).
FARINA = {  # (f1, f2, T): L, L ln 2 .. L ln 6
    (20, 20_000, 10): ("1.447648", ["1.00343", "1.59040", "2.00687", "2.32990", "2.59384"]),
    (50, 16_000, 5): ("0.866803", ["0.60082", "0.95228", "1.20164", "1.39507", "1.55310"]),
    (20, 20_000, 5): ("0.723824", ["0.50172", "0.79520", "1.00343", "1.16495", "1.29692"]),
}


def half_digit(printed: str) -> float:
    return 0.5 * 10.0 ** -len(printed.partition(".")[2])


@pytest.mark.parametrize(("shape", "printed"), FARINA.items())
def test_constant_and_harmonic_advances(shape, printed):
    low, high, seconds = shape
    sweep = Sweep(low_hz=low, high_hz=high, seconds=seconds, rate_hz=48_000)
    constant, advances = printed
    assert sweep.constant_s == pytest.approx(float(constant), abs=half_digit(constant), rel=0)
    for order, entry in enumerate(advances, 2):
        assert sweep.harmonic_advance_s(order) == pytest.approx(
            float(entry), abs=half_digit(entry), rel=0
        )
    assert sweep.samples.shape == (seconds * 48_000,)


# f(T/2) = sqrt(f1 f2): 632.4555 Hz and 894.4272 Hz. Computed from Farina's formula.
@pytest.mark.parametrize(
    ("low", "high", "middle_hz"), [(20, 20_000, 632.4555), (50, 16_000, 894.4272)]
)
def test_half_way_through_the_tone_is_the_geometric_mean(low, high, middle_hz):
    sweep = Sweep(low_hz=low, high_hz=high, seconds=10, rate_hz=48_000)
    x, at = sweep.samples, len(sweep.samples) // 2
    near = x[at - 4800 : at + 4800]
    up = np.flatnonzero((near[:-1] < 0) & (near[1:] >= 0))
    exact = up + near[up] / (near[up] - near[up + 1])
    # Cycles against the logarithm of time pass the middle at f(T/2).
    slope = np.polyfit(exact - 4800, np.arange(len(exact)), 2)[1]
    assert slope * 48_000 == pytest.approx(middle_hz, rel=2e-3)
    assert sweep.time_at_s(middle_hz) == pytest.approx(5.0, abs=1e-6)


# Closed-form spectrum of an exponential sweep: |X(f)| = 0.5 sqrt(L/f), Novak, Lotton, Simon 2015,
# Eq. 42, as quoted in open sweep code.
def test_spectrum_falls_by_3_db_an_octave_as_the_closed_form_says():
    sweep = Sweep(low_hz=20, high_hz=20_000, seconds=10, rate_hz=48_000)
    hz = np.fft.rfftfreq(len(sweep.samples), 1 / 48_000)
    found = np.abs(np.fft.rfft(sweep.samples)) / 48_000
    for middle in (100, 400, 1600, 6400):
        near = (hz > 0.97 * middle) & (hz < 1.03 * middle)
        ratio_db = 20 * np.log10(
            np.mean(found[near] / (0.5 * np.sqrt(sweep.constant_s / hz[near])))
        )
        assert ratio_db == pytest.approx(0, abs=0.05)


@pytest.mark.parametrize("rate_hz", [44_100, 48_000, 96_000])
def test_ends_are_faded_and_samples_cannot_be_changed(rate_hz):
    sweep = Sweep(low_hz=30, high_hz=18_000, seconds=2, rate_hz=rate_hz)
    assert abs(sweep.samples[0]) < 1e-6
    assert abs(sweep.samples[-1]) < 1e-6
    assert np.abs(sweep.samples).max() == pytest.approx(1, abs=1e-3)
    with pytest.raises(ValueError, match="read-only"):
        sweep.samples[0] = 1


@pytest.mark.parametrize(
    ("wrong", "named"),
    [
        ({"low_hz": 0}, "low_hz"),
        ({"low_hz": 30_000}, "low_hz"),
        ({"high_hz": 24_001}, "high_hz"),
        ({"seconds": 0}, "seconds"),
        ({"seconds": float("nan")}, "seconds"),
        ({"rate_hz": 0}, "rate_hz"),
    ],
)
def test_impossible_sweeps_name_the_argument(wrong, named):
    right = {"low_hz": 20, "high_hz": 20_000, "seconds": 1, "rate_hz": 48_000}
    with pytest.raises(ValueError, match=named):
        Sweep(**{**right, **wrong})


def test_a_foreign_sweep_is_read_off_its_samples():
    own = Sweep(low_hz=25, high_hz=18_000, seconds=8, rate_hz=44_100)
    padded = np.concatenate([np.zeros(3000), 0.3 * own.samples, np.zeros(9000)])
    found = Sweep.of_samples(padded, 44_100)
    assert found.constant_s == pytest.approx(own.constant_s, rel=1e-3)
    assert found.harmonic_advance_s(2) == pytest.approx(own.harmonic_advance_s(2), rel=1e-3)
    assert found.low_hz == pytest.approx(25, rel=0.02)
    assert found.high_hz == pytest.approx(18_000, rel=0.02)


@pytest.mark.parametrize(
    "wrong",
    [
        np.zeros(48_000),
        np.sin(np.arange(48_000) * 0.05),
        np.random.default_rng(0).standard_normal(48_000),
        np.sin(np.arange(96_000) ** 2 * 1e-5),  # linear, not exponential
        np.full(48_000, np.nan),
    ],
)
def test_what_is_no_exponential_sweep_is_refused(wrong):
    with pytest.raises(ValueError, match="samples"):
        Sweep.of_samples(wrong, 48_000)
