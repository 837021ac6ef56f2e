"""What the target asks, as rules of the integer program.

Decay is not linear in absorption, but the absorption that a decay needs is known from the
calibrated room. So every limit becomes a limit on square metres added; what the full prediction
says differently (`Fit`) shifts the limits, and the program is solved again until nothing moves.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from roomcheck.judge import BASS_FINDINGS, BASS_RATIO, JND_DECAY, FindingKind
from roomcheck.predict import Prediction
from roomcheck.recommend.places.paths import FacingPair, TreatedReflection
from roomcheck.recommend.reasons import Wish
from roomcheck.recommend.solver.problem import Problem, Rule, Shares
from roomcheck.recommend.solver.site import Site

Real = NDArray[np.float64]

LIKELY_PRICE = 30.0
"""Penalty of a limit that the likely decay misses, as every penalty here in units of the most
expensive piece that would repair it: it outweighs everything else. [1]"""

RANGE_PRICE = 3.0
"""Penalty of a limit that only the far end of the range misses. [1]"""

COVER_PRICE, SIDE_PRICE = 3.0, 0.3
"""Penalty of a first reflection left uncovered: at its mirror point, and beside it. [1]"""

FLUTTER_PRICE, BALANCE_PRICE = 2.0, 1.5
"""Penalty of a hard pair left unbroken, and of bass that rings on. [1]"""

TIE = 0.02
"""Share of its penalty that a wish counts with where nobody hears a fault, or where a plan is to be
the least: between choices of nearly the same cost it decides. [1]"""

SINGLE_PRICE = 0.3
"""What a piece costs that stands without its mirror image where the use asks for symmetry, in the
dearest pieces."""

CORNER_PRICE = 1.5
"""What a corner left bare costs where low notes ring, in the dearest corner pieces."""

FAMILIAR = 0.97
"""Share of its cost that a piece is counted with where an earlier plan had it: a change by hand
moves little else."""

NOMINAL_PRICE = 0.01
"""Where the middle of the limits is aimed at: less than what an uncovered reflection or a
fluttering pair costs."""

FLUTTER_FINDINGS = (FindingKind.FLUTTER, FindingKind.SLAP)
"""Faults that breaking up hard pairs cures."""

FLUTTER_SHARE = 0.5
"""Share of a hard pair that one side or the other must break (common practice: staggered, gaps
below 2 ft)."""

AGREED = 0.02
"""Predictions that differ by less are not corrected again. [1]"""


@dataclass(frozen=True, kw_only=True)
class Fit:
    """How the prediction of the latest plan stands to the fast formula: (bands,) each; NaN where
    there is none. [1]"""

    likely: Real
    low: Real
    high: Real
    mid: tuple[float, float, float] | None

    @classmethod
    def of(cls, site: Site, prediction: Prediction, added_m2: Real) -> Fit:
        fast = site.room.after_s(np.nan_to_num(added_m2))
        by_band = {band.band_hz: band for band in prediction.after}

        def ratio(end: str) -> Real:
            found = [getattr(by_band.get(hz), end, None) for hz in site.bands_hz]
            return np.array([np.nan if v is None else v for v in found], dtype=float) / fast

        ends, middle = mid_of(prediction, site.verdict.target.mid_bands_hz), mid_s(site, fast)
        return cls(
            likely=ratio("likely_s"),
            low=ratio("low_s"),
            high=ratio("high_s"),
            mid=None
            if ends is None or middle is None
            else (ends[0] / middle, ends[1] / middle, ends[2] / middle),
        )

    def stretched(self, by: float) -> Fit:
        """The same likely values with ends so many times as far away in the logarithm: what a plan
        is made for that shall reach the target more or less surely."""
        mid = self.mid
        if mid is not None:
            low, likely, high = mid
            mid = (likely * (low / likely) ** by, likely, likely * (high / likely) ** by)
        return Fit(
            likely=self.likely,
            low=self.likely * (self.low / self.likely) ** by,
            high=self.likely * (self.high / self.likely) ** by,
            mid=mid,
        )

    def spans(self, other: Fit) -> bool:
        """Whether a prediction's range is no wider than this one's, and its likely values are
        alike."""
        alike = np.nanmax(np.abs(other.likely / self.likely - 1), initial=0.0) < AGREED
        low = np.nanmin(other.low / self.low, initial=1.0) > 1 - AGREED
        return bool(alike and low and np.nanmax(other.high / self.high, initial=1.0) < 1 + AGREED)

    def wary(self, other: Fit) -> Fit:
        """This one's likely values with the wider ends of both: for a plan that will not settle."""
        ends = None
        if self.mid is not None and other.mid is not None:
            ends = (min(self.mid[0], other.mid[0]), self.mid[1], max(self.mid[2], other.mid[2]))
        low, high = np.fmin(self.low, other.low), np.fmax(self.high, other.high)
        return Fit(likely=self.likely, low=low, high=high, mid=ends or self.mid)

    def agrees(self, other: Fit) -> bool:
        """Whether two predictions stand to the fast formula alike in every band."""
        pairs = ((self.likely, other.likely), (self.low, other.low), (self.high, other.high))
        return all(np.nanmax(np.abs(b / a - 1), initial=0.0) < AGREED for a, b in pairs)


