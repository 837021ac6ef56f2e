"""Does a shop that learns from its verified jobs promise narrower, and still hold?

    python benchmarks/learning.py 50 6 --truths rooms.json --journal lessons.json

So many made-up shops, each with so many jobs in traced rooms (`ranges.py`) of its own kind: like in
scattering, and in how far its panels are off what was computed. After each job the shop learns.
Printed per number of jobs learned from: share of octaves inside the range (0.90 promised) and median
width, beside the same without learning. Shops are of one half of the rooms each; what is judged by
had its one number (`ALIKE`) chosen on the first.
"""

from __future__ import annotations

import argparse
import csv
import dataclasses
import json
import time
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np

from ranges import BANDS_HZ, Drawn, Known, Truths, analysis_of, drawn_room
from roomcheck.analyse import Analysis, PositionDecays
from roomcheck.job import Job, Lesson, Share
from roomcheck.job.read.learned import SHARED, factors, learned_shop
from roomcheck.predict import Statistics, piece_absorption, predict
from roomcheck.predict.answer.statistics import relative_scatter
from roomcheck.verify import learn

FAR_OFF = 0.75
"""A shop whose panels absorb a quarter less than computed: thin fabric glued on, boards too dense.
[1]"""
JOBS = 6
NEAR = 9
"""Of so many rooms most like its kind a shop gets its jobs."""
KIND = (0.25, 0.08)
"""What counts as far apart: log scattering and log of what panels really absorb. [log]"""
HALVES = ("rooms it was fitted to", "other rooms")


class Rooms:
    """Traced rooms as shops meet them, and what each of them teaches: worked out once and kept."""

    def __init__(self, truths: Truths, journal: Path | None = None) -> None:
        self.truths, self.journal = truths, journal
        self.known: dict[int, tuple[Job, Known, Statistics]] = {}
        self.kept: dict[str, Any] = {}
        if journal is not None and journal.is_file():
            self.kept = json.loads(journal.read_text())

    def visited(self, seed: int) -> tuple[Job, Known, Statistics]:
        """The job with both visits, its truth, and the room calibrated."""
        if seed not in self.known:
            known = self.truths.room(seed)
            after = dataclasses.replace(known.job.visits[0], name="after", date="2026-06-15")
            job = dataclasses.replace(known.job, visits=(known.job.visits[0], after))
            room = Statistics.of(job, visit_of("before", job, known.before_s))
            self.known[seed] = job, known, room
        return self.known[seed]

    def lesson(self, seed: int) -> Lesson:
        if str(seed) not in self.kept:
            job, known, _ = self.visited(seed)
            visits = (
                visit_of("before", job, known.before_s),
                visit_of("after", job, known.after_s),
            )
            found = learn(job, *visits, known.pieces, simulate=False)
            self.kept[str(seed)] = dataclasses.asdict(found)
            self.save()
        told = dict(self.kept[str(seed)])
        told["shares"] = tuple(Share(**share) for share in told["shares"])
        return Lesson(**{**told, "job": str(seed)})

    def foreseen(self, seed: int, lessons: Sequence[Lesson]) -> list[tuple[float, float, float]]:
        """True decay and range of every octave, with what these lessons taught. [s]"""
        key = f"{seed}:{','.join(sorted(lesson.job for lesson in lessons))}"
        if key not in self.kept:
            job, known, room = self.visited(seed)
            taught = dataclasses.replace(job, shop=learned_shop(job.shop, lessons))
            told = predict(taught, known.pieces, simulate=False, room=room).after
            true = dict(zip(BANDS_HZ, known.after_s.tolist(), strict=True))
            self.kept[key] = [
                (true[band.band_hz], band.low_s, band.high_s)
                for band in told
                if band.band_hz in true and band.low_s is not None and band.high_s is not None
            ]
            self.save()
        return [(a, b, c) for a, b, c in self.kept[key]]

    def save(self) -> None:
        if self.journal is not None:
            self.journal.write_text(json.dumps(self.kept))


