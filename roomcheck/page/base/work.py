"""Long work in a process of its own, one job at a time, its steps passed on as they happen.

Results lie in the job's folder, so the process hands back nothing but what it does; it can be ended
at any moment, for every file is written whole or not at all.
"""

from __future__ import annotations

import contextlib
import multiprocessing
import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from multiprocessing.connection import Connection
from pathlib import Path
from typing import Any, Literal, get_args

Task = Literal["findings-before", "findings-after", "plans", "sheet", "documents"]
TASKS: tuple[Task, ...] = get_args(Task)
Tell = Callable[[str, dict[str, Any]], None]
"""Name of a job, and what happened."""

PROCESSES = multiprocessing.get_context("spawn")


def compute(folder: str, task: Task, out: Connection) -> None:
    """Do one task; send every step, then "done" or "problem"."""
    with contextlib.suppress(BrokenPipeError):  # the server has ended, and nobody listens
        _compute(folder, task, out)
    with contextlib.suppress(OSError):
        out.close()


def _compute(folder: str, task: Task, out: Connection) -> None:
    from roomcheck.chain import open_job
    from roomcheck.errors import RoomcheckError

    try:
        chain = open_job(folder, on_step=lambda step: out.send({"step": step.kind.value}))
        if task == "documents":
            chain.documents  # noqa: B018 - asking for them sets them
        elif task == "sheet":
            chain.sheet  # noqa: B018
        elif task == "plans":
            chain.quotes  # noqa: B018
        elif task == "findings-after":
            chain.verdict_after  # noqa: B018
        else:
            chain.verdict  # noqa: B018
        out.send({"done": task})
    except RoomcheckError as problem:
        out.send({"problem": str(problem)})


@dataclass
class Running:
    """One task under way."""

    task: Task
    process: Any
    step: str = ""
    """What it does now."""


@dataclass
class Works:
    """The tasks of all jobs; one a job."""

    tell: Tell
    running: dict[str, Running] = field(default_factory=dict)
    problems: dict[str, str] = field(default_factory=dict)
    """Why the last task of a job did not end well, by the job's name and the task."""

    def start(self, name: str, folder: Path, task: Task) -> None:
        """Begin a task, in place of another one of the same job; go on with the same one."""
        now = self.running.get(name)
        if now is not None and now.task == task and now.process.is_alive():
            return
        self.end(name)
        inward, outward = PROCESSES.Pipe(duplex=False)
        process = PROCESSES.Process(
            target=compute, args=(str(folder), task, outward), name=f"roomcheck {task}", daemon=True
        )
        self.problems.pop(f"{name} {task}", None)
        process.start()
        outward.close()
        running = Running(task, process)
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
