"""Single values of a person's file: what they mean, and how a message shows them."""

from __future__ import annotations

import difflib
import re
from collections.abc import Callable, Iterable, Mapping
from decimal import Decimal
from typing import Any

from roomcheck.signs import visible
from roomcheck.typed import LONGEST, LengthError, parse_length

NUMBER = r"(-?(?:\d+(?:\.\d+)?|\.\d+))"
MOST = 1e6
"""Above this, no number and no length that a person types for a room can be meant."""


def meant(found: object, allowed: Iterable[str], *, show: int = 20) -> str:
    """What somebody may have meant, out of what is allowed.

    >>> meant("metrik", ["imperial", "metric"])
    'did you mean "metric"?'
    >>> meant("blue", ["imperial", "metric"])
    'it must be one of "imperial", "metric"'
    """
    words = list(allowed)
    lowered = {word.lower(): word for word in reversed(words)}
    near = difflib.get_close_matches(shown(found).strip('" ').lower(), lowered, n=2)
    if near:
        return f"did you mean {' or '.join(chr(34) + lowered[n] + chr(34) for n in near)}?"
    listed = ", ".join(f'"{word}"' for word in words[:show])
    return (
        f"it must be one of {listed}{f' and {len(words) - show} more' if len(words) > show else ''}"
    )


def shown(raw: object) -> str:
    """A value as a message shows it: short, and as TOML writes it."""
    if isinstance(raw, bool):
        return str(raw).lower()
    if isinstance(raw, dict):
        return "a table"
    if isinstance(raw, list):
        return "a list" if raw else "an empty list"
    try:
        text = f'"{visible(raw)}"' if isinstance(raw, str) else str(raw)
    except ValueError:  # an integer too long to print
        text = "a very long number"
    return text if len(text) <= 60 else f"{text[:57]}…"


def length_of(raw: Any) -> float | str:
    """A length, or what is wrong with it. [m]"""
    try:
        found = parse_length(raw)
    except LengthError as problem:
        return str(problem)
    if not abs(found) < MOST:
        return f"{shown(raw)} is longer than any room"
    return found


def is_text(raw: Any) -> bool:
    return isinstance(raw, str) and len(raw) <= LONGEST


def with_unit(units: Mapping[str, float]) -> Callable[[Any], float | None]:
    def take(raw: Any) -> float | None:
        found = re.fullmatch(NUMBER + r"\s*(.+)", raw.strip(), re.A) if is_text(raw) else None
        factor = units.get(found[2]) if found else None
        value = (
            float(Decimal(found[1]) * Decimal(str(factor)))
            if found and factor is not None
            else None
        )
        return value if value is not None and 0 < value < 1e9 else None

    return take
