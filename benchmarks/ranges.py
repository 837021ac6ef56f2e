"""Does the range hold? Random rooms whose truth is traced by particles (`room_truth`).

    python benchmarks/ranges.py 60 --keep rooms.csv
    python benchmarks/ranges.py 40 --unseen
    python benchmarks/ranges.py --figures docs/figures --truths traced.json

Boxes and L-shapes with random materials, chairs and panels; every surface, chair and panel off from
its table by its uncertainty, alike across bands by half; scattering from 0.02 to 0.5, which the
predictor does not know; three microphones. The "before" is handed over with the scatter of its
pairs; what the same pairs measure after is held against the range that was promised. Printed by
class of room: share of octaves inside (0.90 promised) with its 95 % interval (bootstrap by room),
median width and bias. `--unseen` draws rooms that nothing was tuned on. `--figures` writes every
file that the section on predictions is made of, one after the other; traced rooms are kept in
`--truths` and read from there when there are any (an hour of one core without, ten minutes with).
"""

from __future__ import annotations

import argparse
import csv
import dataclasses
import json
import sys
import time
from collections.abc import Iterator, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path
from typing import Any
from unittest import mock

import numpy as np
from numpy.typing import NDArray

from room_truth import CHAIR_M, PARTICLES, Cover, Traced, TrueRoom, traced
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
from roomcheck.materials import absorption_of
from roomcheck.predict import Prediction, predict
from roomcheck.predict.answer import before_after, statistics
from roomcheck.predict.room.conditions import conditions_of
from roomcheck.predict.room.linings import piece_absorption

Real = NDArray[np.float64]

BANDS_HZ = (250.0, 500.0, 1000.0, 2000.0, 4000.0)
MID = (1, 2)
ALIKE = 0.5
UNSEEN = 100_012
"""Seeds from here on are for the last look only."""
FRESH = 200_012
"""Seeds from here on were drawn after the unseen ones had been looked at."""
SETS = (
    (0, 140, "prediction-ranges.csv"),
    (UNSEEN, 40, "prediction-ranges-unseen.csv"),
    (FRESH, 40, "prediction-ranges-fresh.csv"),
)
"""First seed, number of rooms and file of each set that is shown."""
KNOWN, TERMS_KEPT = "prediction-ranges-known.csv", "prediction-ranges-terms.csv"
UNEVEN = 3.0
"""Most over least absorbing pair of faces of the treated room at 1 kHz: from here it is uneven. [1]"""
LOW_SCATTER = 0.08
PANEL_M = (0.61, 1.22)
CHAIR = "upholstered chair"
FLOOR_EACH_M2 = 1.6
"""Floor for one chair, its way round it counted: no room holds more of them. [m2]"""
HARD = [
    "gypsum board on studs",
    "brick",
    "plaster on brick",
    "wood panelling, air behind",
    "painted concrete block",
]
MATERIALS = {
    "wall": HARD,
    "floor": ["thin carpet on concrete", "linoleum on concrete", "parquet on concrete"],
    "ceiling": ["gypsum board on studs", "plaster on brick", "mineral tile, direct fixed"],
    "loose": [CHAIR],
}


@dataclass(frozen=True, kw_only=True)
class Known:
    """A random room and what it really measures."""

    seed: int
    job: Job
    pieces: tuple[Placement, ...]
    before_s: Real
    """(bands,): as measured at its pairs [s]."""
    early_s: Real
    """(bands,): early decay time before, likewise [s]."""
    after_s: Real
    """(bands,): the same after the treatment [s]."""
    uneven: bool
    low_scatter: bool
    furnished: bool
    scatter: float


# ------------------------------------------------------------------------------------------ rooms


