"""The keyboard stops every command at any moment, and wrong calls are refused before anything is computed.

    python benchmarks/stops.py              both tables
    python benchmarks/stops.py stops        one of them
    python benchmarks/stops.py refusals
    python benchmarks/stops.py --folder F   keep the rows there, and go on from them

Each command of more than a second is run on a copy of the demo's made-up job to its end, then stopped by the
signal of Ctrl-C, sent to it and all its copies as a terminal does, after five shares of the time that it takes.
Counted are the wall time and the processor time from the signal to the end of the last process; every file of the
job but what is kept in `results/` is compared with what it was, and so is what lies beside the job. What was
stopped half way is then asked for again and must write what an undisturbed run writes, byte by byte. A command
that had ended before the signal came is left out of the times.

Wrong calls are made on the finished job: each must end with 2, one line, and the job as it was. It is no timed
test: nothing fails here.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import os
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any

from times import JOB, TOP, compiled, used

SHARES = (0.05, 0.25, 0.5, 0.75, 0.95)
"""When the signal comes, of the time that the command takes."""
KEPT = "results/"
"""What is worked out may be kept, and is checked by its digest when it is read."""


Row = dict[str, Any]
"""What one command or call gave."""


@dataclass(frozen=True)
class Command:
    """One command, and the state of the job that it is asked in."""

    title: str
    arguments: tuple[str, ...]
    without: tuple[str, ...] = ()
    """Of the job, removed before: patterns; "" for all of it."""
    makes: tuple[str, ...] = ("documents", "shop", "signed")
    """What an undisturbed run writes, compared after the second run; within the job."""
    out: str = ""
    """A file beside the job that it writes."""


_ALL = ("results",)
COMMANDS = (
    Command("demo", ("demo", JOB), ("",), makes=("documents", "shop", "signed", "takes")),
    Command("analyse", ("analyse", JOB), _ALL),
    Command("recommend", ("recommend", JOB), _ALL),
    Command("predict", ("predict", JOB), _ALL),
    Command("build", ("build", JOB), _ALL),
    Command("quote, with signing", ("quote", JOB, "--sign", "A. Client", "--date", "2026-03-02"),
            (*_ALL, "signed"), makes=("signed",)),
    Command("verify", ("verify", JOB), _ALL),
    Command("report, with all before it", ("report", JOB), (*_ALL, "documents", "shop")),
    Command("report, the documents alone", ("report", JOB), ("documents", "shop")),
    Command("add, a whole visit in one recording",
            ("add", JOB, "visit.wav", "--visit", "after", "--source", "S1", "--sweep", "swept.toml", "--sure",
             "--microphone", "P1,P2,P3"), ("results", "takes/after"), makes=("takes",)),
    Command("pack", ("pack", JOB, "--out", "packed.zip"), (), makes=(), out="packed.zip"),
)  # fmt: skip


def digests(folder: Path) -> dict[str, str]:
    """Every file under a folder by its content, but what is kept of results."""
    found = {}
    for path in sorted(folder.rglob("*")):
        way = path.relative_to(folder).as_posix()
        if path.is_file() and KEPT not in way:
            found[way] = hashlib.sha256(path.read_bytes()).hexdigest()
    return found


def processor_s(group: int) -> float:
    """Processor time so far of all processes of a group that live, and of their ended children. [s]"""
    ticks = 0
    for stat in Path("/proc").glob("[0-9]*/stat"):
        try:
            words = stat.read_text().rpartition(")")[2].split()
        except OSError:
            continue
        if int(words[2]) == group:
            ticks += sum(int(word) for word in words[11:15])
    return ticks / os.sysconf("SC_CLK_TCK")


@dataclass
class Stop:
    """One command stopped once."""

    wall_s: float | None
    """From the signal to the end of the last process; None where it had ended before [s]."""
    processor_s: float
    """Meanwhile [s]."""
    code: int
    changed: int
    """Files that are not as they were."""


class Site:
    """A folder with the job as the demo leaves it, and what is brought in."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.whole = folder / "whole"
        self.tree = folder / "tree"
        if not self.tree.exists():
            compiled(TOP, self.tree)
        if not (self.whole / JOB).exists():
            self.whole.mkdir(parents=True, exist_ok=True)
            used(self.tree, self.whole, ("demo", JOB))
            _whole_visit(self.whole)

    def made(self, command: Command) -> Path:
        """A fresh copy, with what the command makes taken away."""
        here = self.folder / "here"
        shutil.rmtree(here, ignore_errors=True)
        shutil.copytree(self.whole, here)
        for pattern in command.without:
            for path in list((here / JOB).glob(pattern)) if pattern else [here / JOB]:
                shutil.rmtree(path) if path.is_dir() else path.unlink()
        return here

    def start(self, command: Command, here: Path) -> subprocess.Popen[bytes]:
        environment = os.environ | {
            "PYTHONPATH": str(self.tree),
            "OPENBLAS_NUM_THREADS": "1",
            "MPLBACKEND": "agg",
        }
        return subprocess.Popen(
            [sys.executable, "-m", "roomcheck", *command.arguments],
            cwd=here, env=environment, start_new_session=True,
            stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        )  # fmt: skip

    def stopped(self, command: Command, after_s: float) -> Stop:
        """The command, stopped so long after its start."""
        here = self.made(command)
        before = digests(here)
        run = self.start(command, here)
        time.sleep(after_s)
        spent = processor_s(run.pid)
        if run.poll() is not None:
            return Stop(None, 0.0, run.returncode, 0)
        signalled = time.monotonic()
        os.killpg(run.pid, signal.SIGINT)
        _, status, used_s = os.wait4(run.pid, 0)
        run.returncode = os.waitstatus_to_exitcode(status)
        while alive(run.pid):
            time.sleep(0.002)
        wall_s = time.monotonic() - signalled
        left = used_s.ru_utime + used_s.ru_stime - spent
        after = digests(here)
        changed = {way for way in before.keys() | after.keys() if before.get(way) != after.get(way)}
        if changed:
            print(command.title, f"{after_s:.2f} s:", *sorted(changed)[:8], file=sys.stderr)
        return Stop(wall_s, max(left, 0.0), run.returncode, len(changed))

    def row(self, command: Command) -> Row:
        """One command at every moment."""
        here = self.made(command)
        began = time.monotonic()
        code = self.start(command, here).wait()
        takes_s = time.monotonic() - began
        wanted = self._made_files(command, here)
        stops = []
        again = None
        for share in SHARES:
            stops.append(self.stopped(command, share * takes_s))
            if share == 0.5:
                here = self.folder / "here"
                ended = self.start(command, here).wait()
                again = ended == code and self._made_files(command, here) == wanted
        return {
            "takes_s": takes_s,
            "code": code,
            "again": again,
            "stops": [asdict(stop) for stop in stops],
        }

    def _made_files(self, command: Command, here: Path) -> dict[str, str]:
        found = {}
        for name in command.makes:
            found |= {f"{name}/{way}": sha for way, sha in digests(here / JOB / name).items()}
        if command.out:
            found[command.out] = str((here / command.out).exists())
        return found


