r"""Where a decay sinks into the noise, by a fit of both to the record.

The power of a band in blocks is taken as :math:`\mu(t) = A e^{-kt} + N`, each block as a gamma variable of as many
degrees of freedom as its length times the bandwidth has. The fit covers the last decibels above the noise and all
that follows, so a bend further up does not matter.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from roomcheck.analyse.bands import Band

FIT_ABOVE_DB = 20.0
"""The fit starts where the decay is this far above the noise. [dB]"""

DB_PER_NEPER = 10 / np.log(10)


@dataclass(frozen=True, slots=True)
class Tail:
    """How a band's record ends.

    Attributes
    ----------
    noise : float
        Mean square of the noise; 0 where the record holds none that can be told from the decay.
    level, slope : float
        Power of the late decay's line at the start, and its fall: level exp(-slope t). [1], [1/s]
    knee_s : float
        Where the line meets the noise, or where the record ends. [s]
    floor : float
        The noise, or where there is none the power at the end of the record: what the peak is held against.
    flags : tuple of str
        Sentences for what is odd about it.
    """

    noise: float
    level: float
    slope: float
    knee_s: float
    floor: float
    flags: tuple[str, ...] = ()


def tail(band: Band, energy: NDArray[np.float64]) -> Tail | None:
    """Fits the end of a band.

    Parameters
    ----------
    band : Band
    energy : (points + 1,)
        Running sum of the power, 0 first.

    Returns
    -------
    Tail or None
        None where nothing in the record decays.
    """
    t_end = (band.stop - band.start) * band.dt_s + band.offset_s
    means, step = _blocks(band, energy, 0.0, t_end, _count(band, t_end))
    first = _first_guess(means, step)
    if first is None:
        return None
    level, slope, noise = first
    for _ in range(6):
        knee = np.log(level / noise) / slope if noise > 0 else np.inf
        inside = min(knee, t_end)
        begin = max(inside - FIT_ABOVE_DB / DB_PER_NEPER / slope, 0.0)
        begin = min(begin, 0.7 * inside)
        times, powers, weights = _fit_blocks(band, energy, begin, inside, t_end)
        fitted = _fit(times, powers, weights, (level, slope, noise))
        if fitted is None:
            return None
        level, slope, noise = fitted
    knee = np.log(level / noise) / slope if noise > 0 else np.inf
    if knee >= t_end:
        at_end = level * np.exp(-slope * t_end)
        return Tail(noise if noise > 0.2 * at_end else 0.0, level, slope, t_end, at_end + noise)
    if knee <= 0:
        return None
    return Tail(noise, level, slope, float(knee), noise)


def _count(band: Band, seconds: float) -> int:
    return int(np.clip(seconds * band.bandwidth_hz / 2, 8, 120))


def _index(band: Band, t_s: NDArray[np.float64]) -> NDArray[np.int64]:
    points = np.rint((t_s - band.offset_s) / band.dt_s).astype(np.intp) + band.start
    return np.clip(points, 0, band.stop)


def _blocks(
    band: Band, energy: NDArray[np.float64], begin_s: float, end_s: float, count: int
) -> tuple[NDArray[np.float64], float]:
    edges = _index(band, np.linspace(begin_s, end_s, count + 1))
    return np.diff(energy[edges]) / np.maximum(np.diff(edges), 1), (end_s - begin_s) / count


def _first_guess(means: NDArray[np.float64], step: float) -> tuple[float, float, float] | None:
    """Line and noise from the block means: the quietest tenth, and what stands above it after the loudest block."""
    top = int(np.argmax(means))
    span = max(len(means) // 10, 2)
    quiet = np.convolve(means[top:], np.ones(span) / span, mode="valid") if len(means) - top >= span else means[-1:]
    noise = float(quiet.min())
    if noise <= 0:
        noise = float(means[top]) * 1e-20
    db = DB_PER_NEPER * np.log(np.maximum(means[top:], noise * 1e-3) / noise)
    below = np.flatnonzero(db < min(8.0, 0.5 * db[0]))
    stop = int(below[0]) if below.size else len(db)
    if db[0] < 6 or stop < 1:
        return None
    begin = max(int(np.argmax(db[:stop] < FIT_ABOVE_DB + 10)) if (db[:stop] < FIT_ABOVE_DB + 10).any() else 0, 0)
    begin = min(begin, max(stop - 3, 0))
    stop = max(stop, begin + 2)
    if stop > len(db):
        return None
    t = (top + np.arange(begin, stop) + 0.5) * step
    y = db[begin:stop]
    slope = float(-np.polyfit(t, y, 1)[0]) / DB_PER_NEPER
    if slope <= 0:
        return None
    level = float(np.exp(y.mean() / DB_PER_NEPER + slope * t.mean())) * noise
    return level, slope, noise


def _fit_blocks(
    band: Band, energy: NDArray[np.float64], begin_s: float, knee_s: float, end_s: float
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """Some thirty blocks down to the knee, and as many of growing length behind it."""
    ahead = np.linspace(begin_s, knee_s, 1 + int(np.clip((knee_s - begin_s) * band.bandwidth_hz, 4, 30)))
    step = ahead[1] - ahead[0]
    behind = knee_s + step * (1.15 ** np.arange(1, 60) - 1) / 0.15
    edges = _index(band, np.concatenate((ahead, behind[behind < end_s - step], [end_s])))
    edges = np.unique(edges)
    lengths = np.diff(edges)
    powers = np.diff(energy[edges]) / lengths
    times = (0.5 * (edges[1:] + edges[:-1] - 1) - band.start) * band.dt_s + band.offset_s
    return times, powers, lengths * band.dt_s * band.bandwidth_hz


def _fit(
    t: NDArray[np.float64], p: NDArray[np.float64], w: NDArray[np.float64], guess: tuple[float, float, float]
) -> tuple[float, float, float] | None:
    """Scoring steps on the gamma likelihood for ln A, k and ln N."""
    level, slope, noise = guess
    x = np.array([np.log(level), slope, np.log(max(noise, 1e-300))])
    for _ in range(8):
        line, floor = np.exp(np.minimum(x[0] - x[1] * t, 700)), np.exp(x[2])
        mu = line + floor
        slopes = np.stack((line / mu, -t * line / mu, np.full_like(t, floor) / mu))
        score = slopes @ (w * (p / mu - 1))
        fisher = (slopes * w) @ slopes.T
        fisher[np.diag_indices(3)] *= 1 + 1e-9
        fisher[2, 2] += 1e-6
        try:
            move = np.linalg.solve(fisher, score)
        except np.linalg.LinAlgError:
            return None
        move = np.clip(move, [-1.5, -0.5 * abs(x[1]), -1.5], [1.5, 0.5 * abs(x[1]), 1.5])
        x = x + move
        if np.abs(move[[0, 2]]).max() < 1e-4 and abs(move[1]) < 1e-4 * abs(x[1]):
            break
    if not np.isfinite(x).all() or x[1] <= 0:
        return None
    return float(np.exp(x[0])), float(x[1]), float(np.exp(x[2]))
