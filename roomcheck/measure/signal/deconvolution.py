"""A recorded sweep to an impulse response.

Division by the sweep's spectrum, zero padded so that nothing wraps: lags from one sweep length
before the record to its end. Harmonics of the loudspeaker lie L ln n ahead of the direct sound and
are cut off.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from roomcheck.measure.faults import EmptyRecording, NoSweepFound, NotFinite, TooShort
from roomcheck.measure.signal.memory import LARGE, let_go
from roomcheck.measure.signal.signals import ImpulseResponse
from roomcheck.measure.signal.sweep import Sweep

Spectrum = NDArray[np.complex128]

LEAD_S = 0.05
"""Kept ahead of the direct sound, or a quarter of the way to the second harmonic where that is
less. [s]"""

MIN_TAIL_S = 0.1
"""Least record after the sweep's end, so that there is a decay to see. [s]"""

COMPACT_DB = 22.0
"""Least peak over the RMS of all lags; noise gives 14 dB, a sweep at another speed 5 to 18 dB.
[dB]"""

EDGE_OCTAVES = 1 / 6

MOST_FRAMES = 1 << 22
"""Longer records are looked at in parts: 87 s at 48 kHz, 44 s at 96 kHz."""

MOST_KEPT = 9 << 18
"""Up to here a sweep's inverse is kept for the next take: that of 10 s at 96 kHz, 18 MiB
[samples]."""


@dataclass(frozen=True, slots=True, eq=False)
class Lags:
    """A whole deconvolution, all lags."""

    samples: NDArray[np.float64]
    """The response at every lag: (lags,) [1]."""
    zero: int
    """Index of lag 0: a direct sound there began with the record."""
    peak: int
    """Index of the highest sample."""
    onset: float
    """Where it first came within 20 dB of the peak, interpolated [samples]."""
    tail_end: int
    """One past the last lag at which the record still holds the whole sweep."""
    sweep: Sweep

    @property
    def start(self) -> int:
        """Index of the direct sound."""
        return int(self.onset)

    def lag_s(self, index: float) -> float:
        return (index - self.zero) / self.sweep.rate_hz


def impulse_response(recording: ArrayLike, sweep: Sweep) -> ImpulseResponse:
    """The room's answer to a click, from its answer to a sweep.

    Parameters
    ----------
    recording : (frames,)
        At the sweep's rate; the sweep may begin anywhere in it. [1]
    sweep : Sweep
        What was played.

    Returns
    -------
    ImpulseResponse
        From shortly before the direct sound (50 ms at most) to the last lag at which the record
        still holds the whole sweep. Distortion products lie ahead of that and are cut off.

    Raises
    ------
    ValueError
        `recording` is not one-dimensional.
    RecordingError
        Zeros only, not finite, shorter than the sweep, or no compact response.

    References
    ----------
    ISO 18233:2006, Annex B, from memory; Farina 2000. Start of the response: ISO 3382-1:2009,
    A.3.4, as quoted in open analysis code.

    Examples
    --------
    >>> sweep = Sweep(low_hz=50, high_hz=20_000, seconds=1, rate_hz=48_000)
    >>> heard = np.concatenate([np.zeros(24_000), 0.5 * sweep.samples, np.zeros(24_000)])
    >>> response = impulse_response(heard, sweep)
    >>> round(response.seconds, 2), bool(response.samples.max() > 0.3)
    (0.53, True)
    """
    return crop(all_lags(recording, sweep))


def all_lags(recording: ArrayLike, sweep: Sweep, where: str = "recording") -> Lags:
    """Every lag of the deconvolution, with the direct sound located."""
    y = np.asarray(recording, dtype=np.float64)
    if y.ndim != 1:
        raise ValueError(f"recording: shape {y.shape}, needed (frames,)")
    check_samples(y, sweep, where)
    h, zero = deconvolve(y, sweep)
    peak = int(np.argmax(np.abs(h)))
    tail_end = zero + len(y) - len(sweep.samples) + 1
    lags = Lags(h, zero, peak, _onset(h, peak, sweep), tail_end, sweep)
    _check_compact(lags, where)
    _check_place(lags, where)
    return lags


