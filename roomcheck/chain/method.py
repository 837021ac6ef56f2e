"""The version of a method: a digest of the source that computes it."""

from __future__ import annotations

import hashlib
import sys
from functools import cache
from pathlib import Path

import roomcheck

STAGES = (
    "standards",
    "materials",
    "job",
    "measure",
    "analyse",
    "judge",
    "predict",
    "recommend",
    "workshop",
    "quote",
    "verify",
    "words",
    "report",
)
"""In the order in which they may import each other."""

LIBRARIES = ("numpy", "scipy", "soundfile", "av", "pyroomacoustics", "matplotlib", "typst")
"""What computes or draws; another version may give another last digit."""

_PACKAGE = Path(roomcheck.__file__).parent


@cache
def method_of(stage: str) -> str:
    """A digest of everything that a stage may run: its source, all above it, and the libraries."""
    above = STAGES[: STAGES.index(stage) + 1]
    parts = [_shared(), *(_folder(name) for name in above)]
    return hashlib.sha256("".join(parts).encode()).hexdigest()


@cache
def _shared() -> str:
    versions = [f"{name} {_version(name)}" for name in LIBRARIES]
    python = f"python {sys.version_info.major}.{sys.version_info.minor}"
    words = [roomcheck.__version__, python, *versions, _folder("chain")]
    modules = [_digest(path) for path in sorted(_PACKAGE.glob("*.py"))]
    return "\n".join([*words, *modules])


def _version(library: str) -> str:
    known = _installed().get(library)
    if known is not None:
        return known
    from importlib.metadata import PackageNotFoundError, version

    try:
        return version(library)
    except PackageNotFoundError:
        return "none"


@cache
def _installed() -> dict[str, str]:
    """Versions as installers write them into the names of their folders: to ask Python's own reader
    for them takes ten times as long."""
    found: dict[str, str] = {}
    for folder in sys.path:
        for info in sorted(Path(folder).glob("*-*.dist-info")):
            name, _, version = info.name.removesuffix(".dist-info").partition("-")
            found.setdefault(name, version)
    return found


@cache
def _folder(name: str) -> str:
    lines = [
        f"{path.relative_to(_PACKAGE).as_posix()} {_digest(path)}"
        for path in sorted((_PACKAGE / name).rglob("*"))
        if path.is_file() and "__pycache__" not in path.parts
    ]
    return "\n".join(lines)


def _digest(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()
