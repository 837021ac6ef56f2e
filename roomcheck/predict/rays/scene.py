"""The simulated room: image sources with their patches early on, mean energy transport afterwards.

What comes out is a ratio: how much longer or shorter than Eyring's formula the room dies away,
because its absorption is uneven, its paths unequal and its surfaces scatter more or less. The
formulas carry the level, the simulation carries the shape.

In a plan that is not a rectangle rays are mirrored wall by wall, each hit at the patch that is
there; mirrored paths to single microphones are then means over the room. Where no pairs are
followed, and for derivatives, the transport runs in the box of the same floor area, perimeter and
height, its walls all of the mean wall.

What stands in the room stands on the part of the floor that no rug or other patch covers, where it
meets sound the more the more level that runs (`furniture`). Where faces count by their mean, half
of what furniture and people absorb acts on that part of the floor, which scatters more there, and
the other half everywhere, like air.
"""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from roomcheck.geometry import Point, Room
from roomcheck.predict.rays.bundles import Bundles, bundles
from roomcheck.predict.rays.furniture import LEVELS, PERSON_M, PIECE_M, SQUARE_M, Furniture
from roomcheck.predict.rays.images import (
    MOST_PAIRS,
    FaceMap,
    Paths,
    box_sides,
    follow_in_box,
    lower_corner,
    paths,
    side_of,
    unfolded,
)
from roomcheck.predict.rays.kept import Kept
from roomcheck.predict.rays.prism import follow_in_prism
from roomcheck.predict.rays.transport import Box, decay_fit_s, energy, remaining
from roomcheck.predict.room.conditions import Conditions
from roomcheck.predict.room.formulas import eyring_s
from roomcheck.predict.room.linings import PERSON, Lining

if TYPE_CHECKING:
    from scipy.sparse import csr_array

Real = NDArray[np.float64]

SCATTER_GRID = np.array([0.02, 0.06, 0.15, 0.35, 0.8])
"""Scattering coefficients at which the room is simulated. [1]"""
_LOG_GRID = np.log(SCATTER_GRID)

