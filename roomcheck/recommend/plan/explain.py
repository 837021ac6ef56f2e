"""Why a piece hangs where it hangs, what a plan leaves undone, and how sure it is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import isfinite, log
from statistics import NormalDist
from typing import Any

from roomcheck.facts import Fact, fact
from roomcheck.job import Placement, WhyHere
from roomcheck.predict import BandPrediction, Prediction
from roomcheck.recommend.places.candidates import Candidate
from roomcheck.recommend.reasons import PlanNote, Shortfall
from roomcheck.recommend.solver.fit import mid_of
from roomcheck.recommend.solver.scatter import least_distance_m, lowest_hz
from roomcheck.recommend.solver.site import Site
from roomcheck.standards import BandLimit

DEEP_BELOW_HZ = 250.0
"""Up to here depth of the pieces is what lacks. [Hz]"""

RUG_FROM_HZ, HARD_FLOOR = 500.0, 0.15
"""From where a thick rug absorbs, and the coefficient below which a floor is hard. [Hz], [1]"""

WORTH_A_CURTAIN_M2 = 1.0
"""Doors and windows above this size are worth a heavy curtain. [m2]"""

ROWS = {"above": WhyHere.ABOVE_HEAD_HEIGHT, "below": WhyHere.BELOW_HEAD_HEIGHT}
"""Rows of a wall that are used only where head height is full."""

NAMED_HZ = (125.0, 500.0)
"""Octaves in which a piece's absorption is named. [Hz]"""


def reasons(site: Site, placed: Placement, candidate: Candidate) -> tuple[Fact[WhyHere], ...]:
    """Return why this piece hangs here."""
    why = [*_early(site, placed), *_flutter(site, placed, candidate)]
    if candidate.row == "corner" and candidate.beside is not None:
        beside, place = candidate.beside
        corner = fact(WhyHere.IN_CORNER, face=placed.face, beside=beside, leg_m=place.width_m)
        why.append(corner)
    if candidate.piece.diffuser:
        from_hz, distance_m = lowest_hz(candidate.piece), least_distance_m(candidate.piece)
        why.append(fact(WhyHere.SCATTERS, from_hz=from_hz, distance_m=distance_m))
    else:
        why += _absorbs(site, candidate)
    if candidate.row in ROWS:
        why.append(fact(ROWS[candidate.row]))
    return tuple(why)


def _early(site: Site, placed: Placement) -> list[Fact[WhyHere]]:
    return [
        fact(
            WhyHere.COVERS_REFLECTION,
            source=r.source,
            seat=r.seat,
            face=r.face,
            level_db=r.level_db,
            delay_s=r.delay_s,
        )
        for r in site.early
        if r.face == placed.face and placed.place.holds(r.u_m, r.v_m)
    ]


def _flutter(site: Site, placed: Placement, candidate: Candidate) -> list[Fact[WhyHere]]:
    alpha = site.absorptions[candidate.piece.name].at(2000.0)
    if candidate.piece.diffuser or alpha is None or alpha < 0.5:
        return []
    broken = []
    for pair in site.pairs:
        if placed.face not in (pair.first, pair.second):
            continue
        side, opposite = (0, pair.second) if pair.first == placed.face else (1, pair.first)
        if any(column[side].overlap_m2(placed.place) > 0 for column in pair.columns):
            broken.append(fact(WhyHere.BREAKS_FLUTTER, face=placed.face, opposite=opposite))
    return broken


def _absorbs(site: Site, candidate: Candidate) -> list[Fact[WhyHere]]:
    gain = site.room.gain_m2(candidate.piece, site.job.material_of(candidate.face))
    known = [
        (hz, float(added))
        for hz, added in zip(site.bands_hz, gain, strict=True)
        if hz in NAMED_HZ and isfinite(added)
    ]
    if not known:
        return []
    bands, added_m2 = zip(*known, strict=True)
    return [fact(WhyHere.ABSORBS, face=candidate.face, bands_hz=bands, added_m2=added_m2)]


def judged(site: Site, prediction: Prediction) -> list[tuple[BandLimit, BandPrediction]]:
    """Octaves that have a limit and a prediction."""
    limits = {limit.band_hz: limit for limit in site.verdict.target.limits}
    return [
        (limits[b.band_hz], b)
        for b in prediction.after
        if b.band_hz in limits and b.likely_s is not None
    ]


