"""A file is written whole or not at all."""

from __future__ import annotations

import errno
import os
import stat
import sys

import pytest

from roomcheck.job import CannotWrite, write_atomically

from ..unwritable import writes_anywhere

posix = pytest.mark.skipif(sys.platform == "win32", reason="modes and links of POSIX")


def test_bytes_and_text_arrive_as_they_are(tmp_path):
    for data, blob in ((b"a\r\nb\x00", b"a\r\nb\x00"), ("70 °F\r\n", b"70 \xc2\xb0F\r\n")):
        write_atomically(tmp_path / "x", data)
        assert (tmp_path / "x").read_bytes() == blob
    assert [path.name for path in tmp_path.iterdir()] == ["x"]


@pytest.mark.parametrize("step", ["fsync", "replace"])
@pytest.mark.parametrize(
    ("number", "said"),
    [
        (errno.ENOSPC, "the disk is full"),
        (errno.EROFS, "write-protected"),
        (errno.EIO, "not written"),
    ],
)
def test_a_failing_write_leaves_the_old_file_and_nothing_else(
    tmp_path, monkeypatch, step, number, said
):
    path = tmp_path / "job.toml"
    path.write_text("old")

    def fail(*_):
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(os, step, fail)
    with pytest.raises(CannotWrite, match=said) as caught:
        write_atomically(path, "new " * 10_000)
    assert caught.value.path == path and caught.value.problem.errno == number
    assert path.read_text() == "old" and list(tmp_path.iterdir()) == [path]


def test_a_stopped_write_leaves_the_old_file_and_nothing_else(tmp_path, monkeypatch):
    path = tmp_path / "job.toml"
    path.write_text("old")

    def stop(*_):
        raise KeyboardInterrupt

    monkeypatch.setattr(os, "replace", stop)
    with pytest.raises(KeyboardInterrupt):
        write_atomically(path, "new")
    assert path.read_text() == "old" and list(tmp_path.iterdir()) == [path]


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="no device that is always full")  # noqa: PTH110
def test_a_disk_that_is_really_full_is_named(tmp_path):
    # The kernel's own answer on a full device, through the same steps: a folder cannot be made full
    # without rights.
    with open("/dev/full", "wb", buffering=0) as full, pytest.raises(OSError) as caught:  # noqa: PTH123
        full.write(b"x")
    assert "the disk is full" in str(CannotWrite(tmp_path, caught.value))


def test_a_missing_folder_and_a_folder_in_the_way_are_named(tmp_path):
    with pytest.raises(CannotWrite, match="folder is missing"):
        write_atomically(tmp_path / "no" / "x", "new")
    (tmp_path / "taken").mkdir()
    with pytest.raises(CannotWrite, match="a folder stands where the file belongs"):
        write_atomically(tmp_path / "taken", "new")
    (tmp_path / "file").write_text("")
    with pytest.raises(CannotWrite, match="is a file, not a folder"):
        write_atomically(tmp_path / "file" / "x", "new")


@posix
@pytest.mark.skipif(writes_anywhere(), reason="root may write everywhere")
def test_an_unwritable_folder_is_named(tmp_path):
    tmp_path.chmod(0o500)
    with pytest.raises(CannotWrite, match="no permission"):
        write_atomically(tmp_path / "x", "new")
    tmp_path.chmod(0o700)


@posix
def test_the_mode_of_a_file_is_kept_and_a_link_stays_a_link(tmp_path):
    path, link = tmp_path / "real", tmp_path / "link"
    path.write_text("old")
    path.chmod(0o640)
    link.symlink_to(path)
    write_atomically(link, "new")
    assert link.is_symlink() and path.read_text() == "new"
    assert stat.S_IMODE(path.stat().st_mode) == 0o640


@posix
def test_a_new_file_has_the_mode_that_any_new_file_has(tmp_path):
    (tmp_path / "usual").write_text("")
    write_atomically(tmp_path / "ours", "")
    assert (tmp_path / "ours").stat().st_mode == (tmp_path / "usual").stat().st_mode
