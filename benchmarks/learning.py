"""Does a shop that learns from its verified jobs promise narrower, and still hold?

    python benchmarks/learning.py 12 5

So many made-up shops, each with so many jobs in random rooms. A shop's panels really absorb what
was computed times a factor of the shop's own, times a smaller one of each job; every surface is off
from its table, and the formula from the room, by their uncertainty. After each job the shop learns.
Printed per number of jobs learned from: share of bands inside the range (0.90 promised) and median
width, beside the same without learning; and the same for shops whose panels are far off.
"""

from __future__ import annotations

import argparse
import csv
import dataclasses
import time
from pathlib import Path
from typing import Any

import numpy as np

import ranges
from ranges import BANDS_HZ
from roomcheck.analyse import PositionDecays
from roomcheck.geometry import Rectangle
from roomcheck.job import Job, Lesson, Placement, Share, Visit
from roomcheck.job.read.learned import SHARED, factors, learned_shop
from roomcheck.predict import piece_absorption, predict
from roomcheck.predict.answer.statistics import MODEL_SD, MODEL_SHARED, relative_scatter
from roomcheck.predict.room.conditions import conditions_of
from roomcheck.predict.room.formulas import eyring_s
from roomcheck.predict.room.linings import Lining, linings
from roomcheck.units import OCTAVES_HZ
from roomcheck.verify import learn

FAR_OFF = 0.75
"""A shop whose panels absorb a quarter less than computed: thin fabric glued on, boards too dense.
[1]"""


def one_shop(seed: int, jobs: int, factor: float | None) -> list[tuple[float, ...]]:
    """(jobs learned from, true, low, high, low and high without learning) of every band of every
    job."""
    rng = np.random.default_rng([seed, 9])
    lessons: list[Lesson] = []
    rows = []
    shop_z = rng.standard_normal()
    for done in range(jobs):
        job = visited(ranges.random_job(rng, ranges.MATERIALS))
        pieces = ranges.random_pieces(rng, job) or (first_panel(job),)
        before, after = traced(job, pieces, panel_factor(job, shop_z, rng, factor), rng)
        taught = dataclasses.replace(job, shop=learned_shop(job.shop, lessons))
        with_it, without = (
            predict(one, pieces, before, simulate=False).after for one in (taught, job)
        )
        for a, b in zip(with_it, without, strict=True):
            true = after.octave(a.band_hz)
            if true is not None and a.low_s is not None and b.low_s is not None:
                rows.append((done, true.t20_s, a.low_s, a.high_s, b.low_s, b.high_s))
        lessons.append(learn(job, before, after, pieces, simulate=False))
    return rows  # type: ignore[return-value]


def visited(job: Job) -> Job:
    before = job.visits[0]
    after = Visit(name="after", date="2026-06-15", temperature_c=20.0, humidity_pct=50.0, people=0)
    return dataclasses.replace(job, visits=(before, after))


def first_panel(job: Job) -> Placement:
    return Placement(
        name="A1", piece="panel", face="ceiling", place=Rectangle(0.1, 0.1, *ranges.PANEL_M)
    )


def panel_factor(job: Job, shop_z: float, rng: Any, factor: float | None) -> Any:
    """What the panels of this job really absorb, over what is computed, (bands,). [1]"""
    absorption = piece_absorption(job.shop.piece("panel"))
    sd = np.array([(absorption.uncertainty_at(b) or 0) / (absorption.at(b) or 1) for b in BANDS_HZ])
    shop = np.log(factor) if factor else np.sqrt(SHARED) * sd * shop_z
    return np.exp(shop + np.sqrt(1 - SHARED) * sd * rng.standard_normal())


def traced(job: Job, pieces: tuple[Placement, ...], factor: Any, rng: Any) -> tuple[Any, Any]:
    """Both visits, as three positions would measure them."""
    now, then = linings(job, (), "before"), linings(job, pieces, "after")
    panel = piece_absorption(job.shop.piece("panel"))
    alphas = {panel.key: np.minimum(np.array([panel.at(b) for b in BANDS_HZ]) * factor, 1.0)}
    for lining in (*now, *then):
        if lining.absorption.key not in alphas:
            alphas[lining.absorption.key] = ranges.true_values(lining.absorption, rng)
    error = MODEL_SD * rng.standard_normal(len(BANDS_HZ)) * np.sqrt(1 - MODEL_SHARED)
    found = [formula(lined, alphas, job) * np.exp(error) for lined in (now, then)]
    u = np.array([relative_scatter(b, T, 3) for b, T in zip(BANDS_HZ, found[0], strict=True)])
    heard = [T * (1 + u * rng.standard_normal(len(u))) for T in found]
    transition = 2000 * np.sqrt(float(heard[0][1:3].mean()) / job.room.volume_m3)
    places = tuple(
        PositionDecays(source="S1", microphone=m.name, take="", octaves=(), thirds=())
        for m in job.microphones
    )
    before, after = (
        dataclasses.replace(ranges.analysis_of(T, u, transition), positions=places) for T in heard
    )
    return before, dataclasses.replace(after, visit="after")


def formula(lined: tuple[Lining, ...], alphas: dict[str, Any], job: Job) -> Any:
    """Eyring's decay of a room with these coefficients, (bands,). [s]"""
    air = conditions_of(job, "before", OCTAVES_HZ)
    area = sum(x.amount * alphas[x.absorption.key] for x in lined)
    air_per_m = np.asarray(air.air_per_m)[[OCTAVES_HZ.index(b) for b in BANDS_HZ]]
    area = np.minimum(area, 0.95 * air.surface_m2)
    return eyring_s(
        air.volume_m3, air.surface_m2, area, air_per_m=air_per_m, speed_m_s=air.speed_m_s
    )


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


def measure(shops: int, jobs: int) -> Tables:
    """The table for shops whose panels are as unsure as computed, and for those that are far
    off."""
    kinds = {"as unsure as computed": None, f"{FAR_OFF:g} of what is computed": FAR_OFF}
    return {
        name: table(
            np.array([row for seed in range(shops) for row in one_shop(seed, jobs, factor)])
        )
        for name, factor in kinds.items()
    }


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
    parser.add_argument("shops", type=int, nargs="?", default=12)
    parser.add_argument("jobs", type=int, nargs="?", default=5)
    parser.add_argument("--keep", type=Path, metavar="CSV", help="keep the table in a file")
    args = parser.parse_args()
    started = time.perf_counter()
    found = measure(args.shops, args.jobs)
    if args.keep:
        write(found, args.shops, args.keep)
    for name, lines in found.items():
        print(f"panels {name}")
        for done, bands, inside, width, plain, wide in lines:
            print(
                f"  {done} jobs learned: {bands} bands, inside {inside:.2f}, width {width:.3f}; "
                f"without learning inside {plain:.2f}, width {wide:.3f}"
            )
    print(f"{time.perf_counter() - started:.0f} s")


if __name__ == "__main__":
    main()
