"""Rooms of known geometry: are their reflections found, named and placed?

    python benchmarks/reflections.py [ROOMS]

The truth comes from pyroomacoustics' image sources, code that roomcheck's own finder shares nothing
with: random boxes and L-shaped rooms, images up to third or fourth order, each surface with its own
absorption, a diffuse tail, noise, and a loudspeaker that smears (two ways with a crossover, a
cabinet edge, a resonance).
"""

from __future__ import annotations

import math
import sys
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.signal import butter, sosfilt

from roomcheck.geometry import Point, Room

RATE = 48_000
C = 343.2
Real = NDArray[np.float64]


@dataclass(frozen=True)
class Truth:
    """One image: walls it met (source first), delay after the direct sound [s], level re direct
    [dB]."""

    names: tuple[str, ...]
    delay_s: float
    level_db: float
    point: tuple[float, float, float] | None


@dataclass(frozen=True)
class Made:
    """A made-up room with one response per pair."""

    room: Room
    sources: tuple[Point, ...]
    microphones: tuple[Point, ...]
    alphas: dict[str, float]
    images: dict[tuple[int, int], list[Truth]]
    responses: dict[tuple[int, int], Real]


def loudspeaker(rng: np.random.Generator) -> Real:
    """A small two-way loudspeaker's response to a click: crossover, cabinet edge, one resonance."""
    x = np.zeros(1024)
    x[16] = 1.0
    cross = rng.uniform(1800, 3200)
    low = sosfilt(butter(2, cross, "low", fs=RATE, output="sos"), x)
    low = sosfilt(butter(2, cross, "low", fs=RATE, output="sos"), low)
    high = sosfilt(butter(2, cross, "high", fs=RATE, output="sos"), x)
    high = sosfilt(butter(2, cross, "high", fs=RATE, output="sos"), high)
    y = low + high
    edge = round(rng.uniform(0.25e-3, 0.45e-3) * RATE)
    y[edge:] += -(10 ** (rng.uniform(-18, -13) / 20)) * y[:-edge].copy()
    f = rng.uniform(3000, 7000)
    t = np.arange(300) / RATE
    ring = np.exp(-math.pi * f / rng.uniform(6, 12) * t) * np.sin(2 * math.pi * f * t)
    y = y + 0.15 * np.convolve(y, ring)[: len(y)]
    y = sosfilt(butter(2, 70, "high", fs=RATE, output="sos"), y)
    return sosfilt(butter(4, 20_000, "low", fs=RATE, output="sos"), y)


def random_room(rng: np.random.Generator, shape: str) -> Room:
    length, width, height = rng.uniform(3.5, 8), rng.uniform(2.8, 6), rng.uniform(2.3, 3.3)
    if shape == "box":
        return Room.box(length, width, height)
    cut_x, cut_y = rng.uniform(0.3, 0.5) * length, rng.uniform(0.3, 0.5) * width
    corners = ((0.0, 0.0), (length, 0.0), (length, width - cut_y), (length - cut_x, width - cut_y),
               (length - cut_x, width), (0.0, width))  # fmt: skip
    return Room(corners, height, ("south", "east", "inner north", "inner east", "north", "west"))


def make(
    seed: int,
    shape: str,
    *,
    sources: int = 2,
    microphones: int = 3,
    off_m: float = 0.0,
    things: int = 0,
    smear: Real | None = None,
) -> Made:
    """One room with its pairs.

    `off_m` is the standard deviation of what is typed about the positions, along each axis;
    `things` are objects that send one arrival each to every microphone, at a moment of their own;
    `smear` is the loudspeaker's response to a click, a simulated one where none is given.
    """
    import pyroomacoustics as pra

    rng = np.random.default_rng(seed)
    room = random_room(rng, shape)
    places = _places(rng, room, sources + microphones)
    heard, spoken = places[sources:], places[:sources]
    alphas = {face.name: float(rng.uniform(0.05, 0.6)) for face in room.faces}
    walls = {name: pra.Material(alpha) for name, alpha in alphas.items()}
    plan = np.array(room.corners).T
    model = pra.Room.from_corners(
        plan,
        fs=RATE,
        max_order=4 if shape == "box" else 3,
        materials=[walls[n] for n in room.wall_names],
    )
    model.extrude(room.height_m, materials={"floor": walls["floor"], "ceiling": walls["ceiling"]})
    model.set_sound_speed(C)
    for s in spoken:
        model.add_source(list(s))
    for m in heard:
        model.add_microphone(list(m))
    model.image_source_model()
    made: dict[tuple[int, int], list[Truth]] = {}
    responses = {}
    drawn = loudspeaker(rng)
    smear = drawn if smear is None else smear
    for i in range(sources):
        for j in range(microphones):
            made[i, j], responses[i, j] = _pair(
                rng, model, (i, j), (spoken[i], heard[j]), smear, room, things
            )
    typed = [Point(*(p + off_m * rng.standard_normal(3))) for p in places]
    return Made(room, tuple(typed[:sources]), tuple(typed[sources:]), alphas, made, responses)


