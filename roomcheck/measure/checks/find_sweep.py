"""Records that ran on far longer than what was played: the part that matters, found coarsely and
cheaply."""

from __future__ import annotations

import numpy as np

from roomcheck.facts import Fact, fact
from roomcheck.measure.files.played import Played
from roomcheck.measure.kinds import Take
from roomcheck.measure.signal.envelopes import Array

LONG_S, MARGIN_S = 180.0, 15.0
COARSE_HZ = 8000
CLEAR_DB = 20.0
"""Correlation's peak over its RMS; noise has 14 dB. [dB]"""


def near_the_sweep(raw: Array, rate_hz: int, played: Played) -> tuple[Array, Fact[Take] | None]:
    """Cut the part around the strongest sweep out of a long record, and say so.

    The whole, and None, where the record is not long or no sweep is clear.

    Parameters
    ----------
    raw : (frames,)
    """
    needed_s = played.seconds + 2 * MARGIN_S
    if len(raw) / rate_hz < max(LONG_S, 2 * needed_s):
        return raw, None
    from scipy import fft

    y, x = _coarse(raw, rate_hz), _coarse(played.sweep.samples, played.sweep.rate_hz)
    y, x = (np.diff(part) for part in (y, x))  # so that hum and rumble do not lead
    size = fft.next_fast_len(len(y) + len(x), real=True)
    alike = np.abs(fft.irfft(fft.rfft(y, size) * fft.rfft(x, size).conj(), size)[: len(y)])
    at = int(np.argmax(alike))
    if 20 * np.log10(alike[at] / np.sqrt(np.mean(alike**2))) < CLEAR_DB:
        return raw, None
    ahead_s = played.seconds if played.marker is not None else 0.0
    behind_s = needed_s if played.marker is not None else played.seconds + MARGIN_S
    first = max(int((at / COARSE_HZ - ahead_s - MARGIN_S) * rate_hz), 0)
    last = int((at / COARSE_HZ + behind_s) * rate_hz)
    cut = fact(Take.LONG_RECORD, record_s=len(raw) / rate_hz, at_s=at / COARSE_HZ)
    return raw[first:last].copy(), cut


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
