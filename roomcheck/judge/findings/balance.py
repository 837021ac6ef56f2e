"""Boomy, dull, uneven: bands that do not go together."""

from __future__ import annotations

import math
from statistics import fmean

from roomcheck.facts import Fact, fact
from roomcheck.job import Job
from roomcheck.judge.kinds import FindingKind, LimitSource, Outcome, Remedy
from roomcheck.judge.limits.audible import BASS_RATIO, BASS_RATIO_SMALL, JND_DECAY, SMALL_M3
from roomcheck.judge.limits.decide import COVERAGE
from roomcheck.judge.results import BandVerdict, Finding, MeanVerdict
from roomcheck.standards import Target

TREBLE_RATIO = 0.6
"""T(4 kHz) / T(250 Hz) below which a room is called dull (common practice)."""

_UNJUDGED = (Outcome.MODAL, Outcome.NOT_MEASURED)


def boomy(job: Job, target: Target, bands: tuple[BandVerdict, ...]) -> Finding | None:
    """Find bass that rings on longer than the middle.

    Where the target itself lets 125 Hz be longer, that ratio counts if it is larger. Below the
    transition frequency this compares ringing modes with the middle's decay and says so: nothing
    there is held against a limit.
    """
    bass, middle = _band(bands, 125.0), _band(bands, 500.0)
    if bass is None or middle is None:
        return None
    if middle.outcome == Outcome.MODAL or bass.outcome == Outcome.WITHIN:
        return None
    practice = BASS_RATIO_SMALL if job.room.volume_m3 <= SMALL_M3 else BASS_RATIO
    limit = max(practice, _allowed_ratio(target))
    ratio, u = _ratio(bass, middle)
    if ratio is None or u is None or ratio - COVERAGE * u <= limit:
        return None
    return Finding(
        measured=fact(
            FindingKind.BOOMY,
            bass_s=bass.value_s,
            middle_s=middle.value_s,
            ratio=ratio,
            limit_ratio=limit,
            modal=bass.outcome == Outcome.MODAL,
        ),
        source=fact(LimitSource.COMMON_PRACTICE),
        remedies=(
            fact(Remedy.LEAVE_THE_CORNER),
            fact(Remedy.ABSORB_LOW),
            fact(Remedy.NO_THIN_PANELS),
        ),
        beyond_jnd=(ratio / limit - 1) / JND_DECAY,
    )


def dull(bands: tuple[BandVerdict, ...], mid: MeanVerdict) -> Finding | None:
    """Find treble that dies long before the low middle.

    Treble that lingers too long itself is not what is missing. In a room that is too live nothing
    soft is taken down.
    """
    low_middle, treble = _band(bands, 250.0), _band(bands, 4000.0)
    if low_middle is None or treble is None:
        return None
    if Outcome.MODAL in (low_middle.outcome, treble.outcome):
        return None
    if treble.outcome == Outcome.TOO_LONG:
        return None
    ratio, u = _ratio(treble, low_middle)
    if ratio is None or u is None or ratio + COVERAGE * u >= TREBLE_RATIO:
        return None
    free = () if mid.outcome == Outcome.TOO_LONG else (fact(Remedy.TAKE_DOWN_THIN),)
    return Finding(
        measured=fact(
            FindingKind.DULL,
            treble_s=treble.value_s,
            low_middle_s=low_middle.value_s,
            ratio=ratio,
            limit_ratio=TREBLE_RATIO,
        ),
        source=fact(LimitSource.COMMON_PRACTICE),
        remedies=(*free, fact(Remedy.DEEP_WITH_SLATS)),
        beyond_jnd=(TREBLE_RATIO / ratio - 1) / JND_DECAY,
    )


