"""Which way round: limits of length, place and likeness, each a sample on either side; worked by hand."""

from __future__ import annotations

import math
from types import SimpleNamespace

import numpy as np
import pytest
import soundfile

from roomcheck.measure import Take
from roomcheck.measure.card.meter import SILENT_DBFS, _db
from roomcheck.measure.checks.arrivals import distortion, median_db, two_sources
from roomcheck.measure.checks.checks import _width, gaps, still_sounding
from roomcheck.measure.checks.clock import ALIKE, Pair, _slide, marker_offsets_s, read_markers
from roomcheck.measure.checks.listening import _rate_notes
from roomcheck.measure.checks.take_record import NEEDED_DB
from roomcheck.measure.faults import ClockJump, MarkersNotFound, TooShort, TruncatedRecording
from roomcheck.measure.files.played import Marker, lay_out
from roomcheck.measure.files.sound_file import check_sound
from roomcheck.measure.signal.deconvolution import (
    MIN_TAIL_S,
    Lags,
    _check_place,
    _onset,
    check_samples,
)
from roomcheck.measure.signal.envelopes import Envelope
from roomcheck.measure.signal.sweep import Sweep
from roomcheck.measure.visit.level import PROBE_S, LevelLimit, _Probe, _too_hot

RATE_HZ = 48_000
SWEEP = Sweep(low_hz=100, high_hz=16_000, seconds=0.5, rate_hz=RATE_HZ)
MARKER = Marker()


def lags(start: int, *, zero: int = 24_000, tail_end: int = 40_000) -> Lags:
    return Lags(np.zeros(50_000), zero, start, float(start), tail_end, SWEEP)


def test_a_record_must_hold_the_sweep_and_a_tenth_of_a_second():
    need = len(SWEEP.samples) + int(0.1 * RATE_HZ)
    check_samples(np.ones(need), SWEEP, "a")
    with pytest.raises(TooShort, match=f"{need / RATE_HZ:.2f} s at least"):
        check_samples(np.ones(need - 1), SWEEP, "a")


def test_a_sweep_may_begin_two_milliseconds_before_the_record_and_no_sooner():
    _check_place(lags(24_000 - 96), "a")
    with pytest.raises(TooShort, match="already running"):
        _check_place(lags(24_000 - 97), "a")


def test_the_tail_lasts_a_tenth_of_a_second_at_least():
    least = int(MIN_TAIL_S * RATE_HZ)
    _check_place(lags(24_000, tail_end=24_000 + least), "a")
    with pytest.raises(TooShort, match="after the sweep"):
        _check_place(lags(24_000, tail_end=24_000 + least - 1), "a")


def test_the_onset_is_where_the_level_passes_20_db_below_the_peak():
    """Between a sample of 0.05 and one of 0.15 the tenth of the peak lies half-way."""
    h = np.zeros(30_000)
    h[20_000:20_003] = 0.05, 0.15, 1.0
    assert _onset(h, 20_002, SWEEP) == pytest.approx(20_000.5)


@pytest.mark.parametrize("delay", [0.0, 0.25, 0.5, -0.3125])
def test_a_marker_is_found_to_a_fraction_of_a_sample(delay):
    """Delayed by a phase that grows with frequency: exact for what is band limited."""
    one = np.pad(MARKER.samples(RATE_HZ), 2000)
    two = np.pad(one, 3000)
    hz = np.fft.rfftfreq(len(two))
    two = np.fft.irfft(np.fft.rfft(two) * np.exp(-2j * np.pi * hz * delay), len(two))
    alike, at = _slide(one, two, RATE_HZ, MARKER)
    assert at == pytest.approx(3000 + delay, abs=0.01)
    assert alike > (0.999 if delay == 0 else 0.9)


def test_noise_is_unlike_a_marker_and_as_much_noise_as_chirp_is_the_limit():
    rng = np.random.default_rng(5)
    one = np.pad(MARKER.samples(RATE_HZ), 2000)
    noise = rng.standard_normal(len(one) + 6000)
    assert abs(_slide(one, noise, RATE_HZ, MARKER)[0]) < 0.5 * ALIKE


