"""One visit: means, uncertainty, transition frequency and grade."""

from __future__ import annotations

import dataclasses
import math
from pathlib import Path

import numpy as np
import pytest

from roomcheck.analyse import BandMean, GradeLack, MeanRemark, Reason, SourceNote, analyse
from roomcheck.analyse.visit.average import transition_hz
from roomcheck.facts import Estimate, fact
from roomcheck.geometry import Point, Room
from roomcheck.job import Job, Position, Visit
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


def of_kind(analysis, kind):
    (lack,) = [lack for lack in analysis.lacking if lack.kind is kind]
    return lack


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
    assert survey.lacking[:2] == (
        fact(GradeLack.TOO_FEW_SOURCES, grade="engineering", needed=2, there=1),
        fact(GradeLack.TOO_FEW_PAIRS, grade="engineering", needed=6, there=2),
    )


def test_engineering_and_precision():
    where = job(SOURCES, MICS, HALL)
    engineering = visit(["S1", "S2"], ["P1", "P2", "P3"], where)
    assert engineering.grade == "engineering", engineering.lacking
    assert engineering.lacking == (
        fact(GradeLack.TOO_FEW_PAIRS, grade="precision", needed=12, there=6),
    )
    # Twelve pairs are not enough for precision: it asks for a source alike in all directions
    # (ISO 3382-2:2008, 4.2.1, from memory).
    directed = visit(["S1", "S2"], list(MICS), where)
    lack = fact(GradeLack.DIRECTED_SOURCE, grade="precision")
    assert (directed.grade, directed.lacking) == ("engineering", (lack,))
    noted = Visit(
        name="before",
        date="2026-05-04",
        temperature_c=20.0,
        humidity_pct=50.0,
        omnidirectional=True,
    )
    full = visit(["S1", "S2"], list(MICS), dataclasses.replace(where, visits=(noted,)))
    assert (full.grade, full.lacking) == ("precision", ())


def test_positions_too_near_are_named_and_hold_the_grade():
    near = {**MICS, "P2": Point(7, 3, 1.2), "P3": Point(8, 8.5, 1.2)}
    found = visit(["S1", "S2"], ["P1", "P2", "P3"], job(SOURCES, near, HALL))
    assert found.grade == "survey"
    apart, off = of_kind(found, GradeLack.NEAR_MICROPHONE), of_kind(found, GradeLack.NEAR_SURFACE)
    assert (apart["position"], apart["other"], off["position"]) == ("P1", "P2", "P3")
    assert (apart["away_m"], apart["needed_m"]) == (pytest.approx(1.0), 2.0)
    assert off["away_m"] == pytest.approx(0.5)


def test_a_microphone_too_near_to_the_source_is_named():
    """d_min = 2 sqrt(V/(cT)): 540 m3, 0.8 s give 2.81 m (T as measured)."""
    near = {"P1": Point(4, 2, 1.2), "P2": Point(9, 6, 1.2)}
    found = visit(["S1"], ["P1", "P2"], job(SOURCES, near, HALL))
    least = 2 * math.sqrt(540 / (343.2 * found.mid_s))  # 343.2 m/s at 20 degC (ISO 9613-1)
    near = of_kind(found, GradeLack.NEAR_SOURCE)
    assert (near["position"], near["other"]) == ("P1", "S1")
    assert near["away_m"] == pytest.approx(2.022, abs=0.0005)
    assert near["needed_m"] == pytest.approx(least, abs=0.0005)
    assert all(lack.get("position") != "P2" for lack in found.lacking)


def test_a_position_too_near_says_from_which_frequency_on_it_serves():
    """Half a wavelength between microphones, a quarter to a surface: 1 m apart is 171.6 Hz, 0.5 m
    off a wall, too."""
    near = {**MICS, "P2": Point(7, 3, 1.2), "P3": Point(8, 8.5, 1.2)}
    found = visit(["S1"], ["P1", "P2", "P3"], job(SOURCES, near, HALL))
    for kind in (GradeLack.NEAR_MICROPHONE, GradeLack.NEAR_SURFACE):
        lack = of_kind(found, kind)
        assert lack["serves_from_hz"] == pytest.approx(171.6, abs=0.5)
        assert lack["needed_from_hz"] == pytest.approx(85.8, abs=0.3)


