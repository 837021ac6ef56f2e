"""Does the range hold? Random rooms whose truth comes from another model than the predictor.

    python benchmarks/range_coverage.py 200 --keep rooms.csv

Each room has random sides, materials, furniture and pieces. Its truth is traced with particles:
every surface scatters after Lambert by a coefficient that the predictor does not know, every
coefficient is off from its table by its uncertainty, alike across bands by half. The "before" is
handed over with the scatter of three positions; the "after" is then compared with the range that
was promised. Printed: share of bands inside (0.90 promised), median width.
"""

from __future__ import annotations

import argparse
import dataclasses
import sys
import time
from decimal import Decimal
from pathlib import Path
from typing import Any

import numpy as np

from roomcheck.analyse import Analysis, BandMean
from roomcheck.facts import Estimate
from roomcheck.geometry import Point, Rectangle, Room
from roomcheck.job import (
    Furnishing,
    Job,
    Placement,
    PorousCore,
    Position,
    Rates,
    Shop,
    StockPiece,
    Visit,
)
from roomcheck.predict import predict
from roomcheck.predict.answer.statistics import relative_scatter
from roomcheck.predict.room.conditions import conditions_of
from roomcheck.predict.room.linings import Lining, linings
from roomcheck.units import OCTAVES_HZ

BANDS_HZ = (250.0, 500.0, 1000.0, 2000.0, 4000.0)
AT = [OCTAVES_HZ.index(band) for band in BANDS_HZ]
ALIKE = 0.5
PARTICLES = 4000
PANEL_M = (0.61, 1.22)


def trace(
    room: Room,
    lined: tuple[Lining, ...],
    alphas: dict[str, Any],
    scatter: float,
    job: Job,
    rng: Any,
) -> Any:
    """Energy left over time, (steps, bands), from particles in a box; and the times. [1], [s]"""
    sides = np.array([room.corners[2][0], room.corners[2][1], room.height_m])
    air = conditions_of(job, "before", OCTAVES_HZ)
    volume, c = room.volume_m3, air.speed_m_s
    loose = sum(x.amount * alphas[x.absorption.key] for x in lined if x.face is None)
    # A particle cannot lose more than all it has: what a laboratory's edges add beyond that acts in
    # the room.
    loose = loose + sum(
        x.amount * np.maximum(alphas[x.absorption.key] - 1, 0) for x in lined if x.face is not None
    )
    loss = c * (air.air_per_m[AT] + loose / (4 * volume))
    seconds = 1.6
    step = 0.004
    place = rng.random((PARTICLES, 3)) * sides
    way = rng.standard_normal((PARTICLES, 3))
    way /= np.linalg.norm(way, axis=1)[:, None]
    energy, clock = np.ones((PARTICLES, len(AT))), np.zeros(PARTICLES)
    total = np.zeros((int(seconds / step) + 1, len(AT)))
    patches = patches_of(room, lined, alphas)
    while True:
        ahead = np.where(way > 0, (sides - place) / way, -place / np.where(way == 0, -1e-12, way))
        axis = np.argmin(ahead, axis=1)
        flight = np.maximum(ahead[np.arange(len(axis)), axis], 1e-9)
        until = clock + flight / c
        add_between(total, clock, until, energy, step)
        live = (until < seconds) & (energy.max(axis=1) > 1e-5)
        if not live.any():
            return step * np.arange(len(total)), total / PARTICLES * np.exp(
                -np.outer(step * np.arange(len(total)), loss)
            )
        place, way, energy, clock = (
            x[live] for x in (place + flight[:, None] * way, way, energy, until)
        )
        axis = axis[live]
        side = (way[np.arange(len(axis)), axis] > 0).astype(int)
        energy = energy * (1 - alpha_at(patches, axis, side, place))
        way = bounced(way, axis, side, scatter, rng)


