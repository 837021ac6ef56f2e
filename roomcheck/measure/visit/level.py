"""How loud, and how long a sweep: quietly first, then up to what the noise needs and no further
than was allowed."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from roomcheck.measure.card.card import Recorded, SoundCard
from roomcheck.measure.checks.listening import Decisions, listen
from roomcheck.measure.checks.take_record import MAIN_HZ, NEEDED_DB
from roomcheck.measure.faults import CardError, RecordingError
from roomcheck.measure.files.audio import Audio
from roomcheck.measure.files.played import Played
from roomcheck.measure.signal.signals import TakeCheck
from roomcheck.measure.signal.sweep import Sweep
from roomcheck.units import band_name

START_DBFS = -48.0
"""Where the level starts: with a volume knob at its usual place hardly louder than talk. [dB re
full scale]"""

WANTED_DB = NEEDED_DB + 10.0
"""Peak to noise aimed at: what T30 needs, and T20 with 10 dB to spare. [dB]"""

STEP_DB, STEP_DEAF_DB = 9.0, 6.0
"""The most that the level rises at once: where the noise says how much is missing, and where
nothing is heard yet. [dB]"""

LEAST_STEP_DB = 3.0

LENGTHS_S = (5.0, 7.0, 10.0, 15.0, 20.0, 30.0)
USUAL_S = 10.0
"""Up to here a longer sweep is better than a louder one. [s]"""

PROBE_S, PROBE_TAIL_S = 2.0, 1.5
HIGHEST_PEAK_DBFS = -3.0
YIELD_DB = 1.5
"""A loudspeaker whose sound rises by so much less than the signal has come to its limit. [dB]"""

CAUTION = (
    "A sweep is loud in the treble: it can hurt ears and burn tweeters. Turn the amplifier down "
    "before you start, wear ear protection near the loudspeaker, keep everybody else out of the "
    "room, and stop with Ctrl-C if it sounds wrong."
)

Array = NDArray[np.float64]
Confirm = Callable[[float, float], bool]
"""Whether the level may rise: from, to. [dB re full scale]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelFound:
    """How a visit is played.

    Attributes
    ----------
    level_dbfs : float
        Peak of the sweep. [dB re full scale]
    seconds : float
        Of the sweep. [s]
    range_db : float or None
        Least peak to noise to expect from 250 Hz to 4 kHz; None where the record holds no noise, or
        nothing was heard. [dB]
    band_hz : float or None
        Where that is. [Hz]
    sentence : str
        Why so loud and so long.
    """

    level_dbfs: float
    seconds: float
    range_db: float | None
    band_hz: float | None
    sentence: str


@dataclass(frozen=True, slots=True)
class _Probe:
    """What one short sweep showed: `least_db` is infinite without noise, None where nothing was
    heard; `response_db` is the response's own peak."""

    level_dbfs: float
    least_db: float | None
    band_hz: float | None
    peak_dbfs: float
    clipped: bool
    response_db: float = -math.inf


def find_level(
    card: SoundCard,
    *,
    rate_hz: int,
    low_hz: float,
    high_hz: float,
    ceiling_dbfs: float,
    confirm: Confirm,
    tell: Callable[[str], None],
    channel: int = 1,
    start_dbfs: float = START_DBFS,
    lengths_s: tuple[float, ...] = LENGTHS_S,
) -> LevelFound:
    """Play short sweeps, each a little louder, until the noise is far enough below.

    Parameters
    ----------
    card : SoundCard
    ceiling_dbfs : float
        Never exceeded. [dB re full scale]
    confirm : callable
        Asked before every rise; where it says no, the level stays.
    tell : callable
        Says what was heard.
    channel : int
        The microphone's, from 1.
    start_dbfs : float
        Of the first test sweep. [dB re full scale]
    lengths_s : tuple of float
        Sweeps to choose from, shortest first. [s]

    Raises
    ------
    CardError
        The card fails.
    """
    usual_s = max((s for s in lengths_s if s <= USUAL_S), default=lengths_s[0])
    sweep = Sweep(low_hz=low_hz, high_hz=high_hz, seconds=PROBE_S, rate_hz=rate_hz)
    level = min(start_dbfs, ceiling_dbfs)
    last: _Probe | None = None
    while True:
        now = _probe(card, sweep, level, channel)
        tell(_heard(now, usual_s))
        if now.clipped or now.peak_dbfs > HIGHEST_PEAK_DBFS:
            return _too_hot(now, last, lengths_s)
        if last is not None and _yields(last, now):
            tell(
                "The sound no longer rises with the signal: loudspeaker or limiter; back to "
                f"{last.level_dbfs:g} dB."
            )
            return _settled(last, "because the loudspeaker came to its limit above", lengths_s)
        if now.least_db is not None and now.least_db + _gain_db(usual_s) >= WANTED_DB:
            return _settled(now, "", lengths_s)
        higher = min(level + _rise_db(now, usual_s), ceiling_dbfs)
        if higher < level + 0.5:
            return _settled(now, "which is as loud as you allowed", lengths_s)
        if not confirm(level, higher):
            return _settled(now, "where you stopped it", lengths_s)
        level, last = higher, now


