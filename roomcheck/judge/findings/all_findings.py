"""Every fault that the numbers show, ranked by how far past its limit a client hears it."""

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
from roomcheck.judge.results import BandVerdict, Finding, MeanVerdict
from roomcheck.standards import Target
from roomcheck.standards.targets.background import NOISE_LIMITS


def findings(
    analysis: Analysis,
    job: Job,
    target: Target,
    bands: tuple[BandVerdict, ...],
    mid: MeanVerdict,
) -> tuple[Finding, ...]:
    """Return what a client would hear, the clearest first; empty where nothing is wrong."""
    candidates = (
        too_live(analysis, job, target, mid),
        too_dead(target, mid),
        boomy(job, target, bands),
        dull(bands, mid),
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
    present = [finding for finding in candidates if finding is not None]
    return tuple(sorted(present, key=lambda finding: -finding.beyond_jnd))
