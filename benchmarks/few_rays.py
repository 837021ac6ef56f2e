"""How far the simulated decay is off because rays are few, beside many times as many.

    python benchmarks/few_rays.py 20 --keep few-rays.csv

The small rooms of `plan_cost.py`, with none, four, eight and twelve pieces hung at random; each
simulated as it is for a plan, and with sixteen times the rays from every region, of a set that is
turned otherwise. No measurement, no truth: the same model, its sums taken further.
"""

from __future__ import annotations

import argparse
import csv
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any
from unittest import mock

import numpy as np
from numpy.typing import NDArray

import roomcheck.predict.rays.bundles as rays
from plan_cost import small_room
from roomcheck.predict import Statistics
from roomcheck.predict.answer.before_after import before_after
from roomcheck.predict.rays.scene import SCATTER_GRID, Scene, forget_paths, with_bundles
from roomcheck.recommend.solver.named import placements

Real = NDArray[np.float64]

PIECES = (0, 4, 8, 12)
MORE, TURN = 16, 0.37
"""Times as many rays from every region, and how far their set is turned besides. [1]"""
BAND_HZ = 1000.0


@contextmanager
def many() -> Iterator[None]:
    """Many rays, from a set of their own."""
    plain = rays._even
    with (
        mock.patch.object(rays, "_RAYS", MORE * rays._RAYS),
        mock.patch.object(rays, "_FROM_SOURCES", max(4 * rays._FROM_SOURCES // MORE, 1)),
        mock.patch.object(rays, "_even", lambda n, d: (plain(n, d) + TURN) % 1),
    ):
        _forget()
        yield
    _forget()


def _forget() -> None:
    forget_paths()
    rays._turned_set.cache_clear()


def log_ratios(scene: Scene, alphas: Real, band: int) -> Real:
    """Of the simulated decay to Eyring's at `SCATTER_GRID`. [log]"""
    wanted = np.arange(alphas.shape[1]) == band
    followed = with_bundles(scene, alphas, wanted)
    return followed.log_ratios(alphas[:, band], band, SCATTER_GRID)


def off(seeds: Sequence[int]) -> Real:
    """(cases, 1 + scatterings): number of pieces, and log of few over many. [1], [log]"""
    rows = []
    for seed in seeds:
        small = small_room(seed)
        room = Statistics.of(small.job, small.site.analysis, follow_paths=True)
        order = np.random.default_rng([seed, 77]).permutation(len(small.site.places))
        for count in PIECES:
            chosen = [small.site.places[int(i)] for i in order[:count]]
            pieces = tuple(piece for piece, _ in placements(chosen, small.job))
            then = before_after(small.job, pieces, room=room).then
            band, alphas = then.bands_hz.index(BAND_HZ), np.exp(then.middle)
            few = log_ratios(then.scene, alphas, band)
            with many():
                rows.append([count, *(few - log_ratios(then.scene, alphas, band))])
    return np.array(rows)


def table(rows: Real) -> list[str]:
    """Markdown: mean and root mean square by scattering."""
    lines = [
        "| pieces | rooms | " + " | ".join(f"scattering {s:g}" for s in SCATTER_GRID) + " |",
        "|---:|---:|" + "---:|" * len(SCATTER_GRID),
    ]
    for count in PIECES:
        some = 100 * rows[rows[:, 0] == count][:, 1:]
        cells = [
            f"{mean:+.1f}, {rms:.1f} %"
            for mean, rms in zip(some.mean(axis=0), np.sqrt((some**2).mean(axis=0)), strict=True)
        ]
        lines.append(f"| {count} | {len(some)} | {' | '.join(cells)} |")
    return lines


def read(path: Path) -> Real:
    return np.loadtxt(path, delimiter=",", skiprows=1)


def main() -> None:
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n", maxsplit=1)[0])
    parser.add_argument("rooms", type=int, nargs="?", default=20)
    parser.add_argument("--keep", type=Path, metavar="CSV", help="keep the numbers in a file")
    args = parser.parse_args()
    rows: Any = off(range(args.rooms))
    if args.keep:
        with args.keep.open("w", newline="") as file:
            out = csv.writer(file)
            out.writerow(["pieces", *(f"scatter_{s:g}" for s in SCATTER_GRID)])
            out.writerows([[int(row[0]), *(f"{x:.5f}" for x in row[1:])] for row in rows])
    print("\n".join(table(rows)))


if __name__ == "__main__":
    main()