def visit_of(name: str, job: Job, decays_s: Any) -> Analysis:
    """One visit as three pairs measure it."""
    pairs = len(job.sources) * len(job.microphones)
    u = [relative_scatter(hz, float(T), pairs) for hz, T in zip(BANDS_HZ, decays_s, strict=True)]
    transition = 2000 * np.sqrt(float(decays_s[1:3].mean()) / job.room.volume_m3)
    places = tuple(
        PositionDecays(source="S1", microphone=m.name, take="", octaves=(), thirds=())
        for m in job.microphones
    )
    found = analysis_of(decays_s, u, transition)
    return dataclasses.replace(found, visit=name, positions=places)


def kind_of(drawn: Drawn) -> tuple[float, float]:
    """Log scattering of a room, and log of what its panels absorb over what is computed."""
    computed = piece_absorption(drawn.job.shop.piece("panel"))
    values = np.array([computed.at(hz) for hz in BANDS_HZ], dtype=float)
    panels = [cover.alpha for cover in drawn.then.covers if cover.place is not None]
    off = float(np.log(panels[-1] / values).mean()) if panels else 0.0
    return float(np.log(drawn.scatter)), off


def shops_of(seeds: Sequence[int], count: int, jobs: int = JOBS) -> list[list[int]]:
    """So many made-up shops: a kind each, and rooms of that kind in the order of its jobs."""
    hung = [seed for seed in seeds if drawn_room(seed).pieces]
    kinds = np.array([kind_of(drawn_room(seed)) for seed in hung]) / KIND
    rng = np.random.default_rng(5)
    found = []
    for _ in range(count):
        centre = np.array([rng.choice(column) for column in kinds.T])
        near = np.argsort(((kinds - centre) ** 2).sum(axis=1))[:NEAR]
        found.append([hung[i] for i in rng.permutation(near)[:jobs]])
    return found


def one_shop(rooms: Rooms, seeds: Sequence[int]) -> list[tuple[float, ...]]:
    """(jobs learned from, true, low, high, low and high without learning) of every octave of every
    job."""
    lessons: list[Lesson] = []
    rows: list[tuple[float, ...]] = []
    for done, seed in enumerate(seeds):
        taught, plain = rooms.foreseen(seed, lessons), rooms.foreseen(seed, ())
        for (true, low, high), (_, plain_low, plain_high) in zip(taught, plain, strict=True):
            rows.append((done, true, low, high, plain_low, plain_high))
        lessons.append(rooms.lesson(seed))
    return rows


def table(rows: Any) -> list[tuple[int, int, float, float, float, float]]:
    """(jobs learned from, bands, inside and width with learning, inside and width without)."""
    found = []
    for done in sorted({int(n) for n in rows[:, 0]}):
        r = rows[rows[:, 0] == done]
        true = r[:, 1]
        inside, plain = (
            (true >= low) & (true <= high) for low, high in ((r[:, 2], r[:, 3]), (r[:, 4], r[:, 5]))
        )
        width, wide = (
            np.median(np.log(high / low)) for low, high in ((r[:, 2], r[:, 3]), (r[:, 4], r[:, 5]))
        )
        found.append(
            (done, len(r), float(inside.mean()), float(width), float(plain.mean()), float(wide))
        )
    return found


Tables = dict[str, list[tuple[int, int, float, float, float, float]]]


