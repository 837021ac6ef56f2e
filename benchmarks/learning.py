"""Does a shop that learns from its verified jobs promise narrower, and still hold?

    python benchmarks/learning.py 50 --truths rooms.json --journal lessons.json

So many made-up shops, each with nine jobs in traced rooms (`ranges.py`), foreseen as a client is told,
image paths followed. A shop's rooms are alike in how much they scatter, or of any kind; its pieces
absorb as computed, or less, by a factor of its own that the traced decays are moved by. After each
job the shop learns. Printed per number of jobs learned from: share of octaves inside the range (0.90
promised) and median width, the same without learning, and the width for one who knows the shop's
pieces, its rooms' scattering and the model's mean error and spread there exactly. Shops are of one
half of the rooms each; the judgements in `job/taught` were made on the first.
"""

from __future__ import annotations

import argparse
import csv
import dataclasses
import json
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ranges import BANDS_HZ, Known, Truths, analysis_of, drawn_room
from roomcheck.analyse import Analysis, PositionDecays
from roomcheck.job import AtScatter, Job, Lesson, Share
from roomcheck.job.read.learned import learned_shop
from roomcheck.job.taught.pieces import SHARED, factors
from roomcheck.job.taught.rooms import BAND_CORRELATION
from roomcheck.predict import piece_absorption, predict
from roomcheck.predict.answer.before_after import BeforeAfter, before_after
from roomcheck.predict.answer.statistics import relative_scatter
from roomcheck.verify import learn

Real = NDArray[np.float64]

JOBS = 9
AFTER = (0, 1, 3, 5, 8)
"""Jobs learned from when the next one is held against its range."""
LESS = np.linspace(-0.6, 0.4, 11)
"""Log factors of the pieces' absorption at which a room's decay is worked out. [log]"""
FAR_OFF = 0.75
"""A shop whose panels absorb a quarter less than computed: thin fabric glued on, boards too dense.
[1]"""


@dataclass(frozen=True, kw_only=True)
class Kind:
    """A kind of made-up shops."""

    name: str
    alike: bool
    """Whether its rooms scatter alike."""
    factor: float | None
    """What its pieces really absorb over what is computed; None as unsure as that is [1]."""


KINDS = (
    Kind(name="alike, pieces as believed", alike=True, factor=None),
    Kind(name="alike, pieces absorb 15 % less", alike=True, factor=0.85),
    Kind(name="alike, pieces absorb 25 % less", alike=True, factor=0.75),
    Kind(name="any, pieces as believed", alike=False, factor=None),
)


@dataclass(frozen=True, kw_only=True)
class Told:
    """A traced room as a shop meets it."""

    lesson: Lesson
    """With the pieces as they were traced."""
    likely: Real
    """(octaves,): ln of the decay foreseen without learning [log s]."""
    moved: Real
    """(factors, octaves): what `LESS` makes of the decay [log]."""
    traced: Real
    """(octaves,): what its traced pieces absorb over what is computed [log]."""
    plain: Real
    """(octaves, 2): ln of the range without learning [log s]."""


