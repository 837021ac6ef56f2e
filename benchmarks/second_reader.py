"""Lengths, degrees, per cents and money read a second way, to hold roomcheck's own reader against.

Nothing here is shared with it: a text is cut into tokens, and these are added up by what they are.
A text that this reader does not understand is None, which says nothing about it.
"""

from __future__ import annotations

import re
from fractions import Fraction

_TOKEN = re.compile(
    r"(?P<fraction>\d+\s*/\s*\d+)|(?P<number>\d+[.,]\d+|[.,]\d+|\d+)"
    r"|(?P<unit>millimet(?:re|er)s?|centimet(?:re|er)s?|met(?:re|er)s?|mm|cm|m(?![a-z])"
    r"|feet|foot|ft\.?|inches|inch|ins?\.?(?![a-z])|''|'|\")|(?P<minus>-)|(?P<comma>,)|(?P<space>\s+)"
)
_VULGAR = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅓": "1/3", "⅔": "2/3", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8"}  # fmt: skip
_MILLIMETRES = {"mm": Fraction(1), "cm": Fraction(10), "m": Fraction(1000)}
_INCH, _FOOT = Fraction(254, 10), Fraction(3048, 10)


def length_m(text: object) -> float | None:
    """A length that can have one meaning alone; None for every other text. [m]"""
    if not isinstance(text, str):
        return None
    tokens = _tokens(text)
    if not tokens:
        return None
    sign = 1
    if tokens[0] == ("minus", "-"):
        sign, tokens = -1, tokens[1:]
    millimetres = _sum(_grouped(tokens))
    return None if millimetres is None else float(sign * millimetres / 1000)


def _tokens(text: str) -> list[tuple[str, str]]:
    for seen, plain in (("’", "'"), ("‘", "'"), ("′", "'"), ("´", "'"), ("＇", "'"), ("”", '"'), ("“", '"'), ("″", '"'),
                        ("„", '"'), ("＂", '"'), ("ʺ", '"'), ("ʹ", "'"), ("⁄", "/"), ("∕", "/"), ("−", "-"), ("–", "-"), ("—", "-"),
                        ("‐", "-"), ("‑", "-")):  # fmt: skip
        text = text.replace(seen, plain)
    for sign, fraction in _VULGAR.items():
        text = text.replace(sign, f" {fraction} ")
    found, at = [], 0
    text = text.strip().lower()
    while at < len(text):
        token = _TOKEN.match(text, at)
        if token is None:
            return []
        kind = token.lastgroup or ""
        if kind != "space":
            found.append((kind, token[0]))
        at = token.end()
    return found


def _grouped(tokens: list[tuple[str, str]]) -> list[tuple[Fraction, str]] | None:
    """Amounts with the unit behind each; an empty one where none is written."""
    groups: list[tuple[Fraction, str]] = []
    amount: Fraction | None = None
    for kind, said in tokens:
        if kind == "number":
            if amount is not None:
                return None
            amount = Fraction(said.replace(",", "."))
        elif kind == "fraction":
            top, bottom = (int(part) for part in said.split("/"))
            if bottom == 0:
                return None
            amount = (amount or Fraction(0)) + Fraction(top, bottom)
        elif kind == "unit":
            if amount is None:
                return None
            groups.append((amount, _unit(said)))
            amount = None
        elif kind not in ("minus", "comma"):
            return None
    if amount is not None:
        groups.append((amount, ""))
    return groups


def _unit(said: str) -> str:
    said = said.rstrip(".")
    if said in ("'", "ft", "foot", "feet"):
        return "ft"
    if said in ('"', "''", "in", "ins", "inch", "inches"):
        return "in"
    return {"mil": "mm", "cen": "cm", "met": "m"}.get(said[:3], said)


def _sum(groups: list[tuple[Fraction, str]] | None) -> Fraction | None:
    if not groups:
        return None
    units = [unit for _, unit in groups]
    amounts = [amount for amount, _ in groups]
    if units in (["ft", "in"], ["ft", ""]):
        return amounts[0] * _FOOT + amounts[1] * _INCH
    if units in (["m", "cm"], ["m", "mm"]):
        return sum((a * _MILLIMETRES[u] for a, u in groups), Fraction(0))
    if len(groups) != 1 or units[0] == "":
        return None
    unit = units[0]
    return amounts[0] * {"ft": _FOOT, "in": _INCH}.get(unit, _MILLIMETRES.get(unit, Fraction(0)))


def percent(text: object) -> float | None:
    """A percentage, its sign given or not. [%]"""
    found = re.fullmatch(
        r"\s*(\d+(?:[.,]\d+)?)\s*(?:%|percent|per cent|pct\.?)?\s*(?:rh)?\s*", str(text).lower()
    )
    return float(found[1].replace(",", ".")) if found and isinstance(text, str) else None


def celsius(text: object) -> float | None:
    """A temperature; without its unit the one of the two that is a room's. [degC]"""
    found = re.fullmatch(
        r"\s*(-|−|–)?\s*(\d+(?:[.,]\d+)?)\s*(?:°|º|˚|degrees?|deg\.?)?\s*(c|f|celsius|fahrenheit|℃|℉)?\s*",
        str(text).lower(),
    )
    if not found or not isinstance(text, str):
        return None
    value = float(found[2].replace(",", ".")) * (-1 if found[1] else 1)
    unit = (found[3] or ("c" if value < 45 else "f"))[0].replace("℃", "c").replace("℉", "f")
    return value if unit == "c" else (value - 32) * 5 / 9


def money(text: object) -> float | None:
    """An amount, whatever sign stands beside it."""
    found = re.fullmatch(
        r"\s*[^\d\s.,-]{0,4}\s*(\d+(?:[.,]\d+)?)(?:[.,]-)?\s*[^\d\s.,-]{0,4}\s*", str(text)
    )
    return float(found[1].replace(",", ".")) if found and isinstance(text, str) else None
