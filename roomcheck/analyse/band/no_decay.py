r"""Whether a record can be the decay of a room at all, and up to where it can.

A room's own power is a sum of exponentials that fall, each with a weight of 0 or more, and a steady
noise: one decay, two of coupled rooms, or many. Such a sum is fitted to the blocks of a record by
scoring on the gamma likelihood, that is by non-negative least squares weighted with the power that
is expected. What stays out of any such sum (a hump, a knock that swells and dies away again, a gate)
shows as neighbouring stretches that stray to different sides by more than chance.
"""

from __future__ import annotations

import math

import numpy as np

from roomcheck.analyse.band.blocks import DB_PER_NEPER, Array, Ending

SURE_SD = 6.0
"""So many standard deviations between two stretches, the largest of some hundreds, are no chance. [1]"""

LEAST_DB = 2.5
"""And so much at least. [dB]"""

LEAST_FREEDOM = 16.0
"""Least degrees of freedom of a stretch. [1]"""

BLOCK_BT, MOST_BLOCKS = 4.0, 120
"""Least bandwidth times length of a block, and the most blocks. [1]"""

EARLY_S, EARLY_FREEDOM = 0.06, 2.0
"""So early single reflections come, which have fewer degrees of freedom than a decay. [s], [1]"""

TIMES_S = np.geomspace(0.03, 30.0, 28)
"""Reverberation times of the exponentials: each 1.29 times the last. [s]"""

ROUNDS = 4
"""Times that the expected power is corrected; then it changes by less than chance."""

RIDGE = 1e-3
"""Holds the shares of exponentials that are nearly alike together, over the length of a column. [1]"""


def end_where_no_decay(ending: Ending) -> bool:
    """End a record ahead of the first stretch that no sum of decays explains; whether there is one."""
    count = int(np.clip(ending.end_s * ending.band.bandwidth_hz / BLOCK_BT, 4, MOST_BLOCKS))
    times, powers, freedom = ending.means(np.linspace(0.0, ending.end_s, 1 + count))
    top = int(np.argmax(powers))
    times, powers, freedom = times[top:], powers[top:], freedom[top:].copy()
    freedom[times < EARLY_S] = np.minimum(freedom[times < EARLY_S], EARLY_FREEDOM)
    if len(times) < 8 or _break(times, powers, freedom) is None:
        return False
    # The shortest record that shows it says best where it is.
    good, bad = 4, len(times)
    while bad - good > 1:
        middle = (good + bad) // 2
        shown = _break(times[:middle], powers[:middle], freedom[:middle])
        good, bad = (good, middle) if shown else (middle, bad)
    found = _break(times[:bad], powers[:bad], freedom[:bad])
    if found is None:
        return False
    at, over_db = found
    half_s = 0.5 * float(times[1] - times[0])
    ending.end_at(float(times[at]) - half_s, over_db)
    ending.bent = True
    return True


def _break(times: Array, powers: Array, freedom: Array) -> tuple[int, float] | None:
    """The block at which two stretches stray apart most, and by how much. [dB]"""
    off = powers / _expected(times, powers, freedom) - 1
    grain = _grain(off, freedom)
    weight, sums = np.cumsum(freedom), np.cumsum(freedom * off)
    weight, sums = np.concatenate(([0.0], weight)), np.concatenate(([0.0], sums))
    best: tuple[float, int, float] | None = None
    span = 1
    while 2 * span <= len(off):
        at = np.arange(span, len(off) - span + 1)
        before, after = weight[at] - weight[at - span], weight[at + span] - weight[at]
        low, high = (sums[at] - sums[at - span]) / before, (sums[at + span] - sums[at]) / after
        apart = np.abs(high - low)
        sure = apart / np.sqrt(grain * (1 / before + 1 / after))
        ratio = DB_PER_NEPER * np.abs(np.log((1 + high) / (1 + low)))
        sure[(np.minimum(before, after) < LEAST_FREEDOM) | (ratio < LEAST_DB)] = 0.0
        i = int(np.argmax(sure))
        if sure[i] > SURE_SD and (best is None or sure[i] > best[0]):
            best = (float(sure[i]), int(at[i]), float(ratio[i]))
        span *= 2
    return None if best is None else (best[1], best[2])


def _grain(off: Array, freedom: Array) -> float:
    """How much more neighbouring blocks differ than chance makes them: flutter, single echoes. [1]"""
    steps = np.diff(off) ** 2 / (1 / freedom[1:] + 1 / freedom[:-1])
    # The median of the square of a normal deviate is 0.455.
    return max(float(np.median(steps)) / 0.455, 1.0)


def _expected(times: Array, powers: Array, freedom: Array) -> Array:
    """Power of the likeliest sum of decays and noise."""
    from scipy.optimize import nnls

    falls = np.exp(-6 * math.log(10) * np.subtract.outer(times, times[:1]) / TIMES_S)
    parts = np.column_stack((falls, np.ones(len(times))))
    width = min(5, len(powers))
    logs = np.log(powers)
    smooth = np.convolve(np.pad(logs, width // 2, mode="edge"), np.ones(width) / width, "valid")
    expected: Array = np.exp(smooth[: len(powers)])
    ridge, none = RIDGE * np.eye(parts.shape[1]), np.zeros(parts.shape[1])
    for _ in range(ROUNDS):
        weight = np.sqrt(freedom) / expected
        weighted = parts * weight[:, None]
        lengths = np.linalg.norm(weighted, axis=0)
        lengths[lengths == 0] = 1.0
        shares, _ = nnls(
            np.vstack((weighted / lengths, ridge)), np.concatenate((powers * weight, none))
        )
        expected = np.maximum(parts @ (shares / lengths), 1e-3 * powers)
    return expected
