"""Wall sheets and a build sheet before anything was measured: a job that is typed is enough."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

import roomcheck
from roomcheck.chain import open_job
from roomcheck.cli import main
from roomcheck.job import read_signed

STORY_ROOM = Path(roomcheck.__file__).parent / "demo" / "story-room"
PIN = """
[[pin]]
piece = "4 in panel"
face = "west"
left = "3 ft"
bottom = "30 in"
"""


@pytest.fixture
def typed(tmp_path):
    """The demo's job as it is typed: no recording, nothing signed."""
    folder = tmp_path / "job"
    shutil.copytree(STORY_ROOM, folder)
    shutil.rmtree(folder / "signed")
    return folder


def test_every_wall_has_its_sheet_before_anything_hangs(typed, capsys):
    assert main(["report", str(typed), "--json"]) == 0
    files = [Path(file).name for file in json.loads(capsys.readouterr().out)["files"]]
    assert files == ["wall-sheets.pdf", "wall-sheets.html"]
    page = (typed / "documents" / "wall-sheets.html").read_text("utf-8")
    for wall in ("South", "East", "North", "West"):
        assert f">{wall}</h" in page
    assert "before anything was measured" in page and "Do not hang" not in page
    assert "window" in page and "door" in page
    assert open_job(typed).placed_sheet is None


def test_what_a_person_placed_is_on_its_wall_with_cleat_and_screws(typed, capsys):
    path = typed / "job.toml"
    path.write_text(path.read_text("utf-8") + PIN, "utf-8")
    assert main(["report", str(typed)]) == 0
    page = (typed / "documents" / "wall-sheets.html").read_text("utf-8")
    assert "A1" in page and "A stud is elsewhere, the wall leans" in page
    capsys.readouterr()
    assert main(["build", str(typed), "--json"]) == 0
    sheet = json.loads(capsys.readouterr().out)
    (line,) = sheet["hanging"]
    # 3 ft and the bottom at 30 in with 4 ft on top: 6 ft 6 in; of west, 2 ft wide.
    assert (line["name"], line["face"]) == ("A1", "west")
    assert line["top_m"] == pytest.approx(78 * 0.0254) and line["width_m"] == pytest.approx(0.6096)
    assert sheet["purchases"] and [piece["names"] for piece in sheet["sheets"]] == [["A1"]]


def test_a_signed_job_without_its_recordings_keeps_its_own_sheet(tmp_path, capsys):
    folder = tmp_path / "job"
    shutil.copytree(STORY_ROOM, folder)
    assert main(["build", str(folder), "--json"]) == 0
    sheet = json.loads(capsys.readouterr().out)
    names = {piece["name"] for piece in read_signed(folder).plain["plan"]["pieces"]}
    assert {line["name"] for line in sheet["hanging"]} == names
