"""What arrives after the direct sound, between 1 and 8 kHz: one time and one level for every
arrival.

The loudspeaker's own smear is taken out with the direct sound as it was recorded: the response is
divided by it, and what is left is a sum of one known pulse at many times. The strongest is taken
first, then all those found so far are fitted together, so that neighbours closer than the pulse is
wide do not spoil each other's level.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from roomcheck.analyse.decay.onset import start
from roomcheck.measure import ImpulseResponse

Real = NDArray[np.float64]
Complex = NDArray[np.complex128]

LOW_HZ, HIGH_HZ = 1000.0, 8000.0
"""The band in which early reflections are judged (ITU-R BS.1116-3, from memory). [Hz]"""

EDGES_HZ = (700.0, 2000.0, 7000.0, 9000.0)
"""The pulse's spectrum rises, is flat, and falls between these. [Hz]"""

SMEAR_S = 0.001
"""What follows the direct sound within 1 ms may be the loudspeaker's own (common practice); later
is the room. [s]"""

PAD_S = 0.002
"""Silence put before the direct sound. [s]"""

AHEAD_S, FADE_S, CLEAR_S = 0.0007, 0.00025, 0.00035
FINE_HZ = 190_000
"""Least rate of the envelope's points: a lone arrival is then right to 0.1 dB between two of them.
[Hz]"""

FLOOR_DB = -26.0
MOST, APART_S = 60, 0.00012
AROUND_S = 0.0025
EDGE_S = 0.0004
"""At the end of what is looked at, a pulse cut in half says nothing. [s]"""

DIRECT_DB = -12.0
"""No reflection is assumed to be louder than the direct sound by more than this, and nothing before
the direct sound this loud. [dB]"""

NEAR_S, NEAR_DB, VALLEY_DB = 0.0003, -10.0, 3.0
"""A second peak from 0.3 ms on, above -10 dB and with a valley of 3 dB before it, is seen within
`SMEAR_S`: a desk sends one, and so may the loudspeaker's own two drivers. [s], [dB re direct
sound], [dB]"""

WEAK = 0.01
"""Where the direct sound has less than this share of its strongest power, it is not divided by.
[1]"""


@dataclass(frozen=True, slots=True, eq=False)
class Echogram:
    """A response relative to its direct sound, 1 to 8 kHz, without the loudspeaker's smear."""

    wave: Complex
    """Analytic signal; the direct sound has size 1 at point `zero`, (points,) [1]."""
    step_s: float
    """Between points [s]."""
    zero: int
    pulse: Complex
    """The same for one lone arrival, at the same point, (points,) [1]."""
    pulse_spectrum: Real
    """What the pulse is made of, an eighth as large or less: (lines,) [1]."""
    fine: int
    """Points for each frame of the record."""
    smear_s: float
    """How long the loudspeaker's own sound stays within 15 dB of its peak [s]."""
    onset_s: float
    """Where the direct sound's peak lies in the record [s]."""


@dataclass(frozen=True, slots=True)
class Arrival:
    """One arrival after the direct sound."""

    delay_s: float
    """After the direct sound [s]."""
    level_db: float
    """Relative to the direct sound [dB]."""


