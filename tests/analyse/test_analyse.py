"""One visit: means, uncertainty, transition frequency and grade."""

from __future__ import annotations

import dataclasses
import math
from pathlib import Path

import numpy as np
import pytest
from roomcheck.analyse.results import BandMean

from roomcheck.analyse import analyse
from roomcheck.analyse.visit.average import t20_uncertainty_s, transition_hz
from roomcheck.geometry import Point, Room
from roomcheck.job import Job, Position
from roomcheck.measure.signal.signals import ImpulseResponse, Measurement, TakeCheck

RATE_HZ = 16_000
KEEP = TakeCheck(keep=True, reasons=(), warnings=(), peak_dbfs=-6.0, noise_dbfs=-70.0)
REPEAT = TakeCheck(keep=False, reasons=("it clips",), warnings=(), peak_dbfs=0.0, noise_dbfs=-70.0)


def job(sources: dict[str, Point], microphones: dict[str, Point], room: Room) -> Job:
    """A made-up job of which only the room and the positions matter here."""
    empty = {field.name: () for field in dataclasses.fields(Job)}
    named = {
        **empty,
        **dict.fromkeys(("client", "title", "complaint", "use"), "made up"),
        "folder": Path(),
        "made_up": True,
        "own_target": None,
        "units": "metric",
        "paper": "a4",
        "currency": "€",
        "budget": None,
        "seat": None,
        "shop": None,
        "room": room,
        "sources": tuple(Position(name=n, point=p) for n, p in sources.items()),
        "microphones": tuple(Position(name=n, point=p) for n, p in microphones.items()),
    }
    return Job(**named)


def take(
    source: str, microphone: str, t60_s: float, seed: int, check: TakeCheck = KEEP
) -> Measurement:
    rng = np.random.default_rng(seed)
    t = np.arange(int(1.6 * t60_s * RATE_HZ)) / RATE_HZ
    x = rng.standard_normal(t.size) * 10 ** (-3 * t / t60_s) + 1e-3 * rng.standard_normal(t.size)
    response = ImpulseResponse(samples=x, rate_hz=RATE_HZ)
    return Measurement(
        source=source,
        microphone=microphone,
        take=f"{source}-{microphone}.wav",
        response=response,
        check=check,
    )


HALL = Room.box(12, 9, 5)
SOURCES = {"S1": Point(2, 2, 1.5), "S2": Point(2, 7, 1.5)}
MICS = {"P1": Point(6, 3, 1.2), "P2": Point(9, 6, 1.2), "P3": Point(8, 2, 1.2)}
MICS |= {"P4": Point(6, 6.5, 1.2), "P5": Point(10.5, 3.5, 1.2), "P6": Point(5, 7.9, 2.4)}


def visit(sources, microphones, where, t60=0.8):
    takes = [
        take(s, m, t60, 100 * i + j)
        for i, s in enumerate(sources)
        for j, m in enumerate(microphones)
    ]
    return analyse(takes, job=where, visit="before")


def test_a_survey_needs_two_microphones():
    """ISO 3382-2:2008, Table 1: one source and two microphones make a survey; six pairs from two
    sources more."""
    where = job(SOURCES, MICS, HALL)
    assert visit(["S1"], ["P1"], where).grade == "none"
    survey = visit(["S1"], ["P1", "P2"], where)
    assert survey.grade == "survey"
    assert any("Engineering grade needs 2 source positions" in lack for lack in survey.lacking)
    assert any("6 pairs" in lack for lack in survey.lacking)


def test_engineering_and_precision():
    where = job(SOURCES, MICS, HALL)
    engineering = visit(["S1", "S2"], ["P1", "P2", "P3"], where)
    assert engineering.grade == "engineering", engineering.lacking
    assert engineering.lacking == (
        "Precision grade needs 12 pairs of source and microphone; there are 6.",
    )
    full = visit(["S1", "S2"], list(MICS), where)
    assert (full.grade, full.lacking) == ("precision", ())


