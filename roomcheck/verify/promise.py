"""The promise as signed, held against what was measured."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from math import hypot
from statistics import fmean

from roomcheck.analyse import Analysis, BandDecay, PositionDecays
from roomcheck.job import Job
from roomcheck.quote import Agreement
from roomcheck.verify.air import in_other_air
from roomcheck.verify.causes import causes
from roomcheck.verify.clarity import clarity_changes
from roomcheck.verify.conditions import Pair, differences, pairs_of
from roomcheck.verify.decide import decide, guards, more_pairs, overall
from roomcheck.verify.heard import evenness_changes, mode_changes, speech_changes, surface_changes
from roomcheck.verify.people import MID_HZ, Crowd, without_crowd
from roomcheck.verify.results import BandChange, Kept, Verification
from roomcheck.verify.uncertainty import Mean, mean_of

JND = 0.05
"""Just noticeable change of a decay, as a share of it: ISO 3382-1 says it of EDT; here it is
extended to T20. [1]"""

AIR_SHOWS = 0.01
"""Share of the decay from which the effect of other air is taken off and told. [1]"""

Reading = tuple[float, float | None]
Limits = tuple[float, float] | None


def verify(
    job: Job,
    before: Analysis,
    after: Analysis,
    agreement: Agreement,
    *,
    compare_anyway: bool = False,
) -> Verification:
    """What changed between two visits, and whether the promise as signed is kept.

    Parameters
    ----------
    job : Job
    before, after : Analysis
        If other people were in the room at the second visit, what they absorb is taken off before
        anything is judged.
    agreement : Agreement
        As signed; its plan's promise is the one that counts.
    compare_anyway : bool
        Judge even where something differed that nobody can take off again; the result says so.

    Returns
    -------
    Verification
        Verdicts are taken before rounding. "Kept" is said of a broken promise, and "not kept" of a
        kept one, in less than 5 % of cases as a whole; what lies between is undecided, and so is
        everything where the visits cannot be compared.

    References
    ---------- ISO 3382-2:2008 for the positions and their standard deviations; guard bands after
    JCGM 106:2012, from memory.
    """
    promise = agreement.plan.promise
    signed = {band.band_hz: (band.low_s, band.high_s) for band in promise.bands}
    mid = _limits(promise.mid_low_s, promise.mid_high_s)
    tests = len(signed) + (mid is not None)
    found = differences(job, before, after)
    barred = bool(found.barring) and not compare_anyway
    crowd = Crowd.of(job, measured=job.visit(after.visit), wanted=job.visit(before.visit))
    alike = without_crowd(after, crowd)
    visits = _Visits(
        job=job, before=before, after=alike, tests=tests, barred=barred, crowd=crowd, as_met=after
    )
    shown = sorted({band.band_hz for band in (*before.octaves, *after.octaves)} | set(signed))
    judged = [_change(visits, hz, _octave(hz), signed.get(hz)) for hz in shown]
    middle = _change(visits, 0.0, _mid, mid)
    bands = tuple(change for change, _ in judged)
    kept = overall(tuple(change.kept for change in (*bands, middle[0])))
    measured = len(pairs_of(after))
    verdict = _sentence(kept, bands, middle[0], [more for _, more in (*judged, middle)], measured)
    return Verification(
        bands=bands,
        mid=middle[0],
        kept=kept,
        differences=(*_too_few(promise.positions, measured), *found.told),
        pairs=len(set(pairs_of(before)) & set(pairs_of(after))),
        sentence=_with_barring(verdict, found.barring, barred),
        barring=found.barring,
        compared_anyway=bool(found.barring) and compare_anyway,
        causes=causes(job, after, agreement.plan) if kept == "not kept" else (),
        clarity=clarity_changes(before, after),
        surfaces=surface_changes(before, after),
        modes=mode_changes(before, after),
        speech=speech_changes(before, after),
        evenness=evenness_changes(before, after),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Visits:
    job: Job
    before: Analysis
    after: Analysis
    tests: int
    barred: bool
    crowd: Crowd
    as_met: Analysis


def _with_barring(verdict: str, barring: tuple[str, ...], barred: bool) -> str:
    if not barring:
        return verdict
    named = " ".join(barring)
    if barred:
        return (
            f"Undecided, because the two visits cannot be compared. {named} Measure again as on "
            "the first visit."
        )
    return f"{verdict} Compared all the same, although: {named}"


def _too_few(promised: int, measured: int) -> tuple[str, ...]:
    if measured >= promised:
        return ()
    return (
        f"Promised to be measured at {promised} source-microphone pairs, measured at {measured}.",
    )


def _limits(low_s: float | None, high_s: float | None) -> Limits:
    return None if low_s is None or high_s is None else (low_s, high_s)


def _octave(band_hz: float) -> Callable[[PositionDecays], Reading | None]:
    def read(position: PositionDecays) -> Reading | None:
        band = _band(position, band_hz)
        return None if band is None or band.t20_s is None else (band.t20_s, band.t20_sd_s)

    return read


def _mid(position: PositionDecays) -> Reading | None:
    found = [_octave(hz)(position) for hz in MID_HZ]
    if any(reading is None for reading in found):
        return None
    (a, a_sd), (b, b_sd) = (reading for reading in found if reading is not None)
    return (a + b) / 2, None if a_sd is None or b_sd is None else hypot(a_sd, b_sd) / 2


def _band(position: PositionDecays, band_hz: float) -> BandDecay | None:
    return next((band for band in position.octaves if band.band_hz == band_hz), None)


def _readings(
    analysis: Analysis, read: Callable[[PositionDecays], Reading | None]
) -> dict[Pair, Reading]:
    """The mean of a pair's takes where several were made; their scatter is not taken to be chance
    alone."""
    found: dict[Pair, list[Reading]] = {}
    for position in analysis.positions:
        reading = read(position)
        if reading is not None:
            found.setdefault((position.source, position.microphone), []).append(reading)
    return {
        pair: (
            fmean(value for value, _ in many),
            max((sd for _, sd in many if sd is not None), default=None),
        )
        for pair, many in found.items()
    }


def _mean(readings: Sequence[Reading]) -> Mean | None:
    values, sds = [value for value, _ in readings], [sd for _, sd in readings]
    return mean_of(values, sds) if len(values) > 1 or any(sds) else None


def paired(first: dict[Pair, Reading], second: dict[Pair, Reading]) -> Mean | None:
    """After minus before over the pairs that both visits have; None where none has a number both
    times. [s]"""
    common = [pair for pair in first if pair in second]
    return _mean(
        [(second[p][0] - first[p][0], hypot(first[p][1] or 0, second[p][1] or 0)) for p in common]
    )


def _change(
    visits: _Visits,
    band_hz: float,
    read: Callable[[PositionDecays], Reading | None],
    limits: Limits,
) -> tuple[BandChange, int | None]:
    before, after = visits.before, visits.after
    first, second = _readings(before, read), _readings(after, read)
    was, now = _mean(list(first.values())), _mean(list(second.values()))
    was, now = _no_surer(was, before, band_hz), _no_surer(now, after, band_hz)
    people, people_u = _people(visits, band_hz, read)
    now = now if now is None or people_u == 0 else replace(now, u=hypot(now.u, people_u))
    air = _air(visits, band_hz, now)
    change = _without_air(paired(first, second), air)
    change = (
        change if change is None or people_u == 0 else replace(change, u=hypot(change.u, people_u))
    )
    kept, reason, more = _judge(now, limits, visits.tests)
    if visits.barred and limits is not None:
        kept, reason, more = "undecided", "The two visits cannot be compared.", None
    says = (
        reason,
        _missing(was, now),
        _fewer(first, second, change),
        _air_says(air),
        _people_say(visits.crowd, people),
    )
    return BandChange(
        band_hz=band_hz,
        before_s=_value(was),
        after_s=_value(now),
        after_u_s=_u(now),
        change_s=_value(change),
        change_u_s=_u(change),
        low_s=limits[0] if limits else None,
        high_s=limits[1] if limits else None,
        kept=kept,
        audible=None
        if change is None or was is None or visits.barred
        else _audible(change, was.value),
        reason=" ".join(filter(None, says)),
        air_s=air,
        people_s=people,
    ), more


def _people(
    visits: _Visits, band_hz: float, read: Callable[[PositionDecays], Reading | None]
) -> tuple[float | None, float]:
    """What the other people did to the mean decay, None where nothing was taken off, and how sure
    that is not. [s]"""
    met, alike = (
        _mean(list(_readings(visit, read).values())) for visit in (visits.as_met, visits.after)
    )
    if visits.crowd.more == 0 or met is None or alike is None or met.value == alike.value:
        return None, 0.0
    each = [visits.crowd.u_s(alike.value, hz) for hz in (MID_HZ if band_hz == 0 else (band_hz,))]
    return met.value - alike.value, sum(each) / len(each)


def _no_surer(mean: Mean | None, analysis: Analysis, band_hz: float) -> Mean | None:
    """The mean with the analysis's own uncertainty where that is the greater."""
    band = analysis.octave(band_hz)
    said = analysis.mid_u_s if band_hz == 0 else (band.t20_u_s if band else None)
    return mean if mean is None or said is None or said <= mean.u else replace(mean, u=said)


