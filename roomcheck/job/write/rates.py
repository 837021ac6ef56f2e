"""What one piece takes to build, as the shop noted it: written into the shop's file on request."""

from __future__ import annotations

from decimal import Decimal
from pathlib import Path
from typing import Any

from roomcheck.errors import RoomcheckError
from roomcheck.job.model.job import Job
from roomcheck.job.read.shop_file import default_path, shop_from, shop_path
from roomcheck.job.store.lock import holding
from roomcheck.job.store.together import Put, digest_of, write_together
from roomcheck.job.toml.disk import marked_as, read_text
from roomcheck.job.toml.document import TomlFile
from roomcheck.job.write.lessons import lesson_path
from roomcheck.job.write.shop_copy import taken_along


class NotBuiltHere(RoomcheckError):
    """A piece that the shop's file does not have."""


def keep_build_hours(job: Job, piece: str, hours: Decimal, source: str) -> Path:
    """Write what one piece takes into the shop's file for the next jobs, in place of what stood
    there; the job's own copy stays as it was signed.

    Where no shop's file lies in the folder above the job, the one that serves the job is copied
    there first.

    Parameters
    ----------
    hours : Decimal
        To build one. [h]
    source : str
        Where it comes from, as a comment beside it.

    Raises
    ------
    NotBuiltHere
        The shop's file has no piece of that name.
    FileMistakes, CannotRead, CannotWrite, FolderIsHeld
        The file; nothing is written.
    """
    path = lesson_path(job.folder)
    with holding(path.parent):
        if path.exists():
            before = read_text(path)
            text = _with_hours(before, path, piece, hours, source)
            shop_from(TomlFile.parse(text, path), path)
            seen = digest_of(marked_as(path, before))
            puts = [Put(path=path.name, data=marked_as(path, text), seen=seen)]
        else:
            origin = shop_path(job.folder) or default_path(job.units)
            before, logo = taken_along(origin, path.parent)
            text = _with_hours(before, path, piece, hours, source)
            shop_from(
                TomlFile.parse(text, origin), origin
            )  # its logo is not beside the new one yet
            puts = [*logo, Put(path=path.name, data=text, new=True)]
        write_together(path.parent, puts)
    return path


def _with_hours(before: str, path: Path, piece: str, hours: Decimal, source: str) -> str:
    import tomlkit

    document: Any = tomlkit.parse(before)
    same = [table for table in document.get("piece", []) if table.get("name") == piece]
    if not same:
        raise NotBuiltHere(
            f"{path} has no [[piece]] {piece!r}, so nothing was written; add it there first"
        )
    for table in same:
        table["build_hours"] = f"{hours}"
        table["build_hours"].comment(source)
    return str(tomlkit.dumps(document))
