"""What a made-up room would really measure, by a method that shares nothing with the predictor.

Particles leave a source, fly straight, meet whatever patch is there, lose what it absorbs, and go
on mirrored or, with the room's scattering coefficient, after Lambert. A microphone is a small
sphere: what flies through it is its energy-time curve; the direct sound alone is exact. Chairs
are boxes that stand on the floor, or patches of it. Rooms are boxes and L-shapes. Nothing bends
round edges, and panels have no thickness.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from roomcheck.geometry import Rectangle, Room

Real = NDArray[np.float64]

PARTICLES = 10_000
"""Followed at once."""
BATCHES = (3, 16)
"""Times that so many are followed, at least and at most."""
SURE = 0.015
"""Relative standard error of the mean decay, in the worst band, at which no more are followed. In a
room of little scattering few particles carry what is left, and a single batch may be a fifth off.
[1]"""
WORTH = 0.3
"""Share of the mean energy below which a particle goes on by lot. [1]"""
STEP_S = 0.003
LONGEST_S = 6.0
SPHERE_M = 0.45
"""Radius of a microphone: small beside a room, large enough for few particles. [m]"""
EARLY_DB = (0.0, -10.0)
"""Stretch of the early decay time. [dB]"""
_FEW = 3
"""Steps of which a line is still fitted."""
GONE = 2e-5
"""Share of the energy at which a decay has been followed far enough: 47 dB. [1]"""
CELL_M = 0.01
"""Size of the raster that says what a face is covered with. [m]"""
CHAIR_M = (0.5, 0.5, 0.85)
"""Length, width and height of one chair. [m]"""


@dataclass(frozen=True, kw_only=True)
class Cover:
    """A rectangle of one material on a face; the whole face where `place` is None."""

    face: str
    place: Rectangle | None
    alpha: Real
    """(bands,): above 1 where a laboratory's edges add to it [1]."""


@dataclass(frozen=True, kw_only=True)
class TrueRoom:
    """All that the particles meet."""

    room: Room
    covers: tuple[Cover, ...]
    """Later ones lie on earlier ones."""
    chairs: tuple[tuple[float, float], ...]
    """Lower corner of each on the floor [m]."""
    chair_m2: Real
    """(bands,): absorption of one chair [m2]."""
    flat_chairs: bool
    """Whether chairs are patches of the floor, not boxes on it."""
    scatter: Real
    """(bands,): of every surface; chairs scatter all [1]."""
    air_per_m: Real
    """(bands,): energy attenuation [1/m]."""
    speed_m_s: float


@dataclass(frozen=True, kw_only=True)
class Traced:
    """Decays of one room, and how well they are known."""

    decays_s: Real
    """(pairs, bands): T20 [s]."""
    early_s: Real
    """(pairs, bands): early decay time [s]."""
    error: Real
    """(bands,): relative standard error of the mean over the pairs, by the batches [1]."""


def decays_s(true: TrueRoom, ends: Any, rng: Any, particles: int | None = None) -> Real:
    """T20 at each pair of source and microphone, (pairs, bands); as surely as `SURE` says, or with
    so many particles at once. [s]"""
    return traced(true, ends, rng, particles).decays_s


def traced(true: TrueRoom, ends: Any, rng: Any, particles: int | None = None) -> Traced:
    """The same with its error; the curves of all batches are one mean before anything is fitted."""
    batches: list[Real] = []
    least, most = (1, 1) if particles else BATCHES
    while len(batches) < most:
        batches.append(_all_curves(true, ends, rng, particles or PARTICLES))
        error = _error(batches)
        if len(batches) >= least and error.max() <= SURE:
            break
    curves = np.mean(batches, axis=0)
    early_s = _fits_s(curves, *EARLY_DB)
    return Traced(decays_s=_fits_s(curves), early_s=early_s, error=error)


def _all_curves(true: TrueRoom, ends: Any, rng: Any, particles: int) -> Real:
    """One batch, (pairs, steps, bands), pairs in the order of the ends."""
    found = np.empty((len(ends), int(LONGEST_S / STEP_S), len(true.scatter)))
    for source in dict.fromkeys(source for source, _ in ends):
        at = [i for i, (start, _) in enumerate(ends) if start == source]
        mics = np.array([ends[i][1] for i in at])
        found[at] = _curves(true, np.array(source), mics, rng, particles)
    return found


