"""Some documents mean the room in use, others without people: a measured visit carried to what is meant."""

from __future__ import annotations

import math
from dataclasses import replace

from roomcheck.analyse import Analysis, BandMean
from roomcheck.job import Job
from roomcheck.materials.people import with_people
from roomcheck.standards import Target, speed_of_sound_m_s

EMPTY = 2
"""So many people hardly count: whoever measures is there."""


def as_meant(analysis: Analysis, job: Job, target: Target) -> tuple[Analysis, str]:
    """The visit as the target means it, and a sentence where that needed a step.

    Parameters
    ----------
    analysis : Analysis
    job : Job
        For the people of the visit, and how many the room usually holds.
    target : Target

    Returns
    -------
    Analysis, str
        As measured, and no sentence, where the target says nothing of people, or nobody said how many there are.
    """
    visit = job.visit(analysis.visit)
    meant = job.people_in_use if target.occupied else 0 if target.occupied is False else None
    if visit is None or meant is None or (target.occupied is False and visit.people <= EMPTY):
        return analysis, ""
    more = meant - visit.people
    if more == 0:
        return analysis, ""
    speed = speed_of_sound_m_s(visit.temperature_c)
    octaves = tuple(_carried(mean, more, job.room.volume_m3, speed) for mean in analysis.octaves)
    mid, u = _mid(analysis, octaves)
    said = (
        f"Measured with {visit.people} in the room and carried to {meant}, as the target means it: "
        f"{abs(more)} people {'more' if more > 0 else 'less'}, seated."
    )
    return replace(analysis, octaves=octaves, mid_s=mid, mid_u_s=u), said


def _carried(mean: BandMean, more: int, volume_m3: float, speed_m_s: float) -> BandMean:
    if mean.t20_s is None:
        return mean
    step = with_people(mean.t20_s, mean.band_hz, more, volume_m3, speed_m_s)
    if step is None:
        why = "No book gives what a person absorbs in this octave, so it is not carried to the room in use."
        return replace(mean, t20_s=None, t20_u_s=None, reasons=(why, *mean.reasons))
    # dT'/dT = (T'/T)^2: what was uncertain before counts less once people absorb more.
    u = None if mean.t20_u_s is None else math.hypot(mean.t20_u_s * (step.decay_s / mean.t20_s) ** 2, step.step_u_s)
    return replace(mean, t20_s=step.decay_s, t20_u_s=u)


def _mid(analysis: Analysis, octaves: tuple[BandMean, ...]) -> tuple[float | None, float | None]:
    """The mean of 500 Hz and 1 kHz, its uncertainty grown by the mean step's: the same people in both bands."""
    both = [(a, b) for a, b in zip(analysis.octaves, octaves, strict=True) if b.band_hz in (500.0, 1000.0)]
    values = [b.t20_s for _, b in both]
    if analysis.mid_s is None or len(values) < 2 or None in values:
        return None, None
    mid = sum(v for v in values if v is not None) / 2
    if analysis.mid_u_s is None:
        return mid, None
    shrunk = analysis.mid_u_s * (mid / analysis.mid_s) ** 2
    steps = [
        math.sqrt(max((b.t20_u_s or 0) ** 2 - ((a.t20_u_s or 0) * ((b.t20_s or 0) / (a.t20_s or 1)) ** 2) ** 2, 0))
        for a, b in both
    ]
    return mid, math.hypot(shrunk, sum(steps) / 2)
