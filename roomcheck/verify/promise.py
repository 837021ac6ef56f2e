"""The promise as signed, held against what was measured."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import hypot
from statistics import fmean
from typing import Any

from roomcheck.analyse import Analysis, PositionDecays
from roomcheck.facts import Estimate, Fact, fact
from roomcheck.job import Job
from roomcheck.judge import JND_DECAY
from roomcheck.quote import Agreement
from roomcheck.verify.air import in_other_air
from roomcheck.verify.causes import causes
from roomcheck.verify.clarity import clarity_changes
from roomcheck.verify.conditions import Pair, differences, pairs_of
from roomcheck.verify.decide import decide, guards, more_pairs, overall
from roomcheck.verify.heard import evenness_changes, mode_changes, speech_changes, surface_changes
from roomcheck.verify.kinds import ChangeNote, Difference, Kept
from roomcheck.verify.people import Crowd, without_crowd
from roomcheck.verify.results import BandChange, MeanChange, Verification
from roomcheck.verify.uncertainty import guard, mean_of

AIR_SHOWS = 0.01
"""Share of the decay from which the effect of other air is taken off and noted. [1]"""

AUDIBLE_ERROR = 0.025
"""On each side of a 95 % interval. [1]"""

Reading = tuple[float, float | None]
"""A decay and its standard deviation at one position. [s]"""

Limits = tuple[float, float] | None


def verify(
    job: Job,
    before: Analysis,
    after: Analysis,
    agreement: Agreement,
    *,
    compare_anyway: bool = False,
) -> Verification:
    """Compare two visits, and hold the promise as signed against the second.

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
    ----------
    ISO 3382-2:2008 for the positions and their standard deviations; guard bands after JCGM
    106:2012, from memory.
    """
    promise = agreement.plan.promise
    signed = {band.band_hz: (band.low_s, band.high_s) for band in promise.bands}
    mid_limits = _limits(promise.mid_low_s, promise.mid_high_s)
    differ = differences(job, before, after)
    crowd = Crowd.of(job, measured=job.visit(after.visit), wanted=job.visit(before.visit))
    visits = _Visits(
        job=job,
        before=before,
        after=without_crowd(after, crowd),
        tests=len(signed) + (mid_limits is not None),
        barred=bool(differ.barring) and not compare_anyway,
        crowd=crowd,
        as_met=after,
    )
    octaves_hz = sorted({band.band_hz for band in (*before.octaves, *after.octaves)} | set(signed))
    bands = tuple(
        BandChange(band_hz=hz, **_change(visits, (hz,), signed.get(hz))) for hz in octaves_hz
    )
    mid_hz = promise.mid_bands_hz
    mid = MeanChange(bands_hz=mid_hz, **_change(visits, mid_hz, mid_limits))
    kept = overall(tuple(change.kept for change in (*bands, mid)))
    measured = len(pairs_of(after))
    return Verification(
        bands=bands,
        mid=mid,
        kept=kept,
        differences=(*_too_few(promise.positions, measured), *differ.all),
        pairs=len(set(pairs_of(before)) & set(pairs_of(after))),
        pairs_after=measured,
        barring=differ.barring,
        compared_anyway=bool(differ.barring) and compare_anyway,
        causes=causes(job, after, agreement.plan) if kept == Kept.NOT_KEPT else (),
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
    """With the first visit's people in the room."""
    tests: int
    """How many values are promised."""
    barred: bool
    """Whether nothing is to be compared."""
    crowd: Crowd
    as_met: Analysis
    """The second visit as it was measured."""


def _too_few(promised: int, measured: int) -> tuple[Fact[Difference], ...]:
    if measured >= promised:
        return ()
    return (fact(Difference.FEWER_THAN_PROMISED, promised=promised, measured=measured),)


def _limits(low_s: float | None, high_s: float | None) -> Limits:
    return None if low_s is None or high_s is None else (low_s, high_s)