def bare_fit(site: Site) -> Fit:
    """Of the room as it is."""
    return Fit.of(site, site.full(()), np.zeros(len(site.bands_hz)))


def mid_of(
    prediction: Prediction, bands_hz: tuple[float, ...]
) -> tuple[float, float, float] | None:
    """Low end, likely value and high end of the mean over the target's mid bands; None where one is
    missing. [s]

    Over other bands than those of the prediction's own mean the ends are averaged, as if the bands
    were wrong together: never narrower.
    """
    if bands_hz == prediction.mid_bands_hz:
        low, likely, high = prediction.mid_low_s, prediction.mid_likely_s, prediction.mid_high_s
        return None if low is None or likely is None or high is None else (low, likely, high)
    bands = [band for band in prediction.after if band.band_hz in bands_hz]
    ends = [(b.low_s, b.likely_s, b.high_s) for b in bands]
    if len(bands) < len(bands_hz) or any(end is None for three in ends for end in three):
        return None
    low, likely, high = (float(np.mean([three[k] for three in ends])) for k in range(3))
    return low, likely, high


def mid_s(site: Site, decay_s: Real) -> float | None:
    """Mean over the target's mid bands; None where one is missing. [s]"""
    at = [site.bands_hz.index(hz) for hz in site.verdict.target.mid_bands_hz]
    value = float(np.mean(decay_s[at]))
    return value if np.isfinite(value) else None


def problem(
    site: Site,
    fit: Fit,
    *,
    cost_weight: float = 1.0,
    nominal: bool = False,
    purse: float | None = None,
    wishes: Collection[Wish] = (),
) -> Problem:
    """The choice to be made.

    Parameters
    ----------
    site : Site
    fit : Fit
        From the latest prediction.
    cost_weight : float
        1 where the plan should be cheap; little where it should be good. [1]
    nominal : bool
        Whether to aim at the middle of the limits rather than at their inside.
    purse : float or None
        What the pieces may cost.
    wishes : collection of Wish
        What is worth its whole price; bass counts in no other case, the others between equals.
    """
    early, flutter = (1.0 if wish in wishes else TIE for wish in (Wish.EARLY, Wish.FLUTTER))
    rules = [*_band_rules(site, fit, nominal), *_mid_rules(site, fit, nominal)]
    rules += [rule for reflection in site.early for rule in _cover_rules(site, reflection, early)]
    rules += [Rule(name=f"pinned {i}", weights={i: 1.0}, low=1.0) for i in sorted(site.pinned)]
    rules += [
        Rule(name=f"pair {i} {j}", weights={i: 1.0, j: -1.0}, low=0.0, high=0.0)
        for i, j in site.twins
    ]
    if purse is not None:
        rules.append(Rule(name="budget", weights=dict(enumerate(site.costs)), high=purse))
    shares = [share for pair in site.pairs if (share := _flutter(site, pair, flutter)) is not None]
    if Wish.BASS in wishes:
        rules += _bass_rules(site)
        shares += _corners(site)
    single = SINGLE_PRICE * max(site.costs, default=0.0)
    stay = [FAMILIAR if i in site.familiar else 1.0 for i in range(len(site.costs))]
    costs = [
        cost_weight * s * c + single * (i in site.singles)
        for i, (s, c) in enumerate(zip(stay, site.costs, strict=True))
    ]
    return Problem(costs=costs, packs=site.packs, rules=rules, shares=shares)


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


def _band_rules(site: Site, fit: Fit, nominal: bool) -> list[Rule]:
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


def _mid_rules(site: Site, fit: Fit, nominal: bool) -> list[Rule]:
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


def _bass_rules(site: Site) -> list[Rule]:
    """125 Hz rings no more than half as long again as 500 Hz, by equivalent areas; also where modes
    begin."""
    low, mid = site.bands_hz.index(125.0), site.bands_hz.index(500.0)
    here = site.room.absorption_m2
    if (
        not np.isfinite(site.gains_m2[:, (low, mid)]).all()
        or not np.isfinite(here[[low, mid]]).all()
    ):
        return []
    weights = {p: float(row[low] - row[mid] / BASS_RATIO) for p, row in enumerate(site.gains_m2)}
    price = BALANCE_PRICE * dearest(site, low)
    return [
        Rule(
            name="bass balance",
            weights=weights,
            low=float(here[mid] / BASS_RATIO - here[low]),
            price=price,
        )
    ]


