"""What may be signed: the decay that the next measurement will show, nineteen times in twenty."""

from __future__ import annotations

from math import ceil, exp, floor, hypot, log, sqrt

from roomcheck.analyse import Analysis
from roomcheck.job import Job
from roomcheck.predict import Prediction
from roomcheck.recommend.results import Promise, PromisedBand
from roomcheck.standards.iso_3382_2_2008 import t20_sd_s

WIDER = 1.960 / 1.645
"""From a range that holds nine in ten to one that holds nineteen in twenty (normal in the logarithm). [1]"""

SURE = 2.0
"""Standard deviations of the re-measured mean that the promise spans at least, to both sides. [1]"""

CONDITIONS = (
    "Measured as the mean T20 of the same source-microphone pairs, at the positions of the first visit.",
    "Same loudspeaker, microphone, recorder and settings; loudspeaker and microphones on stands at the same heights.",
    "The furniture and floor covering of the first visit, as listed; nothing taken away, nothing added.",
    "Nobody in the room but the person who measures; doors and windows shut; heating and ventilation off.",
    "All pieces of this plan hang where it shows them, within 2 in (5 cm).",
    "Octaves below the transition frequency are for information and not promised.",
)


def promise(job: Job, analysis: Analysis | None, prediction: Prediction) -> Promise:
    """What may be signed of a prediction.

    The rule: an octave's promise is the interval that will hold the re-measured mean about nineteen times in twenty:
    the prediction's range (nine in ten, scatter of the next measurement included) widened by 1.960/1.645 in the
    logarithm, and to both sides never narrower than two standard deviations of a mean over so many pairs. That
    deviation is ISO 3382-2's or, where the room scattered more than the formula says, what the first visit showed.
    Each value holds so often by itself; all of them together less often. What is signed is what is printed: the
    interval is rounded outwards to hundredths of a second.

    Parameters
    ----------
    job : Job
    analysis : Analysis or None
        Of the first visit.
    prediction : Prediction

    Returns
    -------
    Promise
        Only octaves that were predicted; no mean where one of its octaves was not.

    References
    ----------
    ISO 3382-2:2008, Annex A; JCGM 101:2008 for coverage intervals (from memory).
    """
    pairs = pairs_of(job, analysis)
    bands = []
    for band in prediction.after:
        if band.likely_s is not None and band.low_s is not None and band.high_s is not None:
            share = scatter(analysis, band.band_hz, band.likely_s, pairs)
            low, high = printable(*widened(band.likely_s, band.low_s, band.high_s, share))
            bands.append(PromisedBand(band_hz=band.band_hz, low_s=low, high_s=high))
    mid = _mid(analysis, prediction, pairs)
    return Promise(
        bands=tuple(bands),
        mid_low_s=mid[0] if mid else None,
        mid_high_s=mid[1] if mid else None,
        positions=pairs,
        conditions=CONDITIONS,
    )


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


def pairs_of(job: Job, analysis: Analysis | None) -> int:
    """Source-microphone pairs of the first visit; where it was not measured, those that the job names."""
    measured = len({(p.source, p.microphone) for p in analysis.positions}) if analysis else 0
    return measured or len(job.sources) * len(job.microphones)


def scatter(analysis: Analysis | None, band_hz: float, likely_s: float, pairs: int) -> float:
    """Relative standard deviation of a mean T20 over so many pairs; it grows as the decay shrinks. [1]"""
    formula = t20_sd_s(likely_s, band_hz, positions=max(pairs, 1)) / likely_s
    before = analysis.octave(band_hz) if analysis else None
    if before is None or before.t20_s is None or before.t20_u_s is None:
        return formula
    shown = before.t20_u_s / before.t20_s * sqrt(before.t20_s / likely_s)
    return max(formula, shown)


def _mid(analysis: Analysis | None, prediction: Prediction, pairs: int) -> tuple[float, float] | None:
    low, likely, high = prediction.mid_low_s, prediction.mid_likely_s, prediction.mid_high_s
    if low is None or likely is None or high is None:
        return None
    each = [scatter(analysis, hz, likely, pairs) for hz in (500.0, 1000.0)]
    return printable(*widened(likely, low, high, hypot(*each) / 2))
