"""What people type is read in one way, or asked about.

Expected lengths are worked by hand in inches or millimetres; 1 ft = 12 in, 1 in = 25.4 mm exactly
(international yard and pound agreement, 1959).
"""

from __future__ import annotations

from decimal import Decimal

import pytest

from roomcheck.typed import (
    LengthError,
    MoneyError,
    PercentError,
    TemperatureError,
    parse_length,
    parse_money,
    parse_percent,
    parse_temperature,
)

INCHES = {
    148.5: [
        "12' 4 1/2\"", "12'4 1/2\"", "12'-4 1/2\"", "12' - 4 1/2\"", "12'- 4 1/2\"", "12'4-1/2\"", "12' 4-1/2\"", "12'-4-1/2\"",
        "12' 4½\"", "12'4½\"", "12' 4 ½\"", "12'-4½\"", "12’ 4 ½”", "12′ 4½″", "12‘4½“", "12′4½″", "12´ 4½\"", "12＇ 4½＂",
        "12' 4.5\"", "12'4.5\"", "12' 4,5\"", "12' 4.50\"", "12' 4 2/4\"", "12' 4 8/16\"", "12' 4 1⁄2\"", "12' 4 1∕2\"", "12' 4 1 / 2\"",
        "12' 4 1/2''", "12'4 1/2''", "12′ 4½′′", "12’ 4½’’",
        "12 ft 4 1/2 in", "12ft 4.5in", "12 ft 4.5 in", "12ft4.5in", "12 ft. 4.5 in.", "12 feet 4 1/2 inches", "12 foot 4.5 inch",
        "12 FT 4.5 IN", "12 Feet 4.5 Inches", "12 ft, 4 1/2 in", "12', 4 1/2\"", "12 ft - 4.5 in", "12 ft-4.5 in", "12 ft 4-1/2 in", "12 ft 4-½ in",
        "12' 4 1/2", "12'4 1/2", "12'4½", "12' 4½", "12 ft 4 1/2", "12ft 4.5", "12 ft 4.5", "12 feet 4½", "12'-4 1/2", "12'4.5",
        "148.5 in", "148.5in", "148.5\"", "148.5 inches", "148,5 in", "148 1/2 in", "148 1/2\"", "148-1/2\"", "148½\"", "148½ in", "148.50 in.", "148.5 ins", "148.5''",
        "12.375 ft", "12.375'", "12 3/8 ft", "12 3/8'", "12⅜ ft", "12 ft 4 1/2\u00a0in", "\t12' 4 1/2\" ", "12\u202fft 4.5\u2009in", "12.375 feet",
    ],
    160: ["13'4", "13' 4", "13 ft 4", "13ft4", "13'4\"", "13' 4\"", "13'-4\"", "13'-4", "13 feet 4", "13 foot 4", "13’4", "13′ 4", "160 in", "160\""],
    122.5: ["10'2 1/2", "10' 2 1/2", "10'2½", "10'2-1/2", "10 ft 2 1/2", "10'2.5", "122½ in", "10′ 2½″"],
    3.5: ["3-1/2\"", "3 1/2\"", "3½\"", "3½ in", "3½″", "3 ½ in", "3-½ in", "3.5 in", "3,5 in", "3.5in", "3.50\"", "3 2/4 in", "0' 3 1/2\"", "0' 3.5"],
    0.75: ["3/4\"", "3/4 in", "¾\"", "¾ in", "¾″", ".75 in", "0.75 in", "0.75\"", "0,75 in", ",75 in", "12/16 in", "3 / 4 in", "0' 3/4\"", "0 3/4 in"],
    144: ["12'", "12 ft", "12ft", "12 feet", "12 foot", "12′", "12’", "12.0 ft", "12 ft.", "144 in", "144\"", "144''", "12' 0\"", "12'0", "12' 0", "12'-0\"", "12 ft 0 in", "12 ft 0"],
    12: ["12''", "12\"", "12 in", "12in", "12″", "1'", "1 ft", "1 foot"],
    6: ["1/2 ft", "½ ft", "½'", "0.5 ft", ".5'", "0,5 ft", "6\"", "0'6", "0' 6\""],
    -6: ["-6 in", "- 6 in", "−6 in", "–6\"", "-0.5 ft", "-1/2 ft", "-½'", "-0' 6\""],
    -28: ["-2' 4\"", "-2'4", "-2 ft 4 in", "-28 in"],
    1 / 3: ["1/3 in", "⅓\"", "⅓ in"],
    2.625: ["2 5/8 in", "2⅝\"", "2-5/8\"", "2.625\"", "2 10/16 in"],
    61.0625: ["5' 1 1/16\"", "5'1 1/16", "61 1/16 in"],
    84.75: ["7'-0 3/4\"", "7' 0 3/4", "7'0¾\""],
}  # fmt: skip
MILLIMETRES = {
    3770: ["3.77 m", "3,77 m", "3.77m", "377cm", "377 cm", "3770 mm", "3770mm", "3.770 m", "3.77 meters", "3.77 metres", "3.77 M", "377 CM", "377 centimeters", "377 centimetres", "3770 millimetres", "3770.0 mm", "3 m 77 cm", "3m 77cm", "3 m 770 mm", "377,0 cm"],
    6100: ["6,1 m", "6.1 m", "6,10 m", "6.10 m", "610 cm", "6100 mm", "6 m 10 cm"],
    1250.5: ["1250.5 mm", "1250,5 mm", "125.05 cm", "125,05 cm", "1.2505 m", "1,2505 m"],
    500: [".5 m", ",5 m", "0.5 m", "0,5 m", "0,500 m", "50 cm", "1/2 m", "½ m", "500 mm", "500\u00a0mm"],
    1: ["1 mm", "0.1 cm", "0,1 cm", "0.001 m", "0,001 m"],
    3500: ["3 1/2 m", "3½ m", "3.5 m", "3.5 metre"],
    -200: ["-20 cm", "-0.2 m", "−0,2 m", "- 200 mm"],
}  # fmt: skip
ASKED = {  # what is not read, and a word of the reason
    "no unit": ["12", "3.5", "3½", "3 1/2", "1/2", "12.0", "0", "-4", "1,2,3"],
    "which are feet": ["13 4", "10 2 1/2"],
    "more than one point": ["1.250,5 mm", "1,250.5 mm", "1.250.5 mm", "1,250,000 mm", "12.4.5 in", "1.2.3 m", "1..5 m"],
    "may be": ["1,250 mm", "4,425 m", "12,500 mm", "1,250 in", "2,500 cm", "1,000 ft"],
    "gap inside": ["1 250 mm", "12 500 mm", "1 250,5 mm"],
    "as well": ["2.5 1/2 in", "12' 4.5 1/2\"", "2,5 1/2 in", "5.5' 3\"", "5 1/2' 3\"", "5½ ft 3"],
    "did you mean": ["5' 13\"", "5' 12\"", "5'12", "5 ft 12.5 in", "5' 100", "4' 24\""],
    "no part of one": ["3 5/4 in", "5/4 in", "4/4 in", "11/2 in", "3 2/2 in", "12' 17/16\""],
    "is no number": ["1/0 in", "3 1/0 in", "0/0 in"],
    "second sign": ["--6 in", "-- 6 in", "+6 in", "-+6 in", "- -6 in", "−−6 in"],
    "between feet and inches": ["12 ft -6 in", "12' -6\"", "12' -6", "12'--6\"", "12',4\"", "12' , 4\"", "12',,4\""],
    "less": ["3 - 1/2 in", "3 -1/2 in", "3- 1/2 in", "12' 4 - 1/2\"", "3 – ½ in"],
    "unit": ["12 furlongs", "4 yd", "3 km", "12 inchs", "3 mt", "5 ft²", "3 m²", "12 x", "70 °", "12 dm", "3 µm", "wide", "long"],
    "missing": ["5. in", "12' 4.\"", "3, m", "12. ft"],
    "invisible": ["12\u200b in", "\u202e12 in", "12\x07 in", "12\x1b[0m in", "12\u2066 in\u2069", "12 in\n13 in"],
    "empty": ["", "   ", "\t"],
    "a metre or more": ["3 m 177 cm", "3 m 1000 mm"],
    "write it like": [
        "m", "in", "'", "\"", "''", "'''", "-", ".", ",", "/", "1/2/3 in", "4' 4'", "4\" 4'", "12'\"", "12' in", "ft 6 in", ", 4 in", "- ' 4\"",
        "3½2 in", "½½ in", "3 1/2 1/2 in", "6'-", "6',", "13 ft 4 m", "13 m 4 ft", "3 m 77", "3m77", "12'''", "12' 4\" 3", "12' 4\"\"", "12 in 4 ft",
        "٣ m", "３ m", "1e3 mm", "1E3mm", "0x10 in", "1_000 mm", "∞ m", "nan m", "inf m", "12' 4\" + 1\"", "12 to 13 in", "~12 in", "<12 in", "12 in?", "(12 in)", "12;4 in", "2*12 in", "$12",
    ],
    "far too long": ["1" * 300 + " in"],
}  # fmt: skip
READ = [(text, value * 0.0254) for value, texts in INCHES.items() for text in texts] + [
    (text, value / 1000) for value, texts in MILLIMETRES.items() for text in texts
]
REFUSED = [(text, why) for why, texts in ASKED.items() for text in texts]


