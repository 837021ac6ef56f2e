r"""What people type: lengths, degrees, per cents and money, each read in one place.

Files, commands and pages use the same readers. What has one meaning is read; what has two, or none,
is refused with the reason, so that the person can say which was meant. A bare number is no length:
12 of what?
"""

from __future__ import annotations

import re
from decimal import Decimal
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise

from roomcheck.errors import RoomcheckError
from roomcheck.signs import first_unseen

LONGEST = 200
"""More signs than any length, temperature, percentage or price is written with."""

SIGNATURE_FIELD = 600, 200
"""Width and height of the field that a signature is drawn in."""

MOST_POINTS, LEAST_INK = 4000, 40
"""A longer path is no signature, and the length of the shortest one that can be meant. [units of
the field]"""

_STROKES = re.compile(r"(?:M[0-9]{1,3} [0-9]{1,3}(?:L[0-9]{1,3} [0-9]{1,3})+)+")
_STROKE = re.compile(r"([ML])([0-9]{1,3}) ([0-9]{1,3})")

_M_PER = {"m": Fraction(1), "cm": Fraction(1, 100), "mm": Fraction(1, 1000)}
_M_PER_IN = Fraction(254, 10_000)

_SIGNS = str.maketrans(
    dict.fromkeys("’‘′´ʹ＇", "'")
    | dict.fromkeys("”“″„ʺ＂", '"')
    | dict.fromkeys("⁄∕", "/")
    | dict.fromkeys("−–—‐‑", "-")
    | dict.fromkeys("\u00a0\u2009\u202f\u2007", " ")
)
_VULGAR = {
    **{"½": "1/2", "¼": "1/4", "¾": "3/4", "⅓": "1/3", "⅔": "2/3"},
    **{"⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"},
}

_NUMBER = r"(?:[0-9][0-9.,]*|[.,][0-9]+)"
_AMOUNT = (
    rf"(?P<{{0}}_whole>{_NUMBER}(?![0-9.,]|\s*/))?(?P<{{0}}_gap>[\s-]*)"
    r"(?:(?P<{0}_top>[0-9]+)\s*/\s*(?P<{0}_bottom>[0-9]+))?"
)
_FOOT = r"(?:'(?!')|feet|foot|ft\.?)"
_INCH = r"""(?:"|''|inches|inch|ins?\.?)"""
_METRE = r"(?P<unit>mm|cm|m|(?P<prefix>milli|centi|)met(?:er|re)s?)"
_IMPERIAL = re.compile(
    rf"(?:{_AMOUNT.format('ft')}\s*(?P<ft>{_FOOT})(?P<between>[\s,-]*))?"
    rf"(?:{_AMOUNT.format('in')}\s*(?P<in>{_INCH})?)?"
)
_METRIC = re.compile(rf"{_AMOUNT.format('si')}\s*{_METRE}")
_METRES_AND = re.compile(r"(?P<whole>[0-9]+)\s*m\s*(?P<rest>[0-9]+)\s*(?P<unit>cm|mm)")
_BETWEEN = re.compile(r" ?|, |-| ?- ")
"""What may stand between feet and inches: 12 ft -6 in could be a difference."""
_HOW = "write it like 12' 4 1/2\", 148.5 in, 3.77 m or 377 cm"
_UNKNOWN_UNIT = re.compile(r"[0-9.,\s/'\"-]*([a-z°²³µ]{1,12})\.?")


class TypedError(RoomcheckError):
    """A text that cannot be read, or that can be read in two ways: `text` as it was typed, and
    `why`."""

    what = "readable"

    def __init__(self, text: object, why: str) -> None:
        self.text, self.why = text, why
        super().__init__(f"{_quoted(text)} is not {self.what}: {why}")


class LengthError(TypedError):
    """A text that is no length, or could be two."""

    what = "a length"


class TemperatureError(TypedError):
    """A text that is no temperature of a room, or could be two."""

    what = "a temperature"


class PercentError(TypedError):
    """A text that is no percentage, or could be two."""

    what = "a percentage"


