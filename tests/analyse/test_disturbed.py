"""What is no decay ends a record, and what two slopes are is said; nothing breaks, whatever comes."""

from __future__ import annotations

import warnings

import numpy as np
import pytest
import soundfile as sf
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

import decay_truth as truth
import disturbed_decays as odd
from roomcheck.analyse import DecayWarning, MeanRemark, PositionDecays, Reason, band_means, decays
from roomcheck.analyse.band.bands import Band
from roomcheck.analyse.band.noise import tail
from roomcheck.analyse.visit.few_places import PlaceValues, estimates
from roomcheck.analyse.visit.repeats import together
from roomcheck.measure.signal.signals import ImpulseResponse

SISTERS_1000_HZ_S = 1.17
"""T20 of two sister recordings and of their median: SOURCE.md beside the recordings."""


def test_a_disturbed_repeat_reads_as_its_sisters_or_not_at_all(measured_data):
    """Channel 2, ir0: 4.44 s at 1 kHz and 3.29 s at 2 kHz were read across a disturbance; its sisters
    and their median give 1.17 and 1.16 s."""
    found = {}
    for name in ("ir0", "ir1", "ir2", "median"):
        x, rate_hz = sf.read(measured_data / "repeated-captures" / f"channel2-{name}.flac")
        bands = decays(ImpulseResponse(samples=x, rate_hz=rate_hz))
        found[name] = {band.band_hz: band for band in bands}
    for band_hz in (1000.0, 2000.0, 4000.0, 8000.0):
        odd_one, middle = found["ir0"][band_hz].t20_s, found["median"][band_hz].t20_s
        assert odd_one is None or odd_one == pytest.approx(middle, rel=0.25)
    assert found["ir0"][1000.0].t20_s == pytest.approx(SISTERS_1000_HZ_S, rel=0.05)
    assert found["ir1"][1000.0].t20_s == pytest.approx(SISTERS_1000_HZ_S, rel=0.02)


def lounge(level_db: float, seed: int) -> tuple[np.ndarray, truth.Draw]:
    """T = 1.1 s, and a slow hump that stays at so much below the start for 1 s before it dies."""
    drawn = truth.draw(seed, 2.6, truth.exponential(1.1))
    t = np.arange(len(drawn.samples)) / truth.RATE_HZ
    shape = 10 ** (level_db / 20) / (1 + np.exp((t - 1.5) / 0.08))
    noise = np.random.default_rng(seed).standard_normal(len(t))
    return truth.noisy(drawn, 70, seed).samples + noise * shape, drawn


@pytest.mark.parametrize("seed", range(3))
def test_a_slow_hump_is_not_taken_for_decay(seed):
    """A hump near -37 dB: without it T is 1.1 s. Its energy over a second is that of the decay's last
    25 dB, and T20 read 1.5 s across it."""
    samples, drawn = lounge(-37.0, seed)
    given = 0
    for band in decays(ImpulseResponse(samples=samples, rate_hz=truth.RATE_HZ)):
        if band.band_hz >= 250:
            for number in ("t20_s", "t30_s"):
                value = getattr(band, number)
                true_s = drawn.truth[band.band_hz][number]
                assert value is None or value == pytest.approx(true_s, rel=0.25), band
            given += band.t20_s is not None
    assert given >= 4


def test_t30_is_hardly_ever_read_across_a_slow_hump_in_one_octave():
    """24 draws of the benchmark; of 100 it gave 78 T30, 24 of them off by more than 25 %."""
    humps = odd.slow_humps(24, seed=5)
    assert humps["t20_s"].given >= 18
    assert humps["t20_s"].wrong == 0
    assert humps["t30_s"].wrong <= 3


def test_a_burst_ends_the_record_ahead_of_it_and_is_named():
    drawn = truth.draw(11, 2.0, truth.exponential(1.0))
    t = np.arange(len(drawn.samples)) / truth.RATE_HZ
    burst = np.random.default_rng(2).standard_normal(len(t)) * ((t > 0.6) & (t < 0.9)) * 10**-0.75
    plain = truth.noisy(drawn, 70, 11).samples
    for band in decays(ImpulseResponse(samples=plain + burst, rate_hz=truth.RATE_HZ)):
        if band.band_hz >= 500:
            assert band.t20_s == pytest.approx(drawn.truth[band.band_hz]["t20_s"], rel=0.1)
            assert band.t30_s is None
            (why,) = [fact for fact in band.withheld if fact.kind is Reason.DISTURBED]
            assert why["at_s"] == pytest.approx(0.6, abs=0.06)
            (said,) = [fact for fact in band.warnings if fact.kind is DecayWarning.DISTURBED]
            assert said["over_db"] > 5


