"""Kills and full disks: what the next command finds."""

from __future__ import annotations

import contextlib
import io
import os
import random
import signal
import time
from collections.abc import Callable
from pathlib import Path

from faults import Case, Plan
from forked import KILLED, Ended, in_fork
from injected import Injected, counting, full_at, killed_at
from writing import Command, Jobs, State, commands, lay_out, next_command, quickened, state_of

TITLE = "Kills and full disks"
KILLS, REAL_KILLS = 1000, 100
LIGHT = 0.2
"""Below this share only the commands that need no results run."""


def plan(ground: Path, share: float, seed: int) -> Plan:
    """Kills and full disks at every file event of every command that writes, or `share` of them."""
    draw = random.Random(seed)
    jobs = lay_out(ground / "jobs", whole=share >= LIGHT)
    quickened(jobs, ground / "case")
    known = commands(jobs)
    campaign = _Campaign(jobs=jobs, at=ground / "case")
    outcomes = {command.name: campaign.outcome(command) for command in known}
    events = [(c, n) for c in known for n in range(1, outcomes[c.name].events + 1)]
    turns = range(max(1, -(-round(KILLS * share) // len(events))))
    kills = [(c, n, turn) for turn in turns for c, n in events]
    fills = [(c, n, stays) for c, n in events for stays in (False, True)]
    if share < LIGHT:
        kills = draw.sample(kills, round(KILLS * share))
        fills = draw.sample(fills, round(2 * KILLS * share))
    cases = [campaign.killed(c, outcomes[c.name], at, turn) for c, at, turn in kills]
    cases += [campaign.filled(c, outcomes[c.name], at, stays) for c, at, stays in fills]
    for i in range(round(REAL_KILLS * share)):
        command = known[i % len(known)]
        cases.append(campaign.really_killed(command, outcomes[command.name], draw.random()))
    remark = (
        f"Commands: {', '.join(command.name for command in known)}; {len(events)} file events. Each "
        "case: the command is ended (half of a write done) or its disk is full at one event, then "
        "`roomcheck check` runs; it must find every file as before or as after, and no other."
    )
    return Plan(cases=cases, remarks=(remark,))


class _Outcome:
    """What a command does where nothing goes wrong."""

    def __init__(self, before: State, after: State, events: int, seconds: float) -> None:
        self.before, self.after, self.events, self.seconds = before, after, events, seconds


class _Campaign:
    """Cases of one layout of jobs."""

    def __init__(self, *, jobs: Jobs, at: Path) -> None:
        self.jobs, self.at = jobs, at

    def outcome(self, command: Command) -> _Outcome:
        """Run a command as it should go, twice: the second time with what the first has made."""
        with self.jobs.copied(command.signed, self.at) as folder:
            before = state_of(folder)
            seen = self.at.with_name("events")

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

    def killed(self, command: Command, outcome: _Outcome, at: int, turn: int) -> Case:
        """Ended at a file event; in an odd turn the next command is ended there, too, before one
        is let run to its end."""
        sort = "killed again while it is mended" if turn % 2 else "killed at a file event"
        name = f"{command.name} at {at}" + (f", turn {turn}" if turn > 1 else "")
        again = killed_at if turn % 2 else None
        return Case(sort=sort, name=name, run=lambda: self._kill(command, outcome, at, again))

    def filled(self, command: Command, outcome: _Outcome, at: int, stays: bool) -> Case:
        sort = "disk full from an event on" if stays else "disk full at an event"
        name = f"{command.name} at {at}"
        return Case(sort=sort, name=name, run=lambda: self._fill(command, outcome, at, stays))

    def really_killed(self, command: Command, outcome: _Outcome, part: float) -> Case:
        name = f"{command.name} after {part:.6f} of its time"
        run = lambda: self._kill_really(command, outcome, part)  # noqa: E731
        return Case(sort="killed by SIGKILL", name=name, run=run)

    def _kill(
        self,
        command: Command,
        outcome: _Outcome,
        at: int,
        again: Callable[[Path, int], Injected] | None,
    ) -> str | None:
        ended, found = self._case(command, lambda folder: killed_at(folder, at), again)
        wrong = None if ended.code == KILLED else f"ended with {ended.code}: {ended.last_line}"
        return wrong or self._wrong(outcome, found)

    def _fill(self, command: Command, outcome: _Outcome, at: int, stays: bool) -> str | None:
        ended, found = self._case(command, lambda folder: full_at(folder, at, stays=stays))
        wrong = "a traceback" if ended.fell else None
        told = ended.code == 2 or "Error: " in ended.last_line
        if not wrong and ended.code == 0 and found[1] != outcome.after:
            wrong = "said done, and is not"
        if not wrong and told and "do not do it a second time" not in ended.said:
            wrong = None if found[1] == outcome.before else "said not written, and is"
        return wrong or self._wrong(outcome, found)

    def _kill_really(self, command: Command, outcome: _Outcome, part: float) -> str | None:
        with self.jobs.copied(command.signed, self.at) as folder:
            pid = os.fork()
            if pid == 0:
                in_fork(lambda: command.run(folder, 0))  # its own child is killed with it below
                os._exit(0)
            time.sleep(outcome.seconds * part)
            _kill_tree(pid)
            os.waitpid(pid, 0)
            found = next_command(folder), state_of(folder)
        return self._wrong(outcome, found)

    def _case(
        self,
        command: Command,
        injected: Callable[[Path], Injected],
        again: Callable[[Path, int], Injected] | None = None,
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
            if again is not None:
                next_command(folder, again)
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


def _kill_tree(pid: int) -> None:
    """End a process and its children, as a flat battery would."""
    children = Path(f"/proc/{pid}/task/{pid}/children")
    for child in children.read_text(encoding="ascii").split() if children.exists() else []:
        os.kill(int(child), signal.SIGKILL)
    os.kill(pid, signal.SIGKILL)
