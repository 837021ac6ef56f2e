"""Why a piece hangs where it hangs, what a plan leaves undone, and how sure it is: in sentences."""

from __future__ import annotations

from collections.abc import Sequence
from math import isfinite, log
from statistics import NormalDist

from roomcheck.job import Placement
from roomcheck.predict import BandPrediction, Prediction
from roomcheck.recommend.places.candidates import Candidate
from roomcheck.recommend.solver.scatter import least_distance_m, lowest_hz
from roomcheck.recommend.solver.site import Site, is_diffuser
from roomcheck.recommend.solver.targets_as_constraints import mid_of
from roomcheck.standards import BandLimit
from roomcheck.units import band_name, format_length

ROWS = {
    "above": "It hangs above head height because the wall is full below.",
    "below": "It hangs below head height because the wall is full above.",
}


def reasons(site: Site, placed: Placement, candidate: Candidate) -> tuple[str, ...]:
    """Why this piece stands here, one sentence each."""
    found = [*_early(site, placed), *_flutter(site, placed, candidate)]
    if candidate.row == "corner" and candidate.beside is not None:
        leg = format_length(candidate.beside[1].width_m, site.job.units)
        found.append(
            f"It stands across the corner of {placed.face} and {candidate.beside[0]}, {leg} "
            "along each wall, where every room mode has pressure."
        )
    if is_diffuser(candidate.piece):
        found.append(
            "It scatters what comes back from behind the seat, from about "
            f"{lowest_hz(candidate.piece):.0f} Hz up; heads stay "
            f"{least_distance_m(candidate.piece):.1f} m away or more."
        )
    found += _absorbs(site, candidate)
    if candidate.row in ROWS:
        found.append(ROWS[candidate.row])
    return tuple(found)


def _early(site: Site, placed: Placement) -> list[str]:
    return [
        f"It covers the place where sound from {r.source} bounces off the {r.face} to {r.seat}, "
        f"{r.level_db:.1f} dB against the direct sound and {1000 * r.delay_s:.1f} ms after it."
        for r in site.early
        if r.face == placed.face and placed.place.holds(r.u_m, r.v_m)
    ]


def _flutter(site: Site, placed: Placement, candidate: Candidate) -> list[str]:
    alpha = site.absorptions[candidate.piece.name].at(2000.0)
    if is_diffuser(candidate.piece) or alpha is None or alpha < 0.5:
        return []
    facing = []
    for pair in site.pairs:
        side, other = (0, pair.second) if pair.first == placed.face else (1, pair.first)
        if placed.face in (pair.first, pair.second) and any(
            c[side].overlap_m2(placed.place) > 0 for c in pair.columns
        ):
            facing.append(other)
    return [
        f"It breaks the path to and fro between the hard {placed.face} and the hard {o}."
        for o in facing
    ]


def _absorbs(site: Site, candidate: Candidate) -> list[str]:
    if is_diffuser(candidate.piece):
        return []
    gain = site.room.gain_m2(candidate.piece, site.job.material_of(candidate.face))
    known = [
        (hz, g)
        for hz, g in zip(site.bands_hz, gain, strict=True)
        if hz in (125.0, 500.0) and isfinite(g)
    ]
    told = " and ".join(f"{g:.2f} m² at {band_name(hz)}" for hz, g in known)
    return [f"It adds {told} of absorption to what the {candidate.face} had."] if told else []


def judged(site: Site, prediction: Prediction) -> list[tuple[BandLimit, BandPrediction]]:
    """Octaves that have a limit and a prediction."""
    limits = {limit.band_hz: limit for limit in site.verdict.target.limits}
    return [
        (limits[b.band_hz], b)
        for b in prediction.after
        if b.band_hz in limits and b.likely_s is not None
    ]


def values(
    site: Site, prediction: Prediction
) -> list[tuple[str, float | None, float | None, float, float, float]]:
    """Everything the target judges: (name, low limit, high limit, low end, likely, high end).
    [s]"""
    found = []
    for limit, band in judged(site, prediction):
        low, likely, high = band.low_s, band.likely_s, band.high_s
        if low is not None and likely is not None and high is not None:
            found.append(
                (f"{band_name(band.band_hz)}", limit.low_s, limit.high_s, low, likely, high)
            )
    target = site.verdict.target
    ends = mid_of(prediction, target.mid_bands_hz)
    if ends is not None and (target.mid_low_s is not None or target.mid_high_s is not None):
        found.append(("the mean", target.mid_low_s, target.mid_high_s, *ends))
    return found


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


def sureness(site: Site, prediction: Prediction) -> tuple[str, ...]:
    """How much of the range lies inside the limits."""
    rows = values(site, prediction)
    if not rows:
        return (
            "No octave of the target can be foreseen, so nobody can say whether it is reached.",
        )
    likely = [name for name, lo, hi, _, mid, _ in rows if inside(lo, hi, mid, mid)]
    wholly = [name for name, lo, hi, low, _, high in rows if inside(lo, hi, low, high)]
    worst = min(rows, key=lambda row: chance(*row[1:]))
    share = 100 * chance(*worst[1:])
    return (
        f"The likely decay is inside the limits for {len(likely)} of {len(rows)} values, the "
        f"whole range (nine in ten) for {len(wholly)}; least sure is {worst[0]}, where "
        f"{_share(share)} of what may be measured is inside.",
    )