@pytest.mark.parametrize(("spoilt", "told"), [((), True), ((0,), False), ((1,), False)])
def test_where_a_marker_is_drowned_nothing_is_said_of_jumps(spoilt, told):
    """A room that is one straight way, with both markers where the sweep says they are, 2 s apart."""
    played = SimpleNamespace(
        marker=MARKER, sweep=SWEEP, first_s=0.5, last_s=2.5, passes=(SimpleNamespace(start_s=1.0),)
    )
    rng = np.random.default_rng(6)
    y = 1e-6 * rng.standard_normal(4 * RATE_HZ)
    for at_s in (0.5, 2.5):
        at = round(at_s * RATE_HZ)
        y[at : at + len(MARKER.samples(RATE_HZ))] += MARKER.samples(RATE_HZ)
    for which in spoilt:
        at = round((0.5, 2.5)[which] * RATE_HZ)
        y[at - 9600 : at + 30_000] = rng.standard_normal(39_600)
    h = np.zeros(60_000)
    h[24_000] = 1.0
    direct = Lags(h, 24_000, 24_000, 24_000.0, 60_000, SWEEP)
    found = marker_offsets_s(y, played, direct, start=RATE_HZ)
    assert (found is not None) is told
    if found is not None:
        assert found == pytest.approx((0.0, 0.0), abs=1e-6)


@pytest.mark.parametrize(("milliseconds", "told"), [(0.9, False), (1.1, True), (5.0, True)])
def test_samples_that_stand_still_for_a_millisecond_are_a_gap(milliseconds, told):
    t = np.arange(RATE_HZ) / RATE_HZ
    y = 0.3 * np.sin(2 * np.pi * 1000.3 * t)
    at = 12_012  # away from a top
    y[at : at + round(milliseconds * 48)] = y[at]
    assert bool(list(gaps(y, RATE_HZ))) is told


def test_the_width_of_a_top_counts_the_samples_above():
    size = np.array([0.1, 0.2, 0.97, 0.98, 1.0, 0.98, 0.5, 0.1])
    assert _width(size, 4, 0.97) == 4
    assert _width(size, 4, 0.99) == 1


def test_how_many_bytes_a_cut_file_lacks_is_said(tmp_path):
    path = tmp_path / "cut.wav"
    soundfile.write(path, np.zeros(5000), 48_000, subtype="PCM_16")
    path.write_bytes(path.read_bytes()[:-1234])
    with pytest.raises(TruncatedRecording, match=r"in the middle: 1234 bytes are missing"):
        check_sound(path)


@pytest.mark.parametrize(
    ("db_per_s", "fall_db"), [(60.0, 18.0), (11.0, 3.3), (9.0, None), (0.0, None)]
)
def test_a_record_that_ends_before_the_decay_is_known_by_its_fall(db_per_s, fall_db):
    """From 0.4..0.7 to 0.7..1.0 of a tail of 1 s an even decay falls for 0.3 s; 3 dB are asked."""
    step_s = 0.001
    power = 10 ** (-db_per_s * step_s * np.arange(1100) / 10)
    parts = tuple(
        Envelope(band_hz=hz, middle_hz=hz, power=power, step_s=step_s, onset_s=0.05)
        for hz in (63.0, 500.0, 1000.0)
    )
    remarks = list(still_sounding(parts, (SimpleNamespace(range_db=NEEDED_DB),), 1.0))
    wanted = [] if fall_db is None else [pytest.approx(fall_db, abs=0.1)]
    assert [one.fact["fall_db"] for one in remarks] == wanted
    enough = SimpleNamespace(range_db=NEEDED_DB + 20)
    assert list(still_sounding(parts, (enough,), 1.0)) == []
    assert list(still_sounding(parts[:1], (SimpleNamespace(range_db=NEEDED_DB),), 1.0)) == []