def add_between(total: Any, start: Any, end: Any, energy: Any, step: float) -> None:
    """Every time step that falls within a flight sees the particle's energy."""
    first, last = np.ceil(start / step).astype(int), np.ceil(end / step).astype(int)
    last = np.minimum(last, len(total))
    first = np.minimum(first, len(total))
    edges = np.zeros((len(total) + 1, total.shape[1]))
    for band in range(total.shape[1]):
        edges[:, band] += np.bincount(first, energy[:, band], len(total) + 1)
        edges[:, band] -= np.bincount(last, energy[:, band], len(total) + 1)
    total += np.cumsum(edges, axis=0)[:-1]


def bounced(way: Any, axis: Any, side: Any, scatter: float, rng: Any) -> Any:
    n = np.arange(len(axis))
    out = way.copy()
    out[n, axis] *= -1
    spread = rng.random(len(axis)) < scatter
    rise = np.sqrt(rng.random(len(axis)))
    turn = 2 * np.pi * rng.random(len(axis))
    flat = np.sqrt(1 - rise**2)
    lambert = np.empty_like(out)
    lambert[n, axis] = np.where(side == 1, -rise, rise)
    lambert[n, (axis + 1) % 3], lambert[n, (axis + 2) % 3] = (
        flat * np.cos(turn),
        flat * np.sin(turn),
    )
    out[spread] = lambert[spread]
    return out


def patches_of(
    room: Room, lined: tuple[Lining, ...], alphas: dict[str, Any]
) -> dict[tuple[int, int], Any]:
    found = {}
    for face in room.faces:
        here = [x for x in lined if x.face == face.name]
        base = next(x for x in here if x.place is None)
        axis = int(np.argmax(np.abs(face.normal)))
        side = 0 if face.normal[axis] > 0 else 1
        found[axis, side] = (
            face,
            alphas[base.absorption.key],
            [x for x in here if x.place is not None],
            alphas,
        )
    return found


def alpha_at(patches: dict[tuple[int, int], Any], axis: Any, side: Any, place: Any) -> Any:
    result = np.empty((len(axis), len(AT)))
    for (a, s), (face, base, on, alphas) in patches.items():
        here = np.flatnonzero((axis == a) & (side == s))
        away = place[here] - np.array(face.origin)
        u, v = away @ np.array(face.u_axis), away @ np.array(face.v_axis)
        rows = np.tile(base, (len(here), 1))
        for x in on:
            p = x.place
            rows[(u > p.u_m) & (u < p.right_m) & (v > p.v_m) & (v < p.top_m)] = alphas[
                x.absorption.key
            ]
        result[here] = rows
    return np.minimum(result, 1.0)


def truth(lined: tuple[Lining, ...], known: dict[str, Any], rng: Any) -> dict[str, Any]:
    """Coefficients that the room really has: off from the table by its uncertainty, never below a
    fifth of it."""
    for x in lined:
        a = x.absorption
        if a.key not in known:
            z = np.sqrt(ALIKE) * rng.standard_normal() + np.sqrt(1 - ALIKE) * rng.standard_normal(
                len(BANDS_HZ)
            )
            value = np.array([a.at(band) for band in BANDS_HZ])
            u = np.array([a.uncertainty_at(band) for band in BANDS_HZ])
            known[a.key] = np.minimum(np.maximum(value + u * z, 0.2 * value), 1.2)
    return known


def decays(times: Any, energy: Any, distance_m: float, volume_m3: float, speed: float) -> Any:
    """T20 per band at a distance: diffuse energy plus the direct sound, integrated backwards, least
    squares."""
    power = energy * speed / volume_m3
    first = int(np.ceil(distance_m / speed / times[1]))
    power = power[first:].copy()
    power[0] += 1 / (4 * np.pi * distance_m**2) / times[1]
    found = []
    for band in power.T:
        left = np.cumsum(band[::-1])[::-1]
        level = 10 * np.log10(np.maximum(left / left[0], 1e-12))
        fit = (level <= -5) & (level >= -25)
        found.append(-60 / np.polyfit(times[: len(level)][fit], level[fit], 1)[0])
    return np.array(found)


