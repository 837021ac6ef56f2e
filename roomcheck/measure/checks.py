"""Keep a take, or repeat it, because …: every sentence with its evidence in numbers.

The limits are common practice unless a line says otherwise. A false alarm costs trust, a missed fault a second trip:
what makes numbers wrong says "repeat", what only limits them is a warning.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from roomcheck.measure.clock import RATE_RATIOS
from roomcheck.measure.deconvolution import Lags
from roomcheck.measure.envelopes import FRAME_S, Envelope, envelopes, frame_levels
from roomcheck.measure.faults import NoSweepFound, RecordingError, WrongRate
from roomcheck.measure.signals import BandRange, TakeCheck
from roomcheck.units import band_label

NEEDED_DB = 35.0
"""Peak to noise that T20 needs: ISO 3382-1:2009, 5.3.3, range + 15 dB, as quoted in open analysis code. [dB]"""

FULL_SCALE = 0.997
DISTORTED_DB, STRONG_DB = -30.0, -20.0
GAIN_DB = 3.0
BURST_DB = 12.0
SMEARED_DB = 3.0
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
    """

    raw: Array
    raw_rate_hz: float
    y: Array
    noise_before: Array
    lags: Lags
    where: str
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
    lags = heard.lags
    parts, tail_s = envelopes(lags), (lags.tail_end - lags.start) / lags.sweep.rate_hz
    names = tuple(part.band_hz for part in parts)
    bands = tuple(band_range(part, tail_s) for part in parts)
    ratios = harmonics(lags, parts)
    harmonics_db = _harmonics_db(ratios)
    if any(ratio > 1 for _, ratio in ratios):
        raise _other_sweep(heard.where, np.nan, np.nan)
    knee_s = max((_knee_s(part, tail_s) for part in parts), default=0.1)
    before, after = _noise(heard, names, knee_s)
    rest = rest_of(heard, names, knee_s, harmonics_db)
    clipped = [*clipping(heard.raw), *distortion(ratios)]
    findings = [
        *clipped,
        *gaps(heard.raw, heard.raw_rate_hz),
        *jump(lags, parts, heard.where),
        *levels(bands, lags),
        *still_sounding(parts, bands, tail_s),
        *two_sources(lags),
    ]
    if any(finding.repeat for finding in clipped):
        # What clipping leaves under the sweep is neither noise nor a burst.
        findings += gain(before, rest.power[:0], after, names)
    else:
        findings += gain(before, rest.power, after, names)
        findings += bursts(rest, lags.sweep.octave_s)
    if heard.drift_ppm is None:
        findings += drift(lags)
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
    """Flat tops: three equal samples or more at full scale, or cut into steep slopes at the record's own peak."""
    size = np.abs(raw)
    peak = float(size.max())
    still = np.abs(np.diff(raw)) < 1e-4 * peak
    runs = [(a, n) for a, n in _runs(still & (size[1:] >= min(FULL_SCALE, 0.9999 * peak))) if n >= 2]
    full = [n for a, n in runs if size[a] >= FULL_SCALE]
    # The top of a slow sine is flat too, but its neighbours are nearly as high.
    cut = [n for a, n in runs if max(size[max(a - 1, 0)], size[min(a + n + 1, len(raw) - 1)]) < 0.99 * peak]
    if len(full) >= 3 or len(cut) >= 5:
        count, samples = max((len(full), sum(full)), (len(cut), sum(cut)))
        level = 20 * np.log10(peak)
        yield Finding(
            True,
            f"clipped in the recorder: {count} flat tops at {level:.1f} dB re full scale "
            f"({100 * (samples + count) / len(raw):.2g} % of the sweep); turn the input down by 6 dB",
        )


def harmonics(lags: Lags, parts: tuple[Envelope, ...]) -> tuple[tuple[float, float], ...]:
    """Second to fifth harmonic's energy over the linear response's at the same frequency: (octave, ratio) each.

    The room drops out of the ratio, the loudspeaker's own tilt does not. 0 where they are below the noise.
    """
    sweep = lags.sweep
    width = min(0.3, sweep.harmonic_advance_s(6) - sweep.harmonic_advance_s(5))
    early = -sweep.harmonic_advance_s(6) - width
    found = []
    for part in parts:
        if not 500 <= part.band_hz <= 4000 or part.onset_s + early < 2 * width:
            continue
        lead = 3 * part.step_s
        linear = float(part.part(-lead, width).sum())
        rest = float(np.median(part.part(early - width, early))) / np.log(2) * (width + lead) / part.step_s
        places = [-sweep.harmonic_advance_s(n) for n in range(2, 6)]
        each = [float(part.part(at - lead, at + width).sum()) for at in places]
        found.append((part.band_hz, sum(max(energy - rest, 0.0) for energy in each if energy > 2 * rest) / linear))
    return tuple(found)


