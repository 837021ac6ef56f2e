"""A shop's file taken along into another folder, its logo with it."""

from __future__ import annotations

import tomllib
from pathlib import Path

from roomcheck.job.model.job import Job
from roomcheck.job.read.shop_file import default_path, read_shop, shop_path
from roomcheck.job.store.together import FileChanged, Put
from roomcheck.job.toml.disk import read_text


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
    text, logo = taken_along(source or default_path(job.units), job.folder)
    return [*logo, Put(path="shop.toml", data=text, new=True)]


def taken_along(source: Path, to: Path) -> tuple[str, list[Put]]:
    """The text of a shop's file for another folder, and the logo that it names, which lies beside
    it or in a folder there; a picture of the same name that is none of it stays, and the copy is
    refused."""
    text = read_text(source)
    logo = tomllib.loads(text).get("shop", {}).get("logo")
    if not isinstance(logo, str) or not (source.parent / logo).is_file() or not logo:
        return text, []
    picture = (source.parent / logo).read_bytes()
    if (to / logo).is_file() and (to / logo).read_bytes() == picture:
        return text, []
    return text, [Put(path=Path(logo).as_posix(), data=picture, new=True)]