def _reading(position: PositionDecays, bands_hz: tuple[float, ...]) -> Reading | None:
    """Mean T20 of one position over some octaves; None where one is missing. [s]"""
    octaves = {octave.band_hz: octave for octave in position.octaves}
    decays = [octaves[hz] for hz in bands_hz if hz in octaves]
    values = [decay.t20_s for decay in decays if decay.t20_s is not None]
    if len(values) < len(bands_hz):
        return None
    sds = [decay.t20_sd_s for decay in decays if decay.t20_sd_s is not None]
    sd_s = None
    if len(sds) == len(bands_hz):
        sd_s = hypot(*sds) / len(bands_hz)
    return sum(values) / len(values), sd_s


def _readings(analysis: Analysis, bands_hz: tuple[float, ...]) -> dict[Pair, Reading]:
    """The mean of a pair's takes where several were made; their scatter is not taken to be chance
    alone. [s]"""
    takes: dict[Pair, list[Reading]] = {}
    for position in analysis.positions:
        reading = _reading(position, bands_hz)
        if reading is not None:
            takes.setdefault((position.source, position.microphone), []).append(reading)
    return {pair: _of_takes(readings) for pair, readings in takes.items()}


def _of_takes(readings: Sequence[Reading]) -> Reading:
    sds = [sd for _, sd in readings if sd is not None]
    return fmean(value for value, _ in readings), max(sds, default=None)


def _mean(readings: Sequence[Reading], decay_s: float | None = None) -> Estimate | None:
    """The mean of decays, or of changes of a decay. [s]"""
    values, sds = [value for value, _ in readings], [sd for _, sd in readings]
    if len(values) < 2 and not any(sds):
        return None
    return mean_of(values, sds, fmean(values) if decay_s is None else decay_s)


def paired(first: dict[Pair, Reading], second: dict[Pair, Reading]) -> Estimate | None:
    """Return after minus before over the pairs that both visits have; None where none has a number
    both times. [s]"""
    common = [pair for pair in first if pair in second]
    if not common:
        return None
    steps: list[Reading] = [
        (second[p][0] - first[p][0], hypot(first[p][1] or 0, second[p][1] or 0)) for p in common
    ]
    return _mean(steps, fmean(second[pair][0] for pair in common))


def _change(visits: _Visits, bands_hz: tuple[float, ...], limits: Limits) -> dict[str, Any]:
    """The fields of a `Change`: of one octave, or of the mean over several."""
    first, second = (_readings(visit, bands_hz) for visit in (visits.before, visits.after))
    was, now = _mean(list(first.values())), _mean(list(second.values()))
    was = _at_least_as_uncertain(was, visits.before, bands_hz)
    now = _at_least_as_uncertain(now, visits.after, bands_hz)
    people_s, people_u_s = _people(visits, bands_hz)
    now = _less_sure(now, people_u_s)
    air_s = _air(visits, bands_hz, now)
    change = _less_sure(_without_air(paired(first, second), air_s), people_u_s)
    kept, why, more = _judge(now, limits, visits.tests)
    if visits.barred and limits is not None:
        kept, why, more = Kept.UNDECIDED, fact(ChangeNote.NOT_COMPARABLE), None
    audible = None
    if change is not None and was is not None and not visits.barred:
        audible = _audible(change, was.value)
    notes = (
        why,
        _missing(was, now),
        _fewer(first, second, change),
        None if air_s is None else fact(ChangeNote.OTHER_AIR, change_s=air_s),
        _people_note(visits.crowd, people_s),
    )
    before_s, _ = _parts(was)
    after_s, after_u_s = _parts(now)
    change_s, change_u_s = _parts(change)
    low_s, high_s = limits or (None, None)
    return {
        "before_s": before_s,
        "after_s": after_s,
        "after_u_s": after_u_s,
        "change_s": change_s,
        "change_u_s": change_u_s,
        "low_s": low_s,
        "high_s": high_s,
        "kept": kept,
        "audible": audible,
        "notes": tuple(note for note in notes if note is not None),
        "more_pairs": more,
        "air_s": air_s,
        "people_s": people_s,
    }


def _parts(estimate: Estimate | None) -> tuple[float | None, float | None]:
    """Value and uncertainty, where there is one. [s]"""
    return (None, None) if estimate is None else (estimate.value, estimate.u)


