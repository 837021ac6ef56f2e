"""Poor clarity, and decays with two slopes."""

from __future__ import annotations

import math
from statistics import fmean

from roomcheck.analyse import Analysis, BandDecay, PositionDecays
from roomcheck.judge.findings.length import band_names
from roomcheck.judge.kinds import FindingKind
from roomcheck.judge.limits.decide import COVERAGE
from roomcheck.judge.results import Finding
from roomcheck.standards import Target
from roomcheck.standards import iso_3382_2_2008 as iso
from roomcheck.standards.target import CLEAR_SPEECH_DB
from roomcheck.units import digits_against_limit

JND_CLARITY_DB = 1.0
JND_DECAY_PCT = 5.0
SPEECH_BANDS_HZ = (500.0, 1000.0, 2000.0)
"""Octaves whose C50 is averaged (common practice). [Hz]"""


def unclear(analysis: Analysis, target: Target) -> Finding | None:
    """Speech clarity below what the use wants, by more than one hears; or poor at one place.

    The mean over the positions counts against what the use wants; a single place counts where it
    falls short of the 3 dB from which the trade calls speech good.
    """
    if target.c50_db is None:
        return None
    bands = tuple(
        hz
        for hz in SPEECH_BANDS_HZ
        if analysis.transition_hz is None or hz >= analysis.transition_hz
    )
    at = [
        (p, clarity)
        for p in analysis.positions
        if (clarity := position_clarity_db(p, bands)) is not None
    ]
    if not at:
        return None
    mean, (worst, least) = fmean(c for _, c in at), min(at, key=lambda pair: pair[1])
    everywhere = mean < target.c50_db - JND_CLARITY_DB
    wanted, value = (
        (target.c50_db, mean) if everywhere else (min(CLEAR_SPEECH_DB, target.c50_db), least)
    )
    if value >= wanted - JND_CLARITY_DB:
        return None
    said, bound = digits_against_limit(value, wanted, 1)
    where = "on the mean" if everywhere else f"from {worst.source} to {worst.microphone}"
    return Finding(
        kind=FindingKind.UNCLEAR_SPEECH,
        title="Unclear speech" if everywhere else f"Unclear speech at {worst.microphone}",
        sentence="The late sound covers the syllables that follow; one has to listen hard."
        if everywhere
        else f"At {worst.microphone} the late sound covers the syllables that follow.",
        evidence=f"C50 {said} dB {where} ({band_names(bands)}); least, {least:.1f} dB, at {worst.microphone}.",
        threshold=f"At least {bound} dB, less the {JND_CLARITY_DB:g} dB that one just hears: common practice.",
        remedies=(
            "Free: bring talker and listener, or mouth and microphone, closer together.",
            (
                "Absorb what arrives late: the ceiling beyond the talker, and the wall behind the "
                "listeners."
            ),
            (
                "Leave the surfaces close to the talker bare where they send early sound to the "
                "listeners."
            ),
        ),
        beyond_jnd=(wanted - value) / JND_CLARITY_DB,
    )


def position_clarity_db(
    position: PositionDecays, bands_hz: tuple[float, ...] = SPEECH_BANDS_HZ
) -> float | None:
    """Mean C50 of one position over some octaves; None where one is missing. [dB]"""
    found = [band.c50_db for band in position.octaves if band.band_hz in bands_hz]
    known = [c for c in found if c is not None]
    return fmean(known) if known and len(known) == len(bands_hz) else None


def double_slope(analysis: Analysis) -> Finding | None:
    """Decays that start fast and end slow, in two octaves or more.

    ISO 3382-2, Annex B calls a curvature above 10 % suspicious. Single responses scatter by as much
    in narrow bands, so the mean over the positions must exceed it by twice its own standard
    deviation.
    """
    bent = [(hz, c) for hz in _bands(analysis) if (c := _bend(analysis, hz)) is not None]
    if len(bent) < 2:
        return None
    most = max(c for _, c in bent)
    said, bound = digits_against_limit(most, iso.CURVATURE_LIMIT_PCT, 0)
    return Finding(
        kind=FindingKind.DOUBLE_SLOPE,
        title="Two decays at once",
        sentence="Sound dies fast at first and then lingers: two bare surfaces keep passing it on, or a space next "
        "door answers.",
        evidence="T30 longer than T20: "
        + ", ".join(f"{band_names([hz])} by {c:.0f} %" for hz, c in bent)
        + ".",
        threshold=f"More than {bound} % ({said} % found), ISO 3382-2:2008, Annex B, as quoted in open analysis code.",
        remedies=(
            "Free: shut the doors to rooms and cupboards next door, and measure again.",
            (
                "Treat the pair of surfaces that has nothing on it yet, often floor and ceiling: "
                "one of the two is enough."
            ),
        ),
        beyond_jnd=(most - iso.CURVATURE_LIMIT_PCT) / JND_DECAY_PCT,
    )


def _bands(analysis: Analysis) -> list[float]:
    return [
        b.band_hz
        for b in analysis.octaves
        if b.band_hz >= max(250.0, analysis.transition_hz or 0.0)
    ]


def _bend(analysis: Analysis, band_hz: float) -> float | None:
    """Mean curvature of one octave where it is surely above the limit, else None. [%]"""
    at = [b for p in analysis.positions for b in p.octaves if b.band_hz == band_hz]
    known = [(b, b.curvature_pct) for b in at if b.curvature_pct is not None]
    if not known:
        return None
    mean = fmean(c for _, c in known)
    u = _curvature_sd([b for b, _ in known], band_hz)
    return mean if mean - COVERAGE * u > iso.CURVATURE_LIMIT_PCT else None


def _curvature_sd(bands: list[BandDecay], band_hz: float) -> float:
    """Standard deviation of the mean curvature, as if T20 and T30 erred apart: never too small.
    [%]"""
    t20 = fmean(b.t20_s for b in bands if b.t20_s is not None)
    t30 = fmean(b.t30_s for b in bands if b.t30_s is not None)
    u20 = iso.t20_sd_s(t20, band_hz, positions=len(bands)) / t20
    u30 = iso.t30_sd_s(t30, band_hz, positions=len(bands)) / t30
    return 100 * t30 / t20 * math.hypot(u20, u30)
