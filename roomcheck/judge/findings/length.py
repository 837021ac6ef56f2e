"""Too live, too dead: the mean decay past its limits."""

from __future__ import annotations

import math

from roomcheck.analyse import Analysis
from roomcheck.facts import fact
from roomcheck.job import Job
from roomcheck.judge.kinds import FindingKind, LimitSource, Outcome, Remedy
from roomcheck.judge.limits.audible import JND_DECAY
from roomcheck.judge.results import Finding, MeanVerdict
from roomcheck.materials import absorption_of
from roomcheck.standards import Target
from roomcheck.units import MID_BANDS_HZ

PANEL_M2, PANEL_ABSORBS = 0.6096 * 1.2192, 0.95
"""A 2 x 4 ft panel, and what a thick one absorbs at middle frequencies (common practice)."""


def too_live(analysis: Analysis, job: Job, target: Target, mid: MeanVerdict) -> Finding | None:
    """Find a mean decay longer than the target allows, by more than its uncertainty."""
    if mid.outcome != Outcome.TOO_LONG or mid.value_s is None or mid.high_s is None:
        return None
    aim_s = min(target.mid_nominal_s, mid.high_s)
    missing_m2 = missing_absorption_m2(job, analysis.visit, mid.value_s, aim_s)
    there, needed = _people(job, analysis.visit, target, mid.value_s, mid.high_s)
    return Finding(
        measured=fact(
            FindingKind.TOO_LIVE,
            mean_s=mid.value_s,
            mean_u_s=mid.u_s,
            limit_s=mid.high_s,
            bands_hz=target.mid_bands_hz,
            people_there=there,
            people_needed=needed,
        ),
        source=fact(LimitSource.DOCUMENT, document=target.source),
        remedies=(
            fact(Remedy.ADD_SOFT_THINGS),
            fact(
                Remedy.ADD_ABSORPTION,
                area_m2=missing_m2,
                aim_s=aim_s,
                panels=math.ceil(missing_m2 / PANEL_M2 / PANEL_ABSORBS),
            ),
            fact(Remedy.PANELS_ARE_NO_SOUNDPROOFING),
        ),
        beyond_jnd=(mid.value_s / mid.high_s - 1) / JND_DECAY,
    )


def too_dead(target: Target, mid: MeanVerdict) -> Finding | None:
    """Find a mean decay shorter than the target asks, by more than its uncertainty."""
    if mid.outcome != Outcome.TOO_SHORT or mid.value_s is None or mid.low_s is None:
        return None
    return Finding(
        measured=fact(
            FindingKind.TOO_DEAD,
            mean_s=mid.value_s,
            mean_u_s=mid.u_s,
            limit_s=mid.low_s,
            bands_hz=target.mid_bands_hz,
        ),
        source=fact(LimitSource.DOCUMENT, document=target.source),
        remedies=(fact(Remedy.TAKE_DOWN_SOFT_THINGS), fact(Remedy.SCATTER_FACES)),
        beyond_jnd=(mid.low_s / mid.value_s - 1) / JND_DECAY,
    )


def missing_absorption_m2(job: Job, visit: str, from_s: float, to_s: float) -> float:
    r"""Return the equivalent absorption area that turns one decay into a shorter one. [m2]

    :math:`24 \ln 10 \, V / c \, (1/T_{to} - 1/T_{from})`, Sabine's formula with c of the visit's
    air; the true need is larger where absorption is uneven.
    """
    c = job.speed_of_sound_m_s(visit)
    return 24 * math.log(10) * job.room.volume_m3 / c * (1 / to_s - 1 / from_s)


def _people(
    job: Job, visit: str, target: Target, value_s: float, high_s: float
) -> tuple[int | None, int | None]:
    """Where the document means a room in use: the people measured with, and how many more, seated,
    would make up for what is missing."""
    conditions = job.visit(visit)
    if not target.occupied or conditions is None or job.people_in_use is not None:
        return None, None
    person = absorption_of("person seated")
    each_m2 = sum(person.at(hz) or 0.0 for hz in MID_BANDS_HZ) / len(MID_BANDS_HZ)
    missing_m2 = missing_absorption_m2(job, visit, value_s, high_s)
    return conditions.people, math.ceil(missing_m2 / each_m2)
