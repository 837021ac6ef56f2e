"""Which way the early sound goes: first reflections between sources and the seat, and walls that
face each other."""

from __future__ import annotations

from dataclasses import dataclass
from math import log10

from roomcheck.geometry import Face, Point, Rectangle, distance_m
from roomcheck.job import Job
from roomcheck.materials import Absorption, absorption_of
from roomcheck.mirrors import meeting_place, seen
from roomcheck.units import SPEED_OF_SOUND_M_S

LIMIT_DB = -10.0
"""Early reflections stay below this, relative to the direct sound (EBU Tech 3276 and ITU-R
BS.1116-3 ask it of reference rooms, within 15 ms, 1 to 8 kHz; elsewhere common practice). [dB]"""

WITHIN_S = 0.015
BANDS_HZ = (1000.0, 2000.0, 4000.0)
HEAD_M = 0.3
"""A head moves: a piece reaches so far to both sides of the mirror point (common practice: 12 in).
[m]"""

HARD = 0.2
"""A surface that absorbs less than this at 1 and 2 kHz throws flutter back. [1]"""

FLUTTER_BAND_M = (0.91, 2.13)
"""Heights in which people clap and talk: 3 to 7 ft (common practice). [m]"""

COLUMN_M = 0.6


@dataclass(frozen=True, slots=True, kw_only=True)
class TreatedReflection:
    """One first reflection that should be quieter."""

    source: str
    seat: str
    face: str
    u_m: float
    """Mirror point on the face, from its left edge [m]."""
    v_m: float
    """Mirror point on the face, from its lower edge [m]."""
    level_db: float
    """As the bare surface throws it back at the loudest of 1, 2 and 4 kHz, relative to the direct
    sound [dB]."""
    spread_db: float
    """What the longer way alone takes off [dB]."""
    delay_s: float
    """After the direct sound [s]."""
    on_patch: str
    """Name of the door, window or other patch it falls on; empty where it falls on the face
    itself."""

    def spots(self, floor_or_ceiling: bool) -> tuple[tuple[float, float], ...]:
        """The mirror point and how far a head's movement carries it. [m]"""
        reach = HEAD_M - 1e-3
        beside = [(self.u_m - reach, self.v_m), (self.u_m + reach, self.v_m)]
        along = (
            [(self.u_m, self.v_m - reach), (self.u_m, self.v_m + reach)] if floor_or_ceiling else []
        )
        return ((self.u_m, self.v_m), *beside, *along)

    def quiet_with(self, absorption: Absorption) -> bool:
        """Whether a piece of this absorption brings it below the limit in every band that is
        known."""
        known = [alpha for hz in BANDS_HZ if (alpha := absorption.at(hz)) is not None]
        return bool(known) and all(self.spread_db + kept_db(alpha) <= LIMIT_DB for alpha in known)


@dataclass(frozen=True, slots=True, kw_only=True)
class FacingPair:
    """Two hard faces that look at each other."""

    first: str
    second: str
    columns: tuple[tuple[Rectangle, Rectangle], ...]
    """Upright strips (or squares of ceiling and floor) in which both are hard, as rectangles on
    either face [m]."""
    apart_m: float
    """Distance between the two [m]."""

    @property
    def area_m2(self) -> float:
        return sum(column.area_m2 for column, _ in self.columns)


def kept_db(alpha: float) -> float:
    """What a reflection loses on a surface, 10 lg(1 - alpha); a surface never takes more than 20
    dB. [dB]

    >>> round(kept_db(0.9), 1)
    -10.0
    """
    return 10 * log10(max(1 - alpha, 0.01))


def reflections(job: Job) -> tuple[TreatedReflection, ...]:
    """First reflections off walls and ceiling that reach the seat early and loud.

    Parameters
    ----------
    job : Job
        Its seat (empty result where it has none), sources, room and materials.

    Returns
    -------
    tuple of Reflection
        By face, then source.
    """
    asked = [face.name for face in job.room.faces if face.kind != "floor"]
    return tuple(r for r in every_reflection(job) if r.face in asked and r.level_db > LIMIT_DB)


def every_reflection(job: Job) -> tuple[TreatedReflection, ...]:
    """First reflections off every surface, the floor too, that reach the seat within 15 ms, however
    quiet."""
    seat = next((m for m in job.microphones if m.name == job.seat), None)
    if seat is None:
        return ()
    found = [
        reflection
        for face in job.room.faces
        for source in job.sources
        if (reflection := _reflection(job, face, source.name, source.point, seat.name, seat.point))
        is not None
    ]
    return tuple(found)