def _air(visits: _Visits, band_hz: float, now: Mean | None) -> float | None:
    first, second = visits.job.visit(visits.before.visit), visits.job.visit(visits.after.visit)
    if band_hz == 0 or now is None or first is None or second is None:
        return None
    if (first.temperature_c, first.humidity_pct) == (second.temperature_c, second.humidity_pct):
        return None
    alike = in_other_air(now.value, band_hz, measured=second, wanted=first)
    if alike is None or abs(now.value - alike) < AIR_SHOWS * now.value:
        return None
    return now.value - alike


def _without_air(change: Mean | None, air_s: float | None) -> Mean | None:
    return (
        change if change is None or air_s is None else replace(change, value=change.value - air_s)
    )


def _air_says(air_s: float | None) -> str:
    if air_s is None:
        return ""
    return f"The other air alone made {air_s:+.3f} s of difference; it is taken off the change."


def _people_say(crowd: Crowd, people_s: float | None) -> str:
    if crowd.more == 0:
        return ""
    who = (
        f"{abs(crowd.more)} {'person' if abs(crowd.more) == 1 else 'people'} "
        f"{'more' if crowd.more > 0 else 'fewer'}"
    )
    if people_s is None:
        return (
            f"{who} in the room: no table says what a person absorbs in this band, so nothing is "
            "taken off."
        )
    return f"{who} in the room made {people_s:+.3f} s of difference; it is taken off."


