"""Takes of one source and microphone, compared: what differs between them is no room."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import fmean, median

ALIKE = 0.05
"""Repeats of an undisturbed decay agree within this share: chance, which the room decides, is the
same for both. [1]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Together:
    """What the takes of one pair say of one number."""

    value: float
    """Weighted mean, in the number's unit."""
    sd: float | None
    """Standard deviation of it at this pair; more than one take's where the takes disagree."""
    odd: float | None = None
    """The reading that disagrees most with its sisters; None where they agree."""
    sisters: float | None = None
    """The median of all of them, beside it."""


def together(readings: Sequence[tuple[float, float | None]]) -> Together:
    """Mean of repeated takes; one that disagrees with its sisters counts less.

    Takes of one pair share their room and are as unsure as one of them. A take further than half
    its standard deviation, or `ALIKE`, from the median of three or more counts by the square of how
    far. Of two that disagree nobody knows which is right: both count, and the mean is unsure by
    half their difference.

    >>> found = together([(1.17, 0.05), (1.18, 0.05), (4.44, 0.05)])
    >>> round(found.value, 2), found.odd
    (1.18, 4.44)
    >>> together([(1.17, 0.05), (1.20, 0.05)]).odd is None
    True
    """
    values = [value for value, _ in readings]
    sds = [sd for _, sd in readings if sd is not None]
    sd = fmean(sds) if sds else None
    middle = median(values)
    limit = max(0.5 * (sd or 0.0), ALIKE * abs(middle))
    odd = max(values, key=lambda value: abs(value - middle))
    if len(values) < 2 or limit == 0 or abs(odd - middle) <= limit:
        return Together(value=fmean(values), sd=sd)
    if len(values) == 2:
        half = abs(values[0] - values[1]) / 2
        return Together(value=middle, sd=max(sd or 0.0, half), odd=odd, sisters=middle)
    weights = [min(1.0, (limit / max(abs(value - middle), limit)) ** 2) for value in values]
    mean = sum(w * v for w, v in zip(weights, values, strict=True)) / sum(weights)
    return Together(value=mean, sd=sd, odd=odd, sisters=middle)
