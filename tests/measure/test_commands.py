"""The commands sweep, add, devices and measure, as a person types them."""

from __future__ import annotations

import json

import numpy as np
import pytest
import soundfile as sf
from scipy.signal import fftconvolve

from roomcheck.cli import main
from roomcheck.facts import fact
from roomcheck.measure import Device, Recorded, Take, Unusable, measure

RATE_HZ = 48_000


def run(capsys, *argv):
    code = main([str(arg) for arg in argv])
    said = capsys.readouterr()
    return code, said.out, said.err


@pytest.fixture
def sweep_file(tmp_path, capsys):
    out = tmp_path / "room.wav"
    code, _, _ = run(capsys, "sweep", out, "--seconds", 3, "--decay", 1)
    assert code == 0
    return out


def test_from_sweep_to_take(tmp_path, job, sweep_file, helpers, capsys):
    samples, rate = sf.read(sweep_file)
    y = fftconvolve(samples[:, 0], helpers.make_room(0.02))
    sf.write(
        tmp_path / "REC.wav", y + 1e-4 * np.random.default_rng(0).standard_normal(len(y)), rate
    )
    place = (
        "--visit",
        "before",
        "--source",
        "S1",
        "--microphone",
        "P1",
        "--sweep",
        sweep_file.with_suffix(".toml"),
    )
    code, out, _ = run(capsys, "add", job.folder, tmp_path / "REC.wav", *place)
    assert code == 0
    assert out.startswith("takes/before/S1-P1.wav: keep")
    code, out, said = run(capsys, "add", job.folder, tmp_path / "REC.wav", *place)
    assert (code, out) == (2, "")
    assert "the same recording as takes/before/S1-P1.wav" in said and "--sure" in said
    code, out, _ = run(capsys, "add", job.folder, tmp_path / "REC.wav", *place, "--sure", "--json")
    assert code == 0
    told = json.loads(out)
    assert told["take"] == "takes/before/S1-P1-2.wav"
    assert told["check"]["keep"] is True
    assert [band["band_hz"] for band in told["check"]["bands"]][:2] == [63, 125]


def test_a_microphone_file_is_kept_with_the_take_and_applied(
    tmp_path, job, sweep_file, helpers, capsys
):
    samples, rate = sf.read(sweep_file)
    y = fftconvolve(samples[:, 0], helpers.make_room(0.02))
    sf.write(
        tmp_path / "REC.wav", y + 1e-4 * np.random.default_rng(0).standard_normal(len(y)), rate
    )
    (tmp_path / "mic.txt").write_text(
        "20 -6\n20000 -6\n", encoding="utf-8"
    )  # half as sensitive everywhere
    place = ("--visit", "before", "--source", "S1", "--sweep", sweep_file.with_suffix(".toml"))
    assert (
        run(capsys, "add", job.folder, tmp_path / "REC.wav", *place, "--microphone", "P1")[0] == 0
    )
    mic = ("--microphone", "P2", "--microphone-file", tmp_path / "mic.txt")
    assert run(capsys, "add", job.folder, tmp_path / "REC.wav", *place, *mic, "--sure")[0] == 0
    (tmp_path / "mic.txt").unlink()
    plain, flat = measure(job, "before")
    ratio = np.abs(flat.response.samples).max() / np.abs(plain.response.samples).max()
    assert 20 * np.log10(ratio) == pytest.approx(6, abs=0.05)
    assert flat.check.warnings[-1] == fact(
        Take.MICROPHONE_CORRECTED,
        file=flat.check.warnings[-1]["file"],
        low_hz=20.0,
        high_hz=20_000.0,
    )
    (tmp_path / "bad.txt").write_text("20 -6\n30 six\n", encoding="utf-8")
    code, _, err = run(
        capsys, "measure", job.folder, "--yes", "--microphone-file", tmp_path / "bad.txt"
    )
    assert code == 2
    assert "line 2" in err


def test_a_bad_recording_exits_2_and_says_why(tmp_path, job, sweep_file, capsys):
    (tmp_path / "REC.wav").write_bytes(b"no sound")
    place = ("--visit", "before", "--source", "S1", "--microphone", "P1", "--sweep", sweep_file)
    code, out, err = run(capsys, "add", job.folder, tmp_path / "REC.wav", *place)
    assert (code, out) == (2, "")
    assert "not a sound file" in err
    assert not (job.folder / "takes").exists()


@pytest.mark.parametrize(
    "wrong",
    [("--high", 30_000), ("--seconds", 0), ("--level", 3), ("--decay", 0), ("--rate", 8000)],
)
def test_an_impossible_sweep_exits_2_and_writes_nothing(tmp_path, capsys, wrong):
    code, _, err = run(capsys, "sweep", tmp_path / "a.wav", *wrong)
    assert code == 2
    assert err
    assert list(tmp_path.iterdir()) == []


def test_a_sweep_is_never_written_over(tmp_path, sweep_file, capsys):
    held = sweep_file.read_bytes()
    code, _, err = run(capsys, "sweep", sweep_file)
    assert code == 2
    assert "there already" in err
    assert sweep_file.read_bytes() == held


def test_devices_are_listed_with_what_they_are_good_for(monkeypatch, capsys):
    one = Device(
        number=0,
        name="Card",
        system="ALSA",
        inputs=2,
        outputs=2,
        records_hz=(44_100, 48_000),
        plays_hz=(48_000,),
    )
    two = Device(
        number=1,
        name="Monitor",
        system="ALSA",
        inputs=0,
        outputs=0,
        records_hz=(),
        plays_hz=(),
        why_not=fact(Unusable.NO_CHANNELS),
    )
    monkeypatch.setattr("roomcheck.measure.list_devices", lambda: (one, two))
    code, out, _ = run(capsys, "devices")
    assert code == 0
    assert "44.1 48" in out
    assert "no channels" in out
    code, out, _ = run(capsys, "devices", "--json")
    assert json.loads(out)["devices"][0]["records_hz"] == [44_100, 48_000]


def test_no_device_is_said_in_plain_words(monkeypatch, capsys):
    monkeypatch.setattr("roomcheck.measure.list_devices", lambda: ())
    code, out, _ = run(capsys, "devices")
    assert code == 0
    assert "no sound device" in out


def test_a_visit_runs_unattended(job, helpers, monkeypatch, capsys):
    room = helpers.make_room(0.3)

    class Card:
        def __init__(self, **_options):
            self.takes = 0

        def play_and_record(self, samples, rate_hz):
            self.takes += 1
            y = fftconvolve(samples, room[:3000])
            y += 1e-4 * np.random.default_rng(self.takes).standard_normal(len(y))
            return Recorded((0 * y if self.takes <= 3 else y)[:, None])

    monkeypatch.setattr("roomcheck.measure.PortAudioCard", Card)
    argv = ("measure", job.folder, "--yes", "--as-given", "--seconds", 3, "--json")
    code, out, err = run(capsys, *argv)
    assert code == 2  # the first position was muted three times and skipped
    assert json.loads(out)["missing"] == [["S1", "P1"]]
    assert "exactly zero" in err
    code, out, _ = run(capsys, *argv)
    assert code == 2
