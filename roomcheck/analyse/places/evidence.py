r"""How well the early reflections of one take go with a source and a microphone at given places.

Arrivals are taken as a Poisson process: clutter of a density that falls with level, and one arrival
at each mirror image, timed and levelled with a Gaussian error. The evidence is the logarithm of the
likelihood over that of clutter alone, at the best of all small shifts of the microphone, which
stand for the tape's error of both places.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from roomcheck.analyse.echoes.peaks import APART_S, SMEAR_S, arrivals, echogram
from roomcheck.geometry import Point, Room, distance_m
from roomcheck.measure import ImpulseResponse
from roomcheck.mirrors import MirrorPath, mirror_paths

Real = NDArray[np.float64]
Loss = Callable[[MirrorPath], float]

REACH_S = 0.03
"""How far reflections are followed. [s]"""

FLOOR_DB = -20.0
"""Weaker arrivals are left alone. [dB re direct sound]"""

TAPED_M, TIMED_S, LEVEL_SD_DB = 0.03, 0.00004, 8.0
"""How well a place is typed along each axis (common practice), and an arrival is timed and levelled
(as it shows in a measured room of known places): standard deviations. [m], [s], [dB]"""

CAUGHT = (0.8, 0.4)
"""How likely an image of first and of second order is found among the arrivals (our own figures,
from the same room). [1]"""

CLUTTER_FALL_DB, CLUTTER_SHARE = 6.0, 0.5
"""Arrivals that no image explains become rarer by e per so many decibels, and are half of all.
[dB], [1]"""

DUE_DB, WITHIN_SD = -12.0, 4.0
"""A reflection of first order that should be this loud and has no arrival within so many standard
deviations counts against the places, once. [dB re direct sound], [1]"""

FIRST_STEPS = 2
SHIFT_STEPS_M = (0.04, 0.02, 0.01, 0.005)
"""The first grid of shifts reaches two steps to each side, each following one a step. [m]"""


@dataclass(frozen=True, slots=True, eq=False)
class Arrived:
    """The early arrivals of one take."""

    delay_s: Real
    """After the direct sound, (arrivals,) [s]."""
    level_db: Real
    """Relative to the direct sound, (arrivals,) [dB]."""


def arrived(response: ImpulseResponse) -> Arrived | None:
    """The early arrivals of a response; None where there is no direct sound to go by."""
    gram = echogram(response, 0.05)
    if gram is None:
        return None
    early = replace(gram, wave=gram.wave[: gram.zero + round(REACH_S / gram.step_s)])
    found = [arrival for arrival in arrivals(early, FLOOR_DB) if arrival.delay_s < REACH_S]
    return Arrived(
        np.array([arrival.delay_s for arrival in found]),
        np.array([arrival.level_db for arrival in found]),
    )


@dataclass(frozen=True, slots=True, eq=False)
class Images:
    """The mirror images of one source as one microphone sees them."""

    source_m: Real
    microphone_m: Real
    """(3,) each [m]."""
    images_m: Real
    """(images, 3) [m]."""
    loss_db: Real
    """At the faces, (images,) [dB]."""
    order: NDArray[np.int_]
    """(images,) [1]."""

    def seen_from(self, shifts_m: Real, speed_m_s: float) -> tuple[Real, Real]:
        """Delays after and levels relative to the direct sound with the microphone shifted,
        (shifts, images) each. [s], [dB]"""
        microphone = self.microphone_m + shifts_m
        far = np.linalg.norm(microphone[:, None] - self.images_m[None], axis=2)
        near = np.linalg.norm(microphone - self.source_m, axis=1)[:, None]
        levels = 20 * np.log10(near / far) - self.loss_db
        return np.asarray((far - near) / speed_m_s, dtype=float), np.asarray(levels, dtype=float)


def images(room: Room, source: Point, microphone: Point, loss_db: Loss, speed_m_s: float) -> Images:
    """Images of first and second order that arrive within reach."""
    direct_m = distance_m(source, microphone)
    paths = [
        path
        for path in mirror_paths(room, source, microphone, 2)
        if (path.length_m - direct_m) / speed_m_s < REACH_S
    ]
    places = [path.mirror[0] @ np.array(source) + path.mirror[1] for path in paths]
    return Images(
        np.array(source),
        np.array(microphone),
        np.array(places).reshape(-1, 3),
        np.array([loss_db(path) for path in paths]),
        np.array([path.order for path in paths], dtype=int),
    )


def evidence(heard: Arrived, seen: Images, speed_m_s: float) -> float:
    """Logarithm of the likelihood of the arrivals with these places over that of clutter. [1]

    Parameters
    ----------
    heard : Arrived
    seen : Images
        Of the places that are held against the take.
    speed_m_s : float
        Of sound. [m/s]
    """
    return climbed(heard, seen, np.zeros(3), speed_m_s)[0]


def climbed(heard: Arrived, seen: Images, start_m: Real, speed_m_s: float) -> tuple[float, Real]:
    """The most that shifts around a start give, and the shift that gives it. [1], (3,) [m]"""
    around, best = start_m, -math.inf
    for i, step_m in enumerate(SHIFT_STEPS_M):
        shifts = around + _grid(FIRST_STEPS if i == 0 else 1) * step_m
        taped = 0.5 * ((shifts - start_m) ** 2).sum(axis=1) / TAPED_M**2
        values = at_shifts(heard, seen, shifts, speed_m_s) - taped
        k = int(np.argmax(values))
        around, best = shifts[k], max(best, float(values[k]))
    return best, around


def _grid(reach: int) -> Real:
    """Whole steps in three directions: (points, 3) [1]."""
    steps = np.arange(-reach, reach + 1)
    return np.stack(np.meshgrid(steps, steps, steps), axis=-1).reshape(-1, 3).astype(float)


def at_shifts(heard: Arrived, seen: Images, shifts_m: Real, speed_m_s: float) -> Real:
    """Evidence with the microphone shifted, (shifts,). [1]"""
    return of_views(heard, *seen.seen_from(shifts_m, speed_m_s), seen.order)


def of_views(
    heard: Arrived,
    delay_s: Real,
    level_db: Real,
    order: NDArray[np.int_],
    timed_s: float = TIMED_S,
    precision: type[np.floating] = np.float64,
) -> Real:
    """Evidence of images seen so late and so loud, arrivals timed to `timed_s`, (places,). [1]

    The exponents of all Gaussians at once are one product of matrices: what depends on the image,
    what on the arrival, and what on both.

    Parameters
    ----------
    heard : Arrived
    delay_s, level_db : (places, images)
        After and relative to the direct sound. [s], [dB]
    order : (images,)
        Of the images. [1]
    timed_s : float
        How well an arrival is timed, standard deviation. [s]
    precision : type
        Of the Gaussians.
    """
    moments = np.stack([heard.delay_s / timed_s, heard.level_db / LEVEL_SD_DB])
    alone = 2 * math.pi * timed_s * LEVEL_SD_DB * _clutter(heard)
    ones = np.ones(len(heard.delay_s))
    theirs = np.stack([*moments, ones, -0.5 * (moments**2).sum(axis=0) - np.log(alone)])
    due_at, due_db = delay_s / timed_s, level_db / LEVEL_SD_DB
    caught = np.log(np.where(order == 1, *CAUGHT)) - 0.5 * (due_at**2 + due_db**2)
    ours = np.stack([due_at, due_db, caught, np.ones_like(due_at)], axis=-1).astype(precision)
    over = ours.reshape(-1, 4) @ theirs.astype(precision)
    np.exp(over, out=over)
    each = over.reshape(*delay_s.shape, -1).sum(axis=1)
    missing = _missing(heard, delay_s[:, order == 1], level_db[:, order == 1], WITHIN_SD * timed_s)
    return np.asarray(np.log1p(each).sum(axis=1) - missing, dtype=float)


def _missing(heard: Arrived, delay_s: Real, level_db: Real, within_s: float) -> NDArray[np.int_]:
    """How many images that are due have no arrival near their time, (places,). [1]"""
    moments = np.concatenate([[-np.inf], np.sort(heard.delay_s), [np.inf]])
    after = np.clip(np.searchsorted(moments, delay_s), 1, None)
    apart_s = np.minimum(delay_s - moments[after - 1], moments[after] - delay_s)
    due = (level_db > DUE_DB) & (delay_s > SMEAR_S + 2 * APART_S)
    return np.asarray((due & (apart_s >= within_s)).sum(axis=1), dtype=int)


def _clutter(heard: Arrived) -> Real:
    """Density of arrivals that no image explains, by their level: (arrivals,) [1/s/dB]."""
    rate = CLUTTER_SHARE * len(heard.delay_s) / REACH_S
    above = heard.level_db - FLOOR_DB
    return np.asarray(rate * np.exp(-above / CLUTTER_FALL_DB) / CLUTTER_FALL_DB)
