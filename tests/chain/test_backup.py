"""A job as one file, and back: the same bytes, and nothing outside of its folder."""

from __future__ import annotations

import errno
import json
import random
import shutil
import subprocess
import sys
import zipfile
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import numpy as np
import pytest
import soundfile as sf

from roomcheck.chain import BadPack, check_pack, pack, unpack
from roomcheck.chain.inputs import takes_digest
from roomcheck.cli import main
from roomcheck.demo import demo, recordings
from roomcheck.demo.story_room import SWEEP
from roomcheck.errors import RoomcheckError
from roomcheck.job import CannotWrite, ThereAlready, amend_job, load_job, scratch
from roomcheck.measure import add_recording

STORY_ROOM = Path(__file__).parents[2] / "roomcheck" / "demo" / "story-room"
KINDS = {
    "16.wav": {"subtype": "PCM_16"},
    "24.wav": {"subtype": "PCM_24"},
    "32.wav": {"subtype": "PCM_32"},
    "float.wav": {"subtype": "FLOAT"},
    "extensible.wav": {"format": "WAVEX", "subtype": "PCM_24"},
    "big.wav": {"format": "RF64", "subtype": "PCM_16"},
    "a.flac": {"subtype": "PCM_24"},
    "a.aiff": {"subtype": "PCM_16"},
}


@pytest.fixture
def job(tmp_path):
    """The demo's job with sound files of every kind among its takes, and a note that no program
    made."""
    folder = tmp_path / "jobs" / "harbour room"
    shutil.copytree(STORY_ROOM, folder)
    takes = folder / "takes" / "before"
    takes.mkdir(parents=True)
    noise = np.random.default_rng(5).uniform(-1, 1, (48_000 + 13, 2))
    for name, kind in KINDS.items():
        sf.write(takes / name, noise, 48_000, **kind)
    with (takes / "24.wav").open("ab") as file:
        file.write(b"LIST\x04\x00\x00\x00note")
    (takes / "cut.wav").write_bytes((takes / "16.wav").read_bytes()[:-1000])
    (folder / "Notiz des Büros.txt").write_text("ring twice", encoding="utf-8")
    return folder


def contents(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and path.name != ".roomcheck-lock"
    }


def test_every_byte_comes_back(job, tmp_path):
    before = contents(job)
    packed = pack(job)
    assert packed.file == job.with_name("harbour room.roomcheck.zip") and not packed.left_out
    unpacked = unpack(packed.file, tmp_path / "again")
    assert contents(unpacked.folder) == before
    assert unpacked.size == sum(map(len, before.values()))
    flac = {name for name in zipfile.ZipFile(packed.file).namelist() if name.endswith(".wav.flac")}
    assert {name.rpartition("/")[2] for name in flac} == {
        "16.wav.flac", "24.wav.flac", "extensible.wav.flac"
    }  # fmt: skip


def test_the_same_job_packs_to_the_same_bytes(job, tmp_path):
    first, second = pack(job, tmp_path / "1.zip"), pack(job, tmp_path / "2.zip")
    assert first.file.read_bytes() == second.file.read_bytes()


def test_a_job_is_only_taken_away_when_the_pack_is_whole(job, tmp_path, monkeypatch):
    from roomcheck.chain.backup import pack as module

    before = contents(job)

    def damaged(path, _on_part):
        raise BadPack(path, "damaged")

    with monkeypatch.context() as patch:
        patch.setattr(module, "check_pack", damaged)
        with pytest.raises(BadPack):
            pack(job, tmp_path / "a.zip", then_remove=True)
    assert contents(job) == before
    (job / "link").symlink_to(job / "job.toml")
    with pytest.raises(RoomcheckError, match="cannot be taken away, since links"):
        pack(job, tmp_path / "b.zip", then_remove=True)
    (job / "link").unlink()
    with pytest.raises(RoomcheckError, match="only taken away after it was packed whole"):
        pack(job, tmp_path / "b.zip", extent="for the client", then_remove=True)
    packed = pack(job, tmp_path / "b.zip", then_remove=True)
    assert not job.exists() and list(job.parent.iterdir()) == []
    assert contents(unpack(packed.file, job).folder) == before