def crop(lags: Lags) -> ImpulseResponse:
    """From the lead-in to the end of the tail, nothing wrapped."""
    sweep = lags.sweep
    lead = int(min(LEAD_S, sweep.octave_s / 4) * sweep.rate_hz)
    first = max(lags.start - lead, 0)
    return ImpulseResponse(samples=lags.samples[first : lags.tail_end], rate_hz=sweep.rate_hz)


def deconvolve(y: NDArray[np.float64], sweep: Sweep) -> tuple[NDArray[np.float64], int]:
    """Record divided by sweep within the sweep's band: all lags, and the index of lag 0."""
    from scipy import fft

    before = len(sweep.samples)
    size = fft.next_fast_len(len(y) + before, real=True)
    inverse = _kept_inverse(sweep, size) if size <= MOST_KEPT else _inverse(sweep, size)
    Y = fft.rfft(y, size)
    Y *= inverse
    del inverse
    h = fft.irfft(Y, size, overwrite_x=True)
    del Y
    let_go(size)
    return np.concatenate([h[size - before :], h[: len(y)]]), before


def _inverse(sweep: Sweep, size: int) -> Spectrum:
    """What a record's spectrum is multiplied by, (size // 2 + 1,)."""
    from scipy import fft

    inverse: Spectrum = fft.rfft(sweep.samples, size)
    gain = _gain(inverse, size, sweep)
    np.conj(inverse, out=inverse)
    inverse *= gain
    return inverse


@lru_cache(maxsize=2)
def _kept_inverse(sweep: Sweep, size: int) -> Spectrum:
    """The same, kept for the next take of the same sweep and length."""
    return _inverse(sweep, size)


def spectrum_of(sweep: Sweep, size: int) -> Spectrum:
    """Spectrum of a sweep followed by zeros, kept for the next take where it is no large one.
    (size // 2 + 1,)"""
    return _kept_spectrum(sweep, size) if size <= LARGE else _kept_spectrum.__wrapped__(sweep, size)


@lru_cache(maxsize=1)
def _kept_spectrum(sweep: Sweep, size: int) -> Spectrum:
    from scipy import fft

    return np.asarray(fft.rfft(sweep.samples, size))


def forget_sweeps() -> None:
    """Let go of what was kept for the next take of the same sweep."""
    _kept_inverse.cache_clear()
    _kept_spectrum.cache_clear()


def strongest_lag(y: NDArray[np.float64], sweep: Sweep) -> int:
    """Lag of the highest sample of a deconvolution; of a long record in parts that overlap by a
    sweep. [samples]"""
    overlap = len(sweep.samples)
    block = max(MOST_FRAMES, 3 * overlap)
    if len(y) <= block:
        h, zero = deconvolve(y, sweep)
        return int(np.argmax(np.abs(h))) - zero
    at, top = 0, -1.0
    for first in range(0, len(y) - overlap, block - overlap):
        h, zero = deconvolve(y[first : first + block], sweep)
        size = np.abs(h, out=h)
        best = int(np.argmax(size))
        if size[best] > top:
            at, top = first + best - zero, float(size[best])
    return at


def _gain(X: NDArray[np.complex128], size: int, sweep: Sweep) -> NDArray[np.float64]:
    """Window of the sweep's band over the sweep's power: (size // 2 + 1,).

    Made in place, since a long record at a high rate has millions of bins.
    """
    inside = band_window(np.arange(len(X), dtype=np.float64) * (sweep.rate_hz / size), sweep)
    power = np.abs(X)
    power **= 2
    # The floor only guards the faded edges: 60 dB under the band's median power it moves nothing
    # inside.
    power += 1e-6 * float(np.median(power[inside > 0.99]))
    inside /= power
    return inside


