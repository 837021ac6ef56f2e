"""Slap and flutter: single echoes that come late, and sound that runs to and fro."""

from __future__ import annotations

import math
from collections.abc import Iterator

from roomcheck.analyse import FLUTTER_FALL_DB, LEAST_REPEATS, Analysis, Flutter
from roomcheck.facts import Fact, fact
from roomcheck.geometry import Point
from roomcheck.job import Job
from roomcheck.judge.findings.early import (
    EARLY_USES,
    LEVEL_U_DB,
    Seen,
    faces_of,
    how_sure,
    only_at,
    places_of,
    seats_of,
)
from roomcheck.judge.kinds import Certainty, FindingKind, LimitSource, Remedy
from roomcheck.judge.limits.audible import JND_DB
from roomcheck.judge.results import Finding
from roomcheck.standards import Target

SLAP_FROM_S, ECHO_FROM_S = 0.015, 0.050
SLAP_DB, ECHO_DB = -10.0, -15.0
"""From 15 to 50 ms where one listens closely or talks over a line; later wherever one is (common
practice). [dB]"""

SLAP_USES = (*EARLY_USES, "meeting room", "large meeting room", "video call room")

OUT_DB = 6.0
"""It must stand so far above what arrives around it to be one echo. [dB]"""

BEHIND_COSINE = 0.7
"""Within 45 degrees of the line from source to microphone, beyond the microphone. [1]"""

_OFF_A_FACE = (Remedy.BOOKCASE, Remedy.DIFFUSER_BEHIND)
_SEEK = (Remedy.CLAP_AND_SEARCH, Remedy.COVER_WHEN_FOUND)


def slap(analysis: Analysis, job: Job, target: Target) -> Finding | None:
    """Find the loudest late single echo."""
    group = list(_echoes(analysis, target.key))
    if not group:
        return None
    worst = max(group, key=_beyond_db)
    reflection = worst.reflection
    same = [seen for seen in group if _path(seen) == _path(worst)]
    limit_from_s, limit_to_s = SLAP_FROM_S, None
    if reflection.delay_s > ECHO_FROM_S:
        limit_from_s = ECHO_FROM_S
    else:
        limit_to_s = ECHO_FROM_S
    remedies = _SEEK
    sure: tuple[Fact[Certainty], ...] = (fact(Certainty.CAUSE_UNKNOWN),)
    if reflection.causes:
        remedies, sure = _OFF_A_FACE, how_sure(analysis, same, worst)
    return Finding(
        measured=fact(
            FindingKind.SLAP,
            behind=_is_behind(job, worst),
            level_db=reflection.level_db,
            limit_db=_limit_db(reflection.delay_s),
            limit_from_s=limit_from_s,
            limit_to_s=limit_to_s,
            delay_s=reflection.delay_s,
            stands_out_db=reflection.stands_out_db,
            source=worst.pair.source,
            microphone=worst.pair.microphone,
            places=places_of(job, reflection),
            only_at=only_at(analysis, same),
        ),
        source=fact(LimitSource.COMMON_PRACTICE),
        remedies=tuple(map(fact, remedies)),
        beyond_jnd=_beyond_db(worst) / JND_DB,
        sure=sure,
        faces=faces_of(reflection),
        seats=seats_of(same),
    )


def _echoes(analysis: Analysis, use: str) -> Iterator[Seen]:
    from_s = SLAP_FROM_S if use in SLAP_USES else ECHO_FROM_S
    for pair in analysis.reflections:
        for reflection in pair.reflections:
            loud = reflection.level_db - 2 * LEVEL_U_DB > _limit_db(reflection.delay_s)
            alone = reflection.stands_out_db >= OUT_DB
            if reflection.delay_s > from_s and loud and alone:
                yield Seen(pair, reflection)


def _limit_db(delay_s: float) -> float:
    return ECHO_DB if delay_s > ECHO_FROM_S else SLAP_DB


def _beyond_db(seen: Seen) -> float:
    return seen.reflection.level_db - _limit_db(seen.reflection.delay_s)


def _path(seen: Seen) -> tuple[str, ...]:
    return seen.reflection.causes[0].faces if seen.reflection.causes else ()


def _is_behind(job: Job, seen: Seen) -> bool:
    """Whether sound comes back from behind the microphone, seen from the source."""
    if len(_path(seen)) != 1:
        return False
    points: dict[str, Point] = {p.name: p.point for p in (*job.sources, *job.microphones)}
    s, m = points.get(seen.pair.source), points.get(seen.pair.microphone)
    if s is None or m is None:
        return False
    meeting = seen.reflection.causes[0].meetings[0]
    away = (m.x - s.x, m.y - s.y)
    there = (meeting.x_m - m.x, meeting.y_m - m.y)
    along = away[0] * there[0] + away[1] * there[1]
    return along > BEHIND_COSINE * math.hypot(*away) * math.hypot(*there)


def fluttering(analysis: Analysis, job: Job) -> tuple[Finding, ...]:
    """Return one finding for each pair of faces between which flutter is heard."""
    return tuple(_flutter(analysis, job, flutter) for flutter in analysis.flutter)


def _flutter(analysis: Analysis, job: Job, flutter: Flutter) -> Finding:
    seats = tuple(dict.fromkeys(microphone for _, microphone in flutter.heard_at))
    every = {pair.microphone for pair in analysis.reflections}
    alone = len(seats) == 1 and len(every) > 1
    sure = Certainty.BEAT_FITS_SEVERAL if len(flutter.faces) > 1 else Certainty.BEAT_FITS
    return Finding(
        measured=fact(
            FindingKind.FLUTTER,
            between=flutter.faces,
            period_s=flutter.period_s,
            apart_m=flutter.apart_m,
            repeats=flutter.repeats,
            stands_out_db=flutter.stands_out_db,
            fall_db=flutter.fall_db,
            limit_repeats=LEAST_REPEATS,
            limit_fall_db=FLUTTER_FALL_DB,
            heard_in=len(flutter.heard_at),
            pairs=len(analysis.reflections),
            only_at=seats[0] if alone else None,
        ),
        source=fact(LimitSource.COMMON_PRACTICE),
        remedies=_against_flutter(job, flutter),
        # Repeats that stand out by one just noticeable difference are just heard as a flutter.
        beyond_jnd=flutter.stands_out_db / JND_DB,
        sure=(fact(sure),),
        faces=flutter.faces[0],
        seats=seats,
    )


def _against_flutter(job: Job, flutter: Flutter) -> tuple[Fact[Remedy], ...]:
    first, second = flutter.faces[0]
    walls = fact(Remedy.ONE_OF_TWO_WALLS, first=first, second=second)
    upright = job.room.face(first).kind == "wall"
    return (
        fact(Remedy.BREAK_FLUTTER),
        walls if upright else fact(Remedy.RUG_OR_CEILING),
        fact(Remedy.DIFFUSER_ON_ONE),
    )
