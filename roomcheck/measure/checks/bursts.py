"""What sounded while the sweep did: a door, a voice, a knock; or something loose that the sweep
itself shook.

Two views. In octaves that the sweep has not reached yet, and in those it left long ago, what
remains of the record once the response is taken out must stay at its usual level. In octaves it has
left, the record itself may only fall. What a loose thing adds always lies above the sweep's own
frequency, and so ahead of the direct sound, where it is cut off: it is said, and does not spoil the
take.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from roomcheck.facts import Fact, fact
from roomcheck.measure.checks.gain_control import Rest
from roomcheck.measure.checks.take_record import Array, Remark, TakeRecord
from roomcheck.measure.kinds import Take
from roomcheck.measure.signal.envelopes import FRAME_S, overlapping_levels
from roomcheck.measure.signal.sweep import Sweep
from roomcheck.standards.iec_61260_1_2014 import bandwidth_hz

BURST_DB, LOW_BURST_DB, ALONE_DB = 9.0, 12.0, 20.0
"""Over the usual level of what remains: in two octaves at once, from 1 kHz and below; in the only
one seen. [dB]"""

HARMFUL_DB, HEARD_DB = -44.0, -58.0
"""Frame against the sweep's own loudest frame in the octave. Deconvolution gathers a sweep and
spreads a burst, by 20 dB and more, so that below the first a decay keeps more than T30 needs, 45
dB. [dB]"""

BROAD, CLICK_DB, BROAD_DB = 4, 24.0, -50.0
"""In so many octaves at once, so far over what was there, it is a click, as lost samples make. [1],
[dB], [dB]"""

FOLDED_DB = -35.0
"""Third harmonics that a digital device folds back at half its rate cross all octaves while the
sweep passes a third of the rate; weaker than this, or than the harmonics and 6 dB, they are no
burst. [dB]"""

HOP_S = 0.025
BEFORE_S = (0.075, 0.25)
"""A rise is held against the loudest frame between these times before it. [s]"""

RATTLE_BELOW_HZ = 520.0
"""Loose things are shaken by low frequencies; one seeks them from 30 to 300 Hz: common practice.
[Hz]"""


@dataclass(frozen=True, slots=True)
class _Event:
    """The loudest frame of what happened: when, how far over the usual, in how many octaves,
    against the sweep."""

    at_s: float
    over_db: float
    octaves: int
    under_db: float


def bursts(heard: TakeRecord, rest: Rest, harmonics_db: float | None = None) -> Iterator[Remark]:
    """Everything of the kind, said once each."""
    folded_db = max(FOLDED_DB, -99.0 if harmonics_db is None else harmonics_db + 6)
    sweep = heard.lags.sweep
    above, rattles = _remains(heard, rest, folded_db)
    events = sorted(
        (*above, *_rises(heard, rest, folded_db)), key=lambda e: e.under_db, reverse=True
    )
    if events:
        worst = events[0]
        broad = any(_is_click(e, sweep) for e in events)
        if worst.under_db > HARMFUL_DB or broad:
            yield Remark(True, _burst(Take.BURST, worst, sweep.seconds))
        elif worst.under_db > HEARD_DB:
            yield Remark(False, _burst(Take.WEAK_BURST, worst, sweep.seconds))
    if rattles:
        hz = [sweep.low_hz * np.exp(e.at_s / sweep.constant_s) for e in rattles]
        loudest = max(e.under_db for e in rattles)
        shaken = fact(
            Take.SHAKEN_LOOSE,
            low_hz=float(min(hz)),
            high_hz=float(max(hz)),
            under_db=-loudest,
        )
        yield Remark(False, shaken)


def _is_click(event: _Event, sweep: Sweep) -> bool:
    """Broad and sudden, while the sweep is too high to shake a panel loose."""
    hz = sweep.low_hz * np.exp(event.at_s / sweep.constant_s)
    wide = event.octaves >= BROAD and event.over_db > CLICK_DB and event.under_db > BROAD_DB
    return bool(wide and hz > 1.3 * RATTLE_BELOW_HZ)


def _burst(kind: Take, event: _Event, sweep_s: float) -> Fact[Take]:
    during = event.at_s < sweep_s
    return fact(
        kind,
        into_s=event.at_s if during else None,
        after_s=None if during else event.at_s - sweep_s,
        over_db=event.over_db,
        octaves=event.octaves,
        under_db=-event.under_db,
    )


def _remains(heard: TakeRecord, rest: Rest, folded_db: float) -> tuple[list[_Event], list[_Event]]:
    """Frames that stand out of what remains: bursts, and what the sweep shook."""
    counted = np.isfinite(rest.power).sum(axis=0)
    usual = np.array(
        [np.nanmedian(p) if c >= 8 else np.inf for p, c in zip(rest.power.T, counted, strict=True)]
    )
    with np.errstate(divide="ignore", invalid="ignore"):
        over = np.nan_to_num(10 * np.log10(rest.power / usual), nan=-99.0, neginf=-99.0)
        under = np.nan_to_num(10 * np.log10(rest.power / rest.signal), nan=-99.0, neginf=-99.0)
    over[_folding(rest.when_s, heard.lags.sweep) & (under.max(axis=1) < folded_db)] = -99.0
    loud = over >= np.where(np.array(rest.bands_hz) >= 1000, BURST_DB, LOW_BURST_DB)
    seen = np.isfinite(rest.power).sum(axis=1) == 1
    hits = np.flatnonzero((loud.sum(axis=1) >= 2) | (seen & (over.max(axis=1) >= ALONE_DB)))
    found: list[_Event] = []
    shaken: list[_Event] = []
    for run in np.split(hits, np.flatnonzero(np.diff(hits) > 2) + 1) if len(hits) else []:
        worst = int(run[np.argmax(np.where(loud[run], under[run], -99).max(axis=1))])
        event = _Event(
            float(rest.when_s[worst]),
            float(over[worst].max()),
            int(loud[worst].sum()),
            float(np.where(loud[worst], under[worst], -99).max()),
        )
        (shaken if _is_rattle(heard, rest, run, loud) else found).append(event)
    return found, shaken


def _folding(when_s: NDArray[np.floating], sweep: Sweep) -> NDArray[np.bool_]:
    hz = sweep.low_hz * np.exp(when_s / sweep.constant_s)
    folding: NDArray[np.bool_] = np.abs(3 * hz / sweep.rate_hz - 1.15) < 0.45
    return folding


def _is_rattle(
    heard: TakeRecord, rest: Rest, run: NDArray[np.intp], loud: NDArray[np.bool_]
) -> bool:
    """Only above the sweep's own frequency while that is low, and in step with it, or swelling as
    it comes near."""
    sweep = heard.lags.sweep
    hz = sweep.low_hz * np.exp(rest.when_s[run] / sweep.constant_s)
    bands = np.array(rest.bands_hz)
    touched = loud[run] & (bands[None, :] < hz[:, None])
    if hz[-1] > 1.3 * RATTLE_BELOW_HZ or touched.any():
        return False
    from_s, to_s = rest.when_s[run[0]] - FRAME_S, rest.when_s[run[-1]] + FRAME_S
    buzz = _buzz(heard, from_s, to_s)
    long = to_s - from_s > 0.15
    in_step = _in_step(buzz, heard, from_s)
    if in_step > (IN_STEP if long else 2 * IN_STEP):
        return True
    return long and not _sudden(buzz, sweep.rate_hz) and _pitched(buzz, sweep.rate_hz) < VOICED


IN_STEP = 0.12
"""Share of the envelope that goes with the sweep's own phase; noise has 0.03 to 0.06. [1]"""


