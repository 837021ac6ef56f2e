"""What a packed job says of itself, and whether that can be trusted: the file may come from
anywhere."""

from __future__ import annotations

import json
import unicodedata
from dataclasses import dataclass
from pathlib import Path, PurePosixPath
from typing import Any, Literal

from roomcheck.chain.backup.shell import Shell
from roomcheck.errors import RoomcheckError
from roomcheck.plain import Misfits, from_plain, to_plain

SCHEMA = 1
NAME = "roomcheck-pack.json"
MOST_FILES = 100_000
MOST_BYTES = 256 << 30
"""Of all files together."""

MOST_MANIFEST_BYTES = 64 << 20
_RESERVED = {"con", "prn", "aux", "nul", *(f"{d}{n}" for d in ("com", "lpt") for n in range(1, 10))}

Extent = Literal["whole", "without recordings", "for the client"]


class BadPack(RoomcheckError):
    """A file that is no packed job, or not whole, or not to be trusted."""

    def __init__(self, path: Path, found: str) -> None:
        self.path, self.found = path, found
        super().__init__(
            f"{path}: {found}; needed a file that roomcheck pack wrote, as it wrote it. Nothing "
            "was unpacked: take another copy of it"
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Packed:
    """One file of a packed job."""

    path: str
    """Within the job's folder, parted by /."""
    sha256: str
    size: int
    """[bytes]"""
    shell: Shell | None = None
    """Where its samples lie, if they are kept as FLAC; None: it is kept as it is."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Manifest:
    """What a packed job holds."""

    job: str
    """Name of its folder."""
    extent: Extent
    method: str
    """Version of roomcheck that packed it."""
    files: tuple[Packed, ...]

    @property
    def size(self) -> int:
        """Of all files, unpacked. [bytes]"""
        return sum(file.size for file in self.files)

    def text(self) -> str:
        plain = {"schema": SCHEMA, **to_plain(self)}
        return json.dumps(plain, ensure_ascii=False, indent=1) + "\n"


def manifest_of(path: Path, text: bytes) -> Manifest:
    """Read a manifest, and refuse what would reach out of its folder.

    Raises
    ------
    BadPack
    """
    try:
        plain = json.loads(text)
    except (ValueError, RecursionError) as problem:
        raise BadPack(path, f"its list of files cannot be read ({problem})") from problem
    if not isinstance(plain, dict):
        raise BadPack(path, "its list of files is none")
    schema: Any = plain.pop("schema", None)
    if isinstance(schema, int) and schema > SCHEMA:
        raise BadPack(path, f"schema {schema}: packed by a newer roomcheck; update to unpack it")
    if schema != SCHEMA:
        raise BadPack(path, f"schema {schema!r}")
    try:
        manifest = from_plain(Manifest, plain)
    except Misfits as problem:
        raise BadPack(path, f"its list of files is damaged ({str(problem)[:200]})") from problem
    wrong = _wrong(manifest)
    if wrong:
        raise BadPack(path, wrong)
    return manifest


def _wrong(manifest: Manifest) -> str:
    """What cannot be trusted; empty where nothing is wrong."""
    if len(manifest.files) > MOST_FILES or not 0 <= manifest.size <= MOST_BYTES:
        return f"it would unpack to {len(manifest.files)} files of {manifest.size} bytes"
    if not is_safe(manifest.job) or "/" in manifest.job:
        return f"the job's name {manifest.job[:80]!r} is no name of a folder"
    seen = set()
    for file in manifest.files:
        if not is_safe(file.path):
            return f"it holds a file named {file.path[:80]!r}"
        plain = unicodedata.normalize("NFC", file.path).casefold()
        if plain in seen:
            return f"it holds {file.path[:80]!r} twice"
        seen.add(plain)
        shell = file.shell
        if file.size < 0 or (shell and not _fits(shell, file.size)):
            return f"{file.path[:80]!r} says sizes that cannot be"
    return ""


def _fits(shell: Shell, size: int) -> bool:
    """Whether a shell's claims fit into its file."""
    fine = shell.bits in (16, 24) and 1 <= shell.channels <= 8 and shell.frames > 0
    return fine and shell.head_bytes >= 0 and shell.head_bytes + shell.sound_bytes <= size


def is_safe(way: str) -> bool:
    """Whether a path stays inside its folder, on every system.

    >>> is_safe("takes/before/S1-P1.wav"), is_safe("../job.toml"), is_safe("C:/x"), is_safe("a/nul")
    (True, False, False, False)
    """
    if not way or len(way) > 1000 or any(sign in way for sign in '\\:*?"<>|'):
        return False
    if any(unicodedata.category(sign) in ("Cc", "Cs", "Zl", "Zp") for sign in way):
        return False
    parts = way.split("/")
    return PurePosixPath(way).parts == tuple(parts) and all(_is_name(part) for part in parts)


def _is_name(part: str) -> bool:
    if part in ("", ".", "..") or part != part.rstrip(". ") or len(part.encode()) > 255:
        return False
    return part.partition(".")[0].casefold() not in _RESERVED
