"""The same job gives the same bytes, in results and in documents: whatever the order of hashes, the
cores, what ran before, and who else works."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from roomcheck import open_job

NAMES = ("analysis-before", "verdict", "plans", "quotes", "build-sheet")
ON_ONE_CORE = "import os; os.sched_setaffinity(0, {min(os.sched_getaffinity(0))})\n"
RUN = (
    "import sys, roomcheck\n"
    "from roomcheck.chain import two_cores\n"
    "print(two_cores._may_copy())\n"
    "c = roomcheck.open_job(sys.argv[1]); c.verdict, c.quotes, c.sheet, c.documents"
)
RUN_AFTER_ANOTHER = (
    f"{ON_ONE_CORE}"
    "import sys, roomcheck\n"
    "for folder in sys.argv[1:]:\n"
    "    c = roomcheck.open_job(folder); c.verdict, c.quotes, c.sheet"
)
"""Every job named, one after another, on one core that it cannot leave."""
SPIN = f"{ON_ONE_CORE}while True: pass"


KINDS = {".pdf", ".html", ".csv", ".dxf", ".svg", ".wav", ".txt"}
"""Of the files that people read, hear and cut from."""


def bytes_of(folder: Path) -> dict[str, bytes]:
    kept = {name: (folder / "results" / f"{name}.json").read_bytes() for name in NAMES}
    made = [
        path for kind in ("documents", "shop", "results") for path in (folder / kind).rglob("*")
    ]
    read = {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in made
        if path.suffix in KINDS
    }
    return kept | read


@pytest.mark.skipif(not hasattr(os, "sched_setaffinity"), reason="cores cannot be chosen here")
@pytest.mark.parametrize("hash_seed", ["1"])
def test_hash_order_cores_load_and_history_change_no_byte(folder, tmp_path, monkeypatch, hash_seed):
    """Once in this process, after all that it did before, in turn as on a single core; once in a
    new one, side by side on all cores, of which another busy process takes one."""
    monkeypatch.setattr("roomcheck.chain.two_cores._cores", lambda: 1)
    alone = tmp_path / "alone" / folder.name
    shutil.copytree(folder, alone, ignore=shutil.ignore_patterns("results", "documents"))
    busy = subprocess.Popen([sys.executable, "-c", SPIN])
    try:
        done = subprocess.run(
            [sys.executable, "-c", RUN, str(alone)],
            env=os.environ | {"PYTHONHASHSEED": hash_seed, "OPENBLAS_NUM_THREADS": "1"},
            capture_output=True,
            text=True,
            check=True,
        )
    finally:
        busy.kill()
        busy.wait()
    assert done.stdout.strip() == str(sys.platform == "linux")
    assert open_job(folder).documents.files
    here, there = bytes_of(folder), bytes_of(alone)
    assert {Path(name).suffix for name in here} >= KINDS
    assert here.keys() == there.keys()
    assert [name for name in here if here[name] != there[name]] == []
    # Once more, of what is kept.
    shutil.rmtree(folder / "documents")
    (folder / "results" / "documents.json").unlink()
    assert open_job(folder).documents.files
    twice = bytes_of(folder)
    assert [name for name in here if here[name] != twice.get(name)] == []
    # What both ears get was kept: another client asks for other papers, not for other sounds.
    monkeypatch.setattr("roomcheck.report.make.ears_of", None)
    shutil.rmtree(folder / "documents")
    head, client, rest = (folder / "job.toml").read_text("utf-8").partition("[client]")
    rest = rest.replace('name = "', 'name = "Old ', 1)
    (folder / "job.toml").write_text(f"{head}{client}{rest}", "utf-8")
    assert open_job(folder).documents.files
    heard = {name for name in there if "/listening/" in name}
    again = bytes_of(folder)
    assert heard
    assert again["documents/proposal.html"] != there["documents/proposal.html"]
    assert [name for name in heard if again[name] != there[name]] == []


@pytest.mark.skipif(not hasattr(os, "sched_setaffinity"), reason="cores cannot be chosen here")
def test_another_job_before_it_one_core_and_another_hash_seed_change_no_result(folder, tmp_path):
    """What this process worked out on all its cores, beside a new one that had another room to do
    first: a lower one, planned for other limits."""
    here = {name: (folder / "results" / f"{name}.json").read_bytes() for name in NAMES}
    first, then = tmp_path / "first" / folder.name, tmp_path / "then" / folder.name
    for copy in (first, then):
        shutil.copytree(folder, copy, ignore=shutil.ignore_patterns("results", "documents"))
    text = (first / "job.toml").read_text("utf-8")
    lower = re.sub(r"(?m)^height = .*$", 'height = "2.4 m"', text, count=1)
    assert lower != text
    (first / "job.toml").write_text(lower, "utf-8")
    subprocess.run(
        [sys.executable, "-c", RUN_AFTER_ANOTHER, str(first), str(then)],
        env=os.environ | {"PYTHONHASHSEED": "7", "OPENBLAS_NUM_THREADS": "1"},
        check=True,
    )
    there = {name: (then / "results" / f"{name}.json").read_bytes() for name in NAMES}
    other = {name: (first / "results" / f"{name}.json").read_bytes() for name in NAMES}
    assert [name for name in NAMES if here[name] != there[name]] == []
    assert other["plans"] != here["plans"]
