"""The single number of a target: the mean decay over its octaves."""

from __future__ import annotations

from collections.abc import Sequence
from statistics import fmean

from roomcheck.analyse import Analysis
from roomcheck.facts import Fact, fact
from roomcheck.judge.kinds import MeanNote, Outcome
from roomcheck.judge.limits.decide import decide
from roomcheck.judge.results import MeanVerdict
from roomcheck.standards import Target
from roomcheck.units import MID_BANDS_HZ

EMPTY = 2
"""So many people hardly count: whoever measures is there."""


def mean_verdict(analysis: Analysis, target: Target, *, people: int | None = None) -> MeanVerdict:
    """Hold the target's mean against its limits.

    Octaves below the transition frequency are left out of the mean, and named. The standard
    uncertainty is the analysis's own where the mean is its mean of 500 and 1000 Hz; else the mean
    of the octaves' uncertainties, as if they were all wrong together, which is never too small.
    """
    modal_below_hz = analysis.transition_hz or 0.0
    judged = [hz for hz in target.mid_bands_hz if hz >= modal_below_hz]
    left_out = [hz for hz in target.mid_bands_hz if hz < modal_below_hz]
    if not judged:
        value_s, u_s, _ = _mean(analysis, target.mid_bands_hz)
        all_modal = fact(MeanNote.ALL_MODAL, bands_hz=target.mid_bands_hz)
        return _verdict(target, value_s, u_s, Outcome.MODAL, (all_modal,))
    value_s, u_s, missing = _mean(analysis, tuple(judged))
    if value_s is None:
        lacks = fact(MeanNote.LACKS, bands_hz=missing)
        return _verdict(target, None, None, Outcome.NOT_MEASURED, (lacks,))
    outcome = decide(value_s, u_s, target.mid_low_s, target.mid_high_s)
    return _verdict(target, value_s, u_s, outcome, _notes(target, left_out, people))


def _notes(
    target: Target, left_out: Sequence[float], people: int | None
) -> tuple[Fact[MeanNote], ...]:
    notes = [fact(MeanNote.LEFT_OUT, bands_hz=tuple(left_out))] if left_out else []
    if people is not None and target.occupied:
        notes.append(fact(MeanNote.MEANT_IN_USE, people=people))
    if people is not None and target.occupied is False and people > EMPTY:
        notes.append(fact(MeanNote.MEANT_EMPTY, people=people))
    return tuple(notes)


def _mean(
    analysis: Analysis, bands_hz: tuple[float, ...]
) -> tuple[float | None, float | None, tuple[float, ...]]:
    """Mean of some octaves, its standard uncertainty, and the octaves that lack a value. [s], [s],
    [Hz]"""
    if bands_hz == MID_BANDS_HZ and analysis.mid_s is not None:
        return analysis.mid_s, analysis.mid_u_s, ()
    octaves = {octave.band_hz: octave for octave in analysis.octaves}
    missing = tuple(hz for hz in bands_hz if hz not in octaves or octaves[hz].t20_s is None)
    if missing or not bands_hz:
        return None, None, missing
    values = [octaves[hz].t20_s for hz in bands_hz]
    known = [u for hz in bands_hz if (u := octaves[hz].t20_u_s) is not None]
    mean_s = fmean(value for value in values if value is not None)
    return mean_s, fmean(known) if len(known) == len(bands_hz) else None, ()


def _verdict(
    target: Target,
    value_s: float | None,
    u_s: float | None,
    outcome: Outcome,
    notes: tuple[Fact[MeanNote], ...],
) -> MeanVerdict:
    return MeanVerdict(
        bands_hz=target.mid_bands_hz,
        value_s=value_s,
        u_s=u_s,
        low_s=target.mid_low_s,
        high_s=target.mid_high_s,
        outcome=outcome,
        notes=notes,
    )
