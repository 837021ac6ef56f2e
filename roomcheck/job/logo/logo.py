"""The shop's own logo: a file beside its shop.toml."""

from __future__ import annotations

from pathlib import Path

from roomcheck.job.logo.png import problem_of_png
from roomcheck.job.logo.svg import NotDrawn, safe_svg
from roomcheck.job.toml.reader import TomlTable
from roomcheck.job.toml.regular import NoRegularFile, read_regular
from roomcheck.job.toml.values import shown

MOST_BYTES = 300_000
"""So that pages stay small."""


def read_logo(about: TomlTable, folder: Path) -> Path | None:
    """The logo that `logo = "mark.svg"` names, looked at but not drawn; None where none is
    named."""
    if not about.has("logo"):
        about.raw("logo")
        return None
    name = about.text("logo", example="mark.svg")
    if not name:
        return None
    path = folder / name
    wrong = _wrong(path, folder)
    if wrong:
        about.note("logo", f"`logo` is {shown(name)}: {wrong}")
        return None
    return path


def logo_data(path: Path) -> bytes:
    """The logo as pages carry it: a PNG as it is, an SVG with what the typesetter draws alone.

    Raises
    ------
    NoRegularFile, NotDrawn
        What `read_logo` would have noted.
    """
    data = read_regular(path, MOST_BYTES)
    if path.suffix.lower() == ".svg":
        return safe_svg(data)
    problem = problem_of_png(data)
    if problem:
        raise NotDrawn(problem)
    return data


def _wrong(path: Path, folder: Path) -> str:
    if path.suffix.lower() not in (".svg", ".png"):
        return "it must be an .svg or a .png file"
    try:
        beside = path.resolve().is_relative_to(folder.resolve())
    except (OSError, RuntimeError, ValueError):
        beside = False
    if not beside:
        return "it must lie beside shop.toml, or in a folder there"
    try:
        logo_data(path)
    except NoRegularFile as problem:
        if problem.missing:
            return f"there is no such file in {path.parent}; put it beside shop.toml"
        return problem.why
    except NotDrawn as problem:
        return f"{problem}"
    return ""
