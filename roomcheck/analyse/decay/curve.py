"""The decay curve of a band: squared, integrated backwards, without its noise and with its missing
tail."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from roomcheck.analyse.band.bands import Band
from roomcheck.analyse.band.blocks import DB_PER_NEPER
from roomcheck.analyse.band.noise import Tail


@dataclass(frozen=True, slots=True, eq=False)
class Curve:
    """Energy still to come, from the start of the response on."""

    t_s: NDArray[np.float64]
    """From 0 on, (points,) [s]."""
    db: NDArray[np.float64]
    """Re all the energy of the band, its smeared half before the start included, (points,) [dB]."""
    total: float
    """That energy."""
    floor_db: float
    """Where the curve meets the noise or the end of the record [dB]."""


@dataclass(frozen=True, slots=True)
class LineFit:
    """A straight line through a stretch of a curve: reverberation time and correlation."""

    t60_s: float
    correlation: float


def decay_curve(band: Band, energy: NDArray[np.float64], end: Tail) -> Curve | None:
    """The decay curve, or None where the noise leaves no energy to speak of.

    Parameters
    ----------
    band : Band
    energy : (points + 1,)
        Running sum of the power, 0 first.
    end : Tail
    """
    last = int(
        np.clip(
            round((end.knee_s - band.offset_s) / band.dt_s) + band.start, band.start + 1, band.stop
        )
    )
    t = (np.arange(last + 1 - band.start, dtype=np.float64) - 0.5) * band.dt_s + band.offset_s
    missing = end.missing(float(t[-1]))
    still = (
        (energy[last] - energy[band.start : last + 1]) * band.dt_s
        - end.noise * (t[-1] - t)
        + missing
    )
    total = (energy[last] - energy[0]) * band.dt_s - end.noise * (t[-1] - t[0]) + missing
    if not (total > 0 and still[0] > 0 and missing > 0):
        return None
    # What is left at the knee is the line's own tail, however the sums fluctuate.
    db = DB_PER_NEPER * np.log(np.maximum(still, missing) / total)
    return Curve(t, db, float(total), float(db[-1]))


def fit_line(curve: Curve, from_db: float, to_db: float) -> LineFit | None:
    """Least squares from the last crossing of `from_db` to the first one of `to_db` after it; None
    where it does not get there."""
    reached = curve.db <= to_db
    if not reached.any():
        return None
    stop = int(np.argmax(reached))
    above = np.flatnonzero(curve.db[:stop] >= from_db)
    begin = int(above[-1]) if above.size else 0
    t, y = _ends(curve, begin, stop, from_db, to_db)
    if len(t) < 3:
        return None
    dt, dy = t - t.mean(), y - y.mean()
    tt, ty, yy = dt @ dt, dt @ dy, dy @ dy
    if ty >= 0:
        return None
    return LineFit(float(-60 * tt / ty), float(-ty / np.sqrt(tt * yy)))


def _ends(
    curve: Curve, begin: int, stop: int, from_db: float, to_db: float
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """The stretch, resampled so that it begins and ends at its limits to the point."""
    t, y = curve.t_s, curve.db
    a = (
        t[begin]
        if y[begin] <= from_db
        else t[begin] + _share(y[begin], y[begin + 1], from_db) * (t[begin + 1] - t[begin])
    )
    b = t[stop - 1] + _share(y[stop - 1], y[stop], to_db) * (t[stop] - t[stop - 1])
    grid = np.linspace(a, b, min(max(stop - begin, 50), 400))
    return grid, np.interp(grid, t[begin : stop + 1], y[begin : stop + 1])


def _share(high: float, low: float, at: float) -> float:
    return float((high - at) / (high - low)) if high > low else 0.0