class MoneyError(TypedError):
    """A text that is no amount of money, or could be two."""

    what = "an amount of money"


class SignatureError(TypedError):
    """A drawn signature that cannot be kept as one."""

    what = "a drawn signature"


def _quoted(text: object) -> str:
    said = repr(text) if isinstance(text, int | float | str | None) else "this"
    return said if len(said) <= 60 else f"{said[:57]}…"


def parse_length(text: object) -> float:
    r"""A length with its unit, in metres.

    Parameters
    ----------
    text : object
        Feet and inches (``12' 4 1/2"``, ``12ft 4.5in``, ``13'4``, ``148.5 in``) or metric
        (``3.77 m``, ``6,1 m``, ``377cm``); a leading minus is taken. After feet, inches need no
        mark.

    Returns
    -------
    float
        [m]

    Raises
    ------
    LengthError
        No length, or one that can be read in two ways; says why, and how to write it.

    Examples
    --------
    >>> [round(parse_length(text), 4) for text in ("12' 4 1/2\"", "12'4 1/2", "377cm", "148.5 in")]
    [3.7719, 3.7719, 3.77, 3.7719]
    """
    if not isinstance(text, str):
        raise LengthError(
            text, f'it has no unit; write it as text with one, such as "{text} in" or "{text} m"'
        )
    try:
        return _metres(text)
    except _Doubt as doubt:
        raise LengthError(text, str(doubt)) from None


@lru_cache(maxsize=4096)
def _metres(text: str) -> float:
    """The same texts are read again with every page."""
    return float(_length_m(_plain(text)))


class _Doubt(Exception):
    """Why a text is not read."""


def _plain(text: str) -> str:
    """A text with the signs of a keyboard: every kind of quote, dash and fraction as its plain
    one."""
    if len(text) > LONGEST:
        raise _Doubt("far too long for one")
    odd = first_unseen(text)
    if odd is not None or "\n" in text:
        raise _Doubt(f"it holds the invisible sign {odd or 'U+000A'}; type it again")
    plain = text.strip().translate(_SIGNS).lower()
    for sign, spelt in _VULGAR.items():
        # A space on both sides, except behind a hyphen: 3-½ is 3-1/2, and ½2 must not become 1/22.
        plain = re.sub(rf"(?<=-){sign}", f"{spelt} ", plain).replace(sign, f" {spelt} ")
    return re.sub(r"\s+", " ", plain).strip()


def _length_m(said: str) -> Fraction:
    minus = said.startswith("-")
    said = said.removeprefix("-").strip()
    if said.startswith(("-", "+")):
        raise _Doubt("a second sign, or a plus, in front; write it with one minus or none")
    length = _as_metric(said)
    if length is None:
        length = _as_imperial(said)
    return -length if minus else length


def _as_metric(said: str) -> Fraction | None:
    both = _METRES_AND.fullmatch(said)
    if both:
        part = int(both["rest"]) * _M_PER[both["unit"]]
        if part >= 1:
            raise _Doubt(f"{both['rest']} {both['unit']} are a metre or more; write one number")
        return int(both["whole"]) + part
    found = _METRIC.fullmatch(said)
    if found is None:
        return None
    prefix = found["prefix"]
    unit = found["unit"] if prefix is None else {"milli": "mm", "centi": "cm", "": "m"}[prefix]
    return _amount(found, "si", unit) * _M_PER[unit]


def _as_imperial(said: str) -> Fraction:
    found = _IMPERIAL.fullmatch(said) if said else None
    if found is None:
        raise _Doubt(_why_not(said))
    feet, inches = _has(found, "ft"), _has(found, "in")
    if not feet and (not inches or found["ft"]):
        raise _Doubt(_HOW)
    if not feet and not found["in"]:
        raise _Doubt(_without_unit(said))
    if not feet:
        return _amount(found, "in", "in") * _M_PER_IN
    twelve = _amount(found, "ft", "ft") * 12
    return (twelve + _rest_in(found, twelve)) * _M_PER_IN


