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
