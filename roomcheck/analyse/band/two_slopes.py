r"""Two decays, one after the other, as coupled rooms have.

The power is taken as :math:`A_1 e^{-k_1 t} + A_2 e^{-k_2 t} + N` and fitted to blocks by scoring on
the gamma likelihood. It is given where it explains the record far better than one decay does and
each of the two is seen over a stretch of its own.
"""

from __future__ import annotations

import math

import numpy as np

from roomcheck.analyse.band.bands import Band
from roomcheck.analyse.band.blocks import DB_PER_NEPER, Array, Ending
from roomcheck.analyse.band.noise import Tail, early_line
from roomcheck.analyse.band.results import SLOWEST, TwoSlopes

NEPERS = 6 * math.log(10)

BETTER = 16.0
"""How far two slopes must lower the deviance of one; two numbers more alone lower it by as much in
one of three thousand (chi-square of two degrees). [1]"""

APART = 1.4
"""Two decays nearer to one another than this are one that bends. [1]"""

FARTHEST = 20.0
"""Two decays further apart are given by nobody. [1]"""

FAR_DB = 20.0
"""The late one of two decays further apart than `SLOWEST` is seen to fall by so much: a noise that
runs out falls by less. [dB]"""

CROOKED = 2.0
"""Deviance for each block above which no two slopes explain a record; chance makes it 1. [1]"""

STEEPENS_SD = 3.5
"""A late decay that falls ever faster by so many standard deviations of chance is none. [1]"""

SEEN_DB = 8.0
"""Each of the two is seen to fall by so much. [dB]"""

AFTER_DB = 3.0
"""The first decibels, direct sound and first reflections, say nothing of slopes. [dB]"""

EXPONENT = 700.0


def two_slopes(band: Band, energy: Array, end: Tail) -> TwoSlopes | None:
    """Both decays of a record; None where one explains it, or something that is no decay ends it.

    Parameters
    ----------
    band : Band
    energy : (points + 1,)
        Running sum of the power, 0 first, clicks left out.
    end : Tail
        How the record ends.
    """
    if end.disturbed is not None and not end.sinks:
        return None
    ending = Ending(band, energy, end.until_s)
    count = int(np.clip(end.until_s * band.bandwidth_hz / 2, 12, 90))
    t, p, w = ending.means(np.linspace(0.0, end.until_s, count + 1))
    first = int(np.argmax(p < p.max() * 10 ** (-AFTER_DB / 10)))
    t, p, w = t[first:], p[first:], w[first:]
    if len(t) < 10:
        return None
    noise = math.log(max(end.noise, ending.least))
    _, of_one = _scored(t, p, w, np.array([end.ln_level, end.slope, noise]))
    starts = _far_apart(end, t, p) if end.sinks else _coupled(ending, end, t, p)
    if not starts:
        return None
    found = [_scored(t, p, w, np.array([*start, noise])) for start in starts]
    two, of_two = min(found, key=lambda scored: scored[1])
    if of_one - of_two < BETTER or of_two > CROOKED * len(t):
        return None
    if _late_one_steepens(t, p, w, two):
        return None
    return _both(two, end.until_s)


def _late_one_steepens(t: Array, p: Array, w: Array, at: Array) -> bool:
    r"""Whether the late decay falls ever faster, as a hump does and no sum of decays.

    Score test for a square of time in the exponent of the late decay: of its derivative
    :math:`d\ln\mu/dc = -t^2 P_2/\mu` what the others do not span, U, over the root of its variance
    (C. R. Rao, Proc. Cambridge Phil. Soc. 44 (1948) 50; from memory).
    """
    parts = _parts(t, at)
    mu = parts.sum(axis=0)
    late = parts[1] if at[3] < at[1] else parts[0]
    columns = [column for part in parts[:-1] for column in (part / mu, t * part / mu)]
    others, root = np.stack([*columns, parts[-1] / mu], axis=1), np.sqrt(w)
    square = -(t**2) * late / mu
    held, *_ = np.linalg.lstsq(others * root[:, None], square * root, rcond=1e-10)
    own = square - others @ held
    variance = float(w @ own**2)
    score = float((w * own) @ (p / mu - 1))
    return variance > 0 and score > STEEPENS_SD * math.sqrt(variance)


