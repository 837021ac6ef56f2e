"""Long work says how much of it is done, and keeps still for a question."""

from __future__ import annotations

import multiprocessing

import pytest
from rich.text import Text

from roomcheck.chain import Activity, Progress
from roomcheck.cli import progress
from roomcheck.cli.terminal import Doing


class Shown:
    def __init__(self) -> None:
        self.texts: list[str] = []

    def update(self, text: str) -> None:
        self.texts.append(text)

    def stop(self) -> None:
        self.texts.append("stopped")

    def start(self) -> None:
        self.texts.append("started")


def test_the_share_that_is_done_follows_the_text(monkeypatch):
    clock_s = iter((100.0, 130.0, 145.0))
    monkeypatch.setattr("roomcheck.cli.terminal.time.monotonic", lambda: next(clock_s))
    shown = Shown()
    doing = Doing("Looking in visit.wav", shown)
    doing.part(1, 4)
    doing.part(3, 4)
    said = [" ".join(text.split()) for text in shown.texts]
    # 30 s for a quarter are 90 s for the rest; 45 s for three quarters are 15 s.
    assert said[0] == "Looking in visit.wav 25 % done, 90 s left"
    assert said[1] == "Looking in visit.wav 75 % done, 15 s left"


def test_work_that_begins_anew_has_its_own_pace(monkeypatch):
    clock_s = iter((100.0, 160.0, 170.0))
    monkeypatch.setattr("roomcheck.cli.terminal.time.monotonic", lambda: next(clock_s))
    shown = Shown()
    doing = Doing("Looking in visit.wav", shown)
    doing.part(3, 4)
    doing.part(1, 4)
    # What began anew after 60 s had a quarter done 10 s later: 30 s for the rest.
    assert shown.texts[1].endswith("25 % done, 30 s left")


def test_it_keeps_still_for_a_question():
    shown = Shown()
    with Doing("…", shown)():
        shown.texts.append("asked")
    assert shown.texts == ["stopped", "asked", "started"]


def test_nothing_is_shown_where_nobody_looks():
    doing = Doing("Looking in visit.wav")
    doing.part(1, 4)
    with doing():
        pass


@pytest.mark.parametrize(
    "name", ["/a/long/way/" + 9 * "of-folders/" + "visit.wav", "[bold]visit[/].wav"]
)
def test_one_line_of_the_window_holds_a_long_name_and_one_in_brackets(monkeypatch, name):
    monkeypatch.setenv("COLUMNS", "80")
    shown = Shown()
    Doing(f"Listening to {name}", shown).part(1, 4)
    line = Text.from_markup(shown.texts[0]).plain
    assert len("⠋ ") + len(line) <= 80
    assert line.startswith(f"Listening to {name}"[:40])
    assert line.endswith("s left")


class Window:
    """Standard error as a person sees it: the last line, by what was written to it."""

    line, at = "", 0

    def isatty(self) -> bool:
        return True

    def write(self, text: str) -> None:
        for sign in text.replace("\033[K", "\0"):
            if sign == "\n":
                self.line, self.at = "", 0
            elif sign == "\r":
                self.at = 0
            elif sign == "\0":
                self.line = self.line[: self.at]
            else:
                self.line = self.line[: self.at] + sign + self.line[self.at + 1 :]
                self.at += 1

    def flush(self) -> None:
        pass


def test_a_shorter_line_leaves_nothing_of_a_longer_one(monkeypatch):
    window = Window()
    monkeypatch.setattr("sys.stderr", window)
    clock_s = iter((0.0, 30.0, 40.0))
    monkeypatch.setattr("roomcheck.cli.progress.time.monotonic", lambda: next(clock_s))
    seen = []
    for done in (0, 1, 3, 4):
        progress.show_step(Progress(kind=Activity.PLAN, done=done, of=4))
        seen.append(" ".join(window.line.split()))
    # 30 s for a quarter are 90 s for the rest, 40 s for three are 13 s; what is done leaves nothing
    # that a result would stand behind.
    assert seen[1:] == ["25 % done, 90 s left", "75 % done, 13 s left", ""]


def test_a_step_within_another_leaves_nothing_of_its_share(monkeypatch):
    window = Window()
    lines = []
    monkeypatch.setattr("sys.stderr", window)
    real = window.write

    def write(text):
        for part in text.splitlines(keepends=True):
            real(part.removesuffix("\n"))
            if part.endswith("\n"):
                lines.append(window.line.strip())
                real("\n")

    monkeypatch.setattr(window, "write", write)
    outer, inner = Activity.REPORT, Activity.READ
    for kind, done, of in (
        (outer, 0, 1),
        (outer, 1, 9),
        (inner, 0, 1),
        (inner, 1, 2),
        (inner, 1, 1),
    ):
        progress.show_step(Progress(kind=kind, done=done, of=of))
    progress.show_step(Progress(kind=outer, done=5, of=9))
    reading, setting = "Reading the recordings …", "Setting the documents …"
    assert lines == [setting, reading, setting]
    assert window.line.strip().startswith("56 % done")


@pytest.mark.parametrize("show", [progress.show_step, progress.Whole([(Activity.READ, 1)]).show])
def test_a_copy_of_the_process_says_nothing_of_its_steps(show, capfd):
    step = Progress(kind=Activity.READ, done=0, of=1)
    show(step)
    assert capfd.readouterr().err == "Reading the recordings …\n"
    copy = multiprocessing.get_context("fork").Process(target=show, args=(step,))
    copy.start()
    copy.join()
    assert copy.exitcode == 0
    assert capfd.readouterr().err == ""
