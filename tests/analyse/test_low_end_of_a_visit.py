"""A made-up room from its recordings to what is said of its low end: one long mode, one loose
panel."""

from __future__ import annotations

import numpy as np
import pytest
import soundfile as sf
from scipy.signal import fftconvolve

import rattles
from roomcheck.analyse import analyse
from roomcheck.analyse.modes.box_modes import box_modes, shape_at
from roomcheck.job import load_job
from roomcheck.judge import FindingKind, judge
from roomcheck.measure import Sweep, add_recording, measure
from roomcheck.standards import speed_of_sound_m_s

JOB = """\
schema = 1
made_up = true
seat = "P1"
units = "metric"
paper = "a4"
currency = "$"
source = [{ name = "S1", x = "1.0 m", y = "0.9 m", z = "1.5 m" }]
microphone = [
    { name = "P1", x = "3.1 m", y = "2.3 m", z = "1.2 m" },
    { name = "P2", x = "2.6 m", y = "1.1 m", z = "1.2 m" },
    { name = "P3", x = "3.6 m", y = "1.4 m", z = "1.0 m" },
]
visit = [{ name = "before", date = "2026-05-04", temperature = "21 °C", humidity = "45 %" }]
[client]
name = "A made-up town library"
title = "Story room"
complaint = "One note booms."
[use]
room = "control room"
[room]
length = "4.4 m"
width = "3.6 m"
height = "2.6 m"
materials = { walls = "gypsum board on studs", floor = "thin carpet on concrete", ceiling = "gypsum board on studs" }
"""
RATE = 48_000
LONG_S = 1.1
"""Decay of the first mode along the length; the others have 0.25 to 0.45 s. [s]"""


def response(job, box, decays, source, microphone, rng):
    """Standing waves in closed form, a diffuse tail above 300 Hz, and the direct sound."""
    t = np.arange(int(1.5 * RATE)) / RATE
    h = sum(
        shape_at(m, job.room, source)
        * shape_at(m, job.room, microphone)
        * np.exp(-6.9078 / decays[m.order] * t)
        * np.cos(2 * np.pi * m.frequency_hz * t)
        for m in box
    )
    tail = np.fft.rfft(rng.normal(size=len(t)) * np.exp(-6.9 * t / 0.3))
    f = np.maximum(np.fft.rfftfreq(len(t), 1 / RATE), 1)
    diffuse = np.fft.irfft(tail / np.sqrt(1 + (300 / f) ** 8), len(t))
    diffuse[round(1.2 * RATE) :] = (
        0  # the filter has no phase: what rings before the start lies there
    )
    h = 0.02 * h + 0.05 * diffuse
    h[0] += 1
    return h


@pytest.fixture(scope="module")
def visit(tmp_path_factory):
    folder = tmp_path_factory.mktemp("job")
    (folder / "job.toml").write_text(JOB, encoding="utf-8")
    job, rng = load_job(folder), np.random.default_rng(1)
    sweep = Sweep(low_hz=20, high_hz=20_000, seconds=6, rate_hz=RATE)
    box = box_modes((4.4, 3.6, 2.6), speed_of_sound_m_s(21), 280)
    decays = {m.order: float(rng.uniform(0.25, 0.45)) for m in box} | {(1, 0, 0): LONG_S}
    for microphone in job.microphones:
        h = response(job, box, decays, job.sources[0].point, microphone.point, rng)
        sent = np.concatenate([np.zeros(RATE // 2), 0.2 * sweep.samples, np.zeros(2 * RATE)])
        sent[RATE // 2 :][: len(sweep.samples)] += rattles.loose_panel(sweep, 84, -40, rng)
        y = fftconvolve(sent, h)[: len(sent)]
        y = 0.3 * y / np.abs(y).max() + 1e-5 * rng.normal(size=len(y))
        path = tmp_path_factory.mktemp("recorder") / f"{microphone.name}.wav"
        sf.write(path, y, RATE, subtype="PCM_24")
        add_recording(
            job, path, visit="before", source="S1", microphone=microphone.name, sweep=sweep
        )
    return job, analyse(measure(job, "before"), job=job, visit="before")


def test_the_long_mode_is_found_with_its_name_and_decay(visit):
    modes = visit[1].modes
    first = next(m for m in modes.found if m.box and m.box.order == (1, 0, 0))
    assert first.frequency_hz == pytest.approx(speed_of_sound_m_s(21) / 2 / 4.4, abs=0.5)
    assert first.decay_s == pytest.approx(LONG_S, rel=0.1)
    assert modes.longest is first
    # Those with a bandwidth to themselves, 39.1 and 47.7 Hz; above 60 Hz they overlap.
    assert {m.box.order for m in modes.found if m.box} >= {(1, 0, 0), (0, 1, 0)}


def test_the_buzz_and_the_ringing_note_are_said(visit):
    job, analysis = visit
    assert [round(rattle.frequency_hz) for rattle in analysis.rattles] == [84]
    heard = {finding.kind: finding.measured for finding in judge(analysis, job).findings}
    assert round(heard[FindingKind.RATTLE]["buzzes"][0][0]) == 84
    assert round(heard[FindingKind.RINGING_MODE]["frequency_hz"]) == 39


def test_bands_of_modes_are_named_so_and_not_judged(visit):
    job, analysis = visit
    assert analysis.transition_hz > 125
    assert all(
        b.outcome in ("modal", "not measured")
        for b in judge(analysis, job).bands
        if b.band_hz <= 125
    )
    assert [analysis.is_modal(hz) for hz in (63.0, 125.0, 500.0)] == [True, True, False]


def test_the_response_of_each_position_is_there(visit):
    assert [r.microphone for r in visit[1].responses] == ["P1", "P2", "P3"]
    assert all(r.clear_from_hz < 60 for r in visit[1].responses)
