"""Takes in the job folder: copied as they are, named, judged, read again."""

from __future__ import annotations

import tomllib
from pathlib import Path

import numpy as np
import pytest
import soundfile as sf
from scipy.signal import fftconvolve

import roomcheck
from roomcheck.errors import RoomcheckError
from roomcheck.facts import fact
from roomcheck.job import Hint, check_job, visit_files
from roomcheck.measure import Sweep, Take, add_recording, export, lay_out, measure, visited
from roomcheck.measure.faults import NoSweepFound, RecordingError, TakeNotWritten

from ..unwritable import writes_anywhere

RATE_HZ = 48_000
BEFORE = {"visit": "before", "source": "S1", "microphone": "P1"}


@pytest.fixture(scope="module")
def short():
    return Sweep(low_hz=40, high_hz=18_000, seconds=3, rate_hz=RATE_HZ)


@pytest.fixture
def recording(tmp_path, short, helpers):
    def make(name="REC0001.wav", fault=lambda y: y, seed=0, **kind):
        path = tmp_path / name
        y = helpers.make_take(short, helpers.make_room(0.4, seed=seed), seed=seed + 50)
        sf.write(path, fault(y), RATE_HZ, **kind)
        return path

    return make


def tree(folder: Path) -> dict[str, bytes]:
    return {
        p.relative_to(folder).as_posix(): p.read_bytes()
        for p in sorted(folder.rglob("*"))
        if p.is_file()
    }


@pytest.mark.parametrize("name", ["REC0001.wav", "zoom.FLAC", "a b.aiff"])
def test_a_recording_is_copied_byte_for_byte_with_its_facts_beside_it(job, recording, short, name):
    path = recording(name)
    added = add_recording(job, path, **BEFORE, sweep=short)
    assert added.check.keep
    assert added.take == f"takes/before/S1-P1{path.suffix.lower()}"
    assert (job.folder / added.take).read_bytes() == path.read_bytes()
    facts = tomllib.loads((job.folder / "takes/before/S1-P1.toml").read_text(encoding="utf-8"))
    assert facts["came_as"] == name
    assert (facts["source"], facts["microphone"], facts["channel"]) == ("S1", "P1", 1)
    assert facts["sweep"] == {"low_hz": 40, "high_hz": 18_000, "seconds": 3, "rate_hz": RATE_HZ}


def test_a_second_take_gets_a_second_name_and_overwrites_nothing(job, recording, short):
    names = [add_recording(job, recording(seed=i), **BEFORE, sweep=short).take for i in range(3)]
    assert names == [
        "takes/before/S1-P1.wav",
        "takes/before/S1-P1-2.wav",
        "takes/before/S1-P1-3.wav",
    ]
    added = add_recording(job, recording("x.flac", seed=4), **BEFORE, sweep=short)
    assert added.take == "takes/before/S1-P1-4.flac"
    assert len({(job.folder / name).read_bytes() for name in names}) == 3


def test_measure_gives_the_job_s_pairs_with_the_newest_take_that_may_be_kept(job, recording, short):
    add_recording(job, recording(seed=1), visit="before", source="S1", microphone="P2", sweep=short)
    add_recording(job, recording(seed=2), **BEFORE, sweep=short)
    bad = add_recording(
        job, recording(seed=3, fault=lambda y: np.clip(20 * y, -1, 1)), **BEFORE, sweep=short
    )
    assert not bad.check.keep
    found = measure(job, "before")
    assert [(m.source, m.microphone, m.take) for m in found] == [
        ("S1", "P1", "takes/before/S1-P1.wav"),
        ("S1", "P2", "takes/before/S1-P2.wav"),
    ]
    assert all(m.check.keep for m in found)
    (passed_over,) = found[0].check.passed_over
    assert passed_over.take == "takes/before/S1-P1-2.wav"
    assert passed_over.reasons == bad.check.reasons
    assert np.array_equal(measure(job, "before")[0].response.samples, found[0].response.samples)


