"""Left against right: two loudspeakers that should sound alike at the seat."""

from __future__ import annotations

import math
from itertools import combinations

from roomcheck.analyse import Analysis, PositionReflections, Reflection
from roomcheck.facts import fact
from roomcheck.geometry import Point, distance_m
from roomcheck.job import Job
from roomcheck.judge.kinds import Certainty, FindingKind, LimitSource, Remedy
from roomcheck.judge.limits.audible import JND_DB
from roomcheck.judge.results import Finding
from roomcheck.standards import Target

STEREO_USES = ("control room", "critical listening room", "home cinema")

EARLY_DB, SIDE_DB = 3.0, 4.0
"""What the early energy and the loudest wall reflection may differ by between the two (common
practice). [dB]"""

U_DB = 0.7
"""Standard uncertainty of such a difference. [dB]"""

WIDE_DEG = (30.0, 110.0)
"""How wide apart the seat sees a left and a right loudspeaker (common practice). [degrees]"""

ALIKE = 0.15
"""How much their distances may differ, as a share of the mean (our margin). [1]"""

WITHIN_S = 0.020
"""Reflections later than this are not compared (common practice). [s]"""


def lopsided(analysis: Analysis, job: Job, target: Target) -> Finding | None:
    """Find the seat where left and right differ most."""
    if target.key not in STEREO_USES:
        return None
    findings = [
        finding
        for left, right in combinations(analysis.reflections, 2)
        if _is_stereo(job, left, right) and (finding := _differ(job, left, right)) is not None
    ]
    return max(findings, key=lambda finding: finding.beyond_jnd, default=None)


def _is_stereo(job: Job, a: PositionReflections, b: PositionReflections) -> bool:
    """Whether two sources stand to one seat as left and right do: as far away, and as wide
    apart."""
    points: dict[str, Point] = {p.name: p.point for p in (*job.sources, *job.microphones)}
    if a.microphone != b.microphone or not {a.source, b.source, a.microphone} <= points.keys():
        return False
    seat, first, second = points[a.microphone], points[a.source], points[b.source]
    d1, d2 = distance_m(seat, first), distance_m(seat, second)
    turns = [math.degrees(math.atan2(p.y - seat.y, p.x - seat.x)) for p in (first, second)]
    between = abs((turns[0] - turns[1] + 180) % 360 - 180)
    return abs(d1 - d2) <= ALIKE * (d1 + d2) / 2 and WIDE_DEG[0] <= between <= WIDE_DEG[1]


def _differ(job: Job, a: PositionReflections, b: PositionReflections) -> Finding | None:
    """Early energy, or the loudest wall reflection, that differs by more than its limit."""
    sides = [(pair.source, _side(job, pair)) for pair in (a, b)]
    levels = [reflection.level_db for _, reflection in sides if reflection is not None]
    over = []  # (beyond [dB], differs [dB], limit [dB], whether of the early energy)
    if a.early_db is not None and b.early_db is not None:
        early_db = abs(a.early_db - b.early_db)
        over.append((early_db - EARLY_DB, early_db, EARLY_DB, True))
    if len(levels) == 2:
        side_db = abs(levels[0] - levels[1])
        over.append((side_db - SIDE_DB, side_db, SIDE_DB, False))
    over = [candidate for candidate in over if candidate[0] > 2 * U_DB]
    if not over:
        return None
    beyond_db, differs_db, limit_db, early = max(over)
    louder = a if (a.early_db or 0.0) > (b.early_db or 0.0) else b
    return Finding(
        measured=fact(
            FindingKind.LEFT_RIGHT,
            seat=a.microphone,
            early_energy=early,
            differs_db=differs_db,
            limit_db=limit_db,
            within_s=WITHIN_S,
            sources=(a.source, b.source),
            louder=louder.source,
            sides=tuple(
                (source, side.causes[0].faces[0], side.level_db, side.delay_s)
                for source, side in sides
                if side is not None
            ),
        ),
        source=fact(LimitSource.COMMON_PRACTICE),
        remedies=(fact(Remedy.CENTRE_LINE), fact(Remedy.SAME_ON_BOTH_SIDES)),
        beyond_jnd=beyond_db / JND_DB,
        sure=(fact(Certainty.ONE_SEAT_TWO_SOURCES),),
        faces=tuple(side.causes[0].faces[0] for _, side in sides if side is not None),
        seats=(a.microphone,),
    )


def _side(job: Job, pair: PositionReflections) -> Reflection | None:
    """The loudest reflection of first order off a wall within 20 ms."""
    off_walls = [
        reflection
        for reflection in pair.reflections
        if reflection.delay_s <= WITHIN_S and _is_off_a_wall(job, reflection)
    ]
    return max(off_walls, key=lambda reflection: reflection.level_db, default=None)


def _is_off_a_wall(job: Job, reflection: Reflection) -> bool:
    if not reflection.causes or reflection.causes[0].order != 1:
        return False
    return job.room.face(reflection.causes[0].faces[0]).kind == "wall"
