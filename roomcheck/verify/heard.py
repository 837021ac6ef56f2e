"""What else changed between two visits: reflections by surface, standing waves, speech, evenness of
the response, faults that the first visit did not find."""

from __future__ import annotations

from dataclasses import dataclass
from statistics import fmean, pstdev

from roomcheck.analyse import Analysis, PositionReflections, Response, RoomMode
from roomcheck.judge import Finding, FindingKind, Outcome, Verdict
from roomcheck.verify.kinds import Appeared
from roomcheck.verify.results import EvennessChange, ModeChange, SpeechChange, SurfaceChange

EARLY_S = 0.02
"""Reflections later than this belong to the decay. [s]"""

SAME_MODE = 0.03
"""Standing waves whose frequencies differ by less are the same one: a room warmer by 10 degrees
shifts them by 2 %."""

EVEN_FROM_HZ, EVEN_TO_HZ = 100.0, 4000.0

LOW_MIDDLE_HZ, TREBLE_HZ, BASS_HZ = 250.0, 4000.0, 125.0
"""What "dull" and "boomy" are judged by. [Hz]"""


def surface_changes(before: Analysis, after: Analysis) -> tuple[SurfaceChange, ...]:
    """The loudest first-order reflection of each surface at each pair of positions that both visits
    have."""
    first = {(p.source, p.microphone): p for p in before.reflections}
    second = {(p.source, p.microphone): p for p in after.reflections}
    changes = []
    for source, microphone in sorted(set(first) & set(second)):
        was = _loudest(first[source, microphone])
        now = _loudest(second[source, microphone])
        for face in sorted(set(was) | set(now)):
            delay_s, _ = was.get(face) or now[face]
            _, before_db = was.get(face, _NOTHING)
            _, after_db = now.get(face, _NOTHING)
            change = SurfaceChange(
                source=source,
                microphone=microphone,
                face=face,
                delay_s=delay_s,
                before_db=before_db,
                after_db=after_db,
            )
            changes.append(change)
    return tuple(sorted(changes, key=lambda c: -max(c.before_db or -99.0, c.after_db or -99.0)))


_NOTHING = (None, None)


def _loudest(seen: PositionReflections) -> dict[str, tuple[float, float]]:
    """Delay and level of the loudest reflection that only one surface explains, by that surface.
    [s], [dB]"""
    by_face: dict[str, tuple[float, float]] = {}
    for reflection in seen.reflections:
        causes = reflection.causes
        if reflection.delay_s > EARLY_S or len(causes) != 1 or causes[0].order != 1:
            continue
        face = causes[0].faces[0]
        if face not in by_face or reflection.level_db > by_face[face][1]:
            by_face[face] = (reflection.delay_s, reflection.level_db)
    return by_face


def mode_changes(before: Analysis, after: Analysis) -> tuple[ModeChange, ...]:
    """Standing waves that both visits found, by rising frequency."""
    if before.modes is None or after.modes is None:
        return ()
    later = list(after.modes.found)
    changes = []
    for mode in before.modes.found:
        nearest = sorted(later, key=lambda other: abs(other.frequency_hz - mode.frequency_hz))[:1]
        for match in nearest:
            if abs(match.frequency_hz / mode.frequency_hz - 1) < SAME_MODE:
                later.remove(match)
                changes.append(_mode(mode, match))
    return tuple(changes)


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
    first, second = _indices(before), _indices(after)
    return tuple(
        SpeechChange(source=pair[0], microphone=pair[1], before=first[pair], after=second[pair])
        for pair in sorted(set(first) & set(second))
    )


def _indices(analysis: Analysis) -> dict[tuple[str, str], float]:
    """Speech transmission index of each pair that has one. [1]"""
    indices = {}
    for position in analysis.positions:
        if position.speech is not None and position.speech.sti is not None:
            indices[position.source, position.microphone] = position.speech.sti
    return indices


def evenness_changes(before: Analysis, after: Analysis) -> tuple[EvennessChange, ...]:
    """How uneven the response is at every pair that was measured both times."""
    first = {(r.source, r.microphone): r for r in before.responses}
    second = {(r.source, r.microphone): r for r in after.responses}
    changes = []
    for pair in sorted(set(first) & set(second)):
        low_hz, high_hz = _shared(first[pair], second[pair])
        was_db = _unevenness_db(first[pair], low_hz, high_hz)
        now_db = _unevenness_db(second[pair], low_hz, high_hz)
        if was_db is not None and now_db is not None:
            change = EvennessChange(
                source=pair[0],
                microphone=pair[1],
                from_hz=low_hz,
                to_hz=high_hz,
                before_db=was_db,
                after_db=now_db,
            )
            changes.append(change)
    return tuple(changes)


def _shared(first: Response, second: Response) -> tuple[float, float]:
    """Where both stand clear of their noise, within the range that matters for voices and music.
    [Hz]"""
    low = max(EVEN_FROM_HZ, first.clear_from_hz, second.clear_from_hz)
    return low, min(EVEN_TO_HZ, first.clear_to_hz, second.clear_to_hz)


def _unevenness_db(response: Response, low_hz: float, high_hz: float) -> float | None:
    """Standard deviation of the response, its trend of an octave taken off. [dB]"""
    spectrum = zip(response.hz, response.level_db, strict=True)
    levels = [level_db for hz, level_db in spectrum if low_hz <= hz <= high_hz]
    if len(levels) < 24:
        return None
    return pstdev(db - fmean(levels[max(i - 12, 0) : i + 13]) for i, db in enumerate(levels))


@dataclass(frozen=True, slots=True, kw_only=True)
class Appearance:
    """A fault of the second visit that is not among those of the first."""

    finding: Finding
    how: Appeared


def appearances(before: Verdict, after: Verdict) -> tuple[Appearance, ...]:
    """Name every fault of the second visit that the first did not find.

    Two are the same where their kind and the surfaces that do it are.
    """
    known = {(finding.kind, frozenset(finding.faces)) for finding in before.findings}
    hidden_hz = _not_judged(before)
    found = []
    for finding in after.findings:
        if (finding.kind, frozenset(finding.faces)) in known:
            continue
        how = Appeared.UNSEEN if hidden_hz & _shown_by(finding) else Appeared.NEW
        found.append(Appearance(finding=finding, how=how))
    return tuple(found)


def _not_judged(verdict: Verdict) -> set[float]:
    """Octaves in which nothing could be judged. [Hz]"""
    unjudged = (Outcome.MODAL, Outcome.NOT_MEASURED)
    return {band.band_hz for band in verdict.bands if band.outcome in unjudged}


def _shown_by(finding: Finding) -> set[float]:
    """Octaves that a fault of the decay's balance is seen in; none for other faults. [Hz]"""
    if finding.kind is FindingKind.DULL:
        return {LOW_MIDDLE_HZ, TREBLE_HZ}
    if finding.kind is FindingKind.BOOMY:
        return {BASS_HZ}
    if finding.kind is FindingKind.UNEVEN:
        return {band_hz for band_hz, _ in finding.measured["octaves"]}
    return set()
