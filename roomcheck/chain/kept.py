"""Results in the job's folder, one file each, with a digest of what each was made from."""

from __future__ import annotations

import contextlib
import json
from contextlib import AbstractContextManager
from dataclasses import dataclass
from pathlib import Path
from typing import Any, TypeVar

import roomcheck
from roomcheck.chain.inputs import digest_of_plain
from roomcheck.chain.method import method_of
from roomcheck.job import (
    CannotWrite,
    Job,
    NoRegularFile,
    make_folder,
    read_regular,
    write_atomically,
)
from roomcheck.plain import from_plain, to_plain

SCHEMA = 2
"""Of the files in `results/`. Schema 1 said nothing of what it was made from."""

MOST_BYTES = 1 << 28
"""Of a kept result; a larger one is no result."""

_DAMAGED = (
    NoRegularFile,
    OSError,
    ValueError,
    TypeError,
    AttributeError,
    LookupError,
    ArithmeticError,
)
"""What reading a file can raise that is none of ours, or not whole."""

T = TypeVar("T")


@dataclass(frozen=True, kw_only=True)
class Results:
    """The folder `results` of a job."""

    folder: Path

    def path(self, name: str) -> Path:
        return self.folder / f"{name}.json"

    def read(self, name: str, made_from: str, kind: type[T], **settings: Any) -> T | None:
        """A kept result, or None where there is none that was made from just this.

        Parameters
        ----------
        made_from : str
            Digest of all that the result depends on.
        kind : type
            Of the result.
        settings : optional
            What else the file must say, such as the time that a search was given.
        """
        try:
            plain = json.loads(read_regular(self.path(name), MOST_BYTES))
            if plain["schema"] != _schema(name) or plain["made_from"] != made_from:
                return None
            if any(plain["settings"].get(key) != value for key, value in settings.items()):
                return None
            if plain["sha256"] != digest_of_plain(plain["result"]):
                return None
            return from_plain(kind, plain["result"])
        except (*_DAMAGED, RecursionError):
            return None

    def last(self, name: str, kind: type[T]) -> T | None:
        """A result as it was kept last, whatever it was made from; None where there is none, or it
        is damaged."""
        try:
            plain = json.loads(read_regular(self.path(name), MOST_BYTES))
            return self.read(name, plain["made_from"], kind)
        except (*_DAMAGED, RecursionError):
            return None

    def write(self, name: str, made_from: str, kind: type[T], value: T, **settings: Any) -> T:
        """Keep a result, and return it as it will be read again.

        A folder that cannot be written keeps nothing, nor does one whose job was moved away
        meanwhile: it is not made again. The result is the same.
        """
        text = file_of(name, made_from, value, **settings)
        if self.folder.parent.is_dir():
            with contextlib.suppress(CannotWrite):
                make_folder(self.folder)
                write_atomically(self.path(name), text)
        return from_plain(kind, json.loads(text)["result"])


def file_of(name: str, made_from: str, value: object, **settings: Any) -> str:
    """The text of a kept result's file."""
    plain = to_plain(value)
    file = {
        "schema": _schema(name),
        "method": f"roomcheck {roomcheck.__version__}",
        "made_from": made_from,
        "settings": settings,
        "sha256": digest_of_plain(plain),
        "result": plain,
    }
    return f"{_lines(file, LEVELS)}\n"


LEVELS = 5
"""So many levels of a file have their entries on lines of their own; what is deeper stands on its
line, which is several times faster to write."""


def _lines(plain: object, levels: int, indent: str = "\n") -> str:
    """Plain values as JSON."""
    deeper = indent + " "
    if levels and isinstance(plain, dict) and plain:
        entries = (
            f"{json.dumps(key, ensure_ascii=False)}: {_lines(value, levels - 1, deeper)}"
            for key, value in plain.items()
        )
        return f"{{{deeper}{f',{deeper}'.join(entries)}{indent}}}"
    if levels and isinstance(plain, list) and plain and isinstance(plain[0], (dict, list)):
        entries = (_lines(value, levels - 1, deeper) for value in plain)
        return f"[{deeper}{f',{deeper}'.join(entries)}{indent}]"
    return json.dumps(plain, ensure_ascii=False)


KEPT_TAKES = "takes"
"""Folder in `results` for what was made of each take."""


def keeping_takes(job: Job) -> AbstractContextManager[None]:
    """Within this, each recording of a job is heard once: when it comes in, or is first read."""
    from roomcheck.measure import keeping

    return keeping(job.folder / "results" / KEPT_TAKES, method_of("measure"))


def _schema(name: str) -> str:
    return f"roomcheck {name} {SCHEMA}"
