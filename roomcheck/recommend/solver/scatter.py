"""Diffusers: only behind the seat, only far enough away, only once there is enough absorption."""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot

from roomcheck.facts import Fact, fact
from roomcheck.geometry import Face, Point, Rectangle
from roomcheck.job import Job, StockPiece
from roomcheck.recommend.places.candidates import Candidate
from roomcheck.recommend.places.paths import TreatedReflection, mirror_point
from roomcheck.recommend.places.pinned_places import clash
from roomcheck.recommend.reasons import PlanNote
from roomcheck.units import SPEED_OF_SOUND_M_S

WAVELENGTHS = 3.0
"""Of the lowest diffused frequency, between head and diffuser (common practice). [1]"""

LEAST_M = 1.2
"""Nobody sits nearer (common practice). [m]"""

NO_USES = ("voice booth",)
"""Where scattered sound from behind is not wanted (common practice). In every other use with a seat
diffusers are an option, where the wall behind it is far enough away."""

MOST = 4


def lowest_hz(piece: StockPiece) -> float:
    """Where the deepest step is a quarter of a wavelength: below it a diffuser is a wall. [Hz]

    >>> from types import SimpleNamespace
    >>> round(lowest_hz(SimpleNamespace(steps_m=(0.0, 0.1016), depth_m=0.14)))
    844
    """
    deepest = max(piece.steps_m, default=0.0) or piece.depth_m
    return SPEED_OF_SOUND_M_S / (4 * deepest)


def least_distance_m(piece: StockPiece) -> float:
    """How far a head stays from it. [m]"""
    return max(LEAST_M, WAVELENGTHS * SPEED_OF_SOUND_M_S / lowest_hz(piece))


def behind(job: Job, face: Face) -> bool:
    """Whether a wall stands behind the seat, seen from the middle of the sources."""
    seat = _seat(job)
    if seat is None or not job.sources or face.kind != "wall":
        return False
    middle = Point(*(sum(s.point[k] for s in job.sources) / len(job.sources) for k in range(3)))
    away = (seat.x - middle.x, seat.y - middle.y)
    towards = -(away[0] * face.normal[0] + away[1] * face.normal[1])
    length = hypot(*away)
    return length > 0.3 and towards > 0.7 * length


def far_enough(job: Job, candidate: Candidate) -> bool:
    """Whether every source and microphone keeps the distance."""
    face = job.room.face(candidate.face)
    least = least_distance_m(candidate.piece)
    return all(
        _distance(face, candidate.place, p.point) >= least for p in (*job.sources, *job.microphones)
    )


def diffusers(
    job: Job, offered: Sequence[Candidate], early: Sequence[TreatedReflection], use: str
) -> tuple[Candidate, ...]:
    """Diffusers for the wall behind the seat, nearest to its axis first.

    Parameters
    ----------
    job : Job
    offered : sequence of Candidate
    early : sequence of Reflection
        Early and loud ones are absorbed, not scattered: their places are left to others.
    use : str
        Of the room.

    Returns
    -------
    tuple of Candidate
        Empty where the use, the distance or the wall rules them out.
    """
    seat = _seat(job)
    if use in NO_USES or seat is None:
        return ()
    fit = [
        c
        for c in offered
        if c.row == "band" and behind(job, job.room.face(c.face)) and far_enough(job, c)
    ]
    fit = [
        c for c in fit if not any(r.face == c.face and c.place.holds(r.u_m, r.v_m) for r in early)
    ]
    fit.sort(
        key=lambda c: (
            _off_axis(job, c, seat),
            c.place.u_m,
            c.place.v_m,
            c.piece.name,
            c.place.width_m,
        )
    )
    found: list[Candidate] = []
    for c in fit:
        if len(found) < MOST and not any(clash(c, other) for other in found):
            found.append(c)
    return tuple(found)


def why_none(job: Job, offered: Sequence[Candidate], use: str) -> Fact[PlanNote]:
    """Return why no diffuser is offered, in one line."""
    if _seat(job) is None:
        return fact(PlanNote.NO_SCATTER_SEAT)
    if use in NO_USES:
        return fact(PlanNote.NO_SCATTER_USE)
    pieces = [p for p in job.shop.stock if p.diffuser]
    if not pieces:
        return fact(PlanNote.NO_SCATTER_STOCK)
    on_wall = [c for c in offered if behind(job, job.room.face(c.face))]
    if not any(far_enough(job, c) for c in on_wall):
        least_m = min(least_distance_m(piece) for piece in pieces)
        return fact(PlanNote.NO_SCATTER_NEAR, least_m=least_m)
    return fact(PlanNote.NO_SCATTER_ROOM)


def _seat(job: Job) -> Point | None:
    return next((m.point for m in job.microphones if m.name == job.seat), None)


def _distance(face: Face, place: Rectangle, point: Point) -> float:
    u, v, off = face.to_face(point)
    beside = max(place.u_m - u, 0.0, u - place.right_m)
    over = max(place.v_m - v, 0.0, v - place.top_m)
    return hypot(beside, over, off)


def _off_axis(job: Job, candidate: Candidate, seat: Point) -> float:
    face = job.room.face(candidate.face)
    met = mirror_point(face, seat, seat)
    u = met[0][0] if met else face.to_face(seat)[0]
    return round(abs(candidate.place.centre[0] - u), 6)