def measure(shops: int, jobs: int, rooms: Rooms, seeds: Sequence[int], minutes: float) -> Tables:
    """The table for the shops of each half of the rooms; without those that were not reached."""
    began = time.monotonic()
    tables: Tables = {}
    for half, name in enumerate(HALVES):
        rows: list[tuple[float, ...]] = []
        for shop in shops_of([seed for seed in seeds if seed % 2 == half], shops // 2, jobs):
            if time.monotonic() - began > 60 * minutes:
                break
            rows += one_shop(rooms, shop)
        if rows:
            tables[name] = table(np.array(rows))
    return tables


def write(found: Tables, shops: int, path: Path) -> None:
    with path.open("w", newline="") as file:
        file.write("panels,shops,learned_from,octaves,inside,width,inside_plain,width_plain\n")
        for name, lines in found.items():
            csv.writer(file).writerows([[name, shops, *line] for line in lines])


def read(path: Path) -> tuple[int, Tables]:
    """Number of shops and tables, as `write` kept them."""
    found: Tables = {}
    shops = 0
    with path.open(newline="") as file:
        for row in csv.DictReader(file):
            shops = int(row["shops"])
            counts = int(row["learned_from"]), int(row["octaves"])
            a, b, c, d = (float(row[key]) for key in list(row)[4:])
            found.setdefault(row["panels"], []).append((*counts, a, b, c, d))
    return shops, found


def next_jobs(
    runs: int, after: tuple[int, ...] = (0, 1, 3, 8)
) -> list[tuple[float, int, float, float]]:
    """The same without rooms: (true factor or 0 for as unsure as computed, jobs, inside, width ln
    high/low).

    One piece that is unsure by 15 % and makes 30 to 60 % of the decay, jobs that say it within 6 %,
    five octaves each.
    """
    own, spread, octaves = 0.15, 0.06, BANDS_HZ
    rows = []
    for factor in (0.0, FAR_OFF):
        rng = np.random.default_rng(8)
        inside, widths = dict.fromkeys(after, 0), dict.fromkeys(after, 0.0)
        for _ in range(runs):
            shop = np.log(factor) if factor else rng.normal(0, own * np.sqrt(SHARED))
            said: list[Lesson] = []
            for n in range(max(after) + 1):
                pull = -rng.uniform(0.3, 0.6)
                g = shop + rng.normal(0, own * np.sqrt(1 - SHARED))
                off = pull * g + rng.normal(0, spread, len(octaves))
                if n in inside:
                    mean, sd = factors(said, octaves[1]).get("panel", (0.0, own))
                    u = float(np.hypot(pull * sd, spread))
                    inside[n] += abs(off[1] - pull * mean) < 1.645 * u
                    widths[n] += 2 * 1.645 * u / runs
                flat = (pull,) * len(octaves)
                share = Share(piece="panel", count=4, pull=flat, prior=(own,) * len(octaves))
                said.append(
                    Lesson(
                        job=str(n),
                        day="2026-06-15",
                        bands_hz=octaves,
                        off=tuple(off.tolist()),
                        spread=(spread,) * len(octaves),
                        shares=(share,),
                    )
                )
        rows += [(factor, n, inside[n] / runs, widths[n]) for n in after]
    return rows


def main() -> None:
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n", maxsplit=1)[0])
    parser.add_argument("shops", type=int, nargs="?", default=50)
    parser.add_argument("jobs", type=int, nargs="?", default=JOBS)
    parser.add_argument("--rooms", type=int, default=140, help="where no traced ones are kept")
    parser.add_argument("--truths", type=Path, metavar="JSON", help="traced rooms, kept")
    parser.add_argument("--journal", type=Path, metavar="JSON", help="what rooms teach, kept")
    parser.add_argument("--keep", type=Path, metavar="CSV", help="keep the table in a file")
    parser.add_argument("--minutes", type=float, default=15.0)
    args = parser.parse_args()
    rooms = Rooms(Truths(args.truths), args.journal)
    seeds = sorted(int(seed) for seed in rooms.truths.kept) or range(args.rooms)
    found = measure(args.shops, args.jobs, rooms, seeds, args.minutes)
    if args.keep:
        write(found, args.shops, args.keep)
    for name, lines in found.items():
        print(name)
        for done, bands, inside, width, plain, wide in lines:
            print(
                f"  {done} jobs learned: {bands} octaves, inside {inside:.2f}, width {width:.3f}; "
                f"without learning inside {plain:.2f}, width {wide:.3f}"
            )


if __name__ == "__main__":
    main()
