"""Keep a take, or repeat it, because …: every sentence with its evidence in numbers.

The limits are common practice unless a line says otherwise. A false alarm costs trust, a missed fault a second trip:
what makes numbers wrong says "repeat", what only limits them is a warning.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from roomcheck.measure.deconvolution import Lags
from roomcheck.measure.envelopes import FRAME_S, Envelope, envelopes, frame_levels
from roomcheck.measure.signals import BandRange, TakeCheck
from roomcheck.units import band_label

NEEDED_DB = 35.0
"""Peak to noise that T20 needs: ISO 3382-1:2009, 5.3.3, range + 15 dB, as quoted in open analysis code. [dB]"""

FULL_SCALE = 0.997
DISTORTED_DB, STRONG_DB = -30.0, -20.0
GAIN_DB = 3.0
BURST_DB = 12.0
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
    drift_ppm : float or None
        From markers. [1e-6]
    """

    raw: Array
    raw_rate_hz: float
    y: Array
    noise_before: Array
    lags: Lags
    drift_ppm: float | None = None


@dataclass(frozen=True, slots=True)
class Finding:
    """One sentence; `repeat` where the take must be made again."""

    repeat: bool
    sentence: str


def check_take(heard: Heard, notes: tuple[str, ...] = ()) -> TakeCheck:
    """Every check on one take.

    Parameters
    ----------
    notes : tuple of str
        Further warnings, of those who read the file.
    """
    parts = envelopes(heard.lags)
    bands = tuple(band_range(part, _tail_s(heard.lags)) for part in parts)
    harmonics_db = harmonics(heard.lags, parts)
    knee_s = max((_knee_s(part, _tail_s(heard.lags)) for part in parts if part.band_hz >= 250), default=0.1)
    before, after = _noise(heard, tuple(p.band_hz for p in parts), knee_s)
    findings = [
        *clipping(heard.raw),
        *distortion(harmonics_db),
        *gaps(heard.raw, heard.raw_rate_hz),
        *jump(heard.lags, parts),
        *levels(bands, heard.lags),
        *gain(before, after, tuple(p.band_hz for p in parts)),
        *two_sources(heard.lags),
    ]
    if harmonics_db is None or harmonics_db < DISTORTED_DB:
        findings += bursts(heard, tuple(p.band_hz for p in parts), knee_s)
    reasons = tuple(f.sentence for f in findings if f.repeat)
    return TakeCheck(
        keep=not reasons,
        reasons=reasons,
        warnings=(*notes, *(f.sentence for f in findings if not f.repeat)),
        peak_dbfs=float(20 * np.log10(np.abs(heard.raw).max())),
        noise_dbfs=_noise_dbfs(heard, knee_s),
        bands=bands,
        harmonics_db=harmonics_db,
        drift_ppm=heard.drift_ppm,
    )


def clipping(raw: Array) -> Iterator[Finding]:
    """Runs of three equal samples or more at full scale."""
    flat = (np.abs(raw[1:]) >= FULL_SCALE) & (np.abs(np.diff(raw)) < 1e-4)
    runs = [length for _, length in _runs(flat) if length >= 2]
    if len(runs) >= 3:
        share = 100 * (sum(runs) + len(runs)) / len(raw)
        yield Finding(
            True,
            f"clipped in the recorder: {len(runs)} runs of equal samples at full scale ({share:.2g} % of the sweep); "
            "turn the input down by 6 dB",
        )


def harmonics(lags: Lags, parts: tuple[Envelope, ...]) -> float | None:
    """Second to fifth harmonic's energy over the linear response's, mean over 500 Hz to 4 kHz. [dB]"""
    width = min(0.3, lags.sweep.harmonic_advance_s(6) - lags.sweep.harmonic_advance_s(5))
    early = -lags.sweep.harmonic_advance_s(6) - width
    ratios = []
    for part in parts:
        if not 500 <= part.band_hz <= 4000 or part.onset_s + early < 2 * width:
            continue
        lead = 3 * part.step_s
        linear = float(part.part(-lead, width).sum())
        rest = float(np.median(part.part(early - width, early))) / np.log(2) * (width + lead) / part.step_s
        each = [
            float(part.part(-lags.sweep.harmonic_advance_s(n) - lead, -lags.sweep.harmonic_advance_s(n) + width).sum())
            for n in range(2, 6)
        ]
        ratios.append(sum(max(energy - rest, 0.0) for energy in each if energy > 2 * rest) / linear)
    mean = float(np.mean(ratios)) if ratios else 0.0
    return float(10 * np.log10(mean)) if mean > 0 else None


