"""How loud, and how long a sweep: quietly first, then up to what the noise needs and no further
than was allowed."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from roomcheck.facts import Fact, fact
from roomcheck.job import Job, visit_files
from roomcheck.measure.card.card import Recorded, SoundCard
from roomcheck.measure.checks.listening import Decisions, listen
from roomcheck.measure.checks.take_record import MAIN_HZ, NEEDED_DB
from roomcheck.measure.faults import CardError, RecordingError
from roomcheck.measure.files.audio import Audio
from roomcheck.measure.files.played import Played, played_of
from roomcheck.measure.kinds import Level, LevelLimit, Take
from roomcheck.measure.signal.signals import BandRange, TakeCheck
from roomcheck.measure.signal.sweep import Sweep

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
TOO_HOT_DB = 6.0
"""Down by so much where the first probe is too loud for the input. [dB]"""

YIELD_DB = 1.5
"""A loudspeaker whose sound rises by so much less than the signal has come to its limit. [dB]"""

Array = NDArray[np.float64]
Confirm = Callable[[float, float], bool]
"""Whether the level may rise: from, to. [dB re full scale]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelFound:
    """How a visit is played."""

    level_dbfs: float
    """Peak of the sweep [dB re full scale]."""
    seconds: float
    """Length of the sweep [s]."""
    range_db: float | None
    """Least peak to noise to expect from 250 Hz to 4 kHz; None where the record holds no noise, or
    nothing was heard [dB]."""
    band_hz: float | None
    """Where that is [Hz]."""
    remark: Fact[Level]
    """Why so loud and so long."""


@dataclass(frozen=True, slots=True)
class _Probe:
    """One short sweep."""

    level_dbfs: float
    """Its own peak [dB re full scale]."""
    least_db: float | None
    """Least peak to noise from 250 Hz to 4 kHz; infinite without noise, None where nothing was
    heard [dB]."""
    band_hz: float | None
    """Where that is [Hz]."""
    peak_dbfs: float
    """Highest sample of the recording [dB re full scale]."""
    clipped: bool
    response_db: float = -math.inf
    """Peak of the response [dB]."""


def find_level(
    card: SoundCard,
    *,
    rate_hz: int,
    low_hz: float,
    high_hz: float,
    ceiling_dbfs: float,
    confirm: Confirm,
    tell: Callable[[Fact[Level]], None],
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
        Takes what was heard.
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
            tell(fact(Level.YIELDS, level_dbfs=last.level_dbfs))
            return _settled(last, LevelLimit.SPEAKER_LIMIT, lengths_s)
        if now.least_db is not None and now.least_db + _gain_db(usual_s) >= WANTED_DB:
            return _settled(now, LevelLimit.ENOUGH, lengths_s)
        higher = min(level + _rise_db(now, usual_s), ceiling_dbfs)
        if higher < level + 0.5:
            return _settled(now, LevelLimit.CEILING, lengths_s)
        if not confirm(level, higher):
            return _settled(now, LevelLimit.STOPPED, lengths_s)
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
            todo="Switch off mute, check phantom power and cable, and which input the microphone "
            "is on.",
        )
    check, response_db = _check(recorded, sweep, channel)
    peak_dbfs = 20 * math.log10(peak)
    if check is None:
        return _Probe(level_dbfs, None, None, peak_dbfs, False)
    main = [band for band in check.bands if MAIN_HZ[0] <= band.band_hz <= MAIN_HZ[1]]
    least = min(main, key=_range_db, default=None)
    return _Probe(
        level_dbfs=level_dbfs,
        least_db=None if least is None else _range_db(least),
        band_hz=None if least is None else least.band_hz,
        peak_dbfs=peak_dbfs,
        clipped=any(reason.kind is Take.CLIPPED for reason in check.reasons),
        response_db=response_db,
    )


def _range_db(band: BandRange) -> float:
    """Peak to noise; infinite without noise. [dB]"""
    return math.inf if band.range_db is None else band.range_db


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


def _settled(probe: _Probe, why: LevelLimit, lengths_s: tuple[float, ...]) -> LevelFound:
    """Choose the shortest sweep that has the range, the longest where none has."""
    level_dbfs, least_db = probe.level_dbfs, probe.least_db
    if least_db is None:
        unheard = fact(Level.UNHEARD, level_dbfs=level_dbfs, why=why)
        return _level(level_dbfs, lengths_s[-1], unheard)
    long_enough = [s for s in lengths_s if least_db + _gain_db(s) >= WANTED_DB]
    seconds = long_enough[0] if long_enough else lengths_s[-1]
    if math.isinf(least_db):
        no_noise = fact(Level.NO_NOISE, level_dbfs=level_dbfs, why=why, seconds=seconds)
        return _level(level_dbfs, seconds, no_noise)
    expected_db = least_db + _gain_db(seconds)
    chosen = fact(
        Level.FOUND,
        level_dbfs=level_dbfs,
        why=why,
        seconds=seconds,
        range_db=expected_db,
        band_hz=probe.band_hz,
        wanted_db=WANTED_DB,
        needed_db=NEEDED_DB,
    )
    return _level(level_dbfs, seconds, chosen)


def _level(level_dbfs: float, seconds: float, remark: Fact[Level]) -> LevelFound:
    return LevelFound(
        level_dbfs=level_dbfs,
        seconds=seconds,
        range_db=remark.get("range_db"),
        band_hz=remark.get("band_hz"),
        remark=remark,
    )


def _too_hot(now: _Probe, last: _Probe | None, lengths_s: tuple[float, ...]) -> LevelFound:
    """The input is at its end: back to the level before, or 6 dB down."""
    if last is not None and last.least_db is not None:
        return _settled(last, LevelLimit.INPUT_FULL, lengths_s)
    least_db = None if now.least_db is None else now.least_db - TOO_HOT_DB
    lower = replace(now, level_dbfs=now.level_dbfs - TOO_HOT_DB, least_db=least_db)
    return _settled(lower, LevelLimit.INPUT_FULL_AT_ONCE, lengths_s)


def _heard(probe: _Probe, usual_s: float) -> Fact[Level]:
    levels = {"level_dbfs": probe.level_dbfs, "peak_dbfs": probe.peak_dbfs}
    if probe.clipped:
        return fact(Level.PROBE_CLIPPED, **levels)
    if probe.least_db is None:
        return fact(Level.PROBE_UNHEARD, **levels)
    if math.isinf(probe.least_db):
        return fact(Level.PROBE_NO_NOISE, **levels)
    return fact(
        Level.PROBE,
        **levels,
        range_db=probe.least_db,
        band_hz=probe.band_hz,
        seconds=usual_s,
        expected_db=probe.least_db + _gain_db(usual_s),
        wanted_db=WANTED_DB,
    )


def settings_so_far(job: Job, visit: str) -> tuple[Sweep, float] | None:
    """Sweep and level of the visit's newest take that roomcheck recorded itself; None where there
    is none."""
    takes = visit_files(job.folder, visit).takes
    for take in sorted(takes, key=lambda take: take.path.stat().st_mtime, reverse=True):
        facts = take.facts
        if facts.level_dbfs is not None and facts.sweep is not None:
            played = played_of(facts.sweep, job.folder / "takes" / "played", str(take.path))
            return played.sweep, facts.level_dbfs
    return None