def _coupled(ending: Ending, end: Tail, t: Array, p: Array) -> list[tuple[float, ...]]:
    """Where to begin from a late decay: ln A and k of an early one ahead of it, and its own."""
    early = early_line(ending, end, end)[1]
    return [
        (float(np.log(p[0])) + slope * t[0], slope, end.ln_level, end.slope)
        for slope in (max(early, 1.5 * end.slope), 3 * end.slope)
    ]


def _far_apart(end: Tail, t: Array, p: Array) -> list[tuple[float, ...]]:
    """Where to begin from an early decay: its ln A and k, and those of what follows."""
    after = t > end.knee_s
    if after.sum() < 4:
        return []
    fall, level = np.polyfit(t[after], np.log(p[after]), 1)
    return [(end.ln_level, end.slope, float(level), max(-float(fall), 1e-3 * end.slope))]


def _both(found: Array, until_s: float) -> TwoSlopes | None:
    a1, k1, a2, k2, n = (float(x) for x in found)
    if k2 > k1:
        a1, k1, a2, k2 = a2, k2, a1, k1
    if not (k2 > 0 and APART * k2 <= k1 <= FARTHEST * k2 and a1 > a2):
        return None
    meet_s, knee_s = (a1 - a2) / (k1 - k2), min((a2 - n) / k2, until_s)
    late_db = FAR_DB if k1 > SLOWEST * k2 else SEEN_DB
    if k1 * meet_s * DB_PER_NEPER < SEEN_DB or k2 * (knee_s - meet_s) * DB_PER_NEPER < late_db:
        return None
    shares = np.array([math.exp(a1 - a2) / k1, 1 / k2])
    left = float(shares @ np.exp(-np.array([k1, k2]) * meet_s) / shares.sum())
    return TwoSlopes(early_s=NEPERS / k1, late_s=NEPERS / k2, meet_db=DB_PER_NEPER * math.log(left))


def _scored(t: Array, p: Array, w: Array, start: Array) -> tuple[Array, float]:
    """The likeliest decays and noise (ln A, k each, ln N last), and their deviance."""
    at, parts = start, _parts(t, start)
    mu = parts.sum(axis=0)
    best, back = (start, _deviance(mu, p, w)), -t
    slopes = np.empty((len(at), len(t)))
    most = np.full(len(at), 1.0)
    for _ in range(25):
        np.divide(parts[:-1], mu, out=slopes[:-1:2])
        np.multiply(back, parts[:-1], out=slopes[1::2])
        slopes[1::2] /= mu
        np.divide(parts[-1], mu, out=slopes[-1])
        weighted = slopes * w
        matrix = weighted @ slopes.T
        diagonal = matrix.reshape(-1)[:: len(at) + 1]
        diagonal *= 1 + 1e-6
        diagonal += 1e-12
        step = np.linalg.solve(matrix, weighted @ (p / mu - 1))
        most[1:-1:2] = 0.3 * at[1:-1:2]
        at = at + np.minimum(np.maximum(step, -most), most)
        parts = _parts(t, at)
        mu = parts.sum(axis=0)
        deviance = _deviance(mu, p, w)
        settled = abs(best[1] - deviance) < 1e-3
        if deviance < best[1]:
            best = at, deviance
        if settled:
            break
    return best


def _parts(t: Array, at: Array) -> Array:
    """Power of each decay, and of the noise: (decays + 1, blocks)."""
    decays = len(at) // 2
    parts = np.empty((decays + 1, len(t)))
    levels, falls = at[:-1:2, None], at[1::2, None]
    exponents = np.minimum(np.maximum(levels - falls * t, -EXPONENT), EXPONENT)
    np.exp(exponents, out=parts[:-1])
    parts[-1] = math.exp(max(float(at[-1]), -EXPONENT))
    return parts


def _deviance(expected: Array, p: Array, w: Array) -> float:
    ratio = p / expected
    return float(2 * (w * (ratio - 1 - np.log(ratio))).sum())
