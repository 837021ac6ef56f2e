"""Changing a job's own shop.toml: what was measured at the bench, and what lies on the rack."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from roomcheck.job.model.job import Job, Units
from roomcheck.job.model.shop import Offcut, Shop
from roomcheck.job.read.shop_file import shop_from
from roomcheck.job.toml.disk import read_text, write_atomically
from roomcheck.job.toml.document import TomlFile
from roomcheck.job.write.amend import keep_shop
from roomcheck.units import M_PER_IN


def keep_practice(
    job: Job,
    practice: Mapping[str, str | int],
    pieces: Mapping[str, Mapping[str, str | int | list[str]]],
) -> Shop:
    """Write settings into the job's copy of the shop's file, which is made where it is missing.

    Parameters
    ----------
    job : Job
    practice : mapping
        Keys of `[practice]` as the file writes them: `{"stick": "1.515 in"}`.
    pieces : mapping
        From a piece's name to keys of its `[[piece]]`: `{"block diffuser": {"seed": 12}}`.

    Raises
    ------
    FileMistakes
        What would come out has mistakes: nothing is written then.
    CannotRead, CannotWrite
        The file.
    """
    return _kept(keep_shop(job), practice, pieces, None, job.units)


def keep_rack(path: Path, offcuts: Sequence[Offcut], units: Units) -> Shop:
    """Write what lies on the rack into a shop's file, in place of what lay there.

    Raises
    ------
    FileMistakes, CannotRead, CannotWrite
        As `keep_practice`.
    """
    return _kept(path, {}, {}, offcuts, units)


def _kept(
    path: Path,
    practice: Mapping[str, str | int],
    pieces: Mapping[str, Mapping[str, str | int | list[str]]],
    offcuts: Sequence[Offcut] | None,
    units: Units,
) -> Shop:
    import tomlkit

    before = read_text(path)
    document = tomlkit.parse(before)
    if practice:
        if "practice" not in document:
            document["practice"] = tomlkit.table()
        for key, setting in practice.items():
            document["practice"][key] = setting
    listed: Any = document.get("piece", [])
    for piece in listed:
        for key, value in pieces.get(str(piece.get("name")), {}).items():
            piece[key] = value
    if offcuts is not None:
        document.pop("offcut", None)
        if offcuts:
            document["offcut"] = _rack(offcuts, units)
    text = tomlkit.dumps(document)
    shop = shop_from(TomlFile.parse(text, path), path)
    if text != before:
        write_atomically(path, text)
    return shop


def _rack(offcuts: Sequence[Offcut], units: Units) -> Any:
    import tomlkit

    tables = tomlkit.aot()
    for offcut in offcuts:
        table = tomlkit.table()
        table["item"] = offcut.item
        table["length"] = length_text(offcut.length_m, units)
        table["count"] = offcut.count
        tables.append(table)
    return tables


def length_text(length_m: float, units: Units) -> str:
    """A length as a shop's file writes it, cut down to what the tape can promise.

    >>> length_text(0.61595, "imperial"), length_text(0.6159, "metric")
    ('24.25 in', '615 mm')
    """
    if units == "metric":
        return f"{int(length_m * 1000 + 1e-6)} mm"
    return f"{int(length_m / M_PER_IN * 16 + 1e-6) / 16:g} in"
