"""Records at high rates, where a search over the sweep's own band needs no more than 48 kHz."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from roomcheck.measure.signal.sweep import Sweep

LEAST_HZ = 44_100
CARRIED = 0.45
"""Highest frequency that a thinned record carries whole, of its rate [1]."""


def thinning_of(sweep: Sweep) -> int:
    """Of how many samples one is enough for the sweep's band; 1 where all are needed."""
    for factor in (4, 2):
        rate_hz = sweep.rate_hz / factor
        whole = sweep.rate_hz % factor == 0
        if whole and rate_hz >= LEAST_HZ and sweep.high_hz <= CARRIED * rate_hz:
            return factor
    return 1


def thinned(y: NDArray[np.float64], factor: int) -> NDArray[np.float64]:
    """Keep one sample of so many, band-limited before: (frames / factor,)."""
    if factor == 1:
        return y
    from scipy.signal import resample_poly

    few: NDArray[np.float64] = resample_poly(y, 1, factor)
    return few


@lru_cache(maxsize=1)
def thinned_sweep(sweep: Sweep, factor: int) -> Sweep:
    """The same sweep as a thinned record holds it, kept for the next take."""
    if factor == 1:
        return sweep
    return Sweep.known(
        samples=thinned(sweep.samples, factor),
        low_hz=sweep.low_hz,
        high_hz=sweep.high_hz,
        seconds=sweep.seconds,
        rate_hz=sweep.rate_hz // factor,
    )
