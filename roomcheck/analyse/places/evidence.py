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


def at_shifts(
    heard: Arrived, seen: Images, shifts_m: Real, speed_m_s: float, timed_s: float = TIMED_S
) -> Real:
    """Evidence with the microphone shifted, (shifts,), arrivals timed to `timed_s`. [1]"""
    delays, levels = seen.seen_from(shifts_m, speed_m_s)
    off = (heard.delay_s[None, :, None] - delays[:, None, :]) / timed_s
    over = (heard.level_db[None, :, None] - levels[:, None, :]) / LEVEL_SD_DB
    density = np.exp(-0.5 * (off**2 + over**2)) / (2 * math.pi * timed_s * LEVEL_SD_DB)
    expected = (density * np.where(seen.order == 1, *CAUGHT)).sum(axis=2)
    likelihood = np.log1p(expected / _clutter(heard)).sum(axis=1)
    due = (seen.order == 1) & (levels > DUE_DB) & (delays > SMEAR_S + 2 * APART_S)
    missing = (due & ~(np.abs(off) < WITHIN_SD).any(axis=1)).sum(axis=1)
    return np.asarray(likelihood - missing, dtype=float)


def _clutter(heard: Arrived) -> Real:
    """Density of arrivals that no image explains, by their level: (arrivals,) [1/s/dB]."""
    rate = CLUTTER_SHARE * len(heard.delay_s) / REACH_S
    above = heard.level_db - FLOOR_DB
    return np.asarray(rate * np.exp(-above / CLUTTER_FALL_DB) / CLUTTER_FALL_DB)