def random_job(rng: Any, materials: dict[str, list[str]], *, ell: bool = False) -> Job:
    """A room with chairs, one source and three microphones, and a shop that builds one panel."""
    sides = [float(rng.uniform(*r)) for r in ((3.0, 8.0), (2.6, 6.0), (2.4, 3.2))]
    room = _l_shape(rng, *sides) if ell else Room.box(*sides)
    wall, floor, ceiling = (str(rng.choice(materials[k])) for k in ("wall", "floor", "ceiling"))
    kinds = {"floor": floor, "ceiling": ceiling}
    before = Visit(
        name="before", date="2026-05-04", temperature_c=20.0, humidity_pct=50.0, people=0
    )
    amount = float(rng.integers(0, int(min(room.floor_area_m2 / FLOOR_EACH_M2, 8)) + 1))
    chairs = (Furnishing(name="chairs", material=materials["loose"][0], amount=amount),)
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
        furnishings=chairs if amount else (),
        sources=(Position(name="S1", point=_spot(room, rng)),),
        microphones=tuple(Position(name=f"P{i}", point=_spot(room, rng)) for i in range(3)),
        seat=None,
        visits=(before,),
        shop=_shop(),
    )


def _l_shape(rng: Any, length: float, width: float, height: float) -> Room:
    length, width = max(length, 4.5), max(width, 3.8)
    x, y = float(rng.uniform(0.45, 0.7)) * length, float(rng.uniform(0.45, 0.7)) * width
    return Room(
        corners=((0, 0), (length, 0), (length, y), (x, y), (x, width), (0, width)),
        height_m=height,
        wall_names=("a", "b", "c", "d", "e", "f"),
    )