def alive(group: int) -> bool:
    """Whether any process of a group is there."""
    try:
        os.killpg(group, 0)
    except ProcessLookupError:
        return False
    return True


def _whole_visit(folder: Path) -> None:
    """One recording of three places of the demo's room, and the sweep that was played."""
    import numpy as np
    import soundfile as sf

    from roomcheck.measure import Sweep, export, lay_out

    played = lay_out(Sweep(low_hz=60, high_hz=18_000, seconds=10, rate_hz=48_000), silence_s=2.0)
    export(folder / "swept.wav", played)
    rng = np.random.default_rng(7)
    sweep = played.samples().mean(axis=1)
    parts = []
    for _ in range(3):
        t = np.arange(24_000) / 48_000
        room = 0.02 * rng.standard_normal(len(t)) * np.exp(-6.91 / 0.4 * t)
        room[:480] = 0.0
        room[480] = 1.0
        size = len(sweep) + len(room)
        heard = np.fft.irfft(np.fft.rfft(sweep, size) * np.fft.rfft(room, size), size)
        parts += [heard, np.zeros(96_000)]
    whole = np.concatenate(parts)
    whole = 0.3 * whole / np.abs(whole).max() + 1e-4 * rng.standard_normal(len(whole))
    sf.write(folder / "visit.wav", whole, 48_000, subtype="PCM_24")


Known = Callable[[str, Callable[[Site], Row]], Row | None]
"""A row by its name, found where it is not kept; None where only those are asked for."""

# --- wrong calls

WRONG = (
    ("check", "no-such-job"),
    ("analyse", "no-such-job"),
    ("analyse", JOB, "--visit", "later"),
    ("analyse", JOB, "--speech-over-noise", "loud"),
    ("recommend", JOB, "--plan", "9"),
    ("recommend", JOB, "--move", "Z9", "--plan", "1"),
    ("recommend", JOB, "--pin", "Z9"),
    ("recommend", JOB, "--explain", "99"),
    ("predict", JOB, "--plan", "0"),
    ("predict", JOB, "--plan", "99"),
    ("build", JOB, "--plan", "99"),
    ("build", JOB, "--plan", "two"),
    ("quote", JOB, "--plan", "99"),
    ("quote", JOB, "--sign", "A"),
    ("quote", JOB, "--sign", ""),
    ("quote", JOB, "--sign", "A", "--date", "yesterday"),
    ("quote", JOB, "--change", "Z9"),
    ("verify", JOB, "--unlearn", "nobody"),
    ("verify", "no-such-job"),
    ("report", JOB, "--only", "offer"),
    ("report", JOB, "--plan", "99"),
    ("report", JOB, "--for", "everybody"),
    ("report", JOB, "--only", "scene", "--plan", "99"),
    ("report", JOB, "--only", "scene", "--only", "quote"),
    ("add", JOB, "missing.wav", "--visit", "before", "--source", "S1", "--microphone", "P1"),
    ("add", JOB, "visit.wav", "--visit", "before", "--source", "S9", "--microphone", "P1"),
    ("add", JOB, "visit.wav", "--visit", "before", "--source", "S1", "--microphone", "P9"),
    ("add", JOB, "visit.wav", "--visit", "before", "--source", "S1", "--microphone", "P1", "--sweep", "no.toml"),
    ("takes", JOB, "--remove", "no-such-take"),
    ("set", JOB, "room.hight", "3 m"),
    ("set", JOB, "room.height", "3 cats"),
    ("undo", "no-such-job"),
    ("list", "no-such-list"),
    ("pack", JOB, "--out", "visit.wav"),
    ("unpack", "visit.wav"),
    ("unpack", "missing.zip"),
    ("sweep", "x.wav", "--rate", "7"),
    ("hours", JOB, "Z9", "many"),
    ("new", JOB),
    ("photo", JOB, "missing.jpg"),
    ("open", "no-such-folder", "--no-browser"),
)  # fmt: skip


