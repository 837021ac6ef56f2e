"""Files put in place whole or not at all, and never over another."""

from __future__ import annotations

import os
import shutil
import tempfile
from pathlib import Path

from roomcheck.measure.faults import TakeNotWritten


def place(path: Path, data: bytes | Path) -> None:
    """Bytes, or a copy of a file, at `path`: whole or not at all, never over another.

    Raises
    ------
    FileExistsError
        Something is there already.
    TakeNotWritten
        No such folder, no right to write, disk full.
    """
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, name = tempfile.mkstemp(dir=path.parent, prefix=".part-", suffix=path.suffix)
        temporary = Path(name)
        try:
            with os.fdopen(handle, "wb") as file:
                if isinstance(data, bytes):
                    file.write(data)
                else:
                    with data.open("rb") as source:
                        shutil.copyfileobj(source, file, 1 << 20)
                file.flush()
                os.fsync(file.fileno())
            temporary.chmod(0o644)
            _move(temporary, path)
        finally:
            temporary.unlink(missing_ok=True)
    except FileExistsError:
        raise
    except OSError as problem:
        raise TakeNotWritten(
            where=str(path),
            found=f"it cannot be written ({problem.strerror or problem})",
            needed="a folder that may be written, with room in it",
            todo="Nothing was changed. Choose another folder, or make room, and try again.",
        ) from problem


def _move(temporary: Path, path: Path) -> None:
    try:
        path.hardlink_to(temporary)  # refuses what is there, also between two processes
    except FileExistsError:
        raise
    except OSError:  # a memory stick without links
        with path.open("xb"):
            pass
        temporary.replace(path)


def replace(path: Path, data: bytes) -> None:
    """Bytes in the place of a file, whole or not at all.

    Raises
    ------
    TakeNotWritten
    """
    draft = path.with_name(f".part-{path.name}")
    draft.unlink(missing_ok=True)
    place(draft, data)
    draft.replace(path)
