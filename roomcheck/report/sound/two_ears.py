"""A response in one channel as two ears hear it, on headphones.

The listener looks at the loudspeaker. Early sound comes from where the room's mirrored paths come
from, through the head of Brown and Duda: a sphere that delays and shadows. Late sound comes from
everywhere: either ear gets it through a filter of its own that changes phases alone. Below
`LOW_HZ` both ears get the same. A model of a head, not a recording with one.

References
----------
C. P. Brown and R. O. Duda, "A structural model for binaural sound synthesis", IEEE Trans. Speech
Audio Process. 6 (1998) 476: head shadow and delay of a sphere (from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from roomcheck.report.sound.carried_on import LEAD_S, Carried
from roomcheck.report.sound.early import EARLY_S, Arrival

HEAD_M = 0.0875
"""Radius of the sphere. [m]"""

SPEED_M_S = 343.0
"""About the head. [m/s]"""

DEEPEST, DEEPEST_AT = 0.1, np.radians(150.0)
"""The shadow's least gain, and the angle between ear and sound where it lies. [1], [rad]"""

LOW_HZ = 400.0
"""Octaves below it sound the same in both ears: a head casts no shadow there. [Hz]"""

HOP_S = 0.001
"""Early sound is taken apart in windows of two such steps. [s]"""

SPREAD_S = 0.020
"""Over which the filter of late sound spreads it. [s]"""

APART_HZ = (300.0, 900.0)
"""Late sound reaches both ears alike below, and each its own way above. [Hz]"""

_SEED = 23

Sound = NDArray[np.float64]
Spectrum = NDArray[np.complex128]


def two_ears(carried: Carried, early: Sequence[Arrival]) -> tuple[Carried, Carried]:
    """What the left and the right ear get of a response.

    Parameters
    ----------
    carried : Carried
        In one channel.
    early : sequence of Arrival
        The direct sound first; the listener looks where it comes from.

    Returns
    -------
    (left, right) of Carried
        Their decays are yet to be read.
    """
    left, right = {}, {}
    for hz, part in carried.parts.items():
        if hz < LOW_HZ:
            left[hz], right[hz] = part, part
        else:
            left[hz], right[hz] = _both(part, early, carried.rate_hz)
    return replace(carried, parts=left), replace(carried, parts=right)


def _both(part: Sound, early: Sequence[Arrival], rate_hz: int) -> tuple[Sound, Sound]:
    hop = round(HOP_S * rate_hz)
    zero = round(LEAD_S * rate_hz)
    steps = range(-(zero // hop), round(EARLY_S * rate_hz) // hop)
    window = np.hanning(2 * hop + 1)[:-1]
    frames, which = [], []
    rest = part.copy()
    at = [zero + (k - 1) * hop for k in steps]
    for k, first in zip(steps, at, strict=True):
        frame = np.zeros(2 * hop)
        inside = slice(max(first, 0), min(first + 2 * hop, len(part)))
        frame[inside.start - first : inside.stop - first] = part[inside]
        frame *= window
        rest[inside] -= frame[inside.start - first : inside.stop - first]
        frames.append(frame)
        which.append(_last(early, (k + 0.5) * HOP_S))
    taken = np.array(frames)
    left, right = (
        _late(rest, ear, rate_hz) + _early(taken, at, angles[which], len(part), rate_hz)
        for ear, angles in enumerate(_ears(early))
    )
    return left, right


def _last(early: Sequence[Arrival], until_s: float) -> int:
    """Number of the arrival that came last."""
    return max((i for i, one in enumerate(early) if one.delay_s <= until_s), default=0)


def _ears(early: Sequence[Arrival]) -> tuple[Sound, Sound]:
    """Angle between each arrival and either ear, (arrivals,) each. [rad]"""
    ahead = early[0].toward
    level = np.array([ahead[0], ahead[1], 0.0])
    if np.linalg.norm(level) < 1e-6:
        level = np.array([1.0, 0.0, 0.0])
    to_left = np.cross([0.0, 0.0, 1.0], level / np.linalg.norm(level))
    lateral = np.array([float(one.toward @ to_left) for one in early])
    angles = np.arccos(np.clip(lateral, -1.0, 1.0))
    return angles, np.pi - angles


def head(angle_rad: Sound, f_hz: Sound) -> Spectrum:
    """What a sphere makes of sound from an angle off the ear, (angles, frequencies). [1]

    The delay is that against the middle of the head.
    """
    theta, w = angle_rad[:, None], 2 * np.pi * f_hz[None, :]
    a_over_c = HEAD_M / SPEED_M_S
    alpha = 1 + DEEPEST / 2 + (1 - DEEPEST / 2) * np.cos(theta / DEEPEST_AT * np.pi)
    shadow = (1 + 0.5j * alpha * w * a_over_c) / (1 + 0.5j * w * a_over_c)
    near = -np.cos(theta)
    far = theta - np.pi / 2
    delay_s = a_over_c * np.where(theta < np.pi / 2, near, far)
    return np.asarray(shadow * np.exp(-1j * w * delay_s))


def _early(frames: Sound, at: Sequence[int], angles: Sound, length: int, rate_hz: int) -> Sound:
    """Windows of early sound at one ear, added up again, (length,)."""
    wide = frames.shape[1]
    n = 4 * wide
    padded = np.pad(frames, ((0, 0), (wide, n - 2 * wide)))
    f = np.asarray(np.fft.rfftfreq(n, 1 / rate_hz), dtype=np.float64)
    spectrum = np.multiply(np.fft.rfft(padded), head(angles, f))
    heard = np.fft.irfft(spectrum, n)
    sound = np.zeros(length + 2 * n)
    for first, one in zip(at, heard, strict=True):
        begin = first - wide + n
        sound[begin : begin + n] += one
    return sound[n : n + length]


def _late(rest: Sound, ear: int, rate_hz: int) -> Sound:
    """Sound from everywhere at one ear: its phases by chance, its level that of the head's mean
    over all directions, (frames,)."""
    from scipy import fft

    n = 2 * round(SPREAD_S * rate_hz / 2)
    f = np.asarray(np.fft.rfftfreq(n, 1 / rate_hz), dtype=np.float64)
    apart = np.clip((f - APART_HZ[0]) / (APART_HZ[1] - APART_HZ[0]), 0.0, 1.0)
    phase = np.pi * apart * np.random.default_rng((_SEED, ear)).uniform(-1, 1, len(f))
    phase[-1] = 0.0
    lateral = np.arccos(np.linspace(-0.995, 0.995, 200))
    mean = np.sqrt(np.mean(np.abs(head(lateral, f)) ** 2, axis=0))
    kernel = np.roll(np.fft.irfft(mean * np.exp(1j * phase), n), n // 2)
    size = fft.next_fast_len(len(rest) + n, real=True)
    spectrum = fft.rfft(rest, size) * fft.rfft(kernel, size)
    spread = fft.irfft(spectrum, size, overwrite_x=True)
    return np.asarray(spread[n // 2 : n // 2 + len(rest)])