def test_the_table_has_three_hundred_texts_each_once():
    texts = [text for text, _ in READ] + [text for text, _ in REFUSED]
    assert len(texts) == len(set(texts)) >= 300


@pytest.mark.parametrize(("text", "metres"), READ)
def test_a_length_is_read_as_it_is_meant(text, metres):
    assert parse_length(text) == pytest.approx(metres, abs=1e-12)


@pytest.mark.parametrize(("text", "why"), REFUSED)
def test_what_could_be_two_lengths_or_none_is_asked_about(text, why):
    with pytest.raises(LengthError, match=why):
        parse_length(text)


@pytest.mark.parametrize("value", [12, 3.5, None, True, [1], {"m": 1}, float("nan")])
def test_what_is_no_text_is_no_length(value):
    with pytest.raises(LengthError, match="no unit"):
        parse_length(value)


# By the definition of the Fahrenheit scale, C = (F - 32) * 5/9.
@pytest.mark.parametrize(
    ("text", "celsius"),
    [
        ("70 °F", 38 * 5 / 9), ("70F", 38 * 5 / 9), ("70 F", 38 * 5 / 9), ("70", 38 * 5 / 9), ("70°", 38 * 5 / 9),
        ("70 degrees", 38 * 5 / 9), ("70 deg F", 38 * 5 / 9), ("68.0 Fahrenheit", 20), ("21 °C", 21), ("21C", 21), ("21", 21),
        ("21,5 C", 21.5), ("21.5", 21.5), ("-5 °C", -5), ("−5 °C", -5), ("14 °F", -10), ("45 °C", 45), ("45 °F", 13 * 5 / 9), ("20℃", 20),
        ("50", 10), ("95", 35), ("10", 10), ("35", 35),
    ],
)  # fmt: skip
def test_a_temperature_is_read_where_one_unit_makes_a_room(text, celsius):
    assert parse_temperature(text) == pytest.approx(celsius, abs=1e-12)


