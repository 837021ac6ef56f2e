"""The standing waves that a rectangular room should have."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import product

from roomcheck.analyse.modes.results import BoxMode
from roomcheck.geometry import Point, Room


def box_modes(size_m: Sequence[float], speed_m_s: float, to_hz: float) -> tuple[BoxMode, ...]:
    r"""Every standing wave of a box up to a frequency, by rising frequency.

    Parameters
    ----------
    size_m : (3,)
        Length, width, height. [m]
    speed_m_s : float
        Of sound. [m/s]
    to_hz : float
        [Hz]

    Returns
    -------
    tuple of BoxMode
        :math:`f = \frac{c}{2}\sqrt{(i/L)^2 + (j/W)^2 + (k/H)^2}`, rigid walls.

    References
    ----------
    P. M. Morse, "Vibration and Sound", 1948, as quoted in the trade's handbooks.

    Examples
    --------
    >>> [(round(m.frequency_hz, 2), m.order) for m in box_modes((5, 4, 2.5), 343, 60)]
    [(34.3, (1, 0, 0)), (42.88, (0, 1, 0)), (54.91, (1, 1, 0))]
    """
    counts = [range(int(2 * to_hz * side / speed_m_s) + 1) for side in size_m]
    found = []
    for order in product(*counts):
        f = speed_m_s / 2 * math.hypot(*(n / side for n, side in zip(order, size_m, strict=True)))
        if 0 < f <= to_hz:
            found.append(BoxMode(frequency_hz=f, order=(order[0], order[1], order[2])))
    return tuple(sorted(found, key=lambda mode: (mode.frequency_hz, mode.order)))


def expected_count(
    volume_m3: float, surface_m2: float, edges_m: float, speed_m_s: float, to_hz: float
) -> float:
    r"""How many standing waves a room has below a frequency, on the average over rooms of its size.

    Parameters
    ----------
    edges_m : float
        Length of all edges, 4 (L + W + H) for a box. [m]

    Returns
    -------
    float
        :math:`\frac{4\pi V f^3}{3c^3} + \frac{\pi S f^2}{4c^2} + \frac{E f}{8c}`. [1]

    >>> round(expected_count(50, 85, 46, 343, 100), 2)
    12.54
    """
    x = to_hz / speed_m_s
    return 4 * math.pi / 3 * volume_m3 * x**3 + math.pi / 4 * surface_m2 * x**2 + edges_m / 8 * x


def edges_m(room: Room) -> float:
    """Length of all edges of a room: its plan's outline twice, and its corners. [m]"""
    outline = sum(
        math.dist(a, b)
        for a, b in zip(room.corners, (*room.corners[1:], room.corners[0]), strict=True)
    )
    return 2 * outline + len(room.corners) * room.height_m


def size_of(room: Room) -> tuple[float, float, float] | None:
    """Length, width and height of a box; None for any other plan. [m]"""
    if not room.is_box:
        return None
    xs, ys = [x for x, _ in room.corners], [y for _, y in room.corners]
    return max(xs) - min(xs), max(ys) - min(ys), room.height_m


def shape_at(mode: BoxMode, room: Room, point: Point) -> float:
    """Pressure of a box's standing wave at a place, re its largest. [1]"""
    size = size_of(room)
    if size is None:
        raise ValueError(
            "room: its plan is no rectangle along the axes, so its standing waves have no such "
            "shape"
        )
    corner = (min(x for x, _ in room.corners), min(y for _, y in room.corners), 0.0)
    return math.prod(
        math.cos(math.pi * n * (p - at) / side)
        for n, p, at, side in zip(mode.order, point, corner, size, strict=True)
    )
