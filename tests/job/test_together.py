"""Several files of a folder are one step, and one writer at a time."""

from __future__ import annotations

import contextlib
import ctypes
import errno
import os
import subprocess
import sys
import threading
from pathlib import Path
from types import SimpleNamespace

import pytest

from roomcheck.job import (
    CannotWrite,
    FileChanged,
    FolderIsHeld,
    NotInPlace,
    Put,
    ThereAlready,
    digest_of,
    holder_of,
    holding,
    mend,
    write_together,
)

OLD = {"a.txt": b"old a", "deep/b.txt": b"old b", "gone.txt": b"to go"}
NEW = {"a.txt": b"new a", "deep/b.txt": b"new b", "deep/er/c.txt": b"new c"}
STEP = [
    Put(path="a.txt", data=b"new a"),
    Put(path="deep/b.txt", data="new b"),
    Put(path="gone.txt", data=None),
    Put(path="deep/er/c.txt", data=b"new c", new=True),
]


@pytest.fixture
def place(tmp_path):
    for name, data in OLD.items():
        path = tmp_path / "place" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(data)
    return tmp_path / "place"


def contents(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file() and path.name != ".roomcheck-lock"
    }


class Stop(BaseException):
    """Ends a run as a kill would: nothing that it could still do is done."""


def events_of(call, monkeypatch, at: int, end) -> int:
    """Run a call; at its file event number `at` comes `end`, and after it nothing works any more.

    Returns the number of events.
    """
    seen = 0
    with monkeypatch.context() as patch:
        for name in (
            "open",
            "write",
            "fsync",
            "replace",
            "unlink",
            "mkdir",
            "link",
            "rename",
            "rmdir",
        ):
            real = getattr(os, name)

            def counted(*args, real=real, **settings):
                nonlocal seen
                seen += 1
                if seen >= at:
                    raise end()
                return real(*args, **settings)

            patch.setattr(os, name, counted)
        with contextlib.suppress(Stop):
            call()
    return seen


def test_a_step_writes_all(place):
    assert write_together(place, STEP) == tuple(
        place / name for name in ("a.txt", "deep/b.txt", "deep/er/c.txt")
    )
    assert contents(place) == NEW


def test_a_run_that_ends_anywhere_leaves_all_or_nothing(place, monkeypatch):
    finished = undone = 0
    for at in range(1, 200):
        for name in NEW:
            (place / name).unlink(missing_ok=True)
        for name, data in OLD.items():
            (place / name).write_bytes(data)
        seen = events_of(lambda: write_together(place, STEP), monkeypatch, at, Stop)
        mended = mend(place)
        after = contents(place)
        assert after in (OLD, NEW), at
        finished += any(one.finished for one in mended)
        undone += any(not one.finished for one in mended)
        if seen < at:
            break
    assert at > 25 and finished > 5 and undone > 3


def test_a_full_disk_anywhere_leaves_all_as_it_was(place, monkeypatch):
    def full():
        return OSError(errno.ENOSPC, "No space left on device")

    for at in range(1, 200):
        try:
            events_of(lambda: write_together(place, STEP), monkeypatch, at, full)
        except CannotWrite:
            mend(place)
            assert contents(place) == OLD, at
            continue
        except NotInPlace:  # decided, and not even taking it back worked
            assert any(mended.finished for mended in mend(place))
            assert contents(place) == NEW, at
            for name in NEW:
                (place / name).unlink(missing_ok=True)
            for name, data in OLD.items():
                (place / name).write_bytes(data)
            continue
        mend(place)  # what could not be cleared away
        assert contents(place) == NEW, at
        break
    assert at > 15


def test_what_must_be_new_is_never_written_over(place):
    with pytest.raises(ThereAlready, match=r"a\.txt is there already"):
        write_together(
            place, [Put(path="x.txt", data=b"x"), Put(path="a.txt", data=b"y", new=True)]
        )
    assert contents(place) == OLD


def test_a_file_that_changed_meanwhile_is_not_written_over(place):
    seen = digest_of(b"old a")
    (place / "a.txt").write_bytes(b"another machine's")
    with pytest.raises(FileChanged, match=r"a\.txt was changed while"):
        write_together(place, [Put(path="a.txt", data=b"mine", seen=seen), *STEP[1:]])
    assert contents(place) == {**OLD, "a.txt": b"another machine's"}


def test_a_step_that_is_finished_late_keeps_what_somebody_wrote_meanwhile(place, monkeypatch):
    # Ends right before the first file is moved: everything after the record's own move.
    for at in range(1, 60):
        events_of(lambda: write_together(place, STEP), monkeypatch, at, Stop)
        if any(place.glob(".roomcheck-*.part/record.json")):
            break
        mend(place)
    (place / "a.txt").write_bytes(b"typed by hand")
    (mended,) = mend(place)
    assert mended.finished and mended.aside == ("a (not written 1).txt",)
    assert contents(place) == {**NEW, "a.txt": b"typed by hand", "a (not written 1).txt": b"new a"}


def test_a_step_of_another_machine_is_left_alone_while_it_is_fresh(place):
    step = place / ".roomcheck-00000000-abc.part"
    step.mkdir()
    (step / "0").write_bytes(b"half")
    assert mend(place) == () and step.exists()
    os.utime(step, (0, 0))
    (mended,) = mend(place)
    assert not mended.finished and not step.exists()


