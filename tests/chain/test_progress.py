"""How far the work is, from what is done of it, and what a stop leaves."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from roomcheck.chain import Activity, Progress, Steps, left, open_job
from roomcheck.cli.office.demo import WORK
from roomcheck.cli.progress import Whole
from roomcheck.demo import demo
from roomcheck.page.base.work import Saying
from roomcheck.predict.answer import second_opinion
from roomcheck.predict.answer.statistics import ends_of

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


def test_every_part_is_told_once_and_none_is_taken_back(folder, monkeypatch):
    """Of the demo's made-up job: the room, the forecast with its second opinion, the lesson."""
    times_s = np.arange(4000) / 4000
    traced = (times_s, np.exp(-27.6 * times_s))
    monkeypatch.setattr(second_opinion, "traced_power", lambda *given, **named: traced)
    seen: list[Progress] = []
    chain = open_job(folder, on_step=seen.append)
    chain.sign("A. Client", "2026-03-02")
    _ = chain.site, chain.lesson
    bands = sum(not band.reasons for band in chain.outlook_with(second=True).prediction.before)
    places = min(len(ends_of(chain.job)), second_opinion.MOST_ENDS)
    for kind, of in (
        (Activity.CALIBRATE, 3),
        (Activity.LEARN, 2),
        (Activity.SIMULATE, 5 + bands * places),
    ):
        told = [step for step in seen if step.kind is kind and step.of > 1]
        assert [step.done for step in told] == list(range(1, of))
        assert {step.of for step in told} == {of}


def test_the_demo_says_one_share_of_everything_that_never_falls(tmp_path):
    whole, shares, laid = Whole(WORK), [0.0], []
    steps = Steps(on_step=laid.append)
    demo(tmp_path / "job", steps)
    assert [step.done for step in laid] == [0, *range(1, 2 * TAKES), 1]
    for kind in [Activity.JUDGE, *(kind for kind, _ in WORK[1:]), Activity.VERIFY]:
        laid += [Progress(kind=kind, done=done, of=5) for done in range(6)]
    for step in laid:
        shares.append(whole.share(step))
    assert shares == sorted(shares)
    assert len(set(shares)) == 1 + 2 * TAKES + 5 * len(WORK[1:])
    assert shares[-1] == 1.0
    # Where all but the documents is kept, their share goes on from everything before them.
    again = Whole(WORK)
    halves = [again.share(Progress(kind=Activity.REPORT, done=done, of=2)) for done in range(3)]
    documents = dict(WORK)[Activity.REPORT] / sum(size for _, size in WORK)
    assert halves == pytest.approx([1 - documents, 1 - documents / 2, 1.0])


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
    assert said.of(Progress(kind=Activity.JUDGE, done=0, of=1)) is None


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
