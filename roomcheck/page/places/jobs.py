"""The list of jobs, and a new one from a few answers."""

from __future__ import annotations

import contextlib
import re
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from roomcheck.errors import Mistakes, RoomcheckError
from roomcheck.job import (
    Job,
    Tick,
    check_job,
    has_takes,
    new_job,
    read_done,
    read_signed,
    signed_path,
)
from roomcheck.page.base.folder import Folder, Shown
from roomcheck.report import room_thumb

STEPS = {
    "measure": ("room", "Type the room and its places"),
    "analyse": ("visit", "Measure it"),
    "recommend": ("findings", "See what is wrong"),
}
"""Where a job stands that is not ready for a stage yet: the place, and what is done there."""

BUILT = ("shop", "Build it")
HUNG = ("hanging", "Hang it")
SIGNED = ("proof", "Measure again")
MENDED = ("room", "Put its files right")
AFTER = ("proof", "See whether the promise is kept")
OFFERED = ("offer", "Have the offer signed")


@dataclass(frozen=True, slots=True)
class Listed:
    """One job of the list."""

    name: str
    title: str
    client: str
    sketch: str
    next_place: str
    next_step: str
    problem: str = ""


def listed(folder: Folder) -> tuple[Listed, ...]:
    """Every job with its small drawing and its next step."""
    return tuple(_listed(shown) for shown in folder.shown())


def _listed(shown: Shown) -> Listed:
    job = shown.job
    if job is None:
        return Listed(shown.name, shown.name, "", "", *MENDED, shown.problem)
    sketch = room_thumb(job)
    try:
        return Listed(shown.name, job.title, job.client, sketch, *next_step(job))
    except RoomcheckError as problem:  # what was signed cannot be read
        return Listed(shown.name, job.title, job.client, sketch, *MENDED, str(problem))


def next_step(job: Job) -> tuple[str, str]:
    """The place where the job goes on, and what is done there."""
    for stage in check_job(job):
        if not stage.ready and stage.stage in STEPS:
            return STEPS[stage.stage]
    if signed_path(job.folder).exists():
        return AFTER if has_takes(job.folder, "after") else _made(job)
    if _looked_at(job, "offer"):
        return OFFERED
    return ("plan", "Choose a plan") if _looked_at(job, "verdict") else STEPS["recommend"]


def _looked_at(job: Job, result: str) -> bool:
    """Whether somebody has asked for a result: then what comes after it is next."""
    return (job.folder / "results" / f"{result}.json").is_file()


def _made(job: Job) -> tuple[str, str]:
    """What comes next of what is signed: build until something is loaded, hang until all hangs."""
    signed, ticks = read_signed(job.folder), tuple[Tick, ...]()
    with contextlib.suppress(RoomcheckError):  # a damaged list of ticks hides no other page
        ticks = read_done(job.folder).ticks
    pieces = () if signed is None else signed.plain.get("plan", {}).get("pieces", ())
    hung = {tick.item.partition(",")[0] for tick in ticks if tick.list == "hung"}
    if pieces and {str(piece.get("name")) for piece in pieces} <= hung:
        return SIGNED
    return HUNG if any(tick.list in ("van", "cleat", "hung") for tick in ticks) else BUILT


class NewJobMistakes(RoomcheckError):
    """What is wrong in the answers for a new job, by their field."""

    def __init__(self, problems: Mapping[str, str]) -> None:
        self.problems = dict(problems)
        super().__init__("; ".join(f"{key}: {text}" for key, text in problems.items()))


def make_job(folder: Path, form: Mapping[str, str]) -> str:
    """Make a job's folder from a form; return its name.

    Raises
    ------
    NewJobMistakes
    RoomcheckError
        The folder cannot be written.
    """
    answers = {
        key: form.get(key, "").strip()
        for key in ("title", "client", "use", "length", "width", "height", "complaint")
    }
    name = _free_name(folder, answers["title"])
    try:
        new_job(folder / name, **answers)  # type: ignore[arg-type]
    except Mistakes as problem:
        pairs = (item.partition(": ") for item in problem.items)
        raise NewJobMistakes({field: text for field, _, text in pairs}) from problem
    return name


def _free_name(folder: Path, title: str) -> str:
    """A folder's name out of the room's, that nothing has yet.

    >>> _free_name(Path("/nowhere"), "Café: front room")
    'cafe-front-room'
    """
    import unicodedata

    plain = unicodedata.normalize("NFKD", title).encode("ascii", "ignore").decode()
    name = re.sub(r"[^a-z0-9]+", "-", plain.lower()).strip("-")[:60] or "room"
    number, free = 2, name
    while (folder / free).exists():
        free = f"{name}-{number}"
        number += 1
    return free
