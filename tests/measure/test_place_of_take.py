"""Which place was it: doubts at add and measure, and the takes of a job put aside and moved."""

from __future__ import annotations

import json
import math
import tomllib

import numpy as np
import pytest
import soundfile as sf
from scipy.signal import fftconvolve

from roomcheck.analyse.places.likeness import AS_BEFORE, SAME_SPOT, is_wire, likeness, print_of
from roomcheck.cli import main
from roomcheck.cli.terminal import doing
from roomcheck.geometry import Point, Room
from roomcheck.measure import ImpulseResponse, load_impulse_response
from roomcheck.mirrors import mirror_paths

RATE_HZ = 48_000
ROOM = Room.box(4.4, 3.6, 2.6)
SOURCE = Point(1.0, 0.9, 1.5)
PLACES = {"P1": Point(3.1, 2.3, 1.2), "P2": Point(2.2, 2.4, 1.2), "P3": Point(1.3, 2.9, 1.6)}


def response_at(microphone, seed=0, decay_s=0.4):
    """Mirror images of first and second order, 1 dB lost a face, over a tail that dies away."""
    rng = np.random.default_rng(seed)
    seconds = np.arange(RATE_HZ // 2) / RATE_HZ
    tail = 0.003 * rng.standard_normal(len(seconds)) * 10 ** (-3 * seconds / decay_s)
    h = tail * np.clip((seconds - 0.012) / 0.02, 0, 1)
    lengths = [(math.dist(SOURCE, microphone), 0)]
    lengths += [(path.length_m, path.order) for path in mirror_paths(ROOM, SOURCE, microphone, 2)]
    for length_m, order in lengths:
        at = length_m / 343.8 * RATE_HZ
        k = np.arange(int(at) - 16, int(at) + 18)
        h[k] += 10 ** (-order / 20) / length_m * np.sinc(k - at) * np.hanning(36)[1:-1]
    return h


@pytest.fixture
def job_with_three(job):
    text = (job.folder / "job.toml").read_text(encoding="utf-8")
    third = '[[microphone]]\nname = "P3"\nx = "1.3 m"\ny = "2.9 m"\nz = "1.6 m"\n[[visit]]'
    (job.folder / "job.toml").write_text(text.replace("[[visit]]", third, 1), encoding="utf-8")
    return job.folder


@pytest.fixture
def record(tmp_path):
    """Write a recording of a sweep in a made-up room; returns the file and the sweep's facts."""
    sweep_file = tmp_path / "sweep.wav"
    assert main(["sweep", str(sweep_file), "--seconds", "2", "--decay", "1"]) == 0
    samples, rate = sf.read(sweep_file)

    def write(name, response, seed):
        heard = fftconvolve(samples[:, 0], response)
        heard *= 0.3 / np.abs(heard).max()
        heard += 1e-5 * np.random.default_rng(seed).standard_normal(len(heard))
        sf.write(tmp_path / name, heard, rate, subtype="FLOAT")
        return tmp_path / name

    write.sweep = sweep_file.with_suffix(".toml")
    return write


@pytest.fixture
def add(job_with_three, record, capsys):
    """Add a recording; returns the exit code, output and messages."""

    def run(recording, microphone, *more, visit="before"):
        place = ("--visit", visit, "--source", "S1", "--microphone", microphone)
        argv = ["add", job_with_three, recording, *place, "--sweep", record.sweep, *more]
        capsys.readouterr()
        code = main([str(arg) for arg in argv])
        said = capsys.readouterr()
        return code, said.out, said.err

    return run


def takes_of(folder, capsys, *argv):
    capsys.readouterr()
    code = main(["takes", str(folder), *argv, "--json"])
    return code, json.loads(capsys.readouterr().out or "null")


def test_a_take_of_its_place_is_taken_and_one_of_another_is_asked_about(add, record):
    takes = {
        name: record(f"{name}.wav", response_at(at), i)
        for i, (name, at) in enumerate(PLACES.items())
    }
    assert add(takes["P1"], "P1")[0] == 0
    code, out, said = add(takes["P3"], "P2")
    assert (code, out) == (2, "")
    assert "fit S1 to P3" in said and "--sure" in said
    assert add(takes["P3"], "P2", "--sure")[0] == 0
    assert add(takes["P2"], "P2")[0] == 0


def test_the_same_spot_the_wire_and_before_as_after_are_asked_about(add, record):
    first = record("first.wav", response_at(PLACES["P1"]), 1)
    assert add(first, "P1")[0] == 0
    code, _, said = add(record("again.wav", response_at(PLACES["P1"]), 2), "P2")
    assert code == 2 and "not moved from S1 to P1" in said
    code, _, said = add(record("later.wav", response_at(PLACES["P1"]), 3), "P1", visit="after")
    assert code == 2 and "before anything was changed" in said
    assert (
        add(record("treated.wav", response_at(PLACES["P1"], 7, 0.25), 4), "P1", visit="after")[0]
        == 0
    )
    wire = np.zeros(2400)
    wire[48] = 1.0
    code, _, said = add(record("wire.wav", wire, 5), "P3")
    assert code == 2 and "no room in it" in said


def test_a_take_is_put_aside_put_back_and_moved_without_loss(add, record, job_with_three, capsys):
    folder = job_with_three
    recording = record("P2.wav", response_at(PLACES["P2"]), 1)
    content = recording.read_bytes()
    assert add(recording, "P2")[0] == 0
    code, listed = takes_of(folder, capsys)
    (take,) = listed["takes"]
    assert (code, take["take"], take["keep"], take["set_aside"]) == (
        0,
        "takes/before/S1-P2.wav",
        True,
        False,
    )
    assert take["length_s"] == pytest.approx(sf.info(recording).duration)
    facts = tomllib.loads((folder / "takes/before/S1-P2.toml").read_text(encoding="utf-8"))

    takes_of(folder, capsys, "before/S1-P2", "--remove")
    assert list((folder / "takes/before").glob("*.*")) == []
    assert (folder / "takes/set-aside/before/S1-P2.wav").read_bytes() == content
    takes_of(folder, capsys, "set-aside/before/S1-P2", "--put-back")
    assert (folder / "takes/before/S1-P2.wav").read_bytes() == content
    again = tomllib.loads((folder / "takes/before/S1-P2.toml").read_text(encoding="utf-8"))
    assert again == facts | {"added": take["added"]}

    code, listed = takes_of(folder, capsys, "before/S1-P2", "--move-to", "after/S1-P3", "--sure")
    assert (code, listed["takes"][0]["take"]) == (0, "takes/after/S1-P3.wav")
    assert listed["takes"][0]["came_from"] == "takes/before/S1-P2.wav"
    assert (folder / "takes/after/S1-P3.wav").read_bytes() == content
    assert (folder / "takes/set-aside/before/S1-P2.wav").read_bytes() == content
    code, listed = takes_of(folder, capsys)
    assert [one["set_aside"] for one in listed["takes"]] == [False, True]


def test_a_move_that_the_sound_contradicts_is_asked_about(add, record, job_with_three, capsys):
    folder = job_with_three
    for number, name in enumerate(("P1", "P2")):
        assert add(record(f"{name}.wav", response_at(PLACES[name]), number), name)[0] == 0
    argv = ["takes", str(folder), "before/S1-P2", "--move-to", "before/S1-P3"]
    capsys.readouterr()
    assert main(argv) == 2
    said = capsys.readouterr().err
    assert "fit S1 to P2" in said and "--sure" in said
    assert (folder / "takes/before/S1-P2.wav").is_file()
    assert not (folder / "takes/before/S1-P3.wav").exists()
    assert main([*argv, "--sure"]) == 0
    # Moved back to where it was recorded there is nothing to ask.
    back = ["takes", str(folder), "before/S1-P3", "--move-to", "before/S1-P2"]
    assert main(back) == 0


def test_a_take_put_back_beside_a_later_one_of_its_spot_is_asked_about(
    add, record, job_with_three, capsys
):
    """Put aside as P2's, it is P1's spot once P1 is recorded."""
    folder = job_with_three
    assert add(record("P2.wav", response_at(PLACES["P1"]), 1), "P2", "--sure")[0] == 0
    assert takes_of(folder, capsys, "before/S1-P2", "--remove")[0] == 0
    assert add(record("P1.wav", response_at(PLACES["P1"]), 2), "P1")[0] == 0
    argv = ["takes", str(folder), "set-aside/before/S1-P2", "--put-back"]
    assert main(argv) == 2
    assert "not moved from S1 to P1" in capsys.readouterr().err
    assert (folder / "takes/set-aside/before/S1-P2.wav").is_file()
    assert main([*argv, "--sure"]) == 0


def test_nothing_runs_over_a_question(monkeypatch):
    """The spinner stops while a question is open, and goes on after it."""
    started = []
    monkeypatch.setattr("sys.stderr.isatty", lambda: True, raising=False)
    monkeypatch.setattr("rich.status.Status.start", lambda self: started.append("on"))
    monkeypatch.setattr("rich.status.Status.stop", lambda self: started.append("off"))
    with doing("listen", file="P1.wav") as quiet:
        assert started == ["on"]
        with quiet():
            assert started == ["on", "off"]
        assert started == ["on", "off", "on"]
    assert started[-1] == "off"


def test_a_name_that_is_no_take_is_answered_with_those_there(job_with_three, capsys):
    assert main(["takes", str(job_with_three), "before/S1-P9", "--remove"]) == 2
    assert "none so far" in capsys.readouterr().err
    assert main(["takes", str(job_with_three)]) == 0
    assert main(["takes", str(job_with_three), "--remove"]) == 2


def test_repeats_of_one_spot_are_alike_and_other_spots_are_not(measured_data):
    """Three captures of a hall at one place, two channels apart; twelve places before and after."""
    folder = measured_data / "repeated-captures"
    repeats = [print_of(load_impulse_response(folder / f"channel1-ir{k}.flac")) for k in range(3)]
    elsewhere = print_of(load_impulse_response(folder / "channel2-ir1.flac"))
    for one, two in ((0, 1), (0, 2), (1, 2)):
        assert likeness(repeats[one], repeats[two]) > SAME_SPOT
        assert likeness(repeats[one], elsewhere) < 0.5
    panels = measured_data / "variable-acoustics-panels"
    for path in sorted(panels.glob("000_*.flac"))[::3]:
        before = load_impulse_response(path)
        after = load_impulse_response(path.with_name(path.name.replace("000_", "050_")))
        assert likeness(print_of(before), print_of(after), 0.02) < AS_BEFORE
        assert not is_wire(before)


def test_silence_has_no_print():
    assert print_of(ImpulseResponse(samples=np.zeros(4800), rate_hz=48_000)) == ""
    assert likeness("", "") == 0.0
    assert likeness("no base64!", "AAAA") == 0.0