_FOLLOWED_DECAYS = 2.2
"""How long a decay is followed, in units of Eyring's: uneven rooms take up to three times that to
fall 60 dB."""
_PATHS_IN_MEAN_FREE_PATHS = 20.0
"""How far every image is followed patch by patch."""
_SAMPLED_PATHS = 40.0
"""How far a sample of them is; later their mean over the room will do. Between, what is left of
mirrored sound in a treated room depends on where the microphone is, as paths between bare walls
meet it or not."""
FLOOR = (2, 0)
"""Axis and side of the floor."""
_LEAST_FLOOR = 0.05
"""Furniture that stands on a rug from wall to wall still has some floor. [1]"""
ON_FLOOR = 0.5
"""Share of the furniture's absorption that acts on the floor where faces count by their mean (a
judgement). [1]"""
FURNITURE_SCATTERS = 0.25
"""Share of the floor that one piece of furniture, or a square metre of it, scatters from (a
judgement). [m2]"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Scene:
    """A room with its linings, ready to be simulated for any coefficients."""

    sides_m: Real
    """(3,): of the box in which energy is followed [m]."""
    conditions: Conditions
    shares: Real
    """(3, 2, materials): which part of each face each material covers [1]."""
    areas_m2: Real
    """(3, 2): of each face [m2]."""
    loose: Real
    """(materials,): amounts of what stands in the room [m2], or pieces."""
    floor_row: int
    """Material of the floor that is bare of patches; there furniture stands."""
    floor_m2: float
    """Its area [m2]."""
    own_scatter: Real
    """(materials, bands): of diffusers; NaN where the room's common scattering holds [1]."""
    pairs: tuple[Paths, ...]
    """One for each source and microphone; empty where only averages are followed."""
    maps: dict[tuple[int, int], FaceMap]
    """(axis, side) to what lies on that face; empty where no pairs are followed."""
    corner_m: Real
    """(3,): where the box's own frame begins [m]."""
    sources_m: Real
    """(sources, 3): in that frame [m]."""
    furniture: Furniture | None
    """What stands on the bare floor; None where nothing does."""
    prism: tuple[FaceMap, ...]
    """What lies on each face of a plan that is no rectangle; empty in a box and where no pairs are
    followed."""
    room: Room
    bundles: Bundles | None = None
    """Rays that meet each patch; None where faces count by their mean."""
    box: Box | None = None
    """Where faces count by their mean, the kernels; None where each question makes its own."""

    def on_faces(self) -> NDArray[np.bool_]:
        """Which materials cover some of a face or stand on the floor, (materials,)."""
        return np.asarray((self.shares.max(axis=(0, 1)) > 0) | (self.loose > 0))

    def log_ratio(self, alphas: Real, band: int, scatter: float) -> float:
        """Log of simulated decay over Eyring's in one band, mean over the pairs; NaN where there is
        no fit.

        Parameters
        ----------
        alphas : (materials,)
            Coefficients, or areas per piece. [1] or [m2]
        band : int
            Which one.
        scatter : float
            Of every surface that has no coefficient of its own. [1]
        """
        return float(self.log_ratios(alphas, band, (scatter,))[0])

    def log_ratios(self, alphas: Real, band: int, scatters: Sequence[float] | Real) -> Real:
        """The same at each of several scatterings, (scatterings,). [log]"""
        eyring_s = self.eyring_s(alphas, band)
        curves = self._all_curves(alphas, band, scatters)
        return np.log([_mean_fit_s(_left(*each)) / eyring_s for each in curves])

    def bends(self, alphas: Real, band: int, scatters: Sequence[float] | Real) -> tuple[Real, Real]:
        """The same, and log of the early decay time over T20, (scatterings,) each. [log]"""
        eyring_s = self.eyring_s(alphas, band)
        left = [_left(*each) for each in self._all_curves(alphas, band, scatters)]
        T20 = np.array([_mean_fit_s(each) for each in left])
        early = np.array([_mean_fit_s(each, *_EARLY_DB) for each in left])
        return np.log(T20 / eyring_s), np.log(early / T20)

    def decays_s(self, alphas: Real, band: int, scatter: float) -> tuple[float | None, ...]:
        """T20 at each pair (or of the whole room, where no pairs are followed). [s]"""
        times, curves = self.curves(alphas, band, scatter)
        return tuple(decay_fit_s(times, remaining(times, power)) for power in curves)

    def curves(self, alphas: Real, band: int, scatter: float) -> tuple[Real, list[Real]]:
        """Energy-time curve at each pair: energy of a unit source that arrives per square metre and
        second.

        Returns
        -------
        times_s : (steps,)
            From when the source sounded. [s]
        power : list of (steps,)
            [1/(m2 s)]
        """
        return self._all_curves(alphas, band, (scatter,))[0]

    def _all_curves(
        self, alphas: Real, band: int, scatters: Sequence[float] | Real
    ) -> list[tuple[Real, list[Real]]]:
        """The same at each of several scatterings; all have the same times."""
        energies = [self._energies(alphas, band, scatter) for scatter in scatters]
        air, times = self.conditions, energies[0][0]
        per_m2 = air.speed_m_s / air.volume_m3
        if not self.pairs:
            return [
                (times, [per_m2 * air_gone * (mirrored + scattered)])
                for _, air_gone, mirrored, scattered in energies
            ]
        early, late = self._shares_in_time(times, _SAMPLED_PATHS)
        keeps = np.stack([self._log_keep(alphas, band, s) for s in scatters], axis=1)
        images = [_histograms(times, air.speed_m_s, pair, keeps) for pair in self.pairs]
        found = []
        for k, (_, air_gone, mirrored, scattered) in enumerate(energies):
            rest = per_m2 * (late * mirrored + scattered)
            found.append((times, [air_gone * (early * image[:, k] + rest) for image in images]))
        return found

    def parts(
        self, path: Paths, alphas: Real, band: int, scatter: float
    ) -> tuple[Real, Real, Real]:
        """What `curves` adds up at one pair: each image, and the rest as a curve.

        Returns
        -------
        images : (paths,)
            Energy of each from a unit source. [1/m2]
        times_s, rest : (steps,)
            [s], [1/(m2 s)]
        """
        times, air_gone, mirrored, scattered = self._energies(alphas, band, scatter)
        air = self.conditions
        early, late = self._shares_in_time(times, _PATHS_IN_MEAN_FREE_PATHS)
        at = path.length_m / air.speed_m_s
        power = np.exp(path.meets @ self._log_keep(alphas, band, scatter)) / (
            4 * np.pi * path.length_m**2
        )
        images = power * np.interp(at, times, early * air_gone)
        return (
            images,
            times,
            air.speed_m_s / air.volume_m3 * air_gone * (late * mirrored + scattered),
        )

    def _energies(self, alphas: Real, band: int, scatter: float) -> tuple[Real, Real, Real, Real]:
        """Times, what air and furniture leave, and what has never been scattered and what has.
        (steps,) each"""
        air = self.conditions
        if self.bundles is None:
            s = self._scatter(band, scatter)
            mean, excess = self._faces(alphas)
            box = self.box or self.followed_box(alphas, band, _FOLLOWED_DECAYS)
            spread = (self.shares * s[:-1]).sum(axis=-1)
            spread[FLOOR] += self._floor_share * (s[-1] - s[self.floor_row])
            times, (mirrored, scattered) = box.times_s, energy(box, mean, spread)
            everywhere = excess + (1 - ON_FLOOR) * float(self.loose @ alphas)
        else:
            per_material = (self.shares * self.areas_m2[..., None]).sum(axis=(0, 1))
            everywhere = float(per_material @ np.maximum(alphas - 1, 0.0))
            if self.furniture is not None:
                of_floor = min(float(alphas[self.floor_row]), 1.0)
                everywhere += self.floor_m2 * self.furniture.beyond(of_floor, self._added(alphas))
            rows, times = self.bundles.region_rows, self.bundles.times_s
            lost, spread = self._at_rows(alphas, band, scatter)
            mirrored, scattered = self.bundles.energy(lost[rows], spread[rows])
        loss = air.air_per_m[band] + everywhere / (4 * air.volume_m3)
        return times, np.exp(-loss * air.speed_m_s * times), mirrored, scattered

    def followed_box(self, alphas: Real, band: int, decays: float) -> Box:
        """The kernels of mean transport for so many of Eyring's decays with these coefficients."""
        seconds = decays * self.eyring_s(alphas, band)
        x, y, z = (float(side) for side in self.sides_m)
        return Box.of((x, y, z), self.conditions.speed_m_s, seconds)

    def _at_rows(self, alphas: Real, band: int, scatter: float) -> tuple[Real, Real]:
        """What each material takes and scatters, then the bare floor with what stands on it, by
        class of rays where anything does. (rows,) each [1]"""
        taken, own = np.minimum(alphas, 1.0), self.own_scatter[:, band]
        spread = np.where(np.isnan(own), scatter, own)
        floor, of_floor = taken[self.floor_row : self.floor_row + 1], spread[self.floor_row :][:1]
        if self.furniture is not None:
            there = float(floor[0]), float(of_floor[0]), self._added(alphas)
            floor, of_floor = self.furniture.floor(*there)
        return np.concatenate([taken, floor]), np.concatenate([spread, of_floor])

    def _added(self, alphas: Real) -> float:
        """What stands in the room absorbs, over the bare floor's area. [1]"""
        return float(self.loose @ alphas) / self.floor_m2

    @property
    def _floor_share(self) -> float:
        """Part of the floor that is bare of patches. [1]"""
        return self.floor_m2 / float(self.areas_m2[FLOOR])

    def _log_keep(self, alphas: Real, band: int, scatter: float) -> Real:
        """What each material mirrors, the bare floor last, (rows,). [log]"""
        lost, spread = self._at_rows(alphas, band, scatter)
        keep = (1 - lost) * (1 - spread)
        return np.asarray(np.log(np.maximum(keep, 1e-12)))

    def eyring_s(self, alphas: Real, band: int) -> float:
        """Eyring's decay in one band. [s]"""
        air = self.conditions
        A = float(((self.shares @ alphas) * self.areas_m2).sum() + self.loose @ alphas)
        S = air.surface_m2
        return float(
            eyring_s(air.volume_m3, S, A, air_per_m=air.air_per_m[band], speed_m_s=air.speed_m_s)
        )

    def _faces(self, alphas: Real) -> tuple[Real, float]:
        """Mean coefficient of each face, furniture on the floor, and the area by which a face
        exceeds 1 (a laboratory's edges): a path cannot lose more than all it has, so that part acts
        everywhere. (3, 2), [m2]"""
        mean = self.shares @ alphas
        mean[FLOOR] += ON_FLOOR * self.loose @ alphas / self.areas_m2[FLOOR]
        over = np.maximum(mean - 1, 0.0)
        return mean - over, float((over * self.areas_m2).sum())

    def _scatter(self, band: int, scatter: float) -> Real:
        """Of each material, the furnished floor last. (materials + 1,) [1]"""
        own = self.own_scatter[:, band]
        rows = np.where(np.isnan(own), scatter, own)
        taken = min(FURNITURE_SCATTERS * float(self.loose.sum()) / self.floor_m2, 1.0)
        return np.append(rows, scatter + taken * (1 - scatter))

    def _shares_in_time(self, times_s: Real, mean_free_paths: float) -> tuple[Real, Real]:
        """From images followed one by one for so long to their mean, (steps,) each."""
        end = reach_m(self.sides_m, mean_free_paths) / self.conditions.speed_m_s
        late = np.clip((times_s - 0.6 * end) / (0.35 * end), 0.0, 1.0)
        return 1 - late, late


