"""Lengths as people write them, and the bands of the trade.

A length is text with a unit. A bare number is refused: 12 of what?
"""

from __future__ import annotations

import re
from decimal import Decimal
from fractions import Fraction
from typing import Literal

from roomcheck.errors import RoomcheckError

M_PER_IN = 0.0254
M_PER_FT = 0.3048
KG_PER_LB = 0.45359237
M2_PER_FT2 = M_PER_FT**2

OCTAVES_HZ = (63.0, 125.0, 250.0, 500.0, 1000.0, 2000.0, 4000.0, 8000.0)
"""Nominal octave mid-band frequencies, IEC 61260-1. [Hz]"""

MID_BANDS_HZ = (500.0, 1000.0)
"""Octaves whose mean is the single figure of a room, as most targets mean it. [Hz]"""

ROOM_TEMPERATURE_C = 20.0
ROOM_HUMIDITY_PCT = 50.0
"""Of air of which nothing was noted. [%]"""

SPEED_OF_SOUND_M_S = 343.0
"""In air of about 20 degrees Celsius, as the trade rounds it; ISO 9613-1 gives it where a
temperature is known. [m/s]"""

_METRIC = {"m": 1.0, "cm": 0.01, "mm": 0.001}
_QUOTES = str.maketrans(
    {"’": "'", "‘": "'", "′": "'", "”": '"', "“": '"', "″": '"', "⁄": "/", "−": "-"}
)
_VULGAR = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}

_NUMBER = r"\d+(?:\.\d+)?|\.\d+"
_MIXED = (
    rf"(?:(?P<{{0}}w>{_NUMBER})(?:[\s-]+(?P<{{0}}n>\d+)/(?P<{{0}}d>\d+))?"
    r"|(?P<{0}fn>\d+)/(?P<{0}fd>\d+))"
)
_FEET = _MIXED.format("f") + r"\s*(?:'|ft\.?|feet|foot)"
_INCHES = _MIXED.format("i") + r"""\s*(?:"|''|in\.?|inches|inch)"""
_IMPERIAL = re.compile(rf"(?:{_FEET})?\s*-?\s*(?:{_INCHES})?")
_SI = re.compile(rf"(?P<value>{_NUMBER})\s*(?P<unit>mm|cm|m)")
_BARE = re.compile(rf"[+-]?(?:{_NUMBER})")


class LengthError(RoomcheckError):
    """A text that is not a length."""

    def __init__(self, text: object, why: str) -> None:
        self.text, self.why = text, why
        super().__init__(f"{text!r} is not a length: {why}")


def parse_length(text: object) -> float:
    r"""A length with its unit, in metres.

    Parameters
    ----------
    text : object
        Feet and inches (``12' 4 1/2"``, ``12ft 4.5in``, ``148.5 in``) or metric (``3.77 m``,
        ``377cm``); a leading minus is taken.

    Returns
    -------
    float
        [m]

    Raises
    ------
    LengthError
        Not text, no unit, or no length at all; says how to write it.

    Examples
    --------
    >>> [round(parse_length(text), 4) for text in ("12' 4 1/2\"", "377cm", "148.5 in")]
    [3.7719, 3.77, 3.7719]
    """
    if not isinstance(text, str):
        raise LengthError(
            text, f'it has no unit; write it as text with one, such as "{text} in" or "{text} m"'
        )
    said = text.strip().translate(_QUOTES).lower()
    for sign, spelt in _VULGAR.items():
        said = re.sub(rf"(?<=\d)\s*{sign}", f" {spelt}", said).replace(sign, spelt)
    minus, said = said.startswith("-"), said.removeprefix("-").strip()
    if _BARE.fullmatch(said):
        raise LengthError(text, f'it has no unit; write "{said} in", "{said} ft" or "{said} m"')
    metres = _metric(said) if _SI.fullmatch(said) else _imperial(said)
    if metres is None:
        raise LengthError(text, "write it like 12' 4 1/2\", 148.5 in, 3.77 m or 377 cm")
    return -metres if minus else metres


def _metric(said: str) -> float | None:
    found = _SI.fullmatch(said)
    # Decimal keeps 377 cm at 3.77 m to the last digit.
    return float(Decimal(found["value"]) * Decimal(str(_METRIC[found["unit"]]))) if found else None


def _imperial(said: str) -> float | None:
    found = _IMPERIAL.fullmatch(said) if said else None
    if found is None:
        return None
    parts = found.groupdict()
    if "0" in {
        (parts[k] or "1").strip("0") or "0" for k in ("fd", "ffd", "id", "ifd") if k in parts
    }:
        return None
    inches = 12 * _mixed(parts, "f") + _mixed(parts, "i")
    return float(inches * Fraction(254, 10000))


def _mixed(parts: dict[str, str | None], side: str) -> Fraction:
    whole, top, bottom = parts[f"{side}w"], parts[f"{side}n"], parts[f"{side}d"]
    alone_top, alone_bottom = parts[f"{side}fn"], parts[f"{side}fd"]
    value = Fraction(whole) if whole else Fraction(0)
    if top and bottom:
        value += Fraction(int(top), int(bottom))
    if alone_top and alone_bottom:
        value += Fraction(int(alone_top), int(alone_bottom))
    return value


def format_length(length_m: float, units: Literal["imperial", "metric"]) -> str:
    """A length as the job writes it: feet, inches and sixteenths, or metres to the millimetre.

    >>> format_length(3.7719, "imperial"), format_length(3.7719, "metric")
    ('12\\' 4 1/2"', '3.772 m')
    """
    if units == "metric":
        return f"{length_m:.3f} m"
    return _feet(length_m) if abs(length_m) >= M_PER_FT else format_inches(length_m)


def format_inches(length_m: float) -> str:
    """Inches and sixteenths, as the shop reads them.

    >>> format_inches(1.2604750)
    '49 5/8"'
    """
    sixteenths = round(abs(length_m) / M_PER_IN * 16)
    whole, part = divmod(sixteenths, 16)
    text = " ".join(
        [*([str(whole)] if whole or not part else []), *([str(Fraction(part, 16))] if part else [])]
    )
    return f'{"-" if length_m < 0 and sixteenths else ""}{text}"'


def both(length_m: float) -> str:
    """A length for a message whose reader's units are not known.

    >>> both(3.0131)
    '3.0131 m (118 5/8")'
    """
    return f"{length_m:.4f} m ({format_inches(length_m)})"


def _feet(length_m: float) -> str:
    sixteenths = round(abs(length_m) / M_PER_IN * 16)
    feet, rest = divmod(sixteenths, 12 * 16)
    inches = format_inches(rest / 16 * M_PER_IN)
    return f"{'-' if length_m < 0 else ''}{feet}' {inches}"


def band_label(band_hz: float) -> str:
    """A band's name: 63, 125, …, 1k, 8k.

    >>> band_label(500), band_label(1000), band_label(1250)
    ('500', '1k', '1.25k')
    """
    return f"{band_hz / 1000:g}k" if band_hz >= 1000 else f"{band_hz:g}"


def band_name(band_hz: float) -> str:
    """A band with its unit, for people.

    >>> band_name(500), band_name(1250)
    ('500 Hz', '1.25 kHz')
    """
    return f"{band_hz / 1000:g} kHz" if band_hz >= 1000 else f"{band_hz:g} Hz"
