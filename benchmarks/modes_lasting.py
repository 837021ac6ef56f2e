"""Rooms in which modes overlap: is the one note that rings on named, and named again from other
places?

    python benchmarks/modes_lasting.py

Sixty waves from 25 to 160 Hz that die away in 0.3 to 0.4 s, each of another strength and phase at
each place, and in half of the rooms one note of 0.5 to 1 s among them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from roomcheck.analyse import RoomMode
from roomcheck.analyse.modes.modes import room_modes
from roomcheck.geometry import Room
from roomcheck.measure import ImpulseResponse

RATE_HZ, SECONDS, WAVES, TOP_HZ = 2000, 1.6, 60, 120.0
ROOM = Room.box(7.1, 5.3, 2.9)
NEPER60 = 3 * math.log(10)

Array = NDArray[np.float64]


@dataclass(frozen=True)
class Note:
    """What rings on."""

    frequency_hz: float
    decay_s: float
    strength: float


@dataclass(frozen=True)
class Again:
    """Sets of six places, each held against six others of its room."""

    sets: int
    named: int
    right: int
    """Of the named ones, those within twice the printed uncertainty of the note."""
    again: int
    """Of the named ones, those that the other six name within that."""


def responses(
    rng: np.random.Generator, note: Note | None, *, places: int = 6, hum: float = 0.0
) -> list[ImpulseResponse]:
    """One room, with a hum at 60 Hz where asked for."""
    t = np.arange(int(SECONDS * RATE_HZ)) / RATE_HZ
    f, decay_s = rng.uniform(25, 160, WAVES), rng.uniform(0.3, 0.4, WAVES)
    falls = np.exp(-NEPER60 * t / decay_s[:, None])
    made = []
    for _ in range(places):
        strength, phase = rng.standard_normal(WAVES), rng.uniform(0, 2 * np.pi, WAVES)
        turns = np.cos(2 * np.pi * np.outer(f, t) + phase[:, None])
        x = strength @ (falls * turns)
        if note is not None:
            sign = rng.choice([-1, 1]) * note.strength
            tone = np.cos(2 * np.pi * note.frequency_hz * t)
            x += sign * np.exp(-NEPER60 * t / note.decay_s) * tone
        x += hum * np.cos(2 * np.pi * 60 * t + rng.uniform(0, 2 * np.pi))
        x[0] += 40
        samples = 1e-4 * rng.standard_normal(len(x) + 100)
        samples[100:] += x
        made.append(ImpulseResponse(samples=samples, rate_hz=RATE_HZ))
    return made


def found(made: list[ImpulseResponse]) -> tuple[RoomMode, ...]:
    """The modes of some responses."""
    modes = room_modes(made, room=ROOM, transition_hz=TOP_HZ, speed_m_s=343.2, from_hz=25.0)
    return modes.found


def again(rooms: int, *, with_note: bool, seed: int = 300) -> Again:
    """Count over rooms."""
    pairs: list[tuple[RoomMode, tuple[RoomMode, ...], Note | None]] = []
    for k in range(rooms):
        rng = np.random.default_rng(seed + k)
        low, high = (45, 0.5, 0.5), (90, 1.0, 1.5)
        note = Note(*rng.uniform(low, high).tolist()) if with_note else None
        made = responses(rng, note, places=12)
        one, other = found(made[:6]), found(made[6:])
        pairs += [(mode, other, note) for mode in one] + [(mode, one, note) for mode in other]
    return Again(
        sets=2 * rooms,
        named=len(pairs),
        right=sum(note is not None and _is(mode, note.frequency_hz) for mode, _, note in pairs),
        again=sum(
            any(_is(mode, other.frequency_hz) for other in others) for mode, others, _ in pairs
        ),
    )


def _is(mode: RoomMode, frequency_hz: float) -> bool:
    return abs(mode.frequency_hz - frequency_hz) <= 2 * mode.frequency_u_hz


if __name__ == "__main__":
    for with_note in (True, False):
        print(with_note, again(20, with_note=with_note))