@pytest.mark.parametrize(("share", "early_s", "late_s"), [(0.01, 0.3, 1.0), (0.003, 0.5, 2.0)])
def test_coupled_rooms_are_given_as_two_slopes(share, early_s, late_s):
    drawn = truth.draw(5, 1.5 * late_s + 0.4, truth.double_slope(share, early_s, late_s))
    for band in decays(truth.noisy(drawn, 60, 5)):
        if band.band_hz >= 1000:
            assert band.two_slopes is not None
            assert band.two_slopes.early_s == pytest.approx(early_s, rel=0.1)
            assert band.two_slopes.late_s == pytest.approx(late_s, rel=0.1)
            assert band.t30_s == pytest.approx(drawn.truth[band.band_hz]["t30_s"], rel=0.06)
            assert any(fact.kind is DecayWarning.TWO_SLOPES for fact in band.warnings)


@pytest.mark.parametrize("seed", [9, 15, 28])
def test_a_narrow_octave_has_both_slopes_too(seed):
    """Few samples say little; T30 across both decays is given as soon as they say enough."""
    drawn = truth.draw(seed, 1.9, truth.double_slope(0.01, 0.3, 1.0))
    band = decays(truth.noisy(drawn, 50, seed))[2]
    assert band.two_slopes is not None
    assert band.t30_s == pytest.approx(drawn.truth[250.0]["t30_s"], rel=0.08)


@pytest.mark.parametrize(("share", "ratio"), [(0.03, 6.0), (0.003, 8.0), (0.0003, 12.0)])
def test_a_second_decay_far_slower_is_given_with_both_times(share, ratio):
    """T20 and T30 are not read across it: nobody knows whether it is a room's."""
    late_s = 0.4 * ratio
    drawn = truth.draw(7, late_s + 0.4, truth.double_slope(share, 0.4, late_s))
    for band in decays(truth.noisy(drawn, 72, 7)):
        if band.band_hz >= 1000:
            assert band.two_slopes is not None
            assert band.two_slopes.early_s == pytest.approx(0.4, rel=0.12)
            assert band.two_slopes.late_s == pytest.approx(late_s, rel=0.12)
            assert any(fact.kind is DecayWarning.FAR_APART for fact in band.warnings)
            assert band.t20_s is None or share != 0.003


def test_a_noise_that_sinks_by_less_is_no_second_decay():
    """It begins 40 dB down and sinks by 15 dB in 2 s, as a fan that runs out."""
    drawn = truth.draw(8, 2.0, truth.exponential(0.5))
    t = np.arange(len(drawn.samples)) / truth.RATE_HZ
    fan = np.random.default_rng(8).standard_normal(len(t)) * 10 ** ((-40 - 7.5 * t) / 20)
    for band in decays(ImpulseResponse(samples=drawn.samples + fan, rate_hz=truth.RATE_HZ)):
        assert not any(fact.kind is DecayWarning.FAR_APART for fact in band.warnings)


def test_straight_decays_have_one_slope():
    for seed in range(4):
        drawn = truth.draw(40 + seed, 1.3, truth.exponential(0.6))
        assert not any(band.two_slopes for band in decays(truth.noisy(drawn, 60, seed)))


def test_made_up_disturbances_hardly_ever_give_a_wrong_number():
    """90 cases of the benchmark, which has the limits: 1 in 200 wrong, 80 % of what is supported."""
    whole = odd.Tally()
    for tally in odd.run(90, 11).values():
        whole.add(tally)
    assert whole.given > 500
    assert whole.wrong <= 0.01 * whole.given, whole.worst
    assert whole.supported_given >= 0.85 * whole.supported


def church(seed: int) -> np.ndarray:
    """3.6 s, a strong tail that is faded out, digital silence."""
    rng = np.random.default_rng(seed)
    t = np.arange(8 * 44_100) / 44_100
    x = rng.standard_normal(t.size) * 10 ** (-3 * t / 3.6) + 0.03 * rng.standard_normal(t.size)
    return x * 10 ** (-15 * np.maximum(t - 5.0, 0.0))


@pytest.mark.parametrize("seed", range(3))
def test_a_steep_end_after_a_strong_tail_is_no_overflow(seed):
    """A line that falls late and steeply has no power at the start that a number could hold."""
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        for band in decays(ImpulseResponse(samples=church(seed), rate_hz=44_100), 3):
            assert band.withheld or band.t20_s