def echogram(
    response: ImpulseResponse, seconds: float, first_s: float | None = None
) -> Echogram | None:
    """The response relative to its direct sound.

    Parameters
    ----------
    response : ImpulseResponse
        At 20 kHz or more, else there is no band to look at.
    seconds : float
        How far to look. [s]
    first_s : float, optional
        When the first reflection is due after the direct sound, where the room is known. [s]

    Returns
    -------
    Echogram or None
        None for silence, too low a rate, or a direct sound without this band.
    """
    if response.rate_hz < 2 * EDGES_HZ[-1]:
        return None
    begun = start(response)
    if not begun.samples.size:
        return None
    rate = response.rate_hz
    pad = round(PAD_S * rate)
    x: Real = np.concatenate([np.zeros(pad), begun.samples[: round((seconds + 0.004) * rate)]])
    size = 1 << int(np.ceil(np.log2(len(x) + pad)))
    envelope, step = _envelope(x, size, rate)
    peak = _direct(envelope, step)
    alone = x[: round((peak * step + SMEAR_S + FADE_S) * rate) + 1].copy()
    alone *= _window(np.arange(len(alone)) / rate - peak * step, first_s)
    wave, spectrum = _divided(np.fft.rfft(x, size), np.fft.rfft(alone, size), size, rate)
    zero = round(PAD_S / step)
    wave = np.roll(wave, zero)
    near = slice(zero - round(0.0002 / step), zero + round(0.0002 / step) + 1)
    if not np.isfinite(wave).all() or np.abs(wave[near]).max() < 0.3:
        return None
    points = zero + round(seconds / step)
    fine = -(-FINE_HZ // rate)
    return Echogram(
        wave=wave[:points].copy(),  # the rest is let go
        step_s=step,
        zero=zero,
        pulse=_pulse(spectrum, fine, zero),
        pulse_spectrum=spectrum,
        fine=fine,
        smear_s=_smear(np.abs(_banded(np.fft.rfft(alone, size), size, rate)), peak, step),
        onset_s=begun.onset_s - begun.lead_s + peak * step - pad / rate,
    )


def without_pulse(gram: Echogram) -> Echogram:
    """Put by: the pulse is most of an echogram's memory."""
    return replace(gram, pulse=np.zeros(0, dtype=complex))


def with_pulse(gram: Echogram) -> Echogram:
    """Taken up again, just as it was."""
    return replace(gram, pulse=_pulse(gram.pulse_spectrum, gram.fine, gram.zero))


def _pulse(spectrum: Real, fine: int, zero: int) -> Complex:
    return np.roll(
        _analytic(np.asarray(spectrum, dtype=np.complex128), 2 * (len(spectrum) - 1), fine), zero
    )


def near_peak_s(response: ImpulseResponse) -> float | None:
    """When a second peak stands within the time that is taken for the loudspeaker's own smear.

    Returns
    -------
    float or None
        After the direct sound; None where there is none, or no band to look at. [s]
    """
    begun = start(response)
    if response.rate_hz < 2 * EDGES_HZ[-1] or not begun.samples.size:
        return None
    rate = response.rate_hz
    x: Real = np.concatenate([np.zeros(round(PAD_S * rate)), begun.samples[: round(0.02 * rate)]])
    envelope, step = _envelope(x, 2 * len(x), rate)
    peak = _direct(envelope, step)
    seen = envelope[peak : peak + round((SMEAR_S + APART_S) / step)] / max(
        float(envelope[peak]), 1e-30
    )
    valley = np.minimum.accumulate(seen)
    tops = (
        (seen[1:-1] > seen[:-2])
        & (seen[1:-1] >= seen[2:])
        & (seen[1:-1] > valley[1:-1] * 10 ** (VALLEY_DB / 20))
    )
    found = [
        i for i in np.flatnonzero(tops) + 1 if i * step >= NEAR_S and seen[i] > 10 ** (NEAR_DB / 20)
    ]
    return float(max(found, key=lambda i: seen[i]) * step) if found else None


def arrivals(gram: Echogram, floor_db: float = FLOOR_DB) -> tuple[Arrival, ...]:
    """The strongest arrivals, at most 60, in the order of time; `ground_db` says which of them
    stand out.

    Parameters
    ----------
    gram : Echogram
    floor_db : float
        Weaker ones are left alone. [dB re direct sound]
    """
    found: list[float] = [0.0]
    again = _again(gram)
    weights = _fit(gram, found)
    left = _left(gram, again, found, weights)
    for _ in range(MOST):
        at = _next(gram, left, found, floor_db)
        if at is None:
            break
        found.append(at)
        found = _settled(gram, found)
        weights = _fit(gram, found)
        left = _left(gram, again, found, weights)
    return tuple(_judged(found, weights, floor_db))


def _banded(spectrum: Complex, size: int, rate: int) -> Complex:
    f: Real = np.asarray(np.fft.rfftfreq(size, 1 / rate), dtype=float)
    a, b, c, d = LOW_HZ / 2**0.5, LOW_HZ, HIGH_HZ, min(HIGH_HZ * 2**0.5, rate / 2)
    return _analytic(spectrum * _hill(f, (a, b, c, d)), size, -(-FINE_HZ // rate))


def _envelope(x: Real, size: int, rate: int) -> tuple[Real, float]:
    """Size of the band's signal as long as the record, and the time between its points. [s]"""
    step = 1 / (rate * -(-FINE_HZ // rate))
    envelope = np.abs(_banded(np.fft.rfft(x, size), size, rate)[: round(len(x) / rate / step)])
    return np.asarray(envelope, dtype=float), step


def _analytic(half: Complex, size: int, fine: int) -> Complex:
    """Twice the positive frequencies, at so many points a frame."""
    full = np.zeros(size * fine, dtype=complex)
    full[: len(half)] = 2 * half
    return np.asarray(np.fft.ifft(full) * fine, dtype=complex)


def _hill(f: Real, edges: tuple[float, float, float, float]) -> Real:
    a, b, c, d = edges
    up = np.clip((f - a) / (b - a), 0, 1)
    down = np.clip((d - f) / (d - c), 0, 1)
    return np.asarray(np.sin(np.pi / 2 * up) ** 2 * np.sin(np.pi / 2 * down) ** 2, dtype=float)


def _direct(envelope: Real, step: float) -> int:
    """The first peak of the band: the highest within 0.6 ms of where it first comes near to its
    strongest."""
    first = int(np.argmax(envelope >= 10 ** (DIRECT_DB / 20) * envelope.max()))
    return first + int(np.argmax(envelope[first : first + round(0.0006 / step)]))


def _window(t: Real, first_s: float | None) -> Real:
    """1 around the direct sound, 0 from before the first reflection on. (frames,)"""
    until = SMEAR_S if first_s is None else float(np.clip(first_s - CLEAR_S, 0.0003, SMEAR_S))
    rise = np.clip((t + AHEAD_S) / FADE_S, 0, 1)
    fall = np.clip((until + FADE_S / 2 - t) / FADE_S, 0, 1)
    return np.asarray(np.sin(np.pi / 2 * rise) ** 2 * np.sin(np.pi / 2 * fall) ** 2, dtype=float)


def _divided(whole: Complex, alone: Complex, size: int, rate: int) -> tuple[Complex, Real]:
    """The response over the direct sound, and the spectrum of the pulse of one lone arrival."""
    f: Real = np.asarray(np.fft.rfftfreq(size, 1 / rate), dtype=float)
    hill = _hill(f, (*EDGES_HZ[:3], min(EDGES_HZ[3], rate / 2)))
    power = np.abs(alone) ** 2
    least = WEAK * float(power[(f >= LOW_HZ) & (f <= HIGH_HZ)].max(initial=0.0))
    if least <= 0:
        return np.full(size, np.nan + 0j), np.zeros(len(f))
    shape = hill * power / (power + least)
    scale = 1 / float(np.sum(shape)) * size / 2
    ratio = hill * np.conj(alone) / (power + least)
    return _analytic(whole * ratio * scale, size, -(-FINE_HZ // rate)), shape * scale


def _smear(envelope: Real, peak: int, step: float) -> float:
    after = envelope[peak : peak + round(1.5 * SMEAR_S / step)]
    return float(np.flatnonzero(after >= 10 ** (-15 / 20) * after[0])[-1] * step)


def _wave_at(gram: Echogram, at: Real) -> Complex:
    """The echogram between its points. (n,)"""
    x = gram.zero + at / gram.step_s
    i = np.clip(np.floor(x).astype(int), 0, len(gram.wave) - 2)
    part = x - i
    return np.asarray((1 - part) * gram.wave[i] + part * gram.wave[i + 1], dtype=complex)


def _pulse_at(gram: Echogram, away: Real) -> Complex:
    """The pulse so long after its middle. Any shape [s]"""
    x = gram.zero + away / gram.step_s
    n = len(gram.pulse)
    i = np.floor(x).astype(int)
    part = x - i
    return np.asarray(
        (1 - part) * gram.pulse[i % n] + part * gram.pulse[(i + 1) % n], dtype=complex
    )


def _fit(gram: Echogram, found: list[float]) -> Complex:
    """Sizes of all arrivals together, by least squares over the band: (found,)."""
    t = np.array(found)
    gram_matrix = _pulse_at(gram, t[:, None] - t[None, :])
    return np.asarray(
        np.linalg.solve(gram_matrix + 1e-6 * np.eye(len(t)), _wave_at(gram, t)), dtype=complex
    )


def _again(gram: Echogram) -> Complex:
    """The pulse, over and over for longer than the wave."""
    return np.tile(gram.pulse, 1 + -(-(len(gram.wave) + 1) // len(gram.pulse)))


def _left(gram: Echogram, again: Complex, found: list[float], weights: Complex) -> Complex:
    """What the arrivals found so far leave of the echogram."""
    from scipy.linalg.blas import zaxpy

    left = gram.wave.copy()
    n, period = len(left), len(gram.pulse)
    for t, w in zip(found, weights, strict=True):
        x = -t / gram.step_s  # where in the pulse the first point of the wave lies
        i = int(np.floor(x))
        part = x - i
        # In place, which no numpy product is: left -= w * ((1 - part) * this + part * the next).
        left = zaxpy(again, left, n, -w * (1 - part), i % period)
        left = zaxpy(again, left, n, -w * part, i % period + 1)
    return left


def _next(gram: Echogram, left: Complex, found: list[float], floor_db: float) -> float | None:
    size = np.abs(left)
    size[: gram.zero + round(APART_S / gram.step_s)] = 0.0
    size[-round(EDGE_S / gram.step_s) :] = 0.0
    for t in found:
        at = gram.zero + round(t / gram.step_s)
        reach = round(APART_S / gram.step_s)
        size[max(at - reach, 0) : at + reach + 1] = 0.0
    i = int(np.argmax(size))
    return (i - gram.zero) * gram.step_s if size[i] > 10 ** (floor_db / 20) else None


def _settled(gram: Echogram, found: list[float]) -> list[float]:
    """The newest arrival and its neighbours moved to where they fit best, one after another,
    twice."""
    newest = found[-1]
    near = [k for k, t in enumerate(found) if k and abs(t - newest) < 0.0008]
    around = [k for k, t in enumerate(found) if abs(t - newest) < 0.004]
    times = [found[k] for k in around]
    steps = np.arange(-4, 5) * gram.step_s
    last = (len(gram.wave) - gram.zero) * gram.step_s - EDGE_S / 2
    for _ in range(2):
        weights = _fit(gram, times)
        for k in near:
            j = around.index(k)
            others: Real = np.array([t for i, t in enumerate(times) if i != j])
            at: Real = np.asarray(times[j] + steps, dtype=float)
            rest = _wave_at(gram, at) - _pulse_at(gram, at[:, None] - others[None, :]) @ np.delete(
                weights, j
            )
            times[j] = min(_top(at, np.asarray(np.abs(rest), dtype=float)), last)
    for k in near:
        found[k] = times[around.index(k)]
    return found


def _top(at: Real, size: Real) -> float:
    """Where a sampled hill is highest, by a parabola through its three highest points."""
    i = int(np.argmax(size))
    if i in (0, len(size) - 1):
        return float(at[i])
    a, b, c = size[i - 1], size[i], size[i + 1]
    bend = a - 2 * b + c
    return float(at[i] + (0.5 * (a - c) / bend if bend < 0 else 0.0) * (at[1] - at[0]))


def _judged(found: list[float], weights: Complex, floor_db: float) -> list[Arrival]:
    """All but the faint ones and the skirts of stronger ones, in the order of time."""
    times, sizes = np.array(found[1:]), np.abs(weights[1:])
    kept = []
    for k in np.argsort(times):
        t, size = float(times[k]), float(sizes[k])
        # The colour of a reflection differs from the direct sound's: what is left of it stands
        # close by.
        skirt = ((np.abs(times - t) < 0.0002) & (sizes > 2 * size)).any()
        if not skirt and size >= 10 ** (floor_db / 20):
            kept.append(Arrival(t, float(20 * np.log10(size))))
    return kept


def pulse_share(gram: Echogram) -> float:
    """What one arrival of level 0 dB adds to the mean power within 2.5 ms of it. [1]"""
    return float(np.sum(np.abs(gram.pulse) ** 2)) * gram.step_s / (2 * AROUND_S)


def ground_db(gram: Echogram, at: Real, but: Real) -> Real:
    """Mean level of what arrives within 2.5 ms of each moment, after some arrivals are taken away.

    Parameters
    ----------
    gram : Echogram
    at : (n,)
        [s]
    but : (k,)
        Moments of the arrivals to take away, fitted together. [s]

    Returns
    -------
    (n,)
        Relative to the direct sound. [dB]
    """
    taken = [0.0, *but.tolist()]
    left = np.abs(_left(gram, _again(gram), taken, _fit(gram, taken))) ** 2
    sums = np.concatenate([[0.0], np.cumsum(left)])
    i = gram.zero + np.round(at / gram.step_s).astype(int)
    reach = round(AROUND_S / gram.step_s)
    # Nothing of the direct sound's own smear is counted.
    low = np.clip(i - reach, gram.zero + round(SMEAR_S / gram.step_s), len(left) - 2)
    high = np.clip(np.maximum(i + reach, low + reach), low + 1, len(left))
    return np.asarray(
        10 * np.log10(np.maximum((sums[high] - sums[low]) / (high - low), 1e-9)), dtype=float
    )
