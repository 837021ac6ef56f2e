r"""Means over a few places and their 95 % intervals.

Two or six places tell little of how far a room's places scatter, but much of it is known before:
chance alone gives the standard deviation of ISO 3382-2, Annex A, and real rooms scatter by some per
cent more. That known spread is the prior on the variance (scaled inverse chi-square); the places,
and the neighbouring octaves at the same places, update it; the interval is Student's.

References
----------
A. Gelman et al., Bayesian Data Analysis, 2.6 and 3.2: scaled inverse chi-square prior on the
variance of normal data (from memory). R. T. Birge, Phys. Rev. 40 (1932) 207: reduced chi-square of
weighted means (from memory).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import hypot, sqrt
from statistics import fmean, stdev

from roomcheck.facts import Estimate

PLACES_DIFFER = 0.03
"""Relative standard deviation of a decay time over the places of a room beyond what chance gives:
the loudspeaker's direction, uneven absorption. T30 from 2 kHz up shows 0 to 2 % in a hard room of
90 m3, 2 to 7 % in a laboratory with panels, and 0 to 6 % in boxes of image sources and rays with
another absorption on each face, where the root mean square is 3 % (our own figures). [1]"""

PRIOR_FREEDOM = 2.5
"""Degrees of freedom of the known spread. Over the octaves of those two measured rooms the
logarithm of shown over known variance has a variance of about 0.8, which is 2/nu with nu = 2.5 (our
own figures). [1]"""

NEIGHBOUR_WEIGHT, NEIGHBOUR_FREEDOM = 0.25, 0.5
"""Share of the places' freedom in each neighbouring band that counts in a band, and the most that
it adds. Neighbours share causes but not their size: shown over known variance changes by a factor
of up to three from one octave to the next (our own figures). [1]"""

CLARITY_DIFFERS_DB, DEFINITION_DIFFERS, CENTRE_DIFFERS_S = 0.5, 0.025, 0.005
"""Known spread of clarity, definition and centre time beyond chance: half a just noticeable
difference of ISO 3382-1:2009, Table A.1 (our own choice; checked in the same rooms). [dB], [1],
[s]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaceValues:
    """One number of one band at every place that has it, in the number's own unit."""

    values: tuple[float, ...]
    known_sd: float | None
    """Spread over places that is known beforehand; None where nothing is."""
    more_sds: tuple[float, ...] = ()
    """What each value is unsure by beyond that; empty for none."""


def decay_spread_s(decay_s: float, chance_sd_s: float) -> float:
    """Known standard deviation of a decay time over the places of a room. [s]

    >>> round(decay_spread_s(1.0, 0.04), 4)
    0.05
    """
    return hypot(chance_sd_s, PLACES_DIFFER * decay_s)


@lru_cache(maxsize=1024)
def student_t(probability: float, freedom: float) -> float:
    """Quantile of Student's t. [1]

    >>> round(student_t(0.975, 5), 3)
    2.571
    """
    from scipy.special import stdtrit

    return float(stdtrit(freedom, probability))


def estimates(bands: Sequence[PlaceValues | None]) -> tuple[Estimate | None, ...]:
    r"""Mean over the places of every band, weighted, with what twice its `u` promises: 95 %.

    Parameters
    ----------
    bands : sequence of PlaceValues or None
        Neighbours in frequency, of the same visit; None where no place has the number.

    Returns
    -------
    tuple of Estimate or None
        With :math:`w_i = 1/(\sigma_0^2 + e_i^2)`, the reduced chi-square :math:`q =
        \sum w_i (x_i - \bar x)^2 / (n - 1)` of the band and those of its neighbours are pooled with
        the prior's 1 to :math:`q'` of :math:`\nu` degrees of freedom; the standard error is
        :math:`s = \sqrt{q'/\sum w_i}`, and `u` is :math:`t_{0.975}(\nu)\,s/2`.
    """
    shown = [_shown(band) for band in bands]
    return tuple(
        None if band is None else _estimate(band, own, _neighbours(shown, i))
        for i, (band, own) in enumerate(zip(bands, shown, strict=True))
    )


