r"""Notes that stand alone when all else has died away, whichever of the places are left out.

Where modes overlap no fit of damped sinusoids finds the same poles from other places. What is sure
even there is a note that rings so much longer than its neighbours that it towers over them in what
is left a fifth of a second after the onset, mean over all places, and that stays where it is when
any two places are left out.
"""

from __future__ import annotations

import itertools
import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from roomcheck.analyse.modes.low_end import LowEnd

Array = NDArray[np.float64]

LEAST_PLACES, LEFT_OUT = 6, 2
"""Asked of so many places on, and so many of them are left out in every way. [1]"""

FROM_S, LEAST_S, MOST_S = 0.2, 0.7, 0.8
"""Looked at from so long after the onset, for so long: shorter windows do not tell neighbours
apart, and what is named changes with the places. [s]"""

CLEAR_DB = 10.0
"""Prominence of such a note in the mean spectrum. With six places of two states of a real room, six
against six, every set names one and nine in ten are named again, by chance one in twenty; windows
that end sooner leave four to nine in ten. In another real room none has one, of 40 made-up sets of
overlapping waves that all die away alike one (our own figures). [dB]"""

SEEN_DB, STAYS_HZ = 1.0, 1.5
"""Prominence of a peak where places are left out, and how far it may then be. [dB], [Hz]"""

NORMAL = 1.4826
"""Standard deviation of normal values over their median size. A root mean square is at the mercy of
one place of six: in a real room of which 49 of 50 sets give one frequency to 0.3 Hz it said up to
1.2 Hz, and then a note 1 Hz beside it is confirmed as well (our own figures). [1]"""

LEAST_U_HZ, LEAST_U = 0.15, 0.1
"""No frequency and no damping is said to be known better; the latter relative. [Hz], [1]"""

STEP_HZ, LATER_S = 0.1, 0.1
"""Of the spectrum, and how much later the note is looked at once more for its decay. [Hz], [s]"""


@dataclass(frozen=True, slots=True, eq=False)
class Lasting:
    """Such notes."""

    frequency_hz: Array
    frequency_u_hz: Array
    """(notes,) each [Hz]."""
    damping_per_s: Array
    """(notes,) [1/s]."""
    damping_u: Array
    """Relative, (notes,) [1]."""
    amplitude: NDArray[np.complex128]
    """At the first frame, (notes, channels) [1]."""


def lasting(low: LowEnd, from_hz: float, to_hz: float) -> Lasting:
    """The notes that stand alone late in some responses, by rising frequency; often none.

    Parameters
    ----------
    low : LowEnd
    from_hz, to_hz : float
        Where they are looked for. [Hz]
    """
    from scipy.special import stdtrit

    first = max(round((FROM_S - low.delay_s) * low.rate_hz), 0)
    late = low.record[first : first + round(MOST_S * low.rate_hz)]
    if late.shape[1] < LEAST_PLACES or len(late) < LEAST_S * low.rate_hz:
        return _none(low.y.shape[1])
    hz = np.arange(from_hz, to_hz, STEP_HZ)
    power = np.abs(_zoomed(late, low.rate_hz, hz)) ** 2
    share = power / np.maximum(power.sum(axis=0), 1e-300)
    tops = _peaks(share, CLEAR_DB)
    if not tops.size:
        return _none(low.y.shape[1])
    aside_hz = _aside_hz(hz, share, tops)
    kept = np.abs(aside_hz).max(axis=0, initial=0.0) <= STAYS_HZ
    places = late.shape[1]
    # Jackknife with two left out (J. Shao, C. F. J. Wu, Ann. Statist. 17 (1989) 1176; from memory),
    # its root mean square by the median, so that twice it is the half-width for 95 in 100.
    student = float(stdtrit(places - 1, 0.975)) / 1.96
    usual_hz = NORMAL * np.median(np.abs(aside_hz), axis=0)
    spread_hz = student * math.sqrt((places - LEFT_OUT) / LEFT_OUT) * usual_hz
    damping, damping_u = _dampings(late, low.rate_hz, hz[tops], power.sum(axis=0))
    kept &= damping > 0
    tops, damping, damping_u = tops[kept], damping[kept], damping_u[kept]
    return Lasting(
        frequency_hz=hz[tops],
        frequency_u_hz=np.maximum(spread_hz[kept], LEAST_U_HZ),
        damping_per_s=damping,
        damping_u=np.maximum(damping_u, LEAST_U),
        amplitude=_amplitudes(late, low.rate_hz, hz[tops], damping, first),
    )


def _none(channels: int) -> Lasting:
    empty = np.zeros(0)
    return Lasting(empty, empty, empty, empty, np.zeros((0, channels), dtype=complex))


