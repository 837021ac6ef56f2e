"""Rooms with nothing but walls: how often is something in the room accused that is not there, and
how often is one found that is?

    python benchmarks/bare_rooms.py [ROOMS]

Rooms are those of `reflections.py`; the findings are those of a control room and of a voice booth,
the strictest uses. Relief: weak arrivals at random moments, as walls that scatter give them.
"""

from __future__ import annotations

import csv
import dataclasses
import math
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

import reflections
from ranges import random_job
from roomcheck import ImpulseResponse, load_impulse_response
from roomcheck.analyse import Analysis, PositionReflections
from roomcheck.analyse.echoes.reflections import reflections as reflections_of
from roomcheck.geometry import Point, Room
from roomcheck.job import Job, Position
from roomcheck.judge import FindingKind
from roomcheck.judge.findings.early import early_reflections
from roomcheck.measure import Measurement, TakeCheck
from roomcheck.standards import target_for

USES = ("control room", "voice booth")
HARD = "gypsum board on studs"
THINGS = (FindingKind.EARLY_OBJECT, FindingKind.HOLLOW)

GRAINS, GRAIN_DB = 60, -24.0
"""Weak arrivals of walls in relief, and their level at the root of the mean square. [1], [dB re
direct sound]"""

Real = NDArray[np.float64]


@dataclass(frozen=True)
class Accused:
    """What is said of arrivals that no wall explains."""

    pairs: int
    unexplained: int
    """Arrivals above -15 dB that no image of first or second order explains."""
    perhaps: int
    """Of them, those that walls together may have sent."""
    rooms: int
    blamed: int
    """Rooms in which a finding blames something in the room, at the strictest use."""
    said: tuple[tuple[str, float, float], ...]
    """Kind, delay [s] and level [dB] of each such finding."""


def made_rooms(
    rooms: int, first_seed: int, *, off_m: float, relief: bool = False, things: int = 0
) -> Iterator[tuple[Job, list[Measurement]]]:
    """Boxes and L-shaped rooms in turn, two loudspeakers, three microphones."""
    for k in range(rooms):
        seed = first_seed + k
        shape = ("box", "L")[seed % 2]
        rng = np.random.default_rng(seed)
        smear = reflections.loudspeaker(rng)
        made = reflections.make(seed, shape, off_m=off_m, things=things, smear=smear)
        responses = {
            pair: samples + (_grains(rng, made, pair, smear) if relief else 0.0)
            for pair, samples in made.responses.items()
        }
        yield _job(made.room, made.sources, made.microphones), _takes(responses)


def _grains(
    rng: np.random.Generator, made: reflections.Made, pair: tuple[int, int], smear: Real
) -> Real:
    """Weak arrivals of walls in relief. (frames,)"""
    frames = len(made.responses[pair])
    direct_m = math.dist(made.sources[pair[0]], made.microphones[pair[1]])
    begin_s = 0.01 + direct_m / reflections.C
    at_s = begin_s + rng.uniform(0.0012, 0.03, GRAINS)
    x = np.zeros(frames)
    sizes = 10 ** (GRAIN_DB / 20) / direct_m * rng.standard_normal(GRAINS)
    np.add.at(x, (at_s * reflections.RATE).astype(int), sizes)
    return np.convolve(x, smear)[:frames]


def _job(room: Room, sources: tuple[Point, ...], microphones: tuple[Point, ...]) -> Job:
    kinds = {kind: [HARD] for kind in ("wall", "floor", "ceiling", "loose")}
    job = random_job(np.random.default_rng(0), kinds)
    return dataclasses.replace(
        job,
        room=room,
        materials=tuple((face.name, HARD) for face in room.faces),
        sources=tuple(Position(name=f"S{i}", point=p) for i, p in enumerate(sources)),
        microphones=tuple(Position(name=f"M{j}", point=p) for j, p in enumerate(microphones)),
    )


def _takes(responses: dict[tuple[int, int], Real]) -> list[Measurement]:
    return [
        _measured(f"S{i}", f"M{j}", ImpulseResponse(samples=x, rate_hz=reflections.RATE))
        for (i, j), x in responses.items()
    ]


def _measured(source: str, microphone: str, response: ImpulseResponse) -> Measurement:
    check = TakeCheck(keep=True, reasons=(), warnings=(), peak_dbfs=0.0, noise_dbfs=None)
    return Measurement(
        source=source, microphone=microphone, take="", response=response, check=check
    )


def hard_room(data: Path, places: int = 3) -> Iterator[tuple[Job, list[Measurement]]]:
    """A measured room of 90 m3 without furniture: its 13 microphones, so many at a time."""
    folder = data / "room-with-coordinates"
    with (folder / "positions.csv").open(encoding="utf-8") as file:
        at = {
            row["name"]: Point(*(float(row[axis]) for axis in ("x_m", "y_m", "z_m")))
            for row in csv.DictReader(file)
        }
    names = [name for name in at if name.startswith("R")]
    for k in range(len(names)):
        used = [names[(k + 4 * j) % len(names)] for j in range(places)]
        takes = [
            _measured("S0", f"M{j}", load_impulse_response(folder / f"S1-{name}.flac"))
            for j, name in enumerate(used)
        ]
        job = _job(Room.box(5.36, 5.85, 2.86), (at["S1"],), tuple(at[n] for n in used))
        yield job, takes


def accused(rooms: Iterator[tuple[Job, list[Measurement]]]) -> Accused:
    """Count over rooms."""
    pairs = unexplained = perhaps = count = blamed = 0
    said: list[tuple[str, float, float]] = []
    for job, takes in rooms:
        rows = reflections_of(takes, job=job, visit="before")
        bare = [one for row in rows for one in row.reflections if not one.causes]
        loud = [one for one in bare if one.level_db > -15 and one.delay_s < 0.03]
        pairs, count = pairs + len(rows), count + 1
        unexplained, perhaps = (
            unexplained + len(loud),
            perhaps + sum(one.perhaps_walls for one in loud),
        )
        blames = _blames(job, rows)
        blamed, said = blamed + bool(blames), said + blames
    return Accused(pairs, unexplained, perhaps, count, blamed, tuple(said))


def _blames(job: Job, rows: tuple[PositionReflections, ...]) -> list[tuple[str, float, float]]:
    analysis = Analysis(
        visit="before", positions=(), octaves=(), thirds=(), transition_hz=None, mid_s=None,
        mid_u_s=None, grade="none", reflections=rows,
    )  # fmt: skip
    found = [
        finding.measured
        for use in USES
        for finding in early_reflections(analysis, job, target_for(use, job.room.volume_m3))
        if finding.measured.kind in THINGS
    ]
    return [(str(one.kind), float(one["delay_s"]), float(one["level_db"])) for one in found]


def main() -> None:
    from open_data import folder

    rooms = int(sys.argv[1]) if len(sys.argv) > 1 else 12
    data = folder()
    if data is not None:
        print("hard room", accused(hard_room(data)))
    for how in (
        {"off_m": 0.0},
        {"off_m": 0.02},
        {"off_m": 0.03},
        {"off_m": 0.02, "relief": True},
        {"off_m": 0.02, "things": 2},
    ):
        print(how, accused(made_rooms(rooms, 500, **how)))


if __name__ == "__main__":
    main()
