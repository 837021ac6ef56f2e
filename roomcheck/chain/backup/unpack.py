"""A packed job back into its folder: every byte looked at, and nothing outside of the folder."""

from __future__ import annotations

import contextlib
import hashlib
import io
import os
import shutil
import struct
import tempfile
import zipfile
import zlib
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from roomcheck.chain.backup.counted import Counted
from roomcheck.chain.backup.manifest import (
    MOST_MANIFEST_BYTES,
    NAME,
    BadPack,
    Manifest,
    Packed,
    manifest_of,
)
from roomcheck.chain.backup.shell import from_flac
from roomcheck.job import CannotWrite, NoRegularFile, ThereAlready, open_regular, scratch
from roomcheck.parts import OnPart

MOST_SHELL_BYTES = 64 << 20
_BLOCK = 1 << 20
_KINDS = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)

_DAMAGED = (
    zipfile.BadZipFile, zlib.error, struct.error, EOFError, KeyError, IndexError, OverflowError,
    NotImplementedError, RuntimeError, ValueError, OSError,
)  # fmt: skip
"""What the zip and FLAC readers raise on files that are damaged."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Unpacked:
    """A job that stands again."""

    folder: Path
    files: int
    size: int
    """[bytes]"""
    extent: str
    """How much of the job was packed."""


def check_pack(path: Path | str, on_part: OnPart | None = None) -> Manifest:
    """Read a packed job through: every file is there, with the content that it had.

    Parameters
    ----------
    path : Path or str
    on_part : callable or None
        Gets how many bytes are read, and of how many.

    Raises
    ------
    BadPack
    """
    path = Path(path)
    with _opened(path) as (archive, manifest):
        counted = Counted(on_part, manifest.size)
        for packed in manifest.files:
            _through(path, archive, manifest, packed, None)
            counted.add(packed.size)
    return manifest


def unpack(
    path: Path | str, folder: Path | str | None = None, on_part: OnPart | None = None
) -> Unpacked:
    """Lay a packed job down in a folder of its own.

    Parameters
    ----------
    path : Path or str
        What `pack` wrote.
    folder : Path or str, optional
        The job's new folder, which must not be there; under its old name in the current folder
        where left out.
    on_part : callable or None
        Gets how many bytes are laid down, and of how many.

    Raises
    ------
    BadPack
        Not whole, or not to be trusted: nothing is left of what was unpacked.
    ThereAlready
        The folder is there.
    CannotWrite
        Disk full, no right to write: nothing is left of what was unpacked.
    """
    path = Path(path)
    with _opened(path) as (archive, manifest):
        home = Path(folder) if folder is not None else Path(manifest.job)
        if os.path.lexists(home):
            raise ThereAlready(home)
        try:
            _lay_down(path, archive, manifest, home, Counted(on_part, manifest.size))
        except OSError as problem:
            raise CannotWrite(home, problem) from problem
    return Unpacked(
        folder=home, files=len(manifest.files), size=manifest.size, extent=manifest.extent
    )


def _lay_down(
    path: Path, archive: zipfile.ZipFile, manifest: Manifest, home: Path, counted: Counted
) -> None:
    """All files into a draft of the folder; then it takes its name."""
    home.absolute().parent.mkdir(parents=True, exist_ok=True)
    free = shutil.disk_usage(home.absolute().parent).free
    if manifest.size > free:
        raise BadPack(path, f"{manifest.size} bytes, and {free} are free on the disk")
    with scratch(home.absolute().parent) as draft:
        inner = draft / "job"
        inner.mkdir()
        for packed in manifest.files:
            to = inner / packed.path
            to.parent.mkdir(parents=True, exist_ok=True)
            _through(path, archive, manifest, packed, to)
            counted.add(packed.size)
        inner.rename(home)


@contextlib.contextmanager
def _opened(path: Path) -> Iterator[tuple[zipfile.ZipFile, Manifest]]:
    try:
        file = open_regular(path)
    except NoRegularFile as problem:
        raise BadPack(path, problem.why) from problem
    with file:
        try:
            archive = zipfile.ZipFile(file)
        except _DAMAGED as problem:
            raise BadPack(path, f"it is no zip file, or not whole ({problem})") from problem
        with archive:
            yield archive, _manifest(path, archive)


def _manifest(path: Path, archive: zipfile.ZipFile) -> Manifest:
    names = archive.namelist()
    if names.count(NAME) != 1 or len(set(names)) < len(names):
        raise BadPack(path, "it has no list of its files, or names twice")
    text = _read(path, archive, NAME, MOST_MANIFEST_BYTES)
    manifest = manifest_of(path, text)
    wanted = {NAME}
    for packed in manifest.files:
        name = f"{manifest.job}/{packed.path}"
        wanted |= {name} if packed.shell is None else {f"{name}.flac", f"{name}.shell"}
    if wanted != set(names):
        raise BadPack(path, "it holds other files than it lists")
    return manifest


def _read(path: Path, archive: zipfile.ZipFile, name: str, most: int) -> bytes:
    """A small entry whole."""
    try:
        info = archive.getinfo(name)
        if info.compress_type not in _KINDS or info.flag_bits & 1:
            raise BadPack(path, f"{name[:80]!r} is packed in a way that roomcheck does not use")
        with archive.open(info) as entry:
            data = entry.read(most + 1)
    except _DAMAGED as problem:
        raise BadPack(path, f"{name[:80]!r} is damaged ({problem})") from problem
    if len(data) > most:
        raise BadPack(path, f"{name[:80]!r} is larger than it may be")
    return data


def _through(
    path: Path, archive: zipfile.ZipFile, manifest: Manifest, packed: Packed, to: Path | None
) -> None:
    """Read one file through, and write it where a place is named; it must have its old content."""
    sha, size = hashlib.sha256(), 0
    with contextlib.ExitStack() as stack:
        out = stack.enter_context(to.open("xb")) if to is not None else None
        for block in _whole_blocks(path, archive, manifest, packed):
            size += len(block)
            if size > packed.size:
                raise BadPack(path, f"{packed.path!r} is larger than it says")
            sha.update(block)
            if out is not None:
                out.write(block)
    if size != packed.size or sha.hexdigest() != packed.sha256:
        raise BadPack(path, f"{packed.path!r} is not what was packed (its SHA-256 differs)")


def _whole_blocks(
    path: Path, archive: zipfile.ZipFile, manifest: Manifest, packed: Packed
) -> Iterator[bytes]:
    """A file block by block; what the readers raise is a damaged pack."""
    try:
        yield from _blocks(path, archive, manifest, packed)
    except _DAMAGED as problem:
        raise BadPack(path, f"{packed.path!r} is damaged ({problem})") from problem


def _blocks(
    path: Path, archive: zipfile.ZipFile, manifest: Manifest, packed: Packed
) -> Iterator[bytes]:
    name = f"{manifest.job}/{packed.path}"
    shell = packed.shell
    if shell is None:
        info = archive.getinfo(name)
        if info.compress_type not in _KINDS or info.flag_bits & 1:
            raise BadPack(path, f"{packed.path!r} is packed in a way that roomcheck does not use")
        with archive.open(info) as entry:
            while block := entry.read(_BLOCK):
                yield block
        return
    rest = _read(path, archive, f"{name}.shell", MOST_SHELL_BYTES)
    yield rest[: shell.head_bytes]
    with tempfile.TemporaryFile() as flac:
        _spooled(path, archive, f"{name}.flac", flac, 2 * shell.sound_bytes + _BLOCK)
        yield from from_flac(flac, shell)
    yield rest[shell.head_bytes :]


def _spooled(
    path: Path, archive: zipfile.ZipFile, name: str, to: io.BufferedRandom, most: int
) -> None:
    """An entry into a file that can seek; FLAC is never twice as long as its samples."""
    with archive.open(name) as entry:
        size = 0
        while block := entry.read(_BLOCK):
            size += len(block)
            if size > most:
                raise BadPack(path, f"{name[:80]!r} is larger than it may be")
            to.write(block)
    to.seek(0)