def _harmonics_db(ratios: tuple[tuple[float, float], ...]) -> float | None:
    """Median over octaves; None where most show none: a burst strikes one octave's windows, distortion several."""
    middle = float(np.median([ratio for _, ratio in ratios])) if ratios else 0.0
    if sum(ratio > 0 for _, ratio in ratios) < 3 or middle <= 0:
        return None
    return float(10 * np.log10(middle))


def distortion(ratios: tuple[tuple[float, float], ...]) -> Iterator[Finding]:
    """Harmonics of a loudspeaker or amplifier driven too hard, or of an input that clips below full scale."""
    middle_db = _harmonics_db(ratios)
    if middle_db is None:
        return
    if middle_db >= STRONG_DB:
        pct = 100 * 10 ** (middle_db / 20)
        yield Finding(
            True,
            f"harmonics at {middle_db:.0f} dB ({pct:.2g} %) of the sweep from 500 Hz to 4 kHz: the loudspeaker or an "
            "input is overdriven; play 6 dB softer",
        )
        return
    worst_hz, worst = max(ratios, key=lambda item: item[1])
    worst_db = 10 * np.log10(worst)
    if max(middle_db, worst_db - 10) >= DISTORTED_DB:
        yield Finding(
            False,
            f"harmonics up to {worst_db:.0f} dB ({100 * 10 ** (worst_db / 20):.2g} %) of the sweep, most in the "
            f"{band_label(worst_hz)} Hz octave; they are cut off, but softer would be better",
        )