def _fits_s(curves: Real, *stretch_db: float) -> Real:
    return np.array([[_fit_s(band, *stretch_db) for band in curve.T] for curve in curves])


def _error(batches: list[Real]) -> Real:
    """Of the mean over the pairs, by the scatter between the batches. (bands,) [1]"""
    means = np.array([_fits_s(batch).mean(axis=0) for batch in batches])
    if len(means) < 2:
        return np.full(means.shape[1], np.nan)
    return np.asarray(means.std(axis=0, ddof=1) / np.sqrt(len(means)) / means.mean(axis=0))


def _curves(true: TrueRoom, source: Real, mics: Real, rng: Any, particles: int) -> Real:
    """Energy per step at each microphone, (microphones, steps, bands)."""
    planes, boxes = _Planes(true), _Boxes(true)
    bands = len(true.scatter)
    curves = np.zeros((len(mics), int(LONGEST_S / STEP_S), bands))
    way, weight = _towards_axes(particles, rng)
    place = np.tile(source, (particles, 1))
    energy, clock = np.repeat(weight[:, None], bands, axis=1), np.zeros(particles)
    lost_in_air = true.air_per_m + planes.excess_m2 / (4 * true.room.volume_m3)
    first = True
    while len(place):
        flight, face = planes.ahead(place, way)
        near, box = boxes.ahead(place, way)
        on_box = near < flight
        flight = np.where(on_box, near, flight)
        if not first:
            _pass(curves, mics, place, way, flight, clock, energy, lost_in_air, true.speed_m_s)
        first = False
        place = place + flight[:, None] * way
        clock = clock + flight / true.speed_m_s
        energy = energy * np.exp(-np.outer(flight, lost_in_air))
        alpha, normal = planes.met(face, place)
        if on_box.any():
            alpha[on_box] = boxes.alpha
            normal[on_box] = boxes.normal_at(box[on_box], place[on_box])
        energy = energy * (1 - alpha)
        way = _bounced(way, normal, true.scatter, on_box, rng)
        place = place + 1e-6 * normal
        if (energy.sum(axis=0) < GONE * particles).all():
            break
        live = _kept(energy, weight, rng) & (clock < LONGEST_S - STEP_S)
        place, way, energy = place[live], way[live], energy[live]
        clock, weight = clock[live], weight[live]
    curves /= particles * 4 / 3 * np.pi * SPHERE_M**3
    for curve, mic in zip(curves, mics, strict=True):
        far = max(float(np.linalg.norm(mic - source)), 0.3)
        curve[int(far / true.speed_m_s / STEP_S)] += 1 / (4 * np.pi * far**2)
    return curves


def _kept(energy: Real, weight: Real, rng: Any) -> Any:
    """Which particles go on. One of which less is left than of most goes on by lot, and then
    carries more (Russian roulette): few carry nearly all that is left in an uneven room."""
    left = energy / weight[:, None]
    worth = (left / np.maximum(left.mean(axis=0), 1e-300)).max(axis=1) / WORTH
    light = worth < 1
    energy[light] /= np.maximum(worth[light], 1e-300)[:, None]
    return rng.random(len(worth)) < worth


def _anywhere(count: int, rng: Any) -> Real:
    way = rng.standard_normal((count, 3))
    return np.asarray(way / np.linalg.norm(way, axis=1)[:, None])


def _towards_axes(count: int, rng: Any) -> tuple[Real, Real]:
    """Directions, half of them evenly spread and half denser towards the six along the axes, and
    the weight that makes all of them even: what lives longest between bare walls runs there.

    About an axis the cosine is 1 - x^2 with x even from 0 to 1, so that the density by solid angle
    is 1 / (4 pi sqrt(1 - cosine)).
    """
    way = _anywhere(count, rng)
    near = np.flatnonzero(rng.random(count) < 0.5)
    rise = 1 - rng.random(len(near)) ** 2
    turn = 2 * np.pi * rng.random(len(near))
    flat = np.sqrt(1 - rise**2)
    axis = rng.integers(0, 3, len(near))
    way[near, axis] = rise * rng.choice([-1.0, 1.0], len(near))
    way[near, (axis + 1) % 3] = flat * np.cos(turn)
    way[near, (axis + 2) % 3] = flat * np.sin(turn)
    about = (1 / np.sqrt(np.maximum(1 - np.abs(way), 1e-12))).sum(axis=1) / 6
    return way, 1 / (0.5 + 0.5 * about)


