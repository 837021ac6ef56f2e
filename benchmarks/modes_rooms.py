"""Modes of rooms: whether those that are named are there, and are named again from other places.

    python benchmarks/modes_rooms.py

Three kinds of room. Real ones of which twelve places or more are at hand (folder of open
recordings, see `open_data`): six places against six others. Made-up boxes as sums of their standing
waves in closed form, with walls that absorb, a small loudspeaker and noise that rises towards the
bass. Made-up tails of noise that dies away, another one at each place, in which there is no mode.
"""

from __future__ import annotations

import csv
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import soundfile as sf
from numpy.typing import NDArray

from open_data import folder
from roomcheck.analyse import Modes, RoomMode
from roomcheck.analyse.modes.box_modes import box_modes
from roomcheck.analyse.modes.mode_names import Place
from roomcheck.analyse.modes.modes import room_modes
from roomcheck.geometry import Point, Room
from roomcheck.measure import ImpulseResponse

RATE_HZ, SECONDS, LEAD = 4000, 1.6, 200
SPEED_M_S = 343.0
HALF = 6
"""Places on either side."""

SHIFTS_HZ = (-3.0, -2.5, -2.0, -1.5, -1.0, 1.0, 1.5, 2.0, 2.5, 3.0)
"""By so much the named frequencies are shifted for what chance would confirm. [Hz]"""

LEAST_DB, ALONE = 15.0, 1.0
"""A mode ought to be named from so much over the noise [dB], and so many bandwidths from the next
that has 1 % of its energy [1]."""

Array = NDArray[np.float64]


@dataclass(frozen=True)
class RealRoom:
    """A real room: responses at many places."""

    name: str
    responses: tuple[ImpulseResponse, ...]
    places: tuple[Place, ...]
    room: Room
    transition_hz: float


@dataclass(frozen=True)
class Confirmed:
    """Sets of six places, and whether six others name their modes again."""

    name: str
    sets: int
    none: int
    """Sets in which no mode is named."""
    named: int
    again: int
    """Of the modes named, those that the other six places name within twice the printed
    uncertainty."""
    by_chance_pct: float
    """The same for frequencies that are shifted by 1 to 3 Hz."""


@dataclass(frozen=True)
class TrueMode:
    """A standing wave of a made-up box."""

    frequency_hz: float
    decay_s: float
    range_db: float
    apart: float

    @property
    def ought(self) -> bool:
        """Whether it ought to be named."""
        return self.range_db >= LEAST_DB and self.apart >= ALONE


@dataclass(frozen=True)
class Box:
    """A made-up box: what is heard, and what is in it."""

    responses: tuple[ImpulseResponse, ...]
    places: tuple[Place, ...]
    room: Room
    transition_hz: float
    modes: tuple[TrueMode, ...]


@dataclass(frozen=True)
class Named:
    """How many of the modes that ought to be named are, and how near the named ones are."""

    places: int
    rooms: int
    ought: int
    given: int
    named: int
    off: int
    """Of the modes named, those farther than twice the printed uncertainty from any true one."""


def real_rooms(data: Path) -> Iterator[RealRoom]:
    """The real rooms with twelve places or more."""
    with (data / "room-with-coordinates" / "positions.csv").open(encoding="utf-8") as file:
        at = {row["name"]: _point(row) for row in csv.DictReader(file)}
    names = [name for name in at if name.startswith("R")]
    yield RealRoom(
        "small hard room, 90 m³",
        tuple(_read(data / "room-with-coordinates" / f"S1-{name}.flac") for name in names),
        tuple(Place(source=at["S1"], microphone=at[name]) for name in names),
        Room.box(5.36, 5.85, 2.86),
        180.0,
    )
    for state, said in (("000", "reflective"), ("050", "half absorptive")):
        files = sorted((data / "variable-acoustics-panels").glob(f"{state}_*.flac"))
        yield RealRoom(
            f"laboratory, 144 m³, {said}",
            tuple(_read(file) for file in files),
            (),
            Room.box(9.7, 5.5, 2.7),
            120.0,
        )


def _point(row: dict[str, str]) -> Point:
    return Point(float(row["x_m"]), float(row["y_m"]), float(row["z_m"]))


def _read(file: Path) -> ImpulseResponse:
    samples, rate = sf.read(file)
    return ImpulseResponse(samples=samples, rate_hz=rate)


