"""The hole that a loudspeaker makes together with the wall next to it."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from roomcheck.analyse import TEMPERATURE_IF_UNKNOWN_C, Analysis, Dip, Response, dips
from roomcheck.geometry import Face, Point
from roomcheck.job import Job
from roomcheck.judge.findings.response_dips import depth_at
from roomcheck.judge.kinds import FindingKind
from roomcheck.judge.limits.lowest import lowest_heard_hz
from roomcheck.judge.results import Finding
from roomcheck.standards import speed_of_sound_m_s
from roomcheck.units import format_length

DEEP_DB, SEEN_DB, JND_DB = 6.0, 3.0, 1.0
WIDEST_OCTAVES, TO_HZ, WITHIN = 1.0, 300.0, 0.10
"""The dip matches a distance within 10 % (common practice)."""

AROUND_OCTAVES = 2.0
"""Such a hole is wide: it is held against two octaves around it."""

LEAST_PLACES = 2
NEAR_M, FAR_M = 0.3, 1.1
"""Nearer or farther than these a wall does not make a hole that matters (common practice). [m]"""


def boundary_dips(analysis: Analysis, job: Job) -> Iterator[Finding]:
    """Dips of one loudspeaker at nearly all places that lie at c / 4d of a surface next to it."""
    visit = job.visit(analysis.visit)
    c = speed_of_sound_m_s(visit.temperature_c if visit else TEMPERATURE_IF_UNKNOWN_C)
    for source in job.sources:
        of_it = [r for r in analysis.responses if r.source == source.name]
        others = [r for r in analysis.responses if r.source != source.name]
        if len(of_it) < LEAST_PLACES:
            continue
        for dip in _of_the_loudspeaker(of_it, others):
            near = [
                (d, face)
                for d, face in _distances(source.point, job)
                if _explains(d, dip.frequency_hz, c)
            ]
            if near and dip.frequency_hz >= lowest_heard_hz(job.use):
                yield _finding(dip, source.name, near, of_it, bool(others), job)
                break


def quarter_wave_hz(distance_m: float, speed_m_s: float) -> float:
    """Where a wall at this distance behind a source cancels it, c / 4d. [Hz]

    >>> round(quarter_wave_hz(0.6, 343.0), 2)
    142.92
    """
    return speed_m_s / (4 * distance_m)


def _of_the_loudspeaker(of_it: list[Response], others: list[Response]) -> list[Dip]:
    """Dips of the mean over the places that most places have and no other loudspeaker has; the
    deepest first."""
    hz = np.array(of_it[0].hz)
    of_it = [r for r in of_it if r.hz == of_it[0].hz]
    mean = 10 * np.log10(np.mean([10 ** (np.array(r.level_db) / 10) for r in of_it], axis=0))
    low = max(r.clear_from_hz for r in of_it)
    found = dips(
        hz, mean, least_db=DEEP_DB, from_hz=low, to_hz=TO_HZ, around_octaves=AROUND_OCTAVES
    )
    kept = []
    for dip in found:
        seen = sum(depth_at(r, dip.frequency_hz, AROUND_OCTAVES) >= SEEN_DB for r in of_it)
        elsewhere = [depth_at(r, dip.frequency_hz, AROUND_OCTAVES) for r in others]
        if dip.width_octaves > WIDEST_OCTAVES or seen < max(LEAST_PLACES, 2 / 3 * len(of_it)):
            continue
        if elsewhere and np.mean(elsewhere) >= SEEN_DB:
            continue
        kept.append(dip)
    return sorted(kept, key=lambda dip: -dip.depth_db)


def _distances(point: Point, job: Job) -> list[tuple[float, Face]]:
    return [(face.to_face(point)[2], face) for face in job.room.faces]


def _explains(distance_m: float, frequency_hz: float, c: float) -> bool:
    if not NEAR_M <= distance_m <= FAR_M * 1.2:
        return False
    return abs(quarter_wave_hz(distance_m, c) / frequency_hz - 1) <= WITHIN


def _finding(
    dip: Dip,
    source: str,
    near: list[tuple[float, Face]],
    of_it: list[Response],
    compared: bool,
    job: Job,
) -> Finding:
    names = " or ".join(_name(face) for _, face in near)
    far = " and ".join(f"{format_length(d, job.units)} from the {_name(face)}" for d, face in near)
    nearest, farthest = ("a foot", "3 1/2 feet") if job.units == "imperial" else ("30 cm", "1.1 m")
    return Finding(
        kind=FindingKind.BOUNDARY_DIP,
        title=f"{source} and the {names} cancel a note",
        sentence=f"There is a hole in the bass of {source} near {dip.frequency_hz:.0f} Hz: what comes back from the "
        f"{names} works against it.",
        evidence=f"{dip.depth_db:.0f} dB at {dip.frequency_hz:.0f} Hz on the mean over {len(of_it)} places; {source} "
        f"stands {far}.",
        threshold=f"A dip of {DEEP_DB:.0f} dB that most places have, within 10 % of c / 4d: common practice.",
        remedies=(
            f"Free: move {source} nearer than {nearest} to that surface or farther than "
            f"{farthest} from it.",
            "Deep absorption (4 in and more) on the surface behind it fills the hole in part.",
            "Do not fill it with an equaliser: the wall cancels what is added.",
        ),
        beyond_jnd=(dip.depth_db - DEEP_DB) / JND_DB,
        sure="Likely: no other loudspeaker has it."
        if compared
        else "Possible: one loudspeaker only; move it a foot and measure again to be sure.",
        figure="response",
    )


def _name(face: Face) -> str:
    return f"{face.name} wall" if face.kind == "wall" else face.name
