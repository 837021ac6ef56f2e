"""Too live, too dead: the mean decay past its limits."""

from __future__ import annotations

import math

from roomcheck.analyse import Analysis
from roomcheck.job import Job
from roomcheck.judge.kinds import FindingKind
from roomcheck.judge.limits.decide import COVERAGE
from roomcheck.judge.results import BandVerdict, Finding
from roomcheck.materials import absorption_of
from roomcheck.standards import Target, speed_of_sound_m_s
from roomcheck.units import M2_PER_FT2, band_name, digits_against_limit

JND_DECAY = 0.05
PANEL_M2, PANEL_ABSORBS = 0.6096 * 1.2192, 0.95
"""A 2 x 4 ft panel, and what a thick one absorbs at middle frequencies (common practice)."""

TEMPERATURE_IF_UNKNOWN_C = 20.0


def too_live(analysis: Analysis, job: Job, target: Target, mid: BandVerdict) -> Finding | None:
    """The mean decay is longer than the target allows, by more than its uncertainty."""
    if mid.outcome != "too long" or mid.value_s is None or mid.high_s is None:
        return None
    said, bound = digits_against_limit(mid.value_s, mid.high_s)
    missing_m2 = missing_absorption_m2(
        job, analysis.visit, mid.value_s, min(target.mid_nominal_s, mid.high_s)
    )
    return Finding(
        kind=FindingKind.TOO_LIVE,
        title="Too live",
        sentence=(
            f"Sound hangs on {_times(mid.value_s / mid.high_s)} as long as it may at most in this "
            "room."
        ),
        evidence=f"Mean decay {said} s{plus_minus(mid.u_s)} over {band_names(target.mid_bands_hz)}."
        + _people(job, analysis.visit, target, mid.value_s, mid.high_s),
        threshold=f"At most {bound} s: {target.source}.",
        remedies=(
            (
                "Free: draw the curtains, bring back the rug, the soft chairs and the full "
                "shelves, and listen again."
            ),
            f"Add about {area(missing_m2, job)} of absorption to reach "
            f"{target.mid_nominal_s:.2f} s, as "
            f"{math.ceil(missing_m2 / PANEL_M2 / PANEL_ABSORBS)} thick panels of 2 x 4 ft would, "
            "spread over at least two surfaces that are not opposite.",
            "Panels quieten a room inside; they do not keep sound from going through walls.",
        ),
        beyond_jnd=(mid.value_s / mid.high_s - 1) / JND_DECAY,
        figure="decays",
    )


def too_dead(target: Target, mid: BandVerdict) -> Finding | None:
    """The mean decay is shorter than the target asks."""
    if mid.outcome != "too short" or mid.value_s is None or mid.low_s is None:
        return None
    said, bound = digits_against_limit(mid.value_s, mid.low_s)
    return Finding(
        kind=FindingKind.TOO_DEAD,
        title="Too dead",
        sentence=(
            "The room swallows sound: it feels lifeless, and one speaks louder than one should "
            "need to."
        ),
        evidence=(
            f"Mean decay {said} s{plus_minus(mid.u_s)} over {band_names(target.mid_bands_hz)}."
        ),
        threshold=f"At least {bound} s: {target.source}.",
        remedies=(
            (
                "Free: take down some of the thin panels or curtains, roll up the rug, and listen "
                "again."
            ),
            "Give some absorbers a slatted or diffusing face, which keeps sound in the room.",
        ),
        beyond_jnd=(mid.low_s / mid.value_s - 1) / JND_DECAY,
        figure="decays",
    )


def missing_absorption_m2(job: Job, visit: str, from_s: float, to_s: float) -> float:
    """Equivalent absorption area that turns one decay into a shorter one, after Sabine. [m2]

    24 ln 10 V / c (1 / to - 1 / from); the true need is larger where absorption is uneven.
    """
    at = job.visit(visit)
    c = speed_of_sound_m_s(TEMPERATURE_IF_UNKNOWN_C if at is None else at.temperature_c)
    return 24 * math.log(10) * job.room.volume_m3 / c * (1 / to_s - 1 / from_s)


def _people(job: Job, visit: str, target: Target, value_s: float, high_s: float) -> str:
    """Where the document means a room in use: how many seated people would make up for what is
    missing."""
    at = job.visit(visit)
    if not target.occupied or at is None or job.people_in_use is not None:
        return ""
    one = absorption_of("person seated")
    each = sum(one.at(hz) or 0.0 for hz in (500.0, 1000.0)) / 2
    count = math.ceil(missing_absorption_m2(job, visit, value_s, high_s) / each)
    return (
        f" Measured with {at.people} in the room; the document means it in use, and about "
        f"{count} more people seated would bring it to the limit."
    )


def area(area_m2: float, job: Job) -> str:
    """An area in the job's units."""
    return f"{area_m2 / M2_PER_FT2:.0f} ft²" if job.units == "imperial" else f"{area_m2:.1f} m²"


def plus_minus(u_s: float | None) -> str:
    return "" if u_s is None else f" ± {COVERAGE * u_s:.2g} s"


def band_names(bands_hz: tuple[float, ...] | list[float]) -> str:
    """ "500 Hz and 1 kHz"."""
    names = [band_name(hz) for hz in bands_hz]
    return " and ".join([", ".join(names[:-1]), names[-1]] if len(names) > 1 else names)


def _times(ratio: float) -> str:
    return f"{ratio:.1f} times" if ratio >= 1.1 else f"{ratio:.2f} times"
