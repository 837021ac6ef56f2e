"""How likely a promise is true, and how likely so many pairs decide it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from roomcheck.analyse import student_t
from roomcheck.recommend.results import DecidedBy

Real = NDArray[np.float64]

PAIRS = (2, 3, 6, 8, 12, 24)
"""Numbers of source-microphone pairs that are named."""

WHOLE = 0.95
"""What a promise as a whole is true with at least, as each of its values is by itself; they are
widened alike until it is. [1]"""

STRETCHES = np.arange(1.0, 2.01, 0.05)
"""How far the interval of each value is widened at most, in the logarithm. [1]"""

KNOWN_FREEDOM = 8.0
"""Degrees of freedom that the known scatter of all octaves together adds to those of the pairs (a
judgement: the verdict itself estimates it anew). [1]"""

ERROR = 0.05
"""How often chance may call a broken value kept. [1]"""

SEED = 40


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Value:
    """One promised value in the draws of the room."""

    draws_s: Real
    """(draws,): what may be measured [s]."""
    likely_s: float
    """[s]"""
    low_s: float
    """Ends of the interval that holds it nineteen times in twenty [s]."""
    high_s: float
    """The same at its upper end [s]."""

    def ends(self, stretch: float) -> tuple[float, float]:
        """The interval so many times as wide in the logarithm, rounded outwards as it is printed.
        [s]"""
        low, high = (
            self.likely_s * (end / self.likely_s) ** stretch for end in (self.low_s, self.high_s)
        )
        return float(np.floor(100 * low + 1e-9) / 100), float(np.ceil(100 * high - 1e-9) / 100)

    def holds(self, stretch: float) -> NDArray[np.bool_]:
        low, high = self.ends(stretch)
        return np.asarray((self.draws_s >= low) & (self.draws_s <= high))


def stretch_for(*sets: Sequence[Value], whole: float = WHOLE) -> float:
    """Return how far all intervals are widened alike, so that all hold together so often in every
    set of possible rooms. [1]"""
    for stretch in STRETCHES:
        if least_together(sets, float(stretch)) >= whole:
            return float(stretch)
    return float(STRETCHES[-1])


def least_together(sets: Sequence[Sequence[Value]], stretch: float) -> float:
    """How often all values lie inside their intervals, by the set of possible rooms that says the
    least: the one that the intervals were made from likes them best. [1]"""
    return min(true_together(values, stretch) for values in sets)


def true_together(values: Sequence[Value], stretch: float) -> float:
    """How often all values lie inside their intervals. [1]"""
    if not values:
        return 1.0
    return float(np.all([value.holds(stretch) for value in values], axis=0).mean())


def decided_by(
    values: Sequence[Value],
    stretch: float,
    relative_sd: Sequence[float],
    agreed: int = 0,
    most: int = 0,
) -> tuple[DecidedBy, ...]:
    """How often a promise that is true is called kept at the re-measurement, by number of pairs.

    Parameters
    ----------
    values : sequence of Value
    stretch : float
        As signed. [1]
    relative_sd : sequence of float
        Of one pair, by value. [1]
    agreed : int
        Number of pairs that is signed; it and twice as many are named, too.
    most : int
        Number of pairs that the job's places make; named, too.
    """
    if not values:
        return ()
    true = np.all([value.holds(stretch) for value in values], axis=0)
    if not true.any():
        return ()
    chance = np.random.default_rng(SEED).standard_normal((len(values), len(true)))
    found = []
    for pairs in sorted({*PAIRS, *(n for n in (agreed, 2 * agreed, most) if n > 1)}):
        guard = student_t(1 - ERROR, pairs - 1 + KNOWN_FREEDOM)
        kept = true.copy()
        for value, sd, noise in zip(values, relative_sd, chance, strict=True):
            low, high = value.ends(stretch)
            own = sd / np.sqrt(pairs) * value.draws_s
            seen = value.draws_s + own * noise
            kept &= (seen - guard * own >= low) & (seen + guard * own <= high)
        found.append(DecidedBy(pairs=pairs, kept_pct=float(100 * kept[true].mean())))
    return tuple(found)