def _places(rng: np.random.Generator, room: Room, count: int) -> list[Point]:
    found: list[Point] = []
    xs, ys = zip(*room.corners, strict=True)
    while len(found) < count:
        p = Point(
            float(rng.uniform(0, max(xs))),
            float(rng.uniform(0, max(ys))),
            float(rng.uniform(0.9, 1.7)),
        )
        apart = all(math.dist(p, q) > 1.0 for q in found)
        steps = np.linspace(0, 1, 500)[:, None]
        clear = all(
            room.holds(Point(*way))
            for q in found
            for way in np.array(p) + steps * np.subtract(q, p)
        )
        if room.holds(p, 0.5) and apart and clear:
            found.append(p)
    return found


def _pair(
    rng: np.random.Generator,
    model: Any,
    at: tuple[int, int],
    ends: tuple[Point, Point],
    smear: Real,
    room: Room,
    things: int,
) -> tuple[list[Truth], Real]:
    (i, j), (s, m) = at, ends
    source = model.sources[i]
    seen = np.asarray(model.visibility[i][j], dtype=bool)
    images, damping = (
        np.asarray(source.images, dtype=float).T[seen],
        np.asarray(source.damping)[0][seen],
    )
    length = np.linalg.norm(images - np.array(m), axis=1)
    direct = math.dist(s, m)
    truths = []
    for n, k in enumerate(np.flatnonzero(seen)):
        if source.orders[k] == 0:
            continue
        names = _names(room, s, images[n], int(source.orders[k]))
        level = 20 * math.log10(direct / length[n] * damping[n])
        point = _meeting(room, names[0], images[n], m) if len(names) == 1 else None
        truths.append(Truth(names, float((length[n] - direct) / C), float(level), point))
    f = np.fft.rfftfreq(1 << 14, 1 / RATE)
    lead = 0.01
    H = np.zeros(len(f), dtype=complex)
    for d, a in zip(length, damping, strict=True):
        H += a / d * np.exp(-2j * math.pi * f * (lead + d / C))
    for _ in range(things):
        late, level = float(rng.uniform(0.0012, 0.012)), float(rng.uniform(-14, -6))
        truths.append(Truth(("a thing",) * 3, late, level, None))
        H += 10 ** (level / 20) / direct * np.exp(-2j * math.pi * f * (lead + direct / C + late))
    if 0 not in source.orders[seen]:
        raise RuntimeError("the source is out of sight")
    x = np.fft.irfft(H * np.fft.rfft(smear, 1 << 14))
    t = np.arange(len(x)) / RATE - lead
    noise = 10 ** (-65 / 20) / direct * rng.standard_normal(len(x))
    return truths, x + np.convolve(_tail(rng, room, t - direct / C), smear)[: len(x)] + noise


def _tail(rng: np.random.Generator, room: Room, t: Real) -> Real:
    """Diffuse sound that grows in from 10 to 30 ms to what statistical theory gives for a decay of
    0.4 s.

    A source that gives 1/r^2 at the microphone fills the room with 16 pi/A in all, spread over the
    decay.
    """
    decay = 0.4
    area = 0.161 * room.volume_m3 / decay
    power = 16 * math.pi / area * 13.8 / decay / RATE * np.exp(-13.8 * np.maximum(t, 0) / decay)
    return np.asarray(
        rng.standard_normal(len(t)) * np.sqrt(power) * np.clip((t - 0.01) / 0.02, 0, 1)
    )


def _names(room: Room, s: Point, image: Real, order: int) -> tuple[str, ...]:
    """Which one or two faces mirror the source to an image; "?" for each of more."""
    planes = {face.name: (np.array(face.normal), np.array(face.origin)) for face in room.faces}

    def mirrored(p: Real, name: str) -> Real:
        n, o = planes[name]
        return np.asarray(p - 2 * n * float(n @ (p - o)))

    if order == 1:
        return tuple(n for n in planes if np.allclose(mirrored(np.array(s), n), image, atol=1e-4))
    if order == 2:
        for first in planes:
            once = mirrored(np.array(s), first)
            for last in planes:
                if first != last and np.allclose(mirrored(once, last), image, atol=1e-4):
                    return first, last
    return ("?",) * order


def _meeting(room: Room, name: str, image: Real, m: Point) -> tuple[float, float, float]:
    """Where the straight line from the image to the microphone crosses the wall's plane, by its own
    arithmetic."""
    face = room.face(name)
    n, o = np.array(face.normal), np.array(face.origin)
    a, b = float(n @ (image - o)), float(n @ (np.array(m) - o))
    place = image + (np.array(m) - image) * (a / (a - b))
    return float(place[0]), float(place[1]), float(place[2])


