"""Flutter: a corridor that has it, and diffuse rooms of the same decay that have not.

    python benchmarks/flutter.py [DRAWS]

The corridors are pyroomacoustics' image sources to order 60 between two hard walls, the other faces
soft, over a diffuse ground. The diffuse rooms are exponentially decaying noise, white or with the
octaves of a real room, with and without a few single reflections.
"""

from __future__ import annotations

import math
import sys

import numpy as np
from numpy.typing import NDArray

from roomcheck.analyse import Flutter
from roomcheck.analyse.echoes.flutter import flutter
from roomcheck.geometry import Room
from roomcheck.measure import ImpulseResponse

RATE = 48_000
C = 343.2
Real = NDArray[np.float64]


def corridor(
    rng: np.random.Generator, *, ground_db: float = -12.0, microphones: int = 3
) -> tuple[Room, list[Real], float]:
    """A long room with two hard side walls: the room, its responses, and its decay from 5 to 25 dB
    down [s].

    `ground_db` is the diffuse sound's energy over the images'.
    """
    import pyroomacoustics as pra

    size = rng.uniform((7, 1.8, 2.4), (12, 3.0, 3.2))
    soft, hard = rng.uniform(0.6, 0.85), rng.uniform(0.02, 0.08)
    names = ("west", "east", "south", "north", "floor", "ceiling")
    alphas = dict(zip(names, (soft, soft, hard, hard, soft, soft), strict=True))
    model = pra.ShoeBox(
        size, fs=RATE, max_order=60, materials={n: pra.Material(a) for n, a in alphas.items()}
    )
    model.set_sound_speed(C)
    x = rng.uniform(0.3, 0.7) * size[0]
    model.add_source([x, rng.uniform(0.25, 0.75) * size[1], 1.5])
    for _ in range(microphones):
        model.add_microphone([x + rng.uniform(0.8, 2.0), rng.uniform(0.25, 0.75) * size[1], 1.5])
    model.compute_rir()
    made = [_grounded(rng, np.asarray(rir[0], dtype=float), ground_db) for rir in model.rir]
    return Room.box(*size), [samples for samples, _ in made], made[0][1]


def _grounded(rng: np.random.Generator, images: Real, ground_db: float) -> tuple[Real, float]:
    """Images over diffuse sound of the same decay, and that decay. [s]"""
    images = np.pad(images, (0, max(0, round(0.8 * RATE) - len(images))))[: round(0.8 * RATE)]
    decay = _t20(images)
    t = np.arange(len(images)) / RATE
    ground = rng.standard_normal(len(t)) * np.exp(-6.9 * t / decay)
    ground *= math.sqrt(10 ** (ground_db / 10) * float(images @ images) / float(ground @ ground))
    noise = rng.standard_normal(len(t)) * 10 ** (-70 / 20) * np.abs(images).max()
    return images + ground + noise, decay


def diffuse(rng: np.random.Generator, decay_s: float, singles: int = 0) -> Real:
    """Decaying noise with a direct sound and single reflections, with a noise floor 60 dB below."""
    t = np.arange(round(1.0 * RATE)) / RATE
    x = rng.standard_normal(len(t)) * np.exp(-6.9 * t / decay_s)
    x[0] = 12.0
    for _ in range(singles):
        x[int(rng.uniform(0.002, 0.03) * RATE)] += rng.uniform(3, 8)
    return np.asarray(x + 1e-3 * rng.standard_normal(len(t)))


def _t20(x: Real) -> float:
    curve = 10 * np.log10(np.cumsum(x[::-1] ** 2)[::-1] / np.sum(x**2) + 1e-12)
    fit = np.flatnonzero((curve < -5) & (curve > -25))
    return float(-60 / np.polyfit(fit / RATE, curve[fit], 1)[0])


def heard(room: Room, responses: list[Real]) -> tuple[Flutter, ...]:
    """What roomcheck says of a visit with one loudspeaker."""
    takes = [
        ("S", f"M{k}", ImpulseResponse(samples=x, rate_hz=RATE)) for k, x in enumerate(responses)
    ]
    return flutter(room, takes, C)


def run(draws: int, seed: int = 0, *, ground_db: float = -12.0) -> dict[str, int]:
    """Corridors found with the right pair and spacing; what else was accused in them; diffuse rooms
    accused."""
    rng = np.random.default_rng(seed)
    count = {"corridors": 0, "found": 0, "others accused": 0, "diffuse": 0, "accused": 0}
    for k in range(draws):
        if k % 10 == 0:
            room, responses, decay = corridor(rng, ground_db=ground_db)
            width = max(y for _, y in room.corners)
            said = heard(room, responses)
            count["corridors"] += 1
            right = [
                f
                for f in said
                if ("south", "north") in f.faces and abs(f.apart_m / width - 1) < 0.01
            ]
            count["found"] += bool(right)
            count["others accused"] += len(said) - len(right)
        count["diffuse"] += 1
        count["accused"] += bool(
            heard(room, [diffuse(rng, decay, singles=k % 7) for _ in range(3)])
        )
    return count


if __name__ == "__main__":
    many = int(sys.argv[1]) if len(sys.argv) > 1 else 300
    for ground in (-15.0, -10.0, -5.0, 0.0):
        print(f"diffuse ground {ground:+.0f} dB", run(many, ground_db=ground), flush=True)