def test_where_no_take_may_be_kept_the_newest_is_handed_on_with_its_reasons(job, recording, short):
    for seed in (1, 2):
        add_recording(
            job, recording(seed=seed, fault=lambda y: np.clip(20 * y, -1, 1)), **BEFORE, sweep=short
        )
    (found,) = measure(job, "before")
    assert found.take == "takes/before/S1-P1-2.wav"
    assert not found.check.keep
    assert found.check.reasons[0].kind is Take.CLIPPED


def test_a_person_may_keep_what_roomcheck_would_repeat(job, recording, short):
    path = recording(fault=lambda y: np.clip(20 * y, -1, 1))
    added = add_recording(job, path, **BEFORE, sweep=short, keep_anyway=True)
    assert added.check.keep
    assert added.check.overruled[0].kind is Take.CLIPPED
    assert not added.check.reasons
    assert measure(job, "before")[0].check.keep


def test_the_sound_card_s_faults_stay_with_the_take(job, recording, short):
    lost, dry = fact(Take.INPUT_LOST, after_s=2.0), fact(Take.OUTPUT_RAN_DRY, after_s=3.5)
    added = add_recording(job, recording(), **BEFORE, sweep=short, faults=(lost, dry))
    assert not added.check.keep
    assert measure(job, "before")[0].check.reasons[:2] == (lost, dry)


def test_faults_that_an_older_version_wrote_as_text_are_read(job, recording, short):
    added = add_recording(job, recording(), **BEFORE, sweep=short)
    path = (job.folder / added.take).with_suffix(".toml")
    text = "input samples were lost 1.0 s after the start"
    lines = path.read_text(encoding="utf-8").split("\n", 2)
    path.write_text("\n".join((lines[0], f'faults = ["{text}"]', *lines[1:])), encoding="utf-8")
    (found,) = measure(job, "before")
    assert not found.check.keep
    assert found.check.reasons[0] == fact(Take.AS_WRITTEN, text=text)


def test_the_second_take_needs_no_sweep_named(job, recording, short):
    with pytest.raises(RecordingError, match="which sweep was played"):
        add_recording(job, recording(), **BEFORE)
    add_recording(job, recording(), **BEFORE, sweep=short)
    assert add_recording(job, recording(seed=1), **BEFORE).check.keep


def test_a_sweep_s_own_sound_file_will_do_and_travels_with_the_job(job, recording, short, tmp_path):
    own = tmp_path / "Sweep (their own).wav"
    sf.write(own, np.concatenate([np.zeros(5000), 0.7 * short.samples, np.zeros(5000)]), RATE_HZ)
    add_recording(job, recording(), **BEFORE, sweep=own)
    own.unlink()
    (found,) = measure(job, "before")
    assert found.check.keep
    copies = list((job.folder / "takes/played").iterdir())
    assert len(copies) == 1


@pytest.mark.parametrize("named", ["sweep.toml", "sweep.wav"])
def test_the_sweep_file_s_facts_are_enough(job, tmp_path, helpers, named):
    played = lay_out(
        Sweep(low_hz=40, high_hz=18_000, seconds=5, rate_hz=RATE_HZ), sides=("right",), silence_s=1
    )
    sidecar = export(tmp_path / "sweep.wav", played)
    assert sidecar == tmp_path / "sweep.toml"
    samples, rate = sf.read(tmp_path / "sweep.wav")
    assert rate == RATE_HZ
    assert np.abs(samples - played.samples()).max() < 2**-22
    y = fftconvolve(samples[:, 1], helpers.make_room(0.02, seed=1))
    sf.write(
        tmp_path / "REC.wav", y + 1e-4 * np.random.default_rng(0).standard_normal(len(y)), RATE_HZ
    )
    added = add_recording(job, tmp_path / "REC.wav", **BEFORE, sweep=tmp_path / named)
    assert added.check.keep, added.check.reasons
    assert added.check.drift_ppm == pytest.approx(0, abs=0.1)
    assert measure(job, "before")[0].check.keep
    with pytest.raises(TakeNotWritten, match="there already"):
        export(tmp_path / "sweep.wav", played)


