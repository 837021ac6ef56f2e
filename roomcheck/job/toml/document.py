"""A TOML file with the line of every value, and the mistakes found in it."""

from __future__ import annotations

import pickle
import re
import tomllib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import lru_cache
from pathlib import Path
from typing import Any

from roomcheck.errors import Mistakes, RoomcheckError
from roomcheck.job.toml.disk import read_text
from roomcheck.job.toml.lines import Path as Way
from roomcheck.job.toml.lines import find_lines
from roomcheck.job.toml.values import shown

_TOML_PLACE = re.compile(r"\s*\(at (?:line (\d+), column \d+|end of document)\)$")
_WHOLE_PAIR = re.compile(r"\s*[A-Za-z0-9_.\"' -]+\s*=(?!\s*(\"\"\"|'''))")


LONGEST_LINE = 10_000
"""Signs of a line: no name, complaint or list that a person types is longer."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Mistake:
    """One thing to put right in a file."""

    file: str
    """Name within the job folder."""
    line: int
    """From 1; 0 where it is about the whole file."""
    text: str
    """What was found, what was meant."""
    way: Way = ()
    """Keys and numbers, from 0, that lead to the value; empty where it is about the whole file."""

    def __str__(self) -> str:
        place = f"{self.file}, line {self.line}" if self.line else self.file
        return f"{place}: {self.text}"


class FileMistakes(Mistakes):
    """All mistakes of a job's files, in the order of their lines."""

    def __init__(self, where: str, mistakes: Iterable[Mistake]) -> None:
        self.mistakes = tuple(mistakes)
        super().__init__(where, tuple(str(mistake) for mistake in self.mistakes))


class NewerFile(RoomcheckError):
    """A file written by a newer roomcheck."""

    def __init__(self, path: Path, found: int, known: int) -> None:
        self.path, self.found, self.known = path, found, known
        super().__init__(
            f"{path}: schema {shown(found)}: made by a newer roomcheck; this one reads up to "
            f"{known}. Update: pip install --upgrade roomcheck"
        )


@dataclass
class TomlFile:
    """A TOML file with its lines and the mistakes found so far."""

    path: Path
    data: dict[str, Any]
    text: str
    mistakes: list[Mistake] = field(default_factory=list)
    currency: str | None = None
    """That of its amounts, as soon as it is known."""

    @classmethod
    def read(cls, path: Path, schema: int) -> TomlFile:
        """Parse a file.

        Raises
        ------
        CannotRead
            Missing or no UTF-8 text.
        FileMistakes
            Not TOML.
        NewerFile
            Its `schema` is above `schema`.
        """
        document = cls.parse(read_text(path), path)
        found = document.data.get("schema")
        if isinstance(found, int) and not isinstance(found, bool) and found > schema:
            raise NewerFile(path, found, schema)
        return document

    @classmethod
    def parse(cls, text: str, path: Path) -> TomlFile:
        _check_lines(text, path)
        try:
            document = cls(path, pickle.loads(_parsed(text)), text)
        except RecursionError as problem:
            raise FileMistakes(
                str(path.parent), [Mistake(file=path.name, line=0, text="brackets too deep")]
            ) from problem
        except ValueError as problem:
            raise FileMistakes(str(path.parent), _broken_lines(text, path.name)) from problem
        for way in _beyond(document.data):
            document.note(way, "a whole number that is longer than any that can be meant here")
        if document.mistakes:
            raise FileMistakes(str(path.parent), document.found())
        return document

    def note(self, way: Way, text: str) -> None:
        self.mistakes.append(Mistake(file=self.path.name, line=self.line(way), text=text, way=way))

    def line(self, way: Way) -> int:
        """The line of a value, else that of the table that should hold it."""
        lines = _lines(self.text)
        while way and way not in lines:
            way = way[:-1]
        return lines.get(way, 1 if way == () else 0)

    def found(self) -> list[Mistake]:
        """The mistakes in the order of their lines, each once."""
        return sorted(dict.fromkeys(self.mistakes), key=lambda mistake: mistake.line)


@lru_cache(maxsize=256)
def _parsed(text: str) -> bytes:
    """Values of a text, from which each reader gets a copy of its own: a page is made of dozens of
    files that have not changed since the last one."""
    return pickle.dumps(tomllib.loads(text))


@lru_cache(maxsize=16)
def _lines(text: str) -> dict[Way, int]:
    """The line of every value, which is asked for where there is a mistake; none of a text whose
    brackets are too deep to be walked."""
    try:
        return find_lines(text)
    except RecursionError:
        return {}


def _check_lines(text: str, path: Path) -> None:
    """Refuse what no person types, before anything is made of it."""
    long = next((n for n, line in enumerate(text.split("\n"), 1) if len(line) > LONGEST_LINE), None)
    if long is not None:
        found = f"the line is longer than {LONGEST_LINE} signs; break it up"
        raise FileMistakes(str(path.parent), [Mistake(file=path.name, line=long, text=found)])


def _beyond(value: Any, way: Way = ()) -> Iterator[Way]:
    """Where whole numbers stand that TOML need not carry: beyond 64 bits (TOML 1.0, "Integer").
    Python would not even print the longest of them."""
    if isinstance(value, dict):
        for key, inner in value.items():
            yield from _beyond(inner, (*way, key))
    elif isinstance(value, list):
        for i, inner in enumerate(value):
            yield from _beyond(inner, (*way, i))
    elif isinstance(value, int) and abs(value) >= 2**63:
        yield way


def _broken_lines(text: str, file: str) -> list[Mistake]:
    """Every line that is not TOML, as far as it can be told: a broken pair is left out and the rest
    read again."""
    lines, mistakes = text.split("\n"), list[Mistake]()
    for _ in range(50):
        try:
            tomllib.loads("\n".join(lines))
            break
        except RecursionError:
            break
        except ValueError as problem:
            line, why = _toml_place(problem, len(lines))
            mistakes.append(Mistake(file=file, line=line, text=why + _hint(lines[line - 1])))
            if _WHOLE_PAIR.match(lines[line - 1]) is None:
                break
            lines[line - 1] = ""
    return mistakes


def _toml_place(problem: ValueError, last: int) -> tuple[int, str]:
    text = str(problem)
    found = _TOML_PLACE.search(text)
    if found is None:
        return 1, f"not TOML: {text}"
    why = f"not TOML: {text[: found.start()]}"
    if found[1] is None:
        return last, f"{why}; something above is opened and never closed"
    return min(int(found[1]), last), why


def _hint(line: str) -> str:
    value = line.partition("=")[2].strip()
    if re.match(r'".*\d\s*(?:\d/\d+)?\s*""', value):
        return '; an inch mark inside quotes is written \\", or write it like "14 ft 6 in"'
    if (
        "=" in line
        and value
        and value[0] not in "\"'[{0123456789+-."
        and value.split("#")[0].strip() not in {"true", "false"}
    ):
        return "; text stands in quotes"
    return ""
