"""One recording of a whole visit with a pocket recorder: cut apart, matched, and refused with
reasons."""

from __future__ import annotations

import json

import numpy as np
import pytest
import soundfile as sf
from scipy.signal import fftconvolve

from roomcheck.cli import main
from roomcheck.measure import (
    Sweep,
    add_recording,
    add_whole,
    check_single,
    export,
    hear,
    kept_takes,
    lay_out,
    measure,
    single_work,
)
from roomcheck.measure.checks.clock import resample
from roomcheck.measure.checks.listening import listen
from roomcheck.measure.faults import MarkersNotFound, NotAudio
from roomcheck.measure.visit.long_recording import find_stretches

RATE_HZ = 48_000
PPM = 40.0
GAPS_S = (4.0, 7.3, 5.1)


@pytest.fixture(scope="module")
def played():
    sweep = Sweep(low_hz=60, high_hz=18_000, seconds=3, rate_hz=RATE_HZ)
    return lay_out(sweep, silence_s=1.0)


def visit(played, rooms, *, gaps=GAPS_S, bumps=True):
    """The player starts again at every position; the recorder runs through, on a clock of its
    own."""
    rng = np.random.default_rng(11)
    parts = []
    for room, gap in zip(rooms, gaps, strict=False):
        between = np.zeros(round(gap * RATE_HZ))
        if bumps:  # steps, a stand that is moved, a voice
            at = len(between) // 3
            between[at : at + 4000] += 0.3 * rng.standard_normal(4000) * np.hanning(4000)
        parts += [between, fftconvolve(played.samples().mean(axis=1), room)]
    y = np.concatenate([*parts, np.zeros(RATE_HZ)])
    y = resample(y, 1 + PPM / 1e6)
    return y + 3e-5 * rng.standard_normal(len(y))


@pytest.fixture
def recording(tmp_path, played, helpers):
    rooms = [helpers.make_room(t, seed=i) for i, t in enumerate((0.25, 0.5))]
    sf.write(tmp_path / "VISIT.wav", visit(played, rooms), RATE_HZ, subtype="PCM_24")
    return tmp_path / "VISIT.wav"


def add(capsys, job, recording, *argv):
    sweep = recording.with_name("sweep.toml")
    told = (
        "add",
        job.folder,
        recording,
        "--visit",
        "before",
        "--source",
        "S1",
        "--sweep",
        sweep,
        *argv,
    )
    code = main([str(arg) for arg in told])
    said = capsys.readouterr()
    return code, said.out, said.err


def test_a_whole_visit_is_cut_apart_and_matched_in_order(job, recording, played, capsys):
    export(recording.with_name("sweep.wav"), played)
    code, out, err = add(capsys, job, recording, "--microphone", "P1,P2", "--json")
    assert code == 0, err
    pieces = json.loads(out)["pieces"]
    # Gap and lead-in (3 s) before the first chirp; then the first file's length, its room's tail
    # and the second gap.
    first = GAPS_S[0] + played.first_s
    second = first + played.seconds + 1.3 * 0.25 + GAPS_S[1]
    assert [piece["at_s"] for piece in pieces] == pytest.approx([first, second], abs=0.02)
    one, two = measure(job, "before")
    assert (one.microphone, two.microphone) == ("P1", "P2")
    for found, t_s in ((one, 0.25), (two, 0.5)):
        assert found.check.drift_ppm == pytest.approx(PPM, abs=2)
        energy = np.cumsum(found.response.samples[::-1] ** 2)[::-1]
        db = 10 * np.log10(energy / energy[0])
        start = int(np.argmax(db < -5))
        assert (int(np.argmax(db < -25)) - start) * 3 / RATE_HZ == pytest.approx(t_s, rel=0.12)
    # What came is kept as it came, and the pieces are its own samples.
    (kept,) = (job.folder / "takes" / "before" / "whole").iterdir()
    assert kept.read_bytes() == recording.read_bytes()
    whole, _ = sf.read(recording, dtype="int32")
    piece, _ = sf.read(job.folder / one.take, dtype="int32")
    at = round((first - 2.5) * RATE_HZ * (1 + PPM / 1e6))
    near = [a for a in range(at - 3000, at + 3000) if np.array_equal(whole[a : a + 64], piece[:64])]
    assert len(near) == 1
    assert np.array_equal(whole[near[0] : near[0] + len(piece)], piece)


