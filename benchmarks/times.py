"""Processor time and memory of the commands, beside an older state of the program in the same run.

    python benchmarks/times.py              this tree alone
    python benchmarks/times.py 74b4e5d      beside that commit, checked out into a folder of its own

Each row is one command on the demo's made-up job, in a process of its own with one thread of linear
algebra: user and system time of it and of its children, and the most memory that any of them held. The
source is compiled before, as an installed package is. The load while it ran is said below the table,
since a busy neighbour makes processor time longer. It is no timed test: nothing fails here.
"""

from __future__ import annotations

import argparse
import compileall
import os
import resource
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

TOP = Path(__file__).resolve().parents[1]
JOB = "story-room"


@dataclass(frozen=True)
class Row:
    """One command: its name, its arguments, and what is taken away before it."""

    title: str
    arguments: tuple[str, ...]
    fresh: tuple[str, ...] = ()
    """Folders of the job that are removed first."""


ROWS = (
    Row("demo, from nothing to all documents", ("demo", JOB), ("",)),
    Row("check", ("check", JOB)),
    Row("analyse, six takes", ("analyse", JOB), ("results",)),
    Row("analyse, again", ("analyse", JOB)),
    Row("recommend, with all before it", ("recommend", JOB), ("results",)),
    Row("recommend, again", ("recommend", JOB)),
    Row("predict, again", ("predict", JOB)),
    Row("build, again", ("build", JOB)),
    Row("quote, again", ("quote", JOB)),
    Row("verify", ("verify", JOB)),
    Row("verify, again", ("verify", JOB)),
    Row("report, with all before it", ("report", JOB), ("results", "documents")),
    Row("report, again", ("report", JOB)),
    Row("a plan that is not there", ("build", JOB, "--plan", "99")),
    Row("a visit that is not there", ("analyse", JOB, "--visit", "later")),
    Row("a setting that is not there", ("set", JOB, "room.hight", "3 m")),
    Row("--help", ("--help",)),
)


def measured(tree: Path, folder: Path, row: Row) -> tuple[float, float]:
    """Processor time and the most memory of one command. [s], [MiB]"""
    for name in row.fresh:
        shutil.rmtree(folder / JOB / name, ignore_errors=True)
    return used(tree, folder, row.arguments)


def used(tree: Path, folder: Path, arguments: Sequence[str]) -> tuple[float, float]:
    """Processor time and the most memory of one command that runs in a folder. [s], [MiB]"""
    environment = os.environ | {
        "PYTHONPATH": str(tree),
        "OPENBLAS_NUM_THREADS": "1",
        "OMP_NUM_THREADS": "1",
        "MPLBACKEND": "agg",
    }
    script = (
        "import resource, subprocess, sys\n"
        "subprocess.run([sys.executable, '-m', 'roomcheck', *sys.argv[1:]], "
        "stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, check=False)\n"
        "used = resource.getrusage(resource.RUSAGE_CHILDREN)\n"
        "print(used.ru_utime + used.ru_stime, used.ru_maxrss / 1024)"
    )
    done = subprocess.run(
        [sys.executable, "-c", script, *arguments],
        cwd=folder, env=environment, capture_output=True, text=True, check=True,
    )  # fmt: skip
    seconds, memory = done.stdout.split()
    return float(seconds), float(memory)


def compiled(tree: Path, folder: Path) -> Path:
    """A copy of the program, its bytecode beside it whatever this environment says of that."""
    for name in ("roomcheck", "sample_audio"):
        if (tree / name).is_dir():
            shutil.copytree(tree / name, folder / name)
    compileall.compile_dir(folder / "roomcheck", quiet=2)
    return folder


def all_rows(tree: Path) -> dict[str, tuple[float, float]]:
    """Every row of one state of the program."""
    with tempfile.TemporaryDirectory() as folder:
        copy = compiled(tree, Path(folder) / "tree")
        return {row.title: measured(copy, Path(folder), row) for row in ROWS}


def checked_out(commit: str, folder: Path) -> Path:
    """Another state of this repository, in a folder of its own."""
    subprocess.run(["git", "clone", "-q", str(TOP), str(folder)], check=True)
    subprocess.run(["git", "-C", str(folder), "checkout", "-q", commit], check=True)
    return folder


def lines(commit: str | None) -> Iterator[str]:
    """The table, as markdown."""
    if commit is None:
        yield "| command | processor time [s] | memory [MiB] |"
        yield "|---|---:|---:|"
        for title, (seconds, memory) in all_rows(TOP).items():
            yield f"| {title} | {seconds:.2f} | {memory:.0f} |"
        yield _load()
        return
    with tempfile.TemporaryDirectory() as folder:
        before = all_rows(checked_out(commit, Path(folder) / "older"))
    now = all_rows(TOP)
    yield f"| command | at {commit} [s] | now [s] | ratio | memory then, now [MiB] |"
    yield "|---|---:|---:|---:|---:|"
    for title, (seconds, memory) in now.items():
        then_s, then_mib = before[title]
        ratio = f"{then_s / seconds:.1f}"
        yield f"| {title} | {then_s:.2f} | {seconds:.2f} | {ratio} | {then_mib:.0f}, {memory:.0f} |"
    yield _load()


def _load() -> str:
    one, _, quarter = os.getloadavg()
    cores = os.cpu_count()
    return f"\nLoad of the machine over the last minute and quarter of an hour: {one:.1f}, {quarter:.1f}; {cores} cores."


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("commit", nargs="?", help="an older state to stand beside")
    for line in lines(parser.parse_args().commit):
        print(line, flush=True)


if __name__ == "__main__":
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    main()