@pytest.mark.parametrize(
    ("alike", "off_ppm", "refused"),
    [(0.51, 0.0, None), (0.49, 0.0, MarkersNotFound), (0.9, 999.0, None), (0.9, -999.0, None),
     (0.9, 1001.0, ClockJump), (0.9, -1001.0, ClockJump)],
)  # fmt: skip
def test_two_markers_are_a_clock_where_they_are_alike_and_no_clock_is_further_off(
    monkeypatch, alike, off_ppm, refused
):
    """As much noise as chirp gives a correlation of 0.5; no quartz is 1000 ppm off."""
    pair = Pair(alike=alike, off_ppm=off_ppm, first=100.0, nominal=44_100 / 48_000)
    monkeypatch.setattr("roomcheck.measure.checks.clock._best_pair", lambda *_: pair)
    played = SimpleNamespace(first_s=1.0, last_s=21.0)
    if refused is not None:
        with pytest.raises(refused):
            read_markers(np.zeros(10), played, "a")
        return
    clock = read_markers(np.zeros(10), played, "a")
    assert clock.first == pytest.approx(91.875)
    assert clock.ratio == pytest.approx(0.91875 * (1 + off_ppm / 1e6))
    assert clock.rate_mismatch == (44_100, 48_000)
    assert clock.drift_ppm == pytest.approx(off_ppm)


@pytest.mark.parametrize(
    ("off_ppm", "lost"), [(-2000.0, "40 ms had been lost"), (2000.0, "40 ms had been added")]
)
def test_a_jump_says_how_much_was_lost_or_added(monkeypatch, off_ppm, lost):
    """2000 ppm of 20 s are 40 ms."""
    pair = Pair(alike=0.9, off_ppm=off_ppm, first=100.0, nominal=1.0)
    monkeypatch.setattr("roomcheck.measure.checks.clock._best_pair", lambda *_: pair)
    with pytest.raises(ClockJump, match=lost):
        read_markers(np.zeros(10), SimpleNamespace(first_s=1.0, last_s=21.0), "a")


def test_the_sweep_file_that_is_made_without_a_word():
    """3 s of silence, longer than a classroom's decay and what `roomcheck sweep --help` says; 12 dB below
    full scale; markers 15 s apart at least, so that 10 mm of movement are 2 ppm."""
    short = lay_out(Sweep(low_hz=50, high_hz=16_000, seconds=5, rate_hz=RATE_HZ))
    long = lay_out(Sweep(low_hz=50, high_hz=16_000, seconds=14, rate_hz=RATE_HZ))
    assert long.silence_s == 3.0 and long.level_dbfs == -12.0
    assert [run.side for run in long.passes] == ["left"]
    assert short.last_s - short.first_s >= 15.0
    assert np.abs(long.samples()).max() == pytest.approx(10 ** (-12 / 20), rel=1e-3)


def test_where_the_sweep_stands_in_its_file():
    """3 s for who starts it to be still, a chirp of 0.1 s, 1 s; after the sweep its silence, the
    other chirp, 1 s."""
    played = lay_out(Sweep(low_hz=50, high_hz=16_000, seconds=14, rate_hz=RATE_HZ))
    assert played.first_s == pytest.approx(3.0)
    assert played.passes[0].start_s == pytest.approx(4.1)
    assert played.last_s == pytest.approx(4.1 + 14 + 3)
    assert played.seconds == pytest.approx(4.1 + 14 + 3 + 1.1)
    quiet = played.samples()[: 3 * RATE_HZ]
    assert not quiet.any()


def test_the_marker_is_a_linear_chirp_from_1_to_8_khz_with_tapered_ends():
    """450 cycles: 0.1 s of 4.5 kHz in the mean; half of them when 1000 t + 35,000 t^2 is 225; and a
    taper of a tenth of it at each end, half as high in its middle."""
    x = MARKER.samples(RATE_HZ)
    assert len(x) == 4800
    assert np.count_nonzero(np.diff(np.signbit(x))) == pytest.approx(900, abs=3)
    half_s = (-1000 + math.sqrt(1000**2 + 4 * 35_000 * 225)) / (2 * 35_000)
    first = x[: round(half_s * RATE_HZ)]
    assert np.count_nonzero(np.diff(np.signbit(first))) == pytest.approx(450, abs=3)
    assert np.abs(x[200:280]).max() == pytest.approx(0.5, abs=0.12)
    assert np.abs(x[-280:-200]).max() == pytest.approx(0.5, abs=0.12)
    assert np.abs(x[600:-600]).max() == pytest.approx(1.0, abs=0.01)


def test_a_sweep_of_a_hundred_samples_is_one():
    assert len(Sweep(low_hz=10, high_hz=400, seconds=0.1, rate_hz=1000).samples) == 100
    with pytest.raises(ValueError, match="a hundred samples"):
        Sweep(low_hz=10, high_hz=400, seconds=0.099, rate_hz=1000)


