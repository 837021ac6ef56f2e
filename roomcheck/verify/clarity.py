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
    pairs_of_band: dict[float, dict[Pair, BandDecay]] = {}
    for position in analysis.positions:
        pair = (position.source, position.microphone)
        for band in position.octaves:
            if band.c50_db is not None:
                pairs_of_band.setdefault(band.band_hz, {})[pair] = band
    return pairs_of_band


def _change(
    band_hz: float, first: dict[Pair, BandDecay], second: dict[Pair, BandDecay]
) -> ClarityChange:
    was, now, sds = [], [], []
    for pair in sorted(set(first) & set(second)):
        before, after = first[pair], second[pair]
        was.append(before.c50_db or 0.0)
        now.append(after.c50_db or 0.0)
        sds.append(hypot(before.c50_sd_db or 0.0, after.c50_sd_db or 0.0))
    steps = [after_db - before_db for before_db, after_db in zip(was, now, strict=True)]
    change_u_db, audible = None, None
    if len(steps) > 1 or any(sds):
        mean = mean_of(steps, sds)
        change_u_db = mean.u
        audible = abs(mean.value) > max(JND_DB, guard(mean, 0.025))
    return ClarityChange(
        band_hz=band_hz,
        before_db=sum(was) / len(was),
        after_db=sum(now) / len(now),
        change_db=sum(steps) / len(steps),
        change_u_db=change_u_db,
        audible=audible,
    )