def gaps(raw: Array, rate_hz: float) -> Iterator[Finding]:
    """Samples that stand still for a millisecond or more while the sweep sounds."""
    least, around = max(int(0.001 * rate_hz), 24), int(0.02 * rate_hz)
    found = []
    for first, length in _runs(np.diff(raw) == 0):
        if length < least:
            continue
        sides = (raw[max(first - around, 0) : first], raw[first + length + 1 : first + length + 1 + around])
        if abs(raw[first]) >= 0.9 * np.abs(raw[max(first - around, 0) : first + length + around]).max():
            continue  # a clipped top
        if all(len(side) >= around // 2 and np.sqrt(np.mean(side**2)) > 3e-3 for side in sides):
            found.append((first / rate_hz, 1000 * length / rate_hz))
    if found:
        longest = max(ms for _, ms in found)
        yield Finding(
            True,
            f"dropout: the recording stands still during the sweep, first {found[0][0]:.1f} s after its start "
            f"(places: {len(found)}, longest {longest:.0f} ms); close other programs, use a cable, and record again",
        )


def jump(lags: Lags, parts: tuple[Envelope, ...], where: str) -> Iterator[Finding]:
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
        raise _other_sweep(where, ratio, float(np.ptp(at)))
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


def still_sounding(parts: tuple[Envelope, ...], bands: tuple[BandRange, ...], tail_s: float) -> Iterator[Finding]:
    """A record that ends before the decay does."""
    if not any(b.range_db is not None and b.range_db < NEEDED_DB + 15 for b in bands):
        return
    fall = [
        10 * np.log10(np.mean(part.part(0.4 * tail_s, 0.7 * tail_s)) / np.mean(part.part(0.7 * tail_s, tail_s)))
        for part in parts
        if MAIN_HZ[0] <= part.band_hz <= MAIN_HZ[1]
    ]
    if fall and np.median(fall) > 3:
        yield Finding(
            False,
            f"the record ends {tail_s:.1f} s after the sweep while the room still sounds (it falls by "
            f"{np.median(fall):.0f} dB over its last third); let it run longer",
        )


def gain(before: Array, during: Array, after: Array, bands_hz: tuple[float, ...]) -> Iterator[Finding]:
    """Noise that is not the same before, under and after the sweep: automatic gain, noise suppression."""
    use = [i for i, band in enumerate(bands_hz) if MAIN_HZ[0] <= band <= MAIN_HZ[1]]
    if len(before) < 3 or len(after) < 3 or len(use) < 3:
        yield Finding(False, "too little silence around the sweep to check for automatic gain; leave half a second")
        return
    change = _change_db(before, after, use)
    under = _change_db(np.concatenate([before, after]), during, use)
    third = len(after) // 3
    rise = _change_db(after[:third], after[-third:], use) if third >= 4 else 0.0
    told = []
    if abs(change) > GAIN_DB:
        told.append(f"the noise is {change:+.0f} dB after the sweep against before")
    if abs(rise) > GAIN_DB:
        told.append(f"the noise {'rises' if rise > 0 else 'falls'} by {abs(rise):.0f} dB after the sweep")
    if under < -GAIN_DB:
        told.append(f"the noise is {under:+.0f} dB under the sweep against the silence")
    if told:
        yield Finding(
            True,
            f"{' and '.join(told)}: automatic gain or noise suppression, or something was switched; switch it off "
            "and record again",
        )
    elif under > 3 * GAIN_DB:
        yield Finding(
            under > 5 * GAIN_DB,
            f"the noise is {under:+.0f} dB under the sweep against the silence: noise suppression, a lossy recorder, "
            "or something that rattles",
        )


def _change_db(first: Array, second: Array, use: list[int]) -> float:
    """Median over octaves of how much louder the typical frame of `second` is. [dB]"""
    changes = [
        10 * np.log10((np.median(after) + 1e-30) / (np.median(before) + 1e-30))
        for before, after in ((_finite(first[:, i]), _finite(second[:, i])) for i in use)
        if len(before) >= 3 and len(after) >= 3
    ]
    return float(np.median(changes)) if changes else 0.0


def _finite(values: Array) -> Array:
    return values[np.isfinite(values)]


@dataclass(frozen=True, slots=True, eq=False)
class Rest:
    """What is left of the record where the sweep and its harmonics are taken out.

    Attributes
    ----------
    power : (frames, bands)
        Mean square per octave during the sweep; NaN where the sweep takes most of the octave out. [1]
    when_s : (frames,)
        After the sweep's start. [s]
    signal : (bands,)
        Highest frame of the record itself. [1]
    """

    power: Array
    when_s: Array
    signal: Array


def rest_of(heard: Heard, bands_hz: tuple[float, ...], knee_s: float, harmonics_db: float | None) -> Rest:
    """The record less what the lags around the direct sound and the harmonics explain."""
    from scipy import fft

    lags, sweep = heard.lags, heard.lags.sweep
    rate, n = sweep.rate_hz, len(lags.samples)
    kept = np.ones(n)
    windows = [(-0.05, 1.2 * knee_s + 0.05)]
    if harmonics_db is not None:
        windows += [(-sweep.harmonic_advance_s(k) - 0.05, -sweep.harmonic_advance_s(k) + knee_s) for k in range(2, 8)]
    for from_s, to_s in windows:
        kept[max(lags.start + int(from_s * rate), 0) : max(lags.start + int(to_s * rate), 0)] = 0
    size = fft.next_fast_len(n + len(sweep.samples), real=True)
    # The response's own lower edge rings for longer than any window.
    octave = np.log2(np.maximum(np.fft.rfftfreq(size, 1 / rate), 1e-3) / sweep.low_hz)
    inner = np.sin(np.pi / 2 * np.clip(octave / 0.5 - 0.5, 0, 1)) ** 2
    rest = fft.irfft(fft.rfft(lags.samples * kept, size) * fft.rfft(sweep.samples, size) * inner, size)
    begin = lags.start
    part, whole = rest[begin : begin + len(sweep.samples)], heard.y[begin - lags.zero :][: len(sweep.samples)]
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
    edges = (when < 2 * FRAME_S + sweep.octave_s / 2) | (when > len(sweep.samples) / rate - 2 * FRAME_S)
    power[edges] = np.nan
    highest = np.asarray(np.nan_to_num(signal).max(axis=0), dtype=np.float64)
    return Rest(power, np.asarray(when, dtype=np.float64), highest)


def bursts(rest: Rest, octave_s: float) -> Iterator[Finding]:
    """A door, a voice, a click, a splice: several octaves rise at once where the sweep is not."""
    counted = np.isfinite(rest.power).sum(axis=0)
    usual = np.array([np.nanmedian(p) if c >= 8 else np.inf for p, c in zip(rest.power.T, counted, strict=True)])
    with np.errstate(divide="ignore", invalid="ignore"):
        over = 10 * np.log10(rest.power / usual)
    loud = over >= BURST_DB
    hits = np.flatnonzero(loud.sum(axis=1) >= 2)
    if len(hits) == 0:
        return
    worst = int(hits[np.argmax(np.nansum(np.where(loud[hits], over[hits], 0), axis=1))])
    level = float(np.nanmax(np.where(loud[worst], rest.power[worst], np.nan))) * FRAME_S
    under = 10 * np.log10(level / (np.median(rest.signal) * octave_s))
    told = (
        f"a burst {rest.when_s[worst]:.1f} s into the sweep, {np.nanmax(over[worst]):.0f} dB over the noise in "
        f"{int(loud[worst].sum())} octaves, {-under:.0f} dB under the sweep (door, voice, knock, lost samples?)"
    )
    if under > -NEEDED_DB - 15:
        yield Finding(True, f"{told}; wait until it is quiet and record again")
    elif under > -NEEDED_DB - 25:
        yield Finding(False, f"{told}: too weak to matter")


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
    told = f"two arrivals {after_ms:.1f} ms apart, the second {level:+.1f} dB to the first"
    if rest > -6 or level < -6:
        return
    if (after_ms <= 3 and level > -2) or after_ms >= 50:
        yield Finding(True, f"{told}: two loudspeakers at once? Play one alone, or move off the hard surface nearby")
    elif level > -2:
        yield Finding(False, f"{told}: a strong reflection, or two loudspeakers")


def drift(lags: Lags) -> Iterator[Finding]:
    """Without markers: a clock that runs off smears the direct sound; undoing it sharpens the peak."""
    rate, constant_s = lags.sweep.rate_hz, lags.sweep.constant_s
    half = 1024
    h = lags.samples[max(lags.start - half, 0) : lags.start + half] * np.hanning(2 * half)[: lags.start + half]
    spectrum = np.fft.rfft(h)
    hz = np.fft.rfftfreq(len(h), 1 / rate)
    turn = hz * np.log(np.maximum(hz, lags.sweep.low_hz) / 1000) * constant_s
    ppm = np.arange(-1000.0, 1001.0, 10.0)
    peaks = np.abs(np.fft.irfft(spectrum * np.exp(2j * np.pi * ppm[:, None] * 1e-6 * turn), len(h))).max(axis=1)
    best = int(np.argmax(peaks))
    gained = 20 * np.log10(peaks[best] / peaks[len(ppm) // 2])
    # Without a direct sound that stands out, noise has peaks at any speed.
    if gained >= SMEARED_DB and peaks[best] ** 2 >= 0.15 * np.sum(h**2):
        yield Finding(
            False,
            f"two clocks about {ppm[best]:+.0f} ppm apart smear the direct sound ({gained:.1f} dB off its peak); decay "
            "times hold, reflections do not: use a sweep file with markers",
        )


def _other_sweep(where: str, ratio: float, apart_s: float) -> RecordingError:
    if np.isnan(ratio):
        return NoSweepFound(
            where=where,
            found="most of its energy lies ahead of the strongest arrival",
            needed="the sweep that was really played",
            todo="Name it with --sweep.",
        )
    found = f"the octaves arrive {1000 * apart_s:.0f} ms apart, evenly"
    for named, what in RATE_RATIOS.items():
        if abs(ratio / named - 1) < 0.01:
            return WrongRate(
                where=where,
                found=f"{found}: {what}",
                needed="player and recorder at one rate",
                todo="Set both to 48 kHz and record again, or use a sweep file with markers.",
            )
    return NoSweepFound(
        where=where,
        found=f"{found}: another sweep, or a clock {100 * (ratio - 1):+.1f} % wrong",
        needed="the sweep that was really played",
        todo="Name it with --sweep.",
    )


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


def _knee_s(part: Envelope, tail_s: float) -> float:
    """How long an octave stays 3 dB over its noise. [s]"""
    power = part.part(0.0, tail_s)
    width = max(int(0.03 / part.step_s), 5)
    smooth = np.convolve(power, np.ones(width) / width, "same")
    below = smooth <= 2 * np.mean(part.part(0.7 * tail_s, tail_s))
    return float(np.argmax(below) * part.step_s) if below.any() else tail_s


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