def _shop() -> Shop:
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
    return Shop(
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


def _spot(room: Room, rng: Any, off_m: float = 0.5) -> Point:
    """Somewhere in the room, clear of its walls; off the floor as a head is."""
    corners = np.array(room.corners)
    while True:
        x, y = rng.uniform(corners.min(axis=0) + off_m, corners.max(axis=0) - off_m)
        walls = [f for f in room.faces if f.kind == "wall"]
        at = Point(float(x), float(y), float(rng.uniform(1.0, room.height_m - 0.7)))
        if all(_clear(wall, at, off_m) for wall in walls) and _within(room, x, y):
            return at


def _clear(wall: Any, at: Point, off_m: float) -> bool:
    u, _, off = wall.to_face(at)
    return bool(abs(off) > off_m or u < -off_m or u > wall.width_m + off_m)


def _within(room: Room, x: float, y: float) -> bool:
    """Whether a place is over the floor: an odd number of walls to its right."""
    corners = np.array(room.corners)
    inside = False
    for (x1, y1), (x2, y2) in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        if (y1 > y) != (y2 > y) and x < x1 + (y - y1) / (y2 - y1) * (x2 - x1):
            inside = not inside
    return inside


def random_pieces(rng: Any, job: Job, share: float = 0.5) -> tuple[Placement, ...]:
    """Rows of panels on a random choice of faces."""
    placed: list[Placement] = []
    for face in (f for f in job.room.faces if f.kind != "floor"):
        if rng.random() < share:
            continue
        columns, rows = int((face.width_m - 0.2) / 0.66), int((face.height_m - 0.2) / 1.27)
        for i in range(int(rng.integers(1, max(columns * rows, 1) + 1))):
            place = Rectangle(0.1 + 0.66 * (i % columns), 0.1 + 1.27 * (i // columns), *PANEL_M)
            if not face.holds(place):
                continue
            name = f"A{len(placed)}"
            placed.append(Placement(name=name, piece="panel", face=face.name, place=place))
    return tuple(placed)


# ------------------------------------------------------------------------------------------ truth


def true_values(absorption: Any, rng: Any) -> Real:
    """Coefficients off from the table by its uncertainty, half of that alike in all bands, never
    below a fifth of it."""
    value = np.array([absorption.at(band) for band in BANDS_HZ])
    u = np.array([absorption.uncertainty_at(band) for band in BANDS_HZ])
    z = np.sqrt(ALIKE) * rng.standard_normal()
    z = z + np.sqrt(1 - ALIKE) * rng.standard_normal(len(BANDS_HZ))
    return np.minimum(np.maximum(value + u * z, 0.2 * value), 1.2)


def true_rooms(
    job: Job, pieces: tuple[Placement, ...], scatter: float, rng: Any
) -> tuple[TrueRoom, TrueRoom]:
    """The same room before and after, its coefficients drawn once."""
    keys = dict.fromkeys(key for _, key in job.materials)
    alphas = {key: true_values(absorption_of(key), rng) for key in keys}
    panel = true_values(piece_absorption(job.shop.piece("panel")), rng)
    bare = tuple(Cover(face=face, place=None, alpha=alphas[key]) for face, key in job.materials)
    hung = tuple(Cover(face=p.face, place=p.place, alpha=panel) for p in pieces)
    count = int(sum(f.amount for f in job.furnishings))
    air = conditions_of(job, "before", BANDS_HZ)
    common: dict[str, Any] = {
        "room": job.room,
        "chairs": _chairs(job.room, count, rng),
        "chair_m2": true_values(absorption_of(CHAIR), rng),
        "flat_chairs": bool(rng.random() < 0.5),
        "scatter": np.full(len(BANDS_HZ), scatter),
        "air_per_m": air.air_per_m,
        "speed_m_s": air.speed_m_s,
    }
    return TrueRoom(covers=bare, **common), TrueRoom(covers=(*bare, *hung), **common)


def _chairs(room: Room, count: int, rng: Any) -> tuple[tuple[float, float], ...]:
    """Lower corners of so many chairs that do not overlap. [m]"""
    placed: list[tuple[float, float]] = []
    while len(placed) < count:
        at = _spot(room, rng, 0.3)
        corner = at.x - CHAIR_M[0] / 2, at.y - CHAIR_M[1] / 2
        if all(np.abs(np.subtract(corner, other)).max() > max(CHAIR_M[:2]) for other in placed):
            placed.append(corner)
    return tuple(placed)


def ends_of(job: Job) -> list[tuple[Point, Point]]:
    return [(s.point, m.point) for s in job.sources for m in job.microphones]


def traced_pairs(true: TrueRoom, job: Job, rng: Any) -> Traced:
    """What each pair really has."""
    return traced(true, ends_of(job), rng)


T20_SD, EARLY_SD = 0.88, 1.75
"""Relative standard deviation of a decay time by chance, times the root of B T: of T20 by ISO
3382-2, Annex A, and of the early decay time by the same process over 10 dB. [1]"""


def chance_of(decays_s: Real, sd: float = T20_SD) -> Real:
    """Relative standard deviation by chance at one pair, (..., bands). [1]"""
    return np.asarray(sd / np.sqrt(0.71 * np.array(BANDS_HZ) * decays_s))


def measured(decays_s: Real, rng: Any, sd: float = T20_SD) -> Real:
    """Mean over the pairs, each with its chance. (bands,) [s]"""
    chance = chance_of(decays_s, sd)
    return np.asarray((decays_s * (1 + chance * rng.standard_normal(decays_s.shape))).mean(axis=0))


@dataclass(frozen=True, kw_only=True)
class Drawn:
    """A random room before anything is traced."""

    seed: int
    job: Job
    pieces: tuple[Placement, ...]
    now: TrueRoom
    then: TrueRoom
    """With the pieces hung."""
    scatter: float
    low_scatter: bool


def drawn_room(seed: int) -> Drawn:
    """One random room; a fifth are L-shaped, a third have a soft floor or ceiling beside bare
    walls."""
    rng = np.random.default_rng([seed, 16])
    job = random_job(rng, MATERIALS, ell=rng.random() < 0.2)
    pieces = random_pieces(rng, job, share=float(rng.choice([0.3, 0.6, 0.8])))
    low = bool(rng.random() < 0.4)
    ends = (0.02, LOW_SCATTER) if low else (LOW_SCATTER, 0.5)
    scatter = float(np.exp(rng.uniform(*np.log(ends))))
    now, then = true_rooms(job, pieces, scatter, rng)
    return Drawn(
        seed=seed,
        job=job,
        pieces=pieces,
        now=now,
        then=then,
        scatter=scatter,
        low_scatter=low,
    )


def known_of(drawn: Drawn, before_s: Real, early_s: Real, after_s: Real) -> Known:
    return Known(
        seed=drawn.seed,
        job=drawn.job,
        pieces=drawn.pieces,
        before_s=before_s,
        early_s=early_s,
        after_s=after_s,
        uneven=unevenness(drawn.then) >= UNEVEN,
        low_scatter=drawn.low_scatter,
        furnished=bool(drawn.job.furnishings),
        scatter=drawn.scatter,
    )


class Truths:
    """Traced rooms kept in a file, so that a changed predictor is judged again in seconds: each
    seed's decays at the pairs before and after, and how well they are known; the early decays of
    the room before, which need fewer particles."""

    def __init__(self, path: Path | None) -> None:
        self.path = path
        self.kept: dict[str, dict[str, list[Any]]] = {}
        if path is not None and path.exists():
            self.kept = json.loads(path.read_text())

    def room(self, seed: int) -> Known:
        drawn = drawn_room(seed)
        if str(seed) not in self.kept:
            rng = np.random.default_rng([seed, 17])
            found = [traced_pairs(true, drawn.job, rng) for true in (drawn.now, drawn.then)]
            self.kept[str(seed)] = {
                "decays_s": [each.decays_s.round(5).tolist() for each in found],
                "early_s": found[0].early_s.round(5).tolist(),
                "error": [float(each.error.max().round(4)) for each in found],
            }
            self.save()
        kept = self.kept[str(seed)]
        if "early_s" not in kept:
            rng = np.random.default_rng([seed, 55])
            found = traced(drawn.now, ends_of(drawn.job), rng, PARTICLES)
            kept["early_s"] = found.early_s.round(5).tolist()
            self.save()
        rng = np.random.default_rng([seed, 18])
        before, after = (measured(np.array(T), rng) for T in kept["decays_s"])
        early = measured(np.array(kept["early_s"]), np.random.default_rng([seed, 19]), EARLY_SD)
        return known_of(drawn, before, early, after)

    def save(self) -> None:
        if self.path is not None:
            self.path.write_text(json.dumps(self.kept))

    def error(self, seed: int) -> float:
        """Relative standard error of the traced mean in the worse state and band. [1]"""
        return max(self.kept[str(seed)]["error"])


def unevenness(true: TrueRoom) -> float:
    """Mean coefficient of the most over that of the least absorbing pair of faces, 1 kHz. [1]"""
    areas, total = np.zeros(3), np.zeros(3)
    one_khz = BANDS_HZ.index(1000.0)
    for face in true.room.faces:
        axis = int(np.argmax(np.abs(face.normal)))
        here = [c for c in true.covers if c.face == face.name]
        bare = float(here[0].alpha[one_khz])
        hung = sum(c.place.area_m2 * (c.alpha[one_khz] - bare) for c in here if c.place)
        areas[axis] += face.area_m2
        total[axis] += face.area_m2 * bare + hung
    loose = len(true.chairs) * float(true.chair_m2[one_khz])
    total[2] += loose
    return float((total / areas).max() / (total / areas).min())


# ------------------------------------------------------------------------------------- prediction


def analysis_of(found: Any, u: Any, transition: float, early: Any = None) -> Analysis:
    """A visit with these T20 and early decay times, the former with their relative standard
    uncertainty. (bands,) each [s], [1]"""
    octaves = []
    for i, (band_hz, T, r) in enumerate(zip(BANDS_HZ, found, u, strict=True)):
        edt = None
        if early is not None:
            chance = EARLY_SD / np.sqrt(0.71 * band_hz * early[i] * 3)
            edt = Estimate(value=float(early[i]), u=float(early[i] * chance), n=3)
        t20 = Estimate(value=float(T), u=float(T * r), n=3)
        octaves.append(BandMean(band_hz=band_hz, edt=edt, t20=t20))
    return Analysis(
        visit="before",
        positions=(),
        octaves=tuple(octaves),
        thirds=(),
        transition_hz=transition,
        mid_s=None,
        mid_u_s=None,
        grade="none",
    )


def visit_of(job: Job, before_s: Real, early_s: Real | None) -> Analysis:
    """What its pairs measured in a room before."""
    u = chance_of(before_s) / np.sqrt(len(ends_of(job)))
    transition = 2000 * np.sqrt(float(before_s[list(MID)].mean()) / job.room.volume_m3)
    return analysis_of(before_s, u, transition, early_s)


def predicted(known: Known) -> Prediction:
    """What the predictor says of a room, told what was measured before."""
    before = visit_of(known.job, known.before_s, known.early_s)
    return predict(known.job, known.pieces, before)


HEADER = (
    "seed,uneven,low_scatter,furnished,band_hz,true_s,low_s,likely_s,high_s,"
    "before_s,eyring_s,simulated_s,scatter,accused"
)
Row = tuple[float, ...]


def rows_of(known: Known, told: Prediction) -> list[Row]:
    """One row an octave above the transition, and one for the mean (band 0)."""
    kind = (known.seed, known.uneven, known.low_scatter, known.furnished)
    accused = bool(told.notes) and any(str(n.kind).startswith("unexplained") for n in told.notes)
    rows: list[Row] = []
    for i, band in enumerate(BANDS_HZ):
        a = next(b for b in told.after if b.band_hz == band)
        if a.likely_s is None or a.low_s is None or a.high_s is None:
            continue
        ends = (a.low_s, a.likely_s, a.high_s)
        rest = (known.before_s[i], a.eyring_s or np.nan, a.simulated_s or np.nan)
        rows.append((*kind, band, known.after_s[i], *ends, *rest, known.scatter, accused))
    if told.mid_likely_s and told.mid_low_s and told.mid_high_s:
        true = float(known.after_s[list(MID)].mean())
        ends = (told.mid_low_s, told.mid_likely_s, told.mid_high_s)
        nan = (np.nan, np.nan, np.nan)
        rows.append((*kind, 0.0, true, *ends, *nan, known.scatter, accused))
    return rows


# ------------------------------------------------------------------------------------------ table


def classes(rows: Real) -> list[tuple[str, Real]]:
    """Names and rows: all, by class, by octave, the mean."""
    octaves = rows[rows[:, 4] > 0]
    found = [("all octaves", octaves), ("mean 500, 1000 Hz", rows[rows[:, 4] == 0])]
    for uneven in (0, 1):
        name = ("even", "uneven")[uneven]
        here = octaves[octaves[:, 1] == uneven]
        found.append((name, here))
        for low in (0, 1):
            scattered = here[here[:, 2] == low]
            words = f"{name}, {('ordinary', 'low')[low]} scattering"
            found.append((words, scattered))
            for furnished in (0, 1):
                rest = scattered[scattered[:, 3] == furnished]
                found.append((f"{words}, {('bare', 'furnished')[furnished]}", rest))
    found += [(f"{band:g} Hz", octaves[octaves[:, 4] == band]) for band in BANDS_HZ]
    return [(name, r) for name, r in found if len(r)]


@dataclass(frozen=True, kw_only=True)
class Share:
    """One line of the table."""

    name: str
    rooms: int
    values: int
    inside: float
    low: float
    high: float
    """95 % interval of the share inside, bootstrap by room [1]."""
    width: float
    """Median of the range's width over the likely value [1]."""
    bias: float
    """Median of likely over true, less 1 [1]."""
    longer: float
    """Share of values above the range [1]."""


def share_of(name: str, rows: Real, draws: int = 2000) -> Share:
    inside = (rows[:, 5] >= rows[:, 6]) & (rows[:, 5] <= rows[:, 8])
    rooms, at = np.unique(rows[:, 0], return_inverse=True)
    hits, sizes = np.bincount(at, inside), np.bincount(at)
    rng = np.random.default_rng(0)
    again = rng.integers(0, len(rooms), (draws, len(rooms)))
    shares = hits[again].sum(axis=1) / sizes[again].sum(axis=1)
    low, high = np.quantile(shares, (0.025, 0.975))
    return Share(
        name=name,
        rooms=len(rooms),
        values=len(rows),
        inside=float(inside.mean()),
        low=float(low),
        high=float(high),
        width=float(np.median((rows[:, 8] - rows[:, 6]) / rows[:, 7])),
        bias=float(np.median(rows[:, 7] / rows[:, 5]) - 1),
        longer=float((rows[:, 5] > rows[:, 8]).mean()),
    )


def table(rows: Real) -> list[Share]:
    return [share_of(name, r) for name, r in classes(rows)]


def width_for(rows: Real, share: float = 0.9) -> float:
    """Median width that ranges would have of which exactly such a share held: each stretched about
    its likely value by the same factor, by the quantile of |error| over its stated standard
    deviation. [1]"""
    error = np.abs(np.log(rows[:, 5] / rows[:, 7]))
    stated = np.log(rows[:, 8] / rows[:, 6]) / 2
    factor = float(np.quantile(error / stated, share))
    return factor * float(np.median((rows[:, 8] - rows[:, 6]) / rows[:, 7]))


def accused(rows: Real) -> float:
    """Share of the rooms, all typed rightly, whose measurement is called unexplained. [1]"""
    return float(np.mean([rows[rows[:, 0] == seed][0, 13] for seed in np.unique(rows[:, 0])]))


def rows_for(seeds: Sequence[int], *, quiet: bool = False, kept: Path | None = None) -> Real:
    rows: list[Row] = []
    truths = Truths(kept)
    for done, seed in enumerate(seeds, 1):
        known = truths.room(seed)
        rows += rows_of(known, predicted(known))
        if not quiet:
            print(f"\r{done} of {len(seeds)} rooms", end="", file=sys.stderr)
    return np.array(rows, dtype=float)


@contextmanager
def without(term: str) -> Iterator[None]:
    """The same predictor, one term of its range left out: what is left of the width says how much
    of it that term makes."""
    with ExitStack() as patches:

        def patch(module: Any, name: str, value: Any) -> None:
            patches.enter_context(mock.patch.object(module, name, value))

        rows_of_tables, scatter = before_after.log_rows, before_after._scatter_of_mean
        if term == "pieces":
            patch(before_after, "log_rows", lambda *a: (rows_of_tables(*a)[0], _none(*a)))
        if term == "model":
            for module in (before_after, statistics):
                patch(module, "model_sd", lambda ratio: np.full(np.shape(ratio), 1e-3))
        if term == "next measurement":
            patch(before_after, "_scatter_of_mean", lambda *a: 0 * scatter(*a))
        yield


@contextmanager
def scatter_known(scatter: float) -> Iterator[None]:
    """The predictor as one who knew how much a room scatters, alike in all octaves."""
    with ExitStack() as patches:
        for module in (before_after, statistics):
            patches.enter_context(mock.patch.object(module, "SCATTER_NODES", np.array([scatter])))
        patches.enter_context(mock.patch.object(statistics, "_SCATTER_BANDS_SD", 0.05))
        yield


def rows_if_known(seeds: Sequence[int], kept: Path | None = None) -> Real:
    """The rows of one who knew how much each room scatters: the floor of what is reachable."""
    rows: list[Row] = []
    truths = Truths(kept)
    for seed in seeds:
        known = truths.room(seed)
        with scatter_known(known.scatter):
            rows += rows_of(known, predicted(known))
    return np.array(rows, dtype=float)


TERMS = ("", "pieces", "model", "next measurement")
"""What a range is made without, in turn; the first is the whole."""


def _none(absorptions: Any, bands_hz: Any) -> Real:
    return np.full((len(absorptions), len(bands_hz)), 1e-6)


def terms(seeds: Sequence[int], kept: Path | None = None) -> list[tuple[str, str, float, float]]:
    """(term left out, class, share inside, median width) of all octaves and of even and uneven
    rooms."""
    found = []
    for term in TERMS:
        with without(term):
            rows = rows_for(seeds, quiet=True, kept=kept)
        for name, some in classes(rows):
            if name in ("all octaves", "even", "uneven"):
                line = share_of(name, some)
                found.append((term, name, line.inside, line.width))
    return found


def write_terms(found: Sequence[tuple[str, str, float, float]], path: Path) -> None:
    with path.open("w", newline="") as file:
        file.write("without,class,inside,width\n")
        csv.writer(file).writerows([[t, c, f"{i:.4f}", f"{w:.4f}"] for t, c, i, w in found])


def read(path: Path) -> Real:
    """Rows as `write` kept them."""
    return np.loadtxt(path, delimiter=",", skiprows=1)


def write(rows: Real, path: Path) -> None:
    with path.open("w", newline="") as file:
        file.write(HEADER + "\n")
        csv.writer(file).writerows([[f"{x:.7g}" for x in row] for row in rows])


def write_figures(folder: Path, kept: Path | None) -> None:
    """Every file that the section is made of."""
    for start, count, name in SETS:
        write(rows_for(range(start, start + count), kept=kept), folder / name)
        print(f" {name}", file=sys.stderr)
    first = range(SETS[0][0], SETS[0][0] + SETS[0][1])
    write(rows_if_known(first, kept), folder / KNOWN)
    write_terms(terms(first, kept), folder / TERMS_KEPT)


def main() -> None:
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n", maxsplit=1)[0])
    parser.add_argument("rooms", type=int, nargs="?", default=60)
    parser.add_argument("--unseen", action="store_true", help="rooms that nothing was tuned on")
    parser.add_argument("--keep", type=Path, metavar="CSV", help="keep every octave in a file")
    parser.add_argument("--terms", type=Path, metavar="CSV", help="what makes the width, kept")
    parser.add_argument("--known", type=Path, metavar="CSV", help="scattering known, kept")
    parser.add_argument("--truths", type=Path, metavar="JSON", help="traced rooms, kept")
    parser.add_argument("--figures", type=Path, metavar="FOLDER", help="all of the section's files")
    args = parser.parse_args()
    if args.figures:
        write_figures(args.figures, args.truths)
        return
    started = time.perf_counter()
    start = UNSEEN if args.unseen else 0
    if args.terms:
        found = terms(range(start, start + args.rooms), args.truths)
        write_terms(found, args.terms)
        print(*found, sep="\n")
        return
    if args.known:
        write(rows_if_known(range(start, start + args.rooms), args.truths), args.known)
        return
    rows = rows_for(range(start, start + args.rooms), kept=args.truths)
    if args.keep:
        write(rows, args.keep)
    print()
    for line in table(rows):
        print(
            f"{line.name:>45}: {line.rooms:3d} rooms {line.values:4d} values, inside "
            f"{line.inside:.3f} ({line.low:.2f} to {line.high:.2f}), above {line.longer:.3f}, "
            f"width {line.width:.2f}, likely off {line.bias:+.3f}"
        )
    print(f"called unexplained: {accused(rows):.1%} of the rooms, all of them typed rightly")
    print(f"{args.rooms} rooms in {time.perf_counter() - started:.0f} s")


if __name__ == "__main__":
    main()