def random_job(rng: Any, materials: dict[str, list[str]]) -> Job:
    room = Room.box(*(float(rng.uniform(*r)) for r in ((3.0, 8.0), (2.6, 6.0), (2.4, 3.2))))
    one = Decimal(1)
    panel = StockPiece(
        name="panel",
        kind="panel",
        width_m=PANEL_M[0],
        height_m=PANEL_M[1],
        depth_m=0.15,
        weight_kg=8.0,
        mounts=("wall", "ceiling"),
        core=PorousCore(thickness_m=0.1, gap_m=0.05, flow_resistivity_pa_s_m2=10_000.0),
        material=None,
        build_hours=one,
        install_hours=one,
        needs=(),
    )
    rates = Rates(
        **{f.name: 1 if f.name == "valid_days" else one for f in dataclasses.fields(Rates)}
    )
    shop = Shop(
        name="",
        address="",
        contact="",
        made_up=True,
        kerf_m=0.003,
        fabric_roll_m=1.5,
        stock=(panel,),
        prices=(),
        rates=rates,
    )
    wall, floor, ceiling = (str(rng.choice(materials[k])) for k in ("wall", "floor", "ceiling"))
    kinds = {"floor": floor, "ceiling": ceiling}

    def spot() -> Point:
        return Point(
            *(
                float(rng.uniform(0.5, s - 0.5))
                for s in (room.corners[2][0], room.corners[2][1], room.height_m)
            )
        )

    return Job(
        folder=Path(),
        made_up=True,
        client="",
        title="",
        complaint="",
        use="podcast room",
        own_target=None,
        units="metric",
        paper="a4",
        currency="$",
        budget=None,
        room=room,
        materials=tuple((f.name, kinds.get(f.name, wall)) for f in room.faces),
        patches=(),
        keep_clear=(),
        framing=(),
        fixings=(),
        furnishings=(
            Furnishing(
                name="chairs", material=materials["loose"][0], amount=float(rng.uniform(0, 6))
            ),
        ),
        sources=(Position(name="S1", point=spot()),),
        microphones=tuple(Position(name=f"P{i}", point=spot()) for i in range(3)),
        seat=None,
        visits=(
            Visit(
                name="before", date="2026-05-04", temperature_c=20.0, humidity_pct=50.0, people=0
            ),
        ),
        shop=shop,
    )


