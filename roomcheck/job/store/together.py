"""Several files of one folder, written as one step.

What is to be written is laid down whole in a folder of its own, `.roomcheck-….part`, then a record
of it; from the record on the step is decided. The files are then moved to their places, the
decisive one last. Whoever opens the folder after a run that ended in between finishes what has a
record and takes away what has none (`mend`).
"""

from __future__ import annotations

import contextlib
import errno
import hashlib
import json
import os
import platform
import shutil
import signal
import stat
import tempfile
import threading
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path, PurePosixPath
from types import FrameType
from typing import Any, NoReturn

from roomcheck.errors import RoomcheckError
from roomcheck.job.store.lock import FolderIsHeld, holding
from roomcheck.job.store.scratch import clear_scratch
from roomcheck.job.toml.disk import CannotWrite, cause_of, mode_for, pour, settle, write_atomically

PREFIX, SUFFIX = ".roomcheck-", ".part"
"""Of the folders in which a step is prepared; between them a mark of the machine."""

ELSEWHERE_S = 600.0
"""How long a step of another machine is left alone, in a folder that two keep the same. [s]"""

SCHEMA = 1
_RECORD = "record.json"

Entry = dict[str, Any]
"""One file of a step, as its record has it."""
_BLOCK = 1 << 20


@dataclass(frozen=True, slots=True, kw_only=True)
class Put:
    """One file of a step."""

    path: str
    """Within the folder, parted by /."""
    data: bytes | str | Path | None
    """What it is to hold; a path: a copy of that file; None: the file goes."""
    new: bool = False
    """Nothing may stand there yet."""
    seen: str | None = None
    """Digest of the content that this one was made from; where another content stands there now,
    nothing is written."""
    sha256: str | None = None
    """Digest of `data` as it was looked at; a copy that turns out otherwise is not written."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Mended:
    """What was made of a step that had not come to its end."""

    finished: bool
    """True: its files are in place now. False: it had not been decided, and nothing of it stays."""
    files: tuple[str, ...]
    """Within the folder; none where it is not known which they would have been."""
    aside: tuple[str, ...] = ()
    """Files that somebody changed meanwhile: they stay, and what was to stand there lies under
    these names."""


class FileChanged(RoomcheckError):
    """A file that somebody else changed between reading and writing it."""

    def __init__(self, path: Path) -> None:
        self.path = path
        super().__init__(
            f"{path} was changed while roomcheck worked on it: by another roomcheck, an editor, "
            "or a folder that is kept the same on two machines. Nothing was written; look at it, "
            "and give the command again"
        )


class ThereAlready(RoomcheckError):
    """A file that must be new and is there."""

    def __init__(self, path: Path) -> None:
        self.path = path
        super().__init__(f"{path} is there already and is never overwritten; nothing was written")


class NotInPlace(RoomcheckError):
    """A step that is decided, and whose files could not all be moved to their places."""

    def __init__(self, path: Path, problem: OSError) -> None:
        self.path, self.problem = path, problem
        super().__init__(
            f"{path} could not be put in place: {cause_of(problem)}. It is written and kept, and "
            "the next roomcheck command on this folder puts it there: do not do it a second time"
        )


def write_together(folder: Path, files: Sequence[Put]) -> tuple[Path, ...]:
    """Write files of a folder, all or none, whatever ends the program meanwhile.

    Parameters
    ----------
    folder : Path
        It exists. Folders within it are made.
    files : sequence of Put
        In the order in which they appear; the last one is what makes the others count.

    Returns
    -------
    tuple of Path
        Those that hold something now.

    Raises
    ------
    CannotWrite
        Disk full, no right to write: says which. Everything is as it was.
    ThereAlready, FileChanged
        As `Put` asks. Everything is as it was.
    NotInPlace
        Decided, and finished by the next command.
    FolderIsHeld
        Another roomcheck writes there.
    """
    with holding(folder), _unbroken():
        _mend(folder)
        for put in files:
            _check(folder, put)
        if files:
            _step(folder, files)
    return tuple(folder / put.path for put in files if put.data is not None)


def mend(folder: Path, wait_s: float = 0.0) -> tuple[Mended, ...]:
    """Finish or undo what an earlier run began in a folder and had no time to end.

    A folder where somebody writes right now, or that cannot be written, stays as it is.
    """
    cleared = (Mended(finished=False, files=()),) * clear_scratch(folder)
    if not _left(folder):
        return cleared
    try:
        with holding(folder, wait_s):
            return (*cleared, *_mend(folder))
    except (OSError, FolderIsHeld, CannotWrite):
        return cleared


def digest_of(data: bytes | str) -> str:
    """SHA-256 of a file's content."""
    return hashlib.sha256(data.encode() if isinstance(data, str) else data).hexdigest()


def _left(folder: Path) -> list[Path]:
    """Steps that are not at their end, oldest first."""
    try:
        found = [p for p in folder.iterdir() if p.name.startswith(PREFIX) and p.suffix == SUFFIX]
        steps = [path for path in found if path.is_dir() and not path.is_symlink()]
        return sorted(steps, key=lambda path: path.stat().st_mtime)
    except OSError:
        return []


