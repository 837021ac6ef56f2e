"""What arrives when: harmonics ahead of the direct sound, octaves apart, a second source, a clock
that runs off."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from roomcheck.facts import fact
from roomcheck.measure.checks.clock import RATE_RATIOS, mismatch_named
from roomcheck.measure.checks.take_record import Array, Remark
from roomcheck.measure.faults import NoSweepFound, RecordingError, WrongRate
from roomcheck.measure.kinds import Take
from roomcheck.measure.signal.deconvolution import Lags
from roomcheck.measure.signal.envelopes import Envelope
from roomcheck.units import SPEED_OF_SOUND_M_S

DISTORTED_DB, STRONG_DB = -30.0, -20.0
SMEARED_DB = 3.0

RIVAL_DB = 1.5
"""A clock's speed sharpens the direct sound by so much more than any other does. [dB]"""

TYPICAL_M = 4.0
LEVEL_SLACK_DB = 0.3
"""Levels of two arrivals amid others are known no better. [dB]"""

TWICE = 0.25
"""A signal and its equal twin give 0.5 at their delay; chance 0.02 in 150 ms of a full band. [1]"""


SHARP_RISE_S = 0.002
"""A direct sound rises sooner in most octaves of either side of a jump. [s]"""

SWELLS_S = 0.15
"""So far ahead an octave's swelling is looked for: harmonics lie further ahead. [s]"""

RISES = 2.0
"""Periods that an octave's filter takes to rise by 10 dB at most. [1]"""

SHARP = 0.1
"""Share of a direct sound's peak in the first 20 ms; diffuse sound alone has half of that. [1]"""


def harmonics(lags: Lags, parts: tuple[Envelope, ...]) -> tuple[tuple[float, float], ...]:
    """Second to fifth harmonic's energy over the linear response's at the same frequency.

    (octave [Hz], ratio [1]) each. The room drops out of the ratio, the loudspeaker's own tilt does
    not. 0 where they are below the noise.
    """
    sweep = lags.sweep
    width = min(0.3, sweep.harmonic_advance_s(6) - sweep.harmonic_advance_s(5))
    early = -sweep.harmonic_advance_s(6) - width
    places_s = [-sweep.harmonic_advance_s(n) for n in range(2, 6)]
    ratios = []
    for part in parts:
        if not 500 <= part.band_hz <= 4000 or part.onset_s + early < 2 * width:
            continue
        lead = 3 * part.step_s
        linear = float(part.part(-lead, width).sum())
        # The median of an exponential distribution is ln 2 of its mean.
        noise = float(np.median(part.part(early - width, early))) / np.log(2)
        noise = noise * (width + lead) / part.step_s
        energies = [float(part.part(s - lead, s + width).sum()) for s in places_s]
        over_noise = [energy - noise for energy in energies if energy > 2 * noise]
        ratios.append((part.band_hz, sum(over_noise) / linear))
    return tuple(ratios)


def median_db(ratios: tuple[tuple[float, float], ...]) -> float | None:
    """Median over octaves; None where most show none: a burst strikes one octave's windows,
    distortion several."""
    middle = float(np.median([ratio for _, ratio in ratios])) if ratios else 0.0
    if sum(ratio > 0 for _, ratio in ratios) < 3 or middle <= 0:
        return None
    return float(10 * np.log10(middle))


def distortion(ratios: tuple[tuple[float, float], ...]) -> Iterator[Remark]:
    """Harmonics of a loudspeaker or amplifier driven too hard, or of an input that clips below full
    scale."""
    middle_db = median_db(ratios)
    if middle_db is None:
        return
    if middle_db >= STRONG_DB:
        yield Remark(True, fact(Take.OVERDRIVEN, harmonics_db=middle_db))
        return
    worst_hz, worst = max(ratios, key=lambda item: item[1])
    worst_db = 10 * np.log10(worst)
    if max(middle_db, worst_db - 10) >= DISTORTED_DB:
        yield Remark(False, fact(Take.HARMONICS, harmonics_db=float(worst_db), band_hz=worst_hz))


