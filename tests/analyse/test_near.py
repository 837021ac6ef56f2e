"""A desk close by against the loudspeaker's own second peak: made-up responses of closed form."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from scipy.signal import butter, sosfilt

from roomcheck.analyse.echoes.reflections import energy_time, reflections
from roomcheck.job import load_job
from roomcheck.measure import ImpulseResponse, Measurement, TakeCheck

RATE = 48_000
CHECK = TakeCheck(keep=True, reasons=(), warnings=(), peak_dbfs=-6.0, noise_dbfs=-80.0)
JOB = load_job(Path(__file__).resolve().parents[2] / "roomcheck" / "demo" / "story-room")


def takes_of(near_ms: dict[str, float | None], size: float = 0.63):
    """Direct sound through a two-way's band, one arrival near it, one at 6.1 ms; by its line
    spectrum, so that arrivals stand between samples. 0.63 is -4.0 dB."""
    n = RATE
    f = np.fft.rfftfreq(n, 1 / RATE)
    takes = []
    for name, ms in near_ms.items():
        later = [(0.0061, 0.3), *([] if ms is None else [(ms / 1000, size)])]
        spectrum = np.exp(-2j * np.pi * f * 0.01) * (
            1 + sum(a * np.exp(-2j * np.pi * f * t) for t, a in later)
        )
        x = sosfilt(
            butter(2, (80, 16_000), "band", fs=RATE, output="sos"), np.fft.irfft(spectrum, n)
        )
        x += 1e-5 * np.random.default_rng(len(takes)).standard_normal(n)
        response = ImpulseResponse(samples=x, rate_hz=RATE)
        takes.append(
            Measurement(response=response, source="S1", microphone=name, take=name, check=CHECK)
        )
    return takes


def heard(near_ms: dict[str, float | None], size: float = 0.63):
    takes = takes_of(near_ms, size)
    return {row.microphone: row.reflections for row in reflections(takes, job=JOB, visit="before")}


def test_a_desk_within_the_first_millisecond_is_heard_at_its_time_and_level():
    rows = heard({"P1": 0.62, "P2": 0.71, "P3": None})
    for name, due_ms in (("P1", 0.62), ("P2", 0.71)):
        first = rows[name][0]
        assert 1000 * first.delay_s == pytest.approx(due_ms, abs=0.03)
        assert first.level_db == pytest.approx(20 * np.log10(0.63), abs=0.7)
        # Divided into the direct sound it would send a ghost after every later arrival.
        ghosts = [
            r for r in rows[name] if abs(1000 * r.delay_s - 6.1 - due_ms) < 0.1 and r.level_db > -20
        ]
        assert not ghosts
    assert all(r.delay_s > 0.001 for r in rows["P3"])


def test_a_second_peak_that_is_the_same_everywhere_is_the_loudspeakers_own():
    rows = heard({"P1": 0.62, "P2": 0.62, "P3": 0.63})
    assert all(r.delay_s > 0.001 for found in rows.values() for r in found)


def test_the_figure_s_time_begins_a_millisecond_before_the_direct_sound():
    (take,) = takes_of({"P3": None})
    times_s, level_db = energy_time(take, job=JOB, visit="before", seconds=0.02)
    assert times_s[0] == pytest.approx(-0.001, abs=2e-5)
    assert times_s[np.argmax(level_db)] == pytest.approx(0.0, abs=3e-5)
    late = times_s > 0.004
    echo = np.argmax(np.where(late, level_db, -np.inf))
    assert times_s[echo] == pytest.approx(0.0061, abs=3e-5)
    assert level_db[echo] - level_db.max() == pytest.approx(20 * np.log10(0.3), abs=0.7)
    assert times_s[-1] == pytest.approx(0.02, abs=2e-4)
