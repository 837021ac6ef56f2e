"""Known rooms come back out of their sweeps."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.signal import fftconvolve, resample

import roomcheck
from roomcheck.measure import Sweep, impulse_response
from roomcheck.measure.faults import EmptyRecording, NoSweepFound, NotFinite, TooShort
from roomcheck.measure.signal.deconvolution import all_lags
from roomcheck.measure.signal.envelopes import envelopes
from roomcheck.standards.iec_61260_1_2014 import band_gain


def direct_db(ours: np.ndarray) -> float:
    """Peak of the envelope, eight times oversampled. [dB]"""
    at = int(np.argmax(np.abs(ours)))
    near = ours[max(at - 2000, 0) : at + 2000]
    spectrum = np.fft.fft(near)
    spectrum[len(near) // 2 :] = 0
    padded = np.concatenate(
        [spectrum[: len(near) // 2], np.zeros(7 * len(near)), spectrum[len(near) // 2 :]]
    )
    return float(20 * np.log10(2 * 8 * np.abs(np.fft.ifft(padded)).max()))


# The room is known because it was made: its spectrum inside the sweep's band must come back.
@pytest.mark.parametrize("rate_hz", [44_100, 48_000, 96_000])
@pytest.mark.parametrize("offset_s", [0.0, 0.37, 2.0])
def test_a_known_room_comes_back_wherever_the_sweep_begins(rate_hz, offset_s, helpers):
    sweep = Sweep(low_hz=40, high_hz=18_000, seconds=3, rate_hz=rate_hz)
    h = helpers.make_room(0.4, seed=4, rate_hz=rate_hz)
    y = helpers.make_take(sweep, h, noise_dbfs=-300, lead_s=offset_s, level=0.2)
    lags = all_lags(y, sweep)
    begin = lags.zero + int(offset_s * rate_hz)
    found = lags.samples[begin - 4000 : begin - 4000 + 2**16]
    size = 2**16
    hz = np.fft.rfftfreq(size, 1 / rate_hz)
    true = 0.2 * np.fft.rfft(h, size) * np.exp(-2j * np.pi * hz * 4000 / rate_hz)
    inside = (hz > 60) & (hz < 15_000)
    error_db = 20 * np.log10(
        np.linalg.norm((np.fft.rfft(found, size) - true)[inside]) / np.linalg.norm(true[inside])
    )
    assert error_db < -55
    assert lags.lag_s(lags.onset) == pytest.approx(offset_s, abs=1e-4)


def test_response_begins_shortly_before_the_direct_sound_and_ends_with_the_record(
    sweep, room, helpers
):
    y = helpers.make_take(sweep, room, lead_s=0.8, tail_s=1.7)
    response = impulse_response(y, sweep)
    at = int(np.argmax(np.abs(response.samples)))
    assert 0.01 * 48_000 < at < 0.06 * 48_000
    assert response.seconds - at / 48_000 == pytest.approx(1.7, abs=0.01)


# Farina 2000: harmonics land L ln n ahead of the linear response; cut off, they leave it as it was.
def test_distortion_is_cut_off_and_nothing_of_it_wraps_round(helpers):
    # Up to the fourth order below half the rate, so that the simulated loudspeaker does not alias.
    sweep = Sweep(low_hz=40, high_hz=5500, seconds=6, rate_hz=48_000)
    h = helpers.make_room(0.3, seed=2)
    clean = impulse_response(helpers.make_take(sweep, h, noise_dbfs=-300), sweep)
    bent = impulse_response(
        helpers.make_take(
            sweep, h, noise_dbfs=-300, speaker=lambda x: x + 0.1 * x**2 + 0.05 * x**4
        ),
        sweep,
    )
    tail = int(1.0 * 48_000)
    peak = np.abs(bent.samples).max()
    assert 20 * np.log10(np.abs(bent.samples[tail:]).max() / peak) < -60
    assert (
        20 * np.log10(np.linalg.norm(bent.samples - clean.samples) / np.linalg.norm(clean.samples))
        < -40
    )


def test_second_harmonic_stands_where_farina_says_at_the_level_that_trigonometry_says(sweep):
    # sin^2 = (1 - cos 2wt)/2: x + 0.1 x^2 has a second harmonic of 0.05. Order 2 lies L ln 2 ahead.
    x = np.concatenate([np.zeros(24_000), sweep.samples, np.zeros(48_000)])
    lags = all_lags(x + 0.1 * x**2, sweep)  # 1 kHz is far below where this aliases
    early = -sweep.harmonic_advance_s(2)
    part = next(p for p in envelopes(lags) if p.band_hz == 1000)
    ratio = part.part(early - 0.01, early + 0.01).sum() / part.part(-0.01, 0.01).sum()
    assert 10 * np.log10(ratio) == pytest.approx(20 * np.log10(0.05), abs=0.2)


# Smear by an uncorrected clock, direct sound alone, 20 Hz to 20 kHz, read on the envelope of an
# eight times oversampled response: computed in closed form (2.05 dB at 20 ppm and 20 s; 5.3 dB at
# 50 ppm; 7.7 dB at 100 ppm).
@pytest.mark.parametrize(("ppm", "loss_db"), [(20, 2.05), (50, 5.3), (100, 7.7)])
def test_an_uncorrected_clock_costs_what_the_closed_form_says(ppm, loss_db):
    sweep = Sweep(low_hz=20, high_hz=20_000, seconds=20, rate_hz=48_000)
    y = np.concatenate([np.zeros(48_000), sweep.samples, np.zeros(48_000)])
    y = np.concatenate([y, np.zeros(-len(y) % 50_000)])
    late = resample(y, len(y) + len(y) * ppm // 1_000_000)
    lost = direct_db(impulse_response(y, sweep).samples) - direct_db(
        impulse_response(late, sweep).samples
    )
    assert lost == pytest.approx(loss_db, abs=0.2)


# Noise of the response in closed form: with |X(f)|^2 = L/(4 f) (Novak et al. 2015), white noise of
# variance s^2 leaves a mean square of 8 s^2/(L rate^3) times the integral of g^2 f over an octave's
# gain g; a click's peak is 2/rate times the integral of g. Both grow as f^2, so every octave has
# the same range, and twice the sweep gives 3.0 dB. Computed.
@pytest.mark.parametrize("seconds", [3, 6])
def test_range_in_noise_is_that_of_the_closed_form(seconds, helpers):
    sweep = Sweep(low_hz=20, high_hz=20_000, seconds=seconds, rate_hz=48_000)
    y = helpers.make_take(sweep, np.ones(1), noise_dbfs=-40, level=0.5, tail_s=4)
    _, check = helpers.judge(y, sweep, bits=24)
    hz = np.linspace(0, 4000, 40_001)
    gain = band_gain(hz, 1000)
    peak = (2 / 48_000 * np.trapezoid(gain, hz) * 0.5) ** 2
    noise = 8 * 1e-4 / (sweep.constant_s * 48_000**3) * np.trapezoid(gain**2 * hz, hz)
    expected_db = 10 * np.log10(peak / noise)
    for band in check.bands[1:]:
        assert band.range_db == pytest.approx(expected_db, abs=0.5)


@pytest.mark.parametrize("shape", [(2, 48_000), (48_000, 1)])
def test_wrong_shapes_are_wrong_arguments(sweep, shape):
    with pytest.raises(ValueError, match="shape"):
        impulse_response(np.zeros(shape), sweep)


def test_what_holds_no_sweep_is_refused_with_what_to_do(sweep, room, helpers):
    noise = np.random.default_rng(3).standard_normal(10 * 48_000)
    good = helpers.make_take(sweep, room)
    for y, kind in (
        (np.zeros(10 * 48_000), EmptyRecording),
        (np.where(np.arange(len(good)) == 100_000, np.nan, good), NotFinite),
        (good[: 3 * 48_000], TooShort),
        (good[: int(6.4 * 48_000)], TooShort),
        (good[48_000:], TooShort),
        (noise, NoSweepFound),
        (np.sin(np.arange(480_000) * 0.03), NoSweepFound),
        (np.ones(480_000), NoSweepFound),
        (good[::-1], NoSweepFound),
    ):
        with pytest.raises(kind) as caught:
            impulse_response(y, sweep)
        assert caught.value.todo
        assert isinstance(caught.value, roomcheck.RoomcheckError)


def test_a_real_recording_gives_the_response_that_another_library_derived(measured_data):
    # A raw sweep recording of a real room, and the response derived from it by an independent
    # package, both published as test data of that package (C. Sevastiadis, Aristotle University of
    # Thessaloniki).
    sf = pytest.importorskip("soundfile")
    folder = measured_data / "sweep-recording-lab2"
    played, rate = sf.read(folder / "Sweep(10-22000Hz,10s-0.2s).wav")
    heard, _ = sf.read(folder / "GrCLab2SSRPos1Src1.wav")
    theirs = roomcheck.load_impulse_response(folder / "derived_ir_GrCLab2SSRPos1Src1.wav").samples
    lags = all_lags(heard, Sweep.of_samples(played, rate))
    # "peak at 0.4226 s (recording latency + flight time)"; the played file begins with its own
    # silence.
    assert lags.lag_s(lags.peak) == pytest.approx(0.4226, abs=0.002)
    at = int(np.argmax(np.abs(theirs)))
    ours = lags.samples[lags.peak - 200 : lags.peak + 20_000]
    likeness = fftconvolve(theirs[at - 200 : at + 20_000], ours[::-1])
    likeness /= np.linalg.norm(ours) * np.linalg.norm(theirs[at - 200 : at + 20_000])
    assert np.abs(likeness).max() > 0.98
