"""Predictions against rooms that others measured and published.

Each set proves only so much; what limits it stands beside the check.
"""

from __future__ import annotations

import csv
import dataclasses

import numpy as np
import pytest

from roomcheck.geometry import Point, Rectangle, Room
from roomcheck.job import Placement, Position
from roomcheck.predict import predict
from roomcheck.predict.room.formulas import eyring_s, sabine_s
from roomcheck.standards import (
    air_absorption_db_per_m,
    energy_attenuation_per_m,
    speed_of_sound_m_s,
)

from .conftest import PANEL, analysis_of, row

OCTAVES_HZ = (125.0, 250.0, 500.0, 1000.0, 2000.0, 4000.0)


def thirds(path, line):
    """Values of a text table: frequencies in its first line, values in the lines after."""
    lines = [[float(x) for x in text.split(",")] for text in path.read_text().splitlines()]
    return np.array(lines[0]), np.array(lines[line])


def octave_means(path, line):
    frequency, value = thirds(path, line)
    at = [int(np.argmin(np.abs(frequency - band))) for band in OCTAVES_HZ]
    return np.array([value[i - 1 : i + 2].mean() for i in at])


def test_the_seminar_room_by_eyring_and_air(measured_data):
    """BRAS scene CR2 (Aspoeck et al. 2020, DOI 10.14279/depositonce-6726.3): T20 averaged over all
    positions.

    Its coefficients were fitted to the measured decay with Eyring's formula: this checks formula
    and air, not foresight.
    """
    folder = measured_data / "bras-cr2-seminar-room"
    areas = {"plaster": 34.93, "concrete": 56.94, "windows": 9.75, "floor": 49.29, "ceiling": 51.62}
    A = sum(area * octave_means(folder / f"mat_CR2_{name}.csv", 1) for name, area in areas.items())
    air = [
        energy_attenuation_per_m(air_absorption_db_per_m(band, 19.5, 41.7)) for band in OCTAVES_HZ
    ]
    T = eyring_s(146.1, 202.53, A, air_per_m=air, speed_m_s=speed_of_sound_m_s(19.5))
    measured = octave_means(folder / "Evaluation_CR2_T20.txt", 1)
    assert pytest.approx(measured, rel=0.03) == T
    # Without air the 4 kHz octave would be a tenth too long: the check sees it.
    assert float(eyring_s(146.1, 202.53, A, speed_m_s=343.0)[-1]) > 1.08 * measured[-1]


def nest(measured_data):
    with (measured_data / "nest-auditorium-panels" / "rt.csv").open() as file:
        rows = {float(r["octave_hz"]): r for r in csv.DictReader(file)}
    with (measured_data / "nest-auditorium-panels" / "panel.csv").open() as file:
        lines = list(csv.reader(file))  # one line a quantity, not one a band
        alpha = {float(b): float(a) for b, a in zip(lines[0][1:], lines[1][1:], strict=True)}
    bands = (
        500.0,
        1000.0,
        2000.0,
        4000.0,
    )  # the published 250 Hz "before" is a blunder, 125 Hz was not measured
    before = {b: float(rows[b]["before_measured_s"]) for b in bands}
    after = {
        b: np.mean([float(rows[b][f"after_measured_R{i}_T30_s"]) for i in (3, 4, 5)]) for b in bands
    }
    return bands, before, after, alpha


def test_the_auditorium_with_twelve_panels_by_sabine(measured_data):
    """A school auditorium of 2832 m3 before and after 35.7 m2 of panels (student consulting
    project, 2018-2019).

    Measured by two methods a year apart, occupancy not told: sign and 25 % is what it can prove.
    """
    bands, before, after, alpha = nest(measured_data)
    for b in bands:
        A = 24 * np.log(10) * 2832 / (343 * before[b])
        T = float(sabine_s(2832, A + 35.7 * alpha[b], speed_m_s=343))
        assert before[b] > T
        assert pytest.approx(after[b], rel=0.25) == T


def test_the_auditorium_predicted_with_its_range(measured_data, make_job, table):
    """The same through the stage: a hall of that volume whose surfaces nobody listed, told by its
    "before"."""
    bands, before, after, alpha = nest(measured_data)
    table["gypsum"] = table["carpet"] = row("hall", [0.15] * 6, u=1.0)
    table["board"] = row("board", [alpha[b] for b in OCTAVES_HZ], u=0.1)
    board = dataclasses.replace(PANEL, name="board", core=None, material="board")
    spot = (Position(name="R3", point=Point(12.0, 8.0, 1.2)),)
    job = make_job(
        Room.box(20.0, 17.0, 2832 / 340),
        sources=(Position(name="S", point=Point(3, 9, 1.5)),),
        microphones=spot,
    )
    job = dataclasses.replace(job, shop=dataclasses.replace(job.shop, stock=(board,)))
    hung = (Placement(name="A1", piece="board", face="north", place=Rectangle(1, 2, 35.7 / 3, 3)),)
    found = {
        b.band_hz: b for b in predict(job, hung, analysis_of(before, transition_hz=60.0)).after
    }
    for b in bands:
        assert found[b].likely_s < before[b]
        assert found[b].likely_s == pytest.approx(after[b], rel=0.25)


def test_curtains_drawn_in_a_laboratory(measured_data, make_job, table):
    """A room of 8.1 x 6.8 x 3.07 m, curtains open and drawn (TU Delft bachelor project, 2024); T30
    by open libraries.

    One position, a bent decay, and cloth whose make nobody wrote down: heavy velour is assumed
    (Bies, Hansen and Howard 2017, Table 6.2), drawn around 6.32 x 4.31 m as the project notes.
    Direction and rough size can be checked.
    """

    def read(state):
        path = (
            measured_data / "tudelft-curtains" / f"other_libraries_curtains_{state}_real_room_3.csv"
        )
        with path.open() as file:
            return {float(r["octave_hz"]): float(r["pyrato_T30_s"]) for r in csv.DictReader(file)}

    bands = (500.0, 1000.0, 2000.0, 4000.0)
    opened, drawn = read("open"), read("closed")
    table["gypsum"] = table["carpet"] = row("laboratory", [0.3] * 6, u=0.7)
    table["velour"] = row("velour", (0.14, 0.35, 0.55, 0.72, 0.70, 0.65))
    cloth = dataclasses.replace(PANEL, name="cloth", core=None, material="velour")
    job = make_job(
        Room.box(8.1, 6.8, 3.07),
        sources=(Position(name="S", point=Point(3.37, 1.63, 1.08)),),
        microphones=(Position(name="P1", point=Point(1.66, 3.33, 0.99)),),
    )
    job = dataclasses.replace(job, shop=dataclasses.replace(job.shop, stock=(cloth,)))
    hung = tuple(
        Placement(name=face, piece="cloth", face=face, place=Rectangle(0.2, 0.0, width, 3.07))
        for face, width in (("north", 6.32), ("south", 6.32), ("east", 4.31), ("west", 4.31))
    )
    told = analysis_of({b: opened[b] for b in bands}, u=0.1)
    found = {b.band_hz: b for b in predict(job, hung, told).after}
    for b in bands:
        assert found[b].likely_s < 0.95 * opened[b]
        assert found[b].likely_s == pytest.approx(drawn[b], rel=0.35)
    assert sum(found[b].low_s <= drawn[b] <= found[b].high_s for b in bands) >= 3
