"""Kills and full disks: what the next command finds."""

from __future__ import annotations

import contextlib
import io
import os
import random
import signal
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from faults import Tally
from forked import KILLED, Ended, in_fork
from injected import Injected, counting, full_at, killed_at
from writing import Command, Jobs, State, commands, lay_out, next_command, quickened, state_of

TITLE = "Kills and full disks"
KILLS, REAL_KILLS = 1000, 100
LIGHT = 0.2
"""Below this share only the commands that need no results run."""


def run(share: float, seed: int) -> Tally:
    tally = Tally(title=TITLE)
    draw = random.Random(seed)
    with tempfile.TemporaryDirectory() as folder:
        jobs = lay_out(Path(folder) / "jobs", whole=share >= LIGHT)
        quickened()
        known = commands(jobs)
        campaign = _Campaign(jobs=jobs, at=Path(folder) / "case", tally=tally)
        outcomes = {command.name: campaign.outcome(command) for command in known}
        kills = [(c, n) for c in known for n in range(1, outcomes[c.name].events + 1)]
        fills = list(kills)
        times = max(1, round(KILLS * share / len(kills)))
        kills = kills * times if share >= LIGHT else draw.sample(kills, round(KILLS * share))
        for command, at in kills:
            campaign.kill(command, outcomes[command.name], at)
        fills = fills if share >= LIGHT else draw.sample(fills, round(KILLS * share))
        for command, at in fills:
            for stays in (False, True):
                campaign.fill(command, outcomes[command.name], at, stays=stays)
        for i in range(round(REAL_KILLS * share)):
            command = known[i % len(known)]
            campaign.kill_really(command, outcomes[command.name], draw.random())
    tally.remarks.append(
        f"Commands: {', '.join(command.name for command in known)}; "
        f"{sum(outcome.events for outcome in outcomes.values())} file events. Each case: the "
        "command is ended (half of a write done) or its disk is full at one event, then `roomcheck "
        "check` runs; it must find every file as before or as after, and no other."
    )
    return tally


class _Outcome:
    """What a command does where nothing goes wrong."""

    def __init__(self, before: State, after: State, events: int, seconds: float) -> None:
        self.before, self.after, self.events, self.seconds = before, after, events, seconds


class _Campaign:
    """Cases of one layout of jobs."""

    def __init__(self, *, jobs: Jobs, at: Path, tally: Tally) -> None:
        self.jobs, self.at, self.tally = jobs, at, tally

    def outcome(self, command: Command) -> _Outcome:
        """Run a command as it should go, twice: the second time with what the first has made."""
        with self.jobs.copied(command.signed, self.at) as folder:
            before = state_of(folder)
            seen = folder.parent / "events"

            def count() -> int:
                injected = counting(folder)
                injected.start()
                code = command.run(folder, 0) or 0
                seen.write_text(str(injected.seen), encoding="ascii")
                return code

            with contextlib.redirect_stdout(io.StringIO()):
                command.run(folder, 0)  # imports, and what is made once in this process
        with self.jobs.copied(command.signed, self.at) as folder:
            began_s = time.monotonic()
            ended = in_fork(count)
            seconds = time.monotonic() - began_s
            if ended.code:
                raise RuntimeError(f"{command.name}: {ended.said}")
            after = state_of(folder)
        return _Outcome(before, after, int(seen.read_text(encoding="ascii")), seconds)

    def kill(self, command: Command, outcome: _Outcome, at: int) -> None:
        ended, found = self._case(command, lambda folder: killed_at(folder, at))
        wrong = None if ended.code == KILLED else f"ended with {ended.code}: {ended.last_line}"
        self._count("killed at a file event", command, at, wrong or self._wrong(outcome, found))

    def fill(self, command: Command, outcome: _Outcome, at: int, *, stays: bool) -> None:
        ended, found = self._case(command, lambda folder: full_at(folder, at, stays=stays))
        wrong = "a traceback" if ended.fell else None
        told = ended.code == 2 or "Error: " in ended.last_line
        if not wrong and ended.code == 0 and found[1] != outcome.after:
            wrong = "said done, and is not"
        if not wrong and told and "do not do it a second time" not in ended.said:
            wrong = None if found[1] == outcome.before else "said not written, and is"
        sort = "disk full from an event on" if stays else "disk full at an event"
        self._count(sort, command, at, wrong or self._wrong(outcome, found))

    def kill_really(self, command: Command, outcome: _Outcome, part: float) -> None:
        with self.jobs.copied(command.signed, self.at) as folder:
            pid = os.fork()
            if pid == 0:
                in_fork(lambda: command.run(folder, 0))  # its own child is killed with it below
                os._exit(0)
            time.sleep(outcome.seconds * part)
            _kill_tree(pid)
            os.waitpid(pid, 0)
            found = next_command(folder), state_of(folder)
        self._count("killed by SIGKILL", command, part, self._wrong(outcome, found))

    def _case(
        self, command: Command, injected: Callable[[Path], Injected]
    ) -> tuple[Ended, tuple[Ended, State]]:
        with self.jobs.copied(command.signed, self.at) as folder:

            def run() -> int:
                from roomcheck.errors import RoomcheckError

                injected(folder).start()
                try:
                    return command.run(folder, 0) or 0
                except RoomcheckError as problem:
                    print(f"Error: {problem}")
                    return 2

            ended = in_fork(run)
            return ended, (next_command(folder), state_of(folder))

    def _wrong(self, outcome: _Outcome, found: tuple[Ended, State]) -> str | None:
        after, state = found
        if after.fell or after.code not in (0, 2):
            return f"the next command ended with {after.code}: {after.last_line}"
        if state in (outcome.before, outcome.after):
            return None
        ways = {*state, *outcome.before, *outcome.after}
        odd = [
            way
            for way in sorted(ways)
            if state.get(way) not in (outcome.before.get(way), outcome.after.get(way))
        ]
        return f"neither before nor after: {', '.join(odd) or 'a mixture'}"

    def _count(self, sort: str, command: Command, at: float, wrong: str | None) -> None:
        fault = None if wrong is None else f"{command.name} at {at:g}: {wrong}"
        self.tally.count(sort, fault)


def _kill_tree(pid: int) -> None:
    """End a process and its children, as a flat battery would."""
    children = Path(f"/proc/{pid}/task/{pid}/children")
    for child in children.read_text(encoding="ascii").split() if children.exists() else []:
        os.kill(int(child), signal.SIGKILL)
    os.kill(pid, signal.SIGKILL)
