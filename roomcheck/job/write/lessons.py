"""The [[lesson]] tables of a shop's file: written, and taken out again."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

from roomcheck.job.model.shop import AtScatter, Lesson
from roomcheck.job.read.learned import LESSON_SCHEMA
from roomcheck.job.read.shop_file import DEFAULT, shop_path
from roomcheck.job.store.lock import holding
from roomcheck.job.store.together import Put, digest_of, write_together
from roomcheck.job.toml.disk import marked_as, read_text
from roomcheck.job.write.shop_copy import taken_along

_ABOUT = (
    (
        "What a verified job taught: written by `roomcheck verify JOB --learn`, taken out by "
        "`--unlearn`. off, spread, model, away and"
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
    path = lesson_path(folder)
    with holding(path.parent):
        if path.exists():
            return _put(path, [], read_text(path), lesson.job, lesson)
        text, logo = taken_along(shop_path(folder) or DEFAULT, path.parent)
        return _put(path, logo, text, lesson.job, lesson)


def drop_lesson(folder: Path, job: str) -> bool:
    """Take a job's lesson out of the shop's file; False where there was none."""
    path = lesson_path(folder)
    if not path.is_file():
        return False
    with holding(path.parent):
        text = read_text(path)
        known = tomllib.loads(text).get("lesson", [])
        if all(table.get("job") != job for table in known):
            return False
        _put(path, [], text, job, None)
    return True


def _put(path: Path, new: list[Put], text: str, job: str, lesson: Lesson | None) -> Path:
    """Write a shop's file with this lesson of a job in place of what the job taught before."""
    import tomlkit

    document: Any = tomlkit.parse(text)
    tables = [table for table in document.get("lesson", []) if table.get("job") != job]
    tables += [] if lesson is None else [_table(lesson)]
    document.pop("lesson", None)
    if tables:
        array = tomlkit.aot()
        for table in tables:
            array.append(table)
        document.add("lesson", array)
    after = tomlkit.dumps(document).rstrip("\n") + "\n"
    seen = digest_of(marked_as(path, text)) if path.exists() else None
    data = marked_as(path, after) if path.exists() else after
    shop = Put(path=path.name, data=data, new=not path.exists(), seen=seen)
    write_together(path.parent, [*new, shop])
    return path


def _table(lesson: Lesson) -> Any:
    import tomlkit

    table = tomlkit.table()
    for line in _ABOUT:
        table.add(tomlkit.comment(line))
    for key, value in _plain(lesson).items():
        table.add(key, value)
    return table


def _plain(lesson: Lesson) -> dict[str, Any]:
    return {
        "schema": LESSON_SCHEMA,
        "job": lesson.job,
        "day": lesson.day,
        "bands_hz": list(lesson.bands_hz),
        "off": _rounded(lesson.off),
        "spread": _rounded(lesson.spread),
        **({"model": _rounded(lesson.model)} if lesson.model else {}),
        "shares": [
            {
                "piece": s.piece,
                "count": s.count,
                "pull": _rounded(s.pull),
                "prior": _rounded(s.prior),
            }
            for s in lesson.shares
        ],
        **(
            {"scatters": [_plain_case(case) for case in lesson.scatters]} if lesson.scatters else {}
        ),
    }


def _plain_case(case: AtScatter) -> dict[str, Any]:
    return {
        "scatter": round(case.scatter, 5),
        "weight": max(round(case.weight, 7), 1e-7),
        "away": _rounded(case.away),
        "spread": _rounded(case.spread),
        "model": _rounded(case.model),
    }


def _rounded(values: tuple[float, ...]) -> list[float]:
    return [round(value, 5) for value in values]