def _pass(
    curves: Real,
    mics: Real,
    place: Real,
    way: Real,
    flight: Real,
    clock: Real,
    energy: Real,
    lost_in_air: Real,
    speed_m_s: float,
) -> None:
    """Add what flies through each microphone's sphere: energy times the length of its way there."""
    for curve, mic in zip(curves, mics, strict=True):
        away = mic - place
        middle = (away * way).sum(axis=1)
        off2 = (away**2).sum(axis=1) - middle**2
        near = np.flatnonzero(off2 < SPHERE_M**2)
        half = np.sqrt(SPHERE_M**2 - off2[near])
        start = np.maximum(middle[near] - half, 0.0)
        end = np.minimum(middle[near] + half, flight[near])
        length, at = np.maximum(end - start, 0.0), np.maximum(start + end, 0.0) / 2
        step = np.minimum(((clock[near] + at / speed_m_s) / STEP_S).astype(int), len(curve) - 1)
        there = energy[near] * np.exp(-np.outer(at, lost_in_air)) * length[:, None]
        for band, power in enumerate(there.T):
            curve[:, band] += np.bincount(step, power, len(curve))


def _bounced(way: Real, normal: Real, scatter: Real, on_box: Any, rng: Any) -> Real:
    """Mirrored, or after Lambert where a particle is scattered; alike in all bands."""
    mirrored = way - 2 * (way * normal).sum(axis=1)[:, None] * normal
    spread = (rng.random(len(way)) < float(np.mean(scatter))) | on_box
    # A unit vector anywhere plus the normal is distributed after Lambert.
    lambert = normal[spread] + _anywhere(int(spread.sum()), rng)
    mirrored[spread] = lambert / np.linalg.norm(lambert, axis=1)[:, None]
    return np.asarray(mirrored)


class _Planes:
    """The faces of the room, each with a raster of what covers it."""

    def __init__(self, true: TrueRoom) -> None:
        faces = true.room.faces
        self.box = true.room.is_box
        self.normal = np.array([f.normal for f in faces])
        self.origin = np.array([f.origin for f in faces])
        self.u, self.v = (np.array([getattr(f, a) for f in faces]) for a in ("u_axis", "v_axis"))
        self.width = np.array([f.width_m if f.kind == "wall" else np.inf for f in faces])
        bands = len(true.scatter)
        self.excess_m2 = np.zeros(bands)
        table = []
        self.rasters = []
        for face in faces:
            raster = np.zeros(
                (int(face.width_m / CELL_M) + 2, int(face.height_m / CELL_M) + 2), dtype=int
            )
            for cover in (c for c in true.covers if c.face == face.name):
                p = cover.place or Rectangle(0, 0, face.width_m, face.height_m)
                ends = [round(x / CELL_M) for x in (p.u_m, p.right_m, p.v_m, p.top_m)]
                reach = 2 * (cover.place is None)
                raster[ends[0] : ends[1] + reach, ends[2] : ends[3] + reach] = len(table)
                table.append(np.minimum(cover.alpha, 1.0))
                self.excess_m2 += p.area_m2 * np.maximum(cover.alpha - 1, 0.0)
            self.rasters.append(raster)
        self.floor = next(i for i, f in enumerate(faces) if f.kind == "floor")
        if true.flat_chairs and true.chairs:
            self._chairs(true, table)
        self.table = np.array(table)
        self.ends = np.array([raster.shape for raster in self.rasters]) - 1
        self.starts = np.cumsum([0, *(raster.size for raster in self.rasters[:-1])])
        self.cells = np.concatenate([raster.ravel() for raster in self.rasters])

    def _chairs(self, true: TrueRoom, table: list[Any]) -> None:
        """Chairs as patches of the floor, the floor's own absorption under them kept."""
        raster = self.rasters[self.floor]
        origin = self.origin[self.floor]
        under = table[int(np.bincount(raster.ravel()).argmax())]
        area = CHAIR_M[0] * CHAIR_M[1]
        alpha = under + true.chair_m2 / area
        self.excess_m2 += len(true.chairs) * area * np.maximum(alpha - 1, 0.0)
        for x, y in true.chairs:
            ends = [
                round(z / CELL_M)
                for z in (x - origin[0], x - origin[0] + CHAIR_M[0], y - origin[1])
            ]
            raster[ends[0] : ends[1], ends[2] : ends[2] + round(CHAIR_M[1] / CELL_M)] = len(table)
        table.append(np.minimum(alpha, 1.0))

    def ahead(self, place: Real, way: Real) -> tuple[Real, Any]:
        """How far the next face is, and which."""
        off = place @ self.normal.T - (self.origin * self.normal).sum(axis=1)
        towards = -(way @ self.normal.T)
        with np.errstate(divide="ignore", invalid="ignore"):
            far = np.where((towards > 1e-9) & (off > -1e-9), off / towards, np.inf)
        if not self.box:
            u = place @ self.u.T - (self.origin * self.u).sum(axis=1)
            u = u + np.where(np.isfinite(far), far, 0.0) * (way @ self.u.T)
            far = np.where((u > -1e-9) & (u < self.width + 1e-9), far, np.inf)
        face = np.argmin(far, axis=1)
        return np.maximum(far[np.arange(len(far)), face], 1e-9), face

    def met(self, face: Any, place: Real) -> tuple[Real, Real]:
        """Coefficients and normal of what is hit."""
        away = place - self.origin[face]
        u = ((away * self.u[face]).sum(axis=1) / CELL_M).astype(int)
        v = ((away * self.v[face]).sum(axis=1) / CELL_M).astype(int)
        u, v = (np.clip(x, 0, self.ends[face, i]) for i, x in enumerate((u, v)))
        cell = self.cells[self.starts[face] + u * (self.ends[face, 1] + 1) + v]
        return self.table[cell], self.normal[face].copy()


