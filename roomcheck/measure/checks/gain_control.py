"""Noise before, under and after the sweep: automatic gain, noise suppression."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np

from roomcheck.facts import fact
from roomcheck.measure.checks.take_record import MAIN_HZ, Array, Remark, TakeRecord
from roomcheck.measure.kinds import Take
from roomcheck.measure.signal.deconvolution import Lags, spectrum_of
from roomcheck.measure.signal.envelopes import FRAME_S, Envelope, frame_levels
from roomcheck.measure.signal.memory import let_go
from roomcheck.measure.signal.thinned import thinned, thinned_sweep, thinning_of

GAIN_DB = 3.0

LOUDER_QUANTILE = 0.3
"""A low quantile of the frames under the sweep, so that intermittent noise is not taken for
automatic gain. [1]"""


@dataclass(frozen=True, slots=True, eq=False)
class Rest:
    """What is left of the record where the sweep and its harmonics are taken out."""

    power: Array
    """Mean square per octave during the sweep; NaN where the sweep takes most of the octave out:
    (frames, bands) [1]."""
    when_s: Array
    """After the sweep's start: (frames,) [s]."""
    signal: Array
    """Highest frame of the record itself: (bands,) [1]."""
    bands_hz: tuple[float, ...]
    """Nominal octave mid-band frequencies [Hz]."""
    middle_s: float
    """When the sweep passes 1 kHz [s]."""


def rest_of(
    heard: TakeRecord,
    bands_hz: tuple[float, ...],
    knee_s: float,
    harmonics_db: float | None,
    range_db: float,
) -> Rest:
    """The record less what the lags around the direct sound and the harmonics explain."""
    from scipy import fft

    factor = thinning_of(heard.lags.sweep)
    lags = _thinned_lags(heard.lags, factor)
    sweep, begin, zero = lags.sweep, lags.start, lags.zero
    rate, n = sweep.rate_hz, len(lags.samples)
    # What wraps round ends before the direct sound begins, and nothing is read there.
    size = fft.next_fast_len(max(n, n + len(sweep.samples) - begin), real=True)
    kept = np.zeros(size)
    kept[:n] = lags.samples
    del lags  # large at high rates
    windows = [(-0.05, 1.2 * knee_s + 0.05)]
    if harmonics_db is not None:
        # They start so much lower that they sink into the noise sooner.
        share = np.clip((range_db + harmonics_db + 15) / range_db, 0.2, 1.0)
        starts = [-sweep.harmonic_advance_s(k) for k in range(2, 8)]
        windows += [(start - 0.05, start + share * knee_s) for start in starts]
    for from_s, to_s in windows:
        kept[max(begin + int(from_s * rate), 0) : max(begin + int(to_s * rate), 0)] = 0
    spectrum = fft.rfft(kept)
    del kept
    spectrum *= spectrum_of(sweep, size)
    # The response's own lower edge rings for longer than any window.
    octave = np.log2(np.maximum(np.fft.rfftfreq(size, 1 / rate), 1e-3) / sweep.low_hz)
    spectrum *= np.sin(np.pi / 2 * np.clip(octave / 0.5 - 0.5, 0, 1)) ** 2
    del octave
    rest = fft.irfft(spectrum, size, overwrite_x=True)
    del spectrum
    let_go(size)
    y = thinned(heard.y, factor)
    part, whole = (
        rest[begin : begin + len(sweep.samples)],
        y[begin - zero :][: len(sweep.samples)],
    )
    power, signal = (frame_levels(heard_part, rate, bands_hz) for heard_part in (part, whole))
    when = (np.arange(len(power)) + 0.5) * FRAME_S
    for from_s, to_s in windows:
        # At a time, the lags taken out are the frequencies passed between these delays before.
        low, high = (
            sweep.low_hz * np.exp((when - delay - half) / sweep.constant_s)
            for delay, half in ((to_s, FRAME_S), (from_s, -FRAME_S))
        )
        for i, band in enumerate(bands_hz):
            edge = np.log2(np.clip(np.stack([low, high]) / band, 2**-0.5, 2**0.5))
            power[edge[1] - edge[0] > 0.3, i] = np.nan
    # The lowest half octave rings on beyond the windows.
    edges = (when < 2 * FRAME_S + sweep.octave_s / 2) | (
        when > len(sweep.samples) / rate - 2 * FRAME_S
    )
    power[edges] = np.nan
    highest = np.asarray(np.nan_to_num(signal).max(axis=0), dtype=np.float64)
    return Rest(
        power, np.asarray(when, dtype=np.float64), highest, bands_hz, sweep.time_at_s(1000.0)
    )


