"""Records that ran on far longer than what was played: the part that matters, found coarsely and
cheaply."""

from __future__ import annotations

import numpy as np

from roomcheck.measure.files.played import Played
from roomcheck.measure.signal.envelopes import Array

LONG_S, MARGIN_S = 180.0, 15.0
COARSE_HZ = 8000
CLEAR_DB = 20.0
"""Correlation's peak over its RMS; noise has 14 dB. [dB]"""


def near_the_sweep(raw: Array, rate_hz: int, played: Played) -> tuple[Array, str]:
    """The part of a long record around the strongest sweep, and a sentence; the whole where none is
    clear.

    Parameters
    ----------
    raw : (frames,)
    """
    needed_s = played.seconds + 2 * MARGIN_S
    if len(raw) / rate_hz < max(LONG_S, 2 * needed_s):
        return raw, ""
    from scipy import fft

    y, x = _coarse(raw, rate_hz), _coarse(played.sweep.samples, played.sweep.rate_hz)
    y, x = (np.diff(part) for part in (y, x))  # so that hum and rumble do not lead
    size = fft.next_fast_len(len(y) + len(x), real=True)
    alike = np.abs(fft.irfft(fft.rfft(y, size) * fft.rfft(x, size).conj(), size)[: len(y)])
    at = int(np.argmax(alike))
    if 20 * np.log10(alike[at] / np.sqrt(np.mean(alike**2))) < CLEAR_DB:
        return raw, ""
    ahead_s = played.seconds if played.marker is not None else 0.0
    behind_s = needed_s if played.marker is not None else played.seconds + MARGIN_S
    first = max(int((at / COARSE_HZ - ahead_s - MARGIN_S) * rate_hz), 0)
    last = int((at / COARSE_HZ + behind_s) * rate_hz)
    minutes, seconds = divmod(at / COARSE_HZ, 60)
    told = (
        f"the record lasts {len(raw) / rate_hz / 60:.0f} min; the strongest sweep in it, at "
        f"{minutes:.0f} min "
    )
    return raw[first:last].copy(), f"{told}{seconds:.0f} s, was taken"


def _coarse(x: Array, rate_hz: int) -> Array:
    """At 8 kHz, a minute at a time."""
    from scipy.signal import resample_poly

    factor = np.gcd(COARSE_HZ, rate_hz)
    block = 60 * rate_hz
    parts = [
        resample_poly(x[i : i + block], COARSE_HZ // factor, rate_hz // factor)
        for i in range(0, len(x), block)
    ]
    return np.concatenate(parts)
