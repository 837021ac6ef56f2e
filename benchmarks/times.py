"""Processor time and memory of the commands, beside an older state of the program in the same run.

    python benchmarks/times.py              this tree alone
    python benchmarks/times.py 74b4e5d      beside that commit, checked out into a folder of its own

Each row is one command on the demo's made-up job, in a process of its own with one thread of linear
algebra: user and system time of it and of its children, and the most memory that any of them held; of
one that leaves things as they were the shortest of three runs. The two states take turns, row by row;
one that keeps no results is run once for each command. What an older state refused has no time. The
source is compiled before, as an installed package is. The load while it ran is said below the table,
since a busy neighbour makes processor time longer. It is no timed test: nothing fails here.
"""

from __future__ import annotations

import argparse
import compileall
import hashlib
import json
import os
import re
import resource
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Sequence
from dataclasses import asdict, dataclass
from pathlib import Path

TOP = Path(__file__).resolve().parents[1]
JOB = "story-room"
TWELVE = "twelve-takes"
"""The same job with each microphone's takes once more, a little quieter, at a place of their own."""


@dataclass(frozen=True)
class Row:
    """One command: its name, its arguments, and what is taken away before it."""

    title: str
    arguments: tuple[str, ...]
    fresh: tuple[str, ...] = ()
    """Of the job, removed first: patterns of files and folders, "" for all of it."""
    asked_s: float | None = None
    """Processor time at most. [s]"""
    refused: bool = False
    """Whether the command must end with what a person can put right."""


_RESULTS = ("results/*.json", "results/*.csv")
_MOVED = ("recommend", JOB, "--plan", "2", "--move", "A1", "south", "14 in", "30 in")
_PLANS = ("results/plans.json", "results/quotes.json")

ROWS = (
    Row("demo, from nothing to all documents", ("demo", JOB), ("",), 12.0),
    Row("check", ("check", JOB), asked_s=0.4),
    Row("analyse, six takes that were just added", ("analyse", JOB), _RESULTS, 1.5),
    Row("analyse, six takes, nothing kept of them", ("analyse", JOB), ("results",)),
    Row("analyse, twelve takes, nothing kept of them", ("analyse", TWELVE), ("results",)),
    Row("analyse, again", ("analyse", JOB), asked_s=0.3),
    Row("recommend, with all before it", ("recommend", JOB), ("results",)),
    Row("recommend, after analyse", ("recommend", JOB), _PLANS, 4.0),
    Row("recommend, again", ("recommend", JOB)),
    Row("recommend, a piece moved by hand", _MOVED, asked_s=0.7),
    Row("predict, again", ("predict", JOB)),
    Row("build, again", ("build", JOB)),
    Row("quote, again", ("quote", JOB)),
    Row("verify", ("verify", JOB), ("results/verification.json", "results/analysis-after.json")),
    Row("verify, again", ("verify", JOB)),
    Row("report, with all before it", ("report", JOB), ("results", "documents")),
    Row("report, the documents alone", ("report", JOB), ("documents",), 4.0),
    Row("report --only quote", ("report", JOB, "--only", "quote")),
    Row("report, again", ("report", JOB), asked_s=1.5),
    Row("a plan that is not there", ("build", JOB, "--plan", "99"), (), 0.4, refused=True),
    Row("signing a second time", ("quote", JOB, "--sign", "A"), (), 0.4, refused=True),
    Row("a visit that is not there", ("analyse", JOB, "--visit", "later"), (), 0.4, refused=True),
    Row("a setting that is not there", ("set", JOB, "room.hight", "3 m"), (), 0.4, refused=True),
    Row("--help", ("--help",)),
)


@dataclass(frozen=True)
class Spent:
    """What one command took."""

    seconds: float
    """Processor time [s]."""
    mib: float
    """The most memory [MiB]."""
    solver_s: float
    """Of its time, in the integer and linear solvers [s]."""
    as_meant: bool
    """Whether it ended as it should: done, or refused."""


def measured(tree: Path, folder: Path, row: Row, *, once: bool = False) -> Spent:
    """One row; of a command that leaves things as they were the shortest of three runs."""
    runs = 1 if row.fresh or once else 3
    job = TWELVE if TWELVE in row.arguments else JOB
    if job == TWELVE and not (folder / TWELVE).exists():
        _double(folder / JOB, folder / TWELVE)
    found = []
    for _ in range(runs):
        for pattern in row.fresh:
            _take_away(folder / job, pattern)
        found.append(_run(tree, folder, row.arguments, 2 if row.refused else 0))
    return min(found, key=lambda spent: spent.seconds)


