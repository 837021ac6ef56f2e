r"""Where a decay sinks into the noise, by a fit of both to the record.

The power of a band in blocks is taken as :math:`\mu(t) = A e^{-kt} + N`, each block as a gamma
variable of as many degrees of freedom as its length times the bandwidth has. The fit covers the
last decibels above the noise and all that follows, so a bend further up does not matter. What
follows must be proved steady: a tail that still falls is decay, one that rises is cut off, a click
in it is left out.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace

import numpy as np

from roomcheck.analyse.band.bands import Band
from roomcheck.analyse.band.blocks import DB_PER_NEPER, Array, Ending
from roomcheck.analyse.band.disturbance import end_at_disturbance
from roomcheck.analyse.band.kinds import DecayWarning
from roomcheck.analyse.band.no_decay import end_where_no_decay
from roomcheck.analyse.band.results import SLOWEST
from roomcheck.facts import Fact, fact

FIT_ABOVE_DB = 20.0
"""The fit starts where the decay is this far above the noise. [dB]"""

CLEAR_SD = 4.0
"""So many standard deviations of chance make a difference. [1]"""

COUPLED_DB = 10.0
"""What is seen to fall by less is not taken for the decay of a coupled room. [dB]"""

NOISE_SINKS_DB = 20.0
"""By how much a noise may sink and still be one. [dB]"""

ABOVE_FIT_DB = 5.0
"""The first decibels, direct sound and first reflections, are left out of a decay's line. [dB]"""

CLEAR_DB = 4.0
"""Where a line stands so far above what disturbs it, it is still the room's. [dB]"""

ALONG_A_LINE = 0.85
"""Correlation of time and level from which blocks fall along a line. [1]"""

NEPERS = 6 * math.log(10)

NOISE_SEEN = 1.2
"""What begins so long after the line has met the noise, over the line's fall, rises out of noise;
what begins sooner, out of the decay: 5 dB. [neper]"""

SILENT = 1e-200
"""A band whose power over that of the response never gets above it holds nothing. [1]"""

RINGING_BT = 6.0
"""A decay shorter than this, over the bandwidth, is the filter's own. [1]"""

LEAST_BLOCKS, KNEE_SURE = 4, 16.0
"""Blocks that a line needs; and by how much a knee must lower what is left of the squares, which
chance alone lowers by 3. [1]"""

STEEPER = 1.25
"""A line so much steeper than the one after it is another. [1]"""

SHORTEST_BT = 4.0
"""A record that ends sooner, over the bandwidth, shows no decay. [1]"""

Fitted = tuple[float, float, float]
"""A line and noise: ln of the line's power at the start, its fall [1/s], ln of the noise."""


@dataclass(frozen=True, slots=True)
class Tail:
    """How a band's record ends."""

    noise: float
    """Mean square of the noise; 0 where the record holds none that can be told from the decay."""
    ln_level: float
    """Natural logarithm of the power of the late decay's line at the start: that power itself is no
    number where the line falls late and steeply [1]."""
    slope: float
    """Its fall [1/s]."""
    knee_s: float
    """Where the line meets the noise, or where the record ends [s]."""
    floor: float
    """What the peak is held against: the noise, in its loudest quarter where it is not steady;
    where there is none, the power at the end of the record."""
    warnings: tuple[Fact[DecayWarning], ...] = ()
    """What is odd about it."""
    until_s: float = math.inf
    """Up to where the record was used [s]."""
    disturbed: Fact[DecayWarning] | None = None
    """What other than noise ends the record in its decay."""
    sinks: bool = False
    """Whether that falls itself, far more slowly."""

    def missing(self, t_s: float) -> float:
        """Energy of the line from so late on."""
        return math.exp(self.ln_level - self.slope * t_s) / self.slope