def estimate(places: PlaceValues) -> Estimate:
    """The mean of one number over its places, without neighbours."""
    return _estimate(places, _shown(places), ())


@dataclass(frozen=True, slots=True)
class _Shown:
    """Reduced chi-square of the places against what is known, and its degrees of freedom. [1]"""

    ratio: float
    freedom: float


def _weights(places: PlaceValues) -> list[float]:
    """One over the variance of each value; equal where nothing is known."""
    if places.known_sd is None:
        return [1.0] * len(places.values)
    more_sds = places.more_sds or (0.0,) * len(places.values)
    return [1 / (places.known_sd**2 + more**2) for more in more_sds]


def _mean(places: PlaceValues) -> float:
    weights = _weights(places)
    weighted = (w * value for w, value in zip(weights, places.values, strict=True))
    return sum(weighted) / sum(weights)


def _shown(places: PlaceValues | None) -> _Shown:
    if places is None or len(places.values) < 2:
        return _Shown(0.0, 0.0)
    mean, freedom = _mean(places), len(places.values) - 1
    squares = (
        w * (value - mean) ** 2 for w, value in zip(_weights(places), places.values, strict=True)
    )
    return _Shown(sum(squares) / freedom, freedom)


def _neighbours(shown: Sequence[_Shown], i: int) -> tuple[_Shown, ...]:
    """The bands above and below, each with the freedom that it lends."""
    beside = [shown[k] for k in (i - 1, i + 1) if 0 <= k < len(shown)]
    return tuple(
        _Shown(band.ratio, min(NEIGHBOUR_WEIGHT * band.freedom, NEIGHBOUR_FREEDOM))
        for band in beside
    )


def _estimate(places: PlaceValues, own: _Shown, neighbours: Sequence[_Shown]) -> Estimate:
    pooled = [own]
    if places.known_sd is not None:
        pooled += [_Shown(1.0, PRIOR_FREEDOM), *neighbours]
    freedom = sum(part.freedom for part in pooled)
    mean, count = _mean(places), len(places.values)
    spread = stdev(places.values) if count > 1 else None
    if freedom == 0:
        return Estimate(value=mean, n=count)
    ratio = sum(part.freedom * part.ratio for part in pooled) / freedom
    error = sqrt(ratio / sum(_weights(places)))
    u = student_t(0.975, freedom) * error / 2
    return Estimate(value=mean, u=u, spread=spread, n=count, freedom=freedom)


def decay_values(
    readings: Sequence[tuple[float, float | None]], chance_sd_s: Callable[[float], float]
) -> PlaceValues | None:
    """Decay times of the places, with what each is unsure by beyond chance.

    Parameters
    ----------
    readings : (places,)
        Decay time and its stated standard deviation. [s]
    chance_sd_s : callable
        Standard deviation that chance alone gives to one place with this decay. [s]
    """
    if not readings:
        return None
    mean_s = fmean(value for value, _ in readings)
    more = tuple(sqrt(max((sd or 0.0) ** 2 - chance_sd_s(t) ** 2, 0.0)) for t, sd in readings)
    return PlaceValues(
        values=tuple(value for value, _ in readings),
        known_sd=decay_spread_s(mean_s, chance_sd_s(mean_s)),
        more_sds=more,
    )


def other_values(
    readings: Sequence[tuple[float, float | None]], places_differ: float
) -> PlaceValues | None:
    """Clarity, definition or centre time of the places; chance is what the readings state."""
    if not readings:
        return None
    stated = [sd for _, sd in readings if sd is not None]
    chance = sqrt(fmean(sd**2 for sd in stated)) if stated else 0.0
    return PlaceValues(
        values=tuple(value for value, _ in readings), known_sd=hypot(chance, places_differ)
    )