def refused(site: Site, arguments: tuple[str, ...]) -> Row:
    """One wrong call: code, processor and wall time, the first line that it says."""
    here = site.whole
    before = digests(here)
    environment = os.environ | {"PYTHONPATH": str(site.tree), "OPENBLAS_NUM_THREADS": "1"}
    began, spent = time.monotonic(), os.times()
    done = subprocess.run(
        [sys.executable, "-m", "roomcheck", *arguments],
        cwd=here, env=environment, capture_output=True, text=True, check=False, stdin=subprocess.DEVNULL, timeout=60,
    )  # fmt: skip
    wall_s, now = time.monotonic() - began, os.times()
    took_s = now.children_user + now.children_system - spent.children_user - spent.children_system
    said = (done.stderr.strip().splitlines() or [""])[-1]
    return {
        "code": done.returncode,
        "processor_s": took_s,
        "wall_s": wall_s,
        "said": said,
        "same": digests(here) == before,
    }


def lines(
    folder: Path | None = None, what: str | None = None, *, only_kept: bool = False
) -> Iterator[str]:
    """Both tables, as markdown; a folder keeps the rows, for going on or for showing those alone."""
    if folder is None:
        with tempfile.TemporaryDirectory() as made:
            yield from lines(Path(made), what)
        return
    folder.mkdir(parents=True, exist_ok=True)
    journal = folder / "rows.json"
    rows: dict[str, Row] = json.loads(journal.read_text("utf-8")) if journal.exists() else {}
    site: Site | None = None

    def known(name: str, find: Callable[[Site], Row]) -> Row | None:
        nonlocal site
        if name not in rows and not only_kept:
            site = site or Site(folder)
            rows[name] = find(site)
            journal.write_text(json.dumps(rows, indent=1), "utf-8")
        return rows.get(name)

    if what in (None, "stops"):
        yield from _stops(known)
    if what in (None, "refusals"):
        yield from _refusals(known)
    one, _, quarter = os.getloadavg()
    yield f"Load of the machine over the last minute and quarter of an hour: {one:.1f}, {quarter:.1f}; {os.cpu_count()} cores."


def _stops(known: Known) -> Iterator[str]:
    yield "| command | takes, wall [s] | worst wall after Ctrl-C [s] | worst processor time after it [s] | stopped | files changed | goes on |"
    yield "|---|---:|---:|---:|---:|---:|---|"
    for command in COMMANDS:
        row = known(command.title, lambda site, command=command: site.row(command))
        if row is None:
            continue
        stops = [stop for stop in row["stops"] if stop["wall_s"] is not None]
        worst = max((stop["wall_s"] for stop in stops), default=0.0)
        processor = max((stop["processor_s"] for stop in stops), default=0.0)
        changed = sum(stop["changed"] for stop in stops)
        again = "the same bytes" if row["again"] else "NO"
        yield f"| {command.title} | {row['takes_s']:.1f} | {worst:.2f} | {processor:.2f} | {len(stops)} | {changed} | {again} |"
    yield ""


def _refusals(known: Known) -> Iterator[str]:
    yield "| wrong call | processor time [s] | wall [s] | ended with | job as it was |"
    yield "|---|---:|---:|---:|---|"
    for arguments in WRONG:
        name = " ".join(f"“{word}”" if not word or " " in word else word for word in arguments)
        row = known(name, lambda site, arguments=arguments: refused(site, arguments))
        if row is None:
            continue
        yield f"| {name} | {row['processor_s']:.2f} | {row['wall_s']:.2f} | {row['code']} | {'yes' if row['same'] else 'NO'} |"
    yield ""


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("what", nargs="?", choices=("stops", "refusals"))
    parser.add_argument("--folder", type=Path, help="keep the rows there, and go on from them")
    parser.add_argument("--only-kept", action="store_true", help="show those rows, run nothing")
    given = parser.parse_args()
    for line in lines(given.folder, given.what, only_kept=given.only_kept):
        print(line, flush=True)


if __name__ == "__main__":
    main()
