"""Folders for what takes a while and is not at its end: held by who works there, and taken away by
whoever comes after an end that left one behind."""

from __future__ import annotations

import contextlib
import shutil
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

from roomcheck.job.store.lock import NAME, FolderIsHeld, held_here, holding
from roomcheck.job.toml.disk import CannotWrite

PREFIX, SUFFIX = ".roomcheck-", ".tmp"
"""Of their names."""

YOUNG_S = 60.0
"""So long a folder without its lock may be one that is being made. [s]"""


@contextlib.contextmanager
def scratch(parent: Path) -> Iterator[Path]:
    """Make a folder of one's own within another one, for as long as the block runs.

    Raises
    ------
    CannotWrite
        There it cannot be made.
    """
    try:
        folder = Path(tempfile.mkdtemp(prefix=PREFIX, suffix=SUFFIX, dir=parent))
    except OSError as problem:
        raise CannotWrite(parent, problem) from problem
    try:
        with holding(folder):
            yield folder
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def clear_scratch(parent: Path) -> int:
    """Take away the folders of runs that ended in the middle; returns how many there were."""
    cleared = 0
    for folder in _left(parent):
        with contextlib.suppress(OSError, FolderIsHeld, CannotWrite):
            with holding(folder, 0.0):
                pass
            shutil.rmtree(folder)
            cleared += 1
    return cleared


def is_scratch(name: str) -> bool:
    """Whether a folder of this name is one of these."""
    return name.startswith(PREFIX) and name.endswith(SUFFIX)


def _left(parent: Path) -> list[Path]:
    """Folders that nobody holds, as far as their looks tell."""
    try:
        found = [path for path in parent.iterdir() if is_scratch(path.name)]
        return [path for path in found if path.is_dir() and not path.is_symlink() and _idle(path)]
    except OSError:
        return []


def _idle(folder: Path) -> bool:
    if (folder / NAME).exists():
        return not held_here(folder)
    return time.time() - folder.stat().st_mtime > YOUNG_S