@pytest.mark.parametrize("way", ["../out.txt", "/etc/out", "a/../../out", ""])
def test_a_record_never_leads_out_of_the_folder(place, way):
    import json

    step = place / ".roomcheck-00000000-abc.part"
    step.mkdir()
    (step / "0").write_bytes(b"evil")
    entry = {"path": way, "before": None, "old": "0.old", "draft": "0", "sha256": "0" * 64}
    (step / "record.json").write_text(json.dumps({"schema": 1, "files": [entry]}), encoding="utf-8")
    os.utime(step, (0, 0))
    mend(place)
    assert contents(place) == OLD and not (place.parent / "out.txt").exists()
    with pytest.raises(ValueError, match="within the folder"):
        write_together(place, [Put(path=way, data=b"evil")])


def test_a_link_stays_a_link(place):
    (place / "a.txt").rename(place / "real.txt")
    (place / "a.txt").symlink_to("real.txt")
    write_together(place, STEP)
    assert (place / "a.txt").is_symlink() and (place / "real.txt").read_bytes() == b"new a"


HOLDER = """
import sys, time
from pathlib import Path
from types import SimpleNamespace
from roomcheck.job import holding
with holding(Path(sys.argv[1])):
    print("held", flush=True)
    time.sleep(float(sys.argv[2]))
"""


def _other(folder: Path, seconds: float) -> subprocess.Popen[str]:
    command = [sys.executable, "-c", HOLDER, str(folder), str(seconds)]
    other = subprocess.Popen(command, stdout=subprocess.PIPE, text=True)
    assert other.stdout is not None and other.stdout.readline() == "held\n"
    return other


def test_another_process_is_named_and_waited_for(place):
    other = _other(place, 60)
    try:
        with pytest.raises(FolderIsHeld) as caught, holding(place, wait_s=0.2):
            pass
        assert caught.value.holder is not None and caught.value.holder.process == other.pid
        assert f"process {other.pid} on " in str(caught.value)
        other.kill()  # its hold ends with it
        other.wait()
        with holding(place, wait_s=5.0):
            assert holder_of(place).process == os.getpid()
        assert holder_of(place) is None
    finally:
        other.kill()
        other.communicate()


def test_a_thread_waits_for_another_and_may_hold_twice(place):
    order = []

    def late():
        with holding(place):
            order.append("late")

    with holding(place), holding(place):
        thread = threading.Thread(target=late)
        thread.start()
        thread.join(0.3)
        order.append("first")
    thread.join()
    assert order == ["first", "late"]


def test_without_locks_a_mark_holds_and_is_broken_when_its_holder_is_gone(place, monkeypatch):
    from roomcheck.job.store import lock

    monkeypatch.setattr(lock, "_try", lambda _: None)
    mark = place / ".roomcheck-lock.held"
    ended = subprocess.Popen([sys.executable, "-c", ""])
    ended.wait()
    mark.write_text(
        f'{{"process": {ended.pid}, "machine": "{lock.Holder.here().machine}", "since": "now"}}',
        encoding="utf-8",
    )
    with holding(place, wait_s=5.0):
        assert mark.exists()
    assert not mark.exists()
    mark.write_text(
        f'{{"process": {os.getpid()}, "machine": "{lock.Holder.here().machine}", "since": "now"}}',
        encoding="utf-8",
    )
    with pytest.raises(FolderIsHeld, match=f"process {os.getpid()}"), holding(place, wait_s=0.2):
        pass


class Msvcrt:
    """Windows' locks as its documentation has them: on bytes from where the file stands, of one open
    file each, refused at once where another one has them, gone when the file is closed."""

    LK_NBLCK = 2

    def __init__(self):
        self.held = {}

    def locking(self, handle, mode, count):
        assert (mode, count) == (self.LK_NBLCK, 1)
        status = os.fstat(handle)
        at = os.lseek(handle, 0, os.SEEK_CUR)
        other = self.held.get((status.st_ino, at))
        if other is not None and other != handle and self._open(other, status.st_ino):
            raise PermissionError(errno.EACCES, "Permission denied")
        self.held[status.st_ino, at] = handle

    @staticmethod
    def _open(handle, inode):
        try:
            return os.fstat(handle).st_ino == inode
        except OSError:
            return False


@pytest.fixture
def windows(monkeypatch):
    """The module of locks as it runs on Windows, with Windows' functions played by others."""
    from roomcheck.job.store import lock

    kernel = SimpleNamespace(running={4711}, closed=[])
    kernel.OpenProcess = lambda rights, inherit, process: 77 if process in kernel.running else 0
    kernel.CloseHandle = kernel.closed.append
    monkeypatch.setattr(lock, "sys", SimpleNamespace(platform="win32"))
    monkeypatch.setattr(ctypes, "windll", SimpleNamespace(kernel32=kernel), raising=False)
    monkeypatch.setitem(sys.modules, "msvcrt", Msvcrt())
    return lock, kernel


def test_on_windows_a_byte_behind_the_text_is_locked(place, windows):
    lock, _ = windows
    with holding(place):
        other = os.open(place / lock.NAME, os.O_RDWR)
        assert lock._try(other) is False, "another one asks for the same byte"
        assert lock.holder_of(place).process == os.getpid(), "the text can be read meanwhile"
        (locked,) = sys.modules["msvcrt"].held
        assert locked[1] > (place / lock.NAME).stat().st_size
    assert lock._try(other) is True
    with pytest.raises(FolderIsHeld), lock._locked(place, 0.0):
        pass
    os.close(other)
    with holding(place):
        pass
    assert lock.holder_of(place) is None


def test_on_windows_a_process_is_asked_for_by_its_number(windows):
    lock, kernel = windows
    here = lock.Holder.here().machine
    assert not lock.Holder(process=4711, machine=here, since="now").gone
    assert lock.Holder(process=4712, machine=here, since="now").gone
    assert not lock.Holder(process=4712, machine="another", since="now").gone
    assert kernel.closed == [77]
