"""Numbers as people read them, none on the wrong side of its limit."""

from __future__ import annotations

import math
from decimal import Decimal

from roomcheck.geometry import Rectangle
from roomcheck.job import Job
from roomcheck.units import KG_PER_LB, M2_PER_FT2, M_PER_FT, format_length
from roomcheck.words.reader import Reader

NONE = "–"
COVERAGE = 2.0
"""Expanded uncertainty, about 95 %, in standard uncertainties."""

EQUAL = 1e-9
"""Values that differ by less are the same."""

MOST_DIGITS = 9
"""Decimals beyond which two values count as the same."""


def beside(
    value: float, low: float | None = None, high: float | None = None, digits: int = 2
) -> str:
    """Print a value with as many decimals, `digits` at least, as keep it on its own side of its
    limits as they are printed.

    >>> beside(0.404, 0.20, 0.40), beside(0.31, 0.20, 0.40), beside(0.40, None, 0.40)
    ('0.404', '0.31', '0.40')
    >>> beside(-14.6, high=-15, digits=0), beside(-0.2, high=-15, digits=0)
    ('-14.6', '0')
    """
    edges = [
        (limit, float(limit_text(limit, upper=upper, value=value, digits=digits)))
        for limit, upper in ((low, False), (high, True))
        if limit is not None
    ]
    for decimals in range(digits, MOST_DIGITS):
        rounded = round(value, decimals) + 0.0
        if all(_side(rounded, printed) == _side(value, limit) for limit, printed in edges):
            return f"{rounded:.{decimals}f}"
    return f"{value:.{MOST_DIGITS}f}"


def limit_text(limit: float, *, upper: bool, value: float | None = None, digits: int = 2) -> str:
    """Print a limit with `digits` decimals where it has no more, else with one more, the last one
    outwards.

    Beside a value that lies between the limit and its printed form it gets nine decimals, so that
    both keep their order.

    >>> limit_text(0.4, upper=True), limit_text(0.345, upper=True), limit_text(0.36123, upper=True)
    ('0.40', '0.345', '0.362')
    >>> limit_text(0.36123, upper=False), limit_text(0.3612345678, upper=True, value=0.3615)
    ('0.361', '0.361234568')
    """
    for decimals in (digits, digits + 1):
        if abs(round(limit, decimals) - limit) < EQUAL:
            return f"{limit:.{decimals}f}"
    step = 10 ** (digits + 1)
    outwards = math.ceil if upper else math.floor
    printed = outwards(limit * step) / step
    if value is not None and _side(value, printed) != _side(value, limit):
        return f"{limit:.{MOST_DIGITS}f}"
    return f"{printed:.{digits + 1}f}"


def with_limit(value: float, limit: float, *, upper: bool, digits: int = 2) -> tuple[str, str]:
    """Print a value and the limit that it stands beside in a sentence.

    >>> with_limit(0.404, 0.40, upper=True), with_limit(0.4301, 0.43083, upper=True)
    (('0.404', '0.40'), ('0.43', '0.431'))
    """
    low, high = (None, limit) if upper else (limit, None)
    printed = limit_text(limit, upper=upper, value=value, digits=digits)
    return beside(value, low, high, digits), printed


def _side(value: float, limit: float) -> int:
    return (value > limit + EQUAL) - (value < limit - EQUAL)


def rounded_up(value: float, digits: int) -> str:
    """Print a width with so many decimals, never smaller than it is.

    >>> rounded_up(0.0007, 2), rounded_up(0.1201, 2)
    ('0.01', '0.13')
    """
    step = 10**digits
    return f"{math.ceil(value * step - EQUAL) / step:.{digits}f}"


def expanded(u: float, digits: int = 2) -> str:
    """Print the expanded uncertainty of a standard uncertainty, rounded up and never 0.

    >>> expanded(0.0101), expanded(0.0), expanded(0.31, 1)
    ('0.03', '0.01', '0.7')
    """
    return rounded_up(max(COVERAGE * u, 10.0**-digits), digits)


