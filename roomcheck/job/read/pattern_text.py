"""A number pattern as a person types it: "quadratic residues 7"."""

from __future__ import annotations

import re
from typing import get_args

from roomcheck.job.model.shop import NumberPattern, PatternName

PATTERNS_SAID = (
    'it must be "quadratic residues 7" or "primitive root 13", any odd prime, or left out'
)
_PATTERN = re.compile(rf"({'|'.join(get_args(PatternName))})(?:\s+(\d{{1,4}}))?")


def parse_pattern(text: str) -> NumberPattern | None:
    """Read a number pattern, with its prime where one is given; None where it is neither.

    >>> parse_pattern("primitive root 13")
    NumberPattern(name='primitive root', prime=13)
    >>> parse_pattern("quadratic residues 9") is None
    True
    """
    from roomcheck.materials import is_prime

    match = _PATTERN.fullmatch(text.strip())
    if match is None:
        return None
    name: PatternName = match[1]  # type: ignore[assignment]
    if match[2] is None:
        return NumberPattern(name=name)
    prime = int(match[2])
    return NumberPattern(name=name, prime=prime) if prime > 2 and is_prime(prime) else None
