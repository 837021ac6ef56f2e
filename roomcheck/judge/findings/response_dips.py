"""A bass note that is missing at the seat, and whether moving the seat brings it back."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from statistics import median

import numpy as np

from roomcheck.analyse import Analysis, BoxMode, Dip, Response, box_modes, dips, shape_at, size_of
from roomcheck.facts import Fact, fact
from roomcheck.geometry import Point
from roomcheck.job import Job
from roomcheck.judge.kinds import Certainty, FindingKind, LimitSource, Remedy
from roomcheck.judge.limits.audible import JND_DB, lowest_heard_hz
from roomcheck.judge.results import Finding

DEEP_DB, NARROW_OCTAVES = 10.0, 1 / 3
"""A hole counts from 10 dB on where it is narrower than a third of an octave (common practice)."""

A_NOTE_OCTAVES = 1 / 9
"""What is hardly wider than a semitone, a twelfth, takes no note away (our margin for a grid of 24
an octave)."""

MODEL_NULL_DB, CURED_DB = -6.0, -3.0
"""Re the mean over the room: the standing waves explain the hole below the first and it is cured
above the second."""

STEP_M, FARTHEST_M, OFF_WALL_M = 0.1, 1.2, 0.4
"""How a move of the seat is searched: step by step, so far, and no closer to a wall. [m]"""

DECAY_IF_UNKNOWN_S = 0.5
"""Decay of the standing waves in a room where none was measured. [s]"""


@dataclass(frozen=True, slots=True)
class _Missing:
    """A note that one loudspeaker does not bring to the seat."""

    at_seat: Response
    dip: Dip
    elsewhere_db: float


def nulls(analysis: Analysis, job: Job) -> Iterator[Finding]:
    """Yield holes at the seat that other places do not have, the deepest of each loudspeaker; one
    finding a note."""
    missing = [
        hole
        for at_seat in analysis.responses
        if at_seat.microphone == job.seat and (hole := _missing_at(at_seat, analysis, job))
    ]
    missing.sort(key=lambda hole: -hole.dip.depth_db)
    while missing:
        deepest_hz = missing[0].dip.frequency_hz
        same = [hole for hole in missing if _is_same_note(hole.dip.frequency_hz, deepest_hz)]
        missing = [hole for hole in missing if hole not in same]
        yield _finding(same, analysis, job)


def _missing_at(at_seat: Response, analysis: Analysis, job: Job) -> _Missing | None:
    """The deepest hole of one loudspeaker at the seat that the other places do not have."""
    if analysis.transition_hz is None:
        return None
    others = [
        response
        for response in analysis.responses
        if response.source == at_seat.source and response.microphone != at_seat.microphone
    ]
    if not others:
        return None
    lowest_hz = lowest_heard_hz(job.use)
    here_only = [
        dip
        for dip in holes(at_seat, analysis.transition_hz)
        if dip.frequency_hz >= lowest_hz and _elsewhere_db(dip, others) <= dip.depth_db / 2
    ]
    if not here_only:
        return None
    dip = max(here_only, key=lambda hole: hole.depth_db)
    return _Missing(at_seat, dip, _elsewhere_db(dip, others))


def _is_same_note(frequency_hz: float, other_hz: float) -> bool:
    return abs(math.log2(frequency_hz / other_hz)) <= A_NOTE_OCTAVES / 2


def holes(response: Response, top_hz: float) -> tuple[Dip, ...]:
    """Return deep and narrow dips below a frequency."""
    deep = dips(
        np.array(response.hz),
        np.array(response.level_db),
        least_db=DEEP_DB,
        from_hz=response.clear_from_hz,
        to_hz=min(top_hz, response.clear_to_hz),
    )
    return tuple(dip for dip in deep if A_NOTE_OCTAVES <= dip.width_octaves < NARROW_OCTAVES)


def _elsewhere_db(dip: Dip, others: list[Response]) -> float:
    """How deep the hole is at the median of the other places. [dB]"""
    return median(depth_at(response, dip.frequency_hz) for response in others)


def depth_at(response: Response, frequency_hz: float, around_octaves: float = 1.0) -> float:
    """Return how far a response lies below the median around it, at a frequency (a sixth of an
    octave). [dB]"""
    hz, level = np.array(response.hz), np.array(response.level_db)
    near = np.abs(np.log2(hz / frequency_hz)) <= 1 / 12
    around = np.abs(np.log2(hz / frequency_hz)) <= around_octaves / 2
    return float(np.median(level[around]) - np.mean(level[near])) if near.any() else 0.0


def _finding(same: list[_Missing], analysis: Analysis, job: Job) -> Finding:
    """One note, from one loudspeaker or several; the deepest stands first."""
    seat, dip = same[0].at_seat.microphone, same[0].dip
    move, sure = seat_move(job, analysis, same[0].at_seat.source, dip.frequency_hz)
    holes_at_seat = tuple(
        (
            hole.at_seat.source,
            hole.dip.depth_db,
            hole.dip.frequency_hz,
            hole.dip.width_octaves,
            max(hole.elsewhere_db, 0.0),
        )
        for hole in same
    )
    return Finding(
        measured=fact(
            FindingKind.MISSING_NOTE,
            seat=seat,
            frequency_hz=dip.frequency_hz,
            holes=holes_at_seat,
            limit_db=DEEP_DB,
        ),
        source=fact(LimitSource.COMMON_PRACTICE),
        remedies=(
            move or fact(Remedy.MOVE_SEAT_AND_LISTEN),
            fact(Remedy.MOVE_LOUDSPEAKER),
            fact(Remedy.NO_PANEL_FILLS),
        ),
        beyond_jnd=(dip.depth_db - DEEP_DB) / JND_DB,
        sure=(sure,),
        seats=(seat,),
    )


def seat_move(
    job: Job, analysis: Analysis, source: str, frequency_hz: float
) -> tuple[Fact[Remedy] | None, Fact[Certainty]]:
    """Return which way and how far the seat would have to move, and how that is known; no move
    where the room's standing waves do not explain the hole."""
    size = size_of(job.room)
    points = {p.name: p.point for p in (*job.sources, *job.microphones)}
    if size is None or job.seat is None or source not in points or job.seat not in points:
        return None, fact(Certainty.NO_RECTANGLE)
    c = job.speed_of_sound_m_s(analysis.visit)
    waves = box_modes(size, c, 2 * frequency_hz)
    decay_s = _modes_decay_s(analysis)
    seat = points[job.seat]

    def level_db(point: Point) -> float:
        return _level_db(waves, job, points[source], point, frequency_hz, decay_s)

    energies = [10 ** (level_db(point) / 10) for point in _over_the_room(job, seat.z)]
    mean_db = 10 * math.log10(np.mean(energies))
    if level_db(seat) - mean_db > MODEL_NULL_DB:
        return None, fact(Certainty.NOT_EXPLAINED_BY_SIZE)
    for steps in range(1, round(FARTHEST_M / STEP_M) + 1):
        away_m = steps * STEP_M
        for wall, dx, dy in _directions(job):
            point = Point(seat.x + dx * away_m, seat.y + dy * away_m, seat.z)
            if job.room.holds(point, OFF_WALL_M) and level_db(point) - mean_db >= CURED_DB:
                move = fact(Remedy.MOVE_SEAT_TOWARDS, wall=wall, distance_m=away_m)
                return move, fact(Certainty.MOVE_FORESEEN)
    return None, fact(Certainty.NO_MOVE_NEAR, distance_m=FARTHEST_M)


