"""Balloons, claps and shots: found, cut apart, limited; and takes of several directions
averaged."""

from __future__ import annotations

import numpy as np
import pytest
import soundfile as sf
from scipy.signal import butter, fftconvolve, sosfilt

import roomcheck
from roomcheck.analyse import GradeLack, analyse
from roomcheck.facts import fact
from roomcheck.measure import Record, Sweep, Take, add_recording, measure
from roomcheck.measure.faults import ChooseChannel, NoSweepFound
from roomcheck.measure.files.audio import Audio
from roomcheck.measure.files.impulses import find_impulses

RATE_HZ = 48_000
PLACE = {"visit": "before", "source": "S1", "microphone": "P1"}


def held(y, where):
    return Audio(y.astype(np.float32)[:, None], RATE_HZ, False, where)


def bursts(helpers, times_s, peaks, t_s=0.5, seconds=8.0, noise=1e-5, low_hz=100.0):
    """A source of 1 ms without lows, as a clap is, in a room of known decay; each different.
    (frames,)"""
    rng = np.random.default_rng(3)
    y = np.zeros(int(seconds * RATE_HZ))
    for i, (at_s, peak) in enumerate(zip(times_s, peaks, strict=True)):
        click = sosfilt(
            butter(2, low_hz, "high", fs=RATE_HZ, output="sos"),
            rng.standard_normal(48) * np.hanning(48),
        )
        h = fftconvolve(click, helpers.make_room(t_s, seed=i, direct=1.0))
        at = int(at_s * RATE_HZ)
        part = y[at : at + len(h)]
        part += peak * h[: len(part)] / np.abs(h).max()
    return y + noise * rng.standard_normal(len(y))


def test_several_are_found_and_cut_apart(helpers):
    times = (1.0, 3.2, 5.5)
    found = find_impulses(held(bursts(helpers, times, (0.4, 0.6, 0.3)), "claps.wav"), 1)
    assert [one.at_s for one in found] == pytest.approx(times, abs=0.01)
    assert [one.peak_dbfs for one in found] == pytest.approx(
        20 * np.log10([0.4, 0.6, 0.3]), abs=0.1
    )
    assert not any(one.overloaded for one in found)
    # Chance alone, ISO 3382-2: 0.88 / sqrt(B T) is 5 % in the 1 kHz octave.
    for one in found:
        bands = {band.band_hz: band for band in roomcheck.decays(one.response)}
        assert bands[1000].t20_s == pytest.approx(0.5, rel=0.16)
        assert bands[1000].c50_db is None
        assert bands[63].t20_s is None


def test_a_file_of_several_gives_the_best_or_the_one_that_is_named(tmp_path, helpers):
    path = tmp_path / "claps.wav"
    y = bursts(helpers, (1.0, 3.2, 5.5), (0.4, 1.6, 0.3))
    sf.write(path, np.clip(y, -1, 1), RATE_HZ, subtype="PCM_24")
    best = roomcheck.load_impulse_response(path)
    assert best.limits.notes[0] == fact(
        Record.NUMBER, number=1, count=3, at_s=best.limits.notes[0]["at_s"]
    )
    second = roomcheck.load_impulse_response(path, impulse=2)
    assert second.limits.notes[1].kind is Record.FLAT_TOP
    assert any("flat_top" in str(reason) for reason in roomcheck.decays(second)[4].reasons)
    with pytest.raises(ChooseChannel, match="impulse 4 of 3"):
        roomcheck.load_impulse_response(path, impulse=4)


def test_a_single_response_is_no_recording_of_impulses(tmp_path, helpers):
    sf.write(tmp_path / "ir.wav", helpers.make_room(1.0), RATE_HZ, subtype="FLOAT")
    assert roomcheck.load_impulse_response(tmp_path / "ir.wav").limits is None


def test_lows_without_energy_are_withheld(helpers):
    y = bursts(helpers, (1.0,), (0.5,), low_hz=900.0, noise=3e-3, seconds=4)
    (one,) = find_impulses(held(y, "clap.wav"), 1)
    assert one.response.limits.low_hz >= 250
    bands = {band.band_hz: band for band in roomcheck.decays(one.response)}
    assert bands[125].t20_s is None
    assert any("no_lows" in str(reason) for reason in bands[125].reasons)