def test_a_changed_or_lost_recording_is_noticed(job, recording, short):
    take = job.folder / add_recording(job, recording(), **BEFORE, sweep=short).take
    whole = take.read_bytes()
    take.write_bytes(whole[:-2] + b"\x01\x02")
    with pytest.raises(RecordingError, match="SHA-256"):
        measure(job, "before")
    take.unlink()
    with pytest.raises(RecordingError, match="no recording beside it"):
        measure(job, "before")


@pytest.mark.parametrize("facts", ["", "schema = 1\n", "schema = 99\n", "not toml"])
def test_spoilt_facts_are_said(job, recording, short, facts):
    add_recording(job, recording(), **BEFORE, sweep=short)
    (job.folder / "takes/before/S1-P1.toml").write_text(facts, encoding="utf-8")
    with pytest.raises(RoomcheckError, match=r"S1-P1\.toml"):
        measure(job, "before")


def test_a_visit_works_without_a_take_that_cannot_be_read(job, recording, short):
    for microphone in ("P1", "P2"):
        place = {**BEFORE, "microphone": microphone}
        add_recording(job, recording(), **place, sweep=short)
    (job.folder / "takes/before/S1-P1.toml").write_text("not toml", encoding="utf-8")
    found = visited(job, "before")
    assert [one.microphone for one in found.measurements] == ["P2"]
    (unread,) = found.unread
    assert unread.take == "takes/before/S1-P1.toml" and "not TOML" in unread.why


STRAYS = (
    ".part-x1.toml",
    ".S1-P1.toml.swp",
    "S1-P1.toml~",
    "#S1-P1.toml#",
    ".DS_Store",
    "S1-P1 (copy).toml",
    "S1-P1 (Somebody's conflicted copy 2026-05-04).toml",
    "S1-P1.sync-conflict-20260504-101112-ABCDEFG.toml",
    "S1-P1-DESKTOP.toml",
    "S1-P1-2.toml",
    "left-alone.wav",
)


@pytest.mark.parametrize("name", [".S1-P1.toml", "S1-P1 (copy).toml", "notes.toml"])
def test_what_cannot_be_a_take_by_its_name_is_not_read(job, recording, short, name):
    add_recording(job, recording(), **BEFORE, sweep=short)
    folder = job.folder / "takes/before"
    (folder / name).write_text("half a dra", encoding="utf-8")
    found = visit_files(job.folder, "before")
    assert found.strays == (folder / name,) and found.unreadable == ()


@pytest.mark.parametrize("name", STRAYS)
def test_a_copy_under_another_name_is_no_take_and_is_named(job, recording, short, name):
    added = add_recording(job, recording(), **BEFORE, sweep=short)
    folder = job.folder / "takes/before"
    (folder / name).write_bytes((folder / "S1-P1.toml").read_bytes())
    assert len(measure(job, "before")) == 1
    assert visit_files(job.folder, "before").strays == (folder / name,)
    noted = [note for one in check_job(job) for note in one.notes if note.kind is Hint.STRAYS]
    assert [note["files"] for note in noted] == [(f"takes/before/{name}",)]
    again = add_recording(job, recording(), **BEFORE, sweep=short)
    assert added.take == "takes/before/S1-P1.wav" and again.take.endswith((".wav",))
    assert len(measure(job, "before")) == 1


@pytest.mark.parametrize("ending", ["", ".txt", ".bwf", ".raw", ".mat", ".toml", ".opus", ".W"])
def test_a_recording_is_read_again_whatever_its_ending(job, recording, short, ending):
    came = recording()
    other = came.with_name(f"take{ending}")
    other.write_bytes(came.read_bytes())
    added = add_recording(job, other, **BEFORE, sweep=short)
    kept = job.folder / added.take
    assert kept.read_bytes() == came.read_bytes() and kept.suffix == ".wav"
    assert len(measure(job, "before")) == 1


