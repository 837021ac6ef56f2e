"""A job's folder as one file, looked through again before anybody relies on it."""

from __future__ import annotations

import contextlib
import errno
import hashlib
import os
import shutil
import stat
import tempfile
import zipfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import IO

import roomcheck
from roomcheck.chain.backup.counted import Counted
from roomcheck.chain.backup.manifest import NAME, Extent, Manifest, Packed, is_safe
from roomcheck.chain.backup.shell import Shell, from_flac, shell_of, to_flac
from roomcheck.chain.backup.unpack import check_pack
from roomcheck.chain.kept import KEPT_TAKES
from roomcheck.errors import RoomcheckError
from roomcheck.job import (
    CannotWrite,
    Put,
    ThereAlready,
    holding,
    load_job,
    open_regular,
    own_shop,
    scratch,
    shop_path,
)
from roomcheck.parts import OnPart

ENDING = ".roomcheck.zip"
FOR_CLIENT = ("measurement-", "proposal.", "before-and-after.", "change-", "invoice-", "listening")
"""How the names of what a client gets begin, in the job's documents."""

_BLOCK = 1 << 20
_PROTECTED = (errno.EROFS, errno.EACCES, errno.EPERM)
_SOUNDS_APART = (".toml", ".txt")
"""Endings of what lies among the takes and is no recording."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pack:
    """A job that was packed, and found whole."""

    file: Path
    extent: Extent
    files: int
    size: int
    """Of the job [bytes]."""
    packed_size: int
    """Of the one file [bytes]."""
    left_out: tuple[str, ...]
    """Links and the like, which are never packed."""
    removed: bool = False
    """Whether the job's folder was taken away afterwards."""


