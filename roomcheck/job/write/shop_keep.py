"""Changing a job's own shop.toml: what was measured at the bench, and what lies on the rack."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from roomcheck.job.model.job import Job, Units
from roomcheck.job.model.shop import Offcut, Shop
from roomcheck.job.read.shop_file import DEFAULT, read_shop, shop_from, shop_path
from roomcheck.job.store.lock import holding
from roomcheck.job.store.together import FileChanged, Put, digest_of, write_together
from roomcheck.job.toml.disk import marked_as, read_text
from roomcheck.job.toml.document import TomlFile
from roomcheck.job.write.shop_copy import own_shop
from roomcheck.units import M_PER_IN


def keep_practice(
    job: Job,
    practice: Mapping[str, str | int],
    pieces: Mapping[str, Mapping[str, str | int | list[str]]],
    offcuts: Sequence[Offcut] | None = None,
) -> Shop:
    """Write settings into the job's copy of the shop's file, which is made where it is missing.

    Parameters
    ----------
    job : Job
    practice : mapping
        Keys of `[practice]` as the file writes them: `{"stick": "1.515 in"}`.
    pieces : mapping
        From a piece's name to keys of its `[[piece]]`: `{"block diffuser": {"seed": 12}}`.
    offcuts : sequence of Offcut, optional
        What lies on the rack, in place of what lay there.

    Raises
    ------
    FileMistakes
        What would come out has mistakes: nothing is written then.
    FileChanged
        The rack is no longer what the job was worked out with.
    CannotRead, CannotWrite
        The file.
    """
    change = _Change(practice=practice, pieces=pieces, offcuts=offcuts, units=job.units)
    path = job.folder / "shop.toml"
    with holding(job.folder):
        new = own_shop(job)
        if new:
            *logo, copy = new
            # Read as it stood: its logo is not here yet.
            text, shop = _changed(str(copy.data), shop_path(job.folder) or DEFAULT, change)
            write_together(job.folder, [*logo, replace(copy, data=text)])
            return shop
        return _kept(path, change, job.shop)


def keep_rack(path: Path, offcuts: Sequence[Offcut], units: Units, was: Shop) -> Shop:
    """Write what lies on the rack into a shop's file, in place of what lay there.

    Parameters
    ----------
    was : Shop
        The shop as it was when the rack was worked out.

    Raises
    ------
    FileMistakes, FileChanged, CannotRead, CannotWrite
        As `keep_practice`.
    """
    with holding(path.absolute().parent):
        change = _Change(practice={}, pieces={}, offcuts=offcuts, units=units)
        return _kept(path.absolute(), change, was)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Change:
    """What is to be written into a shop's file."""

    practice: Mapping[str, str | int]
    pieces: Mapping[str, Mapping[str, str | int | list[str]]]
    offcuts: Sequence[Offcut] | None
    units: Units


def _kept(path: Path, change: _Change, was: Shop) -> Shop:
    if change.offcuts is not None and read_shop(path).offcuts != was.offcuts:
        raise FileChanged(path)
    before = read_text(path)
    text, shop = _changed(before, path, change)
    if text != before:
        seen = digest_of(marked_as(path, before))
        write_together(path.parent, [Put(path=path.name, data=marked_as(path, text), seen=seen)])
    return shop


def _changed(before: str, path: Path, change: _Change) -> tuple[str, Shop]:
    """A shop file's new text, and the shop that it says."""
    import tomlkit

    document = tomlkit.parse(before)
    if change.practice:
        if "practice" not in document:
            document["practice"] = tomlkit.table()
        for key, setting in change.practice.items():
            document["practice"][key] = setting
    listed: Any = document.get("piece", [])
    for piece in listed:
        for key, value in change.pieces.get(str(piece.get("name")), {}).items():
            piece[key] = value
    if change.offcuts is not None:
        document.pop("offcut", None)
        if change.offcuts:
            document["offcut"] = _rack(change.offcuts, change.units)
    text = tomlkit.dumps(document)
    return text, shop_from(TomlFile.parse(text, path), path)


def _rack(offcuts: Sequence[Offcut], units: Units) -> Any:
    import tomlkit

    tables = tomlkit.aot()
    for offcut in offcuts:
        table = tomlkit.table()
        table["item"] = offcut.item
        table["length"] = length_text(offcut.length_m, units)
        if offcut.width_m is not None:
            table["width"] = length_text(offcut.width_m, units)
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
