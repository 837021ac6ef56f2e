"""Which standing wave of the room each measured mode is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from roomcheck.analyse.modes.box_modes import shape_at
from roomcheck.analyse.modes.poles import Poles
from roomcheck.analyse.modes.results import BoxMode, RoomMode
from roomcheck.geometry import Point, Room

MATCH_PCT = 4.0
"""How far windows, doors and yielding walls shift a standing wave from where rigid walls have it
(common practice)."""


LEAST_PLACES, LEAST_LIKE = 4, 0.5
"""From so many places on the strengths there must be like those of a standing wave: of six places
that have nothing to do with it 3 in 100 are so much like it. [1]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """Where a response was taken. [m]"""

    source: Point
    microphone: Point


def named(
    found: list[tuple[int, RoomMode]],
    expected: Sequence[BoxMode],
    poles: Poles,
    room: Room,
    places: Sequence[Place],
    span_hz: tuple[float, float],
) -> tuple[list[RoomMode], tuple[BoxMode, ...]]:
    """Each mode with the standing wave that fits it best, one to one, and the predicted ones that
    none fits."""
    from scipy.optimize import linear_sum_assignment

    if not found or not expected:
        inside = [box for box in expected if span_hz[0] <= box.frequency_hz <= span_hz[1]]
        return [mode for _, mode in found], tuple(inside)
    far = 1e3
    cost = np.full((len(found), len(expected) + len(found)), 6.0)
    fits = np.full((len(found), len(expected)), far)
    for i, (k, mode) in enumerate(found):
        for j, box in enumerate(expected):
            off = abs(mode.frequency_hz - box.frequency_hz) / _allowed_hz(mode)
            if off <= 1:
                fits[i, j] = 4 * off**2 + 2 * (1 - _likeness(box, poles, k, room, places))
    cost[:, : len(expected)] = fits
    rows, columns = linear_sum_assignment(cost)
    named, taken = [], set()
    for i, j in zip(rows.tolist(), columns.tolist(), strict=True):
        mode = found[i][1]
        if j >= len(expected):
            named.append(mode)
            continue
        taken.add(j)
        box = expected[j]
        also = [
            expected[n] for n in np.argsort(fits[i]) if n != j and fits[i, n] < fits[i, j] + 0.5
        ]
        named.append(replace(mode, box=box, others=tuple(also[:2])))
    missing = tuple(
        box
        for j, box in enumerate(expected)
        if j not in taken and span_hz[0] <= box.frequency_hz <= span_hz[1]
    )
    return named, missing


def like_the_room(
    found: list[tuple[int, RoomMode]],
    expected: Sequence[BoxMode],
    poles: Poles,
    room: Room,
    places: Sequence[Place],
) -> list[tuple[int, RoomMode]]:
    """The modes whose strengths at the places are those of a standing wave that the room's size
    predicts near their frequency; all of them where too few places are known."""
    if len(places) < LEAST_PLACES or len(places) != poles.cosine.shape[1]:
        return found
    kept = []
    for k, mode in found:
        near = [b for b in expected if abs(mode.frequency_hz - b.frequency_hz) <= _allowed_hz(mode)]
        if any(_likeness(box, poles, k, room, places) >= LEAST_LIKE for box in near):
            kept.append((k, mode))
    return kept


def _allowed_hz(mode: RoomMode) -> float:
    return max(MATCH_PCT / 100 * mode.frequency_hz, mode.bandwidth_hz / 2, 3 * mode.frequency_u_hz)


def _likeness(box: BoxMode, poles: Poles, k: int, room: Room, places: Sequence[Place]) -> float:
    """How much the strengths at the positions are those of a standing wave, 0 to 1; 1 where that
    cannot be asked.

    The squared correlation of the complex amplitudes with the product of the wave's shape at source
    and microphone.
    """
    if len(places) != poles.cosine.shape[1] or len(places) < 3:
        return 1.0
    shape = np.array(
        [shape_at(box, room, p.source) * shape_at(box, room, p.microphone) for p in places]
    )
    heard = poles.cosine[k] - 1j * poles.sine[k]
    energy = float(np.sum(np.abs(heard) ** 2) * np.sum(shape**2))
    return float(abs(shape @ heard) ** 2 / energy) if energy > 0 else 0.0
