"""Whether a visit has what its job asks for, while one is still there to record more."""

from __future__ import annotations

from dataclasses import dataclass

from roomcheck.analyse.results import Analysis
from roomcheck.job import Job
from roomcheck.standards.iso_3382_2_2008 import GRADES
from roomcheck.units import band_name

NEEDED_HZ = (250.0, 500.0, 1000.0, 2000.0, 4000.0)
"""Octaves without a T20 at any position leave nothing to judge, and nothing to compare with
later."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Closing:
    """What a visit came to.

    Attributes
    ----------
    wanted, reached : str
        Grades after ISO 3382-2; `reached` may be "none".
    missing : tuple of str
        Why the visit is not complete; empty where it is.
    notes : tuple of str
        What would make it better.
    """

    wanted: str
    reached: str
    missing: tuple[str, ...]
    notes: tuple[str, ...]

    @property
    def complete(self) -> bool:
        return not self.missing


def closing(analysis: Analysis, job: Job) -> Closing:
    """Hold a visit against the grade that its job wants."""
    order = ["none", *(grade.name for grade in GRADES)]
    enough = order.index(analysis.grade) >= order.index(job.grade)
    missing = (
        []
        if enough
        else [f"{job.grade.capitalize()} grade is wanted, {_named(analysis.grade)} is reached."]
    )
    missing += [] if enough else list(analysis.lacking)
    if not enough and analysis.grade == "survey" and not _too_few(analysis, job):
        missing.append(
            "Move the stands and measure those places again; where the room is too small for "
            "it, be content with "
            'survey: grade = "survey" in job.toml.'
        )
    missing += [
        f"{band_name(band.band_hz)}: no T20 at any position. {' '.join(band.reasons[:1])}".strip()
        for band in analysis.octaves
        if band.band_hz in NEEDED_HZ and band.positions == 0
    ]
    if job.visit(analysis.visit) is None:
        missing.append(
            "The visit's conditions are not noted: temperature, humidity, people, doors, "
            "ventilation."
        )
    done = {(position.source, position.microphone) for position in analysis.positions}
    left = [
        f"{s.name} to {m.name}"
        for s in job.sources
        for m in job.microphones
        if (s.name, m.name) not in done
    ]
    notes = [f"The job also lists {', '.join(left)}: no good take."] if left else []
    notes += list(analysis.lacking) if enough else []
    notes += [] if analysis.noise else ["No background noise was recorded."]
    return Closing(
        wanted=job.grade, reached=analysis.grade, missing=tuple(missing), notes=tuple(notes)
    )


def _named(grade: str) -> str:
    return "no grade" if grade == "none" else grade


def _too_few(analysis: Analysis, job: Job) -> bool:
    """Whether there are fewer places than the wanted grade counts, whatever the distances between
    them."""
    wanted = next(grade for grade in GRADES if grade.name == job.grade)
    pairs = {(position.source, position.microphone) for position in analysis.positions}
    counts = (len({s for s, _ in pairs}), len({m for _, m in pairs}), len(pairs))
    return any(
        have < need
        for have, need in zip(
            counts, (wanted.sources, wanted.microphones, wanted.combinations), strict=True
        )
    )
