"""Playing and recording through PortAudio itself: a private sound server with a room between
playback and capture.

Every run is a process of its own, as a person would start it. All of it is skipped where the
packages are missing.
"""

from __future__ import annotations

import json
import signal
import subprocess
import tempfile
import time
from pathlib import Path

import numpy as np
import pytest
import soundfile as sf
from scipy.signal import fftconvolve

from roomcheck.analyse import decays
from roomcheck.job import load_job
from roomcheck.measure import ImpulseResponse, Sweep, measure
from roomcheck.measure.signal.deconvolution import all_lags

from .conftest import JOB_TOML, make_room
from .virtual_card import RATE_HZ, VirtualCard, missing

pytestmark = pytest.mark.skipif(bool(missing()), reason=missing() or "never")

T_S = 0.3
DIRECT = 340
"""The direct sound is so many samples under way: 7.08 ms."""

PATIENCE_S = 240
"""A loaded machine may take its time; nothing here is measured in seconds."""

SECOND_SOURCE = """
[[source]]
name = "S2"
x = "1.1 m"
y = "2.4 m"
z = "1.5 m"
[[microphone]]
name = "P3"
x = "2.6 m"
y = "1.1 m"
z = "1.2 m"
"""

MICS = ("P1", "P2", "P3")
HERE = ("--input", "microphone", "--output", "speaker")
SHORT = ("--yes", "--as-given", "--level", "-20", "--seconds", "1.5", "--decay", "0.5")


@pytest.fixture(scope="module")
def card():
    # A socket's path must be short.
    with tempfile.TemporaryDirectory(prefix="rc-") as folder:
        card = VirtualCard(Path(folder))
        try:
            card.start()
            yield card
        finally:
            card.stop()


@pytest.fixture(scope="module")
def room():
    return np.concatenate([np.zeros(DIRECT), make_room(T_S, seed=5)])


def new_job(folder, *, pairs=2):
    """A job of one, two or six pairs of positions, without conditions."""
    folder.mkdir()
    text = JOB_TOML.partition("[[visit]]")[0] + (SECOND_SOURCE if pairs == 6 else "")
    if pairs == 1:
        text = text.rpartition("[[microphone]]")[0]
    (folder / "job.toml").write_text(text, encoding="utf-8")
    return folder


def done(process):
    out, err = process.communicate(timeout=PATIENCE_S)
    return process.returncode, out, err


def recording_now(card, folder, *argv):
    """A visit that has begun to record; all it says comes by its output."""
    process = card.run("measure", folder, *HERE, *SHORT, *argv, stderr=subprocess.STDOUT)
    assert process.stdout is not None
    for line in process.stdout:
        if line.startswith("Recording"):
            return process
    pytest.fail("it never began to record")


