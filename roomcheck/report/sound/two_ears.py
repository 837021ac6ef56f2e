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
from dataclasses import dataclass, replace

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

_WIDER = 4
"""The transform of a window of early sound is so many times as long. [1]"""

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
    frames = len(next(iter(carried.parts.values()), ()))
    filters = _filters(early, frames, carried.rate_hz)
    for hz, part in carried.parts.items():
        if hz < LOW_HZ:
            left[hz], right[hz] = part, part
        else:
            left[hz], right[hz] = _both(part, filters, carried.rate_hz)
    return replace(carried, parts=left), replace(carried, parts=right)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class _Filters:
    """What is the same for every octave of a response."""

    first: tuple[int, ...]
    """Frame at which each window of early sound begins."""
    window: Sound
    """(frames of a window,)"""
    early: tuple[Spectrum, Spectrum]
    """What the head makes of each window, by ear: (windows, bins) each."""
    late: tuple[Spectrum, Spectrum]
    """What it makes of sound from everywhere, by ear: (bins,) each."""
    frames: int
    """Of the response."""
    late_size: int
    """Frames of the transform that `late` belongs to."""


def _filters(early: Sequence[Arrival], frames: int, rate_hz: int) -> _Filters:
    from scipy import fft

    hop = round(HOP_S * rate_hz)
    zero = round(LEAD_S * rate_hz)
    steps = range(-(zero // hop), round(EARLY_S * rate_hz) // hop)
    which = [_last(early, (k + 0.5) * HOP_S) for k in steps]
    f = np.asarray(np.fft.rfftfreq(_WIDER * 2 * hop, 1 / rate_hz), dtype=np.float64)
    left, right = (head(angles[which], f) for angles in _ears(early))
    kernels = [_spread(ear, rate_hz) for ear in (0, 1)]
    size = fft.next_fast_len(frames + len(kernels[0]), real=True)
    return _Filters(
        first=tuple(zero + (k - 1) * hop for k in steps),
        window=np.hanning(2 * hop + 1)[:-1],
        early=(left, right),
        late=(fft.rfft(kernels[0], size), fft.rfft(kernels[1], size)),
        frames=frames,
        late_size=size,
    )


def _both(part: Sound, filters: _Filters, rate_hz: int) -> tuple[Sound, Sound]:
    from scipy import fft

    wide = len(filters.window)
    frames = []
    rest = part.copy()
    for first in filters.first:
        frame = np.zeros(wide)
        inside = slice(max(first, 0), min(first + wide, len(part)))
        frame[inside.start - first : inside.stop - first] = part[inside]
        frame *= filters.window
        rest[inside] -= frame[inside.start - first : inside.stop - first]
        frames.append(frame)
    padded = np.pad(np.array(frames), ((0, 0), (wide, (_WIDER - 2) * wide)))
    taken, remains = np.fft.rfft(padded), fft.rfft(rest, filters.late_size)
    left, right = (
        _late(remains * late, filters, rate_hz) + _early(taken * early, filters)
        for late, early in zip(filters.late, filters.early, strict=True)
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


def _early(spectrum: Spectrum, filters: _Filters) -> Sound:
    """Windows of early sound at one ear, by their spectra, added up again, (frames,)."""
    wide = len(filters.window)
    n = _WIDER * wide
    heard = np.fft.irfft(spectrum, n)
    sound = np.zeros(filters.frames + 2 * n)
    for first, one in zip(filters.first, heard, strict=True):
        begin = first - wide + n
        sound[begin : begin + n] += one
    return sound[n : n + filters.frames]


def _late(spectrum: Spectrum, filters: _Filters, rate_hz: int) -> Sound:
    """Sound from everywhere at one ear, by its spectrum, (frames,)."""
    from scipy import fft

    spread = fft.irfft(spectrum, filters.late_size, overwrite_x=True)
    middle = round(SPREAD_S * rate_hz / 2)
    return np.asarray(spread[middle : middle + filters.frames])


def _spread(ear: int, rate_hz: int) -> Sound:
    """What an ear makes of sound from everywhere: phases by chance, the level that of the head's
    mean over all directions, (frames,)."""
    n = 2 * round(SPREAD_S * rate_hz / 2)
    f = np.asarray(np.fft.rfftfreq(n, 1 / rate_hz), dtype=np.float64)
    apart = np.clip((f - APART_HZ[0]) / (APART_HZ[1] - APART_HZ[0]), 0.0, 1.0)
    phase = np.pi * apart * np.random.default_rng((_SEED, ear)).uniform(-1, 1, len(f))
    phase[-1] = 0.0
    lateral = np.arccos(np.linspace(-0.995, 0.995, 200))
    mean = np.sqrt(np.mean(np.abs(head(lateral, f)) ** 2, axis=0))
    return np.roll(np.fft.irfft(mean * np.exp(1j * phase), n), n // 2)