def confirmed(real: RealRoom, draws: int, seed: int = 1) -> Confirmed:
    """Six places against six others, drawn anew each time."""
    rng = np.random.default_rng(seed)
    found: list[tuple[Sequence[RoomMode], Sequence[RoomMode]]] = []
    for _ in range(draws):
        order = rng.permutation(len(real.responses))
        one, other = (
            _heard_at(real, sorted(half)).found for half in (order[:HALF], order[HALF : 2 * HALF])
        )
        found += [(one, other), (other, one)]
    pairs = [(mode, others) for modes, others in found for mode in modes]
    shifted = [_again(m, others, shift) for m, others in pairs for shift in SHIFTS_HZ]
    return Confirmed(
        name=real.name,
        sets=len(found),
        none=sum(not modes for modes, _ in found),
        named=len(pairs),
        again=sum(_again(mode, others, 0.0) for mode, others in pairs),
        by_chance_pct=100 * sum(shifted) / max(len(shifted), 1),
    )


def _heard_at(real: RealRoom, used: Sequence[int]) -> Modes:
    return room_modes(
        [real.responses[k] for k in used],
        room=real.room,
        transition_hz=real.transition_hz,
        speed_m_s=344.0,
        places=[real.places[k] for k in used] if real.places else (),
        from_hz=30.0,
    )


def _again(mode: RoomMode, others: Sequence[RoomMode], shift_hz: float) -> bool:
    at, allowed = mode.frequency_hz + shift_hz, 2 * mode.frequency_u_hz
    return any(abs(other.frequency_hz - at) <= allowed for other in others)


def made_up(rng: np.random.Generator) -> Box:
    r"""A box with its standing waves.

    .. math:: h(t) = \sum_n \varepsilon_n \psi_n(s) \psi_n(r) H(f_n) e^{-\delta_n t} \cos(2 \pi f_n
    t), \quad \delta_n \propto \sum_{i=x,y,z} \varepsilon_{n_i} \beta_i / L_i

    with :math:`\varepsilon = 1` for n = 0 and 2 otherwise: rigid walls' shapes, and damping to
    first order in the walls' admittances (P. M. Morse, K. U. Ingard, "Theoretical Acoustics",
    1968, chapter 9; from memory). H is a high-pass of fourth order at 25 to 80 Hz.
    """
    size = np.array([rng.uniform(3.2, 7.5), rng.uniform(2.8, 5.5), rng.uniform(2.3, 3.1)])
    usual_s = rng.uniform(0.3, 0.9)
    transition_hz = 2000 * math.sqrt(usual_s / size.prod())
    waves = box_modes(tuple(size), SPEED_M_S, 1.8 * transition_hz)
    order = np.array([wave.order for wave in waves])
    f = np.array([wave.frequency_hz for wave in waves])
    weight = np.where(order > 0, 2, 1)
    damping = (weight * rng.uniform(0.4, 1.6, 3) / size).sum(axis=1)
    damping *= 3 * math.log(10) / usual_s / damping.mean() * rng.uniform(0.85, 1.15, len(f))
    source = rng.uniform((0.4, 0.4, 0.4), (1.0, 1.0, 1.2))
    low, high = (0.7, 0.7, 1.0), (size[0] - 0.5, size[1] - 0.5, 1.6)
    microphones = rng.uniform(low, high, (int(rng.choice([1, 3, 6])), 3))
    shapes = [np.cos(np.pi * order * at / size).prod(axis=1) for at in (source, *microphones)]
    amplitude = np.array(shapes[1:]) * shapes[0] * weight.prod(axis=1) * _small_speaker(rng, f)
    responses, noise = _responses(rng, amplitude, f, damping, transition_hz)
    peak = np.mean(np.abs(amplitude) ** 2, axis=0) * (RATE_HZ / (2 * damping)) ** 2
    ranges = 10 * np.log10(peak / noise)
    inside = (f > 20) & (f < transition_hz)
    return Box(
        responses,
        tuple(Place(source=Point(*source), microphone=Point(*at)) for at in microphones),
        Room.box(*size),
        transition_hz,
        tuple(
            TrueMode(f[k], 3 * math.log(10) / damping[k], ranges[k], _apart(f, damping, peak, k))
            for k in np.flatnonzero(inside)
        ),
    )


def _small_speaker(rng: np.random.Generator, f: Array) -> NDArray[np.complex128]:
    """Butterworth's high-pass of fourth order. (modes,)"""
    corner_hz = rng.uniform(25, 80)
    poles = np.exp(1j * np.pi * (2 * np.arange(4) + 5) / 8)
    s = 1j * f / corner_hz
    return np.asarray(s**4 / np.prod(s[:, None] - poles, axis=1))


