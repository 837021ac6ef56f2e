"""Background noise: recordings whose levels are known beforehand."""

from __future__ import annotations

import numpy as np
import pytest
import soundfile as sf
from scipy.signal import butter, sosfilt

from roomcheck.analyse import NoiseOutcome, NoiseWarning, against_limit, noise_level
from roomcheck.facts import fact
from roomcheck.measure import Scale, add_calibrator, add_noise, noise_takes
from roomcheck.measure.checks.calibrator import from_calibrator, from_sensitivity
from roomcheck.measure.faults import ChooseChannel, RecordingError
from roomcheck.standards.targets.background import NoiseLimit

RATE_HZ = 48_000
FULL_SCALE_DB = 120.0

# The NR 30 curve by the constants of AS 1469:1983 (verified in open documentation): L = a + b NR.
NR_30 = {
    63: 59.2,
    125: 48.1,
    250: 39.9,
    500: 34.0,
    1000: 30.0,
    2000: 26.95,
    4000: 24.65,
    8000: 22.9,
}


def tone(level_db, hz, seconds=4.0):
    """A sine of so many dB where full scale (mean square 1) is 120 dB."""
    t = np.arange(round(seconds * RATE_HZ)) / RATE_HZ
    return np.sqrt(2) * 10 ** ((level_db - FULL_SCALE_DB) / 20) * np.sin(2 * np.pi * hz * t)


def chord(levels_db, seconds=12.0):
    """One tone in the middle of each octave: its octave's level is its own."""
    return sum(tone(level, hz, seconds) for hz, level in levels_db.items())


def put(tmp_path, samples, name="REC.wav"):
    sf.write(tmp_path / name, samples, RATE_HZ, subtype="FLOAT")
    return tmp_path / name


def level_of(job, tmp_path, samples, **options):
    add_noise(job, put(tmp_path, samples), visit="before", **options)
    return noise_level(noise_takes(job, "before")[-1])


def test_levels_are_absolute_with_a_calibrator_and_rated(job, tmp_path):
    add_calibrator(job, put(tmp_path, tone(94, 1000)), visit="before", level_db=94)
    found = level_of(job, tmp_path, chord(NR_30), conditions="HVAC off")
    assert found.absolute
    assert found.reference.kind is Scale.CALIBRATOR
    assert found.reference["level_db"] == 94
    assert found.reference["tone_hz"] == pytest.approx(1000, abs=1)
    for hz, level in found.octaves_db:
        assert level == pytest.approx(NR_30[hz], abs=0.1)
    assert found.nr.value == pytest.approx(30, abs=0.1)
    # Energy sum of the levels with the A-weighting of the tables (-26.2 … -1.1 dB).
    weights = (-26.2, -16.1, -8.6, -3.2, 0.0, 1.2, 1.0, -1.1)
    wanted = 10 * np.log10(
        sum(10 ** ((v + w) / 10) for v, w in zip(NR_30.values(), weights, strict=True))
    )
    assert found.a_weighted_db == pytest.approx(wanted, abs=0.1)


def test_the_calibrator_may_give_114_db_and_come_after_the_noise(job, tmp_path):
    add_noise(job, put(tmp_path, chord(NR_30)), visit="before")
    assert not noise_level(noise_takes(job, "before")[0]).absolute
    add_calibrator(job, put(tmp_path, tone(114, 1000)), visit="before", level_db=114)
    assert noise_level(noise_takes(job, "before")[0]).octaves_db[4][1] == pytest.approx(30, abs=0.1)


def test_without_a_calibration_levels_are_relative_and_say_so(job, tmp_path):
    found = level_of(job, tmp_path, chord(NR_30))
    assert not found.absolute
    assert found.nc is None
    assert found.nr is None
    assert found.reference == fact(Scale.RELATIVE)
    assert found.octaves_db[4][1] == pytest.approx(30 - FULL_SCALE_DB, abs=0.1)
    limit = NoiseLimit(family="NC", value=30, source="a test", mark="own")
    assert against_limit(found, limit).kind is NoiseOutcome.RELATIVE


def test_a_sensitivity_makes_levels_absolute(job, tmp_path):
    # 94 dB leaves 94 - 120 = -26 dB in a recording whose full scale is 120 dB.
    found = level_of(job, tmp_path, chord(NR_30), sensitivity_dbfs=94 - FULL_SCALE_DB)
    assert found.octaves_db[4][1] == pytest.approx(30, abs=0.1)
    assert found.reference == fact(Scale.SENSITIVITY, level_at_94_dbfs=-26)