def _modes_decay_s(analysis: Analysis) -> float:
    if analysis.modes is None or not analysis.modes.found:
        return DECAY_IF_UNKNOWN_S
    return median(mode.decay_s for mode in analysis.modes.found)


def _level_db(
    waves: tuple[BoxMode, ...],
    job: Job,
    source: Point,
    point: Point,
    frequency_hz: float,
    decay_s: float,
) -> float:
    """Steady level of a box's standing waves at a frequency, all of one decay. [dB]"""
    damping = 3 * math.log(10) / decay_s
    omega = 2 * math.pi * frequency_hz
    total = sum(
        2 ** sum(n > 0 for n in wave.order)
        * shape_at(wave, job.room, source)
        * shape_at(wave, job.room, point)
        / complex((2 * math.pi * wave.frequency_hz) ** 2 - omega**2, 2 * damping * omega)
        for wave in waves
    )
    return 20 * math.log10(abs(total) + 1e-30)


def _over_the_room(job: Job, height_m: float) -> list[Point]:
    """An even grid of 8 x 8 points over the plan."""
    xs, ys = [x for x, _ in job.room.corners], [y for _, y in job.room.corners]
    wide_m, deep_m = max(xs) - min(xs), max(ys) - min(ys)
    shares = [(i + 0.5) / 8 for i in range(8)]
    return [
        Point(min(xs) + a * wide_m, min(ys) + b * deep_m, height_m) for a in shares for b in shares
    ]


def _directions(job: Job) -> list[tuple[str, float, float]]:
    """Each wall and the way to it."""
    return [
        (face.name, -face.normal[0], -face.normal[1])
        for face in job.room.faces
        if face.kind == "wall"
    ]