_EARLY_DB = (0.0, -10.0)
"""Stretch of the early decay time, ISO 3382-1. [dB]"""

_Left = tuple[Real, list[Real]]
"""Times, and at each pair what is left. [s], [1/m2]"""


def _left(times_s: Real, powers: list[Real]) -> _Left:
    return times_s, [remaining(times_s, power) for power in powers]


def _mean_fit_s(left: _Left, *stretch_db: float) -> float:
    """Mean decay over the pairs; NaN where there is no fit. [s]"""
    fits = [decay_fit_s(left[0], each, *stretch_db) for each in left[1]]
    decays = [decay for decay in fits if decay is not None]
    return float(np.mean(decays)) if decays else np.nan


def reach_m(sides_m: Real, mean_free_paths: float) -> float:
    """So many mean free paths of a box. [m]"""
    volume = sides_m.prod()
    return float(mean_free_paths * 2 * volume / (volume / sides_m).sum())


def _histograms(times_s: Real, speed_m_s: float, pair: Paths, log_keeps: Real) -> Real:
    """Energy of the images per second, each shared between its two nearest steps, by what materials
    mirror, (materials + 1, cases) to (steps, cases). [1/(m2 s)]"""
    width = float(times_s[1])
    arrivals = arrivals_of(pair, speed_m_s, times_s.size, width)
    return np.asarray(arrivals @ np.exp(pair.meets @ log_keeps) / width)