def test_a_microphone_that_reads_high_is_corrected(job, tmp_path):
    (tmp_path / "mic.txt").write_text("20 0\n900 0\n1000 3\n1100 0\n20000 0\n", encoding="utf-8")
    found = level_of(
        job, tmp_path, chord(NR_30), sensitivity_dbfs=-26, correction=tmp_path / "mic.txt"
    )
    assert found.octaves_db[4][1] == pytest.approx(30 - 3, abs=0.1)
    assert found.octaves_db[2][1] == pytest.approx(NR_30[250], abs=0.1)
    (tmp_path / "mic.txt").unlink()
    assert noise_level(noise_takes(job, "before")[0]) == found  # the job holds its own copy


def test_white_noise_rises_by_three_decibels_an_octave(job, tmp_path):
    # Octave bandwidths double: closed form. 30 s leave a spread of 10 lg(1 + 1/sqrt(BT)) or so.
    noise = 1e-3 * np.random.default_rng(3).standard_normal(30 * RATE_HZ)
    levels = [level for _, level in level_of(job, tmp_path, noise).octaves_db]
    assert np.diff(levels) == pytest.approx(np.full(7, 10 * np.log10(1.9953)), abs=0.35)


def test_a_car_that_passes_is_told(job, tmp_path):
    noise = 1e-4 * np.random.default_rng(4).standard_normal(15 * RATE_HZ)
    noise[6 * RATE_HZ : 8 * RATE_HZ] *= 10
    warnings = level_of(job, tmp_path, noise).warnings
    assert any(warning.kind is NoiseWarning.UNSTEADY for warning in warnings)


@pytest.mark.parametrize(
    ("value", "limit", "fits"),
    [(31.0, 30, False), (29.6, 30, True), (30.4, 30, False), (30.0, 30, True)],
)
def test_the_limit_is_decided_before_rounding(job, tmp_path, value, limit, fits):
    levels = {hz: level - 20 for hz, level in NR_30.items()} | {1000: value}
    found = level_of(job, tmp_path, chord(levels), sensitivity_dbfs=-26)
    outcome = against_limit(
        found, NoiseLimit(family="NR", value=limit + 1e-3, source="a test", mark="own")
    )
    assert outcome.kind is (NoiseOutcome.QUIET_ENOUGH if fits else NoiseOutcome.TOO_LOUD)


@pytest.mark.parametrize(
    ("made", "why"),
    [
        (lambda: tone(94, 1000, 1.0), "needed 3 s"),
        (lambda: tone(94, 400), "400 Hz"),
        (
            lambda: tone(94, 1000) + 0.02 * np.random.default_rng(0).standard_normal(4 * RATE_HZ),
            "above everything",
        ),
        (lambda: tone(94, 1000) * np.linspace(0.7, 1, 4 * RATE_HZ), "moves by"),
        (lambda: np.clip(tone(122, 1000), -1, 1), "clipped"),
        (lambda: tone(94, 1000, seconds=2.9), "2.9 s"),
    ],
)
def test_a_bad_calibrator_recording_is_refused(made, why):
    with pytest.raises(RecordingError, match=why):
        from_calibrator(made(), RATE_HZ, 94, "CAL.wav")


def test_other_calibrator_levels_and_sensitivities_are_refused():
    with pytest.raises(RecordingError, match="94 or 114 dB"):
        from_calibrator(tone(100, 1000), RATE_HZ, 100, "CAL.wav")
    with pytest.raises(RecordingError, match="-120 to 0"):
        from_sensitivity(12)


def test_noise_that_cannot_be_used_is_refused_and_nothing_written(job, tmp_path):
    for samples, why in (
        (np.zeros(12 * RATE_HZ), "exactly zero"),
        (chord(NR_30, 4.0), "10 s at least"),
    ):
        with pytest.raises(RecordingError, match=why):
            add_noise(job, put(tmp_path, samples), visit="before")
    with pytest.raises(ChooseChannel):
        add_noise(job, put(tmp_path, np.stack([chord(NR_30)] * 2, axis=1)), visit="before")
    assert not (job.folder / "takes").exists()


def test_low_rumble_does_not_leak_into_the_octaves(job, tmp_path):
    rumble = sosfilt(
        butter(4, 10, output="sos", fs=RATE_HZ),
        np.random.default_rng(5).standard_normal(12 * RATE_HZ),
    )
    with_it = level_of(
        job, tmp_path, chord(NR_30) + 0.01 * rumble / np.std(rumble), sensitivity_dbfs=-26
    )
    assert with_it.octaves_db[2][1] == pytest.approx(NR_30[250], abs=0.2)