def band_window(frequencies_hz: NDArray[np.float64], sweep: Sweep) -> NDArray[np.float64]:
    """1 inside the sweep's band, 0 outside, half cosines on a logarithmic axis just inside its
    ends."""
    with np.errstate(divide="ignore"):
        octave = np.log2(frequencies_hz / sweep.low_hz)
    width = np.log2(sweep.high_hz / sweep.low_hz)
    window = _half_cosine(octave / EDGE_OCTAVES)
    window *= _half_cosine((width - octave) / (EDGE_OCTAVES / 2))
    window /= 4
    return window


def _half_cosine(part: NDArray[np.float64]) -> NDArray[np.float64]:
    """0 up to part 0, 2 from part 1 on, made in place."""
    np.clip(part, 0, 1, out=part)
    part *= np.pi
    np.cos(part, out=part)
    return np.subtract(1, part, out=part)


def crest_db(h: NDArray[np.float64]) -> float:
    """Peak over the RMS of all lags. [dB]"""
    peak = max(float(h.max()), -float(h.min()))
    return float(20 * np.log10(peak / np.sqrt(np.mean(h**2))))


def check_samples(y: NDArray[np.float64], sweep: Sweep, where: str) -> None:
    """Numbers, not all zero, and long enough for the sweep and a decay."""
    if not np.isfinite(y).all():
        at = int(np.argmin(np.isfinite(y))) / sweep.rate_hz
        raise NotFinite(
            where=where,
            found=f"{int((~np.isfinite(y)).sum())} samples are no numbers, the first at {at:.3f} s",
            needed="finite samples",
            todo="Export the recording again, or record again.",
        )
    if not y.any():
        raise EmptyRecording(
            where=where,
            found="every sample is exactly zero",
            needed="a recorded sweep",
            todo="Check the input, its cable and its mute button, and record again.",
        )
    need = len(sweep.samples) + int(MIN_TAIL_S * sweep.rate_hz)
    if len(y) < need:
        raise TooShort(
            where=where,
            found=f"{len(y) / sweep.rate_hz:.2f} s",
            needed=f"{need / sweep.rate_hz:.2f} s at least: the sweep and the decay after it",
            todo="Record until the sound has died away, or name the sweep that was really played.",
        )


def _onset(h: NDArray[np.float64], peak: int, sweep: Sweep) -> float:
    """First crossing of the level 20 dB below the peak, looked for back to half-way to the second
    harmonic."""
    limit = 0.1 * abs(h[peak])
    first = max(peak - int(min(0.1, sweep.octave_s / 2) * sweep.rate_hz), 0)
    at = first + int(np.argmax(np.abs(h[first : peak + 1]) >= limit))
    if at == first:
        return float(at)
    below, above = abs(h[at - 1]), abs(h[at])
    return float(at - 1 + (limit - below) / (above - below))


def _check_compact(lags: Lags, where: str) -> None:
    found_db = crest_db(lags.samples)
    if found_db < COMPACT_DB:
        raise NoSweepFound(
            where=where,
            found=(
                f"no compact response: its peak stands {found_db:.0f} dB over the average of all "
                "delays"
            ),
            needed=f"{COMPACT_DB:.0f} dB at least",
            todo="Name the sweep that was really played, or record again, louder.",
        )


def _check_place(lags: Lags, where: str) -> None:
    rate = lags.sweep.rate_hz
    if lags.start < lags.zero - int(0.002 * rate):
        raise TooShort(
            where=where,
            found=(
                f"the sweep was already running: its first {-lags.lag_s(lags.start):.2f} s are "
                "missing"
            ),
            needed="the whole sweep",
            todo="Start the recorder before the player and record again.",
        )
    tail = (lags.tail_end - lags.start) / rate
    if tail < MIN_TAIL_S:
        raise TooShort(
            where=where,
            found=(
                "the record ends "
                f"{'before the sweep does' if tail < 0 else f'{tail:.2f} s after the sweep'}"
            ),
            needed=f"{MIN_TAIL_S:g} s at least, better the longest decay, after the sweep",
            todo="Let the recorder run until the sound has died away and record again.",
        )