@lru_cache(maxsize=MOST_PAIRS)
def arrivals_of(pair: Paths, speed_m_s: float, size: int, width_s: float) -> csr_array:
    """What each image adds to the step before it and to the next, its energy spread over a sphere:
    the same for every band and coefficient. (steps, paths) [1/m2]"""
    from scipy.sparse import csr_array

    step = pair.length_m / speed_m_s / width_s
    inside = np.flatnonzero(step < size - 1)
    at = step[inside].astype(np.intp)
    part, sphere_m2 = step[inside] - at, 4 * np.pi * pair.length_m[inside] ** 2
    power = pair.stands_for[inside] / sphere_m2
    values = np.concatenate([(1 - part) * power, part * power])
    cells = (np.concatenate([at, at + 1]), np.concatenate([inside, inside]))
    return csr_array((values, cells), shape=(size, len(step)))


@lru_cache(maxsize=1)
def kept_rays(room: Room, sources: tuple[tuple[float, ...], ...]) -> Kept:
    """Rays of a room that were followed so far, by where its sources stand."""
    return rays_of(room)


def rays_of(room: Room) -> Kept:
    """None of the room's rays followed yet."""
    return Kept(follow_in_box(room) if room.is_box else follow_in_prism(room))


def forget_paths() -> None:
    """Let go of the mirrored paths that are kept for the next plan of the same room."""
    unfolded.cache_clear()
    arrivals_of.cache_clear()
    kept_rays.cache_clear()


