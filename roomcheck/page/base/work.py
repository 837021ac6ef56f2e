"""Long work in a process of its own, one job at a time, its steps passed on as they happen.

Results lie in the job's folder, so the process hands back nothing but what it does; it can be ended
at any moment, for every file is written whole or not at all.
"""

from __future__ import annotations

import contextlib
import multiprocessing
import os
import threading
import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from multiprocessing.connection import Connection
from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, get_args

if TYPE_CHECKING:
    from roomcheck.chain import Progress

Task = Literal[
    "findings-before",
    "findings-after",
    "plans",
    "offer",
    "sheet",
    "documents",
    "proof",
    "lesson",
    "all-jobs",
]
TASKS: tuple[Task, ...] = tuple(task for task in get_args(Task) if task != "all-jobs")
"""Those of one job."""
ALL_JOBS = ""
"""In place of a job's name: work on all of them."""
Tell = Callable[[str, dict[str, Any]], None]
"""Name of a job, and what happened."""

STEPS_BACK = 10
"""How far long work stands back for what people wait for, in the system's own steps, as `nice`."""

PROCESSES = multiprocessing.get_context("spawn")


@dataclass(frozen=True, slots=True, kw_only=True)
class How:
    """What a task is asked for besides its name."""

    plan: int | None = None
    """Number of the plan, from 1; None for the usual or the signed one."""
    anyway: bool = False
    """Compare the visits although something differed that cannot be taken off."""


USUAL = How()


@dataclass
class Saying:
    """What the page says of the work while it waits for it."""

    clock_s: Callable[[], float]
    began_s: float = 0.0
    """When the step began, by that clock [s]."""

    def of(self, step: Progress) -> str | None:
        """A step with its share done and the time left; None for what takes no time."""
        from roomcheck.chain import SHOWN, left
        from roomcheck.words import say

        if step.kind not in SHOWN:
            return None
        text = f"{say(f'doing_{step.kind}')} …"
        if step.done == 0:
            self.began_s = self.clock_s()
        elif step.done < step.of:
            text += " " + left(step, self.clock_s() - self.began_s).strip()
        return text


def compute(folder: str, task: Task, how: How, out: Connection) -> None:
    """Do one task; send every step, then "done" or "problem"."""
    stand_back()
    with contextlib.suppress(BrokenPipeError):  # the server has ended, and nobody listens
        _compute(folder, task, how, out)
    with contextlib.suppress(OSError):
        out.close()


def stand_back() -> None:
    """Let whatever else wants the processor have it first; Windows has no such call."""
    if hasattr(os, "nice"):
        os.nice(STEPS_BACK)


def _compute(folder: str, task: Task, how: How, out: Connection) -> None:
    from roomcheck.chain import open_job
    from roomcheck.errors import RoomcheckError

    said = Saying(time.monotonic)

    def pass_on(step: Progress) -> None:
        text = said.of(step)
        if text is not None:
            out.send({"step": text})

    try:
        if task == "all-jobs":
            from roomcheck.chain import work_all_jobs

            work_all_jobs(Path(folder))
            out.send({"done": task})
            return
        chain = open_job(
            folder,
            how.plan,
            compare_anyway=how.anyway,
            on_step=pass_on,
        )
        for name in _ASKED.get(task, ()):
            getattr(chain, name)  # asking for it computes and keeps it
        if task == "offer":
            from roomcheck.chain import set_offer

            set_offer(chain)
        out.send({"done": task})
    except RoomcheckError as problem:
        out.send({"problem": str(problem)})


_ASKED: Mapping[Task, tuple[str, ...]] = {
    "documents": ("documents",),
    "plans": ("quotes",),
    "sheet": ("sheet",),
    "findings-before": ("verdict",),
    "findings-after": ("verdict_after",),
    "proof": ("verification", "verdict", "verdict_after"),
    "lesson": ("lesson",),
}
"""The results that a task works out."""


@dataclass
class Running:
    """One task under way."""

    task: Task
    process: Any
    how: How = field(default_factory=How)
    step: str = ""
    """What it does now."""


@dataclass
class Works:
    """The tasks of all jobs; one a job."""

    tell: Tell
    running: dict[str, Running] = field(default_factory=dict)
    problems: dict[str, str] = field(default_factory=dict)
    """Why the last task of a job did not end well, by the job's name and the task."""

    def start(self, name: str, folder: Path, task: Task, how: How = USUAL) -> None:
        """Begin a task, in place of another one of the same job; go on with the same one."""
        now = self.doing(name)
        if now is not None and (now.task, now.how) == (task, how):
            return
        self.end(name)
        inward, outward = PROCESSES.Pipe(duplex=False)
        process = PROCESSES.Process(
            target=compute,
            args=(str(folder), task, how, outward),
            name=f"roomcheck {task}",
            daemon=True,
        )
        self.problems.pop(f"{name} {task}", None)
        process.start()
        outward.close()
        running = Running(task, process, how)
        self.running[name] = running
        threading.Thread(target=self._follow, args=(name, running, inward), daemon=True).start()

    def end(self, name: str) -> None:
        """End a job's task; what it finished is kept."""
        now = self.running.pop(name, None)
        if now is not None and now.process.is_alive():
            now.process.terminate()

    def end_all(self) -> None:
        for name in list(self.running):
            self.end(name)

    def doing(self, name: str) -> Running | None:
        """The task under way; None where there is none."""
        now = self.running.get(name)
        return now if now is not None and now.process.is_alive() else None

    def _follow(self, name: str, running: Running, inward: Connection) -> None:
        """Pass on what a task says, until it ends."""
        said: dict[str, Any] = {}
        while True:
            try:
                said = inward.recv()
            except (EOFError, OSError):
                break
            running.step = said.get("step", running.step)
            if self.running.get(name) is running:
                self.tell(name, said | {"task": running.task})
        running.process.join()
        if self.running.get(name) is not running:
            return  # another task took its place
        self.running.pop(name, None)
        if "done" not in said:
            ended = "the work ended unexpectedly; ask for it again"
            self.problems[f"{name} {running.task}"] = said.get("problem", ended)
        self.tell(name, {"ended": running.task})
