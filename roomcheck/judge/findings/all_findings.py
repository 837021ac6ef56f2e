"""Every fault that the numbers show, ranked by how far past its threshold a client hears it."""

from __future__ import annotations

from roomcheck.analyse import Analysis
from roomcheck.job import Job
from roomcheck.judge.findings.balance import boomy, dull, uneven
from roomcheck.judge.findings.boundary import boundary_dips
from roomcheck.judge.findings.early import early_reflections
from roomcheck.judge.findings.echo import fluttering, slap
from roomcheck.judge.findings.length import too_dead, too_live
from roomcheck.judge.findings.noise import low_speech_index, too_noisy
from roomcheck.judge.findings.rattle import rattling
from roomcheck.judge.findings.response_dips import nulls
from roomcheck.judge.findings.ringing_modes import ringing
from roomcheck.judge.findings.speech import double_slope, unclear
from roomcheck.judge.findings.stereo import lopsided
from roomcheck.judge.results import BandVerdict, Finding
from roomcheck.standards import Target
from roomcheck.standards.targets.background import NOISE_LIMITS


def findings(
    analysis: Analysis, job: Job, target: Target, bands: tuple[BandVerdict, ...], mid: BandVerdict
) -> tuple[Finding, ...]:
    """What a client would hear, the clearest first; empty where nothing is wrong.

    Each finding says how many just noticeable differences it lies past its threshold: 5 % of a
    decay time and 1 dB of clarity, as ISO 3382-1:2009, Table A.1 has them for EDT and C80. That T20
    and C50 are heard alike is our extension.
    """
    found = (
        too_live(analysis, job, target, mid),
        too_dead(target, mid),
        boomy(job, target, bands),
        dull(bands),
        uneven(target, bands, mid),
        unclear(analysis, target) or low_speech_index(analysis, target),
        double_slope(analysis),
        too_noisy(analysis.noise, NOISE_LIMITS.get(target.key)),
        ringing(analysis, job),
        *nulls(analysis, job),
        *boundary_dips(analysis, job),
        rattling(analysis),
        *early_reflections(analysis, job, target),
        slap(analysis, job, target),
        *fluttering(analysis, job),
        lopsided(analysis, job, target),
    )
    return tuple(sorted((f for f in found if f is not None), key=lambda f: -(f.beyond_jnd or 0.0)))