def test_without_recordings_what_was_worked_out_still_stands(tmp_path):
    folder = tmp_path / "job"
    shutil.copytree(STORY_ROOM, folder)
    job = load_job(folder)
    take = recordings() / "before" / "S1-P1.flac"
    add_recording(job, take, visit="before", source="S1", microphone="P1", sweep=SWEEP)
    packed = pack(folder, tmp_path / "thin.zip", extent="without recordings")
    thin = unpack(packed.file, tmp_path / "thin").folder
    assert sorted(p.name for p in (thin / "takes/before").iterdir()) == ["S1-P1.toml"]
    assert takes_digest(load_job(thin), "before") == takes_digest(job, "before")


def test_a_client_gets_no_costs(job, tmp_path):
    with pytest.raises(RoomcheckError, match="no document for the client yet"):
        pack(job, extent="for the client")
    for name in ("proposal.pdf", "shop-and-install.pdf", "build-sheets.pdf", "invoice-1.html"):
        (job / "documents").mkdir(exist_ok=True)
        (job / "documents" / name).write_bytes(b"x")
    packed = pack(job, tmp_path / "client.zip", extent="for the client")
    names = set(zipfile.ZipFile(packed.file).namelist()) - {"roomcheck-pack.json"}
    assert names == {f"harbour room/documents/{n}" for n in ("proposal.pdf", "invoice-1.html")}


def test_the_shop_file_of_the_folder_above_is_taken_along(job, tmp_path):
    shop = (job / "shop.toml").read_text("utf-8").replace('"mark.svg"', '"pictures/mark.svg"')
    (job.parent / "shop.toml").write_text(shop, encoding="utf-8")
    (job.parent / "pictures").mkdir()
    (job / "mark.svg").rename(job.parent / "pictures" / "mark.svg")
    (job / "shop.toml").unlink()
    before = load_job(job).shop
    again = unpack(pack(job).file, tmp_path / "elsewhere" / "job").folder
    found = load_job(again).shop
    assert found.prices == before.prices and found.logo == again / "pictures" / "mark.svg"


def test_nothing_is_written_over(job, tmp_path):
    packed = pack(job)
    with pytest.raises(ThereAlready):
        pack(job)
    (tmp_path / "there").mkdir()
    with pytest.raises(ThereAlready):
        unpack(packed.file, tmp_path / "there")


EVIL = ("../out", "/etc/out", "a/../../out", "C:/out", "a\\..\\out", "a/./b", "a//b", "nul", "a/CON.txt",
        "x\n", "a/b.", "a:b", "", "ﬁ" * 400)  # fmt: skip


def _rewritten(packed: Path, to: Path, change) -> Path:
    """A pack whose list, or entries, somebody changed."""
    with zipfile.ZipFile(packed) as source:
        entries = {name: source.read(name) for name in source.namelist()}
    listed = json.loads(entries.pop("roomcheck-pack.json"))
    change(listed, entries)
    with zipfile.ZipFile(to, "w") as out:
        for name, data in entries.items():
            out.writestr(name, data)
        out.writestr("roomcheck-pack.json", json.dumps(listed))
    return to


@pytest.mark.parametrize("way", EVIL)
def test_no_name_leads_out_of_the_folder(job, tmp_path, way):
    def change(listed, entries):
        file = next(one for one in listed["files"] if one["path"] == "job.toml")
        entries[f"harbour room/{way}"] = entries.pop("harbour room/job.toml")
        file["path"] = way

    evil = _rewritten(pack(job).file, tmp_path / "evil.zip", change)
    before = contents(tmp_path)
    with pytest.raises(BadPack):
        unpack(evil, tmp_path / "to")
    assert contents(tmp_path) == before and not (tmp_path / "to").exists()