def test_textbook_decays_always_show_a_decay():
    """35 dB and more over the noise: a fit that runs off falls back to what the blocks say."""
    for seed in range(25):
        rng = np.random.default_rng(seed)
        t60_s = float(np.exp(rng.uniform(np.log(0.15), np.log(2.0))))
        t = np.arange(int((2 * t60_s + 0.2) * 16_000)) / 16_000
        x = rng.standard_normal(t.size) * 10 ** (-3 * t / t60_s)
        x += 10 ** (-rng.uniform(35, 80) / 20) * rng.standard_normal(t.size)
        for fraction in (1, 3):
            for band in decays(ImpulseResponse(samples=x, rate_hz=16_000), fraction):
                if 0.23 * band.band_hz * t60_s * (3 if fraction == 1 else 1) >= 8:
                    assert all(fact.kind is not Reason.NO_DECAY for fact in band.withheld), seed


NUMBERS = ("edt_s", "t20_s", "t30_s", "c50_db", "c80_db", "d50", "ts_s", "range_db")

slopes = st.sampled_from([1200.0, 200.0, 60.0, 16.7, 3.0, 0.0, -30.0, 3000.0])
pieces = st.lists(st.tuples(st.floats(0.01, 1.0), slopes), min_size=1, max_size=4)


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(
    pieces=pieces,
    rate_hz=st.sampled_from([8_000, 11_025, 16_000, 44_100]),
    exponent=st.sampled_from([0, -5, 4, 150, 160, -150, -160, -300, -320]),
    noise_db=st.sampled_from([None, -20.0, -60.0, -120.0]),
    lead_s=st.sampled_from([0.0, 0.2]),
    fraction=st.sampled_from([1, 3]),
    seed=st.integers(0, 1000),
)
def test_whatever_falls_or_rises_gives_numbers_or_reasons(
    pieces, rate_hz, exponent, noise_db, lead_s, fraction, seed
):
    """Levels, lengths, rates, slopes, numbers next to 0: no error, no warning, nothing infinite."""
    level_db, parts = 0.0, []
    for seconds, slope_db in pieces:
        t = np.arange(int(seconds * rate_hz)) / rate_hz
        parts.append(level_db - slope_db * t)
        level_db = float(np.clip(level_db - slope_db * seconds, -4000, 0))
    db = np.clip(np.concatenate(parts), -6000, 0)
    rng = np.random.default_rng(seed)
    x = rng.standard_normal(db.size) * 10 ** (db / 20)
    if noise_db is not None:
        x += 10 ** (noise_db / 20) * rng.standard_normal(db.size)
    x = np.concatenate((np.zeros(int(lead_s * rate_hz)), x)) * 10.0**exponent
    if x.size == 0:
        return
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        bands = decays(ImpulseResponse(samples=x, rate_hz=rate_hz), fraction)
    for band in bands:
        values = [getattr(band, number) for number in NUMBERS]
        assert all(value is None or np.isfinite(value) for value in values)
        for name in ("edt_s", "t20_s", "t30_s"):
            assert getattr(band, name) is None or getattr(band, name) > 0
            assert getattr(band, name) is not None or band.withheld


@settings(max_examples=80, deadline=None)
@given(
    powers=st.lists(
        st.sampled_from([0.0, 5e-324, 1e-310, 1e-200, 1e-30, 1e-6, 0.1, 1.0]),
        min_size=20,
        max_size=400,
    ),
    bandwidth_hz=st.sampled_from([11.5, 177.0, 5600.0]),
)
def test_any_power_has_an_end_or_none(powers, bandwidth_hz):
    """The end of a record alone, on powers that no filter makes."""
    power = np.array(powers)
    band = Band(1000.0, bandwidth_hz, power, 4 / bandwidth_hz, 0, 0.0, len(power))
    with warnings.catch_warnings():
        warnings.simplefilter("error")
        end = tail(band, np.concatenate(([0.0], np.cumsum(power))))
    if end is not None:
        assert end.slope > 0 and np.isfinite(end.ln_level)
        assert 0 <= end.knee_s <= len(power) * band.dt_s * (1 + 1e-9)
        assert np.isfinite(end.missing(end.knee_s))


@settings(max_examples=60, deadline=None)
@given(
    readings=st.lists(
        st.tuples(
            st.floats(1e-3, 1e3),
            st.one_of(st.none(), st.floats(0.0, 10.0)),
        ),
        min_size=1,
        max_size=8,
    )
)
def test_any_takes_have_a_mean_between_them(readings):
    found = together(readings)
    values = [value for value, _ in readings]
    assert min(values) * (1 - 1e-12) <= found.value <= max(values) * (1 + 1e-12)
    assert found.sd is None or np.isfinite(found.sd)


