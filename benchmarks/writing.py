"""Every command that writes, on a job that is ready for it: what the campaigns on kills, full disks
and two at once run."""

from __future__ import annotations

import contextlib
import hashlib
import io
import os
import shutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from forked import Ended, in_fork
from injected import Injected
from roomcheck.cli import main
from roomcheck.demo import demo, recordings
from roomcheck.job import (
    Edit,
    Pin,
    amend_job,
    clear_changes,
    edit_job,
    keep_changes,
    keep_practice,
    load_job,
    undo,
)
from roomcheck.measure import keep_anyway

State = dict[str, str]
"""From a file's path to the digest of its content."""

NOT_COUNTED = (".roomcheck-lock", "results")
"""The lock itself, and results, which are made again at any time."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Command:
    """A command that writes."""

    name: str
    run: Callable[[Path, int], int | None]
    """Gets the folder that holds the jobs, and which of two variants; returns the exit code."""
    signed: bool = True
    """Whether it needs a job that is signed; False: one that is not."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Jobs:
    """A folder of jobs, laid out once and copied for every case."""

    folder: Path
    whole: bool
    """Whether every result is there, so that every command can run."""

    @contextlib.contextmanager
    def copied(self, signed: bool, to: Path) -> Iterator[Path]:
        """The folder once more, in no time: its files are links, which nothing may write into."""
        source = self.folder / ("signed" if signed else "unsigned")
        shutil.copytree(source, to, copy_function=os.link)
        try:
            yield to
        finally:
            shutil.rmtree(to)


def state_of(folder: Path) -> State:
    """What lies in a folder, results aside."""
    found = {}
    for path in sorted(folder.rglob("*")):
        way = path.relative_to(folder)
        if path.is_file() and not any(part in NOT_COUNTED for part in way.parts):
            found[way.as_posix()] = hashlib.sha256(path.read_bytes()).hexdigest()
    return found


def next_command(folder: Path, ending: Callable[[Path, int], Injected] | None = None) -> Ended:
    """What a person does next: looks whether everything is well; `ending` ends that, too."""

    def look() -> int:
        if ending is not None:
            ending(folder, 3).start()
        return max(main(["check", str(job)]) for job in sorted(folder.glob("job-*")))

    return in_fork(look)


def lay_out(folder: Path, *, whole: bool) -> Jobs:
    """Two jobs of the demo's room beside one shop file, signed and not.

    Parameters
    ----------
    folder : Path
    whole : bool
        Work everything out, some minutes; else commands that need results are left out.
    """
    from roomcheck.chain import open_job, pack

    laid = Jobs(folder=folder, whole=whole)
    if (folder / "laid out").exists():
        return laid
    shutil.rmtree(folder, ignore_errors=True)
    first = folder / "signed" / "job-a"
    first.parent.mkdir(parents=True)
    demo(first)
    amend_job(first, values={"people_in_use": 2})
    if whole:
        chain = open_job(first)
        _ = chain.verdict, chain.verification, chain.lesson, chain.sheet
    shutil.copytree(first, folder / "signed" / "job-b")
    if whole:
        _ = open_job(folder / "signed" / "job-b").lesson
    pack(folder / "signed" / "job-b", folder / "signed" / "b.zip", extent="without recordings")
    shutil.copy(first / "shop.toml", folder / "signed" / "shop.toml")
    shutil.copy(first / "mark.svg", folder / "signed" / "mark.svg")
    shutil.copytree(folder / "signed", folder / "unsigned")
    for job in (folder / "unsigned").glob("job-*"):
        shutil.rmtree(job / "signed")
        (job / "shop.toml").unlink()
        (job / "mark.svg").unlink()
    if whole:
        chain = open_job(folder / "unsigned" / "job-a")
        _ = chain.quotes, chain.quote
    for lock in folder.rglob(".roomcheck-lock"):
        lock.unlink()
    (folder / "laid out").touch()
    return laid


def quickened(jobs: Jobs, to: Path) -> None:
    """In this process, and those forked from it, listen to a recording once, and let documents hold
    what they are made of: the campaigns are about writing, and the typesetter, which works with
    threads, stands still in a fork of a process where it has worked. What `next_command` needs is
    imported once, too."""
    from roomcheck.measure.visit import takes
    from roomcheck.report.offer import bills

    _once(takes, "_heard", lambda audio, *_: audio.where.rpartition("/")[2])
    bills.pdf_of = lambda document, letterhead: repr((document, letterhead)).encode()
    with jobs.copied(signed=True, to=to) as folder, contextlib.redirect_stdout(io.StringIO()):
        main(["check", str(folder / "job-a")])