CHANGES = {
    "another job": lambda listed, entries: listed.update(job="../up"),
    "newer": lambda listed, entries: listed.update(schema=9),
    "no list": lambda listed, entries: listed.update(files=3),
    "twice": lambda listed, entries: listed["files"].append(
        {**listed["files"][0], "path": listed["files"][0]["path"].upper()}
    ),
    "larger": lambda listed, entries: listed["files"][0].update(size=10**15),
    "smaller": lambda listed, entries: listed["files"][0].update(size=1),
    "below nothing": lambda listed, entries: listed["files"][0].update(size=-1),
    "not listed": lambda listed, entries: entries.update({"harbour room/more": b"x"}),
    "not there": lambda listed, entries: entries.pop("harbour room/job.toml"),
    "a bomb": lambda listed, entries: entries.update({"harbour room/job.toml": bytes(10**7)}),
    "frames": lambda listed, entries: [
        one["shell"].update(frames=10**12) for one in listed["files"] if one["shell"]
    ],
    "channels": lambda listed, entries: [
        one["shell"].update(channels=1) for one in listed["files"] if one["shell"]
    ],
}


@pytest.mark.parametrize("name", CHANGES)
def test_a_pack_that_somebody_changed_is_refused(job, tmp_path, name):
    evil = _rewritten(pack(job).file, tmp_path / "evil.zip", CHANGES[name])
    with pytest.raises(BadPack):
        unpack(evil, tmp_path / "to")
    assert not (tmp_path / "to").exists() and not list(tmp_path.glob(".unpacking-*"))


def test_a_pack_that_is_damaged_anywhere_is_refused(job, tmp_path):
    good = pack(job).file.read_bytes()
    draw = random.Random(3)
    file = tmp_path / "hurt.zip"
    refused = 0
    for _ in range(60):
        at = draw.randrange(len(good))
        hurt = good[:at] + bytes([good[at] ^ (1 << draw.randrange(8))]) + good[at + 1 :]
        file.write_bytes(hurt if draw.random() < 0.8 else good[:at])
        try:
            check_pack(file)
        except BadPack:
            refused += 1
    assert refused > 45  # a flipped bit of a date or an attribute changes no content


def test_a_pack_is_a_file(tmp_path):
    with pytest.raises(BadPack):
        check_pack(tmp_path)
    with pytest.raises(BadPack):
        check_pack(tmp_path / "none.zip")
    (tmp_path / "x.zip").write_bytes(b"no zip")
    with pytest.raises(BadPack, match="no zip file"):
        check_pack(tmp_path / "x.zip")


def _while_packing(monkeypatch, act):
    """Do something between the moment when a pack is frozen and its end."""
    from roomcheck.chain.backup import pack as module

    real = module.check_pack

    def check(path, on_part):
        act()
        return real(path, on_part)

    monkeypatch.setattr(module, "check_pack", check)


def test_others_may_write_while_a_job_is_packed(job, tmp_path, monkeypatch):
    """The lock is held while files are taken hold of, and no longer: what is replaced meanwhile is
    packed as it was."""
    before = contents(job)
    with ThreadPoolExecutor() as pool:
        _while_packing(
            monkeypatch, lambda: pool.submit(amend_job, job, values={"budget": "1"}).result(20)
        )
        packed = pack(job, tmp_path / "a.zip")
    assert contents(unpack(packed.file, tmp_path / "again").folder) == before
    assert load_job(job).budget == 1
    assert not [path for path in job.iterdir() if path.suffix == ".tmp"]


def test_a_file_written_in_place_while_it_is_packed_is_noticed(job, tmp_path, monkeypatch):
    def write():
        with (job / "Notiz des Büros.txt").open("a", encoding="utf-8") as file:
            file.write("; and again")

    _while_packing(monkeypatch, write)
    with pytest.raises(RoomcheckError, match="changed while it was packed"):
        pack(job, tmp_path / "a.zip")
    assert list(tmp_path.iterdir()) == [job.parent]


def test_without_links_a_replaced_file_is_noticed(job, tmp_path, monkeypatch):
    def no_links(self, target):
        raise OSError(errno.EPERM, "no links here")

    monkeypatch.setattr(Path, "hardlink_to", no_links)
    before = contents(job)
    packed = pack(job, tmp_path / "a.zip")
    assert contents(unpack(packed.file, tmp_path / "again").folder) == before
    _while_packing(monkeypatch, lambda: amend_job(job, values={"budget": "1"}))
    with pytest.raises(RoomcheckError, match="changed while it was packed"):
        pack(job, tmp_path / "b.zip")