def files(folder):
    return {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def test_a_stop_takes_out_again_what_was_added(job, recording, played):
    given = {"visit": "before", "places": [("P1", ("S1",)), ("P2", ("S1",))], "played": played}
    add_recording(job, recording, visit="before", source="S1", microphone="P2", sweep=played)
    before = files(job.folder)
    added = []

    def stop(done, of):
        takes = list((job.folder / "takes" / "before").glob("S1-P1*"))
        if takes:
            added.extend(takes)
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        add_whole(job, recording, on_part=stop, **given)
    assert len(added) == 2
    assert files(job.folder) == before
    assert all(piece.added is not None for piece in add_whole(job, recording, **given))


def test_a_long_recording_of_one_place_says_how_much_is_done(job, tmp_path, played, helpers):
    # 140 s: five blocks of 30 s are searched for chirps, the silence after the sweep for sweeps.
    y = visit(played, [helpers.make_room(0.3)])
    y = np.concatenate([y, 3e-5 * np.random.default_rng(3).standard_normal(125 * RATE_HZ)])
    sf.write(tmp_path / "LONG.wav", y, RATE_HZ, subtype="PCM_24")
    looked, heard = [], []
    check_single(tmp_path / "LONG.wav", played, on_part=lambda done, of: looked.append((done, of)))
    add_recording(
        job,
        tmp_path / "LONG.wav",
        visit="before",
        source="S1",
        microphone="P1",
        sweep=played,
        on_part=lambda done, of: heard.append((done, of)),
    )
    for told, work in zip((looked, heard), single_work(tmp_path / "LONG.wav", played), strict=True):
        done = [part for part, _ in told]
        assert {of for _, of in told} == {work}
        assert done == sorted(done)
        assert 0 < done[0] < done[-1] < work
    (kept,) = kept_takes(job)
    again = []
    hear(job, kept, lambda done, of: again.append((done, of)))
    assert again == heard
    seconds = len(y) / RATE_HZ
    assert [done for done, _ in looked[:4]] == pytest.approx([30, 60, 90, 120], abs=1)
    assert looked[0][1] == pytest.approx(3 * seconds - 2 * (played.last_s - played.first_s), abs=2)


def test_takes_that_are_listed_are_listened_to_once(job, recording, played, capsys, monkeypatch):
    add_whole(
        job, recording, visit="before", places=[("P1", ("S1",)), ("P2", ("S1",))], played=played
    )
    listened = []

    def count(*given):
        listened.append(given)
        return listen(*given)

    monkeypatch.setattr("roomcheck.measure.visit.takes.listen", count)
    said = []
    for _ in range(2):
        assert main(["takes", str(job.folder), "--json"]) == 0
        said.append(capsys.readouterr().out)
    assert len(listened) == 2
    assert said[0] == said[1]
    assert len(json.loads(said[0])["takes"]) == 2


def test_a_far_place_in_a_live_room_is_found_by_its_sweep(tmp_path, played, helpers):
    # 20 dB more late than direct sound: the back row of a bare classroom, ten critical distances
    # off.
    rooms = [helpers.make_room(1.4, direct=3.0), helpers.make_room(1.4, seed=2, direct=0.3)]
    sf.write(tmp_path / "a.wav", visit(played, rooms), RATE_HZ, subtype="PCM_24")
    second = GAPS_S[0] + played.first_s + played.seconds + 1.3 * 1.4 + GAPS_S[1]
    found = find_stretches(tmp_path / "a.wav", played)
    assert [s.first_s for s in found] == pytest.approx([7.0, second], abs=0.2)
    assert [s.last_s - s.first_s for s in found] == pytest.approx(
        [played.last_s - played.first_s] * 2, abs=0.1
    )


@pytest.mark.parametrize(("named", "count"), [("P1", 1), ("P1,", 1), ("P1,P2,P1", 3)])
def test_a_wrong_count_is_named_with_the_times(job, recording, played, capsys, named, count):
    export(recording.with_name("sweep.wav"), played)
    code, out, err = add(capsys, job, recording, "--microphone", named)
    assert (code, out) == (2, "")
    assert "2 sweeps, first chirps at 0:07.0, 0:3" in err
    assert ("needed one" if named == "P1" else f"needed {count}, one for each of P1") in err
    assert not (job.folder / "takes").exists()


def test_a_recorder_at_the_other_rate_is_still_cut(tmp_path, played, helpers):
    y = visit(played, [helpers.make_room(0.3), helpers.make_room(0.3, seed=2)])
    # It recorded at 44.1 kHz and its file says so: times are as they were.
    sf.write(tmp_path / "a.wav", resample(y, 44_100 / 48_000), 44_100)
    assert [s.first_s for s in find_stretches(tmp_path / "a.wav", played)] == pytest.approx(
        [7.0, 34.1], abs=0.5
    )
    # It says 48 kHz and ran at 44.1: everything is 8.8 % longer or shorter.
    sf.write(tmp_path / "b.wav", resample(y, 44_100 / 48_000), 48_000)
    assert len(find_stretches(tmp_path / "b.wav", played)) == 2


def test_a_sweep_that_was_broken_off_is_named_with_its_time(tmp_path, played, helpers):
    room = helpers.make_room(0.3)
    y = visit(played, [room, room])
    broken = fftconvolve(played.samples().mean(axis=1)[: 8 * RATE_HZ], room)
    y = np.concatenate([y, broken, np.zeros(4 * RATE_HZ)])
    sf.write(tmp_path / "a.wav", y, RATE_HZ)
    with pytest.raises(MarkersNotFound, match="without its other"):
        find_stretches(tmp_path / "a.wav", played)


def test_left_and_right_go_to_two_sources(job, tmp_path, helpers, capsys):
    text = (job.folder / "job.toml").read_text(encoding="utf-8")
    other = '[[source]]\nname = "S2"\nx = "1.1 m"\ny = "2.4 m"\nz = "1.5 m"\n'
    (job.folder / "job.toml").write_text(
        text.replace("[[microphone]]", f"{other}[[microphone]]", 1), encoding="utf-8"
    )
    sweep = Sweep(low_hz=60, high_hz=18_000, seconds=3, rate_hz=RATE_HZ)
    both = lay_out(sweep, sides=("left", "right"), silence_s=1.0)
    export(tmp_path / "sweep.wav", both)
    room = helpers.make_room(0.3)
    y = np.concatenate([visit(both, [room, room], bumps=False)])
    sf.write(tmp_path / "VISIT.wav", y, RATE_HZ, subtype="PCM_24")
    code, _, err = add(
        capsys, job, tmp_path / "VISIT.wav", "--microphone", "P1,P2", "--source", "S1"
    )
    assert code == 2
    assert "name a source for each, such as S1,S2" in err
    code, out, err = add(
        capsys, job, tmp_path / "VISIT.wav", "--microphone", "P1,P2", "--source", "S1,S2", "--json"
    )
    assert code == 0, err
    told = [(p["source"], p["microphone"], p["added"]["take"]) for p in json.loads(out)["pieces"]]
    assert told == [(s, p, f"takes/before/{s}-{p}.wav") for p in ("P1", "P2") for s in ("S1", "S2")]


@pytest.mark.parametrize("name", ["none.wav", "text.wav"])
def test_what_is_no_recording_is_named(tmp_path, played, name):
    (tmp_path / "text.wav").write_text("no sound", encoding="utf-8")
    with pytest.raises(NotAudio):
        find_stretches(tmp_path / name, played)


def test_a_recording_without_the_sweep_is_named(tmp_path, played):
    sf.write(
        tmp_path / "a.wav", 0.1 * np.random.default_rng(0).standard_normal(40 * RATE_HZ), RATE_HZ
    )
    with pytest.raises(MarkersNotFound, match="no two marker chirps"):
        find_stretches(tmp_path / "a.wav", played)
