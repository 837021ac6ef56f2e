"""Slap and flutter: single echoes that come late, and sound that runs to and fro."""

from __future__ import annotations

import math
from collections.abc import Iterator

from roomcheck.analyse import Analysis, Flutter
from roomcheck.geometry import Point
from roomcheck.job import Job, spot, tape
from roomcheck.judge.findings.early import EARLY_USES, LEVEL_U_DB, Seen, how_sure, only_at, seats_of
from roomcheck.judge.kinds import FindingKind
from roomcheck.judge.results import Finding
from roomcheck.standards import Target
from roomcheck.units import digits_against_limit

_TRADE = "common practice"

SLAP_FROM_S, ECHO_FROM_S = 0.015, 0.050
SLAP_DB, ECHO_DB = -10.0, -15.0
"""From 15 to 50 ms where one listens closely or talks over a line; later wherever one is (common
practice). [dB]"""

SLAP_USES = (*EARLY_USES, "meeting room", "large meeting room", "video call room")
OUT_DB = 6.0
"""It must stand so far above what arrives around it to be one echo. [dB]"""

_OFF_A_FACE = (
    "Free: move the seat off that surface, or put the bookcase there.",
    (
        "A diffuser on it where there are 3 ft or more to the nearest head; else an absorber 4 "
        "to 6 in deep."
    ),
)
_SEEK = (
    (
        "Free: clap at the seat, hang a blanket before what you suspect, one thing after another, "
        "and measure again."
    ),
    "Cover what sends it; until it is found no panel is worth its price.",
)

AT_ONCE_DB = 1.0
"""Repeats standing out by this much are just heard as a flutter: taken as the just noticeable
difference. [dB]"""


def slap(analysis: Analysis, job: Job, target: Target) -> Finding | None:
    """The loudest late single echo."""
    group = list(_echoes(analysis, target.key))
    if not group:
        return None
    worst = max(
        group, key=lambda seen: seen.reflection.level_db - _limit_db(seen.reflection.delay_s)
    )
    r = worst.reflection
    limit = _limit_db(r.delay_s)
    same = [s for s in group if _faces(s) == _faces(worst)]
    said, bound = digits_against_limit(r.level_db, limit, 0)
    where = "a place that no wall explains"
    if r.causes:
        where = "; then ".join(
            spot(job.room, m.face, m.u_m, m.v_m, job.units) for m in r.causes[0].meetings
        )
    rear = _is_behind(job, worst)
    seats = seats_of(same)
    return Finding(
        kind=FindingKind.SLAP,
        title="Slap off the wall behind" if rear else "Slap echo",
        sentence="One echo stands apart from the rest: it throws what is said or played back at once"
        f"{only_at(analysis, seats)}.",
        evidence=f"{said} dB, {1000 * r.delay_s:.0f} ms after the direct sound, {r.stands_out_db:.0f} dB above what "
        f"arrives around it, from {worst.at.source} to {worst.at.microphone}: {where}.",
        threshold=f"Below {bound} dB "
        + ("after 50 ms" if r.delay_s > ECHO_FROM_S else "from 15 to 50 ms")
        + f", 1 to 8 kHz: {_TRADE}.",
        remedies=_OFF_A_FACE if r.causes else _SEEK,
        beyond_jnd=r.level_db - limit,
        sure=how_sure(analysis, same, worst) if r.causes else "What sends it, the eye must say.",
        figure="reflections",
        seats=seats,
    )


def _echoes(analysis: Analysis, use: str) -> Iterator[Seen]:
    for row in analysis.reflections:
        for reflection in row.reflections:
            late = reflection.delay_s > ECHO_FROM_S or (
                reflection.delay_s > SLAP_FROM_S and use in SLAP_USES
            )
            loud = reflection.level_db - 2 * LEVEL_U_DB > _limit_db(reflection.delay_s)
            if late and loud and reflection.stands_out_db >= OUT_DB:
                yield Seen(row, reflection)


def _limit_db(delay_s: float) -> float:
    return ECHO_DB if delay_s > ECHO_FROM_S else SLAP_DB


def _faces(seen: Seen) -> tuple[str, ...]:
    return seen.reflection.causes[0].faces if seen.reflection.causes else ()


def _is_behind(job: Job, seen: Seen) -> bool:
    """Whether sound comes back from behind the microphone, seen from the source."""
    if len(_faces(seen)) != 1:
        return False
    places: dict[str, Point] = {p.name: p.point for p in (*job.sources, *job.microphones)}
    s, m = places.get(seen.at.source), places.get(seen.at.microphone)
    if s is None or m is None:
        return False
    meeting = seen.reflection.causes[0].meetings[0]
    away = (m.x - s.x, m.y - s.y)
    there = (meeting.x_m - m.x, meeting.y_m - m.y)
    along = away[0] * there[0] + away[1] * there[1]
    return along > 0.7 * math.hypot(*away) * math.hypot(*there)


def fluttering(analysis: Analysis, job: Job) -> tuple[Finding, ...]:
    """One finding for each pair of faces between which flutter is heard."""
    return tuple(_flutter(analysis, job, one) for one in analysis.flutter)


def _flutter(analysis: Analysis, job: Job, one: Flutter) -> Finding:
    pair = " or ".join(f"{a} and {b}" for a, b in one.faces)
    seats = tuple(dict.fromkeys(m for _, m in one.heard_at))
    first, second = one.faces[0]
    flat = job.room.face(first).kind != "wall"
    return Finding(
        kind=FindingKind.FLUTTER,
        title=f"Flutter between {pair}",
        sentence="Clap, and it zings: sound runs to and fro between two bare faces that look at each other"
        f"{only_at(analysis, seats)}.",
        evidence=f"A beat every {1000 * one.period_s:.1f} ms: {tape(one.apart_m, job.units)} between the faces. "
        f"{one.repeats} repeats stand {one.stands_out_db:.0f} dB above the decay around them and "
        f"fall by {one.fall_db:.1f} dB each; heard in {len(one.heard_at)} of "
        f"{len(analysis.reflections)} pairs.",
        threshold=f"Three repeats or more that fall by less than 6 dB each: {_TRADE}.",
        remedies=(
            (
                "Free: put a filled bookcase or a soft sofa against one of the two, or set a "
                "picture or a door askew."
            ),
            "A rug on the floor, or absorbers under the ceiling: one of the two is enough."
            if flat
            else f"Absorbers on {first} or on {second}, one is enough: gaps below 2 ft, at the height of heads.",
            "A diffuser on one of the two does as well and keeps the room alive.",
        ),
        beyond_jnd=one.stands_out_db / AT_ONCE_DB,
        sure="The beat fits the distance"
        + (
            " of more than one pair: clap between each to tell them apart."
            if len(one.faces) > 1
            else "."
        ),
        figure="",
        seats=seats,
    )
