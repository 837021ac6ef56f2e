"""The whole verdict: bands, mean, findings, and one sentence."""

from __future__ import annotations

from dataclasses import replace

from roomcheck.analyse import Analysis
from roomcheck.job import Job
from roomcheck.judge.findings.all_findings import findings
from roomcheck.judge.limits.decide import band_verdict
from roomcheck.judge.limits.mid_verdict import mid_verdict
from roomcheck.judge.limits.occupied import as_measured
from roomcheck.judge.results import Verdict
from roomcheck.judge.sentence import headline
from roomcheck.standards import target_for


def judge(analysis: Analysis, job: Job) -> Verdict:
    """Hold one visit against the target of the room's use.

    Every octave and the mean are decided on the numbers as measured, before anything is rounded;
    where the document means another number of people than measured, its limits are carried to
    those, and it says so. Octaves below the transition frequency are shown and not judged.

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
    target = target_for(job.use, job.room.volume_m3, job.own_target)
    visit = job.visit(analysis.visit)
    target, analysis, carried = as_measured(target, analysis, job)
    bands = tuple(
        band_verdict(
            mean.band_hz,
            mean.t20_s,
            mean.t20_u_s,
            target.limit(mean.band_hz),
            transition_hz=analysis.transition_hz,
            why_none=" ".join(mean.reasons[:1]),
        )
        for mean in analysis.octaves
    )
    mid = mid_verdict(analysis, target, people=None if visit is None or carried else visit.people)
    mid = replace(mid, reason=f"{mid.reason} {carried}".strip()) if carried else mid
    found = findings(analysis, job, target, bands, mid)
    sentence = headline(target, bands, mid, found, own=job.own_target is not None)
    said = f"{sentence} {carried}".strip()
    return Verdict(
        target=target, bands=bands, mid=mid, findings=found, sentence=said, people=carried
    )
