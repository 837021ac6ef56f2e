"""What is wished beside the decay, as rules: quiet reflections, no flutter, even bass."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from roomcheck.judge import BASS_FINDINGS, BASS_RATIO, JND_DECAY, FindingKind
from roomcheck.recommend.integer.problem import Rule, Shares
from roomcheck.recommend.places.paths import FacingPair, TreatedReflection
from roomcheck.recommend.reasons import Wish
from roomcheck.recommend.solver.limits import dearest
from roomcheck.recommend.solver.site import Site

Real = NDArray[np.float64]

COVER_PRICE, SIDE_PRICE = 3.0, 0.3
"""Penalty of a first reflection left uncovered: at its mirror point, and beside it. [1]"""

FLUTTER_PRICE, BALANCE_PRICE = 2.0, 1.5
"""Penalty of a hard pair left unbroken, and of bass that rings on. [1]"""

CORNER_PRICE = 1.5
"""What a corner left bare costs where low notes ring, in the dearest corner pieces."""

FLUTTER_FINDINGS = (FindingKind.FLUTTER, FindingKind.SLAP)
"""Faults that breaking up hard pairs cures."""

FLUTTER_SHARE = 0.5
"""Share of a hard pair that one side or the other must break (common practice: staggered, gaps
below 2 ft)."""


def bass_rules(site: Site) -> list[Rule]:
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


def cover_rules(site: Site, reflection: TreatedReflection, worth: float) -> list[Rule]:
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


def flutter(site: Site, pair: FacingPair, worth: float) -> Shares | None:
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


def corners(site: Site) -> list[Shares]:
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
