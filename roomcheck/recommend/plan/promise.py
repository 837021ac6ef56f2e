"""What may be signed: the decay that the next measurement will show, nineteen times in twenty."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import ceil, exp, floor, hypot, log, sqrt

import numpy as np
from numpy.typing import NDArray

from roomcheck.analyse import Analysis
from roomcheck.facts import Fact, fact
from roomcheck.job import Job
from roomcheck.predict import Prediction
from roomcheck.recommend.plan.promise_odds import Value, decided_by, least_together, stretch_for
from roomcheck.recommend.reasons import Condition, TighterNeeds
from roomcheck.recommend.results import Promise, PromisedBand, Tighter
from roomcheck.standards import target_for
from roomcheck.standards.iso_3382_2_2008 import t20_sd_s

WIDER = 1.960 / 1.645
"""From a range that holds nine in ten to one that holds nineteen in twenty (normal in the
logarithm). [1]"""

SURE = 2.0
"""Standard deviations of the re-measured mean that the promise spans at least, to both sides.
[1]"""

TOLERANCES_PCT = (15.0, 10.0, 7.5, 5.0)
"""Tolerances that people ask for. [%]"""

MOST_PAIRS = 48

HAIR_S = 1e-9
"""What two numbers in hundredths of a second may differ by in binary. [s]"""

NOMINAL_PCT = {"survey": 10.0, "engineering": 5.0, "precision": 2.5}
"""Nominal accuracy of a mean decay in octave bands by grade (ISO 3382-2:2008, 4.3; from memory).
[%]"""

WITHIN_M = 0.05
"""Pieces hang where the plan shows them to within 2 in (5 cm). [m]"""

CONDITIONS = (
    fact(Condition.SAME_PAIRS),
    fact(Condition.SAME_EQUIPMENT),
    fact(Condition.SAME_FURNITURE),
    fact(Condition.EMPTY_AND_QUIET),
    fact(Condition.AS_PLANNED, within_m=WITHIN_M),
    fact(Condition.NOT_BELOW_TRANSITION),
)


def _conditions(job: Job) -> tuple[Fact[Condition], ...]:
    """As usual; the pairs by their names where their number was chosen."""
    if job.pairs_after is None:
        return CONDITIONS
    return (fact(Condition.CHOSEN_PAIRS, pairs=job.pairs_at("after")), *CONDITIONS[1:])


def promise(
    job: Job,
    analysis: Analysis | None,
    prediction: Prediction,
    *sets_s: NDArray[np.float64],
) -> Promise:
    """What may be signed of a prediction.

    The rule: an octave's promise is the interval that will hold the re-measured mean about nineteen
    times in twenty: the prediction's range (nine in ten, scatter of the next measurement included)
    widened by 1.960/1.645 in the logarithm, and to both sides never narrower than two standard
    deviations of a mean over so many pairs. That deviation is ISO 3382-2's or, where the room
    scattered more than the formula says, what the first visit showed. Nor is anything promised
    tighter than the nominal accuracy of the grade that the first visit reached. Each value holds so
    often by itself; where the draws of the room say that all together hold less often than `WHOLE`,
    all are widened alike until they do. What is signed is what is printed: the
    interval is rounded outwards to hundredths of a second.

    Parameters
    ----------
    job : Job
    analysis : Analysis or None
        Of the first visit.
    prediction : Prediction
    *sets_s : (draws, bands)
        What possible rooms would measure, octaves in the order of the prediction, one or more sets
        of them: first those that the prediction was made from. [s]

    Returns
    -------
    Promise
        Only octaves that the target judges and that were predicted; no mean where one of its
        octaves was not.

    References
    ----------
    ISO 3382-2:2008, Annex A; JCGM 101:2008 for coverage intervals (from memory).
    """
    pairs = pairs_of(job, analysis)
    rows = _rows(job, analysis, prediction, pairs)
    sets = tuple(_values(rows, prediction, draws_s) for draws_s in sets_s if rows)
    stretch = stretch_for(*sets) if sets else 1.0
    ends = {row.band_hz: _printed(row, stretch) for row in rows}
    mid, likely = ends.pop(None, None), prediction.mid_likely_s
    tolerance_pct = None
    if mid is not None and likely is not None:
        tolerance_pct = 100 * max(mid[1] / likely - 1, 1 - mid[0] / likely)
    mid_hz = prediction.mid_bands_hz
    each_sd = [_pair_sd(analysis, row, mid_hz, pairs) for row in rows]
    return Promise(
        bands=tuple(
            PromisedBand(band_hz=hz, low_s=low, high_s=high)
            for hz, (low, high) in ends.items()
            if hz is not None
        ),
        mid_low_s=mid[0] if mid else None,
        mid_high_s=mid[1] if mid else None,
        positions=pairs,
        conditions=_conditions(job),
        grade=(analysis.grade or "") if analysis else "",
        tolerance_pct=None if tolerance_pct is None else round(tolerance_pct, 1),
        tighter=tighter(analysis, prediction, pairs, tolerance_pct),
        true_pct=round(100 * least_together(sets, stretch), 1) if sets else None,
        decided=decided_by(sets[0], stretch, each_sd, pairs, len(job.pairs)) if sets else (),
        most_pairs=len(job.pairs),
        beyond_target_hz=_beyond_target(job, ends, mid),
        mid_bands_hz=prediction.mid_bands_hz,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Row:
    """One value with the interval that holds it nineteen times in twenty."""

    band_hz: float | None
    """None for the mean [Hz]."""
    likely_s: float
    low_s: float
    high_s: float


def _rows(job: Job, analysis: Analysis | None, prediction: Prediction, pairs: int) -> list[_Row]:
    """Every octave that the target judges and that was predicted, then the mean."""
    target = target_for(job.use, job.room.volume_m3, job.own_target)
    rows = []
    for band in prediction.after:
        if target.limit(band.band_hz) is None:
            continue
        if band.likely_s is None or band.low_s is None or band.high_s is None:
            continue
        own = scatter(analysis, band.band_hz, band.likely_s, pairs)
        share = max(own, _nominal(job, analysis) / SURE)
        low, high = widened(band.likely_s, band.low_s, band.high_s, share)
        rows.append(_Row(band_hz=band.band_hz, likely_s=band.likely_s, low_s=low, high_s=high))
    low_s, likely_s, high_s = prediction.mid_low_s, prediction.mid_likely_s, prediction.mid_high_s
    if low_s is not None and likely_s is not None and high_s is not None:
        own = _mid_scatter(analysis, prediction.mid_bands_hz, likely_s, pairs)
        share = max(own, _nominal(job, analysis) / SURE)
        low, high = widened(likely_s, low_s, high_s, share)
        rows.append(_Row(band_hz=None, likely_s=likely_s, low_s=low, high_s=high))
    return rows


def _values(
    rows: Sequence[_Row], prediction: Prediction, draws_s: NDArray[np.float64]
) -> list[Value]:
    return [_value(row, prediction, draws_s) for row in rows]


def _value(row: _Row, prediction: Prediction, draws_s: NDArray[np.float64]) -> Value:
    bands_hz = [band.band_hz for band in prediction.after]
    named = prediction.mid_bands_hz if row.band_hz is None else (row.band_hz,)
    at = [bands_hz.index(hz) for hz in named]
    return Value(
        draws_s=draws_s[:, at].mean(axis=1),
        likely_s=row.likely_s,
        low_s=row.low_s,
        high_s=row.high_s,
    )


def _printed(row: _Row, stretch: float) -> tuple[float, float]:
    """The interval as signed. [s]"""
    low, high = (row.likely_s * (end / row.likely_s) ** stretch for end in (row.low_s, row.high_s))
    return printable(low, high)


def _pair_sd(analysis: Analysis | None, row: _Row, mid_hz: tuple[float, ...], pairs: int) -> float:
    """Relative standard deviation of one pair. [1]"""
    mean_sd = (
        _mid_scatter(analysis, mid_hz, row.likely_s, pairs)
        if row.band_hz is None
        else scatter(analysis, row.band_hz, row.likely_s, pairs)
    )
    return mean_sd * sqrt(max(pairs, 1))


def _beyond_target(
    job: Job, ends: dict[float | None, tuple[float, float]], mid: tuple[float, float] | None
) -> tuple[float, ...]:
    """Octaves whose promise reaches outside the target; 0 for the mean. [Hz]"""
    target = target_for(job.use, job.room.volume_m3, job.own_target)
    beyond = []
    for hz, found in ends.items():
        limit = target.limit(hz) if hz is not None else None
        if limit is not None and hz is not None and _outside(found, limit.low_s, limit.high_s):
            beyond.append(hz)
    if mid is not None and _outside(mid, target.mid_low_s, target.mid_high_s):
        beyond.append(0.0)
    return tuple(beyond)


def _outside(ends: tuple[float, float], low_s: float | None, high_s: float | None) -> bool:
    below = low_s is not None and ends[0] < low_s - HAIR_S
    return below or (high_s is not None and ends[1] > high_s + HAIR_S)


def widened(likely_s: float, low_s: float, high_s: float, scatter: float) -> tuple[float, float]:
    """The promised interval of one value: (low, high). [s]

    >>> [round(x, 4) for x in widened(0.30, 0.27, 0.33, 0.01)]
    [0.2646, 0.3361]
    >>> [round(x, 4) for x in widened(0.30, 0.299, 0.301, 0.05)]
    [0.27, 0.33]
    """
    low = likely_s * exp(WIDER * log(low_s / likely_s))
    high = likely_s * exp(WIDER * log(high_s / likely_s))
    least = SURE * scatter * likely_s
    return min(low, likely_s - least), max(high, likely_s + least)


def printable(low_s: float, high_s: float) -> tuple[float, float]:
    """An interval rounded outwards to hundredths. [s]

    >>> printable(0.447171, 0.533108), printable(0.44, 0.53)
    ((0.44, 0.54), (0.44, 0.53))
    """
    hair = 1e-9
    return floor(100 * low_s + hair) / 100, ceil(100 * high_s - hair) / 100


def tighter(
    analysis: Analysis | None, prediction: Prediction, pairs: int, now_pct: float | None
) -> tuple[Tighter, ...]:
    """Work out what tolerances below the promised one would need.

    The prediction's range holds the scatter of the next mean and everything else; the first shrinks
    with the root of the number of pairs and the rest stays, so that some tolerances cannot be had
    by measuring at all. What more pairs at the first visit would teach about the room is not
    counted: the true number may be lower.
    """
    low, likely, high = prediction.mid_low_s, prediction.mid_likely_s, prediction.mid_high_s
    if low is None or likely is None or high is None or now_pct is None:
        return ()
    spread = max(log(high / likely), log(likely / low)) / 1.645
    mid_hz = prediction.mid_bands_hz
    rest = sqrt(max(spread**2 - _mid_scatter(analysis, mid_hz, likely, pairs) ** 2, 0.0))

    def scatter_of(pairs: int) -> float:
        return _mid_scatter(analysis, mid_hz, likely, pairs)

    return tuple(_tighter(scatter_of, rest, pct) for pct in TOLERANCES_PCT if pct < now_pct)


def _tighter(scatter_of: Callable[[int], float], rest: float, pct: float) -> Tighter:
    asked = log(1 + pct / 100) / 1.960
    if rest >= asked:
        least_pct = 100 * (exp(1.960 * rest) - 1)
        uncertain = fact(TighterNeeds.ROOM_UNCERTAIN, least_pct=least_pct)
        return Tighter(tolerance_pct=pct, pairs=None, reason=uncertain)
    for pairs in range(1, MOST_PAIRS + 1):
        scattered = scatter_of(pairs)
        narrow = hypot(rest, scattered) <= asked and SURE * scattered <= pct / 100
        if narrow and nominal_pct(pairs) <= pct:
            grade = fact(TighterNeeds.GRADE, grade=grade_of(pairs))
            return Tighter(tolerance_pct=pct, pairs=pairs, reason=grade)
    too_many = fact(TighterNeeds.TOO_MANY_PAIRS, most=MOST_PAIRS)
    return Tighter(tolerance_pct=pct, pairs=None, reason=too_many)


def grade_of(pairs: int) -> str:
    """The grade that so many pairs can reach, sources and microphones apart as ISO 3382-2 asks."""
    return "precision" if pairs >= 12 else "engineering" if pairs >= 6 else "survey"


def nominal_pct(pairs: int) -> float:
    """Nominal accuracy of that grade in octave bands (ISO 3382-2:2008, 4.3; from memory). [%]"""
    return NOMINAL_PCT[grade_of(pairs)]


def pairs_of(job: Job, analysis: Analysis | None) -> int:
    """Source-microphone pairs of the second visit: as many as the job says, else those of the
    first; where that was not measured, those that the job names."""
    if job.pairs_after is not None:
        return len(job.pairs_at("after"))
    return pairs_seen(analysis) or len(job.pairs)


def scatter(analysis: Analysis | None, band_hz: float, likely_s: float, pairs: int) -> float:
    """Relative standard deviation of a mean T20 over so many pairs, what the first visit showed
    carried over to them; it grows as the decay shrinks. [1]"""
    formula = t20_sd_s(likely_s, band_hz, positions=max(pairs, 1)) / likely_s
    before = analysis.octave(band_hz) if analysis else None
    if before is None or before.t20_s is None or before.t20_u_s is None:
        return formula
    seen = pairs_seen(analysis)
    more = sqrt(seen / pairs) if seen and pairs else 1.0
    shown = more * before.t20_u_s / before.t20_s * sqrt(before.t20_s / likely_s)
    return max(formula, shown)


def _mid_scatter(
    analysis: Analysis | None, mid_hz: tuple[float, ...], likely_s: float, pairs: int
) -> float:
    """Relative standard deviation of the mean over these octaves and so many pairs. [1]"""
    each = [scatter(analysis, hz, likely_s, pairs) for hz in mid_hz]
    return hypot(*each) / len(each)


def pairs_seen(analysis: Analysis | None) -> int:
    """Pairs of the first visit; 0 where there was none."""
    if analysis is None:
        return 0
    measured = len({(p.source, p.microphone) for p in analysis.positions})
    return measured or max((band.positions for band in analysis.octaves), default=0)


def _nominal(job: Job, analysis: Analysis | None) -> float:
    """What the grade of the first visit can be sure of, and that of as many pairs as were chosen
    for the second; nothing is promised tighter. [1]"""
    if analysis is None or analysis.grade not in NOMINAL_PCT:
        return 0.0
    first = NOMINAL_PCT[analysis.grade]
    second = first if job.pairs_after is None else nominal_pct(job.pairs_after)
    return max(first, second) / 100
