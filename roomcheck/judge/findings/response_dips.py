"""A bass note that is missing at the seat, and whether moving the seat brings it back."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from statistics import median

import numpy as np

from roomcheck.analyse import (
    TEMPERATURE_IF_UNKNOWN_C,
    Analysis,
    BoxMode,
    Dip,
    Response,
    box_modes,
    dips,
    shape_at,
    size_of,
)
from roomcheck.geometry import Point
from roomcheck.job import Job
from roomcheck.judge.kinds import FindingKind
from roomcheck.judge.limits.lowest import lowest_heard_hz
from roomcheck.judge.results import Finding
from roomcheck.standards import speed_of_sound_m_s
from roomcheck.units import format_length

DEEP_DB, NARROW_OCTAVES, JND_DB = 10.0, 1 / 3, 1.0
"""A hole counts from 10 dB on where it is narrower than a third of an octave (common practice)."""

A_NOTE_OCTAVES = 1 / 9
"""What is hardly wider than a semitone, a twelfth, takes no note away (our margin for a grid of 24
an octave)."""

MODEL_NULL_DB, CURED_DB = -6.0, -3.0
"""Re the mean over the room: the standing waves explain the hole below the first and it is cured
above the second."""

STEP_M, FARTHEST_M, OFF_WALL_M = 0.1, 1.2, 0.4


@dataclass(frozen=True, slots=True)
class _Missing:
    """A note that one loudspeaker does not bring to the seat."""

    at_seat: Response
    dip: Dip
    elsewhere_db: float


def nulls(analysis: Analysis, job: Job) -> Iterator[Finding]:
    """Holes at the seat that other places do not have, the deepest of each loudspeaker; one finding
    a note."""
    top = analysis.transition_hz
    missing: list[_Missing] = []
    for at_seat in analysis.responses:
        if top is None or job.seat is None or at_seat.microphone != job.seat:
            continue
        others = [
            r
            for r in analysis.responses
            if r.source == at_seat.source and r.microphone != at_seat.microphone
        ]
        found = [
            dip
            for dip in holes(at_seat, top)
            if dip.frequency_hz >= lowest_heard_hz(job.use)
            and others
            and not _everywhere(dip, others)
        ]
        if found:
            dip = max(found, key=lambda dip: dip.depth_db)
            missing.append(
                _Missing(at_seat, dip, median(depth_at(r, dip.frequency_hz) for r in others))
            )
    missing.sort(key=lambda one: -one.dip.depth_db)
    while missing:
        deepest = missing[0].dip.frequency_hz
        same = [
            one
            for one in missing
            if abs(math.log2(one.dip.frequency_hz / deepest)) <= A_NOTE_OCTAVES / 2
        ]
        missing = [one for one in missing if one not in same]
        yield _finding(same, analysis, job)


def holes(response: Response, top_hz: float) -> tuple[Dip, ...]:
    """Deep and narrow dips below a frequency."""
    found = dips(
        np.array(response.hz),
        np.array(response.level_db),
        least_db=DEEP_DB,
        from_hz=response.clear_from_hz,
        to_hz=min(top_hz, response.clear_to_hz),
    )
    return tuple(dip for dip in found if A_NOTE_OCTAVES <= dip.width_octaves < NARROW_OCTAVES)


def _everywhere(dip: Dip, others: list[Response]) -> bool:
    return median(depth_at(r, dip.frequency_hz) for r in others) > dip.depth_db / 2


def depth_at(response: Response, frequency_hz: float, around_octaves: float = 1.0) -> float:
    """How far a response lies below the median of what is around, at a frequency (a sixth of an
    octave). [dB]"""
    hz, level = np.array(response.hz), np.array(response.level_db)
    near = np.abs(np.log2(hz / frequency_hz)) <= 1 / 12
    around = np.abs(np.log2(hz / frequency_hz)) <= around_octaves / 2
    return float(np.median(level[around]) - np.mean(level[near])) if near.any() else 0.0


def _finding(same: list[_Missing], analysis: Analysis, job: Job) -> Finding:
    """One note, from one loudspeaker or several; the deepest stands first."""
    seat, dip = same[0].at_seat.microphone, same[0].dip
    move, why = seat_move(job, analysis, same[0].at_seat.source, dip.frequency_hz)
    return Finding(
        kind=FindingKind.MISSING_NOTE,
        title=f"A bass note is missing at {seat}",
        sentence=f"At {seat} one bass note, near {dip.frequency_hz:.0f} Hz, is nearly gone; elsewhere it is there.",
        evidence=" ".join(_evidence(one) for one in same),
        threshold=f"More than {DEEP_DB:.0f} dB, narrower than a third of an octave, not at the other places: common "
        "practice.",
        remedies=(
            move
            or "Free: move the seat a foot at a time, forward first and never to the middle of the room, and "
            "listen to that note.",
            "Free: or move the loudspeaker instead.",
            "No panel brings back a note that the place itself cancels.",
        ),
        beyond_jnd=(dip.depth_db - DEEP_DB) / JND_DB,
        sure=why,
        figure="response",
        seats=(seat,),
    )


def _evidence(one: _Missing) -> str:
    return (
        f"From {one.at_seat.source}: {one.dip.depth_db:.0f} dB below what is around it at "
        f"{one.dip.frequency_hz:.0f} Hz, {one.dip.width_octaves:.2f} octaves wide; at the other "
        f"places {max(one.elsewhere_db, 0.0):.0f} dB."
    )


def seat_move(job: Job, analysis: Analysis, source: str, frequency_hz: float) -> tuple[str, str]:
    """Which way and how far the seat would have to move, and how that is known; no move where the
    room's standing waves do not explain the hole."""
    size = size_of(job.room)
    at = {p.name: p.point for p in (*job.sources, *job.microphones)}
    if size is None or job.seat is None or source not in at or job.seat not in at:
        return "", "The plan is no rectangle: where the note comes back is not foreseen."
    visit = job.visit(analysis.visit)
    c = speed_of_sound_m_s(visit.temperature_c if visit else TEMPERATURE_IF_UNKNOWN_C)
    waves = box_modes(size, c, 2 * frequency_hz)
    decay_s = (
        median(m.decay_s for m in analysis.modes.found)
        if analysis.modes and analysis.modes.found
        else 0.5
    )
    seat = at[job.seat]

    def level_db(point: Point) -> float:
        return _level_db(waves, job, at[source], point, frequency_hz, decay_s)

    mean = 10 * math.log10(np.mean([10 ** (level_db(p) / 10) for p in _over_the_room(job, seat.z)]))
    if level_db(seat) - mean > MODEL_NULL_DB:
        return "", "The room's size alone does not explain the hole, so no move is foreseen."
    for steps in range(1, round(FARTHEST_M / STEP_M) + 1):
        for wall, dx, dy in _directions(job):
            point = Point(seat.x + dx * steps * STEP_M, seat.y + dy * steps * STEP_M, seat.z)
            if job.room.holds(point, OFF_WALL_M) and level_db(point) - mean >= CURED_DB:
                how_far = format_length(steps * STEP_M, job.units)
                return (
                    f"Free: move the seat {how_far} towards the {wall} wall: there the standing "
                    "waves of this room do not cancel that note.",
                    "Foreseen from the room's size with rigid walls; check it with one more take.",
                )
    far = format_length(FARTHEST_M, job.units)
    return "", (
        f"By the room's standing waves with rigid walls, no place up to {far} straight forward, "
        "back or aside is free of it; another place for the loudspeaker may be."
    )


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
    xs, ys = [x for x, _ in job.room.corners], [y for _, y in job.room.corners]
    shares = [(i + 0.5) / 8 for i in range(8)]
    return [
        Point(min(xs) + a * (max(xs) - min(xs)), min(ys) + b * (max(ys) - min(ys)), height_m)
        for a in shares
        for b in shares
    ]


def _directions(job: Job) -> list[tuple[str, float, float]]:
    """Each wall and the way to it."""
    return [
        (face.name, -face.normal[0], -face.normal[1])
        for face in job.room.faces
        if face.kind == "wall"
    ]
