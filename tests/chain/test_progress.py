"""How far the work is, from what is done of it, and what a stop leaves."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from roomcheck.chain import Activity, Progress, left, open_job
from roomcheck.demo import demo
from roomcheck.page.base.work import Saying

TAKES = 6


@pytest.fixture
def recorded(tmp_path: Path) -> Path:
    """A job with its takes, nothing worked out yet."""
    demo(tmp_path / "job")
    return tmp_path / "job"


def test_parts_are_counted_one_by_one_up_to_all_of_them(recorded):
    seen: list[Progress] = []
    assert len(open_job(recorded, on_step=seen.append).before.positions) == TAKES
    read = [step for step in seen if step.kind is Activity.READ and step.of > 1]
    assert [(step.done, step.of) for step in read] == [(done, TAKES) for done in range(1, TAKES)]
    heard = [step for step in seen if step.kind is Activity.ANALYSE and step.of > 1]
    assert [step.done for step in heard] == list(range(1, TAKES + 1))
    assert all(step.of > TAKES for step in heard)


def test_the_time_left_is_that_of_the_parts_that_are_left():
    # Two of eight parts took 3 s: six more take 9 s.
    step = Progress(kind=Activity.READ, done=2, of=8)
    assert left(step, 3.0).split() == ["25", "%", "done,", "9", "s", "left"]


def test_the_page_says_the_share_and_the_time_left_of_the_work_that_it_waits_for():
    clock = iter([100.0, 103.0])
    said = Saying(lambda: next(clock))
    assert said.of(Progress(kind=Activity.PLAN, done=0, of=1)) == "Choosing and placing pieces …"
    text = said.of(Progress(kind=Activity.PLAN, done=2, of=8))
    assert text is not None
    assert text.startswith("Choosing and placing pieces … ")
    assert text.split()[-6:] == ["25", "%", "done,", "9", "s", "left"]
    assert said.of(Progress(kind=Activity.PRICE, done=0, of=4)) is None


@pytest.mark.parametrize("at", [1, 4, 9])
def test_a_stop_between_two_parts_leaves_every_file_as_it_was(recorded, contents, at):
    before = contents(recorded)
    seen: list[Progress] = []

    def stop(step: Progress) -> None:
        seen.append(step)
        if len(seen) == at:
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        _ = open_job(recorded, on_step=stop).before
    assert contents(recorded) == before


def test_the_program_says_that_it_was_stopped_and_ends_with_130():
    script = (
        "import roomcheck.cli as cli\n"
        "def stopped(argv):\n"
        "    raise KeyboardInterrupt\n"
        "cli._run = stopped\n"
        "print('before', end='')\n"
        "cli.main()\n"
        "print('after')\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=False
    )
    assert done.returncode == 130
    assert done.stdout == "before"
    assert done.stderr.split() == [
        "roomcheck:",
        "stopped;",
        "what",
        "was",
        "finished",
        "is",
        "kept",
    ]