def _rest_in(found: re.Match[str], feet_in: Fraction) -> Fraction:
    """The inches after feet; 0 where there are none. [in]"""
    between = found["between"]
    if not _has(found, "in"):
        if found["in"] or between.strip():
            raise _Doubt(_HOW)
        return Fraction(0)
    if _BETWEEN.fullmatch(between) is None:
        raise _Doubt(f'"{between}" between feet and inches; write it like 12\' 6" or 12\'-6"')
    inches = _amount(found, "in", "in")
    if feet_in % 12:
        raise _Doubt("a part of a foot and inches as well; write whole feet and inches")
    if inches >= 12:
        total = feet_in + inches
        feet, rest = divmod(total, 12)
        raise _Doubt(f"{inches} inches are a foot or more; did you mean {feet}' {_mixed(rest)}\"?")
    return inches


def _has(found: re.Match[str], side: str) -> bool:
    return bool(found[f"{side}_whole"] or found[f"{side}_top"])


def _amount(found: re.Match[str], side: str, unit: str) -> Fraction:
    """A number, a fraction, or a whole number with a fraction."""
    whole, top, bottom = (found[f"{side}_{part}"] for part in ("whole", "top", "bottom"))
    gap = found[f"{side}_gap"]
    if not top:
        if not whole or gap.strip():
            raise _Doubt(_HOW)
        return Fraction(decimal_of(whole, unit))
    part = _proper(int(top), int(bottom), unit)
    if not whole:
        if gap.strip():
            raise _Doubt("two signs in front; write it with one minus or none")
        return part
    if not whole.isdigit():
        raise _Doubt(f"{whole} and {top}/{bottom} as well; write one number, or a whole one before")
    if gap not in (" ", "-"):
        raise _Doubt(f"is that {whole} less {top}/{bottom}? Write {whole} {top}/{bottom} {unit}")
    return int(whole) + part


def _proper(top: int, bottom: int, unit: str) -> Fraction:
    if bottom == 0:
        raise _Doubt(f"{top}/0 is no number; write it like 3 1/2 {unit}")
    if top >= bottom:
        whole, rest = divmod(top, bottom)
        instead = f"{whole} {rest}/{bottom}" if rest else f"{whole}"
        raise _Doubt(
            f"{top}/{bottom} is no part of one; write what was measured, such as {instead} {unit}"
        )
    return Fraction(top, bottom)


def decimal_of(said: str, unit: str = "") -> Decimal:
    """A decimal number with a point or a comma, without thousands marks.

    Raises
    ------
    _Doubt
        It can be read in two ways, or is no number.
    """
    unit = f" {unit}" if unit else ""
    plain = said.replace(",", ".")
    if plain.count(".") > 1:
        digits = re.sub(r"[.,]", "", said)
        raise _Doubt(
            f"{said} has more than one point or comma; write it with one, and leave the thousands "
            f"marks out, such as {_ungrouped(said) or digits}{unit}"
        )
    if re.fullmatch(r"[1-9][0-9]{0,2},[0-9]{3}", said):
        raise _Doubt(
            f"{said} may be {said.replace(',', '')} or {plain}; write one of these with its unit"
        )
    if plain.endswith("."):
        raise _Doubt(f"digits are missing after the point; write {plain[:-1]}{unit}")
    return Decimal(plain)


def _ungrouped(said: str) -> str | None:
    """What a number with thousands marks and a decimal mark most likely is."""
    found = re.fullmatch(r"([0-9]{1,3}(?:([.,])[0-9]{3})+)(?:([.,])([0-9]+))?", said)
    if found is None or found[2] == found[3]:
        return None
    whole = re.sub(r"[.,]", "", found[1])
    return f"{whole}.{found[4]}" if found[4] else whole


def _mixed(inches: Fraction) -> str:
    whole, rest = divmod(inches, 1)
    return f"{whole} {rest}" if rest and whole else f"{whole or rest}"


def _without_unit(said: str) -> str:
    if re.fullmatch(r"[0-9]+ [0-9]+(?: [0-9]+/[0-9]+)?", said):
        first, _, rest = said.partition(" ")
        return f"which are feet? Write {first}' {rest}\", or say the unit"
    return f'it has no unit; write "{said} in", "{said} ft" or "{said} m"'


