"""`roomcheck recommend` with its options, on the made-up job."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from roomcheck.cli import main


@pytest.fixture(scope="module")
def folder(own_copy: Path) -> Path:
    return own_copy


@pytest.fixture
def ask(folder: Path, capfd: pytest.CaptureFixture[str]):
    def run(*words: str, job: Path = folder) -> str:
        assert main(["recommend", str(job), *words]) == 0
        return capfd.readouterr().out

    return run


def test_the_answer_stands_first_with_whole_prices_in_80_columns(ask):
    short = ask()
    assert short.startswith(("Reached\n", "Not reached\n"))
    assert len(short.splitlines()) <= 40
    assert all(len(line) <= 80 for text in (short, ask("--all")) for line in text.splitlines())
    totals = [line.split()[-1] for line in short.splitlines() if line[:2] in ("1:", "2:", "3:")]
    assert all(total.startswith("$") and total[-3] == "." for total in totals if "$" in total)
    assert "HighsMip" not in short


def test_one_plan_lists_its_pieces_by_face(ask):
    plan = json.loads(ask("--plan", "2", "--json"))
    text = ask("--plan", "2", "--all")
    assert plan["kind"] == "what the target needs"
    for piece in plan["pieces"]:
        assert any(line.startswith(f"{piece['name']} ") for line in text.splitlines())
        assert piece["reasons"][0]["kind"]
    assert all(len(line) <= 80 for line in text.splitlines())


def test_a_piece_is_explained_moved_forbidden_and_kept(ask, folder, tmp_path):
    first = json.loads(ask("--plan", "2", "--json"))["pieces"][0]
    why = json.loads(ask("--explain", "A1", "--json"))
    assert (why["piece"], why["face"]) == (first["piece"], first["face"])
    assert ask("--explain", "A1").startswith(f"A1: {first['piece']} on the {first['face']}")
    job = shutil.copytree(folder, tmp_path / "room")
    tried = ask("--forbid", "A1", job=job)
    assert tried.startswith("What the change costs") and "Nothing is written yet" in tried
    kept = ask("--pin", "A1", "--keep", job=job)
    assert "Kept in job.toml" in kept and "[[pin]]" in (job / "job.toml").read_text("utf-8")
    drawn = ask("--drawings", str(tmp_path / "drawings"), job=job)
    assert all(Path(line).exists() for line in drawn.split())
    ask("--clear", "--plan", "2", job=job)
    assert "[[pin]]" not in (job / "job.toml").read_text("utf-8")


def test_a_piece_is_moved_and_all_changes_are_cleared(ask, folder, tmp_path):
    job = shutil.copytree(folder, tmp_path / "room")
    before = (job / "job.toml").read_text("utf-8")
    piece = json.loads(ask("--plan", "2", "--json", job=job))["pieces"][0]
    place = piece["place"]
    where = [piece["face"], f"{place['u_m']} m", f"{place['v_m']} m"]
    moved = ask("--move", piece["name"], *where, "--keep", job=job)
    assert "Kept in job.toml" in moved
    kept = (job / "job.toml").read_text("utf-8")
    assert kept.count("[[pin]]") == before.count("[[pin]]") + 1
    ask("--clear", "--plan", "1", "--json", job=job)
    assert "\n[[pin]]" not in (job / "job.toml").read_text("utf-8")