HURT = {
    "take": ['"x"', "nan", "0", "true"],
    "channel": ['"1"', "0", "true"],
    "direction": ["[1]", "3"],
    "flight_s": ['"x"', "nan", "inf"],
    "stood_m": ["1", "[[1, 2], [3, 4, 5]]", "[[nan, 1, 1], [1, 1, 1]]"],
    "faults": ["1", '[{ kind = "nothing" }]', "[3]"],
    "correction": ["1", '"../../job.toml"'],
    "keep_anyway": ['"no"'],
    "side": ['"up"'],
    "wrong_machine": ['"x"'],
    "sha256": ['"0"', "1"],
    "file": ['"../S1-P1.wav"', "1"],
    "sweep": ["1", "{ seconds = 1e9, low_hz = 40, high_hz = 20000, rate_hz = 48000 }"],
    "source": ["1", '"S9"'],
}


@pytest.mark.parametrize(("key", "value"), [(key, v) for key, vs in HURT.items() for v in vs])
def test_facts_that_hands_spoilt_are_refused_with_their_file(job, recording, short, key, value):
    import tomlkit

    add_recording(job, recording(), **BEFORE, sweep=short)
    path = job.folder / "takes/before/S1-P1.toml"
    facts = tomlkit.parse(path.read_text(encoding="utf-8"))
    facts.pop(key, None)
    path.write_text(f"{key} = {value}\n{tomlkit.dumps(facts)}", encoding="utf-8")
    with pytest.raises(RoomcheckError):
        measure(job, "before")


@pytest.mark.parametrize(
    ("wrong", "named"),
    [({"source": "S9"}, "S9"), ({"microphone": "P9"}, "P9"), ({"visit": "between"}, "between")],
)
def test_a_place_that_the_job_does_not_have_is_said_with_those_it_has(
    job, recording, short, wrong, named
):
    with pytest.raises(RecordingError, match=named) as caught:
        add_recording(job, recording(), **{**BEFORE, **wrong}, sweep=short)
    assert caught.value.needed.startswith("one of")


def test_no_takes_says_how_to_make_them(job):
    with pytest.raises(RecordingError, match="roomcheck measure"):
        measure(job, "after")


def test_bad_recordings_leave_the_job_as_it_was(job, recording, short, tmp_path):
    (tmp_path / "text.wav").write_bytes(b"Dear client")
    sf.write(
        tmp_path / "stereo.wav",
        np.random.default_rng(0).standard_normal((5 * RATE_HZ, 2)) * 0.1,
        RATE_HZ,
    )
    sf.write(
        tmp_path / "many.wav",
        np.random.default_rng(0).standard_normal((5 * RATE_HZ, 32)) * 0.1,
        RATE_HZ,
    )
    sf.write(
        tmp_path / "noise.wav", np.random.default_rng(0).standard_normal(9 * RATE_HZ) * 0.1, RATE_HZ
    )
    sf.write(
        tmp_path / "short.wav", np.random.default_rng(0).standard_normal(RATE_HZ) * 0.1, RATE_HZ
    )
    sf.write(tmp_path / "slow.wav", np.random.default_rng(0).standard_normal(80_000) * 0.1, 8000)
    before = tree(job.folder)
    for name in ("text", "stereo", "many", "noise", "short", "slow", "missing"):
        with pytest.raises(roomcheck.RoomcheckError):
            add_recording(job, tmp_path / f"{name}.wav", **BEFORE, sweep=short)
    other = Sweep(low_hz=40, high_hz=18_000, seconds=2.5, rate_hz=RATE_HZ)
    with pytest.raises(NoSweepFound):
        add_recording(job, recording(), **BEFORE, sweep=other)
    (tmp_path / "sweep.toml").write_text("low_hz = 40\n", encoding="utf-8")
    with pytest.raises(NoSweepFound, match="no sweep is described"):
        add_recording(job, recording(), **BEFORE, sweep=tmp_path / "sweep.toml")
    assert tree(job.folder) == before


