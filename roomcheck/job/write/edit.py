"""One value of job.toml set, one thing added or taken out; comments and order stay."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from roomcheck.errors import RoomcheckError
from roomcheck.job.model.job import SCHEMA, Job
from roomcheck.job.read.load import job_from, job_path
from roomcheck.job.store.lock import holding
from roomcheck.job.toml.disk import read_text
from roomcheck.job.toml.document import TomlFile
from roomcheck.job.toml.values import meant, shown
from roomcheck.job.write.amend import ends_as, written

Way = tuple[str, ...]
"""Keys from the file's top to a value: ("room", "height"), ("patch", "window", "left"). One of
several tables of a kind is named by its `name`, by its `face`, or by its number from 1."""

Value = str | Sequence[Any] | Mapping[str, Any] | None

_WHOLE = ("people", "people_in_use", "sure_pct", "pairs_after")
_NUMBERS = ("amount",)
_FLAGS = ("opening", "turned", "taken")
_SEVERAL = (
    "patch",
    "keep_clear",
    "framing",
    "fixing",
    "furnishing",
    "source",
    "microphone",
    "visit",
    "pin",
    "forbid",
    "look",
    "extra",
)


class NoSuchEntry(RoomcheckError):
    """A way that leads to nothing in the job's file."""

    def __init__(self, way: Way, known: Sequence[str]) -> None:
        self.way = way
        have = meant(way[1], list(known)) if known else f"the job has no [[{way[0]}]] yet"
        super().__init__(f"{'.'.join(way)}: there is no [[{way[0]}]] {shown(way[1])}; {have}")


class ChangedMeanwhile(RoomcheckError):
    """A value that somebody else changed since it was looked at."""

    def __init__(self, way: Way, was: str, now: str) -> None:
        self.way, self.was, self.now = way, was, now
        super().__init__(
            f"{'.'.join(way)} was changed meanwhile: it was {shown(was)} and is {shown(now)} now; "
            "nothing was written. Look at it again, then change it if it still needs to be."
        )


@dataclass(frozen=True, slots=True)
class Edit:
    """One change of the job's file."""

    way: Way
    value: Value
    """Text as a person types it; a list as TOML has it; a mapping adds a table of the kind that
    the way names; None takes the value or the table out."""
    was: str | None = None
    """What the value was when it was looked at; None where nobody looked."""


def edit_job(folder: Path | str, edits: Sequence[Edit]) -> Job:
    """Change job.toml, all edits or none.

    Parameters
    ----------
    folder : Path or str
    edits : sequence of Edit
        Applied in their order; what comes out is checked once, at the end.

    Returns
    -------
    Job
        As it now stands in the file.

    Raises
    ------
    FileMistakes
        What would come out has mistakes: nothing is written then.
    ChangedMeanwhile
        A value is no longer what it was: nothing is written.
    NoSuchEntry
        A way leads to no table.
    CannotRead, CannotWrite, NewerFile, NoJob
        The file.
    """
    path = job_path(Path(folder))
    with holding(path.parent):
        return written(path, *_edited(path, edits))


def edited_job(folder: Path | str, edits: Sequence[Edit]) -> Job:
    """Return the job as `edit_job` would leave it; nothing is written.

    Raises
    ------
    FileMistakes
        What would come out has mistakes.
    NoSuchEntry, CannotRead, NewerFile, NoJob
    """
    path = job_path(Path(folder))
    _, text = _edited(path, edits)
    return job_from(TomlFile.parse(text, path), path.parent)


def _edited(path: Path, edits: Sequence[Edit]) -> tuple[str, str]:
    """The file's text now, and with these edits."""
    import tomlkit

    TomlFile.read(path, SCHEMA)
    before = read_text(path)
    document: Any = tomlkit.parse(before)
    for edit in edits:
        _apply(document, edit)
    return before, ends_as(before, tomlkit.dumps(document))


def file_values(folder: Path | str) -> dict[str, Any]:
    """All that stands in job.toml, as it is spelt there.

    Raises
    ------
    FileMistakes
        It is no TOML.
    CannotRead, NewerFile, NoJob
    """
    return TomlFile.read(job_path(Path(folder)), SCHEMA).data


def value_at(folder: Path | str, way: Way) -> str | None:
    """The value as the file spells it; None where there is none.

    Raises
    ------
    NoSuchEntry, CannotRead, NewerFile, NoJob
    """
    holder: Any = file_values(folder)
    for step in _keys(holder, way)[:-1]:
        holder = holder[step] if isinstance(step, int) else holder.get(step, {})
    return spelt(holder.get(way[-1])) if isinstance(holder, Mapping) else None


def spelt(value: Any) -> str | None:
    """A value as a person would type it into a field.

    >>> spelt("12 ft"), spelt(True), spelt(3), spelt(None)
    ('12 ft', 'true', '3', None)
    """
    if value is None:
        return None
    if isinstance(value, bool):
        return str(value).lower()
    return str(value)


def _apply(document: Any, edit: Edit) -> None:
    if isinstance(edit.value, Mapping):
        _add(document, edit.way[0], edit.value)
        return
    keys = _keys(document, edit.way)
    if edit.value is None and len(edit.way) == 2 and edit.way[0] in _SEVERAL:
        del document[keys[0]][keys[1]]
        if not document[keys[0]]:  # an empty list would take the place of the next [[table]]
            del document[keys[0]]
        return
    holder = document
    for step in keys[:-1]:
        if not isinstance(step, int) and step not in holder:
            holder[step] = {}
        holder = holder[step]
    _set(holder, edit)


def _set(holder: Any, edit: Edit) -> None:
    key = edit.way[-1]
    now = spelt(holder.get(key)) or ""
    if edit.was is not None and edit.was != now:
        raise ChangedMeanwhile(edit.way, edit.was, now)
    if edit.value is None:
        holder.pop(key, None)
        return
    value = typed(key, edit.value) if isinstance(edit.value, str) else edit.value
    if spelt(value) != now or key not in holder:
        holder[key] = value


def typed(key: str, text: str) -> Any:
    """A text in the type that the file keeps under this key; left as text where it does not fit, so
    that reading the file says what is wrong with it.

    >>> typed("people", "3"), typed("opening", "yes"), typed("people", "few")
    (3, True, 'few')
    """
    stripped = text.strip()
    if key in _WHOLE and stripped.isascii() and stripped.isdecimal():
        return int(stripped)
    if key in _NUMBERS:
        try:
            return float(stripped)
        except ValueError:
            return text
    if key in _FLAGS:
        return {"true": True, "yes": True, "on": True, "false": False, "no": False, "": False}.get(
            stripped.lower(), text
        )
    return text


def _keys(document: Any, way: Way) -> list[str | int]:
    """The way with names of tables replaced by their numbers, from 0."""
    if not way or way[0] not in _SEVERAL or len(way) < 2:
        return list(way)
    tables = document.get(way[0], [])
    names = [str(table.get("name", table.get("face", ""))) for table in tables]
    if way[1] in names:
        return [way[0], names.index(way[1]), *way[2:]]
    if way[1].isascii() and way[1].isdecimal() and 1 <= int(way[1]) <= len(names):
        return [way[0], int(way[1]) - 1, *way[2:]]
    raise NoSuchEntry(way, names)


def _add(document: Any, kind: str, values: Mapping[str, Any]) -> None:
    import tomlkit

    if not document.get(kind):
        document.pop(kind, None)
        document.append(kind, tomlkit.aot())
    table = tomlkit.table()
    for key, value in values.items():
        table[key] = typed(key, value) if isinstance(value, str) else value
    table.add(tomlkit.nl())
    document[kind].append(table)