class Rooms:
    """What each traced room teaches and what was foreseen of it: worked out once and kept."""

    def __init__(self, truths: Truths, journal: Path | None = None) -> None:
        self.truths, self.journal = truths, journal
        self.kept: dict[str, Any] = {}
        if journal is not None and journal.is_file():
            self.kept = json.loads(journal.read_text())

    def job(self, seed: int) -> tuple[Job, Known]:
        known = self.truths.room(seed)
        after = dataclasses.replace(known.job.visits[0], name="after", date="2026-06-15")
        return dataclasses.replace(known.job, visits=(known.job.visits[0], after)), known

    def told(self, seed: int) -> Told:
        if str(seed) not in self.kept:
            self.kept[str(seed)] = self._told(seed)
            self.save()
        kept = dict(self.kept[str(seed)])
        lesson = dict(kept.pop("lesson"))
        lesson["shares"] = tuple(Share(**_tuples(share)) for share in lesson["shares"])
        lesson["scatters"] = tuple(AtScatter(**_tuples(one)) for one in lesson["scatters"])
        arrays = {name: np.array(values) for name, values in kept.items()}
        return Told(lesson=Lesson(**_tuples({**lesson, "job": str(seed)})), **arrays)

    def _told(self, seed: int) -> dict[str, Any]:
        job, known = self.job(seed)
        before = visited("before", job, known.before_s, known.early_s)
        after = visited("after", job, known.after_s)
        lesson = learn(job, before, after, known.pieces)
        at = [BANDS_HZ.index(hz) for hz in lesson.bands_hz]
        told = {b.band_hz: b for b in predict(job, known.pieces, before).after}
        here = [told[hz] for hz in lesson.bands_hz]
        seen = before_after(job, known.pieces, before)
        return {
            "lesson": dataclasses.asdict(lesson),
            "likely": np.log([b.likely_s for b in here]).tolist(),
            "moved": moved(seen, job, lesson.bands_hz).tolist(),
            "traced": traced_factor(seed, job)[at].tolist(),
            "plain": np.log([[b.low_s, b.high_s] for b in here]).tolist(),
        }

    def foreseen(self, seed: int, lessons: Sequence[Lesson], key: str) -> Real:
        """Log range of every octave with what these lessons taught, (octaves, 2). [log s]"""
        if key not in self.kept:
            job, known = self.job(seed)
            taught = dataclasses.replace(job, shop=learned_shop(job.shop, lessons))
            said = predict(
                taught, known.pieces, visited("before", job, known.before_s, known.early_s)
            ).after
            ends = {b.band_hz: (b.low_s, b.high_s) for b in said}
            here = [ends[hz] for hz in self.told(seed).lesson.bands_hz]
            self.kept[key] = np.log(np.array(here, dtype=float)).tolist()
            self.save()
        return np.array(self.kept[key])

    def save(self) -> None:
        if self.journal is not None:
            self.journal.write_text(json.dumps(self.kept))


def _tuples(values: dict[str, Any]) -> dict[str, Any]:
    return {k: tuple(v) if isinstance(v, list) else v for k, v in values.items()}


def visited(name: str, job: Job, decays_s: Any, early_s: Any = None) -> Analysis:
    """One visit as three pairs measure it."""
    pairs = len(job.sources) * len(job.microphones)
    u = [relative_scatter(hz, float(T), pairs) for hz, T in zip(BANDS_HZ, decays_s, strict=True)]
    transition = 2000 * np.sqrt(float(decays_s[1:3].mean()) / job.room.volume_m3)
    places = tuple(
        PositionDecays(source="S1", microphone=m.name, take="", octaves=(), thirds=())
        for m in job.microphones
    )
    found = analysis_of(decays_s, u, transition, early_s)
    return dataclasses.replace(found, visit=name, positions=places)


def traced_factor(seed: int, job: Job) -> Real:
    """What the panels of a traced room absorb over what is computed, (bands,). [log]"""
    computed = piece_absorption(job.shop.piece("panel"))
    values = np.array([computed.at(hz) for hz in BANDS_HZ], dtype=float)
    panels = [cover.alpha for cover in drawn_room(seed).then.covers if cover.place is not None]
    return np.asarray(np.log(panels[-1] / values))


def moved(seen: BeforeAfter, job: Job, bands_hz: Sequence[float]) -> Real:
    """What each of `LESS` makes of the decay after, (factors, octaves). [log]"""
    then, scatter = seen.then, seen.room.believed.mean[-2]
    row = then.keys.index(piece_absorption(job.shop.piece("panel")).key)
    at = [then.bands_hz.index(hz) for hz in bands_hz]
    found = []
    for factor in LESS:
        middle = then.middle.copy()
        middle[row] += factor
        found.append(np.log(dataclasses.replace(then, middle=middle).formulas_s(scatter)[2][at]))
    return np.array(found) - found[int(np.argmin(np.abs(LESS)))]


# ------------------------------------------------------------------------------------------ shops


def shops_of(seeds: Sequence[int], count: int, *, alike: bool) -> list[list[int]]:
    """So many made-up shops: the nine rooms that scatter most alike around one of them, or any."""
    hung = [seed for seed in seeds if drawn_room(seed).pieces]
    scatter = np.log([drawn_room(seed).scatter for seed in hung])
    rng = np.random.default_rng(5)
    found = []
    for _ in range(count):
        away = np.abs(scatter - rng.choice(scatter)) if alike else rng.random(len(hung))
        found.append([hung[i] for i in rng.permutation(np.argsort(away)[:JOBS])])
    return found


