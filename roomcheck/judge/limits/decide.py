"""One value against its limits, before rounding."""

from __future__ import annotations

from roomcheck.analyse import BandMean
from roomcheck.judge.kinds import Outcome
from roomcheck.judge.results import BandVerdict
from roomcheck.standards import BandLimit

COVERAGE = 2.0
"""A value counts as beyond a limit, or inside it, only by twice its standard uncertainty: about 95
%."""

_HAIR_S = 1e-12
"""0.60 - 0.03 is a hair below 0.57 in binary. [s]"""


def decide(value_s: float, u_s: float | None, low_s: float | None, high_s: float | None) -> Outcome:
    """Decide where a decay lies, with guard bands on both sides of each limit.

    Parameters
    ----------
    value_s, u_s : float, float or None
        Mean and its standard uncertainty; without one nothing is decided. [s]
    low_s, high_s : float or None
        [s]

    Returns
    -------
    Outcome
        WITHIN, TOO_LONG, TOO_SHORT, UNDECIDED or NO_LIMIT.

    References
    ----------
    Guarded acceptance and guarded rejection after JCGM 106:2012, from memory.

    Examples
    --------
    >>> [str(decide(t, 0.015, None, 0.60)) for t in (0.56, 0.59, 0.64)]
    ['within', 'undecided', 'too long']
    """
    if low_s is None and high_s is None:
        return Outcome.NO_LIMIT
    if u_s is None:
        return Outcome.UNDECIDED
    guard = COVERAGE * u_s
    if high_s is not None and value_s > high_s + guard + _HAIR_S:
        return Outcome.TOO_LONG
    if low_s is not None and value_s < low_s - guard - _HAIR_S:
        return Outcome.TOO_SHORT
    short_of_high = high_s is None or value_s <= high_s - guard + _HAIR_S
    above_low = low_s is None or value_s >= low_s + guard - _HAIR_S
    return Outcome.WITHIN if short_of_high and above_low else Outcome.UNDECIDED


def band_verdict(
    mean: BandMean, limit: BandLimit | None, *, transition_hz: float | None
) -> BandVerdict:
    """Judge one octave; below the transition frequency its limits only stand beside the decay."""
    low_s, high_s = (limit.low_s, limit.high_s) if limit else (None, None)
    if mean.t20_s is None:
        outcome = Outcome.NOT_MEASURED
    elif transition_hz is not None and mean.band_hz < transition_hz:
        outcome = Outcome.MODAL
    else:
        outcome = decide(mean.t20_s, mean.t20_u_s, low_s, high_s)
    return BandVerdict(
        band_hz=mean.band_hz,
        value_s=mean.t20_s,
        u_s=mean.t20_u_s,
        low_s=low_s,
        high_s=high_s,
        outcome=outcome,
    )
