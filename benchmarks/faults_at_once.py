"""Two at once: every pair of commands that write, on one job, and on two that share a shop file."""

from __future__ import annotations

import contextlib
import functools
import io
import os
import random
import time
from pathlib import Path

from faults import Case, Plan
from faults_crash import LIGHT
from forked import Ended, in_fork
from writing import Command, Jobs, State, commands, lay_out, next_command, quickened, state_of

TITLE = "Two at once"
ROUNDS = 20
APART_S = 0.05
"""The second begins up to so much later. [s]"""


def plan(ground: Path, share: float, seed: int) -> Plan:
    """Every pair of commands, or `share` of them, in rounds."""
    jobs = lay_out(ground / "jobs", whole=share >= LIGHT)
    quickened(jobs, ground / "case")
    known = commands(jobs)
    at = ground / "case"
    _warm(jobs, known, at)
    pairs = [(a, b) for i, a in enumerate(known) for b in known[i:] if a.signed == b.signed]
    if share < LIGHT:
        pairs = random.Random(seed).sample(pairs, max(3, round(len(pairs) * share)))
    rounds = max(1, round(ROUNDS * share))
    allowed = functools.cache(lambda pair: _in_turn(jobs, *pairs[pair], at))

    def case(pair: int, number: int) -> Case:
        first, second = pairs[pair]
        name = f"{first.name} and {second.name}, round {number}"
        apart_s = random.Random(f"{seed} {name}").random() * APART_S
        return Case(
            sort="rounds of two commands at once",
            name=name,
            run=lambda: _round(jobs, first, second, at, allowed(pair), apart_s),
        )

    remark = (
        f"{len(pairs)} pairs of {len(known)} commands, {rounds} rounds each; what lies in the "
        "folder afterwards must be what the two leave one after the other, in one order or the "
        "other; a command that says that it wrote nothing may have written nothing."
    )
    cases = [case(pair, number) for pair in range(len(pairs)) for number in range(rounds)]
    return Plan(cases=cases, remarks=(remark,))


def _warm(jobs: Jobs, known: list[Command], at: Path) -> None:
    """Import what is needed, and make what is made once in this process."""
    for command in known:
        for variant in (0, 1):
            with (
                jobs.copied(command.signed, at) as folder,
                contextlib.redirect_stdout(io.StringIO()),
            ):
                command.run(folder, variant)


def _in_turn(jobs: Jobs, first: Command, second: Command, at: Path) -> dict[str, list[State]]:
    """What the two leave one after the other; and each alone, for where the other refuses."""
    found: dict[str, list[State]] = {}
    for name, order in (
        ("both", ((first, 0), (second, 1))),
        ("both", ((second, 1), (first, 0))),
        ("first", ((first, 0),)),
        ("second", ((second, 1),)),
        ("none", ()),
    ):
        with jobs.copied(first.signed, at) as folder:
            codes = [in_fork(_call(command, folder, variant)).code for command, variant in order]
            if any(codes) and len(order) == 1:
                raise RuntimeError(f"{order[0][0].name} alone ended with {codes}")
            if not any(codes):
                found.setdefault(name, []).append(state_of(folder))
    return found


def _call(command: Command, folder: Path, variant: int):  # type: ignore[no-untyped-def]
    from roomcheck.errors import RoomcheckError

    def call() -> int:
        try:
            return command.run(folder, variant) or 0
        except RoomcheckError as problem:
            print(f"Error: {problem}")
            return 2

    return call


def _round(
    jobs: Jobs,
    first: Command,
    second: Command,
    at: Path,
    allowed: dict[str, list[State]],
    apart_s: float,
) -> str | None:
    """Run both at once; returns what was wrong."""
    with jobs.copied(first.signed, at) as folder:
        reads, writes = os.pipe()
        pid = os.fork()
        if pid == 0:
            time.sleep(apart_s)
            other = in_fork(_call(second, folder, 1))
            os.write(writes, f"{other.code} {int(other.fell)} {other.last_line[:300]}".encode())
            os._exit(0)
        ended = in_fork(_call(first, folder, 0))
        os.waitpid(pid, 0)
        os.close(writes)
        with os.fdopen(reads, "rb") as pipe:
            code, fell, last = pipe.read().decode().split(" ", 2)
        after, state = next_command(folder), state_of(folder)
    return _judged(ended, int(code), fell == "1", last, after, state, allowed)


def _judged(
    ended: Ended,
    code: int,
    fell: bool,
    last: str,
    after: Ended,
    state: State,
    allowed: dict[str, list[State]],
) -> str | None:
    if ended.fell or fell:
        return f"a traceback: {ended.last_line if ended.fell else last}"
    if after.fell or after.code not in (0, 2):
        return f"the next command ended with {after.code}: {after.last_line}"
    done = {(0, 0): "both", (0, 2): "first", (2, 0): "second", (2, 2): "none"}.get(
        (ended.code, code), ""
    )
    if not done:
        return f"ended with {ended.code} and {code}"
    if state in allowed.get(done, []):
        return None
    said = f"; the other said: {last}" if code else ""
    return f"{done} said done, and the folder is not so{said}"