def heard(site: Site) -> tuple[Wish, ...]:
    """Wishes that answer to something that is heard: a finding, or first reflections where the use
    asks for quiet ones. Of a room that was not measured the geometry alone speaks."""
    kinds = {finding.kind for finding in site.verdict.findings}
    wishes = []
    if site.early:
        wishes.append(Wish.EARLY)
    if site.pairs and (site.analysis is None or kinds & set(FLUTTER_FINDINGS)):
        wishes.append(Wish.FLUTTER)
    if kinds & set(BASS_FINDINGS):
        wishes.append(Wish.BASS)
    return tuple(wishes)


def bass_behind(site: Site, added_m2: Real) -> tuple[float, float] | None:
    """How much longer 125 Hz rings than 500 Hz by equivalent areas once so much is added, and what
    lacks at 125 Hz for `BASS_RATIO`; None where it keeps to that. [1], [m2]"""
    low, mid = site.bands_hz.index(125.0), site.bands_hz.index(500.0)
    total = site.room.absorption_m2 + added_m2
    if not np.isfinite(total[[low, mid]]).all() or total[low] <= 0:
        return None
    ratio = float(total[mid] / total[low])
    lacking_m2 = float(total[mid] / BASS_RATIO - total[low])
    return (ratio, lacking_m2) if ratio > BASS_RATIO * (1 + JND_DECAY) else None


def _cover_rules(site: Site, reflection: TreatedReflection, worth: float) -> list[Rule]:
    flat = site.job.room.face(reflection.face).kind != "wall"
    able = [
        p
        for p, c in enumerate(site.places)
        if c.face == reflection.face
        and c.row != "corner"
        and reflection.quiet_with(site.absorptions[c.piece.name])
    ]
    top, found = max(site.costs, default=0.0), []
    for k, (u, v) in enumerate(reflection.spots(flat)):
        covering = {p: 1.0 for p in able if site.places[p].place.holds(u, v)}
        if covering:
            price = worth * (SIDE_PRICE if k else COVER_PRICE) * top
            found.append(
                Rule(name=f"{cover_name(reflection)} {k}", weights=covering, low=1.0, price=price)
            )
    return found


def cover_name(reflection: TreatedReflection) -> str:
    return f"first reflection of {reflection.source} off {reflection.face}"


def _flutter(site: Site, pair: FacingPair, worth: float) -> Shares | None:
    able = breakers(site)
    cells = []
    for first, second in pair.columns:
        cell: dict[int, float] = {}
        for p in able:
            c = site.places[p]
            on = {pair.first: first, pair.second: second}.get(c.face)
            share = c.place.overlap_m2(on) / on.area_m2 if on is not None else 0.0
            if share > 1e-9:
                cell[p] = share
        cells.append((first.area_m2, cell))
    if not any(cell for _, cell in cells):
        return None
    areas = {p: site.places[p].place.area_m2 for p in able}
    price = worth * FLUTTER_PRICE * max(site.costs[p] / areas[p] for p in able)
    return Shares(
        name=pair_name(pair), cells=tuple(cells), least=FLUTTER_SHARE * pair.area_m2, price=price
    )


def _corners(site: Site) -> list[Shares]:
    """Where low notes ring: something in two upright corners at least, where every mode has
    pressure."""
    walls = sorted({c.face for c in site.places if c.row == "corner"})
    if not walls:
        return []
    cells = [
        {i: 1.0 for i, c in enumerate(site.places) if c.row == "corner" and c.face == wall}
        for wall in walls
    ]
    price = CORNER_PRICE * max(site.costs[i] for cell in cells for i in cell)
    two = float(min(2, len(walls)))
    return [
        Shares(name="corners", cells=tuple((1.0, cell) for cell in cells), least=two, price=price)
    ]


def breakers(site: Site) -> list[int]:
    """Candidates that break flutter: at least half absorbed at 1 and 2 kHz."""

    def breaks(name: str) -> bool:
        return all((site.absorptions[name].at(hz) or 0.0) >= 0.5 for hz in (1000.0, 2000.0))

    return [p for p, c in enumerate(site.places) if breaks(c.piece.name)]


def pair_name(pair: FacingPair) -> str:
    return f"flutter between {pair.first} and {pair.second}"