@pytest.mark.skipif(writes_anywhere(), reason="the superuser may write anywhere")
def test_an_unwritable_folder_is_said_and_nothing_half_written(job, recording, short):
    before = tree(job.folder)
    job.folder.chmod(0o555)
    try:
        with pytest.raises(TakeNotWritten, match="Nothing was changed"):
            add_recording(job, recording(), **BEFORE, sweep=short)
    finally:
        job.folder.chmod(0o755)
    assert tree(job.folder) == before


def test_a_folder_in_the_way_is_said_and_nothing_half_written(job, recording, short):
    (job.folder / "takes").write_text("not a folder", encoding="utf-8")
    before = tree(job.folder)
    with pytest.raises(TakeNotWritten):
        add_recording(job, recording(), **BEFORE, sweep=short)
    assert tree(job.folder) == {**before, ".roomcheck-lock": b""}


def test_a_full_disk_leaves_nothing_half_written(job, recording, short, monkeypatch):
    from roomcheck.job.store import together

    def full(*_args):
        raise OSError(28, "No space left on device")

    path = recording()
    monkeypatch.setattr(together, "pour", full)
    with pytest.raises(TakeNotWritten, match="No space left"):
        add_recording(job, path, **BEFORE, sweep=short)
    assert set(tree(job.folder)) == {"job.toml", ".roomcheck-lock"}


def test_t20_of_a_real_recording_is_that_of_the_derived_response(job, measured_data):
    # Raw sweep recording and the response that an independent package derived from it (published
    # with that package). T20 of the derived response: 0.48 s, as noted beside the data, 0.45 to
    # 0.53 s from 250 Hz to 8 kHz.
    folder = measured_data / "sweep-recording-lab2"
    add_recording(
        job,
        folder / "GrCLab2SSRPos1Src1.wav",
        **BEFORE,
        sweep=folder / "Sweep(10-22000Hz,10s-0.2s).wav",
    )
    (found,) = measure(job, "before")
    assert found.response.rate_hz == 44_100
    theirs = roomcheck.load_impulse_response(folder / "derived_ir_GrCLab2SSRPos1Src1.wav")
    pairs = zip(roomcheck.decays(found.response), roomcheck.decays(theirs), strict=True)
    compared = [(a.band_hz, a.t20_s, b.t20_s) for a, b in pairs if 250 <= a.band_hz <= 8000]
    assert len(compared) == 6
    for band_hz, ours_s, theirs_s in compared:
        assert ours_s is not None, band_hz
        assert ours_s == pytest.approx(theirs_s, rel=0.05), band_hz
        assert 0.42 < ours_s < 0.56


def hinted(job, kind):
    return [note["files"] for one in check_job(job) for note in one.notes if note.kind is kind]


def test_one_recording_in_both_visits_is_named_before_anything_is_worked_out(job, recording, short):
    add_recording(job, recording(), **BEFORE, sweep=short)
    add_recording(job, recording(seed=1), **{**BEFORE, "visit": "after"}, sweep=short)
    assert hinted(job, Hint.SAME_RECORDING) == []
    for path in (job.folder / "takes/before").iterdir():
        (job.folder / "takes/after" / path.name).write_bytes(path.read_bytes())
    same = ("takes/before/S1-P1.toml = takes/after/S1-P1.toml",)
    assert hinted(job, Hint.SAME_RECORDING) == [same]


def test_a_take_whose_recording_is_gone_is_named(job, recording, short):
    added = add_recording(job, recording(), **BEFORE, sweep=short)
    assert hinted(job, Hint.RECORDINGS_GONE) == []
    (job.folder / added.take).unlink()
    assert hinted(job, Hint.RECORDINGS_GONE) == [("takes/before/S1-P1.toml",)]