def test_claps_go_into_a_job_as_a_survey(job, tmp_path, helpers):
    path = tmp_path / "claps.wav"
    sf.write(path, np.clip(bursts(helpers, (1.0, 3.2, 5.5), (0.4, 1.6, 0.3)), -1, 1), RATE_HZ)
    before = path.read_bytes()
    added = add_recording(job, path, **PLACE, impulse=True)
    assert path.read_bytes() == before == (job.folder / added.take).read_bytes()
    assert added.check.keep
    assert Take.ONE_OVERLOADED in [warning.kind for warning in added.check.warnings]
    found = measure(job, "before")
    assert len(found) == 2
    analysis = analyse(found, job=job, visit="before")
    assert analysis.grade in ("none", "survey")
    assert analysis.octave(1000).t20_s == pytest.approx(0.5, rel=0.12)
    assert analysis.octave(1000).positions == 1
    surveys = [lack for lack in analysis.lacking if lack.kind is GradeLack.SURVEY_RECORD]
    assert {lack["record"] for lack in surveys} == {Record.IMPULSE}


def test_only_overloaded_ones_are_to_be_repeated(job, tmp_path, helpers):
    path = tmp_path / "shot.wav"
    sf.write(path, np.clip(bursts(helpers, (1.0,), (3.0,), seconds=4), -1, 1), RATE_HZ)
    added = add_recording(job, path, **PLACE, impulse=True)
    assert not added.check.keep
    assert added.check.reasons[0].kind is Take.ALL_OVERLOADED


@pytest.mark.parametrize("kind", ["noise", "tone", "fade"])
def test_what_is_no_impulse_is_refused_and_nothing_is_written(job, tmp_path, kind):
    t = np.arange(4 * RATE_HZ) / RATE_HZ
    y = {
        "noise": 0.1 * np.random.default_rng(0).standard_normal(len(t)),
        "tone": 0.3 * np.sin(2 * np.pi * 300 * t) * np.clip(t, 0, 1),
        "fade": 0.1 * np.random.default_rng(0).standard_normal(len(t)) * t / 4,
    }[kind]
    sf.write(tmp_path / "no.wav", y, RATE_HZ)
    with pytest.raises(NoSweepFound, match="balloon"):
        add_recording(job, tmp_path / "no.wav", **PLACE, impulse=True)
    assert not (job.folder / "takes").exists()


def test_directions_of_a_source_are_averaged(job, tmp_path, helpers):
    sweep = Sweep(low_hz=40, high_hz=18_000, seconds=3, rate_hz=RATE_HZ)
    for seed, (way, t_s) in enumerate(
        (("to the front", 0.4), ("left", 0.5), ("right", 0.6), (None, 0.4))
    ):
        path = tmp_path / f"{seed}.wav"
        sf.write(path, helpers.make_take(sweep, helpers.make_room(t_s, seed=seed)), RATE_HZ)
        place = PLACE if way else {**PLACE, "microphone": "P2"}
        add_recording(job, path, **place, sweep=sweep, direction=way)
    found = measure(job, "before")
    assert [m.direction for m in found] == ["to the front", "left", "right", None]
    analysis = analyse(found, job=job, visit="before")
    # (0.4 + 0.5 + 0.6) / 3 and 0.4 at two positions: 0.45; directions count as one position.
    assert analysis.octave(2000).t20_s == pytest.approx(0.45, rel=0.06)
    assert analysis.octave(2000).positions == 2
    assert (
        fact(GradeLack.DIRECTIONS, directions=("left", "right", "to the front")) in analysis.lacking
    )


def test_the_command_takes_claps_and_directions(job, tmp_path, helpers, capsys):
    from roomcheck.cli import main

    path = tmp_path / "claps.wav"
    sf.write(path, bursts(helpers, (1.0, 3.0, 5.0), (0.4, 0.5, 0.3)), RATE_HZ)
    place = ["--visit", "before", "--source", "S1", "--microphone", "P1"]
    assert (
        main(
            [
                "add",
                str(job.folder),
                str(path),
                *place,
                "--impulse",
                "--direction",
                "left",
                "--sure",
            ]
        )
        == 0
    )
    assert "3 impulses found" in capsys.readouterr().out
    assert [m.direction for m in measure(job, "before")] == ["left"] * 3
    assert main(["analyse", str(job.folder), "--json"]) == 0
    assert '"speech"' in capsys.readouterr().out
