"""Charts of the low end: they say their units, and nothing in them needs colour."""

from __future__ import annotations

import re

import numpy as np
import pytest

from roomcheck.analyse import BoxMode, Modes, Response, RoomMode, decays
from roomcheck.measure import ImpulseResponse, Measurement, TakeCheck
from roomcheck.report.figures.figure_modes import curves_svg, map_svg, modes_svg, response_svg


def a_mode(hz: float, decay_s: float, order: tuple[int, int, int] | None) -> RoomMode:
    box = BoxMode(frequency_hz=hz, order=order) if order else None
    return RoomMode(
        frequency_hz=hz, frequency_u_hz=0.1, decay_s=decay_s, decay_u_s=0.02, level_db=0.0, range_db=30.0, late_db=3.0,
        box=box,
    )  # fmt: skip


@pytest.fixture(scope="module")
def take() -> Measurement:
    rng, rate = np.random.default_rng(1), 48_000
    t = np.arange(rate) / rate
    x = rng.normal(size=rate) * np.exp(-6.9 * t / 0.4) + 3 * np.exp(-6.9 * t / 0.9) * np.cos(
        2 * np.pi * 70 * t
    )
    x = np.concatenate([np.zeros(480), [20.0], x]) + 1e-3 * rng.normal(size=rate + 481)
    check = TakeCheck(keep=True, reasons=(), warnings=(), peak_dbfs=-6.0, noise_dbfs=-80.0)
    response = ImpulseResponse(samples=x, rate_hz=rate)
    return Measurement(source="S1", microphone="P1", take="a", response=response, check=check)


@pytest.fixture(scope="module")
def charts(take: Measurement) -> dict[str, str]:
    found = (
        a_mode(40.0, 0.5, (1, 0, 0)),
        a_mode(61.0, 0.9, (1, 1, 0)),
    )
    modes = Modes(
        from_hz=20, to_hz=160, found=(*found, a_mode(80.0, 0.4, None)), not_found=(), positions=6
    )
    response = Response(
        source="S1", microphone="P1", hz=(50.0, 500.0, 5000.0), level_db=(-3.0, 0.0, -6.0), clear_from_hz=50,
        clear_to_hz=5000,
    )  # fmt: skip
    return {
        "modes": modes_svg(modes),
        "map": map_svg(take, 20, 160),
        "response": response_svg([response], "P1", 180.0),
        "curves": curves_svg(take, decays(take.response)),
    }


@pytest.mark.parametrize(
    ("chart", "words"),
    [
        (
            "modes",
            ("frequency [Hz]", "time for 60 dB [s]", "axial", "no mode of the room", "61 Hz"),
        ),
        ("map", ("frequency [Hz]", "time after the onset [s]", "level [dB re loudest]")),
        ("response", ("frequency [Hz]", "level [dB, relative]", "S1, P1")),
        ("curves", ("energy remaining [dB]", "time after the onset [s]", "T20", "125 Hz")),
    ],
)
def test_charts_name_their_axes_with_units(charts, chart, words):
    for word in words:
        assert word in charts[chart]


def test_no_chart_needs_colour(charts):
    """Every colour is a grey or nearly one: red, green and blue within an eighth of one another."""
    for chart in charts.values():
        for code in set(re.findall(r"#([0-9a-f]{6})\b", chart)):
            parts = [int(code[i : i + 2], 16) for i in (0, 2, 4)]
            assert max(parts) - min(parts) <= 32, code


def test_same_numbers_same_bytes(charts, take):
    assert map_svg(take, 20, 160) == charts["map"]
    assert len(charts["map"]) < 250_000


def test_the_map_holds_the_note_that_rings(take):
    from roomcheck.analyse.visit.pictures import decay_map

    hz = np.linspace(40, 120, 41)
    late = decay_map(take.response, hz, np.array([0.0, 0.3]))[1]
    assert hz[int(np.argmax(late))] == pytest.approx(70, abs=2)


def test_what_a_response_shows_is_said_in_words() -> None:
    from roomcheck.analyse import Response
    from roomcheck.report.pages.low_end import _response_alt

    one = Response(
        source="S1",
        microphone="P1",
        hz=(40.0, 63.0, 125.0, 8000.0),
        level_db=(-30.0, 9.0, -14.0, 20.0),
        clear_from_hz=50.0,
        clear_to_hz=4000.0,
    )
    text = _response_alt((one,))
    # What lies in the noise, at both ends, is no part of it.
    assert "S1 to P1" in text and "at 125 Hz" in text and "at 63 Hz" in text
    assert "40 Hz" not in text and "8000" not in text
