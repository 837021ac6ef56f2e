"""What differed between the visits, and whether that bars comparing them."""

from __future__ import annotations

from dataclasses import dataclass

from roomcheck.analyse import Analysis
from roomcheck.geometry import Point, distance_m
from roomcheck.job import Job, Visit, tape
from roomcheck.verify.people import MID_HZ, Crowd

TEMPERATURE_C = 2.0
HUMIDITY_PCT = 10.0
"""Smaller differences of the air change no decay below 4 kHz by as much as 1 %: nobody need read of
them."""

MOVED_TOLD_M, MOVED_BAR_M = 0.05, 0.3
"""A place is told to have moved from the first on, and bars the comparison from the second (a
judgement). [m]"""

PEOPLE_BAR = 0.15
"""Share of the mid-band decay beyond which people are too much to take off: how they stand or sit,
and where, then matters more than their number (a judgement). [1]"""

Pair = tuple[str, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Differences:
    """What was not the same both times.

    Attributes
    ----------
    told : tuple of str
        One sentence each, the barring ones among them.
    barring : tuple of str
        Those that change the decay by an amount nobody can take off again.
    """

    told: tuple[str, ...]
    barring: tuple[str, ...]


def pairs_of(analysis: Analysis) -> tuple[Pair, ...]:
    """Source and microphone of every position of a visit."""
    return tuple((position.source, position.microphone) for position in analysis.positions)


def differences(job: Job, before: Analysis, after: Analysis) -> Differences:
    """Every condition that was not the same both times."""
    places = _positions(before, after)
    told_moved, far_moved = _moved(job, before, after)
    apart = (
        ()
        if set(pairs_of(before)) & set(pairs_of(after))
        else ("No pair of positions was measured both times.",)
    )
    first, second = job.visit(before.visit), job.visit(after.visit)
    if first is None or second is None:
        missing = before.visit if first is None else after.visit
        unknown = f'The job says nothing of the conditions of the visit "{missing}".'
        return Differences(told=(*places, *apart, unknown), barring=(*apart, unknown))
    noted = [
        *_air(job, first, second),
        *_word("Ventilation", first.hvac, second.hvac),
        *_word("Gain", first.gain, second.gain),
        *_equipment(first, second),
        *_word(
            "Test signal", "; ".join(map(str, before.signals)), "; ".join(map(str, after.signals))
        ),
        *_word("Settings", first.settings, second.settings),
    ]
    people, doors = _people(first, second), _word("Doors", first.doors, second.doors)
    moved = _furnishings(job, before.visit, after.visit)
    barring = [*apart, *far_moved, *moved]
    barring += people if _crowd_share(job, after, first, second) > PEOPLE_BAR else []
    barring += doors if first.doors.strip() and second.doors.strip() else []
    return Differences(
        told=(*places, *told_moved, *apart, *noted, *people, *doors, *moved), barring=tuple(barring)
    )


def _crowd_share(job: Job, after: Analysis, first: Visit, second: Visit) -> float:
    """What the other people make of the decay, the most of the octaves 500 Hz and 1 kHz. [1]"""
    crowd = Crowd.of(job, measured=second, wanted=first)
    measured = [(hz, band.t20_s) for hz in MID_HZ if (band := after.octave(hz)) is not None]
    return max((crowd.share(t_s, hz) for hz, t_s in measured if t_s is not None), default=0.0)


def _positions(before: Analysis, after: Analysis) -> tuple[str, ...]:
    first, second = pairs_of(before), pairs_of(after)
    lost = [f"{s}-{m}" for s, m in first if (s, m) not in second]
    new = [f"{s}-{m}" for s, m in second if (s, m) not in first]
    told = (("before", lost), ("after", new))
    return tuple(f"Measured {when} only: {', '.join(names)}." for when, names in told if names)


def _moved(job: Job, before: Analysis, after: Analysis) -> tuple[list[str], list[str]]:
    """Sources and microphones that stood elsewhere, by what the job said when each take came in;
    and those too far."""
    first, second = _stood(before), _stood(after)
    told, barring = [], []
    for name in (name for name in first if name in second):
        away_m = distance_m(first[name], second[name])
        if away_m >= MOVED_TOLD_M:
            text = f"Position: {name} stood {tape(away_m, job.units)} from where it stood before."
            told.append(text)
            barring += [text] if away_m >= MOVED_BAR_M else []
    return told, barring


def _stood(analysis: Analysis) -> dict[str, Point]:
    known = [p for p in analysis.positions if p.stood_m is not None]
    return {
        name: point
        for p in known
        for name, point in zip((p.source, p.microphone), p.stood_m or (), strict=True)
    }


def _air(job: Job, first: Visit, second: Visit) -> list[str]:
    found = []
    if abs(first.temperature_c - second.temperature_c) >= TEMPERATURE_C:
        found.append(f"Temperature: {_warm(job, first)} before, {_warm(job, second)} after.")
    if abs(first.humidity_pct - second.humidity_pct) >= HUMIDITY_PCT:
        found.append(
            f"Relative humidity: {first.humidity_pct:.0f} % before, {second.humidity_pct:.0f} % "
            "after."
        )
    return found


def _warm(job: Job, visit: Visit) -> str:
    c = visit.temperature_c
    return f"{c * 9 / 5 + 32:.0f} °F" if job.units == "imperial" else f"{c:.1f} °C"


def _people(first: Visit, second: Visit) -> list[str]:
    return _word("People in the room", str(first.people), str(second.people))


def _equipment(first: Visit, second: Visit) -> list[str]:
    """Told, not barring: another loudspeaker or microphone moves early decay, clarity and levels,
    hardly T20."""
    told = _word("Equipment", first.equipment, second.equipment)
    return [
        f"{text} Early decay, clarity and levels may differ by that alone; T20 hardly does."
        for text in told
    ]


def _word(name: str, first: str, second: str) -> list[str]:
    if first.strip().lower() == second.strip().lower():
        return []
    return [f"{name}: {first or 'not noted'} before, {second or 'not noted'} after."]


def _furnishings(job: Job, before: str, after: str) -> list[str]:
    found = []
    for thing in job.furnishings:
        there = [visit in thing.visits for visit in (before, after)]
        if there[0] != there[1]:
            found.append(
                f"Furnishing: {thing.name} was there {'before' if there[0] else 'after'} only."
            )
    return found