def tail(
    band: Band, energy: Array, *, doubted: bool = False, suspected_s: tuple[float, ...] = ()
) -> Tail | None:
    """Fit the end of a band's record.

    Parameters
    ----------
    band : Band
    energy : (points + 1,)
        Running sum of the power, 0 first.
    doubted : bool
        Whether the decay is too crooked for a straight one, so that it has to be asked whether any
        sum of decays explains it; then None where one does.
    suspected_s : tuple of float
        When other bands show that something happened. [s]

    Returns
    -------
    Tail or None
        None where nothing in the record falls towards its end.
    """
    ending = Ending(band, energy, (band.stop - band.start) * band.dt_s + band.offset_s)
    if band.power.max() < SILENT:
        return None
    end_at_disturbance(ending)
    if doubted and not end_where_no_decay(ending, suspected_s):
        return None
    if ending.end_s * band.bandwidth_hz < SHORTEST_BT:
        return None
    found = _late_line(ending)
    if found is None or ending.bent:
        return found and _before_knee(ending, _first_knee(ending, found))
    return _described(ending, found)


def _late_line(ending: Ending) -> Tail | None:
    """The last decay of what is used of a record, and its noise."""
    times, powers, freedom = _whole(ending)
    _cut_rise(ending, times, powers, freedom)
    used = times < ending.end_s
    # The last stretch can be level by chance; all of the fall then makes a better start.
    starts = (FIT_ABOVE_DB + 10, math.inf)
    guesses = [_first_guess(times[used], powers[used], above_db) for above_db in starts]
    known = [guess for guess in guesses if guess is not None]
    found = _first_that(known, lambda guess: _settle(ending, guess, 0.0))
    if found is None:
        found = _first_that(known, lambda guess: _fallen_back(ending, guess))
    for _ in range(3):
        slower = _slower(ending, found) if found and not ending.bent else None
        if slower is None:
            break
        found = slower
    return found


def _first_that(guesses: Iterable[Fitted], read: Callable[[Fitted], Tail | None]) -> Tail | None:
    """What is read from the first guess that gives anything."""
    return next((found for guess in guesses if (found := read(guess)) is not None), None)


def _whole(ending: Ending) -> tuple[Array, Array, Array]:
    """Blocks of all that is used of a record."""
    count = int(np.clip(ending.end_s * ending.band.bandwidth_hz / 3, 8, 100))
    return ending.means(np.linspace(0.0, ending.end_s, 1 + count))


def _described(ending: Ending, found: Tail) -> Tail:
    """The end of a record with what is odd about it."""
    floor = max(found.floor, _loudest_quarter(ending, found)) if ending.warnings else found.floor
    warnings = (*ending.warnings, *_steady_tone(ending, found))
    found = replace(found, floor=floor, warnings=warnings, until_s=ending.end_s)
    if ending.cut_db is None:
        return found
    if found.noise > 0 and (ending.end_s - found.knee_s) * found.slope > NOISE_SEEN:
        rises = fact(DecayWarning.NOISE_RISES, rise_db=ending.cut_db, from_s=ending.end_s)
        return replace(found, warnings=(*warnings, rises))
    return replace(found, disturbed=_disturbed(ending, found))


def _disturbed(ending: Ending, found: Tail) -> Fact[DecayWarning]:
    down_db = DB_PER_NEPER * math.log(float(ending.band.power.max()) / found.floor)
    return fact(DecayWarning.DISTURBED, at_s=found.knee_s, down_db=down_db, over_db=ending.cut_db)