def drawn_factors(told: Told, factor: float | None, rng: Any, share: float) -> Real:
    """Of its pieces' unsure absorption this share, drawn; or a given factor. (octaves,) [log]"""
    if factor is not None:
        return np.full(len(told.likely), np.log(factor))
    z = np.sqrt(BAND_CORRELATION) * rng.standard_normal()
    z = z + np.sqrt(1 - BAND_CORRELATION) * rng.standard_normal(len(BANDS_HZ))
    at = [BANDS_HZ.index(hz) for hz in told.lesson.bands_hz]
    return np.asarray(np.sqrt(share) * np.array(told.lesson.shares[0].prior) * z[at])


@dataclass(frozen=True, kw_only=True)
class Met:
    """A shop's job as it came out."""

    seed: int
    told: Told
    true: Real
    """(octaves,): ln of the decay with the shop's own pieces [log s]."""
    lesson: Lesson
    factor: Real
    """(octaves,): what its pieces absorb over what is computed, in all jobs [log]."""


def met(rooms: Rooms, seeds: Sequence[int], kind: Kind, shop: int) -> list[Met]:
    """A shop's jobs, its own pieces in place of the traced ones."""
    found = []
    for seed in seeds:
        told = rooms.told(seed)
        own = drawn_factors(told, kind.factor, np.random.default_rng([shop, 1]), SHARED)
        job = drawn_factors(told, None, np.random.default_rng([shop, seed, 2]), 1 - SHARED)
        change = _at(told, own + job) - _at(told, told.traced)
        off = np.array(told.lesson.off) + change
        lesson = dataclasses.replace(told.lesson, off=tuple(off.tolist()))
        one = Met(seed=seed, told=told, true=told.likely + off, lesson=lesson, factor=own)
        found.append(one)
    return found


def _at(told: Told, factor: Real) -> Real:
    columns = zip(factor, told.moved.T, strict=True)
    return np.array([np.interp(g, LESS, column) for g, column in columns])


def floor(jobs: Sequence[Met]) -> Real:
    """Log width of the nine-in-ten range of every octave of every job, for one who knows how the
    shop's rooms scatter and what its pieces absorb, and where and how wide the rest is."""
    scatter = np.log([drawn_room(one.seed).scatter for one in jobs])
    middle, width = scatter.mean(), max(float(scatter.std(ddof=1)), 0.2)
    off, sd = [], []
    for one in jobs:
        cases = one.lesson.scatters
        at = np.log([case.scatter for case in cases])
        w = np.array([case.weight for case in cases]) * np.exp(-0.5 * ((at - middle) / width) ** 2)
        w /= w.sum()
        away, spread = (np.array([getattr(c, name) for c in cases]) for name in ("away", "spread"))
        mean = w @ away
        pull, prior = np.array(one.lesson.shares[0].pull), np.array(one.lesson.shares[0].prior)
        pieces = (1 - SHARED) * (pull * prior) ** 2
        sd.append(np.sqrt(w @ (spread**2 + (away - mean) ** 2) + pieces))
        off.append(np.array(one.lesson.off) - mean - _at(one.told, one.factor))
    z = np.concatenate(off) / np.concatenate(sd)
    scale = np.quantile(np.abs(z - z.mean()), 0.9)
    return np.asarray(2 * scale * np.concatenate(sd))


Row = tuple[float, ...]


def one_shop(
    rooms: Rooms, seeds: Sequence[int], kind: Kind, shop: int, until: float
) -> tuple[list[Row], Real] | None:
    """(jobs learned from, true, low, high, low and high without learning) of every octave, and the
    floor's widths; None where time is up."""
    jobs = met(rooms, seeds, kind, shop)
    rows: list[Row] = []
    for done in AFTER:
        if time.monotonic() > until:
            return None
        here, plain = jobs[done], jobs[done].told.plain
        said = plain
        if done:
            lessons = [one.lesson for one in jobs[:done]]
            key = f"{kind.name}, shop {shop} of {len(rooms.truths.kept)}, {seeds[0]}: {done}"
            said = rooms.foreseen(here.seed, lessons, key)
        for true, ends, untaught in zip(here.true, said, plain, strict=True):
            rows.append((done, true, *ends, *untaught))
    return rows, floor(jobs)


