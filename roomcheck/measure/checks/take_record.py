"""A deconvolved take, and the remarks of its checks."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from roomcheck.facts import Fact
from roomcheck.measure.kinds import Take
from roomcheck.measure.signal.deconvolution import Lags

NEEDED_DB = 35.0
"""Peak to noise that T20 needs: ISO 3382-1:2009, 5.3.3, range + 15 dB, as quoted in open analysis
code. [dB]"""

MAIN_HZ = (250.0, 4000.0)
"""Octaves without which a take is not worth keeping; those outside only get a warning. [Hz]"""

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class TakeRecord:
    """A recorded sweep, cut out, resampled and deconvolved."""

    raw: Array
    """Recorder's own samples from just before the sweep to its end: (frames,) [1]."""
    raw_rate_hz: float
    """Sampling rate of `raw` [Hz]."""
    y: Array
    """The record the response came from, at the sweep's rate: (frames,) [1]."""
    noise_before: Array
    """What was recorded before anything was played, at the sweep's rate: (frames,) [1]."""
    lags: Lags
    """Its deconvolution."""
    where: str
    """The file, for messages."""
    drift_ppm: float | None = None
    """Recorder's clock against the player's, from markers; None without [1e-6]."""
    away_m: float | None = None
    """Source to microphone; None where it is not known [m]."""


@dataclass(frozen=True, slots=True)
class Remark:
    """What one check has to say of a take."""

    repeat: bool
    """Whether the take must be made again."""
    fact: Fact[Take]