def _check(folder: Path, put: Put) -> None:
    """Hold a file to what `Put` says of what stands there."""
    way = PurePosixPath(put.path)
    if way.is_absolute() or ".." in way.parts or not way.parts:
        raise ValueError(f"path: {put.path!r}, needed one within the folder")
    target = folder / put.path
    if put.new and os.path.lexists(target):
        raise ThereAlready(target)
    if put.seen is not None and _digest(target) != put.seen:
        raise FileChanged(target)


def _step(folder: Path, files: Sequence[Put]) -> None:
    try:
        step = Path(tempfile.mkdtemp(prefix=f"{PREFIX}{_machine()}-", suffix=SUFFIX, dir=folder))
    except OSError as problem:
        raise CannotWrite(folder, problem) from problem
    done = False
    try:
        entries = [_lay_down(folder, step, i, put) for i, put in enumerate(files)]
        _make_folders(folder, files)
        done = _decide(step, entries, folder / files[-1].path)
    finally:
        if not done:
            _clear(step)
    settle(folder)
    _finish(folder, step, entries)


def _lay_down(folder: Path, step: Path, number: int, put: Put) -> Entry:
    """A file's content in the step's own folder, and what the record says of it."""
    target = folder / put.path
    entry: Entry = {"path": put.path, "before": _digest(target), "old": f"{number}.old"}
    if put.data is None:
        return entry
    draft = step / str(number)
    sha = hashlib.sha256()
    try:
        if target.is_dir():
            raise IsADirectoryError(errno.EISDIR, "is a folder")
        handle = os.open(draft, os.O_WRONLY | os.O_CREAT | os.O_EXCL | _BINARY, 0o600)
        try:
            for block in _blocks(put.data):
                sha.update(block)
                pour(handle, block)
            os.fsync(handle)
        finally:
            os.close(handle)
        draft.chmod(mode_for(target))
    except OSError as problem:
        raise CannotWrite(target, problem) from problem
    if put.sha256 not in (None, sha.hexdigest()):
        raise FileChanged(put.data if isinstance(put.data, Path) else target)
    return {**entry, "draft": draft.name, "sha256": sha.hexdigest()}


_BINARY = getattr(os, "O_BINARY", 0)


def _blocks(data: bytes | str | Path) -> Iterator[bytes]:
    if isinstance(data, Path):
        with data.open("rb") as file:
            while block := file.read(_BLOCK):
                yield block
    else:
        yield data.encode() if isinstance(data, str) else data


def _make_folders(folder: Path, files: Sequence[Put]) -> None:
    for put in files:
        parent = (folder / put.path).parent
        try:
            if put.data is not None and not parent.is_dir():
                parent.mkdir(parents=True, exist_ok=True)
            if not os.access(parent, os.W_OK):
                raise PermissionError(errno.EACCES, "may not be written")
        except OSError as problem:
            raise CannotWrite(parent, problem) from problem


def _decide(step: Path, entries: list[Entry], decisive: Path) -> bool:
    """Write the record: from here on the step is finished by whoever comes next."""
    record = {"schema": SCHEMA, "files": entries}
    try:
        write_atomically(step / _RECORD, json.dumps(record, ensure_ascii=False, indent=1) + "\n")
    except CannotWrite as failed:
        raise CannotWrite(decisive, failed.problem) from failed
    return True


def _finish(folder: Path, step: Path, entries: Sequence[Entry]) -> tuple[str, ...]:
    """Move every file to its place; returns the names of those that somebody changed meanwhile."""
    aside = []
    for done, entry in enumerate(entries):
        target = folder / entry["path"]
        try:
            name = _move(step, target, entry)
        except OSError as problem:
            _take_back(folder, step, entries[: done + 1], problem)
        if name:
            aside.append((PurePosixPath(entry["path"]).parent / name).as_posix())
    for parent in {(folder / entry["path"]).parent for entry in entries}:
        settle(parent)
    _clear(step)
    return tuple(aside)


def _move(step: Path, target: Path, entry: Entry) -> str:
    """One file to its place; the name it got where its own is taken."""
    now = _digest(target)
    if "draft" not in entry:
        if now is not None and now == entry["before"]:
            _keep(step, target, entry)
            target.unlink()
        return ""
    draft = step / entry["draft"]
    if not draft.exists() or now == entry["sha256"]:
        return ""  # an earlier run moved it
    target.parent.mkdir(parents=True, exist_ok=True)
    if now == entry["before"]:
        _keep(step, target, entry)
        _replace(draft, target)
        return ""
    free = _free(target)
    _replace(draft, free)
    return free.name


def _keep(step: Path, target: Path, entry: Entry) -> None:
    """What stands there before, once more in the step's folder, until the step is at its end."""
    if entry["before"] is not None:
        _twin(target, step / entry["old"])


