"""Where early sound comes from, and what the plan changes of it.

Every mirrored path of the room is followed to the places where it meets a face. Where a piece of
the plan covers the place, the path loses what the piece takes beyond what the bare surface took:
:math:`(1 - \\alpha_p) / (1 - \\alpha_s)` of its energy. A diffuser, and a piece nobody can compute,
leave it as it is.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from roomcheck.geometry import Face, Point, distance_m
from roomcheck.job import Job, Placement
from roomcheck.materials import Absorption, absorption_of
from roomcheck.mirrors import MirrorPath, mirror_paths, seen
from roomcheck.predict import NoAbsorption, piece_absorption
from roomcheck.units import OCTAVES_HZ

EARLY_S = 0.030
"""Later arrivals melt into the room's own sound. [s]"""

ORDER = 2
"""Most faces that a path meets."""

MOST_ABSORBED = 0.98
"""Edges, frames and seams send something back: nothing is taken to leave less than -17 dB."""

Sound = NDArray[np.float64]
Place = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Arrival:
    """One early path from the source to the listener."""

    delay_s: float
    """After the direct sound [s]."""
    toward: Place
    """Unit vector from the listener to where it comes from, (3,) [1]."""
    change: Mapping[float, float] = field(default_factory=dict)
    """By octave [Hz], what the plan makes of its pressure; 1 where an octave is not in it [1]."""


def arrivals(
    job: Job, source: str, microphone: str, pieces: Sequence[Placement], speed_m_s: float
) -> tuple[Arrival, ...]:
    """The direct sound and every mirrored path that follows within `EARLY_S`, the soonest first."""
    start = next(place.point for place in job.sources if place.name == source)
    end = next(place.point for place in job.microphones if place.name == microphone)
    direct_m = distance_m(start, end)
    found = [Arrival(delay_s=0.0, toward=_toward(end, start))]
    if not seen(job.room, start, end):
        return tuple(found)
    for path in mirror_paths(job.room, start, end, ORDER):
        delay_s = (path.length_m - direct_m) / speed_m_s
        if delay_s <= EARLY_S:
            toward = _toward(end, path.points[-1])
            found.append(Arrival(delay_s=delay_s, toward=toward, change=_change(job, path, pieces)))
    return tuple(sorted(found, key=lambda one: one.delay_s))


def _toward(end: Point, place: Point) -> Place:
    way = np.asarray(place, dtype=float) - np.asarray(end, dtype=float)
    return np.asarray(way / np.linalg.norm(way))


def _change(job: Job, path: MirrorPath, pieces: Sequence[Placement]) -> dict[float, float]:
    energy: dict[float, float] = {}
    for face, point in zip(path.faces, path.points, strict=True):
        u, v, _ = face.to_face(point)
        here = (p for p in pieces if p.face == face.name and p.place.holds(u, v))
        piece = next(here, None)
        taken = absorption_of_piece(job, piece) if piece else None
        if taken is None or taken.per_piece:
            continue
        bare = bare_surface(job, face, u, v)
        for hz in OCTAVES_HZ:
            was, will = bare.at(hz), taken.at(hz)
            if was is not None and will is not None:
                energy[hz] = energy.get(hz, 1.0) * _left(will) / _left(was)
    return {hz: float(np.sqrt(share)) for hz, share in energy.items()}


def _left(alpha: float) -> float:
    return 1 - min(alpha, MOST_ABSORBED)


def absorption_of_piece(job: Job, placed: Placement) -> Absorption | None:
    """How a piece absorbs; None for what throws sound back another way, and for what nobody
    knows."""
    stock = next((kind for kind in job.shop.stock if kind.name == placed.piece), None)
    if stock is None or stock.diffuser:
        return None
    try:
        return piece_absorption(stock)
    except NoAbsorption:
        return None


def bare_surface(job: Job, face: Face, u_m: float, v_m: float) -> Absorption:
    """The patch at a place, else the face's own material."""
    here = (p for p in job.patches if p.face == face.name and p.place.holds(u_m, v_m))
    patch = next(here, None)
    return absorption_of(patch.material if patch else job.material_of(face.name))


def as_planned(
    part: Sound, octave_hz: float, early: Sequence[Arrival], zero: int, rate_hz: int
) -> Sound:
    """An octave's part with each early path as loud as the plan makes it, (frames,).

    Parameters
    ----------
    part : Sound
        (frames,)
    octave_hz : float
        [Hz]
    early : sequence of Arrival
    zero : int
        Frame of the direct sound.
    rate_hz : int
        [Hz]
    """
    # An octave tells apart what lies more than a period from it: so wide is what a path takes up.
    wide = max(1 / octave_hz, 0.001) * rate_hz
    n = np.arange(len(part))
    gain = np.ones(len(part))
    for arrival in early:
        factor = arrival.change.get(octave_hz, 1.0)
        if factor != 1.0:
            gain *= 1 + (factor - 1) * _hump((n - zero) / wide - arrival.delay_s * rate_hz / wide)
    direct = _hump((n - zero) / wide * 2)
    return np.asarray(part * (gain + (1 - gain) * direct))


def _hump(x: Sound) -> Sound:
    """1 at 0, 0 from 1 on to both sides."""
    return np.asarray(np.cos(np.pi / 2 * np.clip(x, -1, 1)) ** 2)
