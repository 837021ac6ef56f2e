"""Means of a few positions, how sure they are, and guards by Student's t."""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot, sqrt
from statistics import fmean

from roomcheck.analyse import PLACES_DIFFER, PlaceValues, estimate, student_t
from roomcheck.facts import Estimate


def guard(mean: Estimate, error: float) -> float:
    """How far from a limit a mean must lie so that chance alone crosses it less often than `error`.

    In the unit of the mean.
    """
    if mean.u is None or mean.freedom is None:
        raise ValueError(f"mean: {mean}, needed one with its uncertainty")
    standard_error = 2 * mean.u / student_t(0.975, mean.freedom)
    return student_t(1 - error, mean.freedom) * standard_error


def mean_of(values: Sequence[float], sds: Sequence[float | None], decay: float = 0.0) -> Estimate:
    """Mean of one number a position, with the scatter over positions and what is known of it.

    Parameters
    ----------
    values : (positions,)
        [s] or [dB]
    sds : (positions,)
        Standard deviation of each by chance; where none has one, only the scatter counts.
    decay : float
        The decay time that the values are of, or whose change they are; 0 for other numbers. [s]

    Raises
    ------
    ValueError
        No value, or a single one without its standard deviation.
    """
    stated = [sd for sd in sds if sd]
    if not values or (len(values) == 1 and not stated):
        raise ValueError(f"values: found {len(values)}, which says nothing of their uncertainty")
    known_sd = None
    if stated:
        known_sd = hypot(sqrt(fmean(sd**2 for sd in stated)), PLACES_DIFFER * decay)
    return estimate(PlaceValues(values=tuple(values), known_sd=known_sd))