def scene_of(
    room: Room,
    lined: tuple[Lining, ...],
    keys: tuple[str, ...],
    bands_hz: tuple[float, ...],
    conditions: Conditions,
    ends: tuple[tuple[Point, Point], ...] = (),
) -> Scene:
    """The scene of a room.

    Parameters
    ----------
    room : Room
    lined : tuple of Lining
    keys : tuple of str
        Order of the materials.
    bands_hz : tuple of float
        [Hz]
    conditions : Conditions
    ends : tuple of (source, microphone)
        Pairs whose images are followed; none where only averages are wanted, or where the plan is
        no rectangle.
    """
    areas, shares = _face_shares(room, lined, keys)
    loose = np.array(
        [sum(x.amount for x in lined if x.face is None and x.absorption.key == key) for key in keys]
    )
    sides = box_sides(room) if room.is_box else equal_box_m(room)
    on_faces = face_maps(room, lined, keys) if ends else ()
    maps = {side_of(m.face): m for m in on_faces} if room.is_box else {}
    floor = next(x for x in lined if x.name == room.face("floor").name and x.place is None)
    corner = lower_corner(room) if room.is_box else np.zeros(3)
    floor_m2 = max(floor.amount, _LEAST_FLOOR * room.floor_area_m2)
    furniture = Furniture.of(loose, _sizes_m(lined, keys), floor_m2) if loose.any() else None
    reaches = (reach_m(sides, _PATHS_IN_MEAN_FREE_PATHS), reach_m(sides, _SAMPLED_PATHS))
    return Scene(
        sides_m=sides,
        conditions=conditions,
        shares=shares,
        areas_m2=areas,
        loose=loose,
        floor_row=keys.index(floor.absorption.key),
        floor_m2=floor_m2,
        furniture=furniture,
        own_scatter=np.array([_own_scatter(lined, key, bands_hz) for key in keys]),
        pairs=tuple(
            _by_class(paths(room, maps, len(keys) + 1, pair, *reaches), furniture)
            for pair in ends[:MOST_PAIRS]
        )
        if maps
        else (),
        maps=maps,
        corner_m=corner,
        sources_m=np.array(sorted({source for source, _ in ends})).reshape(-1, 3) - corner,
        prism=() if room.is_box else on_faces,
        room=room,
    )


def _sizes_m(lined: tuple[Lining, ...], keys: tuple[str, ...]) -> Real:
    """Length, width and height of one of each material that stands in the room. (materials, 3)
    [m]"""
    found = np.tile(np.array(SQUARE_M), (len(keys), 1))
    for lining in lined:
        if lining.absorption.per_piece:
            size = PERSON_M if lining.absorption.key == PERSON else PIECE_M
            found[keys.index(lining.absorption.key)] = size
    return found


