"""The small files of progress: read with every mistake in its line, changed without losing what
stands in them."""

from __future__ import annotations

import tomllib
from collections.abc import Callable
from pathlib import Path
from typing import Any, TypeVar

from roomcheck.job.store.lock import holding
from roomcheck.job.store.together import Put, digest_of, write_together
from roomcheck.job.toml.disk import marked_as, read_text
from roomcheck.job.toml.document import FileMistakes, TomlFile
from roomcheck.job.toml.reader import TomlTable
from roomcheck.job.toml.regular import is_there

FOLDER = "progress"
SCHEMA = 1
MOST = 3000
"""Lines of one list: more than the largest job has rows, cuts and packs."""

T = TypeVar("T")
Change = Callable[[Any], T]
"""Changes a document of tomlkit."""


def read_tables(path: Path, read: Callable[[TomlTable], T]) -> T | None:
    """Read a file of tables; None where there is none.

    Raises
    ------
    FileMistakes, CannotRead, NewerFile
    """
    if not is_there(path):
        return None
    document = TomlFile.read(path, SCHEMA)
    top = TomlTable.of(document)
    top.whole("schema", least=1)
    value = read(top)
    top.close()
    if document.mistakes:
        raise FileMistakes(str(path.parent), document.found())
    return value


def each(top: TomlTable, key: str, read: Callable[[TomlTable], T]) -> tuple[T, ...]:
    """Read an array of tables; those with mistakes are left out, and noted."""
    values = []
    for table in top.tables(key, MOST):
        value = read(table)
        table.close()
        if not table.spoiled:
            values.append(value)
    return tuple(values)


def change_file(folder: Path, name: str, head: str, change: Change[T]) -> T:
    """Change a file of progress in one step, alone; it is made where it is missing.

    Parameters
    ----------
    folder : Path
        The job's.
    head : str
        Comment that a new file begins with.
    change : callable
        Reads what stands there and changes it; what it raises leaves the file as it is.

    Raises
    ------
    FileChanged, CannotRead, CannotWrite, FolderIsHeld
    """
    import tomlkit

    path = folder / FOLDER / name
    with holding(folder):
        there = is_there(path)
        if there:
            TomlFile.read(path, SCHEMA)  # what is broken is said with its line
        before = read_text(path) if there else f"{head}\nschema = {SCHEMA}\n\n"
        document: Any = tomlkit.parse(before)
        value = change(document)
        text = tomlkit.dumps(document)
        if text == before:
            return value
        tomllib.loads(text)
        way = f"{FOLDER}/{name}"
        if there:
            seen = digest_of(marked_as(path, before))
            put = Put(path=way, data=marked_as(path, text), seen=seen)
        else:
            put = Put(path=way, data=text, new=True)
        write_together(folder, [put])
    return value


def add_table(document: Any, kind: str, **values: object) -> None:
    """Add a table of a kind at the end of its array; values that are empty are left out."""
    import tomlkit

    if kind not in document:
        document.append(kind, tomlkit.aot())
    table = tomlkit.table()
    for key, value in values.items():
        if value not in ("", None):
            table[key] = value
    table.add(tomlkit.nl())
    document[kind].append(table)


def drop_table(document: Any, kind: str, number: int) -> None:
    """Take one table of an array out, by its number from 0."""
    del document[kind][number]
    if not document[kind]:
        document.pop(kind)