def _share(share: float) -> str:
    return "over 99 %" if share > 99 else "under 1 %" if share < 1 else f"{share:.0f} %"


def shortfalls(
    site: Site, prediction: Prediction, chosen: Sequence[Candidate], untouched: Sequence[str]
) -> tuple[str, ...]:
    """What misses its limit, by how much, and what would cure it."""
    found = []
    for name, low_limit, high_limit, low, likely, high in values(site, prediction):
        if high_limit is not None and likely > high_limit:
            found.append(
                f"{name}: {likely:.3f} s likely, {likely - high_limit:.3f} s over the limit of "
                f"{high_limit:.3g} s. "
                f"{_cure_long(site, name, chosen, _lacking_m2(site, name, likely, high_limit))}"
            )
        elif low_limit is not None and likely < low_limit:
            found.append(
                f"{name}: {likely:.3f} s likely, {low_limit - likely:.3f} s under the limit of "
                f"{low_limit:.3g} s. {_cure_short(site, chosen)}"
            )
        elif high_limit is not None and high > high_limit:
            found.append(
                f"{name}: {likely:.3f} s likely is inside, but the range reaches {high:.3f} s, "
                f"over the limit of {high_limit:.3g} s. {_cure_range(site, prediction)}"
            )
        elif low_limit is not None and low < low_limit:
            found.append(
                f"{name}: {likely:.3f} s likely is inside, but the range reaches down to "
                f"{low:.3f} s, under the limit of {low_limit:.3g} s. "
                f"{_cure_range(site, prediction)}"
            )
    return (*found, *untouched)


def _lacking_m2(site: Site, name: str, likely_s: float, limit_s: float) -> float:
    """Absorption that separates two decays in one octave, or in the mean's first; by the fast
    formula. [m2]"""
    hz = next(
        (hz for hz in site.bands_hz if band_name(hz) == name), site.verdict.target.mid_bands_hz[0]
    )
    i = site.bands_hz.index(hz)
    at_limit, at_likely = (
        float(site.room.needed_m2([t] * len(site.bands_hz))[i]) for t in (limit_s, likely_s)
    )
    return at_limit - at_likely if isfinite(at_limit - at_likely) else 0.0


def _cure_long(site: Site, name: str, chosen: Sequence[Candidate], lacking_m2: float) -> str:
    cures = []
    hz = next((hz for hz in site.bands_hz if f"{band_name(hz)}" == name), 500.0)
    i = site.bands_hz.index(hz)
    barred = [f.face for f in site.job.fixings if f.rule != "screws"]
    if hz <= 250:
        best = max((a.at(hz) or 0.0 for a in site.absorptions.values()), default=0.0)
        cures.append(f"deeper pieces (the best in stock takes {best:.2f} of it)")
    if barred:
        cures.append(f"leave to fix on the {' and the '.join(barred)}")
    if any(p.opening and p.place.area_m2 > 1 for p in site.job.patches):
        cures.append("heavy curtains over the glass or the door, drawn when it matters")
    floor = site.room.coefficient(site.job.material_of("floor"))[i]
    if hz >= 500 and floor < 0.15:
        cures.append("a thick rug (another trade)")
    used = sum(c.place.area_m2 for c in chosen)
    lacks = f" (about {lacking_m2:.1f} m² of absorption lack)" if lacking_m2 > 0 else ""
    cures.append(f"more area than the {used:.1f} m² that this plan hangs{lacks}")
    return f"What would cure it: {', '.join(cures)}."


def _cure_short(site: Site, chosen: Sequence[Candidate]) -> str:
    if not chosen:
        return "The room is too dead as it is: take soft things out, or lay a harder floor."
    return (
        "What would cure it: fewer or shallower pieces, at the price of another wish, or a harder "
        "floor."
    )


def _cure_range(site: Site, prediction: Prediction) -> str:
    if not prediction.calibrated:
        return "Measuring the room before would narrow the range."
    return "More source-microphone pairs before and after would narrow the range."


def methods_apart(prediction: Prediction) -> tuple[str, ...]:
    """Where one of the two methods falls out of the stated range, as a sentence; nothing where both
    lie in it."""
    out = []
    for b in prediction.after:
        if b.low_s is None or b.high_s is None or b.eyring_s is None:
            continue
        for name, value in (("diffuse-field formula", b.eyring_s), ("simulation", b.simulated_s)):
            if value is not None and not b.low_s <= value <= b.high_s:
                out.append((name, f"{band_name(b.band_hz)} {value:.2f} s"))
    return tuple(
        f"The {name} says otherwise than the range: "
        f"{', '.join(told for n, told in out if n == name)}. Absorption is uneven there; spread "
        "over more faces the two would agree."
        for name in dict.fromkeys(name for name, _ in out)
    )
