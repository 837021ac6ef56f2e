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

PARTICLES = 12_000
STEP_S = 0.003
LONGEST_S = 6.0
SPHERE_M = 0.45
"""Radius of a microphone: small beside a room, large enough for few particles. [m]"""
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


def decays_s(true: TrueRoom, ends: Any, rng: Any, particles: int = PARTICLES) -> Real:
    """T20 at each pair of source and microphone, (pairs, bands). [s]"""
    found = []
    for source in dict.fromkeys(source for source, _ in ends):
        mics = np.array([mic for start, mic in ends if start == source])
        curves = _curves(true, np.array(source), mics, rng, particles)
        found += [[_t20_s(band) for band in curve.T] for curve in curves]
    return np.array(found)


def _curves(true: TrueRoom, source: Real, mics: Real, rng: Any, particles: int) -> Real:
    """Energy per step at each microphone, (microphones, steps, bands)."""
    planes, boxes = _Planes(true), _Boxes(true)
    bands = len(true.scatter)
    curves = np.zeros((len(mics), int(LONGEST_S / STEP_S), bands))
    place, way = np.tile(source, (particles, 1)), _anywhere(particles, rng)
    energy, clock = np.ones((particles, bands)), np.zeros(particles)
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
        live = (clock < LONGEST_S - STEP_S) & (energy.max(axis=1) > 1e-7)
        if (energy.sum(axis=0) < GONE * particles).all():
            break
        place, way, energy, clock = place[live], way[live], energy[live], clock[live]
    curves /= particles * 4 / 3 * np.pi * SPHERE_M**3
    for curve, mic in zip(curves, mics, strict=True):
        far = max(float(np.linalg.norm(mic - source)), 0.3)
        curve[int(far / true.speed_m_s / STEP_S)] += 1 / (4 * np.pi * far**2)
    return curves


def _anywhere(count: int, rng: Any) -> Real:
    way = rng.standard_normal((count, 3))
    return np.asarray(way / np.linalg.norm(way, axis=1)[:, None])


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
        along = (mic - place) * way
        middle = along.sum(axis=1)
        off2 = ((mic - place) ** 2).sum(axis=1) - middle**2
        half = np.sqrt(np.maximum(SPHERE_M**2 - off2, 0.0))
        start, end = np.maximum(middle - half, 0.0), np.minimum(middle + half, flight)
        through = np.flatnonzero(end > start)
        length = (end - start)[through]
        at = (start + end)[through] / 2
        step = np.minimum(((clock[through] + at / speed_m_s) / STEP_S).astype(int), len(curve) - 1)
        there = energy[through] * np.exp(-np.outer(at, lost_in_air)) * length[:, None]
        np.add.at(curve, step, there)


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
        cell = np.zeros(len(face), dtype=int)
        for i, raster in enumerate(self.rasters):
            here = face == i
            cell[here] = raster[
                np.clip(u[here], 0, raster.shape[0] - 1), np.clip(v[here], 0, raster.shape[1] - 1)
            ]
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


def _t20_s(power: Real) -> float:
    """From 5 to 25 dB below the start of the backward integral, least squares. [s]"""
    first = int(np.flatnonzero(power)[0])
    left = np.cumsum(power[first:][::-1])[::-1]
    level = 10 * np.log10(np.maximum(left / left[0], 1e-12))
    fit = np.flatnonzero((level <= -5) & (level >= -25))
    if len(fit) < 3:
        fine = np.interp([5.0, 25.0], -level, np.arange(len(level)))
        return float(3 * STEP_S * (fine[1] - fine[0]))
    return float(-60 * STEP_S / np.polyfit(fit, level[fit], 1)[0])
