"""The reflections of a visit: what follows the direct sound at every pair, and which surface sent
it."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from roomcheck.analyse.echoes.images import (
    LOUDER_DB,
    MISSING_S,
    NEAR_S,
    Explained,
    Named,
    PairArrivals,
    explain,
)
from roomcheck.analyse.echoes.peaks import (
    SMEAR_S,
    Arrival,
    Echogram,
    arrivals,
    echogram,
    near_peak_s,
    without_pulse,
)
from roomcheck.analyse.echoes.results import (
    CandidateImage,
    EchoReason,
    Meeting,
    PositionReflections,
    Reflection,
)
from roomcheck.facts import Fact, fact
from roomcheck.geometry import Point, Room, distance_m
from roomcheck.job import Job
from roomcheck.materials import absorption_of
from roomcheck.measure import Measurement
from roomcheck.mirrors import MirrorPath, mirror_paths, seen

Real = NDArray[np.float64]

SHOWN_DB = -20.0
"""Weaker ones are not listed: the strictest practice asks no more of the first 20 ms. [dB re direct
sound]"""

REACH_S = (0.025, 0.06)
"""How far first reflections are followed: to the last that is due, but within these. [s]"""

LATE_S, LATE_DB, LATE_OUT_DB = 0.2, -15.0, 12.0
"""Later, up to 0.2 s, an arrival counts as an echo above -15 dB (common practice) that also stands
12 dB above what arrives around it. [s], [dB]"""

EARLY_S = (0.0007, 0.020)
ALIKE_S = 0.00005
"""Peaks of the loudspeaker's own smear come at the same time everywhere, to this. [s]"""

MOVED_M = 0.06

SOUNDS_ON_S, SOUNDS_ON_DB = 0.0007, 8.0
"""What comes so soon after an arrival so much louder may be the loudspeaker's, whose sound is known
from the direct sound alone: two walls at one moment leave some of it (our own figures, made-up
rooms). [s], [dB]"""


def reflections(
    measurements: Sequence[Measurement], *, job: Job, visit: str
) -> tuple[PositionReflections, ...]:
    """What follows the direct sound, pair by pair.

    Parameters
    ----------
    measurements : sequence of Measurement
        Of several takes of one pair the last one counts.
    job : Job
        For its room, positions, materials and the visit's temperature.
    visit : str

    Returns
    -------
    tuple of PositionReflections
    """
    last = {(m.source, m.microphone): m for m in measurements}
    places = {p.name: p.point for p in (*job.sources, *job.microphones)}
    c = job.speed_of_sound_m_s(visit)
    rows: list[PositionReflections] = []
    looked: list[tuple[int, PairArrivals]] = []
    reach = _reach_s(job, list(last), places, c)
    near = _near_s(last)
    for pair, m in last.items():
        gram, why = _gram(m, job, places, c, near.get(pair))
        row = PositionReflections(
            source=pair[0],
            microphone=pair[1],
            take=m.take,
            reflections=(),
            smear_s=None,
            early_db=None,
            reasons=why,
        )
        if gram is not None:
            looked.append((len(rows), listen(*pair, gram, reach)))
            row = replace(row, smear_s=gram.smear_s, early_db=early_db(gram))
        rows.append(row)
    if looked:
        done = explain(
            job.room, [h for _, h in looked], places, lambda p: loss_db(job, p), c, LATE_S
        )
        for (i, heard), named, due in zip(looked, done.pairs, done.due, strict=True):
            loud = [_reflection(n) for n in named if n.arrival.level_db >= SHOWN_DB]
            ends = places[heard.source], places[heard.microphone]
            shown = _with_perhaps_walls(loud, job.room, *ends, c)
            if any(r.level_db > 0 for r in shown):
                louder = fact(EchoReason.LOUDER_THAN_DIRECT)
                rows[i] = replace(rows[i], reasons=(*rows[i].reasons, louder))
            rows[i] = replace(
                rows[i], reflections=shown, reasons=(*rows[i].reasons, *_doubts(done, heard, *due))
            )
    return tuple(rows)


def listen(source: str, microphone: str, gram: Echogram, reach_s: float) -> PairArrivals:
    """The arrivals of one pair: early ones one by one, later ones where they are echoes."""
    early = replace(gram, wave=gram.wave[: gram.zero + round(reach_s / gram.step_s)])
    found = (*arrivals(early), *late_arrivals(gram, reach_s))
    return PairArrivals(source, microphone, found, without_pulse(gram))


