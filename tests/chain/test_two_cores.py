"""Work side by side gives what work in turn gives, in its order, with its errors, and stops at once."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from functools import partial
from pathlib import Path

import pytest

from roomcheck.chain import two_cores

needs_copies = pytest.mark.skipif(
    sys.platform != "linux" or len(os.sched_getaffinity(0)) < 2, reason="no second core to use"
)


def whose(i: int) -> tuple[int, float, int]:
    return i, 0.1 * i, os.getpid()


@needs_copies
def test_results_come_in_their_order_from_copies(monkeypatch):
    monkeypatch.setattr(two_cores, "_may_copy", lambda: True)
    found = list(two_cores.side_by_side([partial(whose, i) for i in range(9)]))
    assert [one[:2] for one in found] == [(i, 0.1 * i) for i in range(9)]
    assert os.getpid() not in {one[2] for one in found[1:]}


def test_little_work_and_a_single_core_stay_here(monkeypatch):
    monkeypatch.setattr(two_cores, "_may_copy", lambda: True)
    few = [partial(whose, i) for i in range(two_cores.LEAST_PIECES - 1)]
    assert {one[2] for one in two_cores.side_by_side(few)} == {os.getpid()}
    monkeypatch.setattr(two_cores, "_cores", lambda: 1)
    many = [partial(whose, i) for i in range(9)]
    assert {one[2] for one in two_cores.side_by_side(many)} == {os.getpid()}


@needs_copies
def test_an_error_is_raised_where_the_work_was_asked_for(monkeypatch):
    monkeypatch.setattr(two_cores, "_may_copy", lambda: True)

    class Unpicklable(Exception):
        def __init__(self, *, only_by_name: str) -> None:
            super().__init__(only_by_name)

    def fails(i: int) -> int:
        if i == 3:
            raise Unpicklable(only_by_name="third")
        return i

    found = two_cores.side_by_side([partial(fails, i) for i in range(6)])
    assert [next(found) for _ in range(3)] == [0, 1, 2]
    with pytest.raises(Unpicklable, match="third"):
        next(found)


@needs_copies
def test_the_keyboard_stops_both_at_once():
    script = (
        "import os, time\n"
        "from roomcheck.chain.two_cores import side_by_side\n"
        "def work():\n    os.write(1, f'{os.getpid()}\\n'.encode())\n    time.sleep(60)\n"
        "list(side_by_side([int] + [work] * 5))"
    )
    run = subprocess.Popen(
        [sys.executable, "-c", script], stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True
    )
    assert run.stdout is not None
    copies = [int(run.stdout.readline()) for _ in range(2)]
    run.send_signal(signal.SIGINT)
    assert run.wait(timeout=30) != 0
    run.stdout.close()
    for pid in copies:
        for _ in range(100):
            if not Path(f"/proc/{pid}").exists():
                break
            time.sleep(0.05)
        assert not Path(f"/proc/{pid}").exists()
