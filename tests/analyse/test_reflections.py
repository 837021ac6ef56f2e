"""Reflections named in rooms whose images pyroomacoustics knows; flutter in corridors; made-up
visits."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path

import numpy as np
import pytest

from roomcheck.analyse.echoes.flutter import facing
from roomcheck.geometry import Room

BENCHMARKS = Path(__file__).resolve().parents[2] / "benchmarks"


def _benchmark(name):
    """A benchmark as a module: what it prints and what is tested here are the same functions."""
    full = f"benchmark_{name}"
    if full not in sys.modules:
        spec = importlib.util.spec_from_file_location(full, BENCHMARKS / f"{name}.py")
        sys.modules[full] = importlib.util.module_from_spec(spec)
        spec.loader.exec_module(sys.modules[full])
    return sys.modules[full]


@pytest.mark.parametrize(("first_seed", "how"), [(0, {}), (40, {"things": 2, "off_m": 0.01})])
def test_surfaces_are_named_rightly(first_seed, how):
    """Limits of the validation page, on two rooms instead of thirty: one box, one L-shaped."""
    t = _benchmark("reflections").run(2, first_seed, **how)
    assert t.alone > 30 and t.crowded > 10 and t.named > 100
    assert t.right >= 0.93 * t.alone
    assert t.placed >= 0.93 * t.alone
    assert t.among >= 0.9 * t.crowded
    assert t.level_right >= 0.85 * t.level
    assert t.false <= 0.02 * t.named


def test_an_object_is_not_named_a_wall():
    """Two arrivals a pair that no image explains, at moments of their own: most are found, and
    almost none named."""
    rooms = _benchmark("reflections")
    made = rooms.make(7, "box", things=2)
    said = rooms.find(made)
    bare = named = 0
    for pair, truths in made.images.items():
        walls = [t.delay_s for t in truths if t.names[0] != "a thing"]
        for thing in (t for t in truths if t.names[0] == "a thing"):
            if min(abs(thing.delay_s - w) for w in walls) < 0.0004:
                continue  # an image arrives with it: nobody can tell
            near = [n for n in said[pair][0] if abs(n.arrival.delay_s - thing.delay_s) < 0.0001]
            bare += any(not n.causes for n in near)
            named += any(n.causes for n in near)
    assert bare >= 4
    assert named <= 1


def test_flutter_corridors_are_found_with_their_pair_and_spacing():
    """Ten corridors, three microphones each: nine at least, and no pair of faces accused that has
    none."""
    corridors = _benchmark("flutter")
    found = 0
    for seed in range(10):
        room, responses, _ = corridors.corridor(np.random.default_rng(seed), ground_db=-12)
        width = max(y for _, y in room.corners)
        said = corridors.heard(room, responses)
        assert all(("south", "north") in one.faces for one in said)
        found += any(
            one.apart_m == pytest.approx(width, rel=0.01) and one.repeats >= 3 for one in said
        )
    assert found >= 9


def test_diffuse_rooms_of_the_same_decay_are_not_accused():
    corridors = _benchmark("flutter")
    rng = np.random.default_rng(12)
    for k in range(60):
        room = Room.box(*rng.uniform((2, 1.8, 2.3), (9, 6, 3.2)))
        assert (
            corridors.heard(
                room, [corridors.diffuse(rng, float(rng.uniform(0.2, 1.2)), singles=k % 7)]
            )
            == ()
        )


def test_faces_that_do_not_look_at_each_other_are_no_pair():
    """The two walls of an L's arms face one another only where their spans overlap."""
    ell = Room(
        ((0.0, 0.0), (6.0, 0.0), (6.0, 3.0), (3.5, 3.0), (3.5, 5.0), (0.0, 5.0)),
        2.6,
        ("south", "east", "inner north", "inner east", "north", "west"),
    )
    pairs = {frozenset((f.first, f.second)): f.apart_m for f in facing(ell)}
    assert pairs == pytest.approx(
        {
            frozenset(("south", "inner north")): 3.0,
            frozenset(("south", "north")): 5.0,
            frozenset(("east", "west")): 6.0,
            frozenset(("inner east", "west")): 3.5,
            frozenset(("floor", "ceiling")): 2.6,
        }
    )


@pytest.mark.parametrize("seed", [501, 504])
def test_in_a_bare_room_nothing_is_blamed_but_walls(seed, monkeypatch):
    """One in which floor and ceiling come at one moment, and one in which four walls crowd."""
    monkeypatch.syspath_prepend(str(BENCHMARKS))
    bare = _benchmark("bare_rooms")
    found = bare.accused(bare.made_rooms(1, seed, off_m=0.0))
    assert found.unexplained > 0
    assert not found.said


def test_things_in_a_room_are_still_blamed(monkeypatch):
    monkeypatch.syspath_prepend(str(BENCHMARKS))
    bare = _benchmark("bare_rooms")
    assert bare.accused(bare.made_rooms(1, 702, off_m=0.02, things=2)).said
