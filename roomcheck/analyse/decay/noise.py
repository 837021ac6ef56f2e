r"""Where a decay sinks into the noise, by a fit of both to the record.

The power of a band in blocks is taken as :math:`\mu(t) = A e^{-kt} + N`, each block as a gamma
variable of as many degrees of freedom as its length times the bandwidth has. The fit covers the
last decibels above the noise and all that follows, so a bend further up does not matter. What
follows must be proved steady: a tail that still falls is decay, one that rises is cut off, a click
in it is left out.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from roomcheck.analyse.decay.bands import Band
from roomcheck.analyse.decay.results import DecayWarning
from roomcheck.facts import Fact, fact

FIT_ABOVE_DB = 20.0
"""The fit starts where the decay is this far above the noise. [dB]"""

CLEAR_SD = 4.0
"""So many standard deviations of chance make a difference. [1]"""

SLOWEST, NOISE_SINKS_DB = 5.0, 20.0
"""What falls so much more slowly than the decay before it, and by no more than this, is no decay of
a coupled room but noise that sinks. [1], [dB]"""

DB_PER_NEPER = 10 / math.log(10)

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Tail:
    """How a band's record ends."""

    noise: float
    """Mean square of the noise; 0 where the record holds none that can be told from the decay."""
    level: float
    """Power at the start of the late decay's line, level exp(-slope t) [1]."""
    slope: float
    """How fast that line falls [1/s]."""
    knee_s: float
    """Where the line meets the noise, or where the record ends [s]."""
    floor: float
    """What the peak is held against: the noise, in its loudest quarter where it is not steady;
    where there is none, the power at the end of the record."""
    warnings: tuple[Fact[DecayWarning], ...] = ()
    """What is odd about it."""


@dataclass(slots=True)
class Ending:
    """A band's record while its end is being looked for."""

    band: Band
    energy: Array
    """Running sum of the power, 0 first, (points + 1,)."""
    end_s: float
    """What lies behind is not used [s]."""
    warnings: list[Fact[DecayWarning]] = field(default_factory=list)

    def index(self, t_s: Array) -> NDArray[np.int64]:
        band = self.band
        points = np.rint((t_s - band.offset_s) / band.dt_s).astype(np.int64) + band.start
        return np.minimum(np.maximum(points, 0), band.stop)

    def means(self, edges_s: Array) -> tuple[Array, Array, Array]:
        """Middle, mean power and degrees of freedom of the blocks between the edges."""
        edges = self.index(edges_s)
        edges = edges[np.concatenate(([True], edges[1:] > edges[:-1]))]
        lengths = (edges[1:] - edges[:-1]).astype(np.float64)
        powers = (self.energy[edges[1:]] - self.energy[edges[:-1]]) / lengths
        middles = 0.5 * (edges[1:] + edges[:-1]).astype(np.float64) - (0.5 + self.band.start)
        times: Array = self.band.dt_s * middles + self.band.offset_s
        freedom: Array = lengths * (self.band.dt_s * self.band.bandwidth_hz)
        return times, powers, freedom


def tail(band: Band, energy: Array) -> Tail | None:
    """Fits the end of a band's record.

    Parameters
    ----------
    band : Band
    energy : (points + 1,)
        Running sum of the power, 0 first.

    Returns
    -------
    Tail or None
        None where nothing in the record falls towards its end.
    """
    ending = Ending(band, energy, (band.stop - band.start) * band.dt_s + band.offset_s)
    times, powers, freedom = ending.means(
        np.linspace(0.0, ending.end_s, 1 + _count(band, ending.end_s))
    )
    if powers.max() <= 0:
        return None
    _cut_rise(ending, times, powers, freedom)
    used = times < ending.end_s
    found = None
    # The last stretch can be level by chance; all of the fall then makes a better start.
    for above_db in (FIT_ABOVE_DB + 10, math.inf):
        first = _first_guess(times[used], powers[used], above_db)
        found = _settle(ending, first, 0.0) if first else None
        if found is not None:
            break
    for _ in range(3):
        slower = _slower(ending, found) if found else None
        if slower is None:
            break
        found = slower
    if found is None:
        return None
    floor = max(found.floor, _loudest_quarter(ending, found)) if ending.warnings else found.floor
    warnings = (*ending.warnings, *_steady_tone(ending, found))
    return replace(found, floor=floor, warnings=warnings)


def _loudest_quarter(ending: Ending, found: Tail) -> float:
    """What an unsteady noise comes to in the loudest quarter of what is used behind the knee."""
    if found.noise <= 0 or (ending.end_s - found.knee_s) * ending.band.bandwidth_hz < 16:
        return 0.0
    return float(ending.means(np.linspace(found.knee_s, ending.end_s, 5))[1].max())


