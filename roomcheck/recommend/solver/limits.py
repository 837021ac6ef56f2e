"""Limits of decays as rules on square metres added."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from roomcheck.judge import JND_DECAY
from roomcheck.recommend.integer.problem import Rule
from roomcheck.recommend.solver.fit import Fit
from roomcheck.recommend.solver.site import Site

Real = NDArray[np.float64]

LIKELY_PRICE = 30.0
"""Penalty of a limit that the likely decay misses, as every penalty here in units of the most
expensive piece that would repair it: it outweighs everything else. [1]"""

RANGE_PRICE = 3.0
"""Penalty of a limit that only the far end of the range misses. [1]"""

NOMINAL_PRICE = 0.01
"""Where the middle of the limits is aimed at: less than what an uncovered reflection or a
fluttering pair costs."""


def prices(site: Site) -> Real:
    """(bands,): cost of one square metre lacking, before its weight.

    The same share of a room's absorption is worth the same in every band, and at least what the
    dearest piece that is any good there asks for it.
    """
    total = np.array([_total_m2(site, i) for i in range(len(site.bands_hz))])
    worth = np.array([dearest(site, i) for i in range(len(site.bands_hz))]) * total
    return np.asarray(np.nanmax(worth, initial=0.0) / total)


def _total_m2(site: Site, band: int) -> float:
    """About the absorption that the treated room will have. [m2]"""
    limit = site.verdict.target.limit(site.bands_hz[band])
    decay = (
        (limit.high_s if limit else None)
        or site.verdict.target.mid_high_s
        or site.verdict.target.mid_nominal_s
    )
    here = float(site.room.absorption_m2[band])
    needed = _needed(site, band, decay, 1.0)
    return here + max(needed, 0.0) if np.isfinite(needed) else here


def dearest(site: Site, band: int) -> float:
    """Cost of a square metre in a band with the dearest piece that is any good there."""
    gains = site.gains_m2[:, band]
    known = gains[np.isfinite(gains)]
    if not known.size or known.max() <= 0:
        return 0.0
    good = gains > 0.3 * known.max()
    return float(np.max(np.array(site.costs)[good] / gains[good]))


def band_rules(site: Site, fit: Fit, nominal: bool) -> list[Rule]:
    found, price = [], prices(site)
    for limit in site.verdict.target.limits:
        if limit.band_hz not in site.bands_hz:
            continue
        i = site.bands_hz.index(limit.band_hz)
        if not np.isfinite(fit.likely[i]) or np.isnan(site.gains_m2[:, i]).any():
            continue
        found += _between(
            site,
            limit.band_hz,
            limit.low_s,
            limit.high_s,
            (fit.low[i], fit.likely[i], fit.high[i]),
            price[i],
        )
        if nominal:
            found.append(
                _nominal(site, limit.band_hz, limit.low_s, limit.high_s, fit.likely[i], price[i])
            )
    return found


def _between(
    site: Site,
    hz: float,
    low_s: float | None,
    high_s: float | None,
    ratios: tuple[float, float, float],
    price: float,
) -> list[Rule]:
    """Likely decay inside the limits at nearly any price; its range inside, at a price."""
    i = site.bands_hz.index(hz)
    weights = {p: float(g) for p, g in enumerate(site.gains_m2[:, i])}
    need = _needed(site, i, high_s, ratios[1]), _needed(site, i, high_s, ratios[2])
    most = _needed(site, i, low_s, ratios[1]), _needed(site, i, low_s, ratios[0])
    if need[1] > most[1]:
        # The range is wider than the limits: aim at the middle between them.
        middle = (need[1] + most[1]) / 2
        slack = JND_DECAY * (abs(middle) + float(site.room.absorption_m2[i]))
        need, most = (
            (need[0], min(middle - slack, need[1])),
            (most[0], max(middle + slack, most[1])),
        )
    ends = (
        ("too long", need[0], np.inf, LIKELY_PRICE),
        ("too short", -np.inf, most[0], LIKELY_PRICE),
        ("range too long", need[1], np.inf, RANGE_PRICE),
        ("range too short", -np.inf, most[1], RANGE_PRICE),
    )
    return [
        Rule(
            name=f"{hz:g} Hz {end}",
            weights=weights,
            low=low,
            high=high,
            price=penalty * price,
            is_limit=True,
        )
        for end, low, high, penalty in ends
        if np.isfinite(low) or np.isfinite(high)
    ]


def _needed(site: Site, band: int, decay_s: float | None, ratio: float) -> float:
    """Square metres to add so that the prediction says so many seconds; infinite where there is no
    limit."""
    if decay_s is None:
        return np.inf
    asked = np.full(len(site.bands_hz), decay_s / ratio)
    return float(site.room.needed_m2(asked)[band])


def _nominal(
    site: Site, hz: float, low_s: float | None, high_s: float | None, ratio: float, price: float
) -> Rule:
    i = site.bands_hz.index(hz)
    aim = aimed_s(site, low_s, high_s)
    at = _needed(site, i, aim, ratio)
    weights = {p: float(g) for p, g in enumerate(site.gains_m2[:, i])}
    return Rule(
        name=f"{hz:g} Hz off the middle",
        weights=weights,
        low=at,
        high=at,
        price=NOMINAL_PRICE * price,
    )


def aimed_s(site: Site, low_s: float | None, high_s: float | None) -> float:
    """The target's nominal decay, drawn into a band's limits. [s]"""
    if low_s is not None and high_s is not None:
        return (low_s + high_s) / 2
    nominal = site.verdict.target.mid_nominal_s
    return min(max(nominal, low_s or 0.0), 0.9 * high_s if high_s is not None else np.inf)


def mid_rules(site: Site, fit: Fit, nominal: bool) -> list[Rule]:
    """Limits of the mean over the mid bands, along the tangent where all of them have the limit's
    decay."""
    target = site.verdict.target
    if fit.mid is None:
        return []
    low_ratio, likely, high_ratio = fit.mid
    low_s, high_s = target.mid_low_s, target.mid_high_s
    # (name, limit, ratio, side, penalty, whether it is a limit); side 1 asks for more absorption.
    asked = [
        ("mean too long", high_s, likely, 1, LIKELY_PRICE, True),
        ("mean too short", low_s, likely, -1, LIKELY_PRICE, True),
    ]
    # A range wider than the limits cannot lie inside them, so it is not asked to.
    if low_s is None or high_s is None or high_s / high_ratio >= low_s / low_ratio:
        asked.insert(1, ("mean range too long", high_s, high_ratio, 1, RANGE_PRICE, True))
        asked.append(("mean range too short", low_s, low_ratio, -1, RANGE_PRICE, True))
    if nominal:
        asked += [
            (
                f"mean off the middle {side:+d}",
                target.mid_nominal_s,
                likely,
                side,
                NOMINAL_PRICE,
                False,
            )
            for side in (1, -1)
        ]
    return [
        _mid_rule(site, name, limit_s / ratio, side, penalty, is_limit=is_limit)
        for name, limit_s, ratio, side, penalty, is_limit in asked
        if limit_s
    ]


def _mid_rule(
    site: Site, name: str, limit_s: float, side: int, price: float, *, is_limit: bool
) -> Rule:
    at = [site.bands_hz.index(hz) for hz in site.verdict.target.mid_bands_hz]
    needed = site.room.needed_m2(np.full(len(site.bands_hz), limit_s))
    step = 0.01
    slope = (site.room.after_s(needed + step) - site.room.after_s(needed - step)) / (2 * step)
    share = slope[at] / np.mean(slope[at]) / len(at)
    weights = {p: float(row[at] @ share) for p, row in enumerate(site.gains_m2)}
    level = float(needed[at] @ share)
    cost = price * float(np.max(prices(site)[at]))
    return Rule(
        name=name,
        weights=weights,
        low=level if side > 0 else -np.inf,
        high=level if side < 0 else np.inf,
        price=cost,
        is_limit=is_limit,
    )
