"""How loud each frequency is at a position: the response smoothed over fractions of an octave, and
its dips."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from roomcheck.analyse.decay.onset import start
from roomcheck.analyse.modes.results import Dip, Response
from roomcheck.measure import ImpulseResponse

GRID_FROM_HZ, GRID_TO_HZ, PER_OCTAVE = 20.0, 20_000.0, 24
FINE_BELOW_HZ = 200.0
REFERENCE_HZ = (250.0, 2000.0)
"""0 dB is the mean power of this range, as the operational response of ITU-R BS.1116 has it (from
memory). [Hz]"""

CLEAR_DB = 10.0

Array = NDArray[np.float64]


def grid_hz() -> Array:
    """24 frequencies in each octave from 20 Hz to 20 kHz, 1 kHz among them. [Hz]"""
    low = math.ceil(PER_OCTAVE * math.log2(GRID_FROM_HZ / 1000))
    high = math.floor(PER_OCTAVE * math.log2(GRID_TO_HZ / 1000))
    return np.asarray(1000 * 2 ** (np.arange(low, high + 1) / PER_OCTAVE))


def frequency_response(ir: ImpulseResponse, hz: Array, fraction: int) -> Array:
    """Power of a response at some frequencies, each the mean over a fraction of an octave around
    it.

    Parameters
    ----------
    ir : ImpulseResponse
        From its onset on the whole decay counts: what a steady sound would bring about.
    hz : (lines,)
        [Hz]
    fraction : int
        3 for a third, 6, 12, 24, 48 …; any from 1 on.

    Returns
    -------
    (lines,)
        Mean power, relative; NaN above half the rate. [dB]

    Raises
    ------
    ValueError
        `fraction` below 1.
    """
    if fraction < 1:
        raise ValueError(f"fraction: {fraction}, needed 1 or more")
    begun = start(ir)
    return smoothed_db(begun.samples, ir.rate_hz, hz, fraction)


def smoothed_db(samples: Array, rate_hz: int, hz: Array, fraction: int) -> Array:
    """Power spectrum of some samples, mean over fractions of an octave. [dB]"""
    from scipy import fft

    if not samples.size:
        return np.full(len(hz), np.nan)
    # Lines so close that the narrowest window at 20 Hz holds several.
    size = fft.next_fast_len(max(len(samples), 2 * rate_hz), real=True)
    power = np.abs(fft.rfft(samples, size)) ** 2
    total = np.concatenate([[0.0], np.cumsum(power)])
    line = rate_hz / size
    low, high = (np.asarray(hz) * 2 ** (edge / (2 * fraction)) / line + 0.5 for edge in (-1, 1))
    whole = np.interp(high, np.arange(len(total)), total) - np.interp(
        low, np.arange(len(total)), total
    )
    with np.errstate(divide="ignore"):
        level = 10 * np.log10(np.maximum(whole / (high - low), 1e-300))
    return np.where(np.asarray(hz) * 2 ** (1 / (2 * fraction)) > rate_hz / 2, np.nan, level)


def response_of(
    ir: ImpulseResponse, source: str, microphone: str, swept_hz: tuple[float, float] | None = None
) -> Response | None:
    """The response of one position as it is shown, within what was swept; None where there is no
    sound in it."""
    hz = grid_hz()
    begun = start(ir)
    if not begun.samples.size:
        return None
    x = begun.samples
    fine, coarse = (smoothed_db(x, ir.rate_hz, hz, n) for n in (24, 12))
    level = np.where(hz < FINE_BELOW_HZ, fine, coarse)
    low, high = swept_hz or (0.0, np.inf)
    known = np.isfinite(level) & (hz >= low) & (hz <= high)
    hz, level = hz[known], level[known]
    quarter = x[-len(x) // 4 :]
    noise = smoothed_db(quarter, ir.rate_hz, hz, 3) + 10 * math.log10(len(x) / len(quarter))
    clear = smoothed_db(x, ir.rate_hz, hz, 3) > noise + CLEAR_DB
    span = _longest_run(clear) if hz.size else None
    middle = (hz >= REFERENCE_HZ[0]) & (hz <= REFERENCE_HZ[1])
    if span is None or not middle.any():
        return None
    reference = 10 * math.log10(float(np.mean(10 ** (level[middle] / 10))))
    return Response(
        source=source,
        microphone=microphone,
        hz=tuple(round(float(f), 3) for f in hz),
        level_db=tuple(round(float(v - reference), 3) for v in level),
        clear_from_hz=float(hz[span[0]]),
        clear_to_hz=float(hz[span[1]]),
    )


def _longest_run(flags: NDArray[np.bool_]) -> tuple[int, int] | None:
    """First and last index of the longest run of True."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], flags, [False]]).astype(np.int8)))
    runs = [(int(a), int(b) - 1) for a, b in zip(edges[::2], edges[1::2], strict=True)]
    return max(runs, key=lambda run: run[1] - run[0], default=None)


def dips(
    hz: Array,
    level_db: Array,
    *,
    least_db: float,
    from_hz: float,
    to_hz: float,
    around_octaves: float = 1.0,
) -> tuple[Dip, ...]:
    """Holes in a response: minima that lie below the median of what is around them.

    Parameters
    ----------
    hz, level_db : (lines,)
        Evenly spaced in octaves. [Hz], [dB]
    least_db : float
        Depth that counts. [dB]
    from_hz, to_hz : float
        Where to look; what is around is cut off at the ends. [Hz]
    around_octaves : float
        What is around: so much in all.
    """
    used = hz >= from_hz
    hz, level_db = hz[used], level_db[used]
    if len(hz) < 3:
        return ()
    reach = 2 ** (around_octaves / 2)
    around = [float(np.median(level_db[(hz > f / reach) & (hz < f * reach)])) for f in hz]
    depth = np.array(around) - level_db
    per_octave = 1 / math.log2(hz[1] / hz[0])
    found = []
    for i in range(1, len(hz) - 1):
        if not from_hz * 2 ** (1 / 6) <= hz[i] <= to_hz or depth[i] < least_db:
            continue
        if depth[i] < depth[i - 1] or depth[i] <= depth[i + 1]:
            continue
        left, right = i, i
        while left > 0 and depth[left] > depth[i] / 2:
            left -= 1
        while right < len(hz) - 1 and depth[right] > depth[i] / 2:
            right += 1
        found.append(
            Dip(
                frequency_hz=float(hz[i]),
                depth_db=float(depth[i]),
                width_octaves=(right - left) / per_octave,
            )
        )
    return tuple(found)