def _probe(card: SoundCard, sweep: Sweep, level_dbfs: float, channel: int) -> _Probe:
    rate = sweep.rate_hz
    parts = (
        np.zeros(round(0.5 * rate)),
        10 ** (level_dbfs / 20) * sweep.samples,
        np.zeros(round(PROBE_TAIL_S * rate)),
    )
    recorded = card.play_and_record(np.concatenate(parts), rate)
    heard = recorded.samples[:, channel - 1]
    peak = float(np.abs(heard).max()) if len(heard) else 0.0
    if peak == 0:
        raise CardError(
            where=f"input channel {channel}",
            found="every sample is exactly zero",
            needed="the room's sound",
            todo="Switch off mute, check phantom power and cable, and which input the microphone is on.",
        )
    check, response_db = _check(recorded, sweep, channel)
    ranges = (
        [] if check is None else [b for b in check.bands if MAIN_HZ[0] <= b.band_hz <= MAIN_HZ[1]]
    )
    least = min(ranges, key=lambda b: math.inf if b.range_db is None else b.range_db, default=None)
    return _Probe(
        level_dbfs=level_dbfs,
        least_db=None if least is None else math.inf if least.range_db is None else least.range_db,
        band_hz=None if least is None else least.band_hz,
        peak_dbfs=20 * math.log10(peak),
        clipped=check is not None and any("clipped" in reason for reason in check.reasons),
        response_db=response_db,
    )


def _check(recorded: Recorded, sweep: Sweep, channel: int) -> tuple[TakeCheck | None, float]:
    """The verdict on a probe, and the response's peak; None where no sweep stands out of the noise.
    [dB]"""
    audio = Audio(recorded.samples.astype(np.float32), sweep.rate_hz, False, "test sweep")
    try:
        response, check, _ = listen(audio, Played(sweep=sweep), Decisions(channel=channel))
    except RecordingError:
        return None, -math.inf
    return check, 20 * math.log10(float(np.abs(response.samples).max()))


def _gain_db(seconds: float) -> float:
    """What a sweep of that length has over the probe: its energy. [dB]"""
    return 10 * math.log10(seconds / PROBE_S)


def _rise_db(probe: _Probe, usual_s: float) -> float:
    if probe.least_db is None:
        return STEP_DEAF_DB
    lacking = WANTED_DB - probe.least_db - _gain_db(usual_s)
    return float(min(max(math.ceil(lacking), LEAST_STEP_DB), STEP_DB))


def _yields(last: _Probe, now: _Probe) -> bool:
    if last.least_db is None or now.least_db is None or min(last.least_db, now.least_db) < 25:
        return False
    return now.response_db - last.response_db < now.level_dbfs - last.level_dbfs - YIELD_DB


def _settled(probe: _Probe, why: str, lengths_s: tuple[float, ...]) -> LevelFound:
    level = f"{probe.level_dbfs:.0f} dB re full scale{f', {why}' if why else ''}"
    if probe.least_db is None:
        return LevelFound(
            level_dbfs=probe.level_dbfs,
            seconds=lengths_s[-1],
            range_db=None,
            band_hz=None,
            sentence=f"Nothing of the test sweep was heard at {level}. Is the loudspeaker on, and the right output "
            "chosen? Turn the volume up a little, or the input gain.",
        )
    fits = [s for s in lengths_s if probe.least_db + _gain_db(s) >= WANTED_DB]
    seconds = fits[0] if fits else lengths_s[-1]
    if math.isinf(probe.least_db):
        said = "there is no noise in the record"
        return LevelFound(
            level_dbfs=probe.level_dbfs,
            seconds=seconds,
            range_db=None,
            band_hz=None,
            sentence=f"Sweep of {seconds:g} s at {level}: {said}.",
        )
    expected = probe.least_db + _gain_db(seconds)
    said = f"about {expected:.0f} dB over the noise, least in the {band_name(probe.band_hz or 0)} octave"
    if not fits:
        lacks = WANTED_DB - expected
        short = (
            "T20 will be missing there"
            if expected < NEEDED_DB
            else "T20 may be missing there, and T30 will be"
        )
        said += (
            f", {lacks:.0f} dB less than wanted: {short}. Stop the noise, go nearer, or play louder"
        )
    else:
        said += f", as wanted ({WANTED_DB:.0f} dB)"
    return LevelFound(
        level_dbfs=probe.level_dbfs,
        seconds=seconds,
        range_db=expected,
        band_hz=probe.band_hz,
        sentence=f"Sweep of {seconds:g} s at {level}: {said}.",
    )


def _too_hot(now: _Probe, last: _Probe | None, lengths_s: tuple[float, ...]) -> LevelFound:
    """The input is at its end: back to the level before, or 6 dB down."""
    if last is not None and last.least_db is not None:
        return _settled(
            last,
            "because the input is near its end above; turn the input gain down to play louder",
            lengths_s,
        )
    least = None if now.least_db is None else now.least_db - 6
    lower = _Probe(now.level_dbfs - 6, least, now.band_hz, now.peak_dbfs - 6, False)
    return _settled(lower, "because the input is near its end; turn the input gain down", lengths_s)


def _heard(probe: _Probe, usual_s: float) -> str:
    at = f"Test sweep at {probe.level_dbfs:.0f} dB: peak in the recording {probe.peak_dbfs:.0f} dB"
    if probe.clipped:
        return f"{at}, clipped"
    if probe.least_db is None:
        return f"{at}, the sweep does not stand out of the noise yet"
    if math.isinf(probe.least_db):
        return f"{at}, no noise in the record"
    with_it = probe.least_db + _gain_db(usual_s)
    return (
        f"{at}, {probe.least_db:.0f} dB over the noise at {band_name(probe.band_hz or 0)}; with "
        f"{usual_s:g} s of sweep {with_it:.0f} dB, {WANTED_DB:.0f} dB are wanted"
    )
