"""Poor clarity, and decays with two slopes."""

from __future__ import annotations

import math
from statistics import fmean

from roomcheck.analyse import Analysis, BandDecay, PositionDecays
from roomcheck.facts import fact
from roomcheck.judge.findings.noise import WANTED_STI
from roomcheck.judge.kinds import FindingKind, LimitSource, Remedy
from roomcheck.judge.limits.audible import JND_DB, JND_DECAY
from roomcheck.judge.limits.decide import COVERAGE
from roomcheck.judge.results import Finding
from roomcheck.standards import Target
from roomcheck.standards import iso_3382_2_2008 as iso
from roomcheck.standards.target import CLEAR_SPEECH_DB

SPEECH_BANDS_HZ = (500.0, 1000.0, 2000.0)
"""Octaves whose C50 is averaged (common practice). [Hz]"""


def unclear(analysis: Analysis, target: Target) -> Finding | None:
    """Find speech clarity below what the use wants, by more than one hears; or poor at one place.

    The mean over the positions counts against what the use wants; a single place counts where it
    falls short of the 3 dB from which the trade calls speech good.
    """
    if target.c50_db is None:
        return None
    modal_below_hz = analysis.transition_hz or 0.0
    bands_hz = tuple(hz for hz in SPEECH_BANDS_HZ if hz >= modal_below_hz)
    known = [
        (position, clarity_db)
        for position in analysis.positions
        if (clarity_db := position_clarity_db(position, bands_hz)) is not None
    ]
    if not known:
        return None
    mean_db = fmean(clarity_db for _, clarity_db in known)
    worst, least_db = min(known, key=lambda pair: pair[1])
    everywhere = mean_db < target.c50_db - JND_DB
    value_db, wanted_db = mean_db, target.c50_db
    if not everywhere:
        value_db, wanted_db = least_db, min(CLEAR_SPEECH_DB, target.c50_db)
    if value_db >= wanted_db - JND_DB:
        return None
    return Finding(
        measured=fact(
            FindingKind.UNCLEAR_SPEECH,
            clarity_db=value_db,
            limit_db=wanted_db,
            jnd_db=JND_DB,
            everywhere=everywhere,
            understood=_understood(analysis),
            bands_hz=bands_hz,
            least_db=least_db,
            source=worst.source,
            microphone=worst.microphone,
        ),
        source=fact(LimitSource.COMMON_PRACTICE),
        remedies=(
            fact(Remedy.TALKER_CLOSER),
            fact(Remedy.ABSORB_LATE),
            fact(Remedy.LEAVE_NEAR_TALKER_BARE),
        ),
        beyond_jnd=(wanted_db - value_db) / JND_DB,
        seats=() if everywhere else (worst.microphone,),
    )


def _understood(analysis: Analysis) -> bool:
    """Whether words are made out all the same: a transmission index from which speech is good."""
    known = [float(p.speech.sti) for p in analysis.positions if p.speech and p.speech.sti]
    return bool(known) and fmean(known) >= WANTED_STI


def position_clarity_db(
    position: PositionDecays, bands_hz: tuple[float, ...] = SPEECH_BANDS_HZ
) -> float | None:
    """Return the mean C50 of one position over some octaves; None where one is missing. [dB]"""
    clarity = [band.c50_db for band in position.octaves if band.band_hz in bands_hz]
    known = [c50_db for c50_db in clarity if c50_db is not None]
    return fmean(known) if known and len(known) == len(bands_hz) else None


def double_slope(analysis: Analysis) -> Finding | None:
    """Find decays that start fast and end slow, in two octaves or more.

    ISO 3382-2, Annex B calls a curvature above 10 % suspicious. Single responses scatter by as much
    in narrow bands, so the mean over the positions must exceed it by twice its own standard
    deviation.
    """
    curvatures = [(hz, _surely_bent_pct(analysis, hz)) for hz in _bands(analysis)]
    bent = tuple((hz, pct) for hz, pct in curvatures if pct is not None)
    if len(bent) < 2:
        return None
    most_pct = max(pct for _, pct in bent)
    return Finding(
        measured=fact(
            FindingKind.DOUBLE_SLOPE,
            octaves=bent,
            curvature_pct=most_pct,
            limit_pct=iso.CURVATURE_LIMIT_PCT,
        ),
        source=fact(LimitSource.ISO_3382_2_ANNEX_B),
        remedies=(fact(Remedy.SHUT_DOORS), fact(Remedy.TREAT_BARE_PAIR)),
        beyond_jnd=(most_pct - iso.CURVATURE_LIMIT_PCT) / (100 * JND_DECAY),
    )


def _bands(analysis: Analysis) -> list[float]:
    lowest_hz = max(250.0, analysis.transition_hz or 0.0)
    return [octave.band_hz for octave in analysis.octaves if octave.band_hz >= lowest_hz]


def _surely_bent_pct(analysis: Analysis, band_hz: float) -> float | None:
    """Mean curvature of one octave where it is surely above the limit, else None. [%]"""
    known: list[tuple[BandDecay, float]] = []
    for position in analysis.positions:
        for band in position.octaves:
            if band.band_hz == band_hz and band.curvature_pct is not None:
                known.append((band, band.curvature_pct))
    if not known:
        return None
    mean_pct = fmean(pct for _, pct in known)
    u_pct = _curvature_sd_pct([band for band, _ in known], band_hz)
    return mean_pct if mean_pct - COVERAGE * u_pct > iso.CURVATURE_LIMIT_PCT else None


def _curvature_sd_pct(bands: list[BandDecay], band_hz: float) -> float:
    """Standard deviation of the mean curvature, as if T20 and T30 erred apart: never too small.
    [%]"""
    t20 = fmean(b.t20_s for b in bands if b.t20_s is not None)
    t30 = fmean(b.t30_s for b in bands if b.t30_s is not None)
    u20 = iso.t20_sd_s(t20, band_hz, positions=len(bands)) / t20
    u30 = iso.t30_sd_s(t30, band_hz, positions=len(bands)) / t30
    return 100 * t30 / t20 * math.hypot(u20, u30)
