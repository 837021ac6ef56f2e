r"""Whether a record can be the decay of a room at all, and up to where it can.

A room's own power is a sum of exponentials that fall, each with a weight of 0 or more, and a steady
noise: one decay, two of coupled rooms, or many. Such a sum is fitted to the blocks of a record by
scoring on the gamma likelihood, that is by non-negative least squares weighted with the power that
is expected. What stays out of any such sum (a hump, a knock that swells and dies away again, a
gate) shows as neighbouring stretches that stray to different sides by more than chance.
"""

from __future__ import annotations

import math

import numpy as np

from roomcheck.analyse.band.blocks import DB_PER_NEPER, Array, Ending

SURE_SD, LEAST_DB = 5.0, 2.5
"""So many standard deviations between two stretches, the largest of some hundreds, are no chance;
and so much at least. [1], [dB]"""

SUSPECTED_SD, SUSPECTED_DB = 3.5, 1.5
"""The same where other bands of the record show that something happened at that time. [1], [dB]"""

TOGETHER_S = 0.1
"""What happens in two bands within this time, and the ringing of the filter, is one thing. [s]"""

LEAST_FREEDOM = 16.0
"""Least degrees of freedom of a stretch. [1]"""

BLOCK_BT, MOST_BLOCKS = 4.0, 120
"""Least bandwidth times length of a block, and the most blocks. [1]"""

EARLY_S, EARLY_FREEDOM = 0.06, 2.0
"""So early single reflections come, which have fewer degrees of freedom than a decay. [s], [1]"""

GRAINS = 24
"""The grain of a decay is looked for in stretches down to so many of a record. [1]"""

GROUPS_S, GROUPS_DB = 0.12, 5.0
"""So early they come in groups, which stand out by so much at most. [s], [dB]"""

TIMES_S = np.geomspace(0.03, 30.0, 28)
"""Reverberation times of the exponentials: each 1.29 times the last. [s]"""

ROUNDS = 4
"""Times that the expected power is corrected; then it changes by less than chance."""

RIDGE = 1e-3
"""Holds the shares of exponentials that are nearly alike together; over a column's length. [1]"""


def end_where_no_decay(ending: Ending, suspected_s: tuple[float, ...] = ()) -> bool:
    """End a record ahead of the first stretch that no sum of decays explains; whether there is one.

    Parameters
    ----------
    suspected_s : tuple of float
        When other bands show that something happened: at these times less is no chance. [s]
    """
    if _end(ending, (SURE_SD, LEAST_DB), ()):
        return True
    return bool(suspected_s) and _end(ending, (SUSPECTED_SD, SUSPECTED_DB), suspected_s)


def _end(ending: Ending, limits: tuple[float, float], suspected_s: tuple[float, ...]) -> bool:
    count = int(np.clip(ending.end_s * ending.band.bandwidth_hz / BLOCK_BT, 4, MOST_BLOCKS))
    times, powers, freedom = ending.means(np.linspace(0.0, ending.end_s, 1 + count))
    top = int(np.argmax(powers))
    times, powers, freedom = times[top:], powers[top:], freedom[top:].copy()
    freedom[times < EARLY_S] = np.minimum(freedom[times < EARLY_S], EARLY_FREEDOM)
    if len(times) < 8 or _break(times, powers, freedom, limits) is None:
        return False
    # The shortest record that shows it says best where it is.
    good, bad = 4, len(times)
    while bad - good > 1:
        middle = (good + bad) // 2
        shown = _break(times[:middle], powers[:middle], freedom[:middle], limits)
        good, bad = (good, middle) if shown else (middle, bad)
    found = _break(times[:bad], powers[:bad], freedom[:bad], limits)
    if found is None:
        return False
    at, over_db = found
    at_s = float(times[at]) - 0.5 * float(times[1] - times[0])
    slack_s = TOGETHER_S + 3 / ending.band.bandwidth_hz
    if suspected_s and not any(abs(at_s - other_s) < slack_s for other_s in suspected_s):
        return False
    ending.end_at(at_s, over_db)
    ending.bent = True
    return True


def _break(
    times: Array, powers: Array, freedom: Array, limits: tuple[float, float]
) -> tuple[int, float] | None:
    """The block at which two stretches stray apart most, and by how much. [dB]"""
    ratio = powers / _expected(times, powers, freedom)
    weight = np.concatenate(([0.0], np.cumsum(freedom)))
    sums = np.concatenate(([0.0], np.cumsum(freedom * ratio)))
    best, grain, span = (0.0, 0, 0.0), 1.0, 1
    while 2 * span <= len(ratio):
        at = np.arange(span, len(ratio) - span + 1)
        before, after = weight[at] - weight[at - span], weight[at + span] - weight[at]
        low, high = (sums[at] - sums[at - span]) / before, (sums[at + span] - sums[at]) / after
        apart = np.abs(np.log(high / low))
        sure = apart / np.sqrt(1 / before + 1 / after)
        if span <= len(ratio) / GRAINS:
            grain = max(grain, _grain(sure))
        least = np.where(times[at] < GROUPS_S, GROUPS_DB, limits[1]) / DB_PER_NEPER
        few = np.minimum(before, after) < LEAST_FREEDOM
        sure[few | (times[at] < EARLY_S) | (apart < least)] = 0.0
        i = int(np.argmax(sure))
        found = float(sure[i]) / grain
        if found > max(best[0], limits[0]):
            best = (found, int(at[i]), DB_PER_NEPER * float(apart[i]))
        span *= 2
    return (best[1], best[2]) if best[0] else None


def _grain(sure: Array) -> float:
    """How much more stretches stray apart everywhere than by chance: flutter, single echoes, what a
    narrow part of the band rules. [1]"""
    # Half of all deviates of a normal distribution are within 0.6745 of its standard deviation.
    return float(np.median(sure)) / 0.6745


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