def _reflection(
    job: Job, face: Face, source: str, start: Point, seat: str, end: Point
) -> TreatedReflection | None:
    meeting = mirror_point(face, start, end)
    if meeting is None or not (
        seen(job.room, start, meeting[1]) and seen(job.room, meeting[1], end)
    ):
        return None
    u, v, _ = face.to_face(meeting[1])
    direct, around = distance_m(start, end), distance_m(face.mirror(start), end)
    spread, delay = 20 * log10(direct / around), (around - direct) / SPEED_OF_SOUND_M_S
    patch = next((p for p in job.patches if p.face == face.name and p.place.holds(u, v)), None)
    surface = absorption_of(patch.material if patch else job.material_of(face.name))
    level = spread + max(kept_db(min(surface.at(hz) or 0.0, 1.0)) for hz in BANDS_HZ)
    if delay > WITHIN_S:
        return None
    return TreatedReflection(
        source=source,
        seat=seat,
        face=face.name,
        u_m=u,
        v_m=v,
        level_db=level,
        spread_db=spread,
        delay_s=delay,
        on_patch=patch.name if patch else "",
    )


def mirror_point(face: Face, start: Point, end: Point) -> tuple[tuple[float, float], Point] | None:
    """Where a face throws sound from `start` to `end`: (u, v) and the place; None where it lies
    beside the face."""
    place = meeting_place(face, face.mirror(start), end)
    return None if place is None else (face.to_face(place)[:2], place)


def facing_pairs(job: Job) -> tuple[FacingPair, ...]:
    """Hard faces that look at each other in parallel, where flutter lives.

    Parameters
    ----------
    job : Job

    Returns
    -------
    tuple of FacingPair
        Only where both are hard over more than 2 by 2 ft (common practice).
    """
    faces = job.room.faces
    pairs = [
        _pair(job, a, b) for i, a in enumerate(faces) for b in faces[i + 1 :] if _parallel(a, b)
    ]
    return tuple(pair for pair in pairs if pair is not None and pair.area_m2 > 0.37)


def _parallel(a: Face, b: Face) -> bool:
    facing = sum(x * y for x, y in zip(a.normal, b.normal, strict=True)) < -0.999
    return facing and a.to_face(b.origin)[2] > 0.5


def _pair(job: Job, a: Face, b: Face) -> FacingPair | None:
    if a.kind == "floor":
        a, b = b, a
    columns = [c for c in _columns(a, b) if _hard(job, a, c[0]) and _hard(job, b, c[1])]
    if not columns:
        return None
    return FacingPair(
        first=a.name, second=b.name, columns=tuple(columns), apart_m=abs(a.to_face(b.origin)[2])
    )


def _columns(a: Face, b: Face) -> list[tuple[Rectangle, Rectangle]]:
    low, high = FLUTTER_BAND_M if a.kind == "wall" else (0.0, a.height_m)
    high = min(high, a.height_m)
    down = 1 if a.kind == "wall" else max(round((high - low) / COLUMN_M), 1)
    across = max(round(a.width_m / COLUMN_M), 1)
    width, height = a.width_m / across, (high - low) / down
    found = []
    for j in range(down):
        for i in range(across):
            here = Rectangle(i * width, low + j * height, width, height)
            u1, v1, _ = b.to_face(a.to_room(here.u_m, here.v_m))
            u2, v2, _ = b.to_face(a.to_room(here.right_m, here.top_m))
            there = Rectangle(min(u1, u2), min(v1, v2), abs(u2 - u1), abs(v2 - v1))
            if a.holds(here) and b.holds(there):
                found.append((here, there))
    return found


def _hard(job: Job, face: Face, column: Rectangle) -> bool:
    covered = [(p.material, p.place.overlap_m2(column)) for p in job.patches if p.face == face.name]
    rest = column.area_m2 - sum(area for _, area in covered)
    for hz in (1000.0, 2000.0):
        parts = [
            (absorption_of(m).at(hz), area)
            for m, area in [*covered, (job.material_of(face.name), rest)]
        ]
        if sum((alpha or 0.0) * area for alpha, area in parts) > HARD * column.area_m2:
            return False
    return True