@dataclass(frozen=True, kw_only=True)
class Line:
    """Shops of one kind after so many jobs."""

    shops: str
    learned_from: int
    octaves: int
    inside: float
    width: float
    inside_plain: float
    width_plain: float
    floor: float
    """ln high/low, like both widths [log]."""


def line_of(name: str, done: int, rows: Any, widths: Real) -> Line:
    r = rows[rows[:, 0] == done]
    true, taught, plain = r[:, 1], r[:, 2:4], r[:, 4:6]
    inside, untaught = ((true >= e[:, 0]) & (true <= e[:, 1]) for e in (taught, plain))
    return Line(
        shops=name,
        learned_from=done,
        octaves=len(r),
        inside=float(inside.mean()),
        width=float(np.median(taught[:, 1] - taught[:, 0])),
        inside_plain=float(untaught.mean()),
        width_plain=float(np.median(plain[:, 1] - plain[:, 0])),
        floor=float(np.median(widths)),
    )


def measure(shops: int, rooms: Rooms, seeds: Sequence[int], minutes: float) -> list[Line]:
    """All kinds of shops, half of each in either half of the rooms; without those that were not
    reached."""
    until = time.monotonic() + 60 * minutes
    lines: list[Line] = []
    for kind in KINDS:
        halves = []
        for half in (0, 1):
            some = [seed for seed in seeds if seed % 2 == half]
            drawn = shops_of(some, shops // 2, alike=kind.alike)
            found = [one_shop(rooms, one, kind, n, until) for n, one in enumerate(drawn)]
            halves.append([one for one in found if one is not None])
        print(kind.name, [len(each) for each in halves], flush=True)
        for name, some_shops in (
            (kind.name, halves[0] + halves[1]),
            (SECOND + kind.name, halves[1]),
        ):
            if some_shops:
                rows = np.array([row for each, _ in some_shops for row in each])
                widths = np.concatenate([each for _, each in some_shops])
                lines += [line_of(name, done, rows, widths) for done in AFTER]
    return lines


SECOND = "second half of the rooms: "


def write(found: Sequence[Line], shops: int, path: Path) -> None:
    with path.open("w", newline="") as file:
        names = [field.name for field in dataclasses.fields(Line)]
        rows = csv.writer(file)
        rows.writerow(["of", *names])
        rows.writerows([shops, *dataclasses.astuple(line)] for line in found)


def read(path: Path) -> tuple[int, list[Line]]:
    """Number of shops and lines, as `write` kept them."""
    found, shops = [], 0
    with path.open(newline="") as file:
        for row in csv.DictReader(file):
            shops = int(row.pop("of"))
            counts = {key: int(row.pop(key)) for key in ("learned_from", "octaves")}
            name = row.pop("shops")
            shares: dict[str, Any] = {key: float(value) for key, value in row.items()}
            found.append(Line(shops=name, **counts, **shares))
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
                    mean, sd = factors(tuple(said)).get(("panel", octaves[1]), (0.0, own))
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
    parser.add_argument("--rooms", type=int, default=140, help="where no traced ones are kept")
    parser.add_argument("--truths", type=Path, metavar="JSON", help="traced rooms, kept")
    parser.add_argument("--journal", type=Path, metavar="JSON", help="what rooms teach, kept")
    parser.add_argument("--keep", type=Path, metavar="CSV", help="keep the table in a file")
    parser.add_argument("--minutes", type=float, default=15.0)
    args = parser.parse_args()
    rooms = Rooms(Truths(args.truths), args.journal)
    seeds = sorted(int(seed) for seed in rooms.truths.kept) or range(args.rooms)
    found = measure(args.shops, rooms, seeds, args.minutes)
    if args.keep:
        write(found, args.shops, args.keep)
    for line in found:
        print(
            f"{line.shops}, {line.learned_from} jobs learned: {line.octaves} octaves, inside "
            f"{line.inside:.2f}, width {line.width:.3f}; without learning inside "
            f"{line.inside_plain:.2f}, width {line.width_plain:.3f}; floor {line.floor:.3f}"
        )


if __name__ == "__main__":
    main()