def _twin(path: Path, twin: Path) -> None:
    """A file once more under a second name, whole or not at all; one that is there stays."""
    if twin.exists():
        return
    try:
        twin.hardlink_to(os.path.realpath(path))
    except OSError:  # a memory stick without links
        half = twin.with_name(f"{twin.name}.half")
        shutil.copy2(path, half)
        half.replace(twin)


def _take_back(folder: Path, step: Path, entries: Sequence[Entry], problem: OSError) -> NoReturn:
    """Put back what stood there before a step that cannot go on.

    Raises
    ------
    CannotWrite
        Everything is as it was.
    NotInPlace
        That did not work either: the step stays decided.
    """
    target = folder / entries[-1]["path"]
    try:
        for entry in reversed(entries):
            place, kept = folder / entry["path"], step / entry["old"]
            if "draft" in entry and _digest(place) == entry["sha256"]:
                _twin(place, step / entry["draft"])  # so that it can still go forward
                if entry["before"] is None:
                    place.unlink()
            if kept.exists():
                _replace(kept, place)
        (step / _RECORD).unlink()
    except OSError:
        raise NotInPlace(target, problem) from problem
    _clear(step)
    raise CannotWrite(target, problem) from problem


def _replace(draft: Path, target: Path) -> None:
    """Let a draft take a file's place in one step; a link stays a link."""
    real = Path(os.path.realpath(target))
    try:
        os.replace(draft, real)  # noqa: PTH105 - the step that must be atomic, by its own name
    except OSError as problem:
        if problem.errno != errno.EXDEV:
            raise
        write_atomically(real, draft.read_bytes())  # the folder is a link to another disk


def _free(target: Path) -> Path:
    """A name beside a file that is not taken."""
    for number in range(1, 1000):
        path = target.with_name(f"{target.stem} (not written {number}){target.suffix}")
        if not os.path.lexists(path):
            return path
    raise FileExistsError(errno.EEXIST, "no free name", str(target))


def _mend(folder: Path) -> tuple[Mended, ...]:
    """As `mend`, with the folder held."""
    return tuple(one for step in _left(folder) if (one := _mend_one(folder, step)) is not None)


def _mend_one(folder: Path, step: Path) -> Mended | None:
    if _elsewhere(step):
        return None
    record = _record(step)
    if record is None:
        begun = any(path.name.isdigit() for path in step.iterdir())
        _clear(step)
        return Mended(finished=False, files=()) if begun else None
    aside = _finish(folder, step, record)
    return Mended(finished=True, files=tuple(entry["path"] for entry in record), aside=aside)


def _elsewhere(step: Path) -> bool:
    """Whether another machine may be at work on a step right now: in a folder that two of them
    keep the same, its files come here one by one."""
    own = step.name.startswith(f"{PREFIX}{_machine()}-")
    return not own and time.time() - step.stat().st_mtime < ELSEWHERE_S


def _machine() -> str:
    """A mark of this machine."""
    return digest_of(platform.node())[:8]


def _record(step: Path) -> list[Entry] | None:
    """The files of a step that was decided; None where it was not."""
    try:
        record = json.loads((step / _RECORD).read_bytes())
    except (OSError, ValueError):
        return None
    whole = isinstance(record, dict) and record.get("schema") == SCHEMA
    files = record.get("files") if whole else None
    if not isinstance(files, list) or not all(_is_entry(entry) for entry in files):
        return None
    return files


def _is_entry(entry: Any) -> bool:
    """Whether a record's entry names files of the folder and of the step, and no others."""
    if not isinstance(entry, dict) or not isinstance(entry.get("path"), str):
        return False
    way = PurePosixPath(entry["path"])
    inside = bool(way.parts) and not way.is_absolute() and ".." not in way.parts
    draft, old = entry.get("draft", "0"), str(entry.get("old"))
    own = str(draft).isdigit() and old.removesuffix(".old").isdigit()
    return inside and own and isinstance(entry.get("before"), str | None)


def _clear(step: Path) -> None:
    """Take a step's folder away. Drafts go before the record, so that a record without them is
    known to be at its end."""
    with contextlib.suppress(OSError):
        record = step / _RECORD
        for path in step.iterdir():
            if path != record:
                path.unlink()
        record.unlink(missing_ok=True)
        step.rmdir()


def _digest(path: Path) -> str | None:
    """SHA-256 of a file's content; None where there is none."""
    try:
        if not stat.S_ISREG(path.stat().st_mode):
            return "not a file"
        with path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest()
    except FileNotFoundError:
        return None
    except OSError as problem:
        return f"cannot be read: {problem.errno}"


@contextlib.contextmanager
def _unbroken() -> Iterator[None]:
    """Hold Ctrl-C back until a step is at its end.

    Only the main thread receives it, so there is nothing to hold back in another.
    """
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    held: list[tuple[int, FrameType | None]] = []
    before = signal.signal(signal.SIGINT, lambda number, frame: held.append((number, frame)))
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)
    if held and callable(before):
        before(*held[-1])