def _first_knee(ending: Ending, found: Tail) -> Tail:
    """The line ahead of the first knee, where what follows it is already what disturbs.

    Two lines through the levels of the blocks, split where they leave least of the squares.
    """
    times, powers, freedom = _whole(ending)
    first = int(np.argmax(powers < powers.max() * 10 ** (-ABOVE_FIT_DB / 10)))
    t, y, w = times[first:], np.log(powers[first:]), freedom[first:]
    if len(t) < 2 * LEAST_BLOCKS:
        return found
    splits = np.arange(LEAST_BLOCKS, len(t) - LEAST_BLOCKS + 1)
    ahead = [_line_through(t[:i], y[:i], w[:i]) for i in splits]
    left = [
        line[2] + _line_through(t[i:], y[i:], w[i:])[2]
        for line, i in zip(ahead, splits, strict=True)
    ]
    best = int(np.argmin(left))
    level, slope, _ = ahead[best]
    _, after, _ = _line_through(t[splits[best] :], y[splits[best] :], w[splits[best] :])
    gained = _line_through(t, y, w)[2] - left[best]
    ringing = slope * RINGING_BT > NEPERS * ending.band.bandwidth_hz
    knee_s = float(t[splits[best]])
    fall_db = DB_PER_NEPER * after * (float(t[-1]) - knee_s)
    if slope <= 0 or slope < STEEPER * after or fall_db > COUPLED_DB:
        return found  # another decay
    if gained < KNEE_SURE or ringing:
        return found
    noise = math.exp(level - slope * knee_s)
    # Near the knee what disturbs lifts the line; further up it does not.
    clear = t < knee_s - CLEAR_DB / DB_PER_NEPER / slope
    if clear.sum() >= LEAST_BLOCKS:
        level, slope, _ = _line_through(t[clear], y[clear], w[clear])
    return replace(found, noise=noise, ln_level=level, slope=slope, knee_s=knee_s)


def _line_through(t: Array, y: Array, w: Array) -> tuple[float, float, float]:
    """Weighted least squares: level at the start, fall, and what is left of the squares."""
    whole = w.sum()
    dt, dy = t - w @ t / whole, y - w @ y / whole
    slope = -float((w * dt) @ dy / ((w * dt) @ dt))
    level = float(w @ y / whole + slope * (w @ t) / whole)
    return level, slope, float(w @ (dy + slope * dt) ** 2)


def _before_knee(ending: Ending, found: Tail) -> Tail:
    """The line down to where it still stands clear of what follows, which is no steady noise."""
    clear_db = CLEAR_DB if found.noise > 0 else 0.0
    clear_s = found.knee_s - clear_db / DB_PER_NEPER / found.slope
    end_s = min(max(clear_s, 0.0), ending.end_s)
    floor = found.noise or math.exp(found.ln_level - found.slope * end_s)
    # Whether what follows the knee was there ahead of it nobody knows: half of it is taken out,
    # which is off by no more than the other half.
    ended = replace(found, noise=0.5 * found.noise, knee_s=end_s, floor=floor)
    return replace(
        ended,
        warnings=tuple(ending.warnings),
        until_s=ending.end_s,
        disturbed=_disturbed(ending, ended),
        sinks=ending.sinks,
    )


def _loudest_quarter(ending: Ending, found: Tail) -> float:
    """What an unsteady noise comes to in the loudest quarter of what is used behind the knee."""
    if found.noise <= 0 or (ending.end_s - found.knee_s) * ending.band.bandwidth_hz < 16:
        return 0.0
    return float(ending.means(np.linspace(found.knee_s, ending.end_s, 5))[1].max())