def random_pieces(rng: Any, job: Job) -> tuple[Placement, ...]:
    """Rows of panels on a random choice of faces."""
    placed: list[Placement] = []
    faces = [f for f in job.room.faces if f.kind != "floor"]
    for face in faces:
        if rng.random() < 0.5:
            continue
        columns, rows = int((face.width_m - 0.2) / 0.66), int((face.height_m - 0.2) / 1.27)
        for i in range(int(rng.integers(1, max(columns * rows, 1) + 1))):
            u, v = 0.1 + 0.66 * (i % columns), 0.1 + 1.27 * (i // columns)
            placed.append(
                Placement(
                    name=f"A{len(placed)}",
                    piece="panel",
                    face=face.name,
                    place=Rectangle(u, v, *PANEL_M),
                )
            )
    return tuple(placed)


def analysis_of(found: Any, u: Any, transition: float) -> Analysis:
    octaves = tuple(
        BandMean(band_hz=b, t20=Estimate(value=float(T), u=float(T * r), n=3))
        for b, T, r in zip(BANDS_HZ, found, u, strict=True)
    )
    return Analysis(
        visit="before",
        positions=(),
        octaves=octaves,
        thirds=(),
        transition_hz=transition,
        mid_s=None,
        mid_u_s=None,
        grade="none",
    )


def one_room(
    seed: int, materials: dict[str, list[str]], *, blind: bool = False
) -> list[tuple[float, ...]]:
    """(band, true, low, likely, high, blind low, blind high) of every band of one random room; NaN
    where not asked."""
    rng = np.random.default_rng(seed)
    job = random_job(rng, materials)
    pieces = random_pieces(rng, job)
    now, then = linings(job, (), "before"), linings(job, pieces, "after")
    alphas = truth(then, truth(now, {}, rng), rng)
    scatter = float(np.exp(rng.uniform(np.log(0.08), np.log(0.4))))
    distance = np.mean(
        [np.linalg.norm(np.subtract(job.sources[0].point, m.point)) for m in job.microphones]
    )
    traced = []
    for lined in (now, then):
        times, energy = trace(job.room, lined, alphas, scatter, job, rng)
        traced.append(decays(times, energy, max(float(distance), 0.5), job.room.volume_m3, 343.2))
    u = np.array([relative_scatter(b, T, 3) for b, T in zip(BANDS_HZ, traced[0], strict=True)])
    heard = [T * (1 + u * rng.standard_normal(len(u))) for T in traced]
    transition = 2000 * np.sqrt(float(heard[0][1:3].mean()) / job.room.volume_m3)
    told = predict(job, pieces, analysis_of(heard[0], u, transition))
    unmeasured = predict(job, pieces) if blind else told
    rows = []
    for i, band in enumerate(BANDS_HZ):
        a = next(b for b in told.after if b.band_hz == band)
        c = next(b for b in unmeasured.after if b.band_hz == band)
        if a.likely_s is not None and c.likely_s is not None:
            without = (c.low_s, c.high_s) if blind else (np.nan, np.nan)
            rows.append((band, heard[1][i], a.low_s, a.likely_s, a.high_s, *without))
    return rows  # type: ignore[return-value]


MATERIALS = {
    "wall": [
        "gypsum board on studs",
        "brick",
        "plaster on brick",
        "wood panelling, air behind",
        "painted concrete block",
    ],
    "floor": ["thin carpet on concrete", "linoleum on concrete", "parquet on concrete"],
    "ceiling": ["gypsum board on studs", "plaster on brick", "mineral tile, direct fixed"],
    "loose": ["upholstered chair"],
}


def main() -> None:
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n", maxsplit=1)[0])
    parser.add_argument("rooms", type=int, nargs="?", default=200)
    parser.add_argument("--blind", action="store_true", help="predict without the measurement too")
    parser.add_argument(
        "--keep", type=Path, metavar="CSV", help="keep the result of every band in a file"
    )
    args = parser.parse_args()
    started = time.perf_counter()
    rows: list[tuple[float, ...]] = []
    for seed in range(args.rooms):
        rows += one_room(seed, MATERIALS, blind=args.blind)
        print(f"\r{seed + 1} of {args.rooms} rooms", end="", file=sys.stderr)
        if args.keep:
            known = np.array(rows)[:, : 7 if args.blind else 5]
            np.savetxt(
                args.keep,
                known,
                delimiter=",",
                fmt="%.5g",
                header="band_hz,true_s,low_s,likely_s,high_s",
            )
    print("\n".join(report(np.array(rows))))
    print(f"{args.rooms} rooms in {time.perf_counter() - started:.0f} s")


def report(rows: Any) -> list[str]:
    """One line for all bands and one for each."""
    said = []
    for band in (None, *BANDS_HZ):
        r = rows if band is None else rows[rows[:, 0] == band]
        if not len(r):
            continue
        inside, blind = (
            (r[:, 1] >= r[:, 2]) & (r[:, 1] <= r[:, 4]),
            (r[:, 1] >= r[:, 5]) & (r[:, 1] <= r[:, 6]),
        )
        width, wide = (
            np.median((r[:, 4] - r[:, 2]) / r[:, 3]),
            np.median((r[:, 6] - r[:, 5]) / r[:, 3]),
        )
        off = np.median(r[:, 3] / r[:, 1]) - 1
        name = "all" if band is None else f"{band:g} Hz"
        unmeasured = (
            f"; without a measurement inside {blind.mean():.3f}, width {wide:.2f}"
            if np.isfinite(wide)
            else ""
        )
        found = f"inside {inside.mean():.3f}, width {width:.2f}, likely off {off:+.3f}"
        said.append(f"{name:>8}: {len(r):4d} bands, {found}{unmeasured}")
    return said


if __name__ == "__main__":
    main()
