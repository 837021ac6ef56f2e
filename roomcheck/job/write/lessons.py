"""The [[lesson]] tables of a shop's file: written, and taken out again."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from roomcheck.job.model.shop import Lesson
from roomcheck.job.read.shop_file import DEFAULT, shop_path
from roomcheck.job.toml.disk import read_text, write_atomically

_ABOUT = (
    (
        "What a verified job taught: written by `roomcheck verify JOB --learn`, taken out by "
        "`--unlearn`. off, spread and"
    ),
    "prior are natural logarithms; pull is how the decay moves with the piece's absorption.",
)


def lesson_path(folder: Path) -> Path:
    """The shop's file that learns: the one in the folder above the job, which serves all jobs
    there."""
    return folder.absolute().parent / "shop.toml"


def keep_lesson(folder: Path, lesson: Lesson) -> Path:
    """Write what a job taught into the shop's file; a lesson of the same job is replaced.

    Where no shop's file lies in the folder above the job, the one that serves the job is copied
    there first.

    Raises
    ------
    CannotRead, CannotWrite, FileMistakes
        The files; nothing is half written.
    """
    import tomlkit

    path = lesson_path(folder)
    source = path if path.is_file() else shop_path(folder) or DEFAULT
    document = tomlkit.parse(read_text(source))
    logo = document.get("shop", {}).get("logo")
    if isinstance(logo, str) and source != path and not (path.parent / logo).exists():
        write_atomically(path.parent / logo, (source.parent / logo).read_bytes())
    tables = _others(document, lesson.job)
    table = tomlkit.table()
    for line in _ABOUT:
        table.add(tomlkit.comment(line))
    for key, value in _plain(lesson).items():
        table.add(key, value)
    tables.append(table)
    _put(path, document, tables)
    return path


def drop_lesson(folder: Path, job: str) -> bool:
    """Take a job's lesson out of the shop's file; False where there was none."""
    import tomlkit

    path = lesson_path(folder)
    if not path.is_file():
        return False
    document = tomlkit.parse(read_text(path))
    before = len(document.get("lesson", []))
    tables = _others(document, job)
    if len(tables) == before:
        return False
    _put(path, document, tables)
    return True


def _others(document: Any, job: str) -> list[Any]:
    return [table for table in document.get("lesson", []) if table.get("job") != job]


def _put(path: Path, document: Any, tables: list[Any]) -> None:
    import tomlkit

    document.pop("lesson", None)
    if tables:
        array = tomlkit.aot()
        for table in tables:
            array.append(table)
        document.add("lesson", array)
    write_atomically(path, tomlkit.dumps(document).rstrip("\n") + "\n")


def _plain(lesson: Lesson) -> dict[str, Any]:
    def rounded(values: tuple[float, ...]) -> list[float]:
        return [round(value, 5) for value in values]

    return {
        "job": lesson.job,
        "day": lesson.day,
        "bands_hz": list(lesson.bands_hz),
        "off": rounded(lesson.off),
        "spread": rounded(lesson.spread),
        "shares": [
            {"piece": s.piece, "count": s.count, "pull": rounded(s.pull), "prior": rounded(s.prior)}
            for s in lesson.shares
        ],
    }