@pytest.mark.parametrize("change", ["other", "new"])
def test_a_job_that_changes_while_it_is_packed_is_not_taken_away(
    job, tmp_path, monkeypatch, change
):
    def act():
        if change == "other":
            amend_job(job, values={"budget": "1"})
        else:
            (job / "photograph.jpg").write_bytes(b"of the ceiling")

    before = contents(job)
    _while_packing(monkeypatch, act)
    with pytest.raises(RoomcheckError, match="changed after it was packed, so it stays"):
        pack(job, tmp_path / "a.zip", then_remove=True)
    assert contents(job) != before and load_job(job)
    assert contents(unpack(tmp_path / "a.zip", tmp_path / "again").folder) == before


END = """
import os, sys
from pathlib import Path
from roomcheck.chain import pack, unpack
from roomcheck.chain.backup import pack as packing, unpack as unpacking

def end(*_):
    os._exit(9)

packing.check_pack = unpacking._through = end
if sys.argv[1] == "pack":
    pack(sys.argv[2], sys.argv[3])
else:
    unpack(sys.argv[2], sys.argv[3])
"""


def test_what_a_killed_pack_or_unpack_leaves_is_taken_away_and_told(job, tmp_path, capsys):
    packed = pack(job, tmp_path / "whole.zip").file
    for words in (["pack", job, tmp_path / "a.zip"], ["unpack", packed, tmp_path / "again"]):
        ended = subprocess.run([sys.executable, "-c", END, *map(str, words)], check=False)
        assert ended.returncode == 9
    assert len([path for path in tmp_path.iterdir() if path.suffix == ".tmp"]) == 2
    with scratch(tmp_path) as at_work:
        assert main(["unpack", str(packed), str(tmp_path / "again")]) == 0
        assert at_work.is_dir(), "another one is at work there"
    assert capsys.readouterr().err.count("ended too early; nothing of it was kept") == 2
    assert sorted(path.name for path in tmp_path.iterdir()) == ["again", "jobs", "whole.zip"]
    main(["check", str(job)])
    assert capsys.readouterr().err.count("ended too early") == 1
    assert contents(tmp_path / "again") == contents(job)


def test_a_job_on_a_write_protected_disk_is_packed_all_the_same(job, tmp_path, monkeypatch):
    from roomcheck.chain.backup import pack as module

    def refused(folder):
        if Path(folder) == job:
            raise CannotWrite(folder, OSError(errno.EROFS, "Read-only file system"))
        return scratch(folder)

    monkeypatch.setattr(module, "scratch", refused)
    monkeypatch.setattr(module, "holding", refused)
    before = contents(job)
    packed = pack(job, tmp_path / "out.zip")
    assert contents(unpack(packed.file, tmp_path / "again").folder) == before
    with pytest.raises(RoomcheckError, match="may not be written"):
        pack(job, tmp_path / "gone.zip", then_remove=True)
    assert contents(job) == before and not (tmp_path / "gone.zip").exists()


def test_bytes_are_counted_up_to_all_of_them(tmp_path):
    job = tmp_path / "job"
    demo(job)
    parts: dict[str, list[tuple[int, int]]] = {"pack": [], "check": [], "unpack": []}
    packed = pack(
        job, tmp_path / "one.zip", on_part=lambda done, of: parts["pack"].append((done, of))
    )
    check_pack(packed.file, lambda done, of: parts["check"].append((done, of)))
    unpack(packed.file, tmp_path / "again", lambda done, of: parts["unpack"].append((done, of)))
    for name, told in parts.items():
        # Written and read again; a shop's file that comes along is counted where it is read.
        whole = (2 if name == "pack" else 1) * packed.size
        assert len(told) > 20
        assert {of for _, of in told} == {whole}
        assert [done for done, _ in told] == sorted(done for done, _ in told)
        assert told[0][0] < whole / 4
        assert whole * 0.9 < told[-1][0] < whole
