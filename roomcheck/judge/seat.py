"""A bass note that is missing at the seat, and whether moving the seat brings it back."""

from __future__ import annotations

import math
from collections.abc import Iterator
from statistics import median

import numpy as np

from roomcheck.analyse import Analysis
from roomcheck.analyse.box_modes import BoxMode, box_modes, shape_at, size_of
from roomcheck.analyse.low_frequencies import TEMPERATURE_IF_UNKNOWN_C
from roomcheck.analyse.results import Dip, Response
from roomcheck.analyse.spectrum import dips
from roomcheck.geometry import Point
from roomcheck.job import Job
from roomcheck.judge.lowest import lowest_heard_hz
from roomcheck.judge.results import Finding
from roomcheck.standards import speed_of_sound_m_s
from roomcheck.units import format_length

DEEP_DB, NARROW_OCTAVES, JND_DB = 10.0, 1 / 3, 1.0
"""A hole counts from 10 dB on where it is narrower than a third of an octave (common practice)."""

A_NOTE_OCTAVES = 1 / 9
"""What is hardly wider than a semitone, a twelfth, takes no note away (our margin for a grid of 24 an octave)."""

MODEL_NULL_DB, CURED_DB = -6.0, -3.0
"""Re the mean over the room: the standing waves explain the hole below the first and it is cured above the second."""

STEP_M, FARTHEST_M, OFF_WALL_M = 0.1, 1.2, 0.4


def nulls(analysis: Analysis, job: Job) -> Iterator[Finding]:
    """Holes at the seat that other places do not have, the deepest of each loudspeaker."""
    top = analysis.transition_hz
    for at_seat in analysis.responses:
        if top is None or job.seat is None or at_seat.microphone != job.seat:
            continue
        others = [r for r in analysis.responses if r.source == at_seat.source and r.microphone != at_seat.microphone]
        found = [
            dip
            for dip in holes(at_seat, top)
            if dip.frequency_hz >= lowest_heard_hz(job.use) and others and not _everywhere(dip, others)
        ]
        if found:
            yield _finding(max(found, key=lambda dip: dip.depth_db), at_seat, others, analysis, job)


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


def depth_at(response: Response, frequency_hz: float) -> float:
    """How far a response lies below the median of an octave around, at a frequency (a sixth of an octave). [dB]"""
    hz, level = np.array(response.hz), np.array(response.level_db)
    near = np.abs(np.log2(hz / frequency_hz)) <= 1 / 12
    around = np.abs(np.log2(hz / frequency_hz)) <= 1 / 2
    return float(np.median(level[around]) - np.mean(level[near])) if near.any() else 0.0


def _finding(dip: Dip, at_seat: Response, others: list[Response], analysis: Analysis, job: Job) -> Finding:
    move, why = seat_move(job, analysis, at_seat.source, dip.frequency_hz)
    elsewhere = median(depth_at(r, dip.frequency_hz) for r in others)
    return Finding(
        title=f"A bass note is missing at {at_seat.microphone}",
        sentence=f"At {at_seat.microphone} one bass note, near {dip.frequency_hz:.0f} Hz, is nearly gone; elsewhere it "
        "is there.",
        evidence=f"From {at_seat.source}: {dip.depth_db:.0f} dB below what is around it at {dip.frequency_hz:.0f} Hz, "
        f"{dip.width_octaves:.2f} octaves wide; at the other places {max(elsewhere, 0.0):.0f} dB.",
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
    )


def seat_move(job: Job, analysis: Analysis, source: str, frequency_hz: float) -> tuple[str, str]:
    """Which way and how far the seat would have to move, and how that is known; no move where the room's standing
    waves do not explain the hole."""
    size = size_of(job.room)
    at = {p.name: p.point for p in (*job.sources, *job.microphones)}
    if size is None or job.seat is None or source not in at or job.seat not in at:
        return "", "The plan is no rectangle: where the note comes back is not foreseen."
    visit = job.visit(analysis.visit)
    c = speed_of_sound_m_s(visit.temperature_c if visit else TEMPERATURE_IF_UNKNOWN_C)
    waves = box_modes(size, c, 2 * frequency_hz)
    decay_s = median(m.decay_s for m in analysis.modes.found) if analysis.modes and analysis.modes.found else 0.5
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
                    f"Free: move the seat {how_far} towards the {wall} wall: there the standing waves of this room do "
                    "not cancel that note.",
                    "Foreseen from the room's size with rigid walls; check it with one more take.",
                )
    return "", "The standing waves cancel it all around the seat: move the loudspeaker instead."


def _level_db(
    waves: tuple[BoxMode, ...], job: Job, source: Point, point: Point, frequency_hz: float, decay_s: float
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
    return [(face.name, -face.normal[0], -face.normal[1]) for face in job.room.faces if face.kind == "wall"]