def pack(
    folder: Path | str,
    out: Path | str | None = None,
    *,
    extent: Extent = "whole",
    then_remove: bool = False,
    on_part: OnPart | None = None,
) -> Pack:
    """Write a job into one file, and read that through again.

    Recordings are kept as FLAC where every byte comes back from it, else as they are. A shop file
    that serves the job from the folder above is taken along.

    Parameters
    ----------
    folder : Path or str
        The job's.
    out : Path or str, optional
        The file to write; beside the job, under its name, where left out.
    extent : str
        "whole"; "without recordings": takes keep their facts alone; "for the client": only the
        documents that a client gets, no cost and no shop sheet.
    then_remove : bool
        Take the job's folder away once the file is found whole.
    on_part : callable or None
        Gets how many bytes are written or read again, and of how many.

    Raises
    ------
    ThereAlready
        `out` is there.
    CannotWrite
        Disk full, no right to write: nothing is left of the file.
    RoomcheckError
        Nothing of the job is for a client yet, or it cannot be taken away.
    """
    job = load_job(folder)
    home = job.folder.resolve()
    file = Path(out) if out is not None else home.with_name(f"{home.name}{ENDING}")
    if os.path.lexists(file):
        raise ThereAlready(file)
    if then_remove and extent != "whole":
        raise RoomcheckError(
            f"{home}: it is only taken away after it was packed whole; this pack is {extent}"
        )
    if file.resolve().is_relative_to(home):
        raise RoomcheckError(f"{file}: lies in the job itself; name a place outside of it")
    with _links_in(home) as inside, scratch(file.absolute().parent) as outside:
        if then_remove and inside is None:
            raise RoomcheckError(f"{home}: it cannot be taken away, since it may not be written")
        state = _frozen(home, inside, extent)
        if then_remove and state.left_out:
            raise RoomcheckError(
                f"{home}: it cannot be taken away, since links and the like are not packed: "
                f"{', '.join(state.left_out)}"
            )
        draft = outside / file.name
        counted = Counted(on_part, 2 * state.size)
        manifest = _write(draft, file, home, state, extent, counted)
        check_pack(draft, counted.second_half)
        if not state.still():
            raise RoomcheckError(
                f"{home}: something in it changed while it was packed; nothing was kept. Pack again"
            )
        _place(draft, file)
    if then_remove:
        _remove(home, state, file)
    return Pack(
        file=file,
        extent=extent,
        files=len(manifest.files),
        size=manifest.size,
        packed_size=file.stat().st_size,
        left_out=state.left_out,
        removed=then_remove,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _State:
    """A job's files at one moment."""

    root: Path
    """Where they are read: a folder of links to them, so that a file that is replaced meanwhile
    is packed as it was; on a disk without links, or one that may not be written, the job itself."""
    ways: tuple[str, ...]
    stamps: tuple[_Stamp, ...]
    along: tuple[Put, ...]
    """The shop's file from the folder above, where it serves the job."""
    left_out: tuple[str, ...]

    @property
    def size(self) -> int:
        """Of all files. [bytes]"""
        return sum(size for _, size, _ in self.stamps)

    def still(self) -> bool:
        """Whether what is read is what it was."""
        return _stamps(self.root, self.ways) == self.stamps

    def is_all_of(self, home: Path) -> bool:
        """Whether a job holds these files, as they were, and no others."""
        return _listed(home, "whole")[0] == self.ways and _stamps(home, self.ways) == self.stamps


_Stamp = tuple[int, int, int]
"""A file's number on its disk, size [bytes] and time of change [ns]."""


@contextlib.contextmanager
def _links_in(home: Path) -> Iterator[Path | None]:
    """A folder of one's own within a job; None where it may not be written, as on a stick that is
    write-protected: such a job is to be packed all the more."""
    with contextlib.ExitStack() as kept:
        try:
            inside = kept.enter_context(scratch(home))
        except CannotWrite as problem:
            if problem.problem.errno not in _PROTECTED:
                raise
            inside = None
        yield inside


def _frozen(home: Path, inside: Path | None, extent: Extent) -> _State:
    """Take hold of a job's files; the job's lock is kept for no longer than that."""
    along = [] if extent == "for the client" else _shop_along(home)
    with contextlib.nullcontext() if inside is None else holding(home):
        ways, left_out = _listed(home, extent)
        stamps = _stamps(home, ways)
        root = home
        if inside is not None and _linked(home, ways, inside):
            root = inside
    return _State(root=root, ways=ways, stamps=stamps, along=tuple(along), left_out=left_out)


def _linked(home: Path, ways: Sequence[str], to: Path) -> bool:
    """Give files of a job second names in another folder; False where the disk has no links."""
    try:
        for way in ways:
            link = to / way
            link.parent.mkdir(parents=True, exist_ok=True)
            link.hardlink_to(home / way)
    except OSError:
        return False
    return True


_MADE_AGAIN = (".roomcheck-", f"results/{KEPT_TAKES}/", "results/listening.ears")
"""What is never packed: drafts, and what was made of recordings, as large as they are."""


def _listed(home: Path, extent: Extent) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Files to pack, and those that never are: links, pipes, names that not every disk takes."""
    ways, left_out = [], []
    for path in sorted(home.rglob("*")):
        way = path.relative_to(home).as_posix()
        if way.startswith(_MADE_AGAIN) or not _belongs(way, extent):
            continue
        mode = path.lstat().st_mode
        if stat.S_ISDIR(mode):
            continue
        if stat.S_ISREG(mode) and is_safe(way):
            ways.append(way)
        else:
            left_out.append(way)
    if not ways:
        raise RoomcheckError(f"{home}: no document for the client yet; roomcheck report makes them")
    return tuple(ways), tuple(left_out)


def _belongs(way: str, extent: Extent) -> bool:
    """Whether a file is part of so much of a job."""
    first, _, rest = way.partition("/")
    if extent == "for the client":
        return first == "documents" and rest.startswith(FOR_CLIENT)
    if extent == "without recordings":
        return first != "takes" or rest.startswith("played/") or rest.endswith(_SOUNDS_APART)
    return True


def _stamps(home: Path, ways: Sequence[str]) -> tuple[_Stamp, ...]:
    """What tells whether one of these files changes or is another."""
    found = [(home / way).stat() for way in ways]
    return tuple((one.st_ino, one.st_size, one.st_mtime_ns) for one in found)


def _shop_along(home: Path) -> list[Put]:
    """The shop's file from the folder above, where it serves the job."""
    if shop_path(home) in (None, home / "shop.toml"):
        return []
    return own_shop(load_job(home))


def _write(
    draft: Path, file: Path, home: Path, state: _State, extent: Extent, counted: Counted
) -> Manifest:
    """Write the one file, which will be `file`."""
    try:
        with zipfile.ZipFile(draft, "w", zipfile.ZIP_DEFLATED, allowZip64=True) as archive:
            packed = []
            for way, (_, size, _) in zip(state.ways, state.stamps, strict=True):
                packed.append(_add(archive, home.name, state.root, way))
                counted.add(size)
            packed += [_add_bytes(archive, home.name, put) for put in state.along]
            manifest = Manifest(
                job=home.name,
                extent=extent,
                method=f"roomcheck {roomcheck.__version__}",
                files=tuple(packed),
            )
            archive.writestr(_entry(NAME), manifest.text().encode())
        with draft.open("rb+") as written:
            os.fsync(written.fileno())
    except OSError as problem:
        raise CannotWrite(file, problem) from problem
    return manifest


def _place(draft: Path, file: Path) -> None:
    """Give the one file its name, which nobody else may have taken meanwhile."""
    if os.path.lexists(file):
        raise ThereAlready(file)
    try:
        draft.rename(file)
    except OSError as problem:
        raise CannotWrite(file, problem) from problem


def _entry(name: str, *, stored: bool = False) -> zipfile.ZipInfo:
    """An entry without the day of packing: the same job gives the same file."""
    info = zipfile.ZipInfo(name)
    info.compress_type = zipfile.ZIP_STORED if stored else zipfile.ZIP_DEFLATED
    info.external_attr = 0o644 << 16
    return info


def _add(archive: zipfile.ZipFile, job: str, root: Path, way: str) -> Packed:
    """Pack one file of the job."""
    name = f"{job}/{way}"
    with open_regular(root / way) as file:
        size = os.fstat(file.fileno()).st_size
        shell = shell_of(file, size) if way.startswith("takes/") else None
        file.seek(0)
        sha256 = hashlib.file_digest(file, "sha256").hexdigest()
        if shell is not None and _as_flac(archive, name, file, shell, size, sha256):
            return Packed(path=way, sha256=sha256, size=size, shell=shell)
        file.seek(0)
        with archive.open(_entry(name), "w", force_zip64=True) as entry:
            shutil.copyfileobj(file, entry, _BLOCK)
    return Packed(path=way, sha256=sha256, size=size)


def _as_flac(
    archive: zipfile.ZipFile, name: str, file: IO[bytes], shell: Shell, size: int, sha256: str
) -> bool:
    """Pack a recording as FLAC and its shell; False, and nothing packed, where not every byte
    comes back."""
    with tempfile.TemporaryFile() as flac:
        to_flac(file, shell, flac)
        file.seek(0)
        head = file.read(shell.head_bytes)
        file.seek(shell.head_bytes + shell.sound_bytes)
        tail = file.read(size)
        if _digest(head, _rewound(flac, shell), tail) != sha256:
            return False
        flac.seek(0)
        with archive.open(_entry(f"{name}.flac", stored=True), "w", force_zip64=True) as entry:
            shutil.copyfileobj(flac, entry, _BLOCK)
        archive.writestr(_entry(f"{name}.shell"), head + tail)
    return True


def _rewound(flac: IO[bytes], shell: Shell) -> Iterator[bytes]:
    flac.seek(0)
    return from_flac(flac, shell)


def _digest(head: bytes, blocks: Iterator[bytes], tail: bytes) -> str:
    sha = hashlib.sha256(head)
    for block in blocks:
        sha.update(block)
    sha.update(tail)
    return sha.hexdigest()


def _add_bytes(archive: zipfile.ZipFile, job: str, put: Put) -> Packed:
    data = put.data.encode() if isinstance(put.data, str) else put.data
    if not isinstance(data, bytes):
        raise ValueError(f"data: {put.data!r}, needed text or bytes")
    archive.writestr(_entry(f"{job}/{put.path}"), data)
    return Packed(path=put.path, sha256=hashlib.sha256(data).hexdigest(), size=len(data))


def _remove(home: Path, state: _State, file: Path) -> None:
    """Take a job's folder away: from one moment to the next it is no job any more.

    Raises
    ------
    RoomcheckError
        It is no longer what was packed; it stays.
    CannotWrite
    """
    changed = RoomcheckError(
        f"{home}: something in it changed after it was packed, so it stays; {file} holds it as it "
        "was before. Take that file away and pack again"
    )
    with holding(home):  # nobody is in the middle of a step
        if not state.is_all_of(home):
            raise changed
    with scratch(home.parent) as aside:
        gone = aside / home.name
        try:
            home.rename(gone)
            if state.is_all_of(gone):
                return
            gone.rename(home)
        except OSError as problem:
            raise CannotWrite(home, problem) from problem
    raise changed
