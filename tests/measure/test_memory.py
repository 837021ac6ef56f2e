"""How much memory a recording of any length takes: 400 MiB at most."""

from __future__ import annotations

import json
import subprocess
import sys

import numpy as np
import pytest
import soundfile

from roomcheck.measure import Sweep
from roomcheck.measure.checks.gain_control import _thinned_lags
from roomcheck.measure.files.played import facts_of, lay_out, write_toml
from roomcheck.measure.signal.deconvolution import all_lags, strongest_lag
from roomcheck.measure.signal.thinned import thinned, thinned_sweep, thinning_of

RATE_HZ = 96_000
MOST_MIB = 400

LISTEN = """
import json, re, sys
from pathlib import Path
from roomcheck.measure.checks.listening import Decisions, listen
from roomcheck.measure.files.audio import read_audio
from roomcheck.measure.files.played import read_played
from roomcheck.measure.visit.long_recording import check_single
path, played = Path(sys.argv[1]), read_played(Path(sys.argv[2]))
check_single(path, played)
response, check, _ = listen(read_audio(path), played, Decisions())
# ru_maxrss would start at what the process that called this one held.
status = Path("/proc/self/status").read_text()
peak_mib = int(re.search(r"VmHWM:\\s+(\\d+) kB", status)[1]) / 1024
print(json.dumps([peak_mib, check.keep, response.seconds]))
"""


@pytest.mark.skipif(sys.platform != "linux", reason="/proc is Linux's alone")
def test_a_sweep_of_15_s_at_96_khz_fits_into_400_mib(tmp_path):
    played = lay_out(Sweep(low_hz=40, high_hz=20_000, seconds=15, rate_hz=RATE_HZ))
    facts = tmp_path / "sweep.toml"
    facts.write_text(write_toml(facts_of(played)), encoding="utf-8")
    sound = played.samples()[:, 0]
    rng = np.random.default_rng(1)
    heard = 1e-4 * rng.standard_normal(100 * RATE_HZ)
    at = 30 * RATE_HZ
    heard[at : at + len(sound)] += 0.5 * sound
    heard[at + 900 : at + 900 + len(sound)] += 0.1 * sound
    soundfile.write(tmp_path / "heard.wav", heard, RATE_HZ, subtype="PCM_24")
    words = [sys.executable, "-c", LISTEN, tmp_path / "heard.wav", facts]
    done = subprocess.run(list(map(str, words)), capture_output=True, text=True, check=True)
    peak_mib, keep, seconds = json.loads(done.stdout)
    assert keep and seconds > 1
    assert peak_mib < MOST_MIB


@pytest.mark.parametrize(
    ("rate_hz", "high_hz", "factor"),
    [(48_000, 20_000, 1), (96_000, 20_000, 2), (192_000, 20_000, 4), (176_400, 19_000, 4),
     (88_200, 19_000, 2), (96_000, 40_000, 1), (192_000, 40_000, 2), (64_000, 20_000, 1)],
)  # fmt: skip
def test_no_rate_is_thinned_below_what_carries_the_sweep(rate_hz, high_hz, factor):
    assert thinning_of(Sweep(low_hz=50, high_hz=high_hz, seconds=0.2, rate_hz=rate_hz)) == factor


def test_a_thinned_sweep_is_the_sweep_at_the_lower_rate():
    sweep = Sweep(low_hz=50, high_hz=18_000, seconds=1, rate_hz=RATE_HZ)
    lower = Sweep(low_hz=50, high_hz=18_000, seconds=1, rate_hz=RATE_HZ // 2)
    thin = thinned_sweep(sweep, 2)
    assert (thin.rate_hz, thin.seconds, thin.octave_s) == (48_000, 1.0, lower.octave_s)
    np.testing.assert_allclose(thin.samples, lower.samples, atol=0.01)


def test_a_thinned_response_gives_the_same_sound():
    """What the thinned response makes of the thinned sweep is the thinned record."""
    sweep = Sweep(low_hz=100, high_hz=16_000, seconds=1, rate_hz=RATE_HZ)
    y = np.zeros(2 * RATE_HZ)
    y[20_000 : 20_000 + len(sweep.samples)] += 0.5 * sweep.samples
    lags = all_lags(y, sweep)
    thin = _thinned_lags(lags, 2)
    assert abs(thin.start - lags.start / 2) < 1 and thin.zero == lags.zero // 2
    made = np.convolve(thin.samples[thin.zero : thin.zero + 30_000], thin.sweep.samples)
    record = thinned(y, 2)
    inside = slice(20_000, 50_000)
    assert np.std(made[inside] - record[inside]) < 0.02 * np.std(record[inside])


@pytest.mark.parametrize("at", [0, 1_000_000, 3_999_000, 4_194_000, 8_000_000])
def test_the_strongest_lag_of_a_long_record_is_found_across_its_parts(at):
    sweep = Sweep(low_hz=100, high_hz=16_000, seconds=1, rate_hz=48_000)
    y = 0.01 * np.random.default_rng(2).standard_normal(8_400_000)
    y[at : at + len(sweep.samples)] += sweep.samples[: len(y) - at]
    assert strongest_lag(y, sweep) == at
