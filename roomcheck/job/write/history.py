"""The job file as it was: a copy before every change, so that undo always works.

`history/` in the job's folder holds the last states of job.toml in their order; a small file beside
them says which of them stands in job.toml now. Nothing is thrown away by undoing: a change after an
undo goes to the end of the line, and undoing again comes past everything that was there.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path

from roomcheck.errors import RoomcheckError
from roomcheck.job.model.job import Job
from roomcheck.job.read.load import job_from, job_path
from roomcheck.job.store.lock import holding
from roomcheck.job.store.together import Put, digest_of, write_together
from roomcheck.job.toml.disk import marked_as, read_text
from roomcheck.job.toml.document import TomlFile

KEPT = 200
"""So many states are kept; older ones go."""


class NothingToUndo(RoomcheckError):
    """No earlier state, or no later one, is kept."""

    def __init__(self, folder: Path, which: str) -> None:
        self.folder = folder
        super().__init__(f"{folder}: no {which} state of job.toml is kept; nothing was changed")


@dataclass(frozen=True, slots=True)
class _Line:
    """The states in their order, and which of them stands now."""

    folder: Path
    numbers: tuple[int, ...]
    at: int
    fresh: Mapping[int, str] = field(default_factory=dict)
    """States that are not on the disk yet."""

    @classmethod
    def read(cls, folder: Path) -> _Line:
        """The line as the folder holds it; the newest state stands where nothing else is noted."""
        names = [path.stem for path in folder.glob("*.toml") if path.stem.isdecimal()]
        numbers = tuple(sorted(int(name) for name in names))
        newest = numbers[-1] if numbers else 0
        try:
            noted = (folder / "now").read_text("ascii").strip()
        except (OSError, UnicodeDecodeError):
            noted = ""
        at = int(noted) if noted.isdecimal() and int(noted) in numbers else newest
        return cls(folder, numbers, at)

    def path(self, number: int) -> Path:
        return self.folder / f"{number:06d}.toml"

    def text(self, number: int) -> str:
        """A state, from the folder or from what is about to be written there."""
        return self.fresh[number] if number in self.fresh else read_text(self.path(number))

    def stands(self, text: str) -> bool:
        """Whether the state noted as standing is this text."""
        return bool(self.numbers) and self.text(self.at) == text

    def append(self, text: str) -> _Line:
        """The line with one state more at its end, which stands now."""
        newest = self.numbers[-1] + 1 if self.numbers else 1
        fresh = {**self.fresh, newest: text}
        return replace(self, numbers=(*self.numbers, newest), at=newest, fresh=fresh)

    def puts(self) -> list[Put]:
        """The files that make the folder hold this line, for the step that changes job.toml."""
        states = [Put(path=f"history/{n:06d}.toml", data=text) for n, text in self.fresh.items()]
        old = [n for n in self.numbers[:-KEPT] if n not in self.fresh]
        gone = [Put(path=f"history/{number:06d}.toml", data=None) for number in old]
        return [*states, *gone, Put(path="history/now", data=str(self.at))]


def replace_job(path: Path, before: str, after: str) -> None:
    """Put a job file's new text in the old one's place, and both states into the history, in one
    step.

    Raises
    ------
    CannotWrite, FileChanged
    """
    line = _Line.read(path.parent / "history")
    if not line.stands(before) or line.at != line.numbers[-1]:
        line = line.append(before)
    _write(path, line.append(after), before, after)


def _write(path: Path, line: _Line, before: str, after: str) -> None:
    seen = digest_of(marked_as(path, before))
    job = Put(path=path.name, data=marked_as(path, after), seen=seen)
    write_together(path.parent, [*line.puts(), job])


def undo(folder: Path | str) -> Job:
    """Put job.toml back to the state before the last change.

    Returns
    -------
    Job
        As it stands again.

    Raises
    ------
    NothingToUndo
    FileMistakes
        The earlier state has mistakes, as somebody's own editor may leave them; nothing is changed.
    """
    return _step(Path(folder), -1, "earlier")


def redo(folder: Path | str) -> Job:
    """Take the last `undo` back.

    Raises
    ------
    NothingToUndo
    FileMistakes
    """
    return _step(Path(folder), 1, "later")


def can_undo(folder: Path) -> tuple[bool, bool]:
    """Whether an earlier state is kept, and whether a later one is."""
    line = _Line.read(folder / "history")
    if not line.numbers:
        return False, False
    place = line.numbers.index(line.at)
    return place > 0 or not line.stands(read_text(job_path(folder))), place + 1 < len(line.numbers)


def _step(folder: Path, way: int, which: str) -> Job:
    path = job_path(folder)
    with holding(folder):
        return _stepped(path, way, which)


def _stepped(path: Path, way: int, which: str) -> Job:
    line = _Line.read(path.parent / "history")
    now = read_text(path)
    if line.numbers and not line.stands(now):
        # Somebody's editor was here: what it left is a state like the others.
        line = line.append(now)
    place = line.numbers.index(line.at) + way if line.numbers else -1
    if not 0 <= place < len(line.numbers):
        raise NothingToUndo(path.parent, which)
    number = line.numbers[place]
    text = line.text(number)
    job = job_from(TomlFile.parse(text, path), path.parent)
    _write(path, replace(line, at=number), now, text)
    return job