def _thinned_lags(lags: Lags, factor: int) -> Lags:
    """A deconvolution at a lower rate: fewer samples, each of which counts for more."""
    if factor == 1:
        return lags
    return Lags(
        samples=factor * thinned(lags.samples, factor),
        zero=lags.zero // factor,
        peak=lags.peak // factor,
        onset=lags.onset / factor,
        tail_end=lags.tail_end // factor,
        sweep=thinned_sweep(lags.sweep, factor),
    )


def gain(
    before: Array, rest: Rest | None, after: Array, bands_hz: tuple[float, ...]
) -> Iterator[Remark]:
    """Noise that is not the same before, under and after the sweep: automatic gain, noise
    suppression.

    What a loose thing adds comes while the sweep is low; noise that a recorder lets through comes
    all the time. So the lesser of early and late in the sweep counts.
    """
    use = [i for i, band in enumerate(bands_hz) if MAIN_HZ[0] <= band <= MAIN_HZ[1]]
    if len(before) < 3 or len(after) < 3 or len(use) < 3:
        yield Remark(False, fact(Take.GAIN_UNCHECKED))
        return
    change = _change_db(before, after, use) or 0.0
    under = _under_sweep_db(np.concatenate([before, after]), rest, use)
    third = len(after) // 3
    rise = (_change_db(after[:third], after[-third:], use) or 0.0) if third >= 4 else 0.0
    changes = fact(
        Take.NOISE_CHANGES,
        after_db=change if abs(change) > GAIN_DB else None,
        rise_db=rise if abs(rise) > GAIN_DB else None,
        under_db=under if under < -GAIN_DB else None,
    )
    if changes.values:
        yield Remark(True, changes)
    elif under > 2 * GAIN_DB:
        yield Remark(under > 3 * GAIN_DB, fact(Take.NOISE_UNDER_SWEEP, under_db=under))


def _under_sweep_db(silence: Array, rest: Rest | None, use: list[int]) -> float:
    """Noise under the sweep against the silence, the lesser of early and late in the sweep. [dB]"""
    if rest is None:
        return 0.0
    early = rest.when_s <= rest.middle_s
    changes = [
        _change_db(silence, rest.power[half], use, LOUDER_QUANTILE) for half in (early, ~early)
    ]
    return min((db for db in changes if db is not None), default=0.0)


def _change_db(first: Array, second: Array, use: list[int], quantile: float = 0.5) -> float | None:
    """Median over octaves of how much louder a frame of `second` is; None where too few are seen.
    [dB]"""
    changes = [
        10 * np.log10((np.quantile(after, quantile) + 1e-30) / (np.median(before) + 1e-30))
        for before, after in ((_finite(first[:, i]), _finite(second[:, i])) for i in use)
        if len(before) >= 3 and len(after) >= 3
    ]
    return float(np.median(changes)) if changes else None


def _finite(values: Array) -> Array:
    return values[np.isfinite(values)]


def knee_of_s(part: Envelope, tail_s: float) -> float:
    """How long an octave stays 3 dB over its noise. [s]"""
    power = part.part(0.0, tail_s)
    width = max(int(0.03 / part.step_s), 5)
    smooth = np.convolve(power, np.ones(width) / width, "same")
    below = smooth <= 2 * np.mean(part.part(0.7 * tail_s, tail_s))
    return float(np.argmax(below) * part.step_s) if below.any() else tail_s


def noise_around(
    heard: TakeRecord, bands_hz: tuple[float, ...], knee_s: float
) -> tuple[Array, Array]:
    """Octave levels before anything was played, and after the last decay: (frames, bands) each."""
    rate = heard.lags.sweep.rate_hz
    made = []
    for part in (heard.noise_before, _after(heard, knee_s)):
        power = frame_levels(part, rate, bands_hz)
        made.append(power[np.isfinite(power).all(axis=1)])
    return made[0], made[1]


def _after(heard: TakeRecord, knee_s: float) -> Array:
    lags = heard.lags
    end = (
        lags.start - lags.zero + len(lags.sweep.samples) + int((knee_s + 0.05) * lags.sweep.rate_hz)
    )
    return heard.y[end:]


def noise_level_dbfs(heard: TakeRecord, knee_s: float) -> float | None:
    both = np.concatenate([heard.noise_before, _after(heard, knee_s)])
    power = float(np.mean(both**2)) if len(both) else 0.0
    return float(10 * np.log10(power)) if power > 0 else None