def loss_db(job: Job, path: MirrorPath) -> float:
    """What the faces of a path take off by their materials, 1 to 4 kHz: only to tell the likely
    from the unlikely."""
    total = 0.0
    for face, point in zip(path.faces, path.points, strict=True):
        u, v, _ = face.to_face(point)
        patch = next((p for p in job.patches if p.face == face.name and p.place.holds(u, v)), None)
        material = absorption_of(patch.material if patch else job.material_of(face.name))
        known = [alpha for hz in (1000.0, 2000.0, 4000.0) if (alpha := material.at(hz)) is not None]
        total -= 10 * math.log10(max(1 - (sum(known) / len(known) if known else 0.2), 0.03))
    return total


def early_db(gram: Echogram) -> float:
    """Energy of the first 20 ms after the direct sound, over the direct sound's. [dB]"""
    a, b = (gram.zero + round(t / gram.step_s) for t in EARLY_S)
    lone = float(np.sum(np.abs(gram.pulse) ** 2))
    return float(10 * np.log10(max(float(np.sum(np.abs(gram.wave[a:b]) ** 2)) / lone, 1e-9)))


def late_arrivals(gram: Echogram, after_s: float) -> tuple[Arrival, ...]:
    """Single echoes after the early reflections: loud, and far above what arrives within 15 ms
    around them."""
    size = np.abs(gram.wave)
    power = np.concatenate([[0.0], np.cumsum(size**2)])
    wide, near = round(0.015 / gram.step_s), round(0.001 / gram.step_s)
    first, last = gram.zero + round(after_s / gram.step_s), len(size) - wide
    found: list[Arrival] = []
    limit = 10 ** (LATE_DB / 20)
    for i in (np.flatnonzero(size[first:last] >= limit) + first).tolist():
        if size[i] < size[max(i - near, 0) : i + near + 1].max():
            continue
        around = power[i + wide] - power[i - wide] - (power[i + near] - power[i - near])
        ground = math.sqrt(max(float(around) / (2 * (wide - near)), 1e-12))
        out = 20 * math.log10(float(size[i]) / ground)
        if out >= LATE_OUT_DB:
            found.append(Arrival((i - gram.zero) * gram.step_s, 20 * math.log10(float(size[i]))))
    return tuple(found)


def energy_time(
    m: Measurement, *, job: Job, visit: str, seconds: float, heard: Sequence[Reflection] = ()
) -> tuple[Real, Real] | None:
    """Level over time of one take, 1 to 8 kHz, without the loudspeaker's smear, for a figure.

    Parameters
    ----------
    m : Measurement
    job : Job
    visit : str
    seconds : float
        [s]
    heard : sequence of Reflection
        What `reflections` found in it: an arrival within the first millisecond is none of the
        loudspeaker's smear.

    Returns
    -------
    (times, levels) or None
        (points,) each, from 1 ms before the direct sound. [s], [dB re direct sound]
    """
    places = {p.name: p.point for p in (*job.sources, *job.microphones)}
    near = min((r.delay_s for r in heard if r.delay_s < SMEAR_S), default=None)
    gram, _ = _gram(m, job, places, job.speed_of_sound_m_s(visit), near)
    if gram is None:
        return None
    first, last = gram.zero - round(0.001 / gram.step_s), gram.zero + round(seconds / gram.step_s)
    level = 20 * np.log10(np.maximum(np.abs(gram.wave[first:last]), 1e-6))
    times = np.arange(len(level)) * gram.step_s - 0.001
    return np.asarray(times, dtype=float), np.asarray(level, dtype=float)


def _reach_s(
    job: Job, pairs: Sequence[tuple[str, str]], places: dict[str, Point], c: float
) -> float:
    latest = 0.0
    for s, m in pairs:
        if s in places and m in places:
            far = mirror_paths(job.room, places[s], places[m], 1)
            latest = max(
                latest,
                max((p.length_m for p in far), default=0.0) - distance_m(places[s], places[m]),
            )
    return float(np.clip(latest / c + 0.002, *REACH_S))