def distortion(harmonics_db: float | None) -> Iterator[Finding]:
    """Harmonics of a loudspeaker or amplifier driven too hard, or of an input that clips below full scale."""
    if harmonics_db is None or harmonics_db < DISTORTED_DB:
        return
    pct = 100 * 10 ** (harmonics_db / 20)
    sentence = f"harmonics at {harmonics_db:.0f} dB ({pct:.2g} %) of the sweep"
    if harmonics_db >= STRONG_DB:
        yield Finding(True, f"{sentence}: the loudspeaker or an input is overdriven; play 6 dB softer")
    else:
        yield Finding(False, f"{sentence}; they are cut off, but softer would be better")


def gaps(raw: Array, rate_hz: float) -> Iterator[Finding]:
    """Samples that stand still for a millisecond or more while the sweep sounds."""
    least, around = max(int(0.001 * rate_hz), 24), int(0.02 * rate_hz)
    found = []
    for first, length in _runs(np.diff(raw) == 0):
        if length < least or abs(raw[first]) >= FULL_SCALE:
            continue
        sides = (raw[max(first - around, 0) : first], raw[first + length + 1 : first + length + 1 + around])
        if all(len(side) >= around // 2 and np.sqrt(np.mean(side**2)) > 3e-3 for side in sides):
            found.append((first / rate_hz, 1000 * length / rate_hz))
    if found:
        longest = max(ms for _, ms in found)
        yield Finding(
            True,
            f"dropout: the recording stands still {len(found)} times during the sweep, {longest:.0f} ms at most, first "
            f"{found[0][0]:.1f} s after its start; close other programs, use a cable, and record again",
        )


def jump(lags: Lags, parts: tuple[Envelope, ...]) -> Iterator[Finding]:
    """Octaves that arrive early or late: samples lost or doubled, or another clock.

    A sweep through a clock that runs fast by a factor r spreads the arrivals along a line of slope (r - 1) L over the
    logarithm of frequency; a jump leaves two steps.
    """
    found = [(part.middle_hz, _arrival_s(part)) for part in parts if part.band_hz >= 250]
    clear = [(hz, at) for hz, at in found if at is not None]
    if len(clear) < 3:
        return
    hz, at = (np.array(column) for column in zip(*clear, strict=True))
    slack = 8 / hz + 0.002
    if np.all(np.abs(at - np.median(at)) <= slack):
        return
    slope, start = np.polyfit(np.log(hz), at, 1, w=1 / slack)
    off_line = float(np.max(np.abs(at - start - slope * np.log(hz)) / slack))
    off_step, k = min((_off_step(at, slack, k), k) for k in range(1, len(at)))
    ratio = 1 + slope / lags.sweep.constant_s
    if off_line <= min(off_step, 1.0):
        yield Finding(True, f"{_clock(ratio)} (the octaves arrive {1000 * np.ptp(at):.0f} ms apart)")
        return
    lost_ms = 1000 * (np.median(at[:k]) - np.median(at[k:]))
    when = lags.sweep.time_at_s(float(np.sqrt(hz[k - 1] * hz[k])))
    what = "lost" if lost_ms > 0 else "added"
    yield Finding(
        True,
        f"dropout: about {abs(lost_ms):.0f} ms {what} near {when:.1f} s of the sweep (octaves above arrive "
        f"{'early' if lost_ms > 0 else 'late'}); close other programs, use a cable, and record again",
    )


def band_range(part: Envelope, tail_s: float) -> BandRange:
    """Peak over noise of one octave; the noise from the last 30 % of the tail."""
    peak = float(part.part(-4 * part.step_s, 0.5).max())
    noise = float(np.mean(part.part(0.7 * tail_s, tail_s))) / 2
    if noise <= peak * 1e-16:
        return BandRange(band_hz=part.band_hz, range_db=None, lacking_db=0.0)
    found = 10 * np.log10(peak / noise)
    return BandRange(band_hz=part.band_hz, range_db=float(found), lacking_db=float(max(NEEDED_DB - found, 0.0)))


def levels(bands: tuple[BandRange, ...], lags: Lags) -> Iterator[Finding]:
    """What T20 lacks, per octave, and what would give it."""
    short = [b for b in bands if b.lacking_db > 0]
    if not short:
        return
    told = ", ".join(f"{band_label(b.band_hz)} Hz {b.lacking_db:.0f} dB" for b in short)
    worst = [b.lacking_db for b in short if MAIN_HZ[0] <= b.band_hz <= MAIN_HZ[1]]
    most = max(worst, default=max(b.lacking_db for b in short))
    longer = lags.sweep.seconds * 10 ** (most / 10)
    remedy = f"play {np.ceil(most):.0f} dB louder"
    if longer <= 60:
        remedy += f", or use a sweep of {np.ceil(longer):.0f} s"
    yield Finding(bool(worst), f"T20 lacks {told} of decay over the noise; {remedy}, or stop the noise")


def gain(before: Array, after: Array, bands_hz: tuple[float, ...]) -> Iterator[Finding]:
    """Noise that is not the same before and after the sweep: automatic gain, noise suppression."""
    use = [i for i, band in enumerate(bands_hz) if 250 <= band <= 4000]
    if len(before) < 3 or len(after) < 3 or len(use) < 3:
        yield Finding(False, "too little silence around the sweep to check for automatic gain; leave half a second")
        return
    first, last = (10 * np.log10(np.median(part[:, use], axis=0) + 1e-30) for part in (before, after))
    change = float(np.median(last - first))
    third = len(after) // 3
    rise = 0.0
    if third >= 4:
        ends = [10 * np.log10(np.median(part[:, use], axis=0) + 1e-30) for part in (after[:third], after[-third:])]
        rise = float(np.median(ends[1] - ends[0]))
    if abs(change) <= GAIN_DB and abs(rise) <= GAIN_DB:
        return
    told = f"the noise is {change:+.0f} dB after the sweep against before"
    if abs(rise) > GAIN_DB:
        told += f", and {'rises' if rise > 0 else 'falls'} by {abs(rise):.0f} dB after it"
    yield Finding(
        True, f"{told}: automatic gain or noise suppression, or something was switched; switch it off and record again"
    )


def bursts(heard: Heard, bands_hz: tuple[float, ...], knee_s: float) -> Iterator[Finding]:
    """A door, a voice, a click: several octaves rise at once where the sweep is not."""
    sweep, rate = heard.lags.sweep, heard.lags.sweep.rate_hz
    power = frame_levels(heard.y, rate, bands_hz)
    when = (np.arange(len(power)) + 0.5) * FRAME_S - heard.lags.lag_s(heard.lags.start)
    length_s = len(sweep.samples) / rate
    inside = (when > 2 * FRAME_S) & (when < length_s - 2 * FRAME_S)
    middle = np.array(bands_hz)
    now = sweep.low_hz * np.exp(np.clip(when + FRAME_S, 0, length_s) / sweep.constant_s)
    rung = sweep.low_hz * np.exp((when - knee_s - 2 * FRAME_S) / sweep.constant_s)
    # The sweep, what still rings of it, and five harmonics, each with half an octave and the filter's flank.
    swept = (middle * 1.7 > rung[:, None]) & (middle / 1.7 < 6 * now[:, None])
    quiet = np.where(swept | ~inside[:, None], np.nan, power)
    if not np.isfinite(quiet).any():
        return
    counted = np.isfinite(quiet).sum(axis=0)
    usual = np.array([np.nanmedian(quiet[:, i]) if counted[i] >= 4 else np.inf for i in range(len(bands_hz))])
    with np.errstate(divide="ignore", invalid="ignore"):
        over = 10 * np.log10(quiet / usual)
    loud = over >= BURST_DB
    hits = np.flatnonzero((loud[:, middle > 200].sum(axis=1) >= 2) | (loud.sum(axis=1) >= 3))
    if len(hits) == 0:
        return
    worst = int(hits[np.argmax(np.nansum(np.where(loud[hits], over[hits], 0), axis=1))])
    level = np.nanmax(np.where(loud[worst], quiet[worst], np.nan)) * FRAME_S
    signal = np.median(np.nanmax(np.where(inside[:, None], power, np.nan), axis=0)) * sweep.octave_s
    under = 10 * np.log10(level / signal)
    told = (
        f"a burst {when[worst]:.1f} s into the sweep, {np.nanmax(over[worst]):.0f} dB over the noise in "
        f"{int(loud[worst].sum())} octaves (door, voice, knock?)"
    )
    if under > -NEEDED_DB - 15:
        yield Finding(True, f"{told}; wait until it is quiet and record again")
    else:
        yield Finding(False, f"{told}, too weak to matter")


def two_sources(lags: Lags) -> Iterator[Finding]:
    """A second direct sound as strong as the first."""
    rate = lags.sweep.rate_hz
    h = lags.samples[max(lags.start - rate // 1000, 0) : lags.start + int(0.3 * rate)]
    power = np.convolve(h**2, np.ones(9), "same")
    first = int(np.argmax(power))
    apart = int(0.0003 * rate)
    others = power.copy()
    others[max(first - apart, 0) : first + apart + 1] = 0
    second = int(np.argmax(others))
    others[max(second - apart, 0) : second + apart + 1] = 0
    level = 10 * np.log10(power[second] / power[first])
    rest = 10 * np.log10(others.max() / power[second])
    after_ms = 1000 * abs(second - first) / rate
    if level > -2 and rest < -6:
        told = f"two arrivals {after_ms:.1f} ms apart, the second {level:+.1f} dB to the first"
        if after_ms <= 3 or after_ms >= 50:
            yield Finding(
                True, f"{told}: two loudspeakers at once? Play one alone, or move off the hard surface nearby"
            )
        else:
            yield Finding(False, f"{told}: a strong reflection, or two loudspeakers")


def _clock(ratio: float) -> str:
    for named, what in ((44_100 / 48_000, "44.1 kHz taken for 48 kHz"), (48_000 / 44_100, "48 kHz taken for 44.1 kHz")):
        if abs(ratio / named - 1) < 0.01:
            return f"wrong rate: {what}; set player and recorder to the same rate and record again"
    off = 100 * (ratio - 1)
    return f"another sweep, or another clock: about {off:+.2g} % in time; name the sweep that was really played"


def _arrival_s(part: Envelope) -> float | None:
    """When an octave first comes within 10 dB of its highest, after the broadband onset; None in noise. [s]"""
    peak = float(part.power.max())
    if peak < 30 * float(np.mean(part.power)):
        return None
    return float(np.argmax(part.power >= 0.1 * peak) * part.step_s - part.onset_s)


def _off_step(at: Array, slack: Array, k: int) -> float:
    return float(
        max(np.max(np.abs(side - np.median(side)) / s) for side, s in ((at[:k], slack[:k]), (at[k:], slack[k:])))
    )


def _tail_s(lags: Lags) -> float:
    return (lags.tail_end - lags.start) / lags.sweep.rate_hz


def _knee_s(part: Envelope, tail_s: float) -> float:
    """How long an octave stays 3 dB over its noise. [s]"""
    power = part.part(0.0, tail_s)
    width = max(int(0.03 / part.step_s), 1)
    smooth = np.convolve(power, np.ones(width) / width, "same")
    above = np.flatnonzero(smooth > 2 * np.mean(part.part(0.7 * tail_s, tail_s)))
    return float((above[-1] + 1) * part.step_s) if len(above) else 0.0


def _noise(heard: Heard, bands_hz: tuple[float, ...], knee_s: float) -> tuple[Array, Array]:
    """Octave levels before anything was played, and after the last decay: (frames, bands) each."""
    rate = heard.lags.sweep.rate_hz
    made = []
    for part in (heard.noise_before, _after(heard, knee_s)):
        power = frame_levels(part, rate, bands_hz)
        made.append(power[np.isfinite(power).all(axis=1)])
    return made[0], made[1]


def _after(heard: Heard, knee_s: float) -> Array:
    lags = heard.lags
    end = lags.start - lags.zero + len(lags.sweep.samples) + int((knee_s + 0.05) * lags.sweep.rate_hz)
    return heard.y[end:]


def _noise_dbfs(heard: Heard, knee_s: float) -> float | None:
    both = np.concatenate([heard.noise_before, _after(heard, knee_s)])
    power = float(np.mean(both**2)) if len(both) else 0.0
    return float(10 * np.log10(power)) if power > 0 else None


def _runs(flags: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """Start and length of every run of True."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], flags, [False]]).astype(np.int8)))
    return [(int(a), int(b - a)) for a, b in zip(edges[::2], edges[1::2], strict=True)]
