"""Changing a person's job.toml: what is set changes, every other byte stays."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from decimal import Decimal
from pathlib import Path
from typing import Any

from roomcheck.job.model.job import SCHEMA, Forbid, Job, Pin, Position, Units, Visit
from roomcheck.job.read.load import job_from, job_path, load_job
from roomcheck.job.read.pins import AREA
from roomcheck.job.store.lock import holding
from roomcheck.job.toml.disk import read_text
from roomcheck.job.toml.document import TomlFile
from roomcheck.job.write.history import replace_job
from roomcheck.typed import TypedError, parse_length, parse_percent, parse_temperature
from roomcheck.units import format_length


def amend_job(
    folder: Path | str,
    *,
    values: Mapping[str, str | bool | int] | None = None,
    visits: Sequence[Visit] = (),
    sources: Sequence[Position] = (),
    microphones: Sequence[Position] = (),
) -> Job:
    """Change a job's file, keeping the person's comments, order and spelling everywhere else.

    Parameters
    ----------
    folder : Path or str
        The job folder.
    values : mapping, optional
        From a key to its new value, tables by dots: `{"budget": "4200", "client.name": "Client
        A"}`.
    visits : sequence of Visit
        Set the conditions of a visit; one that is not there yet is added.
    sources, microphones : sequence of Position
        Set a position; one that is not there yet is added. Lengths are written in the job's own
        units.

    Returns
    -------
    Job
        As it now stands in the file.

    Raises
    ------
    FileMistakes
        What would come out has mistakes: nothing is written then.
    CannotRead, CannotWrite, NewerFile, NoJob
        The file.

    Notes
    -----
    The new text is read back and checked before it takes the old file's place, in one step.
    """
    path = job_path(Path(folder))
    with holding(path.parent):
        TomlFile.read(path, SCHEMA)
        before = read_text(path)
        positions = {"source": sources, "microphone": microphones}
        return written(path, before, _amended(before, values or {}, visits, positions))


def written(path: Path, before: str, text: str) -> Job:
    """Check a job file's new text and put it in the old one's place, which goes to `history/`."""
    job = job_from(TomlFile.parse(text, path), path.parent)
    if text != before:
        replace_job(path, before, text)
    return job


def keep_changes(folder: Path | str, pins: Sequence[Pin], forbids: Sequence[Forbid]) -> Job:
    """Add changes by hand to those that stand in the job's file; every other byte stays.

    Raises
    ------
    FileMistakes
        What would come out has mistakes: nothing is written then.
    CannotRead, CannotWrite, NewerFile, NoJob
        The file.
    """
    with holding(job_path(Path(folder)).parent):
        job = load_job(folder)
        return _with_changes(job, (*job.pins, *pins), (*job.forbids, *forbids))


def clear_changes(folder: Path | str) -> Job:
    """Take every change by hand out of the job's file; every other byte stays.

    Raises
    ------
    CannotRead, CannotWrite, NewerFile, NoJob
        The file.
    """
    with holding(job_path(Path(folder)).parent):
        return _with_changes(load_job(folder), (), ())


def _with_changes(job: Job, pins: Sequence[Pin], forbids: Sequence[Forbid]) -> Job:
    import tomlkit

    path = job_path(job.folder)
    before = read_text(path)
    document: Any = tomlkit.parse(before)
    for key, tables in (
        ("pin", [_pin(job, p) for p in pins]),
        ("forbid", [_forbid(job, f) for f in forbids]),
    ):
        if key in document:
            document.remove(key)
        if tables:
            document.append(key, tomlkit.aot())
        for values in tables:
            table = tomlkit.table()
            table.update(values)
            table.add(tomlkit.nl())
            document[key].append(table)
    return written(path, before, ends_as(before, tomlkit.dumps(document)))


def ends_as(before: str, text: str) -> str:
    """The text with the line ends that the file had."""
    return text.replace("\r\n", "\n").replace("\n", "\r\n") if "\r\n" in before else text


def _pin(job: Job, pin: Pin) -> dict[str, Any]:
    own = job.shop.piece(pin.piece)
    found: dict[str, Any] = {"piece": pin.piece, "face": pin.face}
    found |= {"left": _spelt(pin.place.u_m, job.units), "bottom": _spelt(pin.place.v_m, job.units)}
    return found | ({"turned": True} if abs(pin.place.width_m - own.width_m) > 1e-3 else {})


def _forbid(job: Job, forbid: Forbid) -> dict[str, Any]:
    found: dict[str, Any] = {
        key: word for key, word in (("piece", forbid.piece), ("face", forbid.face)) if word
    }
    r = forbid.place
    sizes = () if r is None else (r.u_m, r.v_m, r.width_m, r.height_m)
    return found | {key: _spelt(size, job.units) for key, size in zip(AREA, sizes, strict=False)}


def _amended(
    before: str,
    values: Mapping[str, str | bool | int],
    visits: Sequence[Visit],
    positions: Mapping[str, Sequence[Position]],
) -> str:
    import tomlkit

    document = tomlkit.parse(before)
    units: Units = "metric" if document.get("units") == "metric" else "imperial"
    for way, value in values.items():
        *tables, key = way.split(".")
        inner: Any = document
        for name in tables:
            if name not in inner:
                inner[name] = tomlkit.table()
            inner = inner[name]
        _set(inner, key, value)
    for visit in visits:
        _put_visit(document, visit, units)
    for kind, places in positions.items():
        for position in places:
            _put_position(document, kind, position, units)
    text = tomlkit.dumps(document)
    return ends_as(before, text)


def _put_visit(document: Any, visit: Visit, units: Units) -> None:
    table = _named(document, "visit", visit.name)
    _set(table, "date", visit.date)
    fahrenheit = visit.temperature_c * 9 / 5 + 32
    degrees = f"{fahrenheit:.4g} °F" if units == "imperial" else f"{visit.temperature_c:.4g} °C"
    _set_unless_near(table, "temperature", degrees, visit.temperature_c, parse_temperature)
    _set_unless_near(
        table, "humidity", f"{visit.humidity_pct:.4g} %", visit.humidity_pct, parse_percent
    )
    _set(table, "people", visit.people)
    for key in ("doors", "hvac", "gain", "equipment", "notes", "settings"):
        if key in table or getattr(visit, key):
            _set(table, key, getattr(visit, key))


def _put_position(document: Any, kind: str, position: Position, units: Units) -> None:
    table = _named(document, kind, position.name)
    for axis, value_m in zip("xyz", position.point, strict=True):
        _set_unless_near(table, axis, _spelt(value_m, units), value_m, parse_length)


def _set_unless_near(
    table: Any, key: str, text: str, value: float, read: Callable[[Any], float | Decimal]
) -> None:
    """Set a value with a unit; one that means the same already stays as the person spelt it."""
    try:
        near = key in table and abs(float(read(str(table[key]))) - value) <= 1e-6
    except TypedError:
        near = False
    if not near:
        table[key] = text


def _named(document: Any, kind: str, name: str) -> Any:
    import tomlkit

    if kind not in document:
        document.append(kind, tomlkit.aot())
    for table in document[kind]:
        if table.get("name") == name:
            return table
    table = tomlkit.table()
    table.add("name", name)
    # The last table keeps its distance from what follows it.
    document[kind].append(table)
    return document[kind][-1]


def _set(table: Any, key: str, value: Any) -> None:
    """Set a value; one that is the same already stays as the person spelt it."""
    if key in table and _same(table[key], value):
        return
    table[key] = value


def _same(old: Any, new: Any) -> bool:
    return bool(type(getattr(old, "unwrap", lambda: old)()) is type(new) and old == new)


def _spelt(value_m: float, units: Units) -> str:
    """A length in the job's units; to a tenth of a millimetre where sixteenths would move it."""
    text = format_length(value_m, units)
    return text if abs(parse_length(text) - value_m) < 1e-4 else f"{value_m:.4f} m"
