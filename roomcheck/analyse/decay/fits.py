"""A band to its decay curve and the standard fits, each with the reason where there is none."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from roomcheck.analyse.decay.bands import Band
from roomcheck.analyse.decay.curve import Curve, Line, decay_curve, fit_line
from roomcheck.analyse.decay.decay_reasons import Words
from roomcheck.analyse.decay.noise import Tail, tail
from roomcheck.standards import iso_3382_2_2008 as iso

Array = NDArray[np.float64]

Lines = tuple[Line | None, Line | None, Line | None]
"""EDT, T20 and T30."""

CLEAR_DB = 3.0
"""The decay curve itself must reach so far below a fit before it sinks into the noise; 10 dB below
that of EDT, which has no other margin. [dB]"""

CROOKED_PERMILLE = {"T20": 150.0, "T30": 100.0}
"""A stretch whose non-linearity is above this is not called a decay: two decays as far apart as
those of coupled rooms stay below 60; what few independent samples do by chance is often more, and
such a stretch says little. [permille]"""


def curve_of(band: Band) -> tuple[Array, Tail | None, Curve | None]:
    """Running sum of a band's power, how its record ends, and its decay curve."""
    energy = np.concatenate(([0.0], np.cumsum(band.power)))
    end = tail(band, energy)
    return energy, end, decay_curve(band, energy, end) if end else None


def lines_of(curve: Curve, words: Words) -> Lines:
    """EDT, T20 and T30, in this order."""
    t20 = _fit(curve, -5.0, -25.0, "T20", iso.T20_RANGE_DB, words)
    t30 = _fit(curve, -5.0, -35.0, "T30", iso.T30_RANGE_DB, words)
    return _fit(curve, 0.0, -10.0, "EDT", iso.EDT_RANGE_DB, words), t20, t30


def peak_to_noise_db(band: Band, energy: Array, end: Tail | None) -> float:
    """Peak of the squared band signal over the mean square at the end of its record. [dB]"""
    peak = 2 * float(band.power[band.start : band.stop].max())
    count = max((band.stop - band.start) // 10, 1)
    floor = end.floor if end else float(energy[band.stop] - energy[band.stop - count]) / count
    return 10 * math.log10(max(peak, 1e-300) / max(floor, peak * 1e-30, 1e-300))


def _fit(
    curve: Curve, from_db: float, to_db: float, name: str, needed_db: float, words: Words
) -> Line | None:
    """A fit, or the reason why there is none."""
    if words.range_db < needed_db:
        words.lacks(name, needed_db)
        return None
    clear_db = 10.0 if name == "EDT" else CLEAR_DB
    if curve.floor_db > to_db - clear_db:
        words.sinks(name, to_db, curve.floor_db, clear_db)
        return None
    line = fit_line(curve, from_db, to_db)
    if line is None or iso.non_linearity_permille(line.correlation) > CROOKED_PERMILLE.get(
        name, math.inf
    ):
        words.no_line(name, line)
        return None
    return line