def _double(six: Path, twelve: Path) -> None:
    """The job of six takes a visit with twelve: no two recordings are the same, since one that is
    there twice is heard once."""
    import soundfile

    shutil.copytree(six, twelve, ignore=shutil.ignore_patterns("results", "documents", "shop"))
    text = (twelve / "job.toml").read_text("utf-8")
    places = re.findall(r"(?m)^\[\[microphone\]\]\n(?:\w.*\n)+", text)
    for i, place in enumerate(places, len(places) + 1):
        text += "\n" + re.sub(r'name = "\w+"', f'name = "P{i}"', place)
    (twelve / "job.toml").write_text(text, "utf-8")
    for facts in list((twelve / "takes").glob("*/*.toml")):
        source, place = facts.stem.split("-")
        name = f"{source}-P{int(place[1:]) + len(places)}"
        samples, rate_hz = soundfile.read(facts.with_suffix(".flac"))
        quieter = facts.with_name(f"{name}.flac")
        soundfile.write(quieter, 0.9 * samples, rate_hz, subtype="PCM_24")
        told = (
            facts.read_text("utf-8")
            .replace(facts.stem, name)
            .replace(f'"{place}"', f'"{name[3:]}"')
        )
        digest = hashlib.sha256(quieter.read_bytes()).hexdigest()
        told = re.sub(r'sha256 = "\w+"', f'sha256 = "{digest}"', told)
        quieter.with_suffix(".toml").write_text(told, "utf-8")


def _take_away(job: Path, pattern: str) -> None:
    """Remove what a pattern names in a job, "" the job itself."""
    for path in list(job.glob(pattern)) if pattern else [job]:
        if path.is_dir():
            shutil.rmtree(path)
        else:
            path.unlink(missing_ok=True)


def used(tree: Path, folder: Path, arguments: Sequence[str]) -> tuple[float, float]:
    """Processor time and the most memory of one command that runs in a folder. [s], [MiB]"""
    spent = _run(tree, folder, arguments, 0)
    return spent.seconds, spent.mib


_COMMAND = """
import importlib.util, sys, time
spent = 0.0
def timed(solve):
    def run(*given, **named):
        global spent
        began = time.process_time()
        try:
            return solve(*given, **named)
        finally:
            spent += time.process_time() - began
    return run
class Finder:
    def find_spec(self, name, path=None, target=None):
        if name != "scipy.optimize":
            return None
        sys.meta_path.remove(self)
        spec = importlib.util.find_spec(name)
        execute = spec.loader.exec_module
        def exec_module(module):
            execute(module)
            module.milp, module.linprog = timed(module.milp), timed(module.linprog)
        spec.loader.exec_module = exec_module
        return spec
sys.meta_path.insert(0, Finder())
told = int(sys.argv.pop(1))
from roomcheck.cli import main
try:
    code = main()
finally:
    with open(told, "w") as out:
        out.write(str(spent))
sys.exit(code)
"""

_AROUND = """
import os, resource, subprocess, sys
inward, outward = os.pipe()
command = [sys.executable, "-c", sys.argv[1], str(outward), *sys.argv[2:]]
done = subprocess.run(command, check=False, pass_fds=(outward,),
    stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
os.close(outward)
used = resource.getrusage(resource.RUSAGE_CHILDREN)
solver = os.read(inward, 100).decode() or "0"
print(used.ru_utime + used.ru_stime, used.ru_maxrss / 1024, solver, done.returncode)
"""


def _run(tree: Path, folder: Path, arguments: Sequence[str], code: int) -> Spent:
    environment = os.environ | {
        "PYTHONPATH": str(tree),
        "OPENBLAS_NUM_THREADS": "1",
        "OMP_NUM_THREADS": "1",
        "MPLBACKEND": "agg",
    }
    done = subprocess.run(
        [sys.executable, "-c", _AROUND, _COMMAND, *arguments],
        cwd=folder, env=environment, capture_output=True, text=True, check=True,
    )  # fmt: skip
    seconds, memory, solver, ended = done.stdout.split()
    return Spent(float(seconds), float(memory), float(solver), int(ended) == code)


def compiled(tree: Path, folder: Path) -> Path:
    """A copy of the program, its bytecode beside it whatever this environment says of that."""
    for name in ("roomcheck", "sample_audio"):
        if (tree / name).is_dir():
            shutil.copytree(tree / name, folder / name)
    compileall.compile_dir(folder / "roomcheck", quiet=2)
    return folder