def _once(module: Any, name: str, key: Callable[..., str]) -> None:
    real, known = getattr(module, name), {}

    def call(*args: Any) -> Any:
        at = key(*args)
        if at not in known:
            known[at] = real(*args)
        return known[at]

    setattr(module, name, call)


def commands(jobs: Jobs) -> list[Command]:
    """Every command that can run on these jobs."""
    from roomcheck.demo.story_room import SWEEP
    from roomcheck.measure import add_recording

    sound = recordings() / "before"

    def add(folder: Path, variant: int) -> None:
        path = sound / f"S1-P{1 + variant}.flac"
        job = load_job(folder / "job-a")
        add_recording(job, path, visit="before", source="S1", microphone="P1", sweep=SWEEP)

    def quote(*options: str) -> Callable[[Path, int], int]:
        return lambda folder, variant: main(
            ["quote", str(folder / "job-a"), *(o.format(variant=variant) for o in options)]
        )

    def pin(folder: Path, variant: int) -> None:
        from roomcheck.geometry import Rectangle

        job = load_job(folder / "job-a")
        stock = job.shop.stock[0]
        place = Rectangle(0.3 + variant, 0.9, stock.width_m, stock.height_m)
        keep_changes(job.folder, [Pin(piece=stock.name, face="south", place=place)], [])

    def edit(folder: Path, variant: int) -> None:
        way = (("client", "complaint"), ("budget",))[variant]
        edit_job(folder / "job-a", [Edit(way=way, value=("It booms.", "4200")[variant])])

    def new(folder: Path, variant: int) -> int:
        sizes = f"--length 8m --width {6 + variant}m --height 3m".split()
        return main(["new", str(folder / "job-new"), "--use", "classroom", *sizes])

    day = ("--date", "2026-06-01")
    found = [
        Command(name="add", run=add),
        Command(name="edit", run=edit),
        Command(name="undo", run=lambda folder, _: undo(folder / "job-a") and None),
        Command(name="pin", run=pin),
        Command(name="clear", run=lambda folder, _: clear_changes(folder / "job-a") and None),
        Command(
            name="keep anyway",
            run=lambda folder, v: keep_anyway(
                load_job(folder / "job-a"), f"takes/before/S1-P{1 + v}.flac"
            ),
        ),
        Command(
            name="conditions",
            run=lambda folder, v: (
                amend_job(folder / "job-a", values={"people_in_use": 3 + v}) and None
            ),
        ),
        Command(
            name="change",
            run=quote("--change", "one more panel {variant}", "--cost", "70", "--sign", "A", *day),
        ),
        Command(name="invoice", run=quote("--invoice", "2026-01{variant}", "--paid", "0", *day)),
        Command(
            name="sweep",
            run=lambda folder, v: main(["sweep", str(folder / f"{v}.wav"), "--seconds", "1"]),
        ),
        Command(
            name="new",
            run=new,
        ),
        Command(
            name="pack",
            run=lambda folder, v: main(
                [
                    "pack",
                    str(folder / "job-a"),
                    "--without-recordings",
                    "--out",
                    str(folder / f"{v}.zip"),
                ]
            ),
        ),
        Command(
            name="unpack",
            run=lambda folder, _: main(
                ["unpack", str(folder / "b.zip"), str(folder / "job-again")]
            ),
        ),
    ]
    if not jobs.whole:
        return found
    sticks = ("1.515 in", "1.5 in")
    return [
        *found,
        Command(name="sign", run=quote("--sign", "Client {variant}", *day), signed=False),
        Command(
            name="stick",
            run=lambda folder, v: (
                keep_practice(load_job(folder / "job-a"), {"stick": sticks[v]}, {}) and None
            ),
            signed=False,
        ),
        Command(
            name="rack", run=lambda folder, _: main(["build", str(folder / "job-a"), "--rack"])
        ),
        Command(
            name="learn",
            run=lambda folder, v: main(["verify", str(folder / f"job-{'ab'[v]}"), "--learn"]),
        ),
        Command(name="report", run=report),
    ]


def report(folder: Path, variant: int) -> None:
    """Write the documents; what they say is of no matter here."""
    from roomcheck.job import Put, write_together

    names = [f"documents/{i:02d}.pdf" for i in range(12)]
    puts = [Put(path=name, data=f"{name} of run {variant}" * 50) for name in names]
    write_together(folder / "job-a", puts)