def jump(lags: Lags, parts: tuple[Envelope, ...], where: str) -> Iterator[Remark]:
    """Octaves that arrive early or late: samples lost or doubled, or another clock.

    A sweep through a clock that runs fast by a factor r spreads the arrivals along a line of slope
    (r - 1) L over the logarithm of frequency; a jump leaves two steps.
    """
    arrivals = [(part.middle_hz, _arrival_s(part)) for part in parts if part.band_hz >= 250]
    clear = [(hz, *arrival) for hz, arrival in arrivals if arrival is not None]
    if len(clear) < 3:
        return
    hz, at, rise = (np.array(column) for column in zip(*clear, strict=True))
    # What swells up comes at no one moment: how long it takes is how well its arrival is known.
    slack = 3 / hz + 0.0015 + rise
    if np.all(np.abs(at - np.median(at)) <= slack):
        return
    wide = 8 / hz + 0.002 + rise
    slope, start = np.polyfit(np.log(hz), at, 1, w=1 / wide)
    off_line = float(np.max(np.abs(at - start - slope * np.log(hz)) / wide))
    if np.any(np.abs(at - np.median(at)) > wide) and off_line <= min(
        1.0, *(_off_step(at, wide, k) for k in range(1, len(at)))
    ):
        raise other_sweep(where, 1 + slope / lags.sweep.constant_s, float(np.ptp(at)))
    off_step, k = min((_off_step(at, slack, k), k) for k in range(1, len(at)))
    lost_ms = 1000 * (np.median(at[:k]) - np.median(at[k:]))
    clear_ms = 1000 * max(0.003, float(np.mean(slack[k - 1 : k + 1])))
    if abs(lost_ms) < clear_ms or (abs(lost_ms) < 20 and (off_step > 1 or min(k, len(at) - k) < 2)):
        return  # a strong reflection, or a slow loudspeaker, moves one octave as much
    swells_s = max(float(np.median(side)) for side in (rise[:k], rise[k:]))
    sharp = _stands_out(lags) and swells_s < SHARP_RISE_S
    if abs(lost_ms) < 40 and not sharp:
        return  # nothing sharp arrives, so that each octave's own grains say when
    when = lags.sweep.time_at_s(float(np.sqrt(hz[k - 1] * hz[k])))
    kind = Take.SAMPLES_LOST if lost_ms > 0 else Take.SAMPLES_ADDED
    yield Remark(True, fact(kind, jump_s=abs(float(lost_ms)) / 1000, at_s=when))


