"""Some documents mean the room in use, others without people: their limits carried to the room that
was measured.

Everything else that is known of the room (decays, predictions, promises, the second visit) is of
the room in which one measures; so the limits go there, and not every number to where the limits
are.
"""

from __future__ import annotations

import math
from dataclasses import replace

from roomcheck.analyse import Analysis, BandMean
from roomcheck.job import Job
from roomcheck.materials import SPREAD, Step, with_people
from roomcheck.standards import Target, speed_of_sound_m_s

EMPTY = 2
"""So many people hardly count: whoever measures is there."""


def as_measured(target: Target, analysis: Analysis, job: Job) -> tuple[Target, Analysis, str]:
    """The target's limits for the room with the people of the visit, and a sentence where that
    needed a step.

    Parameters
    ----------
    target : Target
    analysis : Analysis
    job : Job
        For the people of the visit, and how many the room usually holds.

    Returns
    -------
    Target, Analysis, str
        As they were, and no sentence, where the target says nothing of people, or nobody said how
        many there are. The decays stay, their uncertainties grow by what is not known of a person.
        A limit that the people alone hold the room to, whatever hangs there, is left out, and so is
        one in an octave without a person's absorption.
    """
    visit = job.visit(analysis.visit)
    meant = job.people_in_use if target.occupied else 0 if target.occupied is False else None
    if visit is None or meant is None or (target.occupied is False and visit.people <= EMPTY):
        return target, analysis, ""
    less = visit.people - meant
    if less == 0:
        return target, analysis, ""
    speed = speed_of_sound_m_s(visit.temperature_c)

    def step(decay_s: float, hz: float) -> Step | None:
        return with_people(decay_s, hz, less, job.room.volume_m3, speed)

    def back(decay_s: float | None, *bands_hz: float) -> float | None:
        steps = [] if decay_s is None else [step(decay_s, hz) for hz in bands_hz]
        known = [one.decay_s for one in steps if one is not None]
        return sum(known) / len(known) if known and len(known) == len(steps) else None

    mid = target.mid_bands_hz
    carried = replace(
        target,
        limits=tuple(
            replace(
                limit,
                low_s=back(limit.low_s, limit.band_hz),
                high_s=back(limit.high_s, limit.band_hz),
            )
            for limit in target.limits
        ),
        mid_low_s=back(target.mid_low_s, *mid),
        mid_high_s=back(target.mid_high_s, *mid),
        mid_nominal_s=back(target.mid_nominal_s, *mid) or target.mid_nominal_s,
    )
    said = (
        f"The target means {_people(meant)} in the room: {_span(target)}. With "
        f"{_people(visit.people)} in it, as measured, that is {_span(carried)}."
    )
    return carried, _less_sure(analysis, abs(less), job, speed), said


def _less_sure(analysis: Analysis, people: int, job: Job, speed_m_s: float) -> Analysis:
    """The same decays, less sure by what is not known of so many people's absorption."""

    def grown(mean: BandMean) -> BandMean:
        more = _unsure_s(mean, people, job, speed_m_s)
        if mean.t20 is None or mean.t20.u is None:
            return mean
        return replace(mean, t20=replace(mean.t20, u=math.hypot(mean.t20.u, more)))

    both = [
        _unsure_s(m, people, job, speed_m_s)
        for m in analysis.octaves
        if m.band_hz in (500.0, 1000.0)
    ]
    mid_u = analysis.mid_u_s
    if mid_u is not None and both:
        mid_u = math.hypot(mid_u, sum(both) / len(both))  # the same people in both bands
    return replace(analysis, octaves=tuple(grown(mean) for mean in analysis.octaves), mid_u_s=mid_u)


def _unsure_s(mean: BandMean, people: int, job: Job, speed_m_s: float) -> float:
    """What the spread of so many people's absorption makes of a decay. [s]"""
    step = (
        None
        if mean.t20_s is None
        else with_people(mean.t20_s, mean.band_hz, people, job.room.volume_m3, speed_m_s)
    )
    if step is None or mean.t20_s is None:
        return 0.0
    # Their rate is 1/T' - 1/T, its spread a share of that; dT = T^2 d(1/T).
    return SPREAD * (1 / step.decay_s - 1 / mean.t20_s) * mean.t20_s**2


def _span(target: Target) -> str:
    low, high = target.mid_low_s, target.mid_high_s
    if low is not None and high is not None:
        return f"{low:.2f} to {high:.2f} s"
    return (
        f"at most {high:.2f} s"
        if high is not None
        else f"at least {low:.2f} s"
        if low is not None
        else "no limit"
    )


def _people(count: int) -> str:
    return {0: "nobody", 1: "one person"}.get(count, f"{count} people")