@dataclass(frozen=True, slots=True, kw_only=True)
class ForeseenDecay:
    """One decay that the target judges, with its range."""

    band_hz: float | None
    """None for the mean [Hz]."""
    low_limit_s: float | None
    """The target's lower limit [s]."""
    high_limit_s: float | None
    """The target's upper limit [s]."""
    low_s: float
    """Lower end of the range [s]."""
    likely_s: float
    """Likely decay [s]."""
    high_s: float
    """Upper end of the range [s]."""

    @property
    def likely_inside(self) -> bool:
        return inside(self.low_limit_s, self.high_limit_s, self.likely_s, self.likely_s)

    @property
    def wholly_inside(self) -> bool:
        return inside(self.low_limit_s, self.high_limit_s, self.low_s, self.high_s)

    @property
    def chance(self) -> float:
        """Share of what may be re-measured that lies inside the limits. [1]"""
        return chance(self.low_limit_s, self.high_limit_s, self.low_s, self.likely_s, self.high_s)


def values(site: Site, prediction: Prediction) -> list[ForeseenDecay]:
    """Return every decay that the target judges and that is predicted: octaves, then the mean."""
    rows = []
    for limit, band in judged(site, prediction):
        low, likely, high = band.low_s, band.likely_s, band.high_s
        if low is None or likely is None or high is None:
            continue
        row = ForeseenDecay(
            band_hz=band.band_hz,
            low_limit_s=limit.low_s,
            high_limit_s=limit.high_s,
            low_s=low,
            likely_s=likely,
            high_s=high,
        )
        rows.append(row)
    target = site.verdict.target
    ends = mid_of(prediction, target.mid_bands_hz)
    if ends is not None and (target.mid_low_s is not None or target.mid_high_s is not None):
        mean = ForeseenDecay(
            band_hz=None,
            low_limit_s=target.mid_low_s,
            high_limit_s=target.mid_high_s,
            low_s=ends[0],
            likely_s=ends[1],
            high_s=ends[2],
        )
        rows.append(mean)
    return rows


def chance(
    low_limit: float | None, high_limit: float | None, low: float, likely: float, high: float
) -> float:
    """Share of what may be re-measured that lies inside the limits; a lognormal on each side of the
    likely value.

    >>> round(chance(None, 0.33, 0.27, 0.30, 0.33), 2)
    0.95
    """
    normal, z = NormalDist(), 1.645

    def below(limit_s: float) -> float:
        side = log((high if limit_s >= likely else low) / likely)
        if side == 0:
            return float(limit_s >= likely)
        return normal.cdf(z * log(limit_s / likely) / abs(side))

    upper = 1.0 if high_limit is None else below(high_limit)
    return max(upper - (0.0 if low_limit is None else below(low_limit)), 0.0)


def inside(low_limit: float | None, high_limit: float | None, low: float, high: float) -> bool:
    """Whether a range lies inside limits."""
    return (low_limit is None or low >= low_limit) and (high_limit is None or high <= high_limit)


def reaches(site: Site, prediction: Prediction, together: float) -> bool:
    """Whether a plan reaches the target as surely as the job asks: every likely value inside, and
    all values together with that chance. [1]"""
    rows = values(site, prediction)
    likely = bool(rows) and all(row.likely_inside for row in rows)
    return likely and together >= site.job.sure_pct / 100


def not_foreseen(site: Site, prediction: Prediction) -> tuple[Fact[PlanNote], ...]:
    """Note octaves that the target judges and that have no prediction."""
    known = {band.band_hz for band in prediction.after if band.likely_s is not None}
    bands_hz = tuple(
        limit.band_hz for limit in site.verdict.target.limits if limit.band_hz not in known
    )
    return (fact(PlanNote.NOT_FORESEEN, bands_hz=bands_hz),) if bands_hz else ()


def sureness(site: Site, prediction: Prediction, together: float) -> Fact[PlanNote]:
    """Count how many values, and how much of the least sure range, lie inside the limits."""
    rows = values(site, prediction)
    if not rows:
        return fact(PlanNote.NOTHING_FORESEEN)
    least = min(rows, key=lambda row: row.chance)
    return fact(
        PlanNote.SURENESS,
        values=len(rows),
        likely=sum(row.likely_inside for row in rows),
        wholly=sum(row.wholly_inside for row in rows),
        together_pct=100 * together,
        band_hz=least.band_hz,
        chance_pct=100 * least.chance,
    )