def _why_not(said: str) -> str:
    if not said:
        return f"it is empty; {_HOW}"
    if re.fullmatch(r"[0-9]+ [0-9.,]+(?: [0-9]+/[0-9]+)?", said):
        return _without_unit(said)
    if re.fullmatch(r"[0-9]+(?: [0-9]{3})+(?:[.,][0-9]+)? ?[a-z]+", said):
        return "a gap inside the number; write the digits together"
    unit = _UNKNOWN_UNIT.fullmatch(said)
    known = re.fullmatch(r"mm|cm|m|in|ins|inch|inches|ft|feet|foot", unit[1]) if unit else None
    if unit and not known:
        return f'"{unit[1]}" is no unit known here; use ft, in, m, cm or mm: {_HOW}'
    return _HOW


_DEGREES = re.compile(
    r"(?P<minus>-?)\s*(?P<value>[0-9.,]+)\s*(?:°|º|˚|deg(?:rees?)?\.?)?\s*"
    r"(?P<unit>c|f|celsius|fahrenheit|centigrade|℃|℉)?"
)
_COOL_C, _WARM_C = 10, 35
_COOL_F, _WARM_F = 50, 95


def parse_temperature(text: object) -> float:
    """A room's temperature; the unit may be left out where only one makes a room.

    10 to 35 can only be Celsius (in Fahrenheit the room would freeze), 50 to 95 only Fahrenheit.

    Parameters
    ----------
    text : object
        ``70 °F``, ``21 C``, ``21,5``, ``70``; with a unit from -40 °C to 60 °C.

    Returns
    -------
    float
        [degC]

    Raises
    ------
    TemperatureError

    Examples
    --------
    >>> parse_temperature("21 C"), parse_temperature("21"), round(parse_temperature("70"), 2)
    (21.0, 21.0, 21.11)
    """
    try:
        found = _DEGREES.fullmatch(
            _typed(text, 'a temperature as text, such as "70 °F" or "21 °C"')
        )
        if found is None:
            raise _Doubt('write it like "70 °F" or "21 °C"')
        value = decimal_of(found["value"], "°C")
        value = -value if found["minus"] else value
        fahrenheit = _is_fahrenheit(value, found["unit"])
    except _Doubt as doubt:
        raise TemperatureError(text, str(doubt)) from None
    celsius = (float(value) - 32) * 5 / 9 if fahrenheit else float(value)
    if not -40 <= celsius <= 60:
        raise TemperatureError(text, "a room has from -40 °C to 60 °C (-40 °F to 140 °F)")
    return celsius


def _is_fahrenheit(value: Decimal, unit: str | None) -> bool:
    if unit:
        return unit.startswith("f") or unit == "℉"
    if _COOL_C <= value <= _WARM_C:
        return False
    if _COOL_F <= value <= _WARM_F:
        return True
    raise _Doubt(f'is that Celsius or Fahrenheit? Write "{value} °C" or "{value} °F"')


_PERCENT = re.compile(r"(?P<value>[0-9.,]+)\s*(?P<sign>%|per ?cent|pct\.?)?(?:\s*r\.?h\.?)?")


def parse_percent(text: object) -> Decimal:
    """A percentage from 0 to 100, with or without its sign.

    A bare number between 0 and 1 is asked about: 0.45 may be a share.

    Returns
    -------
    Decimal
        [%]

    Raises
    ------
    PercentError

    Examples
    --------
    >>> parse_percent("45 %"), parse_percent("45"), parse_percent("45,5 % RH")
    (Decimal('45'), Decimal('45'), Decimal('45.5'))
    """
    try:
        found = _PERCENT.fullmatch(_typed(text, 'a percentage as text such as "45 %"'))
        if found is None:
            raise _Doubt('write it like "45 %", from 0 % to 100 %')
        value = decimal_of(found["value"], "%")
        if 0 < value < 1 and not found["sign"]:
            raise _Doubt(f'is that {value} % or {(100 * value).normalize():f} %? Write it with "%"')
    except _Doubt as doubt:
        raise PercentError(text, str(doubt)) from None
    if value > 100:
        raise PercentError(text, "it must be from 0 % to 100 %")
    return value


