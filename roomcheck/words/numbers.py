"""Numbers as people read them, none on the wrong side of its limit."""

from __future__ import annotations

from decimal import Decimal

from roomcheck.geometry import Rectangle
from roomcheck.job import Job
from roomcheck.units import (
    KG_PER_LB,
    M2_PER_FT2,
    M_PER_FT,
    band_name,
    format_length,
    format_size,
    rounded_up,
)
from roomcheck.words.documents import say

NONE = "–"
EQUAL = 1e-9
"""Decays that differ by less are the same. [s]"""


def beside(value: float, low: float | None = None, high: float | None = None) -> str:
    """A value with as many digits as it takes to stay on its own side of its limits as they are
    printed.

    >>> beside(0.404, 0.20, 0.40), beside(0.31, 0.20, 0.40), beside(0.40, None, 0.40)
    ('0.404', '0.31', '0.40')
    """
    edges = [
        (edge, float(limit_text(edge, up=up, value=value)))
        for edge, up in ((low, False), (high, True))
        if edge is not None
    ]
    for n in range(2, 9):
        shown = round(value, n)
        if all(_side(shown, printed) == _side(value, edge) for edge, printed in edges):
            return f"{value:.{n}f}"
    return f"{value:.9f}"


def limit_text(limit: float, *, up: bool, value: float | None = None) -> str:
    """A limit: two digits where it has no more, else three, the last one outwards (`up` for an
    upper limit).

    Beside a value that lies between the limit and its printed form it gets nine digits, so that
    both keep their order.

    >>> limit_text(0.4, up=True), limit_text(0.345, up=True), limit_text(0.3612345678, up=True)
    ('0.40', '0.345', '0.362')
    >>> limit_text(0.3612345678, up=False), limit_text(0.3612345678, up=True, value=0.3615)
    ('0.361', '0.361234568')
    """
    for n in (2, 3):
        if abs(round(limit, n) - limit) < EQUAL:
            return f"{limit:.{n}f}"
    thousandths = -int(-limit * 1000 // 1) if up else int(limit * 1000 // 1)
    if value is not None and _side(value, thousandths / 1000) != _side(value, limit):
        return f"{limit:.9f}"
    return f"{thousandths / 1000:.3f}"


def _side(value: float, limit: float) -> int:
    return (value > limit + EQUAL) - (value < limit - EQUAL)


def seconds(value: float | None, low: float | None = None, high: float | None = None) -> str:
    """A decay without its unit, beside its limits; a dash where there is none. [s]"""
    return NONE if value is None else beside(value, low, high)


def plus_minus(u_s: float | None) -> str:
    """Expanded uncertainty, two standard uncertainties, rounded up to the hundredth. [s]

    >>> plus_minus(0.0101), plus_minus(None)
    ('±0.03', '–')
    """
    if u_s is None:
        return NONE
    return f"±{rounded_up(max(2 * u_s, 0.01), 2)}"


def limits(low_s: float | None, high_s: float | None, value_s: float | None = None) -> str:
    """Both ends, or the one there is, as they stand beside a value. [s]

    >>> limits(0.2, 0.35), limits(None, 0.6)
    ('0.20–0.35', '≤ 0.60')
    """
    low = None if low_s is None else limit_text(low_s, up=False, value=value_s)
    high = None if high_s is None else limit_text(high_s, up=True, value=value_s)
    if low is not None and high is not None:
        return f"{low}–{high}"
    if high is not None:
        return f"≤ {high}"
    return NONE if low is None else f"≥ {low}"


def reach(low_s: float | None, high_s: float | None) -> str:
    """A predicted range, ends rounded outwards. [s]

    >>> reach(0.3049, 0.3951)
    '0.30–0.40'
    """
    if low_s is None or high_s is None:
        return NONE
    low_hundredths = int(low_s * 100 + 1e-9)
    return f"{low_hundredths / 100:.2f}–{rounded_up(high_s, 2)}"


def band(band_hz: float) -> str:
    """A band's name with its unit; the mid-band mean where it is 0.

    >>> band(500.0), band(1000.0), band(0.0)
    ('500 Hz', '1 kHz', '500 Hz and 1 kHz, mean')
    """
    if band_hz == 0:
        return say("mid_bands")
    return band_name(band_hz)


def decibels(value: float | None) -> str:
    """A level difference to the tenth, without its unit. [dB]"""
    return NONE if value is None else f"{value:.1f}".replace("-", "−")


def money(amount: Decimal, job: Job) -> str:
    """An amount with the job's sign of money, thousands apart."""
    text = f"{abs(amount):,.2f}"
    sign = "−" if amount < 0 else ""
    if len(job.currency) == 1:
        return f"{sign}{job.currency}{text}"
    return f"{sign}{text} {job.currency}"


def length(length_m: float, job: Job) -> str:
    """Feet, inches and sixteenths, or metres to the millimetre."""
    return format_length(length_m, job.units)


def size(length_m: float, job: Job) -> str:
    """A part's size as the shop reads it."""
    return format_size(length_m, job.units)


def area(area_m2: float, job: Job) -> str:
    """Square feet or square metres."""
    if job.units == "imperial":
        return f"{area_m2 / M2_PER_FT2:.0f} sq ft"
    return f"{area_m2:.1f} m²"


def volume(volume_m3: float, job: Job) -> str:
    """Cubic feet with cubic metres beside them, or cubic metres."""
    if job.units == "imperial":
        return f"{volume_m3 / M_PER_FT**3:,.0f} cu ft ({volume_m3:.1f} m³)"
    return f"{volume_m3:.1f} m³"


def weight(weight_kg: float, job: Job) -> str:
    """Whole pounds, or kilograms to the tenth."""
    if job.units == "imperial":
        return f"{weight_kg / KG_PER_LB:.0f} lb"
    return f"{weight_kg:.1f} kg"


def temperature(temperature_c: float, job: Job) -> str:
    """Degrees Fahrenheit with Celsius beside them, or Celsius."""
    if job.units == "imperial":
        return f"{temperature_c * 9 / 5 + 32:.0f} °F ({temperature_c:.1f} °C)"
    return f"{temperature_c:.1f} °C"


def hours(amount: Decimal) -> str:
    """Hours without needless zeros.

    >>> hours(Decimal("2.50")), hours(Decimal("10"))
    ('2.5', '10')
    """
    text = f"{amount:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def quantity(amount: Decimal) -> str:
    """A quantity to buy: two digits at most.

    >>> quantity(Decimal("12.3456")), quantity(Decimal("3"))
    ('12.35', '3')
    """
    return hours(amount.quantize(Decimal("0.01")))


def heading(text: str) -> str:
    """A title that somebody wrote small, as a title: its first letter large."""
    return text[:1].upper() + text[1:]


def pieces_of(names: tuple[str, ...]) -> tuple[tuple[str, int], ...]:
    """Stock pieces and how many of each, in the order they first come."""
    counts: dict[str, int] = {}
    for name in names:
        counts[name] = counts.get(name, 0) + 1
    return tuple(counts.items())


def across(place: Rectangle, job: Job) -> str:
    """A piece's size: width by height."""
    return by(place.width_m, place.height_m, job)


def by(width_m: float, height_m: float, job: Job) -> str:
    """Two sizes as the shop reads them, the metric unit once."""
    return f"{size(width_m, job).removesuffix(' mm')} × {size(height_m, job)}"
