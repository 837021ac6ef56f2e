"""The jobs that one server shows: those of one folder, by their names, and nothing else."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from roomcheck.errors import RoomcheckError
from roomcheck.job import Job, load_job

FILE = "job.toml"
MOST = 500
"""So many jobs of one folder are listed."""


class NotHere(RoomcheckError):
    """A name that no job of the folder has."""

    def __init__(self, name: str) -> None:
        super().__init__(f"there is no job {name!r} here; go back to the list of jobs")


@dataclass(frozen=True, slots=True)
class Shown:
    """One job in the list."""

    name: str
    """Of its folder."""
    job: Job | None
    """None where its files have mistakes."""
    problem: str = ""
    """What those are."""


@dataclass(frozen=True)
class Folder:
    """A job's folder, or a folder that holds jobs."""

    path: Path

    @property
    def single(self) -> bool:
        """Whether the folder is a job itself."""
        return (self.path / FILE).is_file()

    def names(self) -> tuple[str, ...]:
        """Names of the folders that hold a job, in their order."""
        if self.single:
            return (self.path.name,)
        inside = sorted(self.path.glob(f"*/{FILE}"))[:MOST]
        return tuple(path.parent.name for path in inside if path.is_file())

    def of(self, name: str) -> Path:
        """The folder of a job.

        Raises
        ------
        NotHere
            No job of the list has this name: nothing outside the list is ever opened.
        """
        if name not in self.names():
            raise NotHere(name)
        return self.path if self.single else self.path / name

    def shown(self) -> tuple[Shown, ...]:
        """Every job of the list, with what is wrong where one cannot be read."""
        return tuple(self._shown(name) for name in self.names())

    def _shown(self, name: str) -> Shown:
        try:
            return Shown(name, load_job(self.of(name)))
        except RoomcheckError as problem:
            return Shown(name, None, str(problem))