def seconds(value: float | None, low: float | None = None, high: float | None = None) -> str:
    """A decay without its unit, beside its limits; a dash where there is none. [s]"""
    return NONE if value is None else beside(value, low, high)


def plus_minus(u: float | None, digits: int = 2) -> str:
    """Print the expanded uncertainty as a table has it; a dash where it is unknown.

    >>> plus_minus(0.0101), plus_minus(None)
    ('±0.03', '–')
    """
    return NONE if u is None else f"±{expanded(u, digits)}"


def limits(low_s: float | None, high_s: float | None, value_s: float | None = None) -> str:
    """Both ends, or the one there is, as they stand beside a value. [s]

    >>> limits(0.2, 0.35), limits(None, 0.6)
    ('0.20–0.35', '≤ 0.60')
    """
    low = None if low_s is None else limit_text(low_s, upper=False, value=value_s)
    high = None if high_s is None else limit_text(high_s, upper=True, value=value_s)
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
    return "–".join(outwards(low_s, high_s))


def outwards(low_s: float, high_s: float) -> tuple[str, str]:
    """Print both ends of a range, rounded outwards. [s]"""
    low_hundredths = math.floor(low_s * 100 + EQUAL)
    return f"{low_hundredths / 100:.2f}", rounded_up(high_s, 2)


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


def length(length_m: float, units_of: Job | Reader) -> str:
    """Print feet, inches and sixteenths, or metres to the millimetre."""
    return format_length(length_m, units_of.units)


def size(length_m: float, units_of: Job | Reader) -> str:
    """Print a part's size as the shop reads it: as every length, or in whole millimetres.

    >>> size(0.6096, Reader()), size(0.6096, Reader(units="metric"))
    ('2\\'-0"', '610 mm')
    """
    if units_of.units == "imperial":
        return format_length(length_m, "imperial")
    return f"{length_m * 1000:.0f} mm"


def area(area_m2: float, units_of: Job | Reader) -> str:
    """Square feet or square metres."""
    if units_of.units == "imperial":
        return f"{area_m2 / M2_PER_FT2:.0f} sq ft"
    return f"{area_m2:.1f} m²"


def volume(volume_m3: float, units_of: Job | Reader) -> str:
    """Cubic feet with cubic metres beside them, or cubic metres."""
    if units_of.units == "imperial":
        return f"{volume_m3 / M_PER_FT**3:,.0f} cu ft ({volume_m3:.1f} m³)"
    return f"{volume_m3:.1f} m³"


def weight(weight_kg: float, units_of: Job | Reader) -> str:
    """Whole pounds, or kilograms to the tenth."""
    if units_of.units == "imperial":
        return f"{weight_kg / KG_PER_LB:.0f} lb"
    return f"{weight_kg:.1f} kg"


def temperature(temperature_c: float, units_of: Job | Reader) -> str:
    """Degrees Fahrenheit with Celsius beside them, or Celsius."""
    if units_of.units == "imperial":
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


def counted(count: int, noun: str) -> str:
    """Print a number of things.

    >>> counted(1, "piece"), counted(11, "piece")
    ('1 piece', '11 pieces')
    """
    return f"{count} {noun}" if count == 1 else f"{count} {noun}s"


def heading(text: str) -> str:
    """A title that somebody wrote small, as a title: its first letter large."""
    return text[:1].upper() + text[1:]


def pieces_of(names: tuple[str, ...]) -> tuple[tuple[str, int], ...]:
    """Stock pieces and how many of each, in the order they first come."""
    counts: dict[str, int] = {}
    for name in names:
        counts[name] = counts.get(name, 0) + 1
    return tuple(counts.items())


def across(place: Rectangle, units_of: Job | Reader) -> str:
    """A piece's size: width by height."""
    return by(place.width_m, place.height_m, units_of)


def by(width_m: float, height_m: float, units_of: Job | Reader) -> str:
    """Two sizes as the shop reads them, the metric unit once."""
    return f"{size(width_m, units_of).removesuffix(' mm')} × {size(height_m, units_of)}"
