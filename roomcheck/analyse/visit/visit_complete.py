"""Whether a visit has what its job asks for, while one is still there to record more."""

from __future__ import annotations

from typing import get_args

from roomcheck.analyse.visit.results import Analysis, Closing, Grade, GradeLack, VisitGap
from roomcheck.facts import Fact, fact
from roomcheck.job import Job
from roomcheck.standards.iso_3382_2_2008 import GRADES

NEEDED_HZ = (250.0, 500.0, 1000.0, 2000.0, 4000.0)
"""Octaves without a T20 at any position leave nothing to judge, and nothing to compare with
later. [Hz]"""

GRADES_UP: tuple[Grade, ...] = get_args(Grade)
"""From none up."""


def closing(analysis: Analysis, job: Job) -> Closing:
    """Hold a visit against the grade that its job wants, or that as many pairs can reach as were
    chosen for it."""
    grade = _wanted(analysis, job)
    enough = GRADES_UP.index(analysis.grade) >= GRADES_UP.index(grade)
    missing: list[Fact[VisitGap] | Fact[GradeLack]] = []
    notes: list[Fact[VisitGap] | Fact[GradeLack]] = []
    if not enough:
        missing.append(fact(VisitGap.GRADE_NOT_REACHED, wanted=grade, reached=analysis.grade))
        missing += analysis.lacking
        if analysis.grade == "survey" and not _too_few(analysis, grade):
            missing.append(fact(VisitGap.MOVE_STANDS))
    if job.visit(analysis.visit) is None:
        missing.append(fact(VisitGap.NO_CONDITIONS))
    left = _pairs_left(analysis, job)
    if left:
        notes.append(fact(VisitGap.PAIRS_LEFT, pairs=left))
    if enough:
        notes += analysis.lacking
    if not analysis.noise:
        notes.append(fact(VisitGap.NO_NOISE))
    return Closing(
        wanted=grade,
        reached=analysis.grade,
        missing=tuple(missing),
        no_t20=tuple(
            band for band in analysis.octaves if band.band_hz in NEEDED_HZ and band.t20 is None
        ),
        notes=tuple(notes),
    )


def _wanted(analysis: Analysis, job: Job) -> Grade:
    if analysis.visit != "after" or job.pairs_after is None:
        return job.grade
    within = [step.name for step in GRADES if step.combinations <= job.pairs_after]
    return min(job.grade, max(within, key=GRADES_UP.index), key=GRADES_UP.index)


def _pairs_left(analysis: Analysis, job: Job) -> tuple[tuple[str, str], ...]:
    """Pairs that the visit measures and that have no good take."""
    done = {(position.source, position.microphone) for position in analysis.positions}
    return tuple(pair for pair in job.pairs_at(analysis.visit) if pair not in done)


def _too_few(analysis: Analysis, grade: Grade) -> bool:
    """Whether there are fewer places than the wanted grade counts, whatever the distances between
    them."""
    wanted = next(step for step in GRADES if step.name == grade)
    pairs = {(position.source, position.microphone) for position in analysis.positions}
    sources, microphones = {s for s, _ in pairs}, {m for _, m in pairs}
    return (
        len(sources) < wanted.sources
        or len(microphones) < wanted.microphones
        or len(pairs) < wanted.combinations
    )
