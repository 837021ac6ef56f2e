"""Left against right: two loudspeakers that should sound alike at the seat."""

from __future__ import annotations

import math
from itertools import combinations

from roomcheck.analyse import Analysis, PositionReflections, Reflection
from roomcheck.geometry import Point, distance_m
from roomcheck.job import Job
from roomcheck.judge.kinds import FindingKind
from roomcheck.judge.results import Finding
from roomcheck.standards import Target
from roomcheck.units import digits_against_limit

STEREO_USES = ("control room", "critical listening room", "home cinema")
EARLY_DB, SIDE_DB = 3.0, 4.0
"""What the early energy and the loudest wall reflection may differ by between the two (common
practice). [dB]"""

U_DB = 0.7
"""Standard uncertainty of such a difference. [dB]"""

WIDE_DEG = (30.0, 110.0)
ALIKE = 0.15
WITHIN_S = 0.020


def lopsided(analysis: Analysis, job: Job, target: Target) -> Finding | None:
    """The seat where left and right differ most."""
    if target.key not in STEREO_USES:
        return None
    found = [
        finding
        for a, b in combinations(analysis.reflections, 2)
        if a.microphone == b.microphone
        and _stereo(job, a, b)
        and (finding := _differ(job, a, b)) is not None
    ]
    return max(found, key=lambda finding: finding.beyond_jnd or 0.0, default=None)


def _stereo(job: Job, a: PositionReflections, b: PositionReflections) -> bool:
    """Whether two sources stand to the seat as left and right do: as far away, and as wide
    apart."""
    places: dict[str, Point] = {p.name: p.point for p in (*job.sources, *job.microphones)}
    if not {a.source, b.source, a.microphone} <= places.keys():
        return False
    seat, first, second = places[a.microphone], places[a.source], places[b.source]
    d1, d2 = distance_m(seat, first), distance_m(seat, second)
    ways = [(p.x - seat.x, p.y - seat.y) for p in (first, second)]
    turn = [math.degrees(math.atan2(y, x)) for x, y in ways]
    between = abs((turn[0] - turn[1] + 180) % 360 - 180)
    return abs(d1 - d2) <= ALIKE * (d1 + d2) / 2 and WIDE_DEG[0] <= between <= WIDE_DEG[1]


def _differ(job: Job, a: PositionReflections, b: PositionReflections) -> Finding | None:
    early = None if a.early_db is None or b.early_db is None else abs(a.early_db - b.early_db)
    sides = (_side(job, a), _side(job, b))
    side = (
        None if sides[0] is None or sides[1] is None else abs(sides[0].level_db - sides[1].level_db)
    )
    over = [
        (value - limit, value, limit, what)
        for value, limit, what in (
            (early, EARLY_DB, "early energy"),
            (side, SIDE_DB, "loudest wall reflection"),
        )
        if value is not None and value - 2 * U_DB > limit
    ]
    if not over:
        return None
    beyond, value, limit, what = max(over)
    said, bound = digits_against_limit(value, limit, 1)
    louder = a if (a.early_db or 0.0) > (b.early_db or 0.0) else b
    return Finding(
        kind=FindingKind.LEFT_RIGHT,
        title=f"Left and right differ at {a.microphone}",
        sentence="The two loudspeakers are answered differently by the room: the picture leans to one side.",
        evidence=f"The {what} of {a.source} and {b.source} differs by {said} dB; {louder.source} gets more. "
        + "; ".join(_words(row, r) for row, r in zip((a, b), sides, strict=True) if r is not None)
        + ".",
        threshold=f"At most {bound} dB within {1000 * WITHIN_S:.0f} ms: common practice.",
        remedies=(
            "Free: set both loudspeakers and the seat on the room's centre line, as far from "
            "the left wall as from the right.",
            (
                "The same treatment on both sides; before a door or a window a panel on wheels "
                "or a curtain."
            ),
        ),
        beyond_jnd=beyond,
        sure="One seat, two loudspeakers, the same microphone: what differs is the room or the loudspeakers; swap them "
        "to know.",
        figure="reflections",
        seats=(a.microphone,),
    )


def _side(job: Job, row: PositionReflections) -> Reflection | None:
    """The loudest reflection of first order off a wall within 20 ms."""
    off_walls = [
        r
        for r in row.reflections
        if r.delay_s <= WITHIN_S
        and r.causes
        and r.causes[0].order == 1
        and job.room.face(r.causes[0].faces[0]).kind == "wall"
    ]
    return max(off_walls, key=lambda r: r.level_db, default=None)


def _words(row: PositionReflections, r: Reflection) -> str:
    return f"{row.source}: {r.causes[0].faces[0]} {r.level_db:.1f} dB at {1000 * r.delay_s:.1f} ms"