def _value(mean: Mean | None) -> float | None:
    return None if mean is None else mean.value


def _u(mean: Mean | None) -> float | None:
    return None if mean is None else mean.u


def _audible(change: Mean, was_s: float) -> bool:
    # Both sides count here: a two-sided 95 % interval.
    return abs(change.value) > change.guard(0.025) and abs(change.value) > JND * was_s


def _judge(now: Mean | None, limits: Limits, tests: int) -> tuple[Kept, str, int | None]:
    if limits is None:
        return "not promised", "", None
    if now is None:
        return (
            "undecided",
            "Nothing was measured after the work in this band, so nothing can be said.",
            None,
        )
    if now.n < 2:
        return "undecided", "One position cannot decide; ISO 3382-2 asks for at least two.", 1
    kept_guard, broken_guard = guards(now, tests)
    kept = decide(now.value, *limits, guard_kept=kept_guard, guard_broken=broken_guard)
    if kept != "undecided":
        return kept, "", 0
    more = more_pairs(now, *limits, tests)
    return kept, f"Too close to a limit to decide with {now.n} pairs. {_more(more)}", more


def _more(more: int | None) -> str:
    if more is None:
        return "The value stands on its limit: no reasonable number of pairs would decide."
    return (
        f"About {more} more {'pair' if more == 1 else 'pairs'} would decide if the average stays."
    )


def _missing(was: Mean | None, now: Mean | None) -> str:
    absent = " and ".join(name for name, mean in (("before", was), ("after", now)) if mean is None)
    return f"No decay could be measured {absent}." if absent else ""


def _fewer(first: dict[Pair, Reading], second: dict[Pair, Reading], change: Mean | None) -> str:
    if change is None or first.keys() == second.keys():
        return ""
    return f"The change is over the {change.n} pairs that have a number both times."


def _sentence(
    kept: Kept,
    bands: tuple[BandChange, ...],
    mid: BandChange,
    more: list[int | None],
    measured: int,
) -> str:
    named = [*bands, mid]
    if kept == "kept":
        return (
            "The promise is kept: every promised value lies inside its limits, measured at "
            f"{measured} pairs."
        )
    if kept == "not kept":
        return f"The promise is not kept; {_names([c for c in named if c.kept == 'not kept'])}."
    if kept == "not promised":
        return "Nothing was promised, so there is nothing to verify."
    open_ = [(c, n) for c, n in zip(named, more, strict=True) if c.kept == "undecided"]
    cure = None if any(n is None for _, n in open_) else max(n for _, n in open_ if n is not None)
    return (
        f"The promise is neither kept nor broken for sure; {_names([c for c, _ in open_])}. "
        f"{_more(cure)}"
    )


def _names(changes: list[BandChange]) -> str:
    by_fault: dict[str, list[str]] = {}
    for change in changes:
        by_fault.setdefault(_place(change), []).append(_band_name(change.band_hz))
    return "; ".join(f"{fault}: {', '.join(names)}" for fault, names in by_fault.items())


def _band_name(band_hz: float) -> str:
    if band_hz == 0:
        return "the mean of 500 Hz and 1 kHz"
    return f"{band_hz / 1000:g} kHz" if band_hz >= 1000 else f"{band_hz:g} Hz"


def _place(change: BandChange) -> str:
    value, low, high = change.after_s, change.low_s, change.high_s
    if value is None or low is None or high is None:
        return "not measured"
    if change.kept == "undecided":
        return "too close to a limit"
    return "longer than promised" if value > high else "deader than promised"
