"""The command, on the story room."""

from __future__ import annotations

import json

import pytest

from roomcheck.cli import main
from roomcheck.cli.office.predict import show_prediction
from roomcheck.predict import predict


def test_a_plan_may_be_named_by_its_number_alone(capsys):
    with pytest.raises(SystemExit):
        main(["predict", "--help"])
    said = capsys.readouterr().out
    assert "[PLAN]" in said and "roomcheck predict harbour-room 2" in said


def test_a_room_without_a_visit_is_predicted_from_its_materials(tmp_path, capsys):
    sizes = ["--use", "podcast room", "--length", "5 m", "--width", "4 m", "--height", "2.6 m"]
    assert main(["new", str(tmp_path / "room"), *sizes]) == 0
    capsys.readouterr()
    assert main(["predict", str(tmp_path / "room"), "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert {"before", "after", "notes", "draws", "methods_after", "seats", "modes"} <= set(found)
    kilo = next(d for d in found["draws"] if d["band_hz"] == 1000.0)
    band = next(b for b in found["after"] if b["band_hz"] == 1000.0)
    assert sorted(kilo["after_s"])[len(kilo["after_s"]) // 2] == pytest.approx(
        band["likely_s"], rel=0.01
    )


def test_the_tables_fit_a_page(make_job, capsys):
    show_prediction(predict(make_job(), (), simulate=False))
    assert all(
        len(line) <= 130
        for line in capsys.readouterr().out.splitlines()
        if "│" in line or "─" in line
    )
