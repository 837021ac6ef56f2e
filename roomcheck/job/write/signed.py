"""What was signed: written once, never changed."""

from __future__ import annotations

import hashlib
import json
import os
import re
import tomllib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeVar

from roomcheck.errors import RoomcheckError
from roomcheck.job.store.lock import holding
from roomcheck.job.store.together import Put, write_together
from roomcheck.job.toml.disk import read_text
from roomcheck.job.toml.document import FileMistakes, Mistake, TomlFile
from roomcheck.job.toml.lines import find_lines
from roomcheck.plain import Misfits, Way, from_plain

T = TypeVar("T")

_HEAD = """\
# What was signed, as it was signed. roomcheck reads this file and never changes it; please do not
# either: the promise is held against these very numbers.

"""


class AlreadySigned(RoomcheckError):
    """An agreement that would have been written over."""

    def __init__(self, path: Path) -> None:
        self.path = path
        super().__init__(
            f"{path}: something is signed already, and what is signed is never overwritten. If "
            "the client signed "
            f'something new, move this file to another name first, such as "{path.stem}-old.toml".'
        )


def signed_path(folder: Path | str) -> Path:
    return Path(folder) / "signed" / "agreement.toml"


SCHEMA = 2
"""Of signed files. Schema 1 had neither its number nor a digest in it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Signed:
    """A signed file as it stands in the folder."""

    path: Path
    plain: dict[str, Any]
    """What was signed, as plain values."""
    by_hand: bool
    """Whether it was changed since it was signed, by its own digest; False where it is older than
    that."""

    def value(self, kind: type[T]) -> T:
        """What was signed.

        Raises
        ------
        FileMistakes
            What stands in the file is none of that kind: every mistake with its line.
        """
        try:
            return from_plain(kind, self.plain)
        except Misfits as problem:
            raise self.mistakes(problem.found) from problem

    def mistakes(self, found: Iterable[tuple[Way, str]]) -> FileMistakes:
        """Mistakes of the file by the line they stand in."""
        lines = find_lines(read_text(self.path))
        noted = []
        for way, text in found:
            inner = way
            while inner and inner not in lines:
                inner = inner[:-1]
            last = next((str(step) for step in reversed(way) if isinstance(step, str)), "")
            says = f"`{last}`: {text}" if last else text
            noted.append(Mistake(file=self.path.name, line=lines.get(inner, 0), text=says))
        return FileMistakes(str(self.path.parent), sorted(noted, key=lambda one: one.line))


def read_signed(folder: Path | str) -> Signed | None:
    """What was signed; None where nothing is.

    Raises
    ------
    CannotRead, FileMistakes, NewerFile
        The file is there and cannot be read.
    """
    path = signed_path(folder)
    return _read(path) if os.path.lexists(path) else None


def write_signed(folder: Path | str, plain: dict[str, Any], beside: Sequence[Put] = ()) -> Path:
    """Keep what was signed, once.

    Parameters
    ----------
    folder : Path or str
        The job folder.
    plain : dict
        From `roomcheck.plain.to_plain`. TOML has no null: values that are None are left out, and
        `from_plain` puts them back.
    beside : sequence of Put
        Files that appear with it, or not at all.

    Returns
    -------
    Path
        The file written.

    Raises
    ------
    AlreadySigned
        Something is signed already; it stays as it is.
    CannotWrite
        The folder cannot be written.
    ValueError
        `plain` holds None inside a list, or what TOML cannot hold.
    """
    return _write(signed_path(folder), plain, beside)


def read_changes(folder: Path | str) -> tuple[Signed, ...]:
    """Change orders in the order of their numbers; none where none is signed.

    Raises
    ------
    CannotRead, FileMistakes, NewerFile
        One is there and cannot be read, or does not bear its number.
    """
    found = [_read(path) for path in change_paths(folder)]
    for one in found:
        if str(one.plain.get("number")) != one.path.stem.removeprefix("change-"):
            problem = f"found {one.plain.get('number')!r}, needed the number in the file's name"
            raise one.mistakes([(("number",), problem)])
    return tuple(found)


def change_paths(folder: Path | str) -> list[Path]:
    """The files of change orders by their numbers; copies under other names are none."""
    there = signed_path(folder).parent.glob("change-*.toml")
    numbers = {path: path.stem.removeprefix("change-") for path in there}
    return sorted(
        (path for path, number in numbers.items() if re.fullmatch(r"[1-9][0-9]{0,3}", number)),
        key=lambda path: int(numbers[path]),
    )


def write_change(
    folder: Path | str, number: int, plain: dict[str, Any], beside: Sequence[Put] = ()
) -> Path:
    """Keep a signed change order, once, and its documents with it.

    Raises
    ------
    AlreadySigned
        One of that number is signed already.
    CannotWrite
        The folder cannot be written.
    """
    return _write(signed_path(folder).with_name(f"change-{number}.toml"), plain, beside)


def write_bill(
    folder: Path | str, name: str, plain: dict[str, Any], beside: Sequence[Put] = ()
) -> Path:
    """Keep an invoice or credit note, once, and its documents with it.

    Parameters
    ----------
    name : str
        Its number as a file's name.

    Raises
    ------
    AlreadySigned
        One of that number is there already.
    CannotWrite
        The folder cannot be written.
    """
    return _write(Path(folder) / "bills" / f"{name}.toml", plain, beside)


def read_papers(folder: Path | str) -> tuple[Signed, ...]:
    """Invoices and credit notes as they were written, by their files' names."""
    return tuple(_read(path) for path in sorted((Path(folder) / "bills").glob("*.toml")))


def _write(path: Path, plain: dict[str, Any], beside: Sequence[Put]) -> Path:
    import tomlkit

    text = tomlkit.dumps(without_none(plain, "plain"))
    seal = {"schema": SCHEMA, "sha256": _digest(tomllib.loads(text))}
    sealed = f"{_HEAD}{tomlkit.dumps(seal)}\n{text}"
    folder = path.parents[1]
    with holding(folder):
        if os.path.lexists(path):
            raise AlreadySigned(path)
        paper = Put(path=f"{path.parent.name}/{path.name}", data=sealed, new=True)
        write_together(folder, [*beside, paper])
    return path


def _read(path: Path) -> Signed:
    document = TomlFile.read(path, SCHEMA)
    plain = dict(document.data)
    schema, seal = plain.pop("schema", 1), plain.pop("sha256", None)
    if schema not in (1, SCHEMA) or isinstance(schema, bool | float):
        document.note(("schema",), f"`schema` is {schema!r}; it must be {SCHEMA}, without quotes")
        raise FileMistakes(str(path.parent), document.found())
    return Signed(path=path, plain=plain, by_hand=schema > 1 and seal != _digest(plain))


def _digest(plain: Mapping[str, Any]) -> str:
    """SHA-256 of what a signed file says, whatever its comments and the order of its keys."""
    text = json.dumps(plain, ensure_ascii=False, sort_keys=True, default=str)
    return hashlib.sha256(text.encode("utf-8", "surrogatepass")).hexdigest()


def without_none(plain: Any, where: str) -> Any:
    if isinstance(plain, dict):
        return {
            key: without_none(item, f"{where}.{key}")
            for key, item in plain.items()
            if item is not None
        }
    if isinstance(plain, list | tuple):
        if any(item is None for item in plain):
            raise ValueError(f"{where} holds None in a list, which TOML cannot hold")
        return [without_none(item, f"{where}[{i}]") for i, item in enumerate(plain)]
    return plain