def shortfalls(
    site: Site, prediction: Prediction, chosen: Sequence[Candidate], *, reaches: bool
) -> tuple[Fact[Shortfall], ...]:
    """Return what misses its limit, by how much, and what would cure it; nothing where the target
    is reached as surely as asked, though the end of a range lies outside."""
    if reaches:
        return ()
    rows = (_shortfall(site, row, prediction, chosen) for row in values(site, prediction))
    return tuple(shortfall for shortfall in rows if shortfall is not None)


def _shortfall(
    site: Site, row: ForeseenDecay, prediction: Prediction, chosen: Sequence[Candidate]
) -> Fact[Shortfall] | None:
    low_limit, high_limit = row.low_limit_s, row.high_limit_s
    decay = {"band_hz": row.band_hz, "likely_s": row.likely_s}
    measured = prediction.calibrated
    if high_limit is not None and row.likely_s > high_limit:
        cures = _cures_of_too_long(site, row.band_hz, chosen)
        lacking_m2 = _lacking_m2(site, row.band_hz, row.likely_s, high_limit)
        return fact(Shortfall.TOO_LONG, **decay, limit_s=high_limit, lacking_m2=lacking_m2, **cures)
    if low_limit is not None and row.likely_s < low_limit:
        return fact(Shortfall.TOO_SHORT, **decay, limit_s=low_limit, bare=not chosen)
    if high_limit is not None and row.high_s > high_limit:
        ends = {"end_s": row.high_s, "limit_s": high_limit}
        return fact(Shortfall.RANGE_TOO_LONG, **decay, **ends, measured=measured)
    if low_limit is not None and row.low_s < low_limit:
        ends = {"end_s": row.low_s, "limit_s": low_limit}
        return fact(Shortfall.RANGE_TOO_SHORT, **decay, **ends, measured=measured)
    return None


def _lacking_m2(site: Site, band_hz: float | None, likely_s: float, limit_s: float) -> float:
    """Absorption that separates two decays in one octave, or in the mean's first; by the fast
    formula. [m2]"""
    i = site.bands_hz.index(band_hz or site.verdict.target.mid_bands_hz[0])
    bands = len(site.bands_hz)
    at_limit, at_likely = (
        float(site.room.needed_m2([decay_s] * bands)[i]) for decay_s in (limit_s, likely_s)
    )
    lacking = at_limit - at_likely
    return lacking if isfinite(lacking) else 0.0


def _cures_of_too_long(
    site: Site, band_hz: float | None, chosen: Sequence[Candidate]
) -> dict[str, Any]:
    """What would shorten a decay that this plan leaves too long, as values of the fact."""
    hz = band_hz or 500.0
    i = site.bands_hz.index(hz)
    best_alpha = None
    if hz <= DEEP_BELOW_HZ:
        best_alpha = max((a.at(hz) or 0.0 for a in site.absorptions.values()), default=0.0)
    openings = [patch for patch in site.job.patches if patch.opening]
    floor_alpha = site.room.coefficient(site.job.material_of("floor"))[i]
    hung_on = [face.name for face in site.job.room.faces if face.kind != "floor"]
    barred = [f.face for f in site.job.fixings if f.rule != "screws" and f.face in hung_on]
    return {
        "best_alpha": best_alpha,
        "barred": tuple(barred),
        "curtain": any(patch.place.area_m2 > WORTH_A_CURTAIN_M2 for patch in openings),
        "rug": bool(hz >= RUG_FROM_HZ and floor_alpha < HARD_FLOOR),
        "hung_m2": sum(candidate.place.area_m2 for candidate in chosen),
    }


def methods_apart(prediction: Prediction) -> tuple[Fact[PlanNote], ...]:
    """Note where one of the two methods falls out of the stated range."""
    apart: dict[PlanNote, list[tuple[float, float]]] = {}
    for band in prediction.after:
        if band.low_s is None or band.high_s is None or band.eyring_s is None:
            continue
        methods = (
            (PlanNote.FORMULA_APART, band.eyring_s),
            (PlanNote.SIMULATION_APART, band.simulated_s),
        )
        for kind, decay_s in methods:
            if decay_s is not None and not band.low_s <= decay_s <= band.high_s:
                apart.setdefault(kind, []).append((band.band_hz, decay_s))
    notes = []
    for kind, decays in apart.items():
        bands, decays_s = zip(*decays, strict=True)
        notes.append(fact(kind, bands_hz=bands, decays_s=decays_s))
    return tuple(notes)