def test_a_mean_without_its_shortest_decays_says_that_it_leans_long():
    """63 Hz octave, 44.5 Hz wide: bandwidth times T of 8 is 0.18 s."""
    takes = [take("S1", m, 0.19, seed) for seed, m in enumerate(MICS)]
    mean = analyse(takes, job=job(SOURCES, MICS, HALL), visit="before").octave(63.0)
    assert 0 < mean.positions < 6
    (some,) = [remark for remark in mean.remarks if remark.kind is MeanRemark.SOME_POSITIONS]
    assert some["leans_long"] and some["positions"] == mean.positions


def test_what_the_direction_of_the_loudspeaker_biases_is_said():
    where = job(SOURCES, MICS, HALL)
    assert visit(["S1"], ["P1"], where).notes == (fact(SourceNote.ONE_DIRECTION),)
    two = visit(["S1", "S2"], ["P1"], where).notes
    assert two == (fact(SourceNote.SOURCES_AVERAGED, sources=2),)
    turned = [take("S1", "P1", 0.5, seed) for seed in range(3)]
    three = analyse(turned, job=where, visit="before").notes
    assert three == (fact(SourceNote.DIRECTIONS_AVERAGED, takes=3),)


def test_a_position_without_a_place_is_named():
    found = visit(["S1"], ["P1", "P9"], job(SOURCES, MICS, HALL))
    assert fact(GradeLack.NO_PLACE, position="P9") in found.lacking


def test_a_take_to_be_repeated_is_left_out_and_named():
    takes = [take("S1", "P1", 0.8, 1), take("S1", "P2", 0.8, 2), take("S1", "P3", 5.0, 3, REPEAT)]
    found = analyse(takes, job=job(SOURCES, MICS, HALL), visit="after")
    assert len(found.positions) == 2
    assert found.visit == "after"
    assert found.octave(1000.0).t20_s < 1.0
    assert [(out.take, out.reasons) for out in found.left_out] == [("S1-P3.wav", REPEAT.reasons)]


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
    # Two places so far apart: near the standard error times Student's t over 2, 12.7/2 with one
    # degree of freedom and 2.9/2 with what is known beside it.
    assert 0.6 < band.t20_u_s / (band.t20_spread_s / math.sqrt(2)) < 6.4
    assert found.mid_s == pytest.approx(
        (found.octave(500.0).t20_s + found.octave(1000.0).t20_s) / 2
    )
    assert found.mid_u_s == pytest.approx(
        math.hypot(found.octave(500.0).t20_u_s, found.octave(1000.0).t20_u_s) / 2
    )


def test_every_mean_has_its_spread_and_uncertainty():
    """The mean and the standard deviation over the positions."""
    found = visit(["S1", "S2"], ["P1", "P2", "P3"], job(SOURCES, MICS, HALL))
    ones = [band for p in found.positions for band in p.octaves if band.band_hz == 1000.0]
    row = found.octave(1000.0).row()
    for name in ("edt{}_s", "t30{}_s", "c50{}_db", "c80{}_db", "d50{}", "ts{}_s"):
        values = [getattr(band, name.format("")) for band in ones]
        spread, u = row[name.format("_spread")], row[name.format("_u")]
        assert row[name.format("")] == pytest.approx(np.mean(values), rel=1e-3)
        assert spread == pytest.approx(np.std(values, ddof=1))
        assert u > 0


def band(band_hz, t20_s):
    return BandMean(band_hz=band_hz, t20=None if t20_s is None else Estimate(value=t20_s))


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
    assert found.octaves[-1].t20_s is None
    assert found.octaves[-1].withheld[0].kind is Reason.RATE_TOO_LOW
    assert found.octave(1000.0).remarks == (fact(MeanRemark.ONE_POSITION),)
