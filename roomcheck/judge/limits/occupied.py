"""Some documents mean the room in use, others without people: their limits carried to the room that
was measured.

Everything else that is known of the room (decays, predictions, promises, the second visit) is of
the room in which one measures; so the limits go there, and not every number to where the limits
are.
"""

from __future__ import annotations

import math
from dataclasses import replace
from statistics import fmean

from roomcheck.analyse import Analysis, BandMean
from roomcheck.facts import Fact, fact
from roomcheck.job import Job
from roomcheck.judge.kinds import MeanNote
from roomcheck.judge.limits.mean_verdict import EMPTY
from roomcheck.materials import SPREAD, with_people
from roomcheck.standards import BandLimit, Target, speed_of_sound_m_s
from roomcheck.units import MID_BANDS_HZ


def as_measured(
    target: Target, analysis: Analysis, job: Job
) -> tuple[Target, Analysis, Fact[MeanNote] | None]:
    """Carry a target's limits to the room with the people of the visit.

    Parameters
    ----------
    target : Target
    analysis : Analysis
    job : Job
        For the people of the visit, and how many the room usually holds.

    Returns
    -------
    Target, Analysis, Fact or None
        As they were, and None, where the target says nothing of people, or nobody said how many
        there are. The decays stay, their uncertainties grow by what is not known of a person. A
        limit that the people alone hold the room to, whatever hangs there, is left out, and so is
        one in an octave without a person's absorption.
    """
    visit = job.visit(analysis.visit)
    meant = job.people_in_use if target.occupied else 0
    if visit is None or meant is None or target.occupied is None:
        return target, analysis, None
    nearly_empty = not target.occupied and visit.people <= EMPTY
    more = visit.people - meant
    if nearly_empty or more == 0:
        return target, analysis, None
    carried = _carried(target, more, job.room.volume_m3, visit.temperature_c)
    step = fact(
        MeanNote.LIMITS_CARRIED,
        people_meant=meant,
        people_there=visit.people,
        low_meant_s=target.mid_low_s,
        high_meant_s=target.mid_high_s,
        low_s=carried.mid_low_s,
        high_s=carried.mid_high_s,
    )
    return carried, _less_sure(analysis, abs(more), job, visit.temperature_c), step


def _carried(target: Target, more: int, volume_m3: float, temperature_c: float) -> Target:
    """The target's limits with so many people more in the room."""
    speed_m_s = speed_of_sound_m_s(temperature_c)

    def carry(decay_s: float | None, *bands_hz: float) -> float | None:
        if decay_s is None:
            return None
        steps = [with_people(decay_s, hz, more, volume_m3, speed_m_s) for hz in bands_hz]
        known = [step.decay_s for step in steps if step is not None]
        return fmean(known) if known and len(known) == len(steps) else None

    def carry_limit(limit: BandLimit) -> BandLimit:
        low_s, high_s = carry(limit.low_s, limit.band_hz), carry(limit.high_s, limit.band_hz)
        return replace(limit, low_s=low_s, high_s=high_s)

    mid = target.mid_bands_hz
    return replace(
        target,
        limits=tuple(carry_limit(limit) for limit in target.limits),
        mid_low_s=carry(target.mid_low_s, *mid),
        mid_high_s=carry(target.mid_high_s, *mid),
        mid_nominal_s=carry(target.mid_nominal_s, *mid) or target.mid_nominal_s,
    )


def _less_sure(analysis: Analysis, people: int, job: Job, temperature_c: float) -> Analysis:
    """The same decays, less sure by what is not known of so many people's absorption."""
    volume_m3, speed_m_s = job.room.volume_m3, speed_of_sound_m_s(temperature_c)
    added = {m.band_hz: _unsure_s(m, people, volume_m3, speed_m_s) for m in analysis.octaves}

    def grown(mean: BandMean) -> BandMean:
        if mean.t20 is None or mean.t20.u is None:
            return mean
        u_s = math.hypot(mean.t20.u, added[mean.band_hz])
        return replace(mean, t20=replace(mean.t20, u=u_s))

    middle = [added[hz] for hz in MID_BANDS_HZ if hz in added]
    mid_u_s = analysis.mid_u_s
    if mid_u_s is not None and middle:
        mid_u_s = math.hypot(mid_u_s, fmean(middle))  # the same people in both bands
    return replace(analysis, octaves=tuple(map(grown, analysis.octaves)), mid_u_s=mid_u_s)


def _unsure_s(mean: BandMean, people: int, volume_m3: float, speed_m_s: float) -> float:
    """What the spread of so many people's absorption makes of a decay. [s]"""
    if mean.t20_s is None:
        return 0.0
    step = with_people(mean.t20_s, mean.band_hz, people, volume_m3, speed_m_s)
    if step is None:
        return 0.0
    # Their rate is 1/T' - 1/T, its spread a share of that; dT = T^2 d(1/T).
    return SPREAD * (1 / step.decay_s - 1 / mean.t20_s) * mean.t20_s**2
