"""The whole verdict: octaves, mean and findings."""

from __future__ import annotations

from dataclasses import replace

from roomcheck.analyse import Analysis
from roomcheck.job import Job
from roomcheck.judge.findings.all_findings import findings
from roomcheck.judge.limits.decide import band_verdict
from roomcheck.judge.limits.mean_verdict import mean_verdict
from roomcheck.judge.limits.occupied import as_measured
from roomcheck.judge.results import Verdict
from roomcheck.standards import target_for


def judge(analysis: Analysis, job: Job) -> Verdict:
    """Hold one visit against the target of the room's use.

    Every octave and the mean are decided on the numbers as measured, before anything is rounded;
    where the document means another number of people than measured, its limits are carried to
    those, and the verdict says so. Octaves below the transition frequency are shown and not judged.

    Parameters
    ----------
    analysis : Analysis
    job : Job
        For its use, its own target, its volume and the visit's conditions.

    Returns
    -------
    Verdict
        With no findings where nothing is wrong.

    Raises
    ------
    OutsideScope
        The use's document has no value for a room of this size.
    """
    visit = job.visit(analysis.visit)
    document = target_for(job.use, job.room.volume_m3, job.own_target)
    target, analysis, carried = as_measured(document, analysis, job)
    bands = tuple(
        band_verdict(mean, target.limit(mean.band_hz), transition_hz=analysis.transition_hz)
        for mean in analysis.octaves
    )
    people = None if visit is None or carried else visit.people
    mid = mean_verdict(analysis, target, people=people)
    if carried:
        mid = replace(mid, notes=(*mid.notes, carried))
    return Verdict(
        target=target,
        agreed=job.own_target is not None,
        bands=bands,
        mid=mid,
        findings=findings(analysis, job, target, bands, mid),
    )
