"""Lengths: 1 ft = 0.3048 m, 1 in = 0.0254 m exactly (international yard and pound agreement,
1959)."""

import pytest

from roomcheck.typed import LengthError, parse_length
from roomcheck.units import format_inches, format_length

SPELLINGS = {
    "12' 4 1/2\"": 3.77190,
    "12ft 4.5in": 3.77190,
    "12 ft 4.5 in": 3.77190,
    "148.5 in": 3.77190,
    "12’ 4 ½”": 3.77190,
    "12′ 4½″": 3.77190,
    "12'4-1/2\"": 3.77190,
    "12' - 4 1/2\"": 3.77190,
    "12 feet 4 1/2 inches": 3.77190,
    "12' 4 1/2''": 3.77190,
    "3.77 m": 3.77,
    "377cm": 3.77,
    "3770 mm": 3.77,
    '3/4"': 0.01905,
    '1 1/2"': 0.0381,
    "8'": 2.4384,
    ".5 m": 0.5,
    "-6 in": -0.1524,
}


@pytest.mark.parametrize(("text", "metres"), SPELLINGS.items())
def test_every_usual_spelling_is_read(text, metres):
    assert parse_length(text) == pytest.approx(metres, abs=1e-9)


@pytest.mark.parametrize(
    "text", [12, 3.5, "12", "3.5", "", "long", "12 furlongs", "1/0 in", "4' 4'", None, True, "m"]
)
def test_what_is_not_a_length_is_refused_with_advice(text):
    with pytest.raises(LengthError, match="write"):
        parse_length(text)


@pytest.mark.parametrize("sixteenths", range(1, 400))
def test_printed_inches_read_back_to_the_same_sixteenth(sixteenths):
    metres = sixteenths / 16 * 0.0254
    assert parse_length(format_inches(metres)) == pytest.approx(metres, abs=1e-9)
    assert parse_length(format_length(metres, "imperial")) == pytest.approx(metres, abs=1e-9)