def _by_class(pair: Paths, furniture: Furniture | None) -> Paths:
    """The same, a furnished floor's column once for each class of rays."""
    if furniture is None:
        return pair
    floor = np.zeros((len(pair.length_m), len(LEVELS) + 1))
    floor[np.arange(len(floor)), pair.level] = pair.meets[:, -1]
    meets = np.concatenate([pair.meets[:, :-1], floor], axis=1)
    return dataclasses.replace(pair, meets=meets)


def equal_box_m(room: Room) -> Real:
    """Sides of the box with the same floor area, perimeter and height. (3,) [m]

    A plan rounder than a square has no such rectangle: it becomes the square of its area.
    """
    half = sum(face.width_m for face in room.faces if face.kind == "wall") / 2
    root = np.sqrt(max(half**2 / 4 - room.floor_area_m2, 0.0))
    long = max(half / 2 + root, np.sqrt(room.floor_area_m2))
    return np.array([long, room.floor_area_m2 / long, room.height_m])


def _face_shares(room: Room, lined: tuple[Lining, ...], keys: tuple[str, ...]) -> tuple[Real, Real]:
    held = np.zeros((3, 2, len(keys)))
    for face in room.faces:
        row = np.zeros(len(keys))
        for lining in lined:
            if lining.face == face.name:
                row[keys.index(lining.absorption.key)] += lining.amount
        if room.is_box or face.kind != "wall":
            held[side_of(face)] += row
        else:
            held[:2] += row / 4
    areas = held.sum(axis=-1)
    return areas, held / areas[..., None]


def face_maps(room: Room, lined: tuple[Lining, ...], keys: tuple[str, ...]) -> tuple[FaceMap, ...]:
    """What lies on each face, in the order of the room's faces; the bare floor is the row after the
    last material."""
    maps = []
    for face in room.faces:
        here = [x for x in lined if x.face == face.name]
        base = next(x for x in here if x.place is None)
        patches = tuple(
            (x.place, keys.index(x.absorption.key)) for x in here if x.place is not None
        )
        row = len(keys) if face.kind == "floor" else keys.index(base.absorption.key)
        maps.append(FaceMap(face=face, base=row, patches=patches))
    return tuple(maps)


def _own_scatter(lined: tuple[Lining, ...], key: str, bands_hz: tuple[float, ...]) -> Real:
    own = next((x.scatter for x in lined if x.absorption.key == key and x.scatter is not None), ())
    return np.array([dict(own).get(band, np.nan) for band in bands_hz])


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Shape:
    """What the simulation makes of Eyring's formula, near one set of coefficients."""

    ratios: Real
    """(scatterings, bands): log of simulated over Eyring's decay at `SCATTER_GRID` [log]."""
    lean: Real
    """(materials, bands): change of the log ratio with each log coefficient [1]."""
    about: Real
    """(materials, bands): log coefficients at which it was taken [log]."""
    early: Real
    """(scatterings, bands): log of simulated early decay time over T20 at `SCATTER_GRID`; NaN where
    nothing was simulated [log]."""
    failed: NDArray[np.bool_]
    """(bands,): where no decay could be fitted."""

    def early_at(self, log_scatters: Real) -> Real:
        """Log of early decay time over T20 at these scatterings, (scatterings, bands). [log]"""
        bands = self.early.T
        return np.array([np.interp(log_scatters, _LOG_GRID, band) for band in bands]).T

    def log_ratio(self, log_alphas: Real, log_scatter: Real) -> Real:
        """Log of simulated over Eyring's decay, (..., bands); straight between the scatterings that
        were simulated, level beyond them. [log]"""
        low, part = self._between(log_scatter)
        at = np.arange(log_scatter.shape[-1])
        below, above = self.ratios[low, at], self.ratios[low + 1, at]
        leant = ((log_alphas - self.about) * self.lean).sum(axis=-2)
        return np.asarray(below + part * (above - below) + leant)

    def slope(self, log_scatter: Real) -> Real:
        """Derivative by log scattering, (..., bands). [1]"""
        low, part = self._between(log_scatter)
        at = np.arange(log_scatter.shape[-1])
        steps = np.diff(self.ratios, axis=0) / np.diff(_LOG_GRID)[:, None]
        return np.where((part > 0) & (part < 1), steps[low, at], 0.0)

    @staticmethod
    def _between(log_scatter: Real) -> tuple[NDArray[np.intp], Real]:
        """Which two simulated scatterings, and how far from the first to the second. (..., bands)
        each"""
        low = np.clip(np.searchsorted(_LOG_GRID, log_scatter) - 1, 0, len(_LOG_GRID) - 2)
        part = (log_scatter - _LOG_GRID[low]) / np.diff(_LOG_GRID)[low]
        return np.asarray(low, dtype=np.intp), np.clip(part, 0.0, 1.0)


