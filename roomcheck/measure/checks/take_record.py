"""A take ready to be looked at, and what a look at it finds."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from roomcheck.measure.signal.deconvolution import Lags

NEEDED_DB = 35.0
"""Peak to noise that T20 needs: ISO 3382-1:2009, 5.3.3, range + 15 dB, as quoted in open analysis
code. [dB]"""

MAIN_HZ = (250.0, 4000.0)
"""Octaves without which a take is not worth keeping; those outside only get a warning. [Hz]"""

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Heard:
    """A take, ready to be looked at.

    Attributes
    ----------
    raw : (frames,)
        Recorder's own samples from just before the sweep to its end.
    raw_rate_hz : float
        [Hz]
    y : (frames,)
        The record the response came from, at the sweep's rate.
    noise_before : (frames,)
        What was recorded before anything was played, at the sweep's rate.
    lags : Lags
    where : str
        The file, for messages.
    drift_ppm : float or None
        From markers. [1e-6]
    away_m : float or None
        Source to microphone, where it is known. [m]
    """

    raw: Array
    raw_rate_hz: float
    y: Array
    noise_before: Array
    lags: Lags
    where: str
    drift_ppm: float | None = None
    away_m: float | None = None


@dataclass(frozen=True, slots=True)
class Finding:
    """One sentence; `repeat` where the take must be made again."""

    repeat: bool
    sentence: str
