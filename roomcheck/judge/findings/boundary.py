"""The hole that a loudspeaker makes together with the wall next to it."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from roomcheck.analyse import Analysis, Dip, Response, dips
from roomcheck.facts import fact
from roomcheck.geometry import Face, Point
from roomcheck.job import Job
from roomcheck.judge.findings.response_dips import depth_at
from roomcheck.judge.kinds import Certainty, FindingKind, LimitSource, Remedy
from roomcheck.judge.limits.audible import JND_DB, lowest_heard_hz
from roomcheck.judge.results import Finding

DEEP_DB, SEEN_DB = 6.0, 3.0
"""The mean over the places dips by the first, most places by the second (common practice). [dB]"""

WIDEST_OCTAVES, TO_HZ, WITHIN = 1.0, 300.0, 0.10
"""The dip matches a distance within 10 % (common practice)."""

AROUND_OCTAVES = 2.0
"""Such a hole is wide: it is held against two octaves around it."""

LEAST_PLACES = 2
NEAR_M, FAR_M = 0.3, 1.1
"""Nearer or farther than these a wall does not make a hole that matters (common practice). [m]"""


def boundary_dips(analysis: Analysis, job: Job) -> Iterator[Finding]:
    """Yield dips of one loudspeaker at nearly all places that lie at c / 4d of a surface next to
    it."""
    c = job.speed_of_sound_m_s(analysis.visit)
    lowest_hz = lowest_heard_hz(job.use)
    for source in job.sources:
        own = [r for r in analysis.responses if r.source == source.name]
        others = [r for r in analysis.responses if r.source != source.name]
        if len(own) < LEAST_PLACES:
            continue
        for dip in _of_the_loudspeaker(own, others):
            near = [
                (distance_m, face)
                for distance_m, face in _distances(source.point, job)
                if _explains(distance_m, dip.frequency_hz, c)
            ]
            if near and dip.frequency_hz >= lowest_hz:
                yield _finding(dip, source.name, near, len(own), compared=bool(others))
                break


def quarter_wave_hz(distance_m: float, speed_m_s: float) -> float:
    """Return where a wall at this distance behind a source cancels it, c / 4d. [Hz]

    >>> round(quarter_wave_hz(0.6, 343.0), 2)
    142.92
    """
    return speed_m_s / (4 * distance_m)


def _of_the_loudspeaker(own: list[Response], others: list[Response]) -> list[Dip]:
    """Dips of the mean over the places that most places have and no other loudspeaker has; the
    deepest first."""
    hz = np.array(own[0].hz)
    own = [response for response in own if response.hz == own[0].hz]
    energies = [10 ** (np.array(response.level_db) / 10) for response in own]
    candidates = dips(
        hz,
        10 * np.log10(np.mean(energies, axis=0)),
        least_db=DEEP_DB,
        from_hz=max(response.clear_from_hz for response in own),
        to_hz=TO_HZ,
        around_octaves=AROUND_OCTAVES,
    )
    kept = [dip for dip in candidates if _is_its_own(dip, own, others)]
    return sorted(kept, key=lambda dip: -dip.depth_db)


def _is_its_own(dip: Dip, own: list[Response], others: list[Response]) -> bool:
    """Whether most of the loudspeaker's places have a dip, and the other loudspeakers have not."""
    depths_db = [depth_at(response, dip.frequency_hz, AROUND_OCTAVES) for response in own]
    seen = sum(depth_db >= SEEN_DB for depth_db in depths_db)
    if dip.width_octaves > WIDEST_OCTAVES or seen < max(LEAST_PLACES, 2 / 3 * len(own)):
        return False
    elsewhere_db = [depth_at(response, dip.frequency_hz, AROUND_OCTAVES) for response in others]
    return not elsewhere_db or bool(np.mean(elsewhere_db) < SEEN_DB)


def _distances(point: Point, job: Job) -> list[tuple[float, Face]]:
    return [(face.to_face(point)[2], face) for face in job.room.faces]


def _explains(distance_m: float, frequency_hz: float, c: float) -> bool:
    if not NEAR_M <= distance_m <= FAR_M * 1.2:
        return False
    return abs(quarter_wave_hz(distance_m, c) / frequency_hz - 1) <= WITHIN


def _finding(
    dip: Dip, source: str, near: list[tuple[float, Face]], places: int, *, compared: bool
) -> Finding:
    return Finding(
        measured=fact(
            FindingKind.BOUNDARY_DIP,
            source=source,
            frequency_hz=dip.frequency_hz,
            depth_db=dip.depth_db,
            limit_db=DEEP_DB,
            within=WITHIN,
            places=places,
            surfaces=tuple((face.name, face.kind, distance_m) for distance_m, face in near),
        ),
        source=fact(LimitSource.COMMON_PRACTICE),
        remedies=(
            fact(Remedy.OUT_OF_RANGE_OF_FACE, source=source, near_m=NEAR_M, far_m=FAR_M),
            fact(Remedy.DEEP_BEHIND_SOURCE),
            fact(Remedy.NO_EQUALISER),
        ),
        beyond_jnd=(dip.depth_db - DEEP_DB) / JND_DB,
        sure=(fact(Certainty.ONLY_THIS_SOURCE if compared else Certainty.ONE_SOURCE),),
        faces=tuple(face.name for _, face in near),
    )