def _responses(
    rng: np.random.Generator,
    amplitude: NDArray[np.complex128],
    f: Array,
    damping: Array,
    transition_hz: float,
) -> tuple[tuple[ImpulseResponse, ...], Array]:
    """One at each place, and the noise's power in a line of the record's spectrum at each mode."""
    t = np.arange(int(SECONDS * RATE_HZ)) / RATE_HZ
    signal = (amplitude @ np.exp(np.outer(-damping + 2j * np.pi * f, t))).real
    peak = np.mean(np.abs(amplitude) ** 2, axis=0) * (RATE_HZ / (2 * damping)) ** 2
    usual = np.median(peak[(f > 20) & (f < transition_hz)])
    noise = math.sqrt(usual / len(t)) * 10 ** (-rng.uniform(15, 50) / 20)
    slope = rng.uniform(0, 1)
    frames = len(t) + LEAD
    rise = (100 / np.maximum(np.fft.rfftfreq(frames, 1 / RATE_HZ), 10)) ** slope
    responses = []
    for heard in signal:
        x = np.fft.irfft(np.fft.rfft(rng.normal(size=frames)) * rise, frames) * noise
        x[LEAD:] += heard
        x[LEAD] += 12 * np.abs(signal).max()
        responses.append(ImpulseResponse(samples=x, rate_hz=RATE_HZ))
    return tuple(responses), noise**2 * len(t) * (100 / np.maximum(f, 10)) ** (2 * slope)


def _apart(f: Array, damping: Array, peak: Array, k: int) -> float:
    """Distance to the next mode with 1 % of its energy, in the larger of both bandwidths."""
    energy = peak * damping**2
    counts = energy > 0.01 * energy[k]
    counts[k] = False
    width = np.maximum(damping, damping[k]) / np.pi
    return float((np.abs(f - f[k]) / width)[counts].min(initial=np.inf))


def boxes(rooms: int, seed: int = 11) -> list[Named]:
    """What is named of made-up boxes, by the number of places."""
    rng = np.random.default_rng(seed)
    heard = [(box, _heard(box).found) for box in (made_up(rng) for _ in range(rooms))]
    return [
        _named(places, [pair for pair in heard if len(pair[0].responses) == places])
        for places in (1, 3, 6)
    ]


def _heard(box: Box) -> Modes:
    return room_modes(
        box.responses,
        room=box.room,
        transition_hz=box.transition_hz,
        speed_m_s=SPEED_M_S,
        places=box.places,
        from_hz=20.0,
    )


def _named(places: int, heard: list[tuple[Box, tuple[RoomMode, ...]]]) -> Named:
    ought = [(true, found) for box, found in heard for true in box.modes if true.ought]
    named = [(mode, box) for box, found in heard for mode in found]
    return Named(
        places=places,
        rooms=len(heard),
        ought=len(ought),
        given=sum(_is_given(true, found) for true, found in ought),
        named=len(named),
        off=sum(_is_off(mode, box) for mode, box in named),
    )


def _is_given(true: TrueMode, found: Sequence[RoomMode]) -> bool:
    """Whether a named mode lies within half its bandwidth."""
    return any(abs(mode.frequency_hz - true.frequency_hz) <= 1.1 / true.decay_s for mode in found)


def _is_off(mode: RoomMode, box: Box) -> bool:
    return all(
        abs(mode.frequency_hz - true.frequency_hz) > 2 * mode.frequency_u_hz for true in box.modes
    )


def diffuse(rooms: int, seed: int = 100) -> int:
    """In how many rooms without modes one is named."""
    named = 0
    for k in range(rooms):
        rng = np.random.default_rng(seed + k)
        found = room_modes(
            [_tail(rng, 0.25 + 0.55 * k / rooms) for _ in range((1, 3, 6)[k % 3])],
            room=Room.box(4.4, 3.6, 2.6),
            transition_hz=200.0,
            speed_m_s=SPEED_M_S,
        ).found
        named += bool(found)
    return named


def _tail(rng: np.random.Generator, decay_s: float) -> ImpulseResponse:
    t = np.arange(int(1.5 * RATE_HZ)) / RATE_HZ
    tail = rng.normal(size=len(t)) * np.exp(-3 * math.log(10) * t / decay_s)
    tail += 10 ** rng.uniform(-4.5, -3) * rng.normal(size=len(t))
    return ImpulseResponse(samples=np.concatenate([np.zeros(LEAD), [5.0], tail]), rate_hz=RATE_HZ)


def main() -> None:
    data = folder()
    for real in real_rooms(data) if data else ():
        print(confirmed(real, 25))
    for named in boxes(60):
        print(named)
    print(f"{diffuse(60)} of 60 rooms without modes have one named")


if __name__ == "__main__":
    main()
