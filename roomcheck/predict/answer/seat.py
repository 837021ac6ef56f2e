"""The reflections that a seat gets, before and after: which surface, how late, how loud, and what
hangs there.

Each mirrored path is followed to the very places where it meets the faces, and meets the piece,
patch or wall that is there. Its level against the direct sound is the spreading over its length
times what each of them leaves, :math:`20 \\lg(d/L) + 10 \\lg \\prod (1 - \\alpha)`; a diffuser
leaves only what it does not scatter.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from roomcheck.facts import Fact, fact
from roomcheck.geometry import Face, Point, distance_m
from roomcheck.job import Job
from roomcheck.mirrors import MirrorPath, mirror_paths, seen
from roomcheck.predict.answer.before_after import BeforeAfter, State
from roomcheck.predict.reasons import NoSeatForecast
from roomcheck.predict.room.linings import Lining

Real = NDArray[np.float64]

ORDER = 2
SHOWN_S = 0.030
"""Later ones melt into the room's own sound (common practice takes 15 to 20 ms as early)."""
SHOWN_BANDS_HZ = (500.0, 1000.0, 2000.0, 4000.0)
MOST_ABSORBED = 0.98
"""No surface is taken to leave less than this short of all (-17 dB): edges, frames and seams send
something back."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SeatReflection:
    """One mirrored path from a source to a seat."""

    faces: tuple[str, ...]
    """In the order in which sound meets them."""
    places: tuple[tuple[float, float], ...]
    """Where on each, in the face's own frame [m]."""
    delay_s: float
    """After the direct sound [s]."""
    length_m: float
    """The whole path [m]."""
    meets_before: tuple[str, ...]
    """What is there now: a patch, or the face itself."""
    meets_after: tuple[str, ...]
    """What will be there: a piece, a patch, or the face itself."""
    before_db: float | None
    """Relative to the direct sound, mean energy of the octaves from 500 Hz to 4 kHz that have an
    absorption [dB]."""
    after_db: float | None
    """The same after the treatment [dB]."""
    after_low_db: float | None
    """Lower end of what nine in ten of the rooms that this one may be would have after [dB]."""
    after_high_db: float | None
    """Upper end of it [dB]."""
    bands_before_db: tuple[float | None, ...]
    """`before_db` in each octave of the prediction [dB]."""
    bands_after_db: tuple[float | None, ...]
    """`after_db` in each octave of the prediction [dB]."""
    holds_from_hz: float | None
    """Below it a piece on this path is too small against the wave to act as a mirror or a hole in
    one [Hz]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SeatForecast:
    """What one seat gets from one source."""

    source: str
    seat: str
    direct_m: float | None
    """Length of the direct path; None where it is hidden [m]."""
    reflections: tuple[SeatReflection, ...]
    """By their delay."""
    reasons: tuple[Fact[NoSeatForecast], ...] = ()


def seat_forecasts(job: Job, foreseen: BeforeAfter, order: int = ORDER) -> tuple[SeatForecast, ...]:
    """Every source to the seat that matters, or to every microphone where none is named.

    Parameters
    ----------
    job : Job
    foreseen : BeforeAfter
    order : int
        Most faces that a path may meet.
    """
    seats = [m for m in job.microphones if job.seat in (None, m.name)]
    return tuple(
        _one(job, foreseen, s.name, s.point, m.name, m.point, order)
        for s in job.sources
        for m in seats
    )


def _one(
    job: Job, both: BeforeAfter, source: str, start: Point, seat: str, end: Point, order: int
) -> SeatForecast:
    if not seen(job.room, start, end):
        why = fact(NoSeatForecast.HIDDEN, source=source, seat=seat)
        return SeatForecast(source=source, seat=seat, direct_m=None, reflections=(), reasons=(why,))
    direct = distance_m(start, end)
    speed = both.room.before.speed_m_s
    near = [
        p
        for p in mirror_paths(job.room, start, end, order)
        if (p.length_m - direct) / speed <= SHOWN_S
    ]
    found = tuple(_reflection(path, direct, speed, both, (start, end)) for path in near)
    return SeatForecast(source=source, seat=seat, direct_m=direct, reflections=found)


def _reflection(
    path: MirrorPath, direct_m: float, speed: float, both: BeforeAfter, ends: tuple[Point, Point]
) -> SeatReflection:
    bands = both.room.bands_hz
    spreading = 20 * np.log10(direct_m / path.length_m)
    now, then = met(both.now.lined, path), met(both.then.lined, path)
    before, after = (
        spreading + _left_db(state, hit) for state, hit in ((both.now, now), (both.then, then))
    )
    drawn = spreading + _mean_db(_left_db_draws(both.then, then), bands)
    low, high = (
        (None, None)
        if np.isnan(drawn).all()
        else (float(q) for q in np.nanquantile(drawn, (0.05, 0.95)))
    )
    return SeatReflection(
        faces=path.names,
        places=tuple(
            face.to_face(point)[:2] for face, point in zip(path.faces, path.points, strict=True)
        ),
        delay_s=(path.length_m - direct_m) / speed,
        length_m=path.length_m,
        meets_before=tuple(lining.name for lining in now),
        meets_after=tuple(lining.name for lining in then),
        before_db=_or_none(spreading + float(_mean_db(_left_db(both.now, now), bands))),
        after_db=_or_none(spreading + float(_mean_db(_left_db(both.then, then), bands))),
        after_low_db=low,
        after_high_db=high,
        bands_before_db=tuple(_or_none(x) for x in before),
        bands_after_db=tuple(_or_none(x) for x in after),
        holds_from_hz=_holds_from_hz(path, then, speed, ends),
    )


def met(lined: tuple[Lining, ...], path: MirrorPath) -> tuple[Lining, ...]:
    """What lies at each place where a path meets a face: the piece, else the patch, else the face's
    own material."""
    return tuple(
        _at(lined, face, point) for face, point in zip(path.faces, path.points, strict=True)
    )


def _at(lined: tuple[Lining, ...], face: Face, point: Point) -> Lining:
    u, v, _ = face.to_face(point)
    here = [x for x in lined if x.face == face.name]
    return next(
        (x for x in here if x.place is not None and x.place.holds(u, v)),
        next(x for x in here if not x.place),
    )


def _left_db(state: State, hit: tuple[Lining, ...]) -> Real:
    """What the middle of the belief leaves of a path in each band; NaN where a source has none.
    (bands,) [dB]"""
    rows = [state.keys.index(x.absorption.key) for x in hit]
    return _lost(np.exp(state.middle[rows]), hit, state)


def _left_db_draws(state: State, hit: tuple[Lining, ...]) -> Real:
    """The same for every draw, (draws, bands). [dB]"""
    rows = [state.keys.index(x.absorption.key) for x in hit]
    return _lost(np.exp(state.draws[:, rows]), hit, state)


def _lost(alphas: Real, hit: tuple[Lining, ...], state: State) -> Real:
    """(..., hits, bands) to (..., bands) [dB]"""
    own = state.scene.own_scatter[[state.keys.index(x.absorption.key) for x in hit]]
    keep = (1 - np.minimum(alphas, MOST_ABSORBED)) * (
        1 - np.minimum(np.nan_to_num(own, nan=0.0), MOST_ABSORBED)
    )
    known = np.array(
        [[x.absorption.at(band) is not None for band in state.bands_hz] for x in hit]
    ).all(axis=0)
    return np.asarray(np.where(known, 10 * np.log10(keep).sum(axis=-2), np.nan))


def _mean_db(levels: Real, bands_hz: tuple[float, ...]) -> Real:
    """Mean energy of the octaves shown, over the last axis. [dB]"""
    at = [i for i, band in enumerate(bands_hz) if band in SHOWN_BANDS_HZ]
    shown = levels[..., at]
    energy = np.where(np.isnan(shown), 0.0, 10 ** (shown / 10))
    count = (~np.isnan(shown)).sum(axis=-1)
    with np.errstate(divide="ignore", invalid="ignore"):
        return np.asarray(10 * np.log10(energy.sum(axis=-1) / count))


def _holds_from_hz(
    path: MirrorPath, hit: tuple[Lining, ...], speed: float, ends: tuple[Point, Point]
) -> float | None:
    r"""Where the smallest piece on a path begins to act at its full size.

    :math:`f = 2 c / ((a \cos\theta)^2 (1/a_1 + 1/a_2))` with a the piece's shorter side and a_1,
    a_2 the ways to either end, after Rindel's limiting frequency of reflectors (from memory).
    """
    found = []
    way = [ends[0], *path.points, ends[1]]
    for i, (lining, face) in enumerate(zip(hit, path.faces, strict=True)):
        if lining.place is None:
            continue
        a1, a2 = distance_m(way[i], way[i + 1]), distance_m(way[i + 1], way[i + 2])
        cosine = abs(face.to_face(way[i])[2]) / a1
        side = min(lining.place.width_m, lining.place.height_m)
        if cosine > 0 and a2 > 0:
            found.append(2 * speed / ((side * cosine) ** 2 * (1 / a1 + 1 / a2)))
    return max(found) if found else None


def _or_none(value: float) -> float | None:
    return float(value) if np.isfinite(value) else None