def played(level_dbfs=-20.0):
    """The sweep of SHORT, and the whole signal."""
    sweep = Sweep(low_hz=40, high_hz=20_000, seconds=1.5, rate_hz=RATE_HZ)
    silence = np.zeros(RATE_HZ // 2)
    return sweep, np.concatenate([silence, 10 ** (level_dbfs / 20) * sweep.samples, silence])


def wait_for(condition):
    for _ in range(10 * PATIENCE_S):
        if condition():
            return
        time.sleep(0.1)
    pytest.fail("it never came")


def test_devices_are_listed_with_what_they_do(card):
    code, out, err = done(card.run("devices", "--json"))
    assert (code, err) == (
        0,
        "",
    )  # what the C libraries say of devices that do not open is for nobody
    found = {device["name"]: device for device in json.loads(out)["devices"]}
    # The sink has no source of its own name.
    assert found["speaker"]["plays_hz"] and not found["speaker"]["records_hz"]
    assert found["microphone"]["records_hz"] and not found["microphone"]["plays_hz"]
    assert found["default"]["plays_hz"]
    assert set(found["default"]["records_hz"]) >= {44_100, 48_000}


def test_a_take_is_the_offline_convolution_sample_by_sample(card, room, tmp_path):
    # Mono in, stereo out: the right loudspeaker alone plays, and the room hears the mean of both
    # channels.
    card.be_room(room)
    folder = new_job(tmp_path / "job", pairs=1)
    argv = (
        "measure",
        folder,
        "--input",
        "pocket",
        "--output",
        "speaker",
        *SHORT,
        "--output-channel",
        "2",
    )
    _, out, err = done(card.run(*argv))
    assert "S1-P1.wav: keep" in err
    assert (
        "Visit 'before' is not complete" in out
    )  # one pair is no survey, and the conditions are not noted
    assert "conditions are not noted" in out
    sweep, signal_ = played()
    offline = fftconvolve(0.5 * signal_.astype(np.float32), room)
    (take,) = measure(load_job(folder), "before")
    y, rate = sf.read(folder / take.take, dtype="float64", always_2d=True)
    assert rate == RATE_HZ
    assert y.shape[1] == 1
    lag = all_lags(y[:, 0], sweep).peak - all_lags(offline, sweep).peak
    n = min(len(y) - lag, len(offline))
    assert n > len(signal_)
    assert np.abs(y[lag : lag + n, 0] - offline[:n]).max() < 2e-6 * np.abs(offline).max()
    assert not y[:lag].any()


def test_a_visit_of_six_positions_stops_resumes_and_closes(card, room, tmp_path):
    card.be_room(room, noise=2e-4)
    folder = new_job(tmp_path / "job", pairs=6)
    takes = folder / "takes" / "before"
    # One room for all pairs: `--sure`, since it would be asked about.
    again = ("measure", folder, *HERE, "--yes", "--sure", "--decay", "0.6", "--loopback", "2")
    argv = (*again, "--level", "-20", "--seconds", "1.5")
    conditions = (
        "--temperature",
        "21C",
        "--humidity",
        "45",
        "--doors",
        "shut",
        "--hvac",
        "off",
        "--people",
        "1",
    )
    first = card.run(*argv, *conditions)
    wait_for(lambda: (takes / "S1-P1.toml").exists() or first.poll() is not None)
    code, _, err = done(card.run(*argv))
    assert code == 2
    assert "another roomcheck is measuring this job" in err
    wait_for(lambda: (takes / "S1-P2.toml").exists() or first.poll() is not None)
    first.send_signal(signal.SIGINT)
    code, _, err = done(first)
    assert code == 130, err
    assert "what was finished is kept" in err
    assert "Level first" in err
    assert "Test sweep at -48 dB" in err  # quietly first
    kept = {path.name: path.read_bytes() for path in takes.glob("*.wav")}
    assert {"S1-P1.wav", "S1-P2.wav"} <= set(
        kept
    )  # the first try at least; a busy machine may have needed more

    code, out, err = done(card.run(*again, "--json"))
    told = json.loads(out)
    assert code == 0, err
    assert told["complete"]
    assert told["missing"] == []
    assert told["closing"]["reached"] == "survey"
    assert {(t["source"], t["microphone"]) for t in told["takes"]} <= {
        (s, m) for s in ("S1", "S2") for m in MICS
    } - {("S1", "P1")}
    assert "As this visit began: sweep of 1.5 s" in err
    for name, recording in kept.items():
        assert (takes / name).read_bytes() == recording
    # 340 samples at 48 kHz; the loudspeaker is a cable and adds nothing.
    for flight in told["flights"]:
        assert flight["flight_s"] == pytest.approx(DIRECT / RATE_HZ, abs=1.5 / RATE_HZ)

    job = load_job(folder)
    assert job.visit("before").doors == "shut"
    found = measure(job, "before")
    assert [(m.source, m.microphone) for m in found] == [(s, m) for s in ("S1", "S2") for m in MICS]
    # The system's own latency is never the same twice: takes are aligned by the signal.
    sweep, _ = played()
    lags = {all_lags(sf.read(folder / one.take)[0][:, 1], sweep).peak for one in found}
    assert len(lags) > 1
    own = {
        band.band_hz: band.t20_s for band in decays(ImpulseResponse(samples=room, rate_hz=RATE_HZ))
    }
    means = []
    for one in found:
        t20 = {band.band_hz: band.t20_s for band in decays(one.response)}
        upper = [t20[hz] for hz in (500, 1000, 2000, 4000, 8000)]
        # The made room dies away in 0.3 s; in each octave it is a draw of noise, so the octaves'
        # mean is held.
        assert np.mean(upper) == pytest.approx(T_S, rel=0.05)
        assert t20[1000] == pytest.approx(own[1000], rel=0.02)
        means.append(np.mean(upper))
    assert (
        np.ptp(means) < 0.04 * T_S
    )  # the same room six times, each take with its own noise and lag


def test_a_muted_input_is_named(card, room, tmp_path):
    card.be_room(room)
    card.mute(True)
    try:
        code, _, err = done(card.run("measure", new_job(tmp_path / "job"), *HERE, "--yes"))
    finally:
        card.mute(False)
    assert code == 2
    assert "every sample is exactly zero" in err
    assert "mute" in err


def test_a_rate_that_the_device_does_not_have_is_named_with_those_it_has(card, tmp_path):
    code, _, err = done(
        card.run("measure", new_job(tmp_path / "job"), *HERE, *SHORT, "--rate", "1000000")
    )
    assert code == 2
    assert "it does not run at 1000000 Hz, but at 44100, 48000" in err
    assert "--rate 48000" in err


def test_a_device_that_is_not_there_is_named(card, tmp_path):
    code, _, err = done(
        card.run(
            "measure", new_job(tmp_path / "job"), "--input", "nobody", "--output", "speaker", *SHORT
        )
    )
    assert code == 2
    assert "input nobody" in err
    assert "roomcheck devices" in err


def test_a_full_disk_loses_nothing_that_was_finished(card, room, tmp_path):
    resource = pytest.importorskip("resource")
    card.be_room(room)
    folder = new_job(tmp_path / "job", pairs=1)

    def small_disk():
        # No file beyond 100 kB: to the program a disk that takes no more.
        resource.setrlimit(resource.RLIMIT_FSIZE, (100_000, 100_000))

    code, _, err = done(card.run("measure", folder, *HERE, *SHORT, preexec_fn=small_disk))
    assert code == 2
    assert "it cannot be written" in err
    assert "still in memory" in err
    left = [path.name for path in (folder / "takes").rglob("*") if path.is_file()]
    assert left == [".measuring"]


def test_a_device_that_disappears_in_the_middle_is_named(card, room, tmp_path):
    card.be_room(room)
    folder = new_job(tmp_path / "job")
    process = recording_now(card, folder)
    time.sleep(2)
    card.unplug()
    try:
        code, out, _ = done(process)
    finally:
        card.plug()
    assert code == 2
    assert "sound card: it stopped after" in out
    assert "finished takes are kept" in out
    assert not list(folder.rglob("*.wav"))


def test_a_dropout_is_heard_whatever_the_flags_say_and_the_take_made_again(card, room, tmp_path):
    card.be_room(room, noise=2e-4)
    folder = new_job(tmp_path / "job", pairs=1)
    process = recording_now(card, folder, "--seconds", "3", "--decay", "1")
    time.sleep(3)  # a second of silence before, half a second more, and a sweep of three
    with card.frozen():
        time.sleep(0.6)
    _, out, _ = done(process)
    before, _, after = out.partition(": keep")
    signs = ("dropout", "ran dry", "were lost", "ends", "Nothing was kept")
    assert any(sign in before for sign in signs)
    assert "repeat" in before or "Nothing was kept" in before
    assert "Good take" in after, out


def test_a_frozen_sound_server_holds_nobody(card, room, tmp_path):
    card.be_room(room)
    folder = new_job(tmp_path / "job")
    process = recording_now(card, folder)
    time.sleep(1.5)
    with card.frozen():
        for line in process.stdout:
            if "sound card: it stopped after" in line:
                break
        else:
            pytest.fail("nothing was said while the server stood still")
        process.send_signal(signal.SIGINT)
        code, _, _ = done(process)
    assert code == 130


def test_the_users_own_sound_is_never_touched(card):
    for name in ("PULSE_SERVER", "ALSA_CONFIG_PATH", "XDG_RUNTIME_DIR", "HOME"):
        assert str(card.folder) in card.environment[name]