@settings(max_examples=60, deadline=None)
@given(
    bands=st.lists(
        st.one_of(
            st.none(),
            st.tuples(
                st.lists(st.floats(1e-3, 1e3), min_size=1, max_size=7),
                st.one_of(st.none(), st.floats(1e-6, 10.0)),
            ),
        ),
        min_size=1,
        max_size=8,
    )
)
def test_any_places_have_a_mean_between_them_and_an_uncertainty(bands):
    places = [band and PlaceValues(values=tuple(band[0]), known_sd=band[1]) for band in bands]
    for band, found in zip(bands, estimates(places), strict=True):
        assert (found is None) == (band is None)
        if band and found:
            assert min(band[0]) * (1 - 1e-12) <= found.value <= max(band[0]) * (1 + 1e-12)
            assert found.u is None or (np.isfinite(found.u) and found.u >= 0)
            assert found.n == len(band[0])


def test_a_take_that_disagrees_with_its_sisters_counts_less_and_is_said():
    """Weights by hand: limit 0.0585 s, 3.27 s off: 0.00032; mean (1.17 + 1.18 + 0.0014)/2.0003."""
    found = together([(1.17, 0.05), (1.18, 0.05), (4.44, 0.05)])
    assert found.value == pytest.approx(1.1755, abs=0.001)
    assert (found.odd, found.sisters) == (4.44, 1.18)
    alike = together([(0.60, 0.02), (0.61, 0.02)])
    assert alike.odd is None and alike.value == pytest.approx(0.605)
    two = together([(0.60, 0.02), (0.80, 0.02)])
    assert two.odd is not None and two.sd == pytest.approx(0.1)


def test_repeats_of_a_visit_say_which_band_disagrees(measured_data):
    """Four captures of channel 1 of which one is replaced by another room's: a band mean says so."""
    takes = []
    for name in ("ir1", "ir2", "median"):
        x, rate_hz = sf.read(measured_data / "repeated-captures" / f"channel2-{name}.flac")
        takes.append(ImpulseResponse(samples=x, rate_hz=rate_hz))
    x, rate_hz = sf.read(measured_data / "repeated-captures" / "channel1-ir1.flac")
    takes.append(ImpulseResponse(samples=x, rate_hz=rate_hz))
    positions = [
        PositionDecays(
            source="S1",
            microphone="M1",
            take=f"take{i}",
            octaves=decays(response, 1),
            thirds=decays(response, 3),
            speech=None,
        )
        for i, response in enumerate(takes)
    ]
    means = {mean.band_hz: mean for mean in band_means(positions, 1)}
    assert any(fact.kind is MeanRemark.TAKES_DIFFER for fact in means[4000.0].remarks)
    assert means[4000.0].t20_s == pytest.approx(0.90, abs=0.03)


@settings(max_examples=8, deadline=None)
@given(
    at_1000_hz_s=st.floats(0.6, 1.6),
    power=st.floats(0.0, 1.2),
    fraction=st.sampled_from([1, 3]),
    seed=st.integers(0, 1000),
)
def test_bands_whose_decay_falls_smoothly_with_frequency_are_their_own(
    at_1000_hz_s, power, fraction, seed
):
    """As air takes the treble of a church: the inside of a band dies no sooner than its lower end, and
    nothing leaks in. Twelfths of an octave, each with its own T."""
    rng = np.random.default_rng(seed)
    rate_hz, seconds = 32_000, 1.6 * at_1000_hz_s + 0.4
    n = int(seconds * rate_hz)
    spectrum, hz = np.fft.rfft(rng.standard_normal(n)), np.fft.rfftfreq(n, 1 / rate_hz)
    t, x = np.arange(n) / rate_hz, 1e-3 * rng.standard_normal(n)
    for low_hz in 350 * 2 ** (np.arange(0, 60) / 12):
        inside = (hz >= low_hz) & (hz < low_hz * 2 ** (1 / 12))
        decay_s = at_1000_hz_s * (low_hz / 1000) ** -power
        x += np.fft.irfft(np.where(inside, spectrum, 0), n) * 10 ** (-3 * t / decay_s)
    for band in decays(ImpulseResponse(samples=x, rate_hz=rate_hz), fraction):
        if 500 <= band.band_hz <= 8000:
            assert all(why.kind is not Reason.NEIGHBOUR for why in band.withheld), band
