"""Lengths as the trade prints them, and the bands of the trade."""

from __future__ import annotations

import math
from fractions import Fraction
from typing import Literal

M_PER_IN = 0.0254
M_PER_FT = 0.3048
KG_PER_LB = 0.45359237
M2_PER_FT2 = M_PER_FT**2

OCTAVES_HZ = (63.0, 125.0, 250.0, 500.0, 1000.0, 2000.0, 4000.0, 8000.0)
"""Nominal octave mid-band frequencies, IEC 61260-1. [Hz]"""

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


def format_size(length_m: float, units: Literal["imperial", "metric"]) -> str:
    """A part's size as the shop reads it: inches and sixteenths, or whole millimetres.

    >>> format_size(0.6096, "imperial"), format_size(0.6096, "metric")
    ('24"', '610 mm')
    """
    return format_inches(length_m) if units == "imperial" else f"{length_m * 1000:.0f} mm"


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


def rounded_up(value: float, digits: int) -> str:
    """An uncertainty with so many digits, never smaller than it is.

    >>> rounded_up(0.0007, 2), rounded_up(0.1201, 2)
    ('0.01', '0.13')
    """
    step = 10**digits
    return f"{math.ceil(value * step - 1e-9) / step:.{digits}f}"


def band_name(band_hz: float) -> str:
    """A band with its unit, for people.

    >>> band_name(500), band_name(1250)
    ('500 Hz', '1.25 kHz')
    """
    return f"{band_hz / 1000:g} kHz" if band_hz >= 1000 else f"{band_hz:g} Hz"


def digits_against_limit(value: float, limit: float, digits: int = 2) -> tuple[str, str]:
    """A value and its limit, printed with enough digits that the value stays on its own side.

    Both have at least `digits` decimals; the value gets more until what is printed compares as what
    was decided, and the limit only as many as it needs to be exact, or as the value has.

    >>> digits_against_limit(0.404, 0.40), digits_against_limit(0.4301, 0.43083)
    (('0.404', '0.40'), ('0.430', '0.431'))
    """
    side = (value > limit) - (value < limit)
    for d in range(digits, 13):
        exact = next((k for k in range(digits, d) if abs(round(limit, k) - limit) < 1e-12), d)
        said, bound = f"{value:.{d}f}", f"{limit:.{exact}f}"
        if (float(said) > float(bound)) - (float(said) < float(bound)) == side:
            break
    return said, bound