class State:
    """One state of the program with a job of its own; what it took is kept in a file beside it."""

    def __init__(self, tree: Path, folder: Path, *, keeps: bool) -> None:
        self.folder, self.keeps = folder, keeps
        folder.mkdir(parents=True, exist_ok=True)
        self.tree = folder / "tree"
        if not self.tree.exists():
            compiled(tree, self.tree)
        self.file = folder / "rows.json"
        self.known: dict[str, Spent] = {}
        if self.file.exists():
            kept = json.loads(self.file.read_text("utf-8"))
            self.known = {name: Spent(**spent) for name, spent in kept.items()}

    def name_of(self, row: Row) -> str:
        """A row's name. A state that keeps no results does the same each time it is asked."""
        return row.title if self.keeps else " ".join(row.arguments)

    def spent(self, row: Row) -> Spent:
        """What a row takes."""
        name = self.name_of(row)
        if name not in self.known:
            self.known[name] = measured(self.tree, self.folder, row, once=not self.keeps)
            kept = {name: asdict(spent) for name, spent in self.known.items()}
            self.file.write_text(json.dumps(kept, indent=1), "utf-8")
        return self.known[name]


def all_rows(
    commit: str | None, folder: Path, *, only_kept: bool = False
) -> tuple[dict[str, Spent], dict[str, Spent]]:
    """Every row of this state and of an older one, row by row in turn."""
    states = {"now": State(TOP, folder / "now", keeps=True)}
    if commit is not None:
        older = folder / "checked-out"
        tree = older if older.exists() else checked_out(commit, older)
        states["then"] = State(tree, folder / "then", keeps=False)
    found: dict[str, dict[str, Spent]] = {"now": {}, "then": {}}
    for row in ROWS:
        for name, state in states.items():
            if not only_kept or state.name_of(row) in state.known:
                found[name][row.title] = state.spent(row)
    return found["now"], found["then"]


def checked_out(commit: str, folder: Path) -> Path:
    """Another state of this repository, in a folder of its own."""
    subprocess.run(["git", "clone", "-q", str(TOP), str(folder)], check=True)
    subprocess.run(["git", "-C", str(folder), "checkout", "-q", commit], check=True)
    return folder


def lines(
    commit: str | None, folder: Path | None = None, *, only_kept: bool = False
) -> Iterator[str]:
    """The table, as markdown; a folder keeps the rows, for going on after an interruption, or for
    showing what is kept alone."""
    if folder is None:
        with tempfile.TemporaryDirectory() as made:
            yield from lines(commit, Path(made))
        return
    now, before = all_rows(commit, folder, only_kept=only_kept)
    yield f"| command | at {commit} [s] | now [s] | asked [s] | ratio | memory then, now [MiB] |"
    yield "|---|---:|---:|---:|---:|---:|"
    for row in [row for row in ROWS if row.title in now]:
        found, then = now[row.title], before.get(row.title)
        known = then is not None and then.as_meant
        ended = "" if found.as_meant else " (did not end as it should)"
        cells = (
            f"{row.title}{ended}",
            f"{then.seconds:.2f}" if then and known else "–",
            f"{found.seconds:.2f}",
            f"{row.asked_s:g}" if row.asked_s else "",
            f"{then.seconds / found.seconds:.1f}" if then and known else "–",
            f"{then.mib:.0f}, {found.mib:.0f}" if then and known else f"–, {found.mib:.0f}",
        )
        yield f"| {' | '.join(cells)} |"
    yield ""
    yield _apart(now, before)
    yield load()


def _apart(now: dict[str, Spent], before: dict[str, Spent]) -> str:
    """The planner's time, the solver's and the rest: predictor, candidates, sheets and prices."""
    parts = []
    for named, spent in (("then", before), ("now", now)):
        for title in ("recommend, with all before it", "recommend, after analyse"):
            if title in spent:
                one = spent[title]
                rest_s = one.seconds - one.solver_s
                parts.append(f"{title}, {named}: {one.solver_s:.2f} s and {rest_s:.2f} s")
    return f"Solver and all the rest apart: {'; '.join(parts)}."


def load() -> str:
    one, _, quarter = os.getloadavg()
    cores = os.cpu_count()
    return f"Load of the machine over the last minute and quarter of an hour: {one:.1f}, {quarter:.1f}; {cores} cores."


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("commit", nargs="?", help="an older state to stand beside")
    parser.add_argument("--folder", type=Path, help="keep the rows there, and go on from them")
    parser.add_argument("--only-kept", action="store_true", help="show those rows, run nothing")
    given = parser.parse_args()
    for line in lines(given.commit, given.folder, only_kept=given.only_kept):
        print(line, flush=True)


if __name__ == "__main__":
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    main()
