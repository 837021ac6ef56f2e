"""Numbers as people read them, none on the wrong side of its limit."""

from __future__ import annotations

from decimal import Decimal

from roomcheck.geometry import Rectangle
from roomcheck.job import Job
from roomcheck.report.texts import say
from roomcheck.units import KG_PER_LB, M2_PER_FT2, M_PER_FT, format_length, format_size

NONE = "–"


def beside(value: float, *limits: float | None, digits: int = 2) -> str:
    """A value with as many digits as it takes to stay on its own side of every limit.

    A limit is printed with `digits` itself, so the value is compared with the limit as printed as well.

    >>> beside(0.404, 0.40), beside(0.31, 0.20, 0.40), beside(0.40, 0.40)
    ('0.404', '0.31', '0.40')
    """
    known = [limit for limit in limits if limit is not None]
    for n in range(digits, digits + 6):
        shown = round(value, n)
        if all(_side(shown, printed(limit)) == _side(value, limit) for limit in known):
            return f"{value:.{n}f}"
    return repr(value)


def printed(limit: float, digits: int = 2) -> float:
    """A limit as it stands on the page. [s]"""
    return float(limit_text(limit, digits))


def limit_text(limit: float, digits: int = 2) -> str:
    """A limit, exactly: as many digits as it has, two at least and six at most.

    >>> limit_text(0.4), limit_text(0.345), limit_text(0.3612345678)
    ('0.40', '0.345', '0.361235')
    """
    for n in range(digits, 6):
        if abs(round(limit, n) - limit) < 1e-9:
            return f"{limit:.{n}f}"
    return f"{limit:.6f}"


def _side(value: float, limit: float) -> int:
    return (value > limit + 1e-9) - (value < limit - 1e-9)


def seconds(value: float | None, *limits: float | None) -> str:
    """A decay without its unit; a dash where there is none. [s]"""
    return NONE if value is None else beside(value, *limits)


def plus_minus(u_s: float | None) -> str:
    """Expanded uncertainty, two standard uncertainties, rounded up to the hundredth. [s]

    >>> plus_minus(0.0101), plus_minus(None)
    ('±0.03', '–')
    """
    if u_s is None:
        return NONE
    hundredths = -int(-(2 * u_s * 100 - 1e-9) // 1)
    return f"±{max(hundredths, 1) / 100:.2f}"


def limits(low_s: float | None, high_s: float | None) -> str:
    """Both ends, or the one there is. [s]

    >>> limits(0.2, 0.35), limits(None, 0.6)
    ('0.20–0.35', '≤ 0.60')
    """
    if low_s is not None and high_s is not None:
        return f"{limit_text(low_s)}–{limit_text(high_s)}"
    if high_s is not None:
        return f"≤ {limit_text(high_s)}"
    return NONE if low_s is None else f"≥ {limit_text(low_s)}"


def reach(low_s: float | None, high_s: float | None) -> str:
    """A predicted range, ends rounded outwards. [s]

    >>> reach(0.3049, 0.3951)
    '0.30–0.40'
    """
    if low_s is None or high_s is None:
        return NONE
    return f"{int(low_s * 100 + 1e-9) / 100:.2f}–{-int(-(high_s * 100 - 1e-9) // 1) / 100:.2f}"


def band(band_hz: float) -> str:
    """A band's name with its unit; the mid-band mean where it is 0.

    >>> band(500.0), band(1000.0), band(0.0)
    ('500 Hz', '1 kHz', '500 Hz and 1 kHz, mean')
    """
    if band_hz == 0:
        return say("mid_bands")
    return f"{band_hz / 1000:g} kHz" if band_hz >= 1000 else f"{band_hz:g} Hz"


def decibels(value: float | None) -> str:
    return NONE if value is None else f"{value:.1f}".replace("-", "−")


def money(amount: Decimal, job: Job) -> str:
    """An amount with the job's sign of money, thousands apart."""
    text = f"{abs(amount):,.2f}"
    sign = "−" if amount < 0 else ""
    return f"{sign}{job.currency}{text}" if len(job.currency) == 1 else f"{sign}{text} {job.currency}"


def length(length_m: float, job: Job) -> str:
    return format_length(length_m, job.units)


def size(length_m: float, job: Job) -> str:
    """A part's size as the shop reads it."""
    return format_size(length_m, job.units)


def area(area_m2: float, job: Job) -> str:
    return f"{area_m2 / M2_PER_FT2:.0f} sq ft" if job.units == "imperial" else f"{area_m2:.1f} m²"


def volume(volume_m3: float, job: Job) -> str:
    if job.units == "imperial":
        return f"{volume_m3 / M_PER_FT**3:,.0f} cu ft ({volume_m3:.1f} m³)"
    return f"{volume_m3:.1f} m³"


def weight(weight_kg: float, job: Job) -> str:
    return f"{weight_kg / KG_PER_LB:.0f} lb" if job.units == "imperial" else f"{weight_kg:.1f} kg"


def temperature(temperature_c: float, job: Job) -> str:
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
    return f"{size(place.width_m, job)} × {size(place.height_m, job)}"