def _cut_rise(ending: Ending, times: Array, powers: Array, freedom: Array) -> None:
    """Ends the record where its quietest stretch gives way to something louder."""
    span = max(len(powers) // 10, 2)
    top = int(np.argmax(powers))
    if len(powers) - top < 3 * span:
        return
    runs = np.convolve(powers[top:], np.ones(span) / span, mode="valid")
    quietest = int(np.argmin(runs))
    # The least of many runs is low by luck, too: one more deviation.
    limit = runs[quietest] * (1.26 + (CLEAR_SD + 1) / np.sqrt(span * freedom[0]))
    louder = np.flatnonzero(runs[quietest:] > limit)
    if not louder.size:
        return
    begin = quietest + int(louder[0]) + span - 1
    rest = powers[top + begin :]
    if np.median(rest) > limit and len(rest) >= span // 2:
        ending.end_s = float(times[top + begin])
        rise_db = DB_PER_NEPER * np.log(rest.mean() / runs[quietest])
        ending.warnings.append(
            fact(DecayWarning.NOISE_RISES, rise_db=float(rise_db), from_s=ending.end_s)
        )
        return
    # A few loud blocks amid quiet ones: a click. The quiet stretch before or after it speaks for
    # the noise.
    at = float(
        times[
            top
            + quietest
            + int(louder[0])
            + int(np.argmax(powers[top + quietest + int(louder[0]) :][:span]))
        ]
    )
    ending.warnings.append(fact(DecayWarning.CLICK, at_s=at))
    half = 1.5 * (times[1] - times[0])
    ending.patch(at - half, at + half, float(runs[quietest]))


def _first_guess(times: Array, powers: Array, above_db: float) -> Fitted | None:
    """Line and noise from blocks: the quietest tenth, and what falls from so far above it after the
    loudest block."""
    top = int(np.argmax(powers))
    t, p = times[top:], powers[top:]
    span = max(len(powers) // 10, 2)
    quiet = np.convolve(p, np.ones(span) / span, mode="valid") if len(p) >= span else p[-1:]
    noise = float(quiet.min())
    db = DB_PER_NEPER * np.log(p / noise)
    if db[0] < 6:
        return None
    low = np.flatnonzero(db < min(8.0, 0.5 * db[0]))
    stop = int(low[0]) if low.size else len(db)
    high = np.flatnonzero(db[:stop] < above_db)
    begin = min(int(high[0]) if high.size else stop, max(stop - 3, 0))
    stop = max(stop, begin + 2)
    if stop > len(db):
        return None
    dt, y = t[begin:stop] - t[begin:stop].mean(), db[begin:stop]
    slope = -float(dt @ (y - y.mean()) / (dt @ dt)) / DB_PER_NEPER
    if slope <= 0:
        return None
    ln_noise = math.log(noise)
    at = float(y.mean()) / DB_PER_NEPER + slope * float(t[begin:stop].mean())
    return ln_noise + at, slope, ln_noise


def _settle(ending: Ending, guess: Fitted, not_before_s: float) -> Tail | None:
    """Fit, move the stretch to the last decibels above the noise found, and fit again until it
    stays."""
    line, knee_s = guess, 0.0
    for _ in range(6):
        before_s, knee_s = knee_s, _knee_s(line)
        still = abs(knee_s - before_s) < 0.02 * DB_PER_NEPER / line[1]
        if still or min(knee_s, before_s) > ending.end_s:
            break
        inside_s = min(knee_s, ending.end_s)
        if inside_s <= not_before_s + 2 / ending.band.bandwidth_hz:
            return None
        begin_s = max(inside_s - FIT_ABOVE_DB / DB_PER_NEPER / line[1], not_before_s)
        begin_s = min(begin_s, not_before_s + 0.7 * (inside_s - not_before_s))
        fitted = _fit(*_blocks(ending, begin_s, inside_s), line)
        if fitted is None:
            return None
        line = fitted
    return _tail_of(ending, line) if _knee_s(line) > not_before_s else None


def _fallen_back(ending: Ending, guess: Fitted) -> Tail | None:
    """What the blocks said ahead of a fit that ran off, where they fall along a line: few samples
    make a wild slope."""
    knee_s = min(_knee_s(guess), ending.end_s)
    if knee_s <= 0:
        return None
    times, powers, _ = ending.means(np.linspace(0.0, knee_s, 8))
    if len(times) < 4 or np.corrcoef(times, np.log(powers))[0, 1] > -ALONG_A_LINE:
        return None
    return _tail_of(ending, guess)


def _knee_s(line: Fitted) -> float:
    """When the line meets the noise. [s]"""
    return (line[0] - line[2]) / line[1]


def _tail_of(ending: Ending, line: Fitted) -> Tail:
    """Line and noise as the end of a record; noise that the line does not come near is none."""
    level, slope, noise = line[0], line[1], math.exp(line[2])
    knee_s = _knee_s(line)
    if knee_s < ending.end_s:
        return Tail(noise, level, slope, knee_s, noise)
    at_end = math.exp(level - slope * ending.end_s)
    return Tail(noise if noise > 0.2 * at_end else 0.0, level, slope, ending.end_s, at_end + noise)


def _blocks(ending: Ending, begin_s: float, knee_s: float) -> tuple[Array, Array, Array]:
    """Some thirty blocks down to the knee, and behind it ones of growing length."""
    count = int(np.clip((knee_s - begin_s) * ending.band.bandwidth_hz, 4, 30))
    step = (knee_s - begin_s) / count
    ahead = begin_s + step * np.arange(count + 1)
    behind = knee_s + step * _GROWING
    return ending.means(
        np.concatenate((ahead, behind[behind < ending.end_s - step], [ending.end_s]))
    )


_GROWING = (1.15 ** np.arange(1, 60) - 1) / 0.15

EXPONENT = 700.0
"""Beyond it an exponential is no number any more; a line that far off has left the record. [1]"""


def _fit(t: Array, p: Array, w: Array, guess: Fitted) -> Fitted | None:
    """Scoring steps on the gamma likelihood for ln A, k and ln N."""
    a, k, n = guess
    slopes = np.empty((3, len(t)))
    for _ in range(8):
        if not (k > 0 and abs(a - k * t[0]) < EXPONENT and n > -EXPONENT):
            return None
        line, floor = np.exp(np.maximum(a - k * t, -EXPONENT)), math.exp(n)
        mu = line + floor
        np.divide(line, mu, out=slopes[0])
        np.multiply(slopes[0], -t, out=slopes[1])
        np.divide(floor, mu, out=slopes[2])
        weighted = slopes * w
        move = _solve((weighted @ slopes.T).tolist(), (weighted @ (p / mu - 1)).tolist())
        if move is None:
            return None
        da, dk, dn = (
            min(max(m, -most), most) for m, most in zip(move, (1.5, 0.5 * k, 1.5), strict=True)
        )
        a, k, n = a + da, k + dk, n + dn
        if abs(da) < 1e-3 and abs(dn) < 1e-3 and abs(dk) < 1e-3 * k:
            break
    return (a, k, n) if k > 0 and abs(a - k * t[0]) < EXPONENT and n > -EXPONENT else None


def _solve(m: list[list[float]], v: list[float]) -> tuple[float, float, float] | None:
    """Three symmetric equations, each diagonal raised a little so that a noise of nothing does no
    harm."""
    a, d, f = (m[i][i] * (1 + 1e-9) for i in range(3))
    f += 1e-6
    b, c, e = m[0][1], m[0][2], m[1][2]
    x, y, z = d * f - e * e, c * e - b * f, b * e - c * d
    whole = a * x + b * y + c * z
    if not math.isfinite(whole) or whole <= 0:
        return None
    rows = ((x, y, z), (y, a * f - c * c, b * c - a * e), (z, b * c - a * e, a * d - b * b))
    one, two, three = ((r[0] * v[0] + r[1] * v[1] + r[2] * v[2]) / whole for r in rows)
    return one, two, three


def _slower(ending: Ending, found: Tail) -> Tail | None:
    """A slower decay where the first fit took noise, if what it took for noise still falls."""
    begin = found.knee_s + 6 / DB_PER_NEPER / found.slope
    seconds = ending.end_s - begin
    if found.noise <= 0 or seconds * ending.band.bandwidth_hz < 16:
        return None
    _, powers, freedom = ending.means(begin + seconds * np.array([0.0, 0.25, 0.5, 0.75, 1.0]))
    if len(powers) < 4:
        return None
    logs = np.log(powers)
    fall = float(logs[:2].mean() - logs[2:].mean())
    if fall < max(CLEAR_SD / np.sqrt(float(freedom[0])), 0.35):
        return None
    slope = fall / (seconds / 2)
    level = float(logs[0]) + slope * (begin + seconds / 8)
    later = _settle(ending, (level, slope, float(logs[-1]) - math.log(2)), begin)
    if later is None:
        later = Tail(0.0, level, slope, ending.end_s, math.exp(level - slope * ending.end_s))
    if _coupled(ending, found, later):
        return later
    fall_db = 2 * fall * DB_PER_NEPER
    if fall_db > NOISE_SINKS_DB:
        ending.cut_db, ending.bent, ending.sinks = fall_db, True, True
        return None
    ending.warnings.append(fact(DecayWarning.NOISE_FALLS, fall_db=fall_db, from_s=begin))
    return _settle_on(ending, found, begin, seconds / 4)


def _coupled(ending: Ending, found: Tail, later: Tail) -> bool:
    """Whether a second slope can be another room's, not too slow and seen far enough; or the room's
    own, as the first is the filter's ringing after a strong direct sound."""
    early = early_line(ending, found, later)
    if NEPERS / early[1] * ending.band.bandwidth_hz < RINGING_BT:
        return True
    down_db = DB_PER_NEPER * later.slope * (later.knee_s - found.knee_s)
    return later.slope >= early[1] / SLOWEST and down_db >= COUPLED_DB


def early_line(ending: Ending, found: Tail, later: Tail) -> tuple[float, float]:
    """The decay ahead of a slower one, with what the slower one and the noise put under it taken
    into account: ln of its power at the start, and its fall. [1/s]"""
    count = int(np.clip(later.knee_s * ending.band.bandwidth_hz, 8, 60))
    t, p, w = ending.means(np.linspace(0.0, min(2 * found.knee_s, later.knee_s), count + 1))
    under = np.exp(later.ln_level - later.slope * t) + later.noise
    first = int(np.argmax(p < p.max() * 10 ** (-ABOVE_FIT_DB / 10)))
    t, p, w, under = t[first:], p[first:], w[first:], under[first:]
    a, k = found.ln_level, found.slope
    for _ in range(8):
        line = np.exp(np.clip(a - k * t, -EXPONENT, EXPONENT))
        mu = line + under
        slopes = np.stack((line / mu, -t * line / mu))
        weighted = slopes * w
        m, v = weighted @ slopes.T, weighted @ (p / mu - 1)
        whole = m[0, 0] * m[1, 1] - m[0, 1] ** 2
        if not whole > 1e-12 * m[0, 0] * m[1, 1]:
            break
        da = (m[1, 1] * v[0] - m[0, 1] * v[1]) / whole
        dk = (m[0, 0] * v[1] - m[0, 1] * v[0]) / whole
        a, k = a + float(np.clip(da, -1.5, 1.5)), k + float(np.clip(dk, -0.3 * k, 0.5 * k))
    return a, k


def _settle_on(ending: Ending, found: Tail, begin_s: float, seconds: float) -> Tail | None:
    """The same decay against the noise right behind the knee alone."""
    ending.end_s = begin_s + seconds
    return _settle(ending, (found.ln_level, found.slope, math.log(found.noise)), 0.0)


def _steady_tone(ending: Ending, found: Tail) -> tuple[Fact[DecayWarning], ...]:
    """Warn where the noise hardly fluctuates: a tone, not a noise."""
    band = ending.band
    a, b = (
        int(i)
        for i in ending.index(
            np.array([found.knee_s + 10 / DB_PER_NEPER / found.slope, ending.end_s])
        )
    )
    if found.noise <= 0 or (b - a) * band.dt_s * band.bandwidth_hz < 10:
        return ()
    power = band.power[a:b]
    mean = float(power.mean())
    if float(power.std()) > 0.5 * mean:
        return ()
    return (fact(DecayWarning.STEADY_TONE),)
