"""Does the chance that a plan is chosen and signed by hold in possible rooms that chose nothing?

    python benchmarks/fresh_draws.py 20 --keep docs/figures/fresh-draws.csv

For random jobs (`plans.py`) the least plan that reaches the target, its said chance (the less of two
sets of 1,000 draws that the search looks at) and that of its promise, against 4,000 other draws of
the same calibrated room.
"""

from __future__ import annotations

import argparse
import csv
import dataclasses
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

import plans
from roomcheck.predict import Statistics, drawn_again
from roomcheck.recommend import Plan, PlanKind, Site
from roomcheck.recommend.aims.plans import plans_of

Real = NDArray[np.float64]

FRESH_SEEDS = (910_000, 920_000, 930_000, 940_000)


@dataclass(frozen=True, kw_only=True)
class Held:
    """One plan's chances, said and found."""

    job: int
    pieces: int
    said_pct: float
    """That all judged values lie inside the target [%]."""
    fresh_pct: float
    promise_said_pct: float
    """That all promised values are true [%]."""
    promise_fresh_pct: float


def held(seed: int) -> Held | None:
    """None where no plan is needed, or nothing can be foreseen."""
    job = plans.random_job(seed)
    verdict = plans.made.verdict(plans.target_for(job.use, job.room.volume_m3))
    visit = plans.first_visit(job, seed)
    site = Site.of(job, visit, verdict)
    found = [plan for plan in plans_of(site) if plan.kind == PlanKind.TARGET and plan.pieces]
    if not found or found[0].chance is None:
        return None
    plan = found[0]
    bare = tuple(dataclasses.replace(piece, reasons=()) for piece in plan.pieces)
    room = Statistics.of(job, visit, follow_paths=True)
    draws_s = np.concatenate([drawn_again(job, bare, room, seed=each) for each in FRESH_SEEDS])
    return Held(
        job=seed,
        pieces=len(plan.pieces),
        said_pct=100 * plan.chance,
        fresh_pct=100 * _share(_target(site, plan), draws_s, room),
        promise_said_pct=plan.promise.true_pct or np.nan,
        promise_fresh_pct=100 * _share(_promised(plan), draws_s, room),
    )


Ends = tuple[tuple[float, ...], float, float]
"""Octaves whose mean decay must lie between two limits. [Hz], [s], [s]"""


def _target(site: Site, plan: Plan) -> list[Ends]:
    target = site.verdict.target
    known = {band.band_hz for band in plan.prediction.after if band.likely_s is not None}
    asked = [((limit.band_hz,), limit.low_s, limit.high_s) for limit in target.limits]
    asked.append((tuple(target.mid_bands_hz), target.mid_low_s, target.mid_high_s))
    return [
        (bands_hz, low_s or 0.0, np.inf if high_s is None else high_s)
        for bands_hz, low_s, high_s in asked
        if known.issuperset(bands_hz)
    ]


def _promised(plan: Plan) -> list[Ends]:
    made = plan.promise
    ends: list[Ends] = [((band.band_hz,), band.low_s, band.high_s) for band in made.bands]
    if made.mid_low_s is not None and made.mid_high_s is not None:
        ends.append((tuple(made.mid_bands_hz), made.mid_low_s, made.mid_high_s))
    return ends


def _share(ends: Sequence[Ends], draws_s: Real, room: Statistics) -> float:
    """Of the draws in which all of these hold. [1]"""
    fine = np.ones(len(draws_s), dtype=bool)
    for bands_hz, low_s, high_s in ends:
        decay_s = draws_s[:, [room.bands_hz.index(hz) for hz in bands_hz]].mean(axis=1)
        fine &= (decay_s >= low_s) & (decay_s <= high_s)
    return float(fine.mean())


def write(found: Sequence[Held], path: Path) -> None:
    with path.open("w", newline="") as file:
        rows = csv.writer(file)
        rows.writerow([field.name for field in dataclasses.fields(Held)])
        rows.writerows([f"{value:.6g}" for value in dataclasses.astuple(one)] for one in found)


def read(path: Path) -> list[Held]:
    with path.open(newline="") as file:
        rows = [{key: float(value) for key, value in row.items()} for row in csv.DictReader(file)]
    return [Held(job=int(row.pop("job")), pieces=int(row.pop("pieces")), **row) for row in rows]


def table(found: Sequence[Held]) -> list[str]:
    """As markdown: mean and worst, of the target and of the promise."""
    lines = [
        "| chance that | said | in fresh draws | said too high by most |",
        "|---|---:|---:|---:|",
    ]
    both = (
        ("the target is reached", "said_pct", "fresh_pct"),
        ("all that is promised is true", "promise_said_pct", "promise_fresh_pct"),
    )
    for name, said, fresh in both:
        pairs = np.array([[getattr(one, said), getattr(one, fresh)] for one in found])
        pairs = pairs[np.isfinite(pairs).all(axis=1)]
        mean, over = pairs.mean(axis=0), float((pairs[:, 0] - pairs[:, 1]).max())
        lines.append(f"| {name} | {mean[0]:.1f} % | {mean[1]:.1f} % | {over:.1f} % |")
    return lines


def main() -> None:
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n", maxsplit=1)[0])
    parser.add_argument("jobs", type=int, nargs="?", default=20)
    parser.add_argument("--keep", type=Path, metavar="CSV", help="keep, and go on from, this file")
    parser.add_argument("--minutes", type=float, default=15.0)
    args = parser.parse_args()
    until = time.monotonic() + 60 * args.minutes
    found = read(args.keep) if args.keep and args.keep.is_file() else []
    seed = max((one.job for one in found), default=-1) + 1
    while len(found) < args.jobs and time.monotonic() < until:
        one = held(seed)
        seed += 1
        if one is not None:
            found.append(one)
            print(one, flush=True)
            if args.keep:
                write(found, args.keep)
    print(*table(found), sep="\n")


if __name__ == "__main__":
    main()
