"""By how much, at least, one place would have to be elsewhere for the reflections that are due to
come."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from roomcheck.analyse.echoes.peaks import APART_S, SMEAR_S
from roomcheck.analyse.echoes.reflections import loss_db as loss_of_job_db
from roomcheck.analyse.echoes.results import EchoReason, PositionReflections
from roomcheck.analyse.places.evidence import (
    DUE_DB,
    LEVEL_SD_DB,
    Arrived,
    Images,
    Loss,
    arrived,
    images,
)
from roomcheck.facts import fact
from roomcheck.geometry import Point, Room
from roomcheck.job import Job
from roomcheck.measure import Measurement

Real = NDArray[np.float64]

DOUBTED = (EchoReason.FEW_CAME, EchoReason.PLAN_MISFIT)

FAR_M, HEIGHTS_M, STEP_M = 3.0, (0.3, 2.4), 0.1
"""A place is looked for so far around where it was typed, at these heights, in such steps. [m]"""

ON_TIME_S = 0.00015
"""An arrival comes when it is due, half a step of the search to each side. [s]"""

MOST_COME = 2 / 3
"""So many of the reflections of first order that would be due at the other spot must come there,
and at least three. [1]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """The nearest spot at which most first reflections that are due come when they are due."""

    position: str
    spot: Point
    """[m]."""
    away_m: float
    """From where it was typed [m]."""
    came: int
    due: int


def with_moves(
    rows: Sequence[PositionReflections], measurements: Sequence[Measurement], job: Job, visit: str
) -> tuple[PositionReflections, ...]:
    """Add to every pair whose places are doubted where one of them would have to be."""
    by_take = {(m.source, m.microphone): m for m in measurements}
    return tuple(
        _with_move(row, by_take[row.source, row.microphone], job, visit)
        if any(reason.kind in DOUBTED for reason in row.reasons)
        else row
        for row in rows
    )


def _with_move(
    row: PositionReflections, measurement: Measurement, job: Job, visit: str
) -> PositionReflections:
    heard = arrived(measurement.response)
    ends = {position.name: position.point for position in (*job.sources, *job.microphones)}
    move = None
    if heard is not None:
        move = least_move(
            heard,
            (row.source, ends[row.source]),
            (row.microphone, ends[row.microphone]),
            room=job.room,
            loss_db=lambda path: loss_of_job_db(job, path),
            speed_m_s=job.speed_of_sound_m_s(visit),
        )
    if move is None:
        return row
    would = fact(
        EchoReason.WOULD_FIT,
        position=move.position,
        away_m=move.away_m,
        x_m=move.spot.x,
        y_m=move.spot.y,
        z_m=move.spot.z,
        came=move.came,
        due=move.due,
    )
    return replace(row, reasons=(*row.reasons, would))


def least_move(
    heard: Arrived,
    source: tuple[str, Point],
    microphone: tuple[str, Point],
    *,
    room: Room,
    loss_db: Loss,
    speed_m_s: float,
) -> Move | None:
    """The smaller of the moves of either end, the other one staying where it was typed.

    Parameters
    ----------
    heard : Arrived
    source, microphone : (name, place)
        As typed. [m]
    room : Room
    loss_db : callable
        What a path should lose on its faces. [dB]
    speed_m_s : float
        Of sound. [m/s]
    """
    moves = []
    for (_, stays), (name, moved) in ((source, microphone), (microphone, source)):
        # Source and microphone may be exchanged: the delays stay.
        seen = images(room, stays, moved, loss_db, speed_m_s)
        found = _nearest(heard, seen, room, speed_m_s)
        if found is not None:
            spot, came, due = found
            away_m = float(np.linalg.norm(spot - seen.microphone_m))
            point = Point(*spot.tolist())
            moves.append(Move(position=name, spot=point, away_m=away_m, came=came, due=due))
    return min(moves, key=lambda move: move.away_m, default=None)


def _nearest(
    heard: Arrived, seen: Images, room: Room, speed_m_s: float
) -> tuple[Real, int, int] | None:
    """The nearest spot at which most that are due come, how many come and how many are due."""
    first = replace(
        seen, images_m=seen.images_m[seen.order == 1], loss_db=seen.loss_db[seen.order == 1]
    )
    spots = _around(seen.microphone_m, room)
    for part in np.array_split(spots, max(len(spots) // 2000, 1)):
        delays, levels = first.seen_from(part - seen.microphone_m, speed_m_s)
        due = (levels > DUE_DB) & (delays > SMEAR_S + 2 * APART_S)
        off_s = np.abs(heard.delay_s[None, :, None] - delays[:, None, :])
        off_db = np.abs(heard.level_db[None, :, None] - levels[:, None, :])
        comes = due & ((off_s < ON_TIME_S) & (off_db < 2 * LEVEL_SD_DB)).any(axis=1)
        count, wanted = comes.sum(axis=1), due.sum(axis=1)
        enough = np.flatnonzero((count >= 3) & (count >= MOST_COME * wanted))
        if enough.size:
            k = int(enough[0])
            return part[k], int(count[k]), int(wanted[k])
    return None


def _around(typed_m: Real, room: Room) -> Real:
    """Spots inside the room around a place, the nearest first: (spots, 3) [m]"""
    steps = np.arange(-FAR_M, FAR_M + STEP_M / 2, STEP_M)
    heights = np.arange(*HEIGHTS_M, STEP_M)
    plan = np.stack(np.meshgrid(steps, steps), axis=-1).reshape(-1, 2) + typed_m[:2]
    inside = room.holds_over(*plan.T) & (0 < typed_m[2] < room.height_m)
    plan = plan[inside]
    low = np.repeat(plan, len(heights), axis=0)
    spots = np.column_stack([low, np.tile(heights, len(plan))])
    order = np.argsort(np.linalg.norm(spots - typed_m, axis=1))
    return np.asarray(spots[order], dtype=float)
