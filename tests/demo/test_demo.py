"""The demo: a stranger's first minute. Its recordings are simulated, so what is checked is the
chain, not a room."""

from __future__ import annotations

import json

import pytest

from roomcheck.chain import open_job
from roomcheck.cli import main
from roomcheck.demo import DemoNotHere, demo, recordings
from roomcheck.job import load_job, read_signed
from roomcheck.recommend import PlanKind


def test_the_demo_runs_from_recordings_to_documents(told):
    folder = told.folder
    names = {path.name for path in (folder / "documents").glob("*.pdf")}
    assert {
        "measurement-before.pdf",
        "proposal.pdf",
        "shop-and-install.pdf",
        "before-and-after.pdf",
    } <= names
    whole = " ".join(told.said.split())
    assert "made up" in whole and "The promise is kept" in whole and "roomcheck add" in whole
    assert "HighsMip" not in told.said
    assert all(len(line) <= 80 for line in told.said.splitlines())
    assert all((folder / "documents" / name).read_bytes().startswith(b"%PDF") for name in names)
    promise = json.loads((folder / "results" / "verification.json").read_text(encoding="utf-8"))
    assert str(promise).count("band_hz") >= 5
    _tells_one_story(folder)


def _hung(plan):
    """What hangs where, to the millimetre."""
    return [
        (piece.name, piece.piece, piece.face, round(piece.place.u_m, 3), round(piece.place.v_m, 3))
        for piece in plan.pieces
    ]


def _tells_one_story(folder):
    """What is offered today is what was signed, built and measured.

    Where this fails, the planner chooses otherwise now: sign the demo anew, as
    sample_audio/sign_demo.py says.
    """
    chain = open_job(folder)
    signed = chain.agreement
    target = next(i for i, plan in enumerate(chain.plans) if plan.kind is PlanKind.TARGET)
    assert _hung(signed.plan) == _hung(chain.plans[target])
    assert signed.quote.total == chain.quotes[target].total


def test_what_was_signed_travels_with_the_demo_and_its_takes_are_untouched(tmp_path):
    job = demo(tmp_path / "story-room")
    assert read_signed(job.folder) is not None and job.made_up
    for visit in ("before", "after"):
        for source in sorted((recordings() / visit).glob("*.flac")):
            assert (job.folder / "takes" / visit / source.name).read_bytes() == source.read_bytes()
    again = demo(tmp_path / "story-room")  # a second time uses what is there
    assert again == load_job(job.folder)
    assert len(list((job.folder / "takes" / "before").glob("*.flac"))) == 6


def test_a_folder_of_somebody_elses_is_left_alone(tmp_path, capsys):
    (tmp_path / "job.toml").write_text("mine", encoding="utf-8")
    with pytest.raises(DemoNotHere, match="name another"):
        demo(tmp_path)
    assert main(["demo", str(tmp_path)]) == 2
    assert (tmp_path / "job.toml").read_text(encoding="utf-8") == "mine"
    assert [path.name for path in tmp_path.iterdir()] == ["job.toml"]
    assert "roomcheck: " in capsys.readouterr().err


def test_what_a_person_changed_in_the_demo_stays(tmp_path):
    folder = demo(tmp_path / "room").folder
    signed = next(folder.glob("signed/*.toml"))
    changed = signed.read_text(encoding="utf-8") + "\n# mine\n"
    signed.write_text(changed, encoding="utf-8")
    taken_away = folder / "shop.toml"
    taken_away.unlink()
    demo(folder)
    assert signed.read_text(encoding="utf-8") == changed
    assert taken_away.is_file()
    (folder / "job.toml").write_text("# mine\n", encoding="utf-8")
    with pytest.raises(DemoNotHere, match="not the demo as it comes"):
        demo(folder)
    with pytest.raises(DemoNotHere):
        demo(signed)


@pytest.mark.parametrize(
    "arguments",
    [
        ["analyse", "nowhere"],
        ["recommend", "nowhere"],
        ["predict", "nowhere"],
        ["build", "nowhere"],
        ["quote", "nowhere"],
        ["verify", "nowhere"],
        ["report", "nowhere"],
    ],
)
def test_a_missing_job_is_said_in_one_line_and_exits_2(arguments, tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    assert main(arguments) == 2
    shown = capsys.readouterr()
    assert shown.out == "" and "nowhere" in shown.err and "Traceback" not in shown.err
    assert list(tmp_path.iterdir()) == []


def test_json_is_alone_on_standard_output(tmp_path, capsys):
    demo(tmp_path / "room")
    capsys.readouterr()
    assert main(["analyse", str(tmp_path / "room"), "--json"]) == 0
    shown = json.loads(capsys.readouterr().out)
    assert {"analysis", "verdict"} <= set(shown)
    assert len(shown["analysis"]["positions"]) == 6
