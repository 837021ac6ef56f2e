r"""What buzzes when the sweep passes a frequency: a loose panel, a lamp, the loudspeaker's own
grille.

While the sweep is at f, what sounds above 10 f is neither the room's linear answer, which is at f
or below, nor a low harmonic of the loudspeaker. Noise is there as well, always; harmonics of high
order are there too, but over a wide range of f. A rattle is there at one f alone, and it beats in
time with the sweep.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from roomcheck.measure.checks.take_record import TakeRecord
from roomcheck.measure.signal.signals import Buzz

Array = NDArray[np.float64]

FROM_ORDER = 10.0
LEAST_HZ = 600.0
TO_HZ = 1000.0
"""Looked for while the sweep is below this: higher up nothing of size moves. [Hz]"""

PER_OCTAVE = 24
OVER_DB = 8.0
"""So far over what is left while the sweep is elsewhere: our margin, noise in an octave scatters by
1 dB. [dB]"""

WIDEST_OCTAVES = 0.6
AROUND_OCTAVES = (0.3, 1.2)
"""A buzz must fall off within the first, on either side; the second says what is around it."""

FRAME_PERIODS, LEAST_FRAME_S = 8.0, 0.04


def buzzes(heard: TakeRecord) -> tuple[Buzz, ...]:
    """What buzzes in one take, the loudest first.

    Parameters
    ----------
    heard : TakeRecord

    Returns
    -------
    tuple of Buzz
        None where the record is too noisy for it, or the sweep too fast.
    """
    sweep = heard.lags.sweep
    hz = _grid(sweep.low_hz, min(TO_HZ, sweep.high_hz / FROM_ORDER))
    # The record may begin too late for the first frames, or end too early for the last.
    reached = [(f, frame) for f in hz if (frame := _frame(heard, float(f))) is not None]
    if len(reached) < PER_OCTAVE:
        return ()
    hz = np.array([f for f, _ in reached])
    levels, totals = _levels([frame for _, frame in reached], hz, sweep.rate_hz)
    found = []
    for i in _bumps(levels, hz):
        over = levels[i] - _around(levels, i)
        found.append(
            Buzz(
                frequency_hz=_set_off_hz(levels, hz, i),
                over_db=float(over),
                under_db=float(totals[i]),
                in_step=_in_step(heard, float(hz[i])),
            )
        )
    return tuple(sorted(found, key=lambda buzz: -buzz.over_db))


def _grid(low_hz: float, high_hz: float) -> Array:
    count = int(PER_OCTAVE * np.log2(high_hz / low_hz)) if high_hz > low_hz else 0
    return np.asarray(low_hz * 2 ** (np.arange(1, count) / PER_OCTAVE))


def _frame(heard: TakeRecord, f: float) -> Array | None:
    """The record while the sweep is around f; None where it does not reach."""
    lags = heard.lags
    rate = lags.sweep.rate_hz
    middle = lags.start - lags.zero + lags.sweep.time_at_s(f) * rate
    half = max(LEAST_FRAME_S, lags.sweep.octave_s / PER_OCTAVE) * rate / 2
    a, b = int(middle - half), int(middle + half)
    return heard.y[a:b] if a >= 0 and b <= len(heard.y) else None


def _levels(frames: list[Array], hz: Array, rate_hz: int) -> tuple[Array, Array]:
    """What sounds above 10 f in each frame, over its own usual level; and re all that sounds.
    (frames,), [dB]

    The octave above 10 f that stands out most; an octave's usual level is the lower quarter over
    the frames.
    """
    octaves = np.asarray(LEAST_HZ * 2 ** (np.arange(0, 12) / 2))
    octaves = octaves[octaves * 2 <= 0.45 * rate_hz]
    power = np.full((len(frames), len(octaves)), np.nan)
    total = np.empty(len(frames))
    for i, frame in enumerate(frames):
        window = _window(len(frame))
        spectrum = np.abs(np.fft.rfft(frame * window)) ** 2 / float(np.sum(window**2))
        line = np.fft.rfftfreq(len(frame), 1 / rate_hz)
        total[i] = float(spectrum.sum())
        for j, low in enumerate(octaves):
            if low >= FROM_ORDER * hz[i]:
                power[i, j] = float(spectrum[(line >= low) & (line < 2 * low)].sum())
    counted = np.isfinite(power).any(axis=1)
    usual = np.nanpercentile(power[:, np.isfinite(power).any(axis=0)], 25, axis=0)
    power = power[:, np.isfinite(power).any(axis=0)]
    with np.errstate(divide="ignore", invalid="ignore"):
        over = 10 * np.log10(np.maximum(power, 1e-300) / np.maximum(usual, 1e-300))
        most = np.where(
            counted, np.nanmax(np.where(np.isfinite(over), over, -300.0), axis=1), np.nan
        )
        share = 10 * np.log10(np.nanmax(np.nan_to_num(power), axis=1) / np.maximum(total, 1e-300))
    return np.asarray(most), np.asarray(share)


@lru_cache(maxsize=8)
def _window(count: int) -> Array:
    """Blackman and Harris' window of four terms: side lobes 92 dB down."""
    x = 2 * np.pi * np.arange(count) / count
    window = np.asarray(
        0.35875 - 0.48829 * np.cos(x) + 0.14128 * np.cos(2 * x) - 0.01168 * np.cos(3 * x)
    )
    window.flags.writeable = False
    return window


