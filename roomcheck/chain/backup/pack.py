"""A job's folder as one file, looked through again before anybody relies on it."""

from __future__ import annotations

import hashlib
import os
import shutil
import stat
import tempfile
import zipfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import IO

import roomcheck
from roomcheck.chain.backup.manifest import NAME, Extent, Manifest, Packed, is_safe
from roomcheck.chain.backup.shell import Shell, from_flac, shell_of, to_flac
from roomcheck.chain.backup.unpack import check_pack
from roomcheck.errors import RoomcheckError
from roomcheck.job import (
    CannotWrite,
    Put,
    ThereAlready,
    holding,
    load_job,
    open_regular,
    own_shop,
    shop_path,
)

ENDING = ".roomcheck.zip"
FOR_CLIENT = ("measurement-", "proposal.", "before-and-after.", "change-", "invoice-", "listening")
"""How the names of what a client gets begin, in the job's documents."""

_BLOCK = 1 << 20
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
    with holding(home):
        ways, left_out = _listed(home, extent)
        if then_remove and left_out:
            raise RoomcheckError(
                f"{home}: it cannot be taken away, since links and the like are not packed: "
                f"{', '.join(left_out)}"
            )
        stood = _stamps(home, ways)
        along = [] if extent == "for the client" else _shop_along(home)
        manifest = _write(file, home, ways, along, extent)
        check_pack(file)
        if _stamps(home, ways) != stood or _listed(home, extent)[0] != ways:
            file.unlink()
            raise RoomcheckError(
                f"{home}: something in it changed while it was packed; nothing was kept. Pack again"
            )
    if then_remove:
        _remove(home)
    return Pack(
        file=file,
        extent=extent,
        files=len(manifest.files),
        size=manifest.size,
        packed_size=file.stat().st_size,
        left_out=left_out,
        removed=then_remove,
    )


def _listed(home: Path, extent: Extent) -> tuple[list[str], tuple[str, ...]]:
    """Files to pack, and those that never are: links, pipes, names that not every disk takes."""
    ways, left_out = [], []
    for path in sorted(home.rglob("*")):
        way = path.relative_to(home).as_posix()
        if way.startswith(".roomcheck-") or not _belongs(way, extent):
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
    return ways, tuple(left_out)


def _belongs(way: str, extent: Extent) -> bool:
    """Whether a file is part of so much of a job."""
    first, _, rest = way.partition("/")
    if extent == "for the client":
        return first == "documents" and rest.startswith(FOR_CLIENT)
    if extent == "without recordings":
        return first != "takes" or rest.startswith("played/") or rest.endswith(_SOUNDS_APART)
    return True


def _stamps(home: Path, ways: list[str]) -> list[tuple[int, int]]:
    """Sizes and times of files, to know whether one changes."""
    found = [(home / way).stat() for way in ways]
    return [(one.st_size, one.st_mtime_ns) for one in found]


def _shop_along(home: Path) -> list[Put]:
    """The shop's file from the folder above, where it serves the job."""
    if shop_path(home) in (None, home / "shop.toml"):
        return []
    return own_shop(load_job(home))


def _write(file: Path, home: Path, ways: list[str], along: list[Put], extent: Extent) -> Manifest:
    """Write the one file: first as a draft, then under its name."""
    draft = file.with_name(f".{file.name}.part")
    try:
        with zipfile.ZipFile(draft, "w", zipfile.ZIP_DEFLATED, allowZip64=True) as archive:
            packed = [_add(archive, home, way) for way in ways]
            packed += [_add_bytes(archive, home.name, put) for put in along]
            manifest = Manifest(
                job=home.name,
                extent=extent,
                method=f"roomcheck {roomcheck.__version__}",
                files=tuple(packed),
            )
            archive.writestr(_entry(NAME), manifest.text().encode())
        with draft.open("rb+") as written:
            os.fsync(written.fileno())
        draft.rename(file)
    except OSError as problem:
        draft.unlink(missing_ok=True)
        raise CannotWrite(file, problem) from problem
    except BaseException:
        draft.unlink(missing_ok=True)
        raise
    return manifest


def _entry(name: str, *, stored: bool = False) -> zipfile.ZipInfo:
    """An entry without the day of packing: the same job gives the same file."""
    info = zipfile.ZipInfo(name)
    info.compress_type = zipfile.ZIP_STORED if stored else zipfile.ZIP_DEFLATED
    info.external_attr = 0o644 << 16
    return info


def _add(archive: zipfile.ZipFile, home: Path, way: str) -> Packed:
    """Pack one file of the job."""
    name = f"{home.name}/{way}"
    with open_regular(home / way) as file:
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


def _remove(home: Path) -> None:
    """Take a job's folder away: from one moment to the next it is no job any more."""
    try:
        aside = Path(tempfile.mkdtemp(prefix=f".removed-{home.name}-", dir=home.parent))
        home.rename(aside / home.name)
        shutil.rmtree(aside)
    except OSError as problem:
        raise CannotWrite(home, problem) from problem