class _Boxes:
    """Chairs as boxes on the floor, their absorption spread over the five sides that sound
    meets."""

    def __init__(self, true: TrueRoom) -> None:
        solid = () if true.flat_chairs else true.chairs
        self.low = np.array([(x, y, 0.0) for x, y in solid]).reshape(-1, 3)
        self.high = self.low + np.array(CHAIR_M)
        length, width, height = CHAIR_M
        area = length * width + 2 * (length + width) * height
        self.alpha = np.minimum(true.chair_m2 / area, 1.0)

    def ahead(self, place: Real, way: Real) -> tuple[Real, Any]:
        near, which = np.full(len(place), np.inf), np.zeros(len(place), dtype=int)
        with np.errstate(divide="ignore"):
            over = 1 / np.where(way == 0, 1e-12, way)
        for i, (low, high) in enumerate(zip(self.low, self.high, strict=True)):
            a, b = (low - place) * over, (high - place) * over
            enter, leave = np.minimum(a, b).max(axis=1), np.maximum(a, b).min(axis=1)
            hit = (leave > enter) & (enter > 1e-9) & (enter < near)
            near[hit], which[hit] = enter[hit], i
        return near, which

    def normal_at(self, box: Any, place: Real) -> Real:
        below, above = place - self.low[box], self.high[box] - place
        side = np.argmin(np.concatenate([np.abs(below), np.abs(above)], axis=1), axis=1)
        normal = np.zeros((len(box), 3))
        normal[np.arange(len(box)), side % 3] = np.where(side < 3, -1.0, 1.0)
        return normal


def _fit_s(power: Real, top_db: float = -5.0, bottom_db: float = -25.0) -> float:
    """Decay between two levels of the backward integral, T20 if not told otherwise; least squares.
    [s]"""
    first = int(np.flatnonzero(power)[0])
    left = np.cumsum(power[first:][::-1])[::-1]
    level = 10 * np.log10(np.maximum(left / left[0], 1e-12))
    fit = np.flatnonzero((level <= top_db) & (level >= bottom_db))
    if len(fit) < _FEW:
        fine = np.interp([-top_db, -bottom_db], -level, np.arange(len(level)))
        return float(60 / (top_db - bottom_db) * STEP_S * (fine[1] - fine[0]))
    return float(-60 * STEP_S / np.polyfit(fit, level[fit], 1)[0])
