"""Long work says how much of it is done, and keeps still for a question."""

from __future__ import annotations

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