def uneven(target: Target, bands: tuple[BandVerdict, ...], mid: MeanVerdict) -> Finding | None:
    """Find octaves that stand out from the rest.

    Where the target says how even the decay must be, octaves are held against the mean over its
    judged octaves, and in a room that is too live as a whole the allowance grows with the mean.
    Where it does not, octaves count that miss their own limits while the mean does not miss on the
    same side.
    """
    judged = [b for b in bands if target.limit(b.band_hz) and b.outcome not in _UNJUDGED]
    if len(judged) < 2:
        return None
    held_to_mean = target.evenness_s is not None or target.evenness_pct is not None
    out = _off_the_mean(target, judged) if held_to_mean else _off_their_limits(judged, mid)
    if not out:
        return None
    long = [band.band_hz for band, off in out if off > 0]
    short = [band.band_hz for band, off in out if off < 0]
    return Finding(
        measured=fact(
            FindingKind.UNEVEN,
            octaves=tuple((band.band_hz, band.value_s) for band, _ in out),
            mean_s=_mean_s(judged),
            longer=bool(long),
            shorter=bool(short),
            limit_s=target.evenness_s,
            limit_pct=target.evenness_pct,
        ),
        source=fact(LimitSource.DOCUMENT, document=target.source),
        remedies=_remedies(long, short),
        beyond_jnd=max(abs(off) for _, off in out) / JND_DECAY,
    )


def _off_the_mean(target: Target, judged: list[BandVerdict]) -> list[tuple[BandVerdict, float]]:
    """Octaves further from the mean than allowed, and by which fraction of the mean. [1]"""
    mean_s = _mean_s(judged)
    if target.evenness_s is not None:
        allowed_s = target.evenness_s * max(1.0, mean_s / (target.mid_high_s or mean_s))
    else:
        allowed_s = (target.evenness_pct or 0.0) / 100 * mean_s
    out = []
    for band in judged:
        off_s = (band.value_s or mean_s) - mean_s
        if band.u_s is not None and abs(off_s) - COVERAGE * band.u_s > allowed_s:
            out.append((band, math.copysign(abs(off_s) - allowed_s, off_s) / mean_s))
    return out


def _off_their_limits(
    judged: list[BandVerdict], mid: MeanVerdict
) -> list[tuple[BandVerdict, float]]:
    """Octaves past a limit that the mean keeps, and by which fraction of it. [1]"""
    out = []
    for band in judged:
        if band.value_s is None or band.outcome == mid.outcome:
            continue
        if band.outcome == Outcome.TOO_LONG and band.high_s is not None:
            out.append((band, band.value_s / band.high_s - 1))
        elif band.outcome == Outcome.TOO_SHORT and band.low_s is not None:
            out.append((band, 1 - band.low_s / band.value_s))
    return out


def _remedies(long_hz: list[float], short_hz: list[float]) -> tuple[Fact[Remedy], ...]:
    remedies = [Remedy.SPREAD_OUT]
    if any(hz <= 250 for hz in long_hz):
        remedies.append(Remedy.ABSORB_LOW)
    if any(hz > 250 for hz in long_hz):
        remedies.append(Remedy.PANELS_ON_BARE)
    if any(hz >= 1000 for hz in short_hz):
        remedies.append(Remedy.REPLACE_THIN_BY_DEEP)
    if any(hz < 1000 for hz in short_hz):
        remedies.append(Remedy.STIFFEN_PANELLING)
    return tuple(fact(remedy) for remedy in remedies)


def _allowed_ratio(target: Target) -> float:
    """Bass over middle that the target's own limits allow; 0 where it says nothing. [1]"""
    limit = target.limit(125.0)
    if limit is None or limit.high_s is None or not target.mid_high_s:
        return 0.0
    return limit.high_s / target.mid_high_s


def _ratio(top: BandVerdict, bottom: BandVerdict) -> tuple[float | None, float | None]:
    """A ratio of two decays and its standard uncertainty. [1]"""
    if not top.value_s or not bottom.value_s:
        return None, None
    ratio = top.value_s / bottom.value_s
    if top.u_s is None or bottom.u_s is None:
        return ratio, None
    return ratio, ratio * math.hypot(top.u_s / top.value_s, bottom.u_s / bottom.value_s)


def _band(bands: tuple[BandVerdict, ...], band_hz: float) -> BandVerdict | None:
    return next((band for band in bands if band.band_hz == band_hz), None)


def _mean_s(judged: list[BandVerdict]) -> float:
    return fmean(band.value_s for band in judged if band.value_s is not None)