def _near_s(last: Mapping[tuple[str, str], Measurement]) -> dict[tuple[str, str], float]:
    """Second peaks within the first millisecond that are no part of the loudspeaker: it would send
    them to all places alike, and a desk does not. Where a loudspeaker was measured at one place
    alone, nobody knows. [s]"""
    found: dict[tuple[str, str], float] = {}
    for source in dict.fromkeys(s for s, _ in last):
        at = {pair: near_peak_s(m.response) for pair, m in last.items() if pair[0] == source}
        peaks = {pair: t for pair, t in at.items() if t is not None}
        own = len(peaks) > 1 and max(peaks.values()) - min(peaks.values()) < ALIKE_S
        if len(at) > 1 and not own:
            found |= peaks
    return found


def _gram(
    m: Measurement, job: Job, places: dict[str, Point], c: float, near_s: float | None = None
) -> tuple[Echogram | None, tuple[Fact[EchoReason], ...]]:
    """The echogram of one take, or why there is none."""
    unknown = [name for name in (m.source, m.microphone) if name not in places]
    if unknown:
        return None, (fact(EchoReason.NO_PLACE, position=unknown[0]),)
    s, r = places[m.source], places[m.microphone]
    if not seen(job.room, s, r):
        return None, (fact(EchoReason.NOT_SEEN, source=m.source, microphone=m.microphone),)
    first = min((p.length_m for p in mirror_paths(job.room, s, r, 1)), default=math.inf)
    due = min((first - distance_m(s, r)) / c, math.inf if near_s is None else near_s)
    gram = echogram(m.response, LATE_S, due if math.isfinite(due) else None)
    if gram is None:
        return None, (fact(EchoReason.NO_DIRECT_SOUND),)
    return gram, ()


def _reflection(named: Named) -> Reflection:
    a = named.arrival
    return Reflection(
        delay_s=a.delay_s,
        level_db=a.level_db,
        stands_out_db=named.stands_out_db,
        causes=tuple(_cause(path, a.delay_s, residual) for path, residual in named.causes),
    )


def _with_perhaps_walls(
    found: Sequence[Reflection], room: Room, source: Point, microphone: Point, c: float
) -> tuple[Reflection, ...]:
    """Mark what no image of first or second order explains by itself and walls may have sent all
    the same."""
    if all(one.causes for one in found):
        return tuple(found)
    direct_m = distance_m(source, microphone)
    lengths_m = np.array([path.length_m for path in mirror_paths(room, source, microphone, 3)])
    due_s, amplitude = (lengths_m - direct_m) / c, direct_m / lengths_m

    def may_be(one: Reflection) -> bool:
        together = float(amplitude[np.abs(due_s - one.delay_s) < NEAR_S].sum())
        walls = together > 0 and one.level_db < 20 * math.log10(together) + LOUDER_DB
        return not one.causes and (walls or any(_still_sounds(one, other) for other in found))

    return tuple(replace(one, perhaps_walls=may_be(one)) for one in found)


def _still_sounds(one: Reflection, other: Reflection) -> bool:
    """Whether one arrival may be what the loudspeaker still sounds of another."""
    after_s = one.delay_s - other.delay_s
    return 0 < after_s < SOUNDS_ON_S and one.level_db < other.level_db - SOUNDS_ON_DB


def _cause(path: MirrorPath, delay_s: float, residual_s: float) -> CandidateImage:
    meetings = []
    for face, point in zip(path.faces, path.points, strict=True):
        u, v, _ = face.to_face(point)
        meetings.append(
            Meeting(face=face.name, u_m=u, v_m=v, x_m=point.x, y_m=point.y, z_m=point.z)
        )
    return CandidateImage(
        meetings=tuple(meetings), due_s=delay_s - residual_s, residual_s=residual_s
    )


def _doubts(
    done: Explained, heard: PairArrivals, due: int, came: int
) -> tuple[Fact[EchoReason], ...]:
    doubts = [
        fact(EchoReason.MOVED, position=name, shift_m=done.shifts_m[name])
        for name in (heard.source, heard.microphone)
        if done.shifts_m[name] > MOVED_M
    ]
    if due >= 3 and came < due / 2:
        doubts.append(fact(EchoReason.FEW_CAME, due=due, came=came))
    if done.misfit_s > MISSING_S:
        doubts.append(fact(EchoReason.PLAN_MISFIT, misfit_s=done.misfit_s))
    return tuple(doubts)
