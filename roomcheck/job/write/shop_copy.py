"""A shop's file taken along into another folder, its logo with it."""

from __future__ import annotations

from pathlib import Path, PurePosixPath
from typing import Any

from roomcheck.job.model.job import Job
from roomcheck.job.read.shop_file import default_path, read_shop, shop_path
from roomcheck.job.store.lock import holding
from roomcheck.job.store.together import FileChanged, Put, write_together
from roomcheck.job.toml.disk import read_text


def keep_shop(job: Job) -> Path:
    """Copy the shop's file into the job's folder, so that the folder works out the same quote
    alone.

    A copy that is there already stays as it is.

    Raises
    ------
    CannotRead, CannotWrite, FileChanged
        The files.
    """
    with holding(job.folder):
        write_together(job.folder, own_shop(job))
    return job.folder / "shop.toml"


def own_shop(job: Job) -> list[Put]:
    """The files that give a job its own copy of the shop's file; none where it has one.

    Raises
    ------
    FileChanged
        The shop's file no longer says what the job was worked out with.
    """
    if (job.folder / "shop.toml").exists():
        return []
    source = shop_path(job.folder)
    if source is not None and read_shop(source) != job.shop:
        raise FileChanged(source)
    text, logo = taken_along(source or default_path(job.units))
    return [*logo, Put(path="shop.toml", data=text, new=True)]


def taken_along(source: Path) -> tuple[str, list[Put]]:
    """The text of a shop's file for another folder, and the logo that it names.

    A logo from outside its folder is named anew: it comes to lie beside the copy.
    """
    import tomlkit

    text = read_text(source)
    document: Any = tomlkit.parse(text)
    logo = document.get("shop", {}).get("logo")
    if not isinstance(logo, str) or not logo or not (source.parent / logo).is_file():
        return text, []
    way = PurePosixPath(Path(logo).as_posix())
    name = way.as_posix()
    if way.is_absolute() or ".." in way.parts or Path(logo).drive:
        name = way.name
        document["shop"]["logo"] = name
        text = tomlkit.dumps(document)
    return text, [Put(path=name, data=(source.parent / logo).read_bytes())]
