"""What differed between the visits."""

from __future__ import annotations

from roomcheck.analyse import Analysis
from roomcheck.job import Job, Visit

TEMPERATURE_C = 2.0
HUMIDITY_PCT = 10.0
"""Smaller differences of the air change no decay below 4 kHz by as much as 1 %: nobody need read of them."""

Pair = tuple[str, str]


def pairs_of(analysis: Analysis) -> tuple[Pair, ...]:
    """Source and microphone of every position of a visit."""
    return tuple((position.source, position.microphone) for position in analysis.positions)


def differences(job: Job, before: Analysis, after: Analysis) -> tuple[str, ...]:
    """One sentence for every condition that was not the same both times."""
    first, second = job.visit(before.visit), job.visit(after.visit)
    found = [*_positions(before, after)]
    if first is None or second is None:
        missing = before.visit if first is None else after.visit
        return (*found, f'The job says nothing of the conditions of the visit "{missing}".')
    return (*found, *_air(first, second), *_words(first, second), *_furnishings(job, before.visit, after.visit))


def _positions(before: Analysis, after: Analysis) -> list[str]:
    first, second = pairs_of(before), pairs_of(after)
    lost = [f"{s}-{m}" for s, m in first if (s, m) not in second]
    new = [f"{s}-{m}" for s, m in second if (s, m) not in first]
    found = [f"Measured before only: {', '.join(lost)}."] if lost else []
    return [*found, *([f"Measured after only: {', '.join(new)}."] if new else [])]


def _air(first: Visit, second: Visit) -> list[str]:
    found = []
    if abs(first.temperature_c - second.temperature_c) >= TEMPERATURE_C:
        found.append(f"Temperature: {first.temperature_c:.1f} °C before, {second.temperature_c:.1f} °C after.")
    if abs(first.humidity_pct - second.humidity_pct) >= HUMIDITY_PCT:
        found.append(f"Relative humidity: {first.humidity_pct:.0f} % before, {second.humidity_pct:.0f} % after.")
    return found


def _words(first: Visit, second: Visit) -> list[str]:
    facts = (
        ("People in the room", str(first.people), str(second.people)),
        ("Doors", first.doors, second.doors),
        ("Ventilation", first.hvac, second.hvac),
        ("Gain", first.gain, second.gain),
    )
    return [
        f"{name}: {a or 'not noted'} before, {b or 'not noted'} after."
        for name, a, b in facts
        if a.strip().lower() != b.strip().lower()
    ]


def _furnishings(job: Job, before: str, after: str) -> list[str]:
    found = []
    for thing in job.furnishings:
        there = [visit in thing.visits for visit in (before, after)]
        if there[0] != there[1]:
            found.append(f"Furnishing: {thing.name} was there {'before' if there[0] else 'after'} only.")
    return found