def _around(levels: Array, i: int) -> float:
    near, far = (round(octaves * PER_OCTAVE) for octaves in AROUND_OCTAVES)
    sides = np.concatenate([levels[max(i - far, 0) : max(i - near, 0)], levels[i + near : i + far]])
    sides = sides[np.isfinite(sides)]
    return float(np.median(sides)) if len(sides) >= PER_OCTAVE // 3 else np.inf


def _bumps(levels: Array, hz: Array) -> list[int]:
    """Where the level stands out from both sides within a short stretch."""
    near = round(AROUND_OCTAVES[0] * PER_OCTAVE)
    found: list[int] = []
    for i in np.argsort(-np.nan_to_num(levels, nan=-300.0)):
        if not np.isfinite(levels[i]) or levels[i] < OVER_DB:
            break
        if any(abs(np.log2(hz[i] / hz[n])) < WIDEST_OCTAVES for n in found):
            continue
        if i < near or i + near >= len(hz) or levels[i] - _around(levels, int(i)) < OVER_DB:
            continue
        beside = (levels[max(i - 2 * near, 0) : i - near + 1], levels[i + near : i + 2 * near])
        if all(levels[i] - np.nanmedian(side) >= 0.7 * OVER_DB for side in beside) and _width(
            levels, int(i)
        ):
            found.append(int(i))
    return found


def _width(levels: Array, i: int) -> bool:
    """Whether the stretch within half its height is short enough."""
    half = levels[i] - 0.5 * (levels[i] - _around(levels, i))
    a, b = i, i
    while a > 0 and levels[a - 1] > half:
        a -= 1
    while b < len(levels) - 1 and levels[b + 1] > half:
        b += 1
    return (b - a + 1) / PER_OCTAVE <= WIDEST_OCTAVES


def _set_off_hz(levels: Array, hz: Array, i: int) -> float:
    """Where it begins: half-way up its rise. What rattles goes on for a while, and the sweep with
    it. [Hz]"""
    half = levels[i] - 0.5 * (levels[i] - _around(levels, i))
    a = i
    while a > 0 and levels[a - 1] > half:
        a -= 1
    below = levels[a - 1] if a and np.isfinite(levels[a - 1]) else half
    share = (levels[a] - half) / max(levels[a] - below, 1e-9)
    return float(hz[a] * 2 ** (-min(max(share, 0.0), 1.0) / PER_OCTAVE))


def _in_step(heard: TakeRecord, f: float) -> float:
    """How much the loudness above 10 f beats with the sweep: at once or twice its phase, over at
    halves between. [1]

    About 1 for a knock or for noise.
    """
    lags = heard.lags
    sweep, rate = lags.sweep, lags.sweep.rate_hz
    begin = lags.start - lags.zero
    middle = begin + sweep.time_at_s(f) * rate
    half = int(max(FRAME_PERIODS / f, LEAST_FRAME_S) * rate / 2)
    a, b = int(middle) - half, int(middle) + half
    pad = int(0.05 * rate)
    if a - pad < 0 or b + pad > len(heard.y):
        return 1.0
    part = heard.y[a - pad : b + pad]
    spectrum = np.fft.rfft(part * _window(len(part)) ** 0.25)
    spectrum[np.fft.rfftfreq(len(part), 1 / rate) < max(FROM_ORDER * f * 2**0.25, LEAST_HZ)] = 0
    loud = np.fft.irfft(spectrum, len(part))[pad : pad + b - a] ** 2
    t = (np.arange(a, b) - begin) / rate
    phase = 2 * np.pi * sweep.low_hz * sweep.constant_s * np.expm1(t / sweep.constant_s)
    taper = loud * _window(b - a)
    beat = {k: abs(np.sum(taper * np.exp(-1j * k * phase))) for k in (0.5, 1.0, 1.5, 2.0, 2.5)}
    between = np.mean([beat[0.5], beat[1.5], beat[2.5]])
    return float(max(beat[1.0], beat[2.0]) / max(between, 1e-300))
