"""The single number of a target: the mean decay over its octaves."""

from __future__ import annotations

from statistics import fmean

from roomcheck.analyse import Analysis
from roomcheck.judge.limits.decide import decide, why
from roomcheck.judge.results import BandVerdict
from roomcheck.standards import Target
from roomcheck.units import band_name


def mid_verdict(analysis: Analysis, target: Target, *, people: int | None = None) -> BandVerdict:
    """The target's mean against its limits.

    Octaves below the transition frequency are left out of the mean, and named. The standard
    uncertainty is the analysis's own where the mean is its mean of 500 and 1000 Hz; else the mean
    of the octaves' uncertainties, as if they were all wrong together, which is never too small.
    """
    judged = [
        hz
        for hz in target.mid_bands_hz
        if analysis.transition_hz is None or hz >= analysis.transition_hz
    ]
    left_out = [hz for hz in target.mid_bands_hz if hz not in judged]
    value, u, missing = _mean(analysis, tuple(judged))
    low, high = target.mid_low_s, target.mid_high_s
    if not judged:
        value, u, _ = _mean(analysis, target.mid_bands_hz)
        reason = (
            f"All of {_names(target.mid_bands_hz)} lie below the transition frequency: single "
            "modes ring there."
        )
        return _verdict(value, u, low, high, "modal", reason)
    if value is None:
        return _verdict(None, None, low, high, "not measured", f"The mean lacks {_names(missing)}.")
    outcome = decide(value, u, low, high)
    said = [why(outcome, value, u, low, high)]
    if left_out:
        said.append(
            f"{_names(left_out)} lies below the transition frequency and is left out of the mean."
        )
    if target.occupied and people is not None:
        said.append(
            f"The target means the room in use; it was measured with {_people(people)} in it."
        )
    if target.occupied is False and people is not None and people > 2:
        said.append(
            f"The target means the room without people; it was measured with {_people(people)} "
            "in it."
        )
    return _verdict(value, u, low, high, outcome, " ".join(filter(None, said)))


def _mean(
    analysis: Analysis, bands_hz: tuple[float, ...]
) -> tuple[float | None, float | None, tuple[float, ...]]:
    if bands_hz == (500.0, 1000.0) and analysis.mid_s is not None:
        return analysis.mid_s, analysis.mid_u_s, ()
    values, us = [], []
    for hz in bands_hz:
        mean = analysis.octave(hz)
        values.append(None if mean is None else mean.t20_s)
        us.append(None if mean is None else mean.t20_u_s)
    missing = tuple(hz for hz, value in zip(bands_hz, values, strict=True) if value is None)
    if missing or not values:
        return None, None, missing
    known = [u for u in us if u is not None]
    return (
        fmean(v for v in values if v is not None),
        fmean(known) if len(known) == len(us) else None,
        (),
    )


def _verdict(
    value: float | None,
    u: float | None,
    low: float | None,
    high: float | None,
    outcome: object,
    reason: str,
) -> BandVerdict:
    return BandVerdict(
        band_hz=0.0,
        value_s=value,
        u_s=u,
        low_s=low,
        high_s=high,
        outcome=outcome,  # type: ignore[arg-type]
        reason=reason,
    )


def _names(bands_hz: tuple[float, ...] | list[float]) -> str:
    return ", ".join(band_name(hz) for hz in bands_hz)


def _people(count: int) -> str:
    return {0: "nobody", 1: "one person"}.get(count, f"{count} people")
