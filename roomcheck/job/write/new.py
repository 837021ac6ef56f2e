"""A new job's file: commented, and ready to be filled in."""

from __future__ import annotations

import json
import re
from pathlib import Path

from roomcheck.errors import Mistakes, RoomcheckError
from roomcheck.job.model.job import SCHEMA, Job, Paper, Units
from roomcheck.job.read.load import load_job
from roomcheck.job.store.lock import holding
from roomcheck.job.store.together import Put, write_together
from roomcheck.job.toml.disk import make_folder
from roomcheck.job.toml.values import length_of, meant, shown
from roomcheck.units import format_length

TEMPLATE = Path(__file__).parents[1] / "new.toml"

DEFAULT_MATERIALS = {
    "walls": "gypsum board on studs",
    "floor": "thin carpet on concrete",
    "ceiling": "gypsum board on studs",
}


class JobIsThere(RoomcheckError):
    """A job that would have been written over."""

    def __init__(self, path: Path) -> None:
        self.path = path
        super().__init__(
            f"{path} is there already and is never overwritten; name another folder, or edit "
            "that file"
        )


def new_job(
    folder: Path | str,
    *,
    length: str,
    width: str,
    height: str,
    use: str,
    client: str,
    title: str,
    complaint: str = "",
    units: Units | None = None,
    paper: Paper | None = None,
    currency: str = "$",
    walls: str = DEFAULT_MATERIALS["walls"],
    floor: str = DEFAULT_MATERIALS["floor"],
    ceiling: str = DEFAULT_MATERIALS["ceiling"],
) -> Job:
    """Make a job folder with a commented job.toml.

    Parameters
    ----------
    folder : Path or str
        Made where it is missing; may hold other files, but no job.toml.
    length, width, height : str
        The room, as a person types a length: "14' 6\\"", "4.42 m". Written as typed.
    use : str
        Key of the room's use, which chooses the target.
    client, title, complaint : str
    units : "imperial" or "metric", optional
        How pages show lengths; as `length` is typed where left out.
    paper : "letter" or "a4", optional
        Letter for imperial units, A4 for metric, where left out.
    currency : str
    walls, floor, ceiling : str
        Keys of the materials table.

    Returns
    -------
    Job
        Read back from the file.

    Raises
    ------
    JobIsThere
        The folder holds a job.toml.
    Mistakes
        Everything that is wrong in the arguments.
    CannotWrite
        The folder cannot be made or written.
    """
    path = Path(folder) / "job.toml"
    if path.exists():
        raise JobIsThere(path)
    sizes = {"length": length, "width": width, "height": height}
    materials = {"walls": walls, "floor": floor, "ceiling": ceiling}
    _check(
        sizes,
        materials,
        use,
        {"client": client, "title": title, "complaint": complaint, "currency": currency},
    )
    units = units or units_of(length)
    texts = {
        **sizes,
        **materials,
        "use": use,
        "client": client,
        "title": title,
        "complaint": complaint,
    }
    texts |= {
        "units": units,
        "paper": paper or ("letter" if units == "imperial" else "a4"),
        "currency": currency,
    }
    make_folder(path.parent)
    with holding(path.parent):
        if path.exists():
            raise JobIsThere(path)
        write_together(path.parent, [Put(path=path.name, data=_filled(texts, units), new=True)])
    return load_job(folder)


def units_of(length: str) -> Units:
    """What a length is typed in.

    >>> units_of("14' 6\\""), units_of("442 cm")
    ('imperial', 'metric')
    """
    return "metric" if length.strip().lower().endswith("m") else "imperial"


def problem_of(field: str, value: str) -> str | None:
    """What is wrong with one answer; None where nothing is."""
    from roomcheck.materials import MATERIALS
    from roomcheck.standards import USES

    if field in ("length", "width", "height"):
        found = length_of(value)
        if isinstance(found, str):
            return found
        return None if 0 < found <= 200 else f"{shown(value)} is no size of a room"
    if field in ("walls", "floor", "ceiling"):
        flat = [key for key, row in MATERIALS.items() if not row.per_piece]
        near = f"{meant(value, flat, show=6)}; all of them: roomcheck list materials"
        return None if value in flat else f"{shown(value)} is no material of the table; {near}"
    if field == "use":
        near = f"{meant(value, USES, show=8)}; all of them: roomcheck list uses"
        return None if value in USES else f"{shown(value)} is no known use; {near}"
    if field in ("client", "title", "currency") and not value.strip():
        return "it must not be blank"
    return None if value.isprintable() else f"{shown(value)} holds signs that cannot be printed"


def _check(
    sizes: dict[str, str], materials: dict[str, str], use: str, words: dict[str, str]
) -> None:
    answers = {**sizes, **materials, "use": use, **words}
    found = {field: problem_of(field, value) for field, value in answers.items()}
    wrong = tuple(f"{field}: {problem}" for field, problem in found.items() if problem)
    if wrong:
        raise Mistakes("the new job", wrong)


def _filled(texts: dict[str, str], units: Units) -> str:
    """The template with its blanks filled: `«key»` is a text, `«x 1.2»` so many metres in the job's
    units."""

    def fill(blank: re.Match[str]) -> str:
        name = blank[1]
        if name.startswith("x "):
            return quoted(format_length(float(name[2:]), units))
        return {"schema": str(SCHEMA), "uses": _uses()}.get(name) or quoted(texts[name])

    return re.sub("«(.*?)»", fill, TEMPLATE.read_text(encoding="utf-8"))


def _uses() -> str:
    from roomcheck.standards import USES

    return "\n".join(f"#   {quoted(key)}: {what}" for key, what in USES.items())


def quoted(text: str) -> str:
    r"""A text as TOML writes it.

    >>> print(quoted("14' 6\""))
    "14' 6\""
    """
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")