def flat_shape(log_alphas: Real) -> Shape:
    """Eyring's formula as it is."""
    bands = log_alphas.shape[1]
    return Shape(
        ratios=np.zeros((len(SCATTER_GRID), bands)),
        lean=np.zeros_like(log_alphas),
        about=log_alphas,
        early=np.full((len(SCATTER_GRID), bands), np.nan),
        failed=np.zeros(bands, dtype=bool),
    )


def with_bundles(
    scene: Scene, alphas: Real, wanted: NDArray[np.bool_], *, keep: bool = False
) -> Scene:
    """The scene with its rays followed for as long as its slowest band needs; `keep` has them ready
    for the next plan."""
    slowest = np.nanmax(
        [scene.eyring_s(alphas[:, band], int(band)) for band in np.flatnonzero(wanted)]
    )
    seconds = _FOLLOWED_DECAYS * float(slowest)
    speed = scene.conditions.speed_m_s
    room = scene.room
    rays = rays_of(room)
    if keep:
        rays = kept_rays(room, tuple(map(tuple, scene.sources_m.tolist())))
    followed = bundles(
        room,
        scene.prism or tuple(scene.maps[side_of(face)] for face in room.faces),
        scene.sources_m + scene.corner_m,
        rays,
        speed,
        seconds,
        None if scene.furniture is None else len(alphas),
    )
    return dataclasses.replace(scene, bundles=followed)


def shape_of(
    scene: Scene,
    log_alphas: Real,
    wanted: NDArray[np.bool_],
    leans: Shape,
    *,
    early: bool = True,
) -> Shape:
    """Simulate at several scattering coefficients.

    Parameters
    ----------
    scene : Scene
    log_alphas : (materials, bands)
        [log]
    wanted : (bands,) bool
        Bands to simulate; Eyring stands in the others.
    leans : Shape
        Of the same room at the same coefficients: the derivatives are its (`leaning`).
    early : bool
        Whether early decay times are asked for too: of a room as it is, whose rays no plan needs.
    """
    shape = flat_shape(log_alphas)
    if (scene.pairs or scene.prism) and wanted.any():
        scene = with_bundles(scene, np.exp(log_alphas), wanted, keep=not early)
    for band in (int(b) for b in np.flatnonzero(wanted)):
        alphas = np.exp(log_alphas[:, band])
        if early:
            found, shape.early[:, band] = scene.bends(alphas, band, SCATTER_GRID)
        else:
            found = scene.log_ratios(alphas, band, SCATTER_GRID)
        shape.failed[band] = bool(np.isnan(found).any())
        if shape.failed[band]:
            shape.early[:, band] = np.nan
            continue
        shape.ratios[:, band] = found
        shape.lean[:, band] = leans.lean[:, band]
    return shape
