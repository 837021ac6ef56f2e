"""What else changed between two visits: reflections by surface, standing waves, speech, evenness of
the response."""

from __future__ import annotations

from statistics import fmean, pstdev

from roomcheck.analyse import Analysis, PositionReflections, Response, RoomMode
from roomcheck.verify.results import EvennessChange, ModeChange, SpeechChange, SurfaceChange

EARLY_S = 0.02
"""Reflections later than this belong to the decay. [s]"""

SAME_MODE = 0.03
"""Standing waves whose frequencies differ by less are the same one: a room warmer by 10 degrees
shifts them by 2 %."""

EVEN_FROM_HZ, EVEN_TO_HZ = 100.0, 4000.0


def surface_changes(before: Analysis, after: Analysis) -> tuple[SurfaceChange, ...]:
    """The loudest first-order reflection of each surface at each pair of positions that both visits
    have."""
    first, second = _pairs(before), _pairs(after)
    found = []
    for pair in sorted(set(first) & set(second)):
        was, now = _loudest(first[pair]), _loudest(second[pair])
        for face in sorted(set(was) | set(now)):
            delay = (was.get(face) or now[face])[0]
            found.append(
                SurfaceChange(
                    source=pair[0],
                    microphone=pair[1],
                    face=face,
                    delay_s=delay,
                    before_db=was[face][1] if face in was else None,
                    after_db=now[face][1] if face in now else None,
                )
            )
    return tuple(sorted(found, key=lambda c: -max(c.before_db or -99.0, c.after_db or -99.0)))


def _pairs(analysis: Analysis) -> dict[tuple[str, str], PositionReflections]:
    return {(p.source, p.microphone): p for p in analysis.reflections}


def _loudest(seen: PositionReflections) -> dict[str, tuple[float, float]]:
    """Delay and level of the loudest reflection that only one surface explains, by that surface."""
    found: dict[str, tuple[float, float]] = {}
    for reflection in seen.reflections:
        if (
            reflection.delay_s > EARLY_S
            or len(reflection.causes) != 1
            or reflection.causes[0].order != 1
        ):
            continue
        face = reflection.causes[0].faces[0]
        if face not in found or reflection.level_db > found[face][1]:
            found[face] = (reflection.delay_s, reflection.level_db)
    return found


def mode_changes(before: Analysis, after: Analysis) -> tuple[ModeChange, ...]:
    """Standing waves that both visits found, by rising frequency."""
    later = list(after.modes.found) if after.modes else []
    found = []
    for mode in before.modes.found if before.modes else ():
        match = min(
            later, key=lambda other: abs(other.frequency_hz - mode.frequency_hz), default=None
        )
        if match is not None and abs(match.frequency_hz / mode.frequency_hz - 1) < SAME_MODE:
            later.remove(match)
            found.append(_mode(mode, match))
    return tuple(found)


def _mode(was: RoomMode, now: RoomMode) -> ModeChange:
    change = now.decay_s - was.decay_s
    u = (was.decay_u_s**2 + now.decay_u_s**2) ** 0.5
    return ModeChange(
        frequency_hz=was.frequency_hz,
        box=was.box,
        before_s=was.decay_s,
        after_s=now.decay_s,
        change_s=change,
        change_u_s=u,
        sure=abs(change) > 2 * u,
    )


def speech_changes(before: Analysis, after: Analysis) -> tuple[SpeechChange, ...]:
    """Speech transmission index at every pair that has one both times."""
    first, second = (
        {
            (p.source, p.microphone): p.speech.sti
            for p in visit.positions
            if p.speech and p.speech.sti is not None
        }
        for visit in (before, after)
    )
    return tuple(
        SpeechChange(source=pair[0], microphone=pair[1], before=first[pair], after=second[pair])
        for pair in sorted(set(first) & set(second))
    )


def evenness_changes(before: Analysis, after: Analysis) -> tuple[EvennessChange, ...]:
    """How uneven the response is at every pair that was measured both times."""
    first, second = (
        {(r.source, r.microphone): r for r in visit.responses} for visit in (before, after)
    )
    found = []
    for pair in sorted(set(first) & set(second)):
        low, high = _shared(first[pair], second[pair])
        was, now = (_unevenness_db(r, low, high) for r in (first[pair], second[pair]))
        if was is not None and now is not None:
            found.append(
                EvennessChange(
                    source=pair[0],
                    microphone=pair[1],
                    from_hz=low,
                    to_hz=high,
                    before_db=was,
                    after_db=now,
                )
            )
    return tuple(found)


def _shared(first: Response, second: Response) -> tuple[float, float]:
    """Where both stand clear of their noise, within the range that matters for voices and music.
    [Hz]"""
    low = max(EVEN_FROM_HZ, first.clear_from_hz, second.clear_from_hz)
    return low, min(EVEN_TO_HZ, first.clear_to_hz, second.clear_to_hz)


def _unevenness_db(response: Response, low_hz: float, high_hz: float) -> float | None:
    """Standard deviation of the response, its trend of an octave taken off. [dB]"""
    points = [
        (hz, db)
        for hz, db in zip(response.hz, response.level_db, strict=True)
        if low_hz <= hz <= high_hz
    ]
    if len(points) < 24:
        return None
    levels = [db for _, db in points]
    return pstdev(db - fmean(levels[max(i - 12, 0) : i + 13]) for i, db in enumerate(levels))