def _stands_out(lags: Lags) -> bool:
    """Whether a direct sound does: its 0.6 ms hold a tenth of the first 20 ms."""
    rate = lags.sweep.rate_hz
    h = lags.samples[max(lags.start - rate // 1000, 0) : lags.start + rate // 50] ** 2
    peak, half = int(np.argmax(h)), int(0.0003 * rate)
    return float(h[max(peak - half, 0) : peak + half + 1].sum()) >= SHARP * float(h.sum())


def two_sources(lags: Lags, away_m: float | None = None) -> Iterator[Remark]:
    """A second direct sound as strong as the first.

    One reflection close by, as off a desk, is told from a second loudspeaker by two things. It has
    travelled farther than the direct sound and lost level by that; and it comes once, while a
    signal that is played twice makes everything that follows come twice.

    Parameters
    ----------
    away_m : float, optional
        Source to microphone; 4 m where it is not known or less, the far end of a small room. [m]
    """
    first, second, level, rest = _two_strongest(lags)
    after_s = (second - first) / lags.sweep.rate_hz
    if rest > -6 or abs(level) > 6:
        return
    likeness = _comes_twice(lags, second - first)
    away = max(away_m or 0.0, TYPICAL_M)
    most_db = 20 * np.log10(away / (away + SPEED_OF_SOUND_M_S * after_s))
    arrivals: dict[str, float] = {"apart_s": after_s, "level_db": level}
    if likeness > TWICE and abs(level) < 4:
        twice = fact(Take.COMES_TWICE, **arrivals, likeness=likeness, chance=TWICE)
        yield Remark(True, twice)
    elif after_s <= 0.003 and level > most_db + LEVEL_SLACK_DB:
        too_strong = fact(
            Take.NO_REFLECTION,
            **arrivals,
            farther_m=SPEED_OF_SOUND_M_S * after_s,
            loss_db=-float(most_db),
            away_m=away,
        )
        yield Remark(True, too_strong)
    elif after_s >= 0.05:
        yield Remark(True, fact(Take.LATE_ARRIVAL, **arrivals))
    elif level > -2:
        yield Remark(False, fact(Take.STRONG_REFLECTION, **arrivals))


def _two_strongest(lags: Lags) -> tuple[int, int, float, float]:
    """Find the two strongest arrivals of the first 0.3 s.

    When each comes, in that order [samples]; the later over the earlier, and the strongest of all
    others over the weaker of the two [dB].
    """
    rate = lags.sweep.rate_hz
    h = lags.samples[max(lags.start - rate // 1000, 0) : lags.start + int(0.3 * rate)]
    power = np.convolve(h**2, np.ones(9), "same")
    apart = int(0.0003 * rate)
    others = power.copy()
    strongest = int(np.argmax(others))
    others[max(strongest - apart, 0) : strongest + apart + 1] = 0
    weaker = int(np.argmax(others))
    others[max(weaker - apart, 0) : weaker + apart + 1] = 0
    first, second = sorted((strongest, weaker))
    level_db = float(10 * np.log10(power[second] / power[first]))
    rest_db = float(10 * np.log10(others.max() / power[weaker]))
    return first, second, level_db, rest_db


def _comes_twice(lags: Lags, apart: int) -> float:
    """How alike the response after the two arrivals is to itself, so much later, evened over time
    and frequency. [1]"""
    rate, sweep = lags.sweep.rate_hz, lags.sweep
    begin = lags.start + apart + int(0.003 * rate)
    part = lags.samples[begin : min(begin + int(0.15 * rate), lags.tail_end)]
    if len(part) < 4 * apart + 512:
        return 0.0
    width = int(0.005 * rate)
    part = part / np.sqrt(np.convolve(part**2, np.ones(width) / width, "same") + 1e-30)
    power = np.abs(np.fft.rfft(part, 2 * len(part))) ** 2
    hz = np.fft.rfftfreq(2 * len(part), 1 / rate)
    # Over two and a half periods of the comb that a twin makes, so that the comb itself stays.
    span = max(int(len(power) * 2 / rate * max(2.5 * rate / apart, 1000.0)), 3)
    even = power / (np.convolve(power, np.ones(span) / span, "same") + 1e-30)
    even[(hz < max(300.0, sweep.low_hz)) | (hz > 0.8 * sweep.high_hz)] = 0
    alike = np.fft.irfft(even)
    near = alike[max(apart - 2, 1) : apart + 3]
    return float(np.max(near) / alike[0]) if len(near) else 0.0


def drift(lags: Lags) -> Iterator[Remark]:
    """Without markers: a clock that runs off smears the direct sound; undoing it sharpens the
    peak."""
    rate, constant_s = lags.sweep.rate_hz, lags.sweep.constant_s
    half = 1024
    h = (
        lags.samples[max(lags.start - half, 0) : lags.start + half]
        * np.hanning(2 * half)[: lags.start + half]
    )
    spectrum = np.fft.rfft(h)
    hz = np.fft.rfftfreq(len(h), 1 / rate)
    turn = hz * np.log(np.maximum(hz, lags.sweep.low_hz) / 1000) * constant_s
    ppm = np.arange(-1000.0, 1001.0, 10.0)
    peaks = np.abs(
        np.fft.irfft(spectrum * np.exp(2j * np.pi * ppm[:, None] * 1e-6 * turn), len(h))
    ).max(axis=1)
    best = int(np.argmax(peaks))
    gained = 20 * np.log10(peaks[best] / peaks[len(ppm) // 2])
    # A clock runs to one side alone: what a speed on the other sharpens nearly as well is a shape
    # that the loudspeaker or the room has.
    if _other_side(peaks, best) > peaks[best] * 10 ** (-RIVAL_DB / 20):
        return
    # Without a direct sound that stands out, noise has peaks at any speed.
    if gained >= SMEARED_DB and peaks[best] ** 2 >= 0.15 * np.sum(h**2):
        smeared = fact(Take.CLOCKS_SMEAR, drift_ppm=float(ppm[best]), lost_db=float(gained))
        yield Remark(False, smeared)


def _other_side(peaks: Array, best: int) -> float:
    """The highest peak at a speed on the other side of 0."""
    middle = len(peaks) // 2
    return float((peaks[middle + 1 :] if best < middle else peaks[:middle]).max())


def other_sweep(where: str, ratio: float, apart_s: float) -> RecordingError:
    if np.isnan(ratio):
        return NoSweepFound(
            where=where,
            found="most of its energy lies ahead of the strongest arrival",
            needed="the sweep that was really played",
            todo="Name it with --sweep.",
        )
    found = f"the octaves arrive {1000 * apart_s:.0f} ms apart, evenly"
    for mismatch, rates_hz in RATE_RATIOS.items():
        if abs(ratio / mismatch - 1) < 0.01:
            return WrongRate(
                where=where,
                found=f"{found}: {mismatch_named(rates_hz)}",
                needed="player and recorder at one rate",
                todo="Set both to 48 kHz and record again, or use a sweep file with markers.",
            )
    return NoSweepFound(
        where=where,
        found=f"{found}: another sweep, or a clock {100 * (ratio - 1):+.1f} % wrong",
        needed="the sweep that was really played",
        todo="Name it with --sweep.",
    )


def _arrival_s(part: Envelope) -> tuple[float, float] | None:
    """When an octave first comes within 10 dB of its highest, after the broadband onset, and how
    long it took for the 10 dB below, the filter's own rise taken off; None in noise. [s]"""
    peak = float(part.power.max())
    if peak < 30 * float(np.mean(part.power)):
        return None
    at = int(np.argmax(part.power >= 0.1 * peak))
    ahead = part.power[max(at - int(SWELLS_S / part.step_s), 0) : at + 1]
    rise_s = (len(ahead) - 1 - int(np.argmax(ahead >= 0.01 * peak))) * part.step_s
    return at * part.step_s - part.onset_s, max(rise_s - RISES / part.middle_hz, 0.0)


def _off_step(at: Array, slack: Array, k: int) -> float:
    return float(
        max(
            np.max(np.abs(side - np.median(side)) / s)
            for side, s in ((at[:k], slack[:k]), (at[k:], slack[k:]))
        )
    )
