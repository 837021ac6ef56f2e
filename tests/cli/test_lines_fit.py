"""What goes wrong is told in lines that fit the window; a pipe gets it on one line."""

from __future__ import annotations

import io

import pytest

from roomcheck.cli import main
from roomcheck.cli.terminal import WIDTH

COMMAND = ["check", "a-folder-that-is-not-there/" + "under-another/" * 3 + "job"]


class Window(io.StringIO):
    """Where a person looks on."""

    def isatty(self) -> bool:
        return True


@pytest.mark.parametrize(("columns", "widest"), [(60, 60), (200, WIDTH)])
def test_an_error_fits_the_window(
    monkeypatch: pytest.MonkeyPatch, columns: int, widest: int
) -> None:
    window = Window()
    monkeypatch.setenv("COLUMNS", str(columns))
    monkeypatch.setattr("sys.stderr", window)
    assert main(COMMAND) == 2
    lines = window.getvalue().splitlines()
    assert len(lines) > 1
    # A path is never broken: who copies it gets all of it.
    assert any(COMMAND[1] in line for line in lines)
    assert all(len(line) <= widest for line in lines if COMMAND[1] not in line)


def test_a_pipe_gets_one_line(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(COMMAND) == 2
    assert len(capsys.readouterr().err.splitlines()) == 1