def _count(band: Band, seconds: float) -> int:
    return int(np.clip(seconds * band.bandwidth_hz / 3, 8, 100))


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
    _patch(ending, at - half, at + half, float(runs[quietest]))


def _patch(ending: Ending, from_s: float, to_s: float, power: float) -> None:
    a, b = (int(i) for i in ending.index(np.array([from_s, to_s])))
    energy = ending.energy
    step = power * (b - a) - (energy[b] - energy[a])
    energy[a : b + 1] = energy[a] + power * np.arange(b - a + 1)
    energy[b + 1 :] += step


def _first_guess(times: Array, powers: Array, above_db: float) -> tuple[float, float, float] | None:
    """Line and noise from blocks: the quietest tenth, and what falls from so far above it after the
    loudest block."""
    top = int(np.argmax(powers))
    t, p = times[top:], powers[top:]
    span = max(len(powers) // 10, 2)
    quiet = np.convolve(p, np.ones(span) / span, mode="valid") if len(p) >= span else p[-1:]
    noise = max(float(quiet.min()), float(p[0]) * 1e-20)
    db = DB_PER_NEPER * np.log(np.maximum(p, noise * 1e-3) / noise)
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
    return (
        noise * float(np.exp(y.mean() / DB_PER_NEPER + slope * t[begin:stop].mean())),
        slope,
        noise,
    )


def _settle(ending: Ending, guess: tuple[float, float, float], not_before_s: float) -> Tail | None:
    """Fits, moves the stretch to the last decibels above the noise found, and fits again until it
    stays."""
    level, slope, noise = guess
    end_s, knee = ending.end_s, 0.0
    for _ in range(6):
        before, knee = knee, float(np.log(level / noise) / slope)
        if abs(knee - before) < 0.02 * DB_PER_NEPER / slope or (min(knee, before) > end_s):
            break
        inside = min(knee, end_s)
        if inside <= not_before_s + 2 / ending.band.bandwidth_hz:
            return None
        begin = max(inside - FIT_ABOVE_DB / DB_PER_NEPER / slope, not_before_s)
        begin = min(begin, not_before_s + 0.7 * (inside - not_before_s))
        fitted = _fit(*_blocks(ending, begin, inside), (level, slope, noise))
        if fitted is None:
            return None
        level, slope, noise = fitted
    knee = float(np.log(level / noise) / slope)
    if knee <= not_before_s:
        return None
    if knee < end_s:
        return Tail(noise, level, slope, knee, noise)
    at_end = level * float(np.exp(-slope * end_s))
    return Tail(noise if noise > 0.2 * at_end else 0.0, level, slope, end_s, at_end + noise)


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


def _fit(
    t: Array, p: Array, w: Array, guess: tuple[float, float, float]
) -> tuple[float, float, float] | None:
    """Scoring steps on the gamma likelihood for ln A, k and ln N."""
    a, k, n = math.log(guess[0]), guess[1], math.log(max(guess[2], 1e-300))
    late = t[-1]
    slopes = np.empty((3, len(t)))
    for _ in range(8):
        # Beyond 700 the exponential is no number any more; such a line has left the record anyway.
        if not (k > 0 and abs(a) < 700 and n > -700):
            return None
        line, floor = (
            np.exp(a - k * t if a - k * late > -700 else np.maximum(a - k * t, -700.0)),
            math.exp(n),
        )
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
    return (math.exp(a), k, math.exp(n)) if k > 0 and abs(a) < 700 else None


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
    if len(powers) < 4 or powers.min() <= 0:
        return None
    logs = np.log(powers)
    fall = float(logs[:2].mean() - logs[2:].mean())
    if fall < max(CLEAR_SD / np.sqrt(float(freedom[0])), 0.35):
        return None
    slope = fall / (seconds / 2)
    if slope < found.slope / SLOWEST and 2 * fall * DB_PER_NEPER < NOISE_SINKS_DB:
        fall_db = 2 * fall * DB_PER_NEPER
        ending.warnings.append(fact(DecayWarning.NOISE_FALLS, fall_db=fall_db, from_s=begin))
        return _settle_on(ending, found, begin, seconds / 4)
    level = float(powers[0] * np.exp(slope * (begin + seconds / 8)))
    later = _settle(ending, (level, slope, float(powers[-1]) * 0.5), begin)
    if later is not None:
        return later
    at_end = float(level * np.exp(-slope * ending.end_s))
    return Tail(0.0, level, slope, ending.end_s, at_end)


def _settle_on(ending: Ending, found: Tail, begin_s: float, seconds: float) -> Tail | None:
    """The same decay against the noise right behind the knee alone."""
    ending.end_s = begin_s + seconds
    return _settle(ending, (found.level, found.slope, found.noise), 0.0)


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
