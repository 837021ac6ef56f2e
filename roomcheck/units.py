"""Lengths as the trade prints them, and the bands of the trade."""

from __future__ import annotations

from fractions import Fraction
from typing import Literal

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


def format_length(length_m: float, units: Literal["imperial", "metric"]) -> str:
    """A length as the job writes it: feet, inches and sixteenths, or metres to the millimetre.

    From a foot on, feet and inches are both written, so that none of them can be lost:

    >>> format_length(3.7719, "imperial"), format_length(3.7719, "metric")
    ('12\\'-4 1/2"', '3.772 m')
    >>> [format_length(inches * 0.0254, "imperial") for inches in (60.75, 24, 11.99, 9.5)]
    ['5\\'-0 3/4"', '2\\'-0"', '1\\'-0"', '9 1/2"']
    """
    if units == "metric":
        return f"{length_m:.3f} m"
    return _feet(length_m) if _sixteenths(length_m) >= 12 * 16 else format_inches(length_m)


def _sixteenths(length_m: float) -> int:
    return round(abs(length_m) / M_PER_IN * 16)


def format_inches(length_m: float) -> str:
    """Inches and sixteenths, as the shop reads them.

    >>> format_inches(1.2604750)
    '49 5/8"'
    """
    sixteenths = _sixteenths(length_m)
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
    feet, rest = divmod(_sixteenths(length_m), 12 * 16)
    inches, part = divmod(rest, 16)
    fraction = f" {Fraction(part, 16)}" if part else ""
    return f"{'-' if length_m < 0 else ''}{feet}'-{inches}{fraction}\""


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