def test_positions_too_near_are_named_and_hold_the_grade():
    near = {**MICS, "P2": Point(7, 3, 1.2), "P3": Point(8, 8.5, 1.2)}
    found = visit(["S1", "S2"], ["P1", "P2", "P3"], job(SOURCES, near, HALL))
    assert found.grade == "survey"
    said = " ".join(found.lacking)
    assert "P1 and P2 stand 1.000 m apart; ISO 3382-2 asks for 2.000 m." in said
    assert "P3 stands 0.500 m from the nearest surface" in said


def test_a_microphone_too_near_to_the_source_is_named():
    """d_min = 2 sqrt(V/(cT)): 540 m3, 0.8 s give 2.81 m (T as measured)."""
    near = {"P1": Point(4, 2, 1.2), "P2": Point(9, 6, 1.2)}
    found = visit(["S1"], ["P1", "P2"], job(SOURCES, near, HALL))
    least = 2 * math.sqrt(540 / (343.2 * found.mid_s))  # 343.2 m/s at 20 degC (ISO 9613-1)
    assert any(
        f"P1 stands 2.022 m from S1; ISO 3382-2 asks for {least:.3f} m." == lack
        for lack in found.lacking
    )
    assert not any("P2 stands" in lack for lack in found.lacking)


def test_a_position_too_near_says_from_which_frequency_on_it_serves():
    """Half a wavelength between microphones, a quarter to a surface: 1 m apart is 171.6 Hz, 0.5 m
    off a wall, too."""
    near = {**MICS, "P2": Point(7, 3, 1.2), "P3": Point(8, 8.5, 1.2)}
    said = visit(["S1"], ["P1", "P2", "P3"], job(SOURCES, near, HALL)).lacking
    for start in ("P1 and P2 stand 1.000 m apart", "P3 stands 0.500 m"):
        assert any(
            s.startswith(start) and "serves from 172 Hz on" in s and "at 86 Hz" in s for s in said
        ), said


def test_a_mean_without_its_shortest_decays_says_that_it_leans_long():
    """63 Hz octave, 44.5 Hz wide: bandwidth times T of 8 is 0.18 s."""
    takes = [take("S1", m, 0.19, seed) for seed, m in enumerate(MICS)]
    mean = analyse(takes, job=job(SOURCES, MICS, HALL), visit="before").octave(63.0)
    assert 0 < mean.positions < 6
    assert any("leans long" in reason for reason in mean.reasons)


def test_what_the_direction_of_the_loudspeaker_biases_is_said():
    where = job(SOURCES, MICS, HALL)
    (one,) = visit(["S1"], ["P1"], where).notes
    assert all(
        word in one
        for word in ("EDT", "clarity", "reflections", "T30 hardly", "turn the loudspeaker")
    )
    (two,) = visit(["S1", "S2"], ["P1"], where).notes
    assert "2 source positions" in two
    turned = [take("S1", "P1", 0.5, seed) for seed in range(3)]
    (three,) = analyse(turned, job=where, visit="before").notes
    assert "average of 3 takes" in three


def test_a_position_without_a_place_is_named():
    found = visit(["S1"], ["P1", "P9"], job(SOURCES, MICS, HALL))
    assert any("P9 has no place" in lack for lack in found.lacking)


def test_a_take_to_be_repeated_is_left_out_and_named():
    takes = [take("S1", "P1", 0.8, 1), take("S1", "P2", 0.8, 2), take("S1", "P3", 5.0, 3, REPEAT)]
    found = analyse(takes, job=job(SOURCES, MICS, HALL), visit="after")
    assert len(found.positions) == 2
    assert found.visit == "after"
    assert found.octave(1000.0).t20_s < 1.0
    assert "S1-P3.wav is left out: it clips" in found.lacking


def test_no_takes_make_an_empty_analysis():
    found = analyse([], job=job(SOURCES, MICS, HALL), visit="before")
    assert (
        found.octaves == ()
        and found.mid_s is None
        and found.transition_hz is None
        and found.grade == "none"
    )


