"""roomcheck new and roomcheck check, as a person and as a script run them."""

from __future__ import annotations

import io
import json
import subprocess
import sys

import pytest

from roomcheck.cli import main

SIZES = ["--length", "14' 6\"", "--width", "12 ft", "--height", "8 ft"]


def test_new_then_check(tmp_path, capsys):
    folder = str(tmp_path / "harbour-room")
    assert main(["new", folder, *SIZES, "--use", "meeting room"]) == 0
    assert "roomcheck check" in capsys.readouterr().out
    assert main(["check", folder]) == 0
    out = capsys.readouterr().out
    assert "measure" in out and "not yet" in out and "[[source]]" in out


def test_new_says_all_that_is_missing_where_nobody_can_be_asked(tmp_path, capsys):
    assert main(["new", str(tmp_path / "x"), "--width", "12 ft"]) == 2
    told = capsys.readouterr()
    assert told.out == "" and all(f"--{name}" in told.err for name in ("use", "length", "height"))
    assert not (tmp_path / "x").exists()


def test_new_asks_on_a_terminal_and_asks_again(tmp_path, capsys, monkeypatch):
    answers = [
        "Hall",
        "",
        "podcst room",
        "podcast room",
        "14",
        "14 ft",
        "12 ft",
        "8 ft",
        "Boomy.",
        "",
        "",
        "",
    ]
    typed = io.StringIO("\n".join(answers) + "\n")
    typed.isatty = lambda: True
    monkeypatch.setattr(sys, "stdin", typed)
    assert main(["new", str(tmp_path / "room")]) == 0
    told = capsys.readouterr()
    assert (
        'did you mean "podcast room"' in told.err and '"14 ft"' in told.err and "?" not in told.out
    )
    text = (tmp_path / "room" / "job.toml").read_text(encoding="utf-8")
    assert (
        'title = "Hall"' in text
        and "client" in text
        and 'name = "room"' in text
        and "Boomy." in text
    )


def test_new_stops_where_the_answers_stop(tmp_path, capsys, monkeypatch):
    typed = io.StringIO("Hall\n")
    typed.isatty = lambda: True
    monkeypatch.setattr(sys, "stdin", typed)
    assert main(["new", str(tmp_path / "room")]) == 2
    assert "nothing was made" in capsys.readouterr().err and not (tmp_path / "room").exists()


def test_new_overwrites_nothing(folder, story_text, capsys):
    assert main(["new", str(folder), *SIZES, "--use", "meeting room"]) == 2
    assert "never overwritten" in capsys.readouterr().err
    assert (folder / "job.toml").read_bytes() == story_text.encode()


def test_json_stands_alone_on_standard_output(folder, capsys, tmp_path):
    assert main(["check", str(folder), "--json"]) == 0
    told = capsys.readouterr()
    stages = {one["stage"]: one["ready"] for one in json.loads(told.out)["stages"]}
    assert stages["measure"] and not stages["verify"] and told.err == ""
    assert main(["new", str(tmp_path / "n"), *SIZES, "--use", "cafe", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["file"].endswith("job.toml")


def test_mistakes_are_json_too_and_exit_with_2(folder, story_text, capsys):
    (folder / "job.toml").write_text(
        story_text.replace("schema = 2", "schema = 2\nzebra = 2"), encoding="utf-8"
    )
    assert main(["check", str(folder), "--json"]) == 2
    told = capsys.readouterr()
    (mistake,) = json.loads(told.out)["mistakes"]
    line = story_text[: story_text.index("schema = 2")].count("\n") + 2
    assert (mistake["file"], mistake["line"]) == ("job.toml", line) and "zebra" in told.err


@pytest.mark.parametrize(
    ("stage", "status"), [("measure", 0), ("verify", 2), ("quote", 2), ("bild", 2)]
)
def test_a_script_may_ask_for_one_stage(folder, stage, status):
    assert main(["check", str(folder), "--for", stage]) == status


def test_check_imports_nothing_slow(folder):
    run = [sys.executable, "-X", "importtime", "-m", "roomcheck", "check", str(folder)]
    told = subprocess.run(run, check=True, capture_output=True, text=True).stderr
    modules = {line.rpartition("|")[2].strip() for line in told.splitlines()}
    imported = {name.partition(".")[0] for name in modules}
    assert "tomllib" in imported
    assert "rich.cells" in modules and "rich.console" not in modules  # widths alone
    assert not imported & {
        "scipy",
        "tomlkit",
        "soundfile",
        "sounddevice",
        "matplotlib",
        "pyroomacoustics",
    }