def _window(frames: int) -> Array:
    """1, and its last tenth falling to 0. (frames,)"""
    fade = max(frames // 10, 1)
    window = np.ones(frames)
    window[-fade:] = np.cos(np.pi / 2 * np.arange(fade) / fade) ** 2
    return window


def _turned(part: Array, rate_hz: float, hz: Array) -> NDArray[np.complex128]:
    """Spectrum of some frames at these frequencies. (lines, channels)"""
    seconds = np.arange(len(part)) / rate_hz
    return np.asarray(
        np.exp(-2j * np.pi * np.outer(hz, seconds)) @ (part * _window(len(part))[:, None])
    )


def _zoomed(part: Array, rate_hz: float, hz: Array) -> NDArray[np.complex128]:
    """The same at frequencies `STEP_HZ` apart, (lines, channels).

    By the chirp z transform (L. R. Rabiner, R. W. Schafer, C. M. Rader, Bell Syst. Tech. J. 48
    (1969) 1249; from memory): mn is (m^2 + n^2 - (m - n)^2)/2, which makes the sum a convolution.
    """
    from scipy import fft

    frames, lines = len(part), len(hz)
    size = fft.next_fast_len(frames + lines - 1)
    chirp = np.exp(-1j * math.pi * STEP_HZ / rate_hz * np.arange(max(frames, lines)) ** 2)
    begun = np.exp(-2j * math.pi * hz[0] / rate_hz * np.arange(frames)) * chirp[:frames]
    answer = np.zeros(size, dtype=np.complex128)
    answer[:lines] = chirp[:lines].conj()
    answer[size - frames + 1 :] = chirp[1:frames][::-1].conj()
    turned = fft.fft(part * (_window(frames) * begun)[:, None], size, axis=0)
    turned *= fft.fft(answer)[:, None]
    return np.asarray(fft.ifft(turned, axis=0)[:lines] * chirp[:lines, None])


def _peaks(share: Array, least_db: float) -> NDArray[np.intp]:
    """Peaks of the mean over the places that stand so clear."""
    level_db = _level_db(share)
    clear = [top for top in _tops(level_db) if _prominence_db(level_db, int(top)) >= least_db]
    return np.array(clear, dtype=np.intp)


def _level_db(share: Array) -> Array:
    return np.asarray(10 * np.log10(np.maximum(share.mean(axis=1), 1e-300)))


def _tops(level_db: Array) -> NDArray[np.intp]:
    inner = level_db[1:-1]
    return 1 + np.flatnonzero((inner > level_db[:-2]) & (inner > level_db[2:]))


def _prominence_db(level_db: Array, top: int) -> float:
    """How far one must go down from a peak before one can go up to a higher one. [dB]

    By hand: `scipy.signal` brings all of `scipy.stats` along, a third of a second.
    """
    deepest_db = []
    for side in (level_db[top::-1], level_db[top:]):
        higher = np.flatnonzero(side > level_db[top])
        deepest_db.append(float(side[: higher[0] if higher.size else None].min()))
    return float(level_db[top]) - max(deepest_db)


def _aside_hz(hz: Array, share: Array, tops: NDArray[np.intp]) -> Array:
    """How far the nearest peak is from each where places are left out, (ways, tops). [Hz]"""
    ways = []
    for out in itertools.combinations(range(share.shape[1]), LEFT_OUT):
        level_db = _level_db(np.delete(share, out, axis=1))
        peaks = _tops(level_db)
        ways.append([_to_the_nearest_hz(hz, level_db, peaks, float(hz[top])) for top in tops])
    return np.array(ways)


def _to_the_nearest_hz(
    hz: Array, level_db: Array, peaks: NDArray[np.intp], from_hz: float
) -> float:
    """How far the nearest peak is that is seen; infinity where none is. [Hz]"""
    aside_hz = hz[peaks] - from_hz
    for k in np.argsort(np.abs(aside_hz), kind="stable"):
        if _prominence_db(level_db, int(peaks[k])) >= SEEN_DB:
            return float(aside_hz[k])
    return math.inf


def _dampings(part: Array, rate_hz: float, hz: Array, weight: Array) -> tuple[Array, Array]:
    """How fast the power at some frequencies falls from one window to a later one, and its relative
    standard uncertainty, leaving out each place in turn. (lines,) [1/s], (lines,) [1]"""
    step = round(LATER_S * rate_hz)
    first, later = (
        np.abs(_turned(window, rate_hz, hz)) ** 2 / weight for window in (part[:-step], part[step:])
    )
    places, fall_s = part.shape[1], 2 * step / rate_hz
    whole = np.log(first.sum(axis=1) / later.sum(axis=1)) / fall_s
    without = [
        np.log(np.delete(first, k, 1).sum(axis=1) / np.delete(later, k, 1).sum(axis=1)) / fall_s
        for k in range(places)
    ]
    away = np.array(without) - whole
    spread = np.sqrt((places - 1) / places * (away**2).sum(axis=0))
    return whole, spread / np.maximum(np.abs(whole), 1e-12)


def _amplitudes(
    part: Array, rate_hz: float, hz: Array, damping: Array, first: int
) -> NDArray[np.complex128]:
    """At the first frame of the record that the part is of. (lines, channels)"""
    seconds = np.arange(len(part)) / rate_hz
    worth = np.exp(-np.outer(damping, seconds)) @ _window(len(part))
    back = np.exp((damping - 2j * math.pi * hz) * first / rate_hz)
    return np.asarray(2 * _turned(part, rate_hz, hz) * (back / worth)[:, None])