VOICED = 0.2
"""Share of the envelope that goes with one pitch: vowels have more, noise 0.1. [1]"""


def _buzz(heard: TakeRecord, from_s: float, to_s: float) -> Array:
    """Squared record above 2 kHz, between two times after the sweep's start."""
    from scipy.signal import butter, sosfiltfilt

    rate, begin = heard.lags.sweep.rate_hz, heard.lags.start - heard.lags.zero
    first, last = (int(begin + s * rate) for s in (from_s, to_s))
    part = heard.y[max(first, 0) : last]
    high: Array = sosfiltfilt(butter(4, 2000, "high", fs=rate, output="sos"), part)
    return high**2


def _in_step(power: Array, heard: TakeRecord, from_s: float) -> float:
    sweep = heard.lags.sweep
    t = max(from_s, 0.0) + np.arange(len(power)) / sweep.rate_hz
    even = _evened(power, sweep.rate_hz)
    phase = 2 * np.pi * sweep.low_hz * sweep.constant_s * np.expm1(t / sweep.constant_s)
    return float(max(abs(np.mean(even * np.exp(-1j * k * phase))) for k in (1, 2)) / np.mean(even))


def _evened(power: Array, rate_hz: int) -> Array:
    """The envelope without its slow course."""
    width = int(0.03 * rate_hz)
    return np.minimum(power / (np.convolve(power, np.ones(width) / width, "same") + 1e-30), 8.0)