@pytest.mark.parametrize(
    "text",
    ["45", "40", "5", "-5", "100", "294 K", "", "warm", "70 °C", "-50 °C", "2l C", "21 CF", 21, None, "2,100 F", "1e1 C", "--5 C"],
)  # fmt: skip
def test_a_temperature_that_could_be_two_or_none_is_asked_about(text):
    with pytest.raises(TemperatureError):
        parse_temperature(text)


@pytest.mark.parametrize(
    ("text", "value"),
    [("45 %", "45"), ("45%", "45"), ("45", "45"), ("45,5", "45.5"), ("45 percent", "45"), ("45 per cent", "45"), ("45 % RH", "45"), ("0.5 %", "0.5"), ("0", "0"), ("1", "1"), ("100 %", "100")],
)  # fmt: skip
def test_a_percentage_is_read_with_and_without_its_sign(text, value):
    assert parse_percent(text) == Decimal(value)


@pytest.mark.parametrize(
    "text",
    ["0.45", "0,45", "101", "-3 %", "45 %%", "", "half", 45, 0.45, None, "4 5", "nan", "1e1"],
)
def test_a_percentage_that_could_be_two_or_none_is_asked_about(text):
    with pytest.raises(PercentError):
        parse_percent(text)


@pytest.mark.parametrize(
    ("text", "currency", "value"),
    [("4200", "$", "4200"), ("$4200", "$", "4200"), ("$ 4200.50", "$", "4200.50"), ("4200 $", "$", "4200"), ("4200,50 €", "€", "4200.50"),
     ("€4200,-", "€", "4200"), ("4200 EUR", "EUR", "4200"), ("kr 4200", "kr", "4200"), ("Fr. 4200.50", "Fr.", "4200.50"), ("£4200", None, "4200")],
)  # fmt: skip
def test_money_is_read_with_and_without_its_sign(text, currency, value):
    assert parse_money(text, currency) == Decimal(value)


@pytest.mark.parametrize(
    ("text", "currency"),
    [("$4200", "€"), ("4200 EUR", "$"), ("$4200 $", "$"), ("4,200", "$"), ("$4,200.00", "$"), ("4.200,00", "€"), ("-5", "$"), ("", "$"),
     ("many", "$"), (4200, "$"), (42.5, "$"), (None, "$"), ("1e5", "$"), ("NaN", "$"), ("Infinity", "$"), ("1234567890123", "$"), ("4200.1234567", "$"), ("4 200", "$")],
)  # fmt: skip
def test_money_that_could_be_two_amounts_or_none_is_asked_about(text, currency):
    with pytest.raises(MoneyError):
        parse_money(text, currency)


def test_what_is_left_out_of_an_order_is_below_zero():
    assert parse_money("-$70", "$", below_zero=True) == Decimal(-70)
    with pytest.raises(MoneyError):
        parse_money("--70", "$", below_zero=True)