def _people(visits: _Visits, bands_hz: tuple[float, ...]) -> tuple[float | None, float]:
    """What the other people did to the mean decay, None where nothing was taken off, and its
    standard uncertainty. [s]"""
    met = _mean(list(_readings(visits.as_met, bands_hz).values()))
    alike = _mean(list(_readings(visits.after, bands_hz).values()))
    if visits.crowd.more == 0 or met is None or alike is None or met.value == alike.value:
        return None, 0.0
    each_s = [visits.crowd.u_s(alike.value, hz) for hz in bands_hz]
    return met.value - alike.value, fmean(each_s)


def _at_least_as_uncertain(
    mean: Estimate | None, analysis: Analysis, bands_hz: tuple[float, ...]
) -> Estimate | None:
    """The mean with the analysis's own uncertainty where that is the greater."""
    octave = analysis.octave(bands_hz[0])
    of_octave = octave.t20_u_s if octave else None
    u_s = of_octave if len(bands_hz) == 1 else analysis.mid_u_s
    if mean is None or mean.u is None or u_s is None:
        return mean
    return replace(mean, u=max(mean.u, u_s))


def _less_sure(mean: Estimate | None, u_s: float) -> Estimate | None:
    """The mean with a further uncertainty added. [s]"""
    if mean is None or mean.u is None or u_s == 0:
        return mean
    return replace(mean, u=hypot(mean.u, u_s))


def _air(visits: _Visits, bands_hz: tuple[float, ...], now: Estimate | None) -> float | None:
    """What the other air did to the decay of one octave; None where that does not show. [s]"""
    first, second = visits.job.visit(visits.before.visit), visits.job.visit(visits.after.visit)
    if len(bands_hz) > 1 or now is None or first is None or second is None:
        return None
    if (first.temperature_c, first.humidity_pct) == (second.temperature_c, second.humidity_pct):
        return None
    alike_s = in_other_air(now.value, bands_hz[0], measured=second, wanted=first)
    if alike_s is None or abs(now.value - alike_s) < AIR_SHOWS * now.value:
        return None
    return now.value - alike_s


def _without_air(change: Estimate | None, air_s: float | None) -> Estimate | None:
    if change is None or air_s is None:
        return change
    return replace(change, value=change.value - air_s)


def _people_note(crowd: Crowd, people_s: float | None) -> Fact[ChangeNote] | None:
    if crowd.more == 0:
        return None
    if people_s is None:
        return fact(ChangeNote.OTHER_PEOPLE_UNKNOWN, more=crowd.more)
    return fact(ChangeNote.OTHER_PEOPLE, more=crowd.more, change_s=people_s)


def _audible(change: Estimate, was_s: float) -> bool:
    # Both sides count here: a two-sided 95 % interval.
    sure = abs(change.value) > guard(change, AUDIBLE_ERROR)
    return sure and abs(change.value) > JND_DECAY * was_s


def _judge(
    now: Estimate | None, limits: Limits, tests: int
) -> tuple[Kept, Fact[ChangeNote] | None, int | None]:
    """The verdict, why there is none, and how many more pairs would decide."""
    if limits is None:
        return Kept.NOT_PROMISED, None, None
    if now is None:
        return Kept.UNDECIDED, fact(ChangeNote.NOTHING_AFTER), None
    if now.n < 2:
        return Kept.UNDECIDED, fact(ChangeNote.ONE_PAIR), 1
    kept_guard, broken_guard = guards(now, tests)
    kept = decide(now.value, *limits, guard_kept=kept_guard, guard_broken=broken_guard)
    if kept != Kept.UNDECIDED:
        return kept, None, None
    more = more_pairs(now, *limits, tests)
    return kept, fact(ChangeNote.TOO_CLOSE, pairs=now.n, more_pairs=more), more


def _missing(was: Estimate | None, now: Estimate | None) -> Fact[ChangeNote] | None:
    if was is not None and now is not None:
        return None
    return fact(ChangeNote.NO_DECAY, before=was is not None, after=now is not None)


def _fewer(
    first: dict[Pair, Reading], second: dict[Pair, Reading], change: Estimate | None
) -> Fact[ChangeNote] | None:
    if change is None or first.keys() == second.keys():
        return None
    return fact(ChangeNote.FEWER_PAIRS, pairs=change.n)
