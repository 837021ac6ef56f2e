"""A small part of the campaign of `benchmarks/faults.py`: kills, full disks, two at once."""

from __future__ import annotations

import importlib
import sys
from pathlib import Path

import pytest

BENCHMARKS = Path(__file__).parents[1] / "benchmarks"

pytestmark = pytest.mark.skipif(
    not hasattr(__import__("os"), "fork") or not Path("/proc/self/fd").is_dir(),
    reason="cases run in forked processes and look at /proc",
)


@pytest.fixture
def run(monkeypatch):
    """A part of the campaign, in a process of its own: it makes some of what it runs quicker."""
    monkeypatch.syspath_prepend(str(BENCHMARKS))
    forked = importlib.import_module("forked")

    def call(name: str, share: float) -> tuple[int, str]:
        def part() -> int:
            tally = importlib.import_module("faults").run(name, share)
            print("\n".join(tally.faults))
            print(f"{tally.total} cases")
            return 1 if tally.faults or not tally.total else 0

        ended = forked.in_fork(part, wall_s=600.0)
        return ended.code, ended.said

    yield call
    for name in [name for name in sys.modules if name.startswith("faults") or name == "writing"]:
        del sys.modules[name]


@pytest.mark.parametrize(("name", "share"), [("crash", 0.03), ("at_once", 0.03)])
def test_a_small_part_of_the_campaign_finds_nothing(run, name, share):
    code, said = run(name, share)
    assert code == 0, said[-3000:]