def _pitched(power: Array, rate_hz: int) -> float:
    """Strongest steady beat of the envelope between 80 and 350 Hz, over any fifth of a second."""
    even = _evened(power, rate_hz)
    span = min(int(0.2 * rate_hz), len(even))
    best = 0.0
    for first in range(0, len(even) - span + 1, max(span // 2, 1)):
        part = even[first : first + span]
        spectrum = np.abs(np.fft.rfft((part - part.mean()) * np.hanning(span), 2 * span))
        hz = np.fft.rfftfreq(2 * span, 1 / rate_hz)
        best = max(best, float(2 * spectrum[(hz > 80) & (hz < 350)].max() / part.sum()))
    return best


def _sudden(power: Array, rate_hz: int) -> bool:
    """From a tenth of its highest level to that level within 15 ms."""
    width = int(0.005 * rate_hz)
    steps = power[: len(power) // width * width].reshape(-1, width).mean(axis=1)
    top = int(np.argmax(steps))
    return bool(steps[max(top - 3, 0) : top + 1].min() < 0.1 * steps[top])


def _rises(heard: TakeRecord, rest: Rest, folded_db: float) -> Iterator[_Event]:
    """Octaves that the sweep has left and that grow louder."""
    lags, sweep = heard.lags, heard.lags.sweep
    begin = max(lags.start - lags.zero, 0)
    levels = overlapping_levels(heard.y[begin:], sweep.rate_hz, rest.bands_hz, HOP_S)
    first, last = (round(s / HOP_S) for s in BEFORE_S)
    if len(levels) <= last:
        return
    when = np.arange(len(levels), dtype=np.float64) * HOP_S + FRAME_S / 2
    before = np.max([levels[last - k : len(levels) - k] for k in range(first, last + 1)], axis=0)
    now, when = levels[last:], when[last:]
    with np.errstate(divide="ignore", invalid="ignore"):
        over = np.nan_to_num(10 * np.log10(now / before), nan=-99.0, posinf=-99.0)
        under = np.nan_to_num(10 * np.log10(now / rest.signal), nan=-99.0, neginf=-99.0)
    needed = np.array([6 + 2 / (FRAME_S * bandwidth_hz(b) / 20) for b in rest.bands_hz])
    left = np.array([sweep.time_at_s(b * 2**0.6) + 2 * FRAME_S for b in rest.bands_hz])
    under[_folding(when, sweep) & (under.max(axis=1) < folded_db)] = -99.0
    loud = (over >= needed) & (when[:, None] > left) & (under > HEARD_DB)
    alone = ((when[:, None] > left).sum(axis=1) == 1) & (
        np.where(loud, over, 0).max(axis=1) > ALONE_DB
    )
    for i in np.flatnonzero((loud.sum(axis=1) >= 2) | alone):
        yield _Event(
            float(when[i]),
            float(over[i][loud[i]].max()),
            int(loud[i].sum()),
            float(under[i][loud[i]].max()),
        )
