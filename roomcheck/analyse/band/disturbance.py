r"""Where a record stops being a decay.

Whatever a room does on its own, its power falls: what rises is something else, a cough, a knock, a
machine. There the record ends, or, where it lasts no longer than a click and all goes on as before,
the click is left out.

Blocks are compared by their chance: the mean power of a block of so many degrees of freedom n
strays by :math:`1/\sqrt n` nepers.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from roomcheck.analyse.band.blocks import DB_PER_NEPER, Array, Ending
from roomcheck.analyse.band.kinds import DecayWarning
from roomcheck.facts import fact

SURE_SD = 5.0
"""So many standard deviations of chance, the best of many blocks and spans, are no chance. [1]"""

STEADY_DB = 2.0
"""Chance apart, a rise is at least this much: no noise is as steady as it should be. [dB]"""

GRAIN_S, GRAIN_DB = 0.05, 12.0
"""A decay has grains: a flutter echo between walls 8 m apart comes every 47 ms and stands 10 dB out
of a dry room. A single block is held against this many decibels, a mean over so long against none.
[s], [dB]"""

EARLY_S, EARLY_DB = 0.1, 10.0
"""So early single reflections come: only a rise of more than that is something else. [s], [dB]"""

HIGH_DB, HIGH_RISE_DB = 10.0, 4.0
"""While the sound is no further below its loudest, early groups of reflections still show: a rise
is at least so much there. [dB]"""

CLICK_S = 0.04
"""What lasts no longer, the ringing of the filter apart, is a click. [s]"""

BLOCK_BT, MOST_BLOCKS = 4.0, 200
"""Least bandwidth times length of a block, and the most blocks. [1]"""

SPANS = (1, 2, 4, 8, 16)
"""Blocks that are taken together in looking for a rise."""

RINGS = 1.5
"""How far ahead of what disturbs its filter's ringing counts, over the bandwidth. [1]"""


@dataclass(frozen=True, slots=True)
class Rise:
    """A rise in blocks: the block it begins with, the one after its end, the power ahead of it."""

    first: int
    last: int
    base: float
    top: float


def end_at_disturbance(ending: Ending) -> None:
    """Leave clicks out of a record and end it where something else than a decay begins."""
    for _ in range(4):
        times, powers, freedom = _blocks(ending)
        if len(powers) < 4:
            return
        rise = _first_rise(times, powers, float(freedom[0]))
        if rise is None:
            return
        if not _left_out(ending, rise, times, powers):
            _end_before(ending, rise, times)
            return


def _blocks(ending: Ending) -> tuple[Array, Array, Array]:
    count = int(np.clip(ending.end_s * ending.band.bandwidth_hz / BLOCK_BT, 4, MOST_BLOCKS))
    times, powers, freedom = ending.means(np.linspace(0.0, ending.end_s, 1 + count))
    top = int(np.argmax(powers))
    return times[top:], powers[top:], freedom[top:]


def _first_rise(times: Array, powers: Array, freedom: float) -> Rise | None:
    """The rise that begins first, over any of the spans."""
    rises = [_rise(times, powers, freedom, span) for span in SPANS if len(powers) >= 3 * span]
    return min((rise for rise in rises if rise), key=lambda rise: rise.first, default=None)


def _rise(times: Array, powers: Array, freedom: float, span: int) -> Rise | None:
    """The first time that the mean over a span stands clear of the least one ahead of it."""
    runs = np.convolve(powers, np.ones(span) / span, mode="valid")
    lowest = np.minimum.accumulate(runs)[:-span]
    later = runs[span:]
    chance = SURE_SD * math.sqrt(2 / (span * freedom))
    least_db = _least_db(span * float(times[1] - times[0]), lowest / runs[0])
    least_db[times[span : len(later) + span] < EARLY_S] = max(EARLY_DB, float(least_db.max()))
    clear = np.flatnonzero(np.log(later / lowest) > chance + least_db / DB_PER_NEPER)
    if not clear.size:
        return None
    at = int(clear[0])
    base_at = int(np.argmin(runs[: at + 1]))
    base = float(runs[base_at])
    limit = base * math.exp(2 / math.sqrt(freedom) + STEADY_DB / DB_PER_NEPER)
    first = at + span + int(np.argmax(powers[at + span : at + 2 * span]))
    while first > base_at + span and powers[first - 1] > limit:
        first -= 1
    below = np.flatnonzero(powers[first + 1 :] <= limit)
    last = first + 1 + int(below[0]) if below.size else len(powers)
    return Rise(first, last, base, float(powers[first:last].max()))


def _least_db(span_s: float, level: Array) -> Array:
    """What a rise of means over so long must be, chance apart, at these powers over the
    loudest. [dB]"""
    grain_db = max(STEADY_DB, GRAIN_DB * (1 - span_s / GRAIN_S))
    return np.where(level > 10 ** (-HIGH_DB / 10), max(HIGH_RISE_DB, grain_db), grain_db)


def _left_out(ending: Ending, rise: Rise, times: Array, powers: Array) -> bool:
    """Whether it is a click after which all goes on; then it is replaced by what is around it."""
    step_s = float(times[1] - times[0])
    lasts_s = (rise.last - rise.first) * step_s
    longest_s = CLICK_S + 4 / ending.band.bandwidth_hz + step_s
    if lasts_s > longest_s or rise.last >= len(powers) - 1:
        return False
    from_s, to_s = float(times[rise.first]) - step_s, float(times[rise.last - 1]) + step_s
    after = float(powers[rise.last : rise.last + 3].mean())
    if after > 1.5 * rise.base:
        return False
    ending.patch(from_s, to_s, math.sqrt(rise.base * after))
    at_s = float(times[rise.first : rise.last][np.argmax(powers[rise.first : rise.last])])
    ending.warnings.append(fact(DecayWarning.CLICK, at_s=at_s))
    return True


def _end_before(ending: Ending, rise: Rise, times: Array) -> None:
    step_s = float(times[1] - times[0])
    at_s = float(times[rise.first]) - 0.5 * step_s - RINGS / ending.band.bandwidth_hz
    ending.end_at(at_s, DB_PER_NEPER * math.log(rise.top / rise.base))
