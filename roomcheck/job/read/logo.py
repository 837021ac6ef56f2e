"""The shop's own logo: a file beside its shop.toml."""

from __future__ import annotations

from pathlib import Path

from roomcheck.job.toml.reader import TomlTable
from roomcheck.job.toml.values import shown

MOST_BYTES = 300_000
_STARTS = {".png": b"\x89PNG\r\n\x1a\n", ".svg": b""}


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
    wrong = _wrong(path)
    if wrong:
        about.note("logo", f"`logo` is {shown(name)}: {wrong}")
        return None
    return path


def _wrong(path: Path) -> str:
    start = _STARTS.get(path.suffix.lower())
    if start is None:
        return "it must be an .svg or a .png file"
    try:
        data = path.read_bytes()
    except (OSError, ValueError):
        return f"there is no such file in {path.parent}; put it beside shop.toml"
    if len(data) > MOST_BYTES:
        return (
            f"the file has {len(data) // 1000} kB; {MOST_BYTES // 1000} kB at most, so that pages "
            "stay small"
        )
    if not data.startswith(start) or (path.suffix.lower() == ".svg" and b"<svg" not in data):
        return f"the file is no {path.suffix[1:].upper()} picture"
    return ""
