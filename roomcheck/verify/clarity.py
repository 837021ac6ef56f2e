"""Clarity before and after: what a listener notices of speech."""

from __future__ import annotations

from math import hypot

from roomcheck.analyse import Analysis, BandDecay
from roomcheck.judge import JND_DB
from roomcheck.verify.conditions import Pair
from roomcheck.verify.results import ClarityChange
from roomcheck.verify.uncertainty import guard, mean_of


def clarity_changes(before: Analysis, after: Analysis) -> tuple[ClarityChange, ...]:
    """C50 per octave over the pairs of positions that have it both times; octaves without any are
    left out."""
    first, second = _by_band(before), _by_band(after)
    return tuple(
        _change(hz, first[hz], second[hz])
        for hz in sorted(first)
        if set(first[hz]) & set(second.get(hz, {}))
    )


def _by_band(analysis: Analysis) -> dict[float, dict[Pair, BandDecay]]:
    found: dict[float, dict[Pair, BandDecay]] = {}
    for position in analysis.positions:
        for band in position.octaves:
            if band.c50_db is not None:
                found.setdefault(band.band_hz, {})[(position.source, position.microphone)] = band
    return found


def _change(
    band_hz: float, first: dict[Pair, BandDecay], second: dict[Pair, BandDecay]
) -> ClarityChange:
    common = sorted(set(first) & set(second))
    was = [first[pair].c50_db or 0.0 for pair in common]
    now = [second[pair].c50_db or 0.0 for pair in common]
    sds = [hypot(first[pair].c50_sd_db or 0.0, second[pair].c50_sd_db or 0.0) for pair in common]
    steps = [b - a for a, b in zip(was, now, strict=True)]
    mean = mean_of(steps, sds) if len(steps) > 1 or any(sds) else None
    return ClarityChange(
        band_hz=band_hz,
        before_db=sum(was) / len(was),
        after_db=sum(now) / len(now),
        change_db=sum(steps) / len(steps),
        change_u_db=None if mean is None else mean.u,
        audible=None if mean is None else abs(mean.value) > max(JND_DB, guard(mean, 0.025)),
    )
