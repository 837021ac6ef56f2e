"""How surely a take of another place is noticed, and how often a right one is doubted.

The measured room has its places by tape; here each is typed off by 5 cm into a random direction.
Every take is then said to be of its own place, which must not be doubted, and of every other one,
which must be noticed. Made-up rooms are those of `reflections.py`, boxes and L-shapes in turn.
"""

from __future__ import annotations

import csv
import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

import numpy as np

import open_data
import reflections
from roomcheck import ImpulseResponse, load_impulse_response
from roomcheck.analyse.places.evidence import Arrived, arrived
from roomcheck.analyse.places.which_place import Ends, Pair, is_alike, placing
from roomcheck.geometry import Point, Room

SPEED_M_S, OFF_M = 343.2, 0.05
HARD_ROOM = Room.box(5.36, 5.85, 2.86)


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """One take held against one pair that it is said to be of."""

    right: bool
    alike: bool
    """Whether the pair's first six delays are those of the true one to 0.2 ms."""
    doubted: bool
    named: bool
    """Whether the true pair is the one that the doubt names, or one that cannot be told from it."""


def off(point: Point, rng: np.random.Generator, off_m: float = OFF_M) -> Point:
    """The point moved by so much into a random direction. [m]"""
    way = rng.standard_normal(3)
    return Point(*(np.array(point) + off_m * way / np.linalg.norm(way)).tolist())


def hard_room(folder: Path) -> tuple[dict[str, Point], dict[str, Arrived]]:
    """Places by tape, and the early arrivals of every microphone's take."""
    data = folder / "room-with-coordinates"
    with (data / "positions.csv").open() as file:
        places = {
            row["name"]: Point(*(float(row[axis]) for axis in ("x_m", "y_m", "z_m")))
            for row in csv.DictReader(file)
        }
    takes = {}
    for path in sorted(data.glob("S1-*.flac")):
        heard = arrived(load_impulse_response(path))
        assert heard is not None
        takes[path.stem.removeprefix("S1-")] = heard
    return places, takes


def of_hard_room(folder: Path, draws: int, swaps: bool = True) -> Iterator[Asked]:
    """Every take against its own place and, with `swaps`, against every other."""
    places, takes = hard_room(folder)
    for draw in range(draws):
        rng = np.random.default_rng(draw)
        typed = {name: off(point, rng) for name, point in places.items()}
        ends: dict[Pair, Ends] = {("S1", name): (typed["S1"], typed[name]) for name in takes}
        true = {("S1", name): (places["S1"], places[name]) for name in takes}
        for name, heard in takes.items():
            pairs = ends if swaps else [("S1", name)]
            for pair in pairs:
                yield _asked(heard, ("S1", name), pair, ends, true, HARD_ROOM)


def of_made_rooms(rooms: int, things: int, first_seed: int = 0) -> Iterator[Asked]:
    """Every take of made-up rooms against its own place and every other of the room."""
    for k in range(rooms):
        made = reflections.make(
            first_seed + k, ("box", "L")[k % 2], sources=1, microphones=4, things=things
        )
        rng = np.random.default_rng(k)
        source = off(made.sources[0], rng)
        ends: dict[Pair, Ends] = {
            ("S0", f"M{j}"): (source, off(place, rng)) for j, place in enumerate(made.microphones)
        }
        true = {
            ("S0", f"M{j}"): (made.sources[0], place) for j, place in enumerate(made.microphones)
        }
        for (_, j), samples in made.responses.items():
            heard = arrived(ImpulseResponse(samples=samples, rate_hz=reflections.RATE))
            assert heard is not None
            for pair in ends:
                yield _asked(heard, ("S0", f"M{j}"), pair, ends, true, made.room)


def without_geometry(count: int) -> Iterator[bool]:
    """Whether a take is doubted that no geometry explains: noise that dies away, in a made-up
    box."""
    room = Room.box(4.4, 3.6, 2.6)
    source = Point(1.0, 0.9, 1.5)
    places = (Point(3.1, 2.3, 1.2), Point(2.2, 2.4, 1.2), Point(1.5, 2.6, 1.2))
    ends: dict[Pair, Ends] = {("S1", f"P{j}"): (source, place) for j, place in enumerate(places)}
    for k in range(count):
        rng = np.random.default_rng(k)
        decay_s = float(rng.choice([0.1, 0.3, 0.5, 1.0]))
        seconds = np.arange(round(1.3 * decay_s * 48_000)) / 48_000
        samples = rng.standard_normal(len(seconds)) * 10 ** (-3 * seconds / decay_s)
        samples[0] += math.sqrt(float(np.sum(samples**2)))
        samples = np.concatenate([np.zeros(480), samples, 1e-6 * rng.standard_normal(9600)])
        heard = arrived(ImpulseResponse(samples=samples, rate_hz=48_000))
        if heard is not None:
            yield _placed(heard, ("S1", "P0"), ends, room)[0]


def _asked(
    heard: Arrived,
    true_pair: Pair,
    typed: Pair,
    ends: Mapping[Pair, Ends],
    true: Mapping[Pair, Ends],
    room: Room,
) -> Asked:
    doubted, named = _placed(heard, typed, ends, room)
    alike = is_alike(room, true[true_pair], true[typed], SPEED_M_S)
    told = named is not None and (
        named == true_pair or is_alike(room, true[named], true[true_pair], SPEED_M_S)
    )
    return Asked(right=typed == true_pair, alike=alike, doubted=doubted, named=told)


def _placed(
    heard: Arrived, typed: Pair, ends: Mapping[Pair, Ends], room: Room
) -> tuple[bool, Pair | None]:
    """Whether the take is doubted, and the pair that the doubt names."""
    found = placing(
        heard,
        typed,
        ends,
        room=room,
        loss_db=lambda path: 1.0 * path.order,
        speed_m_s=SPEED_M_S,
    )
    return found.elsewhere, found.other


@dataclass(frozen=True, slots=True, kw_only=True)
class Counts:
    """How often, of how many."""

    wrong: int
    noticed: int
    named: int
    right: int
    doubted: int
    alike: int
    """Wrong ones that nobody can tell by their delays; not among `wrong`."""


def counts(asked: Iterator[Asked]) -> Counts:
    """Add up."""
    rows = list(asked)
    wrong = [row for row in rows if not row.right and not row.alike]
    right = [row for row in rows if row.right]
    return Counts(
        wrong=len(wrong),
        noticed=sum(row.doubted for row in wrong),
        named=sum(row.named for row in wrong),
        right=len(right),
        doubted=sum(row.doubted for row in right),
        alike=sum(row.alike and not row.right for row in rows),
    )


def main() -> None:
    folder = open_data.folder()
    if folder is not None:
        print("hard room", counts(of_hard_room(folder, 1)))
    for things in (0, 10):
        print(things, "things", counts(of_made_rooms(4, things)))
    doubted = list(without_geometry(16))
    print("no geometry: doubted", sum(doubted), "of", len(doubted))


if __name__ == "__main__":
    main()
