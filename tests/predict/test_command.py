"""The command, on the story room."""

from __future__ import annotations

import json

import pytest

from roomcheck.cli import main
from roomcheck.predict import outlook
from roomcheck.report import outlook_blocks, text_of
from roomcheck.words import Reader


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


def test_the_answer_stands_first_and_everything_fits_80_columns(make_job):
    forecast = outlook(make_job(), (), None)
    short, long = (
        text_of(outlook_blocks(forecast, Reader(), everything=everything))
        for everything in (False, True)
    )
    first = " ".join(short.split("\n\n")[0].split())
    assert first.startswith(f"Expected as planned: {forecast.prediction.mid_likely_s:.2f} s")
    assert all(len(line) <= 80 for line in long.splitlines())
    assert len(short.splitlines()) <= 40 < len(long.splitlines())


def test_without_the_tracer_only_the_second_opinion_is_missing(tmp_path, capsys, monkeypatch):
    """As on a Python for which pyroomacoustics has no wheel."""
    import sys

    from roomcheck.cli import main

    monkeypatch.setitem(sys.modules, "pyroomacoustics", None)
    size = ["--length", "4 m", "--width", "3 m", "--height", "2.5 m"]
    assert main(["new", str(tmp_path / "room"), *size, "--use", "meeting room"]) == 0
    assert main(["predict", str(tmp_path / "room"), "--second"]) == 2
    said = capsys.readouterr().err
    assert "pip install pyroomacoustics" in said and "Simulating" not in said