@dataclass
class Tally:
    """Counts over many rooms."""

    alone: int = 0
    right: int = 0
    placed: int = 0
    missed: int = 0
    crowded: int = 0
    among: int = 0
    level: int = 0
    level_right: int = 0
    named: int = 0
    false: int = 0

    def add(self, other: Tally) -> None:
        for name in self.__dataclass_fields__:
            setattr(self, name, getattr(self, name) + getattr(other, name))


def score(made: Made) -> Tally:
    """Hold what the finder says of one room against the truth."""
    tally = Tally()
    found = find(made)
    for pair, truths in made.images.items():
        named, smear = found[pair]
        _score_truths(tally, truths, named, smear)
        _score_names(tally, truths, named)
    return tally


def _score_truths(tally: Tally, truths: list[Truth], named: list[Any], smear: float) -> None:
    low = [t for t in truths if len(t.names) <= 2]
    for t in (t for t in truths if len(t.names) == 1 and t.delay_s < REACH_S - 1e-3):
        close = [o for o in low if o is not t and abs(o.delay_s - t.delay_s) < 0.3e-3]
        here = [n for n in named if any(p.names == t.names for p, _ in n.causes)]
        near = min(named, key=lambda n: abs(n.arrival.delay_s - t.delay_s), default=None)
        if close:
            tally.crowded += 1
            tally.among += bool(here)
        else:
            tally.alone += 1
            hit = [n for n in here if n.causes[0][0].names == t.names]
            tally.right += bool(hit)
            tally.missed += near is None or abs(near.arrival.delay_s - t.delay_s) > 0.1e-3
            if hit:
                spot, true = hit[0].causes[0][0].points[0], t.point
                tally.placed += true is not None and math.dist(spot, true) < 0.1
        if all(abs(o.delay_s - t.delay_s) > 0.5e-3 + smear for o in truths if o is not t):
            tally.level += 1
            tally.level_right += near is not None and abs(near.arrival.level_db - t.level_db) < 1.0


def _score_names(tally: Tally, truths: list[Truth], named: list[Any]) -> None:
    """A name is false where none of the images at that moment met the faces named."""
    for n in named:
        if not n.causes:
            continue
        tally.named += 1
        said = [frozenset(p.names) for p, _ in n.causes]
        there = [frozenset(t.names) for t in truths if abs(t.delay_s - n.arrival.delay_s) < 0.15e-3]
        tally.false += not any(s in there for s in said)


REACH_S = 0.03


def find(made: Made) -> dict[tuple[int, int], tuple[list[Any], float]]:
    """What roomcheck says: named arrivals and smear per pair."""
    from roomcheck.analyse.echoes.images import explain
    from roomcheck.analyse.echoes.peaks import echogram
    from roomcheck.analyse.echoes.reflections import LATE_S, listen
    from roomcheck.measure import ImpulseResponse
    from roomcheck.mirrors import mirror_paths

    places = {f"S{i}": p for i, p in enumerate(made.sources)} | {
        f"M{j}": p for j, p in enumerate(made.microphones)
    }
    heard, smears = [], []
    for (i, j), samples in made.responses.items():
        s, m = made.sources[i], made.microphones[j]
        first = (mirror_paths(made.room, s, m, 1)[0].length_m - math.dist(s, m)) / C
        gram = echogram(ImpulseResponse(samples=samples, rate_hz=RATE), LATE_S, first)
        assert gram is not None
        heard.append(listen(f"S{i}", f"M{j}", gram, REACH_S))
        smears.append(gram.smear_s)
    done = explain(made.room, heard, places, lambda path: 1.5 * path.order, C, LATE_S)
    return {k: (list(n), s) for k, n, s in zip(made.responses, done.pairs, smears, strict=True)}


def run(rooms: int, first_seed: int = 0, **how: Any) -> Tally:
    """Half boxes, half L-shaped rooms."""
    total = Tally()
    for k in range(rooms):
        total.add(score(make(first_seed + k, ("box", "L")[k % 2], **how)))
    return total


CASES: dict[str, dict[str, Any]] = {
    "positions as typed": {},
    "positions off by 1 cm an axis": {"off_m": 0.01},
    "positions off by 2 cm an axis": {"off_m": 0.02},
    "positions off by 3 cm an axis": {"off_m": 0.03},
    "two things in the room": {"things": 2},
    "two things, off by 2 cm": {"things": 2, "off_m": 0.02},
    "one source, one microphone": {"sources": 1, "microphones": 1},
    "one source, one microphone, off by 2 cm": {"sources": 1, "microphones": 1, "off_m": 0.02},
}


if __name__ == "__main__":
    for title, how in CASES.items():
        print(title, run(int(sys.argv[1]) if len(sys.argv) > 1 else 30, **how), flush=True)
