"""Means of a few positions, how sure they are, and Student's t."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt
from statistics import fmean, variance

FORMULA_FREEDOM = 2
"""Degrees of freedom that ISO 3382-2's own standard deviation adds where it is the greater. It
describes a diffuse field; small rooms scatter by half as much again, and JCGM 100:2008, G.4.2 (from
memory) makes 1/2 (0.5)^-2 = 2 of that. With 2, 6 and 12 pairs and a room that scatters up to 1.5
times the formula, the errors stay below 5 %. [1]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Mean:
    """A mean over positions.

    Attributes
    ----------
    value, u : float
        Mean and its standard uncertainty. [s]
    freedom : float
        Effective degrees of freedom of `u`.
    n : int
        Positions.
    """

    value: float
    u: float
    freedom: float
    n: int

    def guard(self, error: float) -> float:
        """How far from a limit the mean must lie so that chance alone crosses it less often than
        `error`. [s]"""
        return student_t(1 - error, self.freedom) * self.u


def student_t(probability: float, freedom: float) -> float:
    """Quantile of Student's t. [1]

    >>> round(student_t(0.975, 5), 3)
    2.571
    """
    from scipy.special import stdtrit

    return float(stdtrit(freedom, probability))


def mean_of(values: Sequence[float], sds: Sequence[float | None]) -> Mean:
    r"""Mean of one number a position, with the scatter over positions and each position's own
    uncertainty.

    Parameters
    ----------
    values : (positions,)
        [s]
    sds : (positions,)
        Standard deviation of each by ISO 3382-2; None adds nothing. [s]

    Returns
    -------
    Mean
        :math:`u^2 = \max(s^2/n, \sum sd_i^2/n^2)`: the formula describes the same scatter that the
        positions show, so the greater counts, and a lucky few that agree by chance make nobody
        sure.

    Raises
    ------
    ValueError
        No value, or a single one without its standard deviation.

    References
    ----------
    ISO 3382-2:2008, Annex A; JCGM 100:2008, 5.1.2, from memory.
    """
    n = len(values)
    formula = sum((sd or 0.0) ** 2 for sd in sds) / n**2 if n else 0.0
    if n == 0 or (n == 1 and formula == 0):
        raise ValueError(f"values: found {n}, which says nothing of their uncertainty")
    scatter = variance(values) / n if n > 1 else 0.0
    freedom = n - 1 + (FORMULA_FREEDOM if formula > scatter else 0)
    return Mean(value=fmean(values), u=sqrt(max(scatter, formula)), freedom=freedom, n=n)