def test_the_mean_is_that_of_positions_not_of_takes():
    """Three takes at one position of 0.5 s and one at another of 1.0 s: mean 0.75 s, not 0.625
    s."""
    takes = [take("S1", "P1", 0.5, seed) for seed in range(3)] + [take("S1", "P2", 1.0, 9)]
    found = analyse(takes, job=job(SOURCES, MICS, HALL), visit="before")
    band = found.octave(2000.0)
    assert band.t20_s == pytest.approx(0.75, rel=0.04)
    assert band.positions == 2
    assert band.t20_spread_s == pytest.approx(0.5 / math.sqrt(2), rel=0.12)
    assert band.t20_u_s == pytest.approx(band.t20_spread_s / math.sqrt(2), rel=1e-9)
    assert found.mid_s == pytest.approx(
        (found.octave(500.0).t20_s + found.octave(1000.0).t20_s) / 2
    )
    assert found.mid_u_s == pytest.approx(
        math.hypot(found.octave(500.0).t20_u_s, found.octave(1000.0).t20_u_s) / 2
    )


def test_positions_that_agree_by_luck_are_not_surer_than_chance_allows():
    """ISO 3382-2, Annex A: T 0.6 s, 500 Hz octave, 6 positions, n = 10: 0.0161 s."""
    assert t20_uncertainty_s(0.6, 0.0, 6, 500.0) == pytest.approx(0.0161, abs=0.5e-4)
    assert t20_uncertainty_s(0.6, 0.3, 6, 500.0) == pytest.approx(0.3 / math.sqrt(6))
    assert t20_uncertainty_s(0.6, None, 1, 500.0) > 0.03


def test_every_mean_has_its_spread_and_uncertainty():
    """The standard error of the mean where positions differ by more than chance, else chance over
    the root of N."""
    found = visit(["S1", "S2"], ["P1", "P2", "P3"], job(SOURCES, MICS, HALL))
    ones = [band for p in found.positions for band in p.octaves if band.band_hz == 1000.0]
    mean = found.octave(1000.0)
    for name in ("edt{}_s", "t30{}_s", "c50{}_db", "c80{}_db", "d50{}", "ts{}_s"):
        values = [getattr(band, name.format("")) for band in ones]
        spread, u = getattr(mean, name.format("_spread")), getattr(mean, name.format("_u"))
        assert getattr(mean, name.format("")) == pytest.approx(np.mean(values))
        assert spread == pytest.approx(np.std(values, ddof=1))
        chance = math.sqrt(sum(getattr(band, name.format("_sd")) ** 2 for band in ones)) / 6
        assert u == pytest.approx(max(spread / math.sqrt(6), chance))


def band(band_hz, t20_s):
    empty = dict.fromkeys(
        ("edt_s", "t30_s", "c50_db", "c80_db", "d50", "ts_s", "t20_u_s", "t20_spread_s")
    )
    return BandMean(band_hz=band_hz, t20_s=t20_s, positions=1, **empty)


def test_transition_uses_the_decay_at_its_own_frequency():
    """2000 sqrt(T/V): 50 m3 with 0.8 s at 250 Hz gives 253 Hz; 0.4 s at 1 kHz alone would say 179
    Hz."""
    found = transition_hz(
        [band(125.0, 1.2), band(250.0, 0.8), band(500.0, 0.5), band(1000.0, 0.4)], 50.0
    )
    t_there = np.interp(math.log(found), np.log([125.0, 250.0, 500.0]), [1.2, 0.8, 0.5])
    assert found == pytest.approx(2000 * math.sqrt(t_there / 50.0), rel=1e-6)
    assert 245 < found < 256


def test_transition_of_a_large_room_lies_below_the_octaves():
    assert transition_hz([band(500.0, 1.0), band(1000.0, 1.0)], 10_000.0) == pytest.approx(
        20.0, rel=1e-6
    )
    assert transition_hz([band(500.0, None)], 100.0) is None


def test_thirds_are_there_too():
    found = visit(["S1"], ["P1"], job(SOURCES, MICS, HALL))
    assert len(found.thirds) == 24 and len(found.octaves) == 8
    assert found.octaves[-1].t20_s is None and "rate" in found.octaves[-1].reasons[0]
    assert any("One position" in reason for reason in found.octave(1000.0).reasons)
