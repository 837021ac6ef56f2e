"""Records that ran on far longer than what was played: the part that matters, found coarsely and
cheaply."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import numpy as np

from roomcheck.facts import Fact, fact
from roomcheck.measure.faults import NoSweepFound
from roomcheck.measure.files.audio import Audio
from roomcheck.measure.files.played import Played
from roomcheck.measure.kinds import Take
from roomcheck.measure.signal.envelopes import Array
from roomcheck.parts import OnPart, Parts

LONG_S, MARGIN_S = 90.0, 8.0
MOST_FRAMES = 1 << 22
"""Longer records count as long at any rate: 87 s at 48 kHz. Without a clear sweep one is looked at
whole up to four times as many."""

COARSE_HZ = 8000
CLEAR_DB = 20.0
"""Correlation's peak over its RMS; noise has 14 dB. [dB]"""


def is_long(frames: int, rate_hz: int, played: Played) -> bool:
    """Whether a record is searched for the sweep before it is listened to."""
    longest_s = max(LONG_S, 2 * needed_s(played))
    return frames > MOST_FRAMES or frames / rate_hz >= longest_s


def needed_s(played: Played) -> float:
    """What is listened to of a long record. [s]"""
    return played.seconds + 2 * MARGIN_S


def near_the_sweep(
    audio: Audio, channel: int, played: Played, on_part: OnPart | None = None
) -> tuple[Array, Fact[Take] | None]:
    """Cut the part around the strongest sweep out of a long record, and say so; (frames,).

    The whole, and None, where the record is not long, or no sweep is clear in one that can be held
    whole. `on_part` gets how many frames are searched, and of how many.

    Raises
    ------
    NoSweepFound
        No sweep is clear in a record that is too long to be looked at whole.
    """
    rate_hz = audio.rate_hz
    if not is_long(audio.frames, rate_hz, played):
        return audio.mono(channel), None
    at, clear_db = _strongest(audio, channel, played, on_part)
    if clear_db < CLEAR_DB:
        if audio.frames <= 4 * MOST_FRAMES:
            return audio.mono(channel), None
        raise NoSweepFound(
            where=audio.where,
            found=f"{audio.seconds / 60:.0f} min in which the sweep does not stand out",
            needed="the sweep that was played, well above the room's noise",
            todo="Name the sweep that was really played, or cut the part with it out of a copy.",
        )
    starts_s = [run.start_s for run in played.passes] if played.marker is not None else [0.0]
    # The strongest may be any of the passes.
    first = max(int((at / COARSE_HZ - max(starts_s) - MARGIN_S) * rate_hz), 0)
    last = int((at / COARSE_HZ + played.seconds - min(starts_s) + MARGIN_S) * rate_hz)
    cut = fact(Take.LONG_RECORD, record_s=audio.seconds, at_s=at / COARSE_HZ)
    return audio.mono(channel, first, last), cut


def _strongest(
    audio: Audio, channel: int, played: Played, on_part: OnPart | None
) -> tuple[int, float]:
    """Where a record is most like the sweep, at 8 kHz, and how far this stands over all else: block
    after block, each as long as several sweeps. [samples, dB]"""
    from scipy import fft

    x = np.diff(_resampled(played.sweep.samples, played.sweep.rate_hz))
    size = fft.next_fast_len(max(4 * len(x), 120 * COARSE_HZ), real=True)
    step = size - len(x)
    template = fft.rfft(x, size).conj()
    at, top, power, count, start = 0, -1.0, 0.0, 0, 0
    parts = Parts(on_part, round(audio.seconds * COARSE_HZ))
    for block in _overlapping(_coarse(audio, channel), size, step):
        y = np.diff(block, append=block[-1:])  # so that hum and rumble do not lead
        alike = np.abs(fft.irfft(fft.rfft(y, size) * template, size)[: min(step, len(y))])
        best = int(np.argmax(alike))
        if alike[best] > top:
            at, top = start + best, float(alike[best])
        power, count, start = power + float(np.sum(alike**2)), count + len(alike), start + step
        parts.add(step)
    mean = np.sqrt(power / max(count, 1))
    return at, 20 * float(np.log10(top / mean)) if mean > 0 else 0.0


def _overlapping(parts: Iterable[Array], size: int, step: int) -> Iterator[Array]:
    """Blocks of `size`, each `step` after the one before; the last is shorter."""
    held = np.zeros(0)
    for part in parts:
        held = np.concatenate([held, part])
        while len(held) >= size:
            yield held[:size]
            held = held[step:]
    if len(held):
        yield held


def _coarse(audio: Audio, channel: int) -> Iterator[Array]:
    """At 8 kHz, so many whole seconds at a time; its blocks meet within a sample of theirs."""
    rest = np.zeros(0)
    for part in audio.parts(channel):
        x = np.concatenate([rest, part])
        whole = len(x) // audio.rate_hz * audio.rate_hz
        if whole:
            yield _resampled(x[:whole], audio.rate_hz)
        rest = x[whole:]
    if len(rest):
        yield _resampled(rest, audio.rate_hz)


def _resampled(x: Array, rate_hz: int) -> Array:
    from scipy.signal import resample_poly

    factor = np.gcd(COARSE_HZ, rate_hz)
    coarse: Array = resample_poly(x, COARSE_HZ // factor, rate_hz // factor)
    return coarse
