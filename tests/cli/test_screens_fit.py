"""Every list of a large job fits a screen: 80 columns, 40 lines, unless all of it is asked for."""

from __future__ import annotations

import shutil
from hashlib import sha256
from pathlib import Path

import pytest

import roomcheck.demo
from roomcheck.cli import main

COLUMNS, LINES = 80, 40
PLACES, PATCHES = 40, 60
NO_RECORDING = b"no recording"


@pytest.fixture(scope="module")
def large_job(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The made-up room with forty more microphones, sixty pictures and a take at every place."""
    folder = tmp_path_factory.mktemp("large") / "job"
    shutil.copytree(Path(roomcheck.demo.__file__).parent / "story-room", folder)
    path = folder / "job.toml"
    places = [
        f'[[microphone]]\nname = "Q{i}"\nx = "{5 + i % 10 * 0.5} ft"\n'
        f'y = "{4 + i // 10 * 1.1:.1f} ft"\nz = "4 ft"\n'
        for i in range(PLACES)
    ]
    pictures = [
        f'[[patch]]\nname = "picture {i}"\nface = "ceiling"\nmaterial = "solid wooden door"\n'
        f'left = "{0.2 + 0.2 * i:.1f} ft"\nbottom = "0.3 ft"\nwidth = "2 in"\nheight = "3 in"\n'
        for i in range(PATCHES)
    ]
    path.write_text("\n".join([path.read_text("utf-8"), *places, *pictures]), "utf-8")
    digest = sha256(NO_RECORDING).hexdigest()
    takes = folder / "takes" / "before"
    takes.mkdir(parents=True)
    for i in range(PLACES):
        (takes / f"S1-Q{i}.flac").write_bytes(NO_RECORDING)
        (takes / f"S1-Q{i}.toml").write_text(
            f'schema = 1\nsource = "S1"\nmicrophone = "Q{i}"\nchannel = 1\n'
            f'came_as = "S1-Q{i}.flac"\nsha256 = "{digest}"\n'
            f'take = 1\nfile = "S1-Q{i}.flac"\n\n[sweep]\nrate_hz = 48000\n'
            "low_hz = 40.0\nhigh_hz = 20000.0\nseconds = 4.0\n",
            "utf-8",
        )
    return folder


COMMANDS = (
    "check JOB",
    "takes JOB",
    "found JOB",
    "devices",
    "list materials",
    "list stock",
    "list stock --job JOB",
    "list uses",
    "list findings",
    "list clearances",
)


@pytest.mark.parametrize("command", COMMANDS)
def test_a_command_on_a_large_job_fits_a_screen(
    command: str,
    large_job: Path,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv("COLUMNS", str(COLUMNS))
    words = [str(large_job) if word == "JOB" else word for word in command.split()]
    assert main(words) == 0
    shown = capsys.readouterr().out
    lines = shown.splitlines()
    assert 0 < len(lines) <= LINES
    assert max(map(len, lines)) <= COLUMNS
    assert "\x1b" not in shown


@pytest.mark.parametrize(("command", "least"), [("check JOB", 500), ("takes JOB", PLACES)])
def test_all_of_it_is_shown_where_it_is_asked_for(
    command: str, least: int, large_job: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    words = [str(large_job) if word == "JOB" else word for word in command.split()]
    main(words)
    assert "--all shows the other" in capsys.readouterr().out
    main([*words, "--all"])
    shown = capsys.readouterr().out
    assert len(shown.splitlines()) >= least and "--all shows" not in shown