# IEC 61260-1:2014: the octave of 8 kHz ends at 8000 Hz times the square root of 2, 11 314 Hz; a
# sampled signal carries half its rate.
@pytest.mark.parametrize(
    ("recorded_hz", "sweep_hz", "carried"),
    [(48_000, 48_000, True), (22_628, 22_628, True), (22_050, 22_050, False), (48_000, 16_000, False), (16_000, 48_000, False)],
)  # fmt: skip
def test_a_rate_carries_the_highest_octave_or_that_is_said(recorded_hz, sweep_hz, carried):
    kinds = [note.kind for note in _rate_notes(recorded_hz, sweep_hz)]
    assert (Take.BAND_NOT_CARRIED not in kinds) is carried
    assert (Take.RESAMPLED in kinds) is (recorded_hz != sweep_hz)


def test_levels_of_an_amplitude():
    assert [_db(10**-n) for n in (0, 1, 2)] == pytest.approx([0, -20, -40])
    assert _db(0.0) == SILENT_DBFS == _db(1e-30)


def test_an_input_that_is_full_at_once_is_turned_down_in_every_number():
    now = _Probe(level_dbfs=-20.0, least_db=30.0, band_hz=63.0, peak_dbfs=-0.5, clipped=True)
    found = _too_hot(now, None, (4.0,))
    # A sweep of four seconds has 10 lg(4 / probe) over the probe; 6 dB less play 6 dB less range.
    assert (found.level_dbfs, found.seconds) == (-26.0, 4.0)
    assert found.range_db == pytest.approx(30.0 - 6.0 + 10 * math.log10(4.0 / PROBE_S))
    assert found.remark["why"] is LevelLimit.INPUT_FULL_AT_ONCE


def ratios(*percent):
    """Harmonics over the tone in octaves from 125 Hz on, as power."""
    octaves = (125.0, 250.0, 500.0, 1000.0, 2000.0)
    return tuple((hz, (p / 100) ** 2) for hz, p in zip(octaves, percent, strict=True))


def test_harmonics_are_said_with_the_octave_that_has_most():
    """1 % is 40 dB below, 10 % 20 dB."""
    assert median_db(ratios(1, 1, 10, 1, 10)) == pytest.approx(-40)
    assert median_db(ratios(0, 0, 0, 10, 10)) is None, "a burst strikes one octave or two"
    (told,) = distortion(ratios(3, 4, 12, 5, 3))
    assert told.fact.kind is Take.HARMONICS and not told.repeat
    assert told.fact["band_hz"] == 500
    assert told.fact["harmonics_db"] == pytest.approx(20 * math.log10(0.12))
    (again,) = distortion(ratios(60, 60, 60, 60, 60))
    assert again.fact.kind is Take.OVERDRIVEN and again.repeat
    assert not list(distortion(ratios(0.01, 0.01, 0.01, 0.01, 0.01)))


def arriving(delay_s, gain, *, everything):
    """A room of noise that dies away, and a second arrival: of all of it, or of its direct sound."""
    rng = np.random.default_rng(7)
    t = np.arange(int(0.3 * RATE_HZ)) / RATE_HZ
    room = 0.02 * rng.standard_normal(len(t)) * np.exp(-12.0 * t) * (t > 0.002)
    room[0] = 1.0
    more = room.copy() if everything else np.eye(1, len(t))[0]
    late = round(delay_s * RATE_HZ)
    room[late:] += gain * more[: len(t) - late]
    samples = np.zeros(50_000)
    samples[24_000 : 24_000 + len(room)] = room
    return Lags(samples, 24_000, 24_000, 24_000.0, 24_000 + len(room), SWEEP)


@pytest.mark.parametrize("delay_s", [0.008, 0.012, 0.02])
def test_what_is_played_twice_comes_twice_with_all_that_follows(delay_s):
    (twice,) = two_sources(arriving(delay_s, 0.9, everything=True))
    assert twice.fact.kind is Take.COMES_TWICE and twice.repeat
    assert twice.fact["apart_s"] == pytest.approx(delay_s, abs=1e-4)
    assert twice.fact["level_db"] == pytest.approx(20 * math.log10(0.9), abs=0.5)
    once = [told.fact.kind for told in two_sources(arriving(delay_s, 0.9, everything=False))]
    assert Take.COMES_TWICE not in once
