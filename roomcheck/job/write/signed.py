"""What was signed: written once, never changed."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

from roomcheck.errors import RoomcheckError
from roomcheck.job.toml.disk import CannotRead, make_folder, read_text, write_atomically

_HEAD = """\
# What was signed, as it was signed. roomcheck reads this file and never changes it; please do not
# either: the promise is held against these very numbers.

"""


class AlreadySigned(RoomcheckError):
    """An agreement that would have been written over."""

    def __init__(self, path: Path) -> None:
        self.path = path
        super().__init__(
            f"{path}: something is signed already, and what is signed is never overwritten. If "
            "the client signed "
            f'something new, move this file to another name first, such as "{path.stem}-old.toml".'
        )


def signed_path(folder: Path | str) -> Path:
    return Path(folder) / "signed" / "agreement.toml"


def read_signed(folder: Path | str) -> dict[str, Any] | None:
    """What was signed, as plain values; None where nothing is.

    Raises
    ------
    CannotRead
        The file is there and cannot be read.
    """
    path = signed_path(folder)
    if not path.exists():
        return None
    try:
        return tomllib.loads(read_text(path))
    except (ValueError, RecursionError) as problem:
        raise CannotRead(path, f"not TOML: {problem}; restore it from a copy") from problem


def write_signed(folder: Path | str, plain: dict[str, Any]) -> Path:
    """Keep what was signed, once.

    Parameters
    ----------
    folder : Path or str
        The job folder.
    plain : dict
        From `roomcheck.plain.to_plain`. TOML has no null: values that are None are left out, and
        `from_plain` puts them back.

    Returns
    -------
    Path
        The file written.

    Raises
    ------
    AlreadySigned
        Something is signed already; it stays as it is.
    CannotWrite
        The folder cannot be written.
    ValueError
        `plain` holds None inside a list, or what TOML cannot hold.
    """
    import tomlkit

    path = signed_path(folder)
    if path.exists():
        raise AlreadySigned(path)
    text = _HEAD + tomlkit.dumps(_without_none(plain, "plain"))
    make_folder(path.parent)
    write_atomically(path, text)
    return path


def read_changes(folder: Path | str) -> tuple[dict[str, Any], ...]:
    """Change orders as plain values, in the order of their numbers; none where none is signed.

    Raises
    ------
    CannotRead
        One is there and cannot be read.
    """
    found = []
    for path in sorted(signed_path(folder).parent.glob("change-*.toml")):
        try:
            found.append(tomllib.loads(read_text(path)))
        except (ValueError, RecursionError) as problem:
            raise CannotRead(path, f"not TOML: {problem}; restore it from a copy") from problem
    return tuple(sorted(found, key=lambda plain: int(plain.get("number", 0))))


def write_change(folder: Path | str, number: int, plain: dict[str, Any]) -> Path:
    """Keep a signed change order, once.

    Raises
    ------
    AlreadySigned
        One of that number is signed already.
    CannotWrite
        The folder cannot be written.
    """
    import tomlkit

    path = signed_path(folder).with_name(f"change-{number}.toml")
    if path.exists():
        raise AlreadySigned(path)
    make_folder(path.parent)
    write_atomically(path, _HEAD + tomlkit.dumps(_without_none(plain, "plain")))
    return path


def _without_none(plain: Any, where: str) -> Any:
    if isinstance(plain, dict):
        return {
            key: _without_none(item, f"{where}.{key}")
            for key, item in plain.items()
            if item is not None
        }
    if isinstance(plain, list | tuple):
        if any(item is None for item in plain):
            raise ValueError(f"{where} holds None in a list, which TOML cannot hold")
        return [_without_none(item, f"{where}[{i}]") for i, item in enumerate(plain)]
    return plain