_CURRENCY = r"[$€£¥₹₩₽₺₴₪฿₫₱]|[a-z]{1,3}[$.]?|kč|zł|złoty"
_MONEY = re.compile(
    rf"(?P<before>{_CURRENCY})?\s*(?P<value>[0-9.,]+)(?:[.,]-)?\s*(?P<after>{_CURRENCY})?"
)


def parse_money(text: object, currency: str | None = None, *, below_zero: bool = False) -> Decimal:
    """An amount of money with or without the sign of its currency.

    Parameters
    ----------
    text : object
        ``4200``, ``4200.50``, ``$4200``, ``4200,50 €``; no thousands marks.
    currency : str, optional
        The one that is reckoned in; another is refused. Where left out, any is taken as that of the
        job.
    below_zero : bool
        Whether a minus in front is taken: what is left out of an order.

    Raises
    ------
    MoneyError

    Examples
    --------
    >>> parse_money("4200"), parse_money("$4200.50", "$"), parse_money("4200,50 €", "€")
    (Decimal('4200'), Decimal('4200.50'), Decimal('4200.50'))
    """
    try:
        said = _typed(text, 'money as text, such as "72.00"')
        minus = below_zero and said.startswith("-")
        found = _MONEY.fullmatch(said[1:].strip() if minus else said)
        if found is None:
            raise _Doubt('write digits and at most one point, such as "4200" or "4200.50"')
        sign = found["before"] or found["after"] or ""
        if found["before"] and found["after"]:
            raise _Doubt("a currency on both sides; write one or none")
        if sign and currency is not None and sign != currency.strip().lower():
            raise _Doubt(f"the job reckons in {currency}; write the amount in it")
        value = decimal_of(found["value"])
        exponent = value.as_tuple().exponent
        if value >= 10**12 or not isinstance(exponent, int) or exponent < -6:
            raise _Doubt("no more than 12 digits before the point and 6 behind")
    except _Doubt as doubt:
        raise MoneyError(text, str(doubt)) from None
    return -value if minus else value


def _typed(text: object, needed: str) -> str:
    if not isinstance(text, str):
        raise _Doubt(f"it must be {needed}")
    return _plain(text)


def parse_signature(text: object) -> str:
    """Return a signature that was drawn by hand; "" where nothing was drawn.

    Parameters
    ----------
    text : str
        SVG path of moves and lines between whole numbers, in a field of `SIGNATURE_FIELD`.

    Raises
    ------
    SignatureError
        It holds anything else, leaves the field, or is too long or too short to be one.

    Examples
    --------
    >>> parse_signature("M10 20L300 90L40 60")
    'M10 20L300 90L40 60'
    """
    said = text.strip() if isinstance(text, str) else "?"
    if not said:
        return ""
    if len(said) > 10 * MOST_POINTS or _STROKES.fullmatch(said) is None:
        raise SignatureError(text, "it is no path of whole numbers, or far too long")
    points = [(step, int(x), int(y)) for step, x, y in _STROKE.findall(said)]
    wide, high = SIGNATURE_FIELD
    if len(points) > MOST_POINTS:
        why = f"it has {len(points)} points, and {MOST_POINTS} are the most"
        raise SignatureError(text, why)
    if any(x > wide or y > high for _, x, y in points):
        raise SignatureError(text, f"it leaves the field of {wide} by {high}")
    if _ink(points) < LEAST_INK:
        raise SignatureError(text, "it is hardly more than a dot: clear it and sign once more")
    return said


def _ink(points: list[tuple[str, int, int]]) -> float:
    """Length of what was drawn. [units of the field]"""
    drawn = (
        ((x - before_x) ** 2 + (y - before_y) ** 2) ** 0.5
        for (_, before_x, before_y), (step, x, y) in pairwise(points)
        if step == "L"
    )
    return sum(drawn, 0.0)
