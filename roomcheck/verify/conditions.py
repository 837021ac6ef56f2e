"""What differed between the visits, and whether that bars comparing them."""

from __future__ import annotations

from dataclasses import dataclass

from roomcheck.analyse import Analysis
from roomcheck.facts import Fact, fact
from roomcheck.geometry import Point, distance_m
from roomcheck.job import Job, Visit, same_note
from roomcheck.verify.kinds import Difference
from roomcheck.verify.people import MID_HZ, Crowd

TEMPERATURE_C = 2.0
HUMIDITY_PCT = 10.0
"""Smaller differences of the air change no decay below 4 kHz by as much as 1 %: nobody need read of
them."""

MOVED_M, MOVED_BAR_M = 0.05, 0.3
"""A place counts as moved from the first on, and bars the comparison from the second (a
judgement). [m]"""

PEOPLE_BAR = 0.15
"""Share of the mid-band decay beyond which people are too much to take off: how they stand or sit,
and where, then matters more than their number (a judgement). [1]"""

Pair = tuple[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Differences:
    """What was not the same both times."""

    all: tuple[Fact[Difference], ...]
    barring: tuple[Fact[Difference], ...]
    """Those that change the decay by an amount nobody can take off again."""


def pairs_of(analysis: Analysis) -> tuple[Pair, ...]:
    """Return source and microphone of every position of a visit."""
    return tuple((position.source, position.microphone) for position in analysis.positions)


def differences(job: Job, before: Analysis, after: Analysis) -> Differences:
    """Return every condition that was not the same both times."""
    pairs = _pairs(before, after)
    apart = (
        [] if set(pairs_of(before)) & set(pairs_of(after)) else [fact(Difference.NO_COMMON_PAIR)]
    )
    first, second = job.visit(before.visit), job.visit(after.visit)
    if first is None or second is None:
        missing = before.visit if first is None else after.visit
        unknown = fact(Difference.CONDITIONS_UNKNOWN, visit=missing)
        return Differences(all=(*pairs, *apart, unknown), barring=(*apart, unknown))
    moved = _moved(before, after)
    far = [difference for difference in moved if difference["distance_m"] >= MOVED_BAR_M]
    noted = [
        *_air(first, second),
        *_typed(Difference.VENTILATION, first.hvac, second.hvac),
        *_typed(Difference.GAIN, first.gain, second.gain),
        # Another loudspeaker or microphone moves early decay, clarity and levels, hardly T20.
        *_typed(Difference.EQUIPMENT, first.equipment, second.equipment),
        *_signals(before, after),
        *_typed(Difference.SETTINGS, first.settings, second.settings),
    ]
    people, doors = _people(first, second), _typed(Difference.DOORS, first.doors, second.doors)
    furnishings = _furnishings(job, before.visit, after.visit)
    barring = [*apart, *far, *furnishings]
    if _crowd_share(job, after, first, second) > PEOPLE_BAR:
        barring += people
    if first.doors and second.doors:
        barring += doors
    everything = (*pairs, *moved, *apart, *noted, *people, *doors, *furnishings)
    return Differences(all=everything, barring=tuple(barring))


def _crowd_share(job: Job, after: Analysis, first: Visit, second: Visit) -> float:
    """What the other people make of the decay, the most of the octaves 500 Hz and 1 kHz. [1]"""
    crowd = Crowd.of(job, measured=second, wanted=first)
    octaves = [octave for octave in after.octaves if octave.band_hz in MID_HZ]
    shares = [crowd.share(o.t20_s, o.band_hz) for o in octaves if o.t20_s is not None]
    return max(shares, default=0.0)


def _pairs(before: Analysis, after: Analysis) -> list[Fact[Difference]]:
    """Pairs that one visit alone has."""
    first, second = pairs_of(before), pairs_of(after)
    lost = tuple(pair for pair in first if pair not in second)
    new = tuple(pair for pair in second if pair not in first)
    only = ((Difference.ONLY_BEFORE, lost), (Difference.ONLY_AFTER, new))
    return [fact(kind, pairs=pairs) for kind, pairs in only if pairs]


def _moved(before: Analysis, after: Analysis) -> list[Fact[Difference]]:
    """Sources and microphones that stood elsewhere, by what the job said when each take came in."""
    first, second = _stood(before), _stood(after)
    both = [name for name in first if name in second]
    away = [(name, distance_m(first[name], second[name])) for name in both]
    return [
        fact(Difference.MOVED, position=name, distance_m=away_m)
        for name, away_m in away
        if away_m >= MOVED_M
    ]


def _stood(analysis: Analysis) -> dict[str, Point]:
    known = [p for p in analysis.positions if p.stood_m is not None]
    return {
        name: point
        for p in known
        for name, point in zip((p.source, p.microphone), p.stood_m or (), strict=True)
    }


def _air(first: Visit, second: Visit) -> list[Fact[Difference]]:
    noted = []
    warm = (first.temperature_c, second.temperature_c)
    if abs(warm[0] - warm[1]) >= TEMPERATURE_C:
        noted.append(fact(Difference.TEMPERATURE, before_c=warm[0], after_c=warm[1]))
    damp = (first.humidity_pct, second.humidity_pct)
    if abs(damp[0] - damp[1]) >= HUMIDITY_PCT:
        noted.append(fact(Difference.HUMIDITY, before_pct=damp[0], after_pct=damp[1]))
    return noted


def _people(first: Visit, second: Visit) -> list[Fact[Difference]]:
    if first.people == second.people:
        return []
    return [fact(Difference.PEOPLE, before=first.people, after=second.people)]


def _typed(kind: Difference, first: str, second: str) -> list[Fact[Difference]]:
    """What somebody typed about a visit, where it is not the same both times."""
    if same_note(first, second):
        return []
    return [fact(kind, before=first, after=second)]


def _signals(before: Analysis, after: Analysis) -> list[Fact[Difference]]:
    """What was played, where it is not the same both times; each signal as its kind and values."""
    first, second = (
        tuple((signal.kind, signal.values) for signal in visit.signals) for visit in (before, after)
    )
    return [] if first == second else [fact(Difference.SIGNAL, before=first, after=second)]


def _furnishings(job: Job, before: str, after: str) -> list[Fact[Difference]]:
    changed = []
    for thing in job.furnishings:
        there_before, there_after = before in thing.visits, after in thing.visits
        if there_before != there_after:
            changed.append(fact(Difference.FURNISHING, name=thing.name, before=there_before))
    return changed
