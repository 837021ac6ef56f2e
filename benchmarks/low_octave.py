"""125 Hz in small rooms: what is read, against rooms whose decay is known without a filter.

    python benchmarks/low_octave.py --rooms 30

Two kinds of room that share nothing. *Waves*: the standing waves of a box in closed form, each with
its own damping; the octave is the sum of the waves that lie in it, and the room's decay that of the
energy averaged over all places. *Images*: the image sources of first and second order added as
pressures, and a tail of noise that takes over the energy of the higher ones; the room's decay is
that of the energies. The tail is another draw at each place, or one draw for all of them, as a
model of a room may have it and as a room never has.
"""

from __future__ import annotations

import argparse
import itertools
import math
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from roomcheck.analyse import BandDecay, PositionDecays, band_means, decays
from roomcheck.analyse.modes.box_modes import box_modes
from roomcheck.analyse.visit.average import _with_single_modes
from roomcheck.measure import ImpulseResponse
from roomcheck.standards.iec_61260_1_2014 import band_edges_hz

Array = NDArray[np.float64]

BAND_HZ, RATE_HZ, SECONDS, LEAD = 125.0, 4000, 2.0, 200
SPEED_M_S = 343.0
TRANSITION_HZ = 200.0
"""As low as that of any of these rooms: 2000 sqrt(T/V). [Hz]"""
NEPERS = 6 * math.log(10)
ORDER = 2
"""Of the image sources that are added as pressures."""
NOISE_DB = -65.0
"""Noise below the loudest sample. [dB]"""
SHORT = 0.49 / 0.60
"""What was once read of a room of known truth, over that [1]."""
BESIDE, CORNER_HZ = (0.67, 1.0, 0.58), 100.0
"""T at 63, 125 and 250 Hz over that at 125 [1], and where a small loudspeaker's Butterworth of fourth
order falls off [Hz]."""
TOP_HZ = 330.0
"""Up to here standing waves are summed; above, a smooth low-pass. [Hz]"""


@dataclass(frozen=True)
class Room:
    """Responses at some places of a made-up room."""

    responses: tuple[Array, ...]
    """(frames,) each."""
    t20_s: float
    """Of the room's energy, without any filter [s]."""
    own_s: tuple[float, ...] = ()
    """The same of each place alone, where the model can tell [s]."""
    everywhere_s: float = math.nan
    """Mean of that over many places, where the model can tell [s]."""


@dataclass(frozen=True)
class Read:
    """What is read of many rooms of a kind."""

    kind: str
    t60_s: float
    places: int
    rooms: int
    given: float
    """Share of the places that are given a T20."""
    place_sd: float
    """Of T20 at one place over that of the room [1]."""
    to_own: tuple[float, float]
    """T20 at a place over that of the place without filter: median, and 95th percentile of how far
    it is from 1; not a number where the model cannot tell [1]."""
    means: tuple[float, float, float]
    """Mean over the places over the room's T20: mean over the rooms, 5th and 95th percentile [1]."""
    held: float
    """Share of the rooms whose printed 95 % holds the room's T20 [1]."""
    printed: float
    """Half of that interval over the mean, median over the rooms [1]."""
    short: tuple[int, int]
    """Rooms read at `SHORT` of their T20 or less, and those of them whose printed 95 % holds it."""
    longer: float
    """Mean T20 over many places over the room's, mean over the rooms; not a number where the model
    cannot tell [1]."""
    held_everywhere: float
    """Share of the rooms whose printed 95 % holds the mean over many places [1]."""


def waves(rng: np.random.Generator, t60_s: float, places: int, *, uneven: bool = False) -> Room:
    r"""A box as the sum of its standing waves, for a source of steady volume acceleration.

    .. math:: p(t) = \sum_n \varepsilon_n \psi_n(s) \psi_n(r) e^{-\delta_n t} \sin(2 \pi f_n t) /
        f_n, \quad \delta_n \propto \sum_i \varepsilon_{n_i} \beta_i / L_i

    P. M. Morse, K. U. Ingard, "Theoretical Acoustics", 1968, chapter 9 (from memory).

    `uneven`: T falls to `BESIDE` of itself from 125 Hz to the octaves beside it, and the
    loudspeaker falls off below `CORNER_HZ`, as where panels take 250 Hz and plasterboard 63 Hz.
    """
    size, source, microphones = _layout(rng, places)
    boxed = box_modes(tuple(size), SPEED_M_S, TOP_HZ)
    order = np.array([wave.order for wave in boxed])
    f = np.array([wave.frequency_hz for wave in boxed])
    weight = np.where(order > 0, 2, 1)
    low, high = band_edges_hz(BAND_HZ)
    inside = (f >= low) & (f < high)
    damping = (weight * rng.uniform(0.6, 1.4, 3) / size).sum(axis=1)
    damping *= NEPERS / 2 / t60_s / damping[inside].mean()
    shape = [np.cos(np.pi * order * at / size).prod(axis=1) for at in (source, *microphones)]
    strength = shape[0] * weight.prod(axis=1) / f
    if uneven:
        damping /= np.interp(np.log(f), np.log((63.0, 125.0, 250.0)), BESIDE)
        strength /= np.sqrt(1 + (CORNER_HZ / f) ** 8)
    t = np.arange(int(SECONDS * RATE_HZ)) / RATE_HZ
    each = np.exp(-np.outer(damping, t)) * np.sin(2 * np.pi * np.outer(f, t))
    heard = [(strength * at)[:, None] * each for at in shape[1:]]
    # Over all microphone places products of two waves vanish, and the square of one is 1/weight.
    energy = strength[inside] ** 2 / weight[inside].prod(axis=1)
    mean = (energy[:, None] * np.exp(-2 * np.outer(damping[inside], t))).sum(axis=0)
    return Room(
        tuple(_low_passed(at.sum(axis=0)) for at in heard),
        t20_of(mean),
        tuple(t20_of(at[inside].sum(axis=0) ** 2) for at in heard),
        _everywhere_s(rng, size, source, order[inside], strength[inside], each[inside]),
    )


def _everywhere_s(
    rng: np.random.Generator,
    size: Array,
    source: Array,
    order: NDArray[np.int64],
    strength: Array,
    each: Array,
) -> float:
    """Mean T20 over many places at the height of ears. [s]"""
    shapes = [np.cos(np.pi * order * at / size).prod(axis=1) for at in _ears(rng, size, source, 60)]
    return float(np.mean([t20_of(((strength * shape) @ each) ** 2) for shape in shapes]))


def images(rng: np.random.Generator, t60_s: float, places: int, *, shared: bool = False) -> Room:
    """A box of near images and a tail of noise; `shared`: the same noise at all places."""
    size, source, microphones = _layout(rng, places)
    noise = rng.standard_normal((1 if shared else places, int(SECONDS * RATE_HZ)))
    heard = [
        _imaged(size, source, at, t60_s, noise[k % len(noise)]) for k, at in enumerate(microphones)
    ]
    return Room(tuple(x for x, _ in heard), float(np.mean([t for _, t in heard])))


def _imaged(
    size: Array, source: Array, at: Array, t60_s: float, noise: Array
) -> tuple[Array, float]:
    volume, surface = size.prod(), 2 * (size.prod() / size).sum()
    fall = NEPERS / t60_s
    kept = math.exp(-fall * 2 * volume / (SPEED_M_S * surface))  # amplitude left at a wall
    near = list(_near_images(size, source, at, kept))
    first_s = min(delay for delay, _ in near)
    t = np.arange(len(noise)) / RATE_HZ
    walls = SPEED_M_S * surface / (4 * volume) * (t + first_s)
    beyond = 1 - np.exp(-walls) * sum(walls**k / math.factorial(k) for k in range(ORDER + 1))
    power = 4 * np.pi * SPEED_M_S / volume * np.exp(-fall * (t + first_s)) * beyond / RATE_HZ
    hz = np.fft.rfftfreq(2 * len(t), 1 / RATE_HZ)
    late = np.array([delay - first_s for delay, _ in near])
    loud = np.array([amplitude for _, amplitude in near])
    early = np.fft.irfft(loud @ np.exp(-2j * np.pi * np.outer(late, hz)))[: len(t)]
    energy = power.copy()
    np.add.at(energy, (late * RATE_HZ).astype(int), loud**2)
    return _low_passed(early + noise * np.sqrt(power)), t20_of(energy)


def _near_images(
    size: Array, source: Array, at: Array, kept: float
) -> Iterator[tuple[float, float]]:
    """Delay and amplitude of every image up to `ORDER`. [s], [1/m]"""
    for turns in itertools.product(range(-ORDER, ORDER + 1), repeat=3):
        for mirrored in itertools.product((0, 1), repeat=3):
            n, q = np.array(turns), np.array(mirrored)
            walls = int((np.abs(n - q) + np.abs(n)).sum())
            if walls <= ORDER:
                far = float(np.linalg.norm((1 - 2 * q) * source + 2 * n * size - at))
                yield far / SPEED_M_S, kept**walls / far


def _layout(rng: np.random.Generator, places: int) -> tuple[Array, Array, list[Array]]:
    """A small room, a loudspeaker near a corner, microphones at the height of ears."""
    size = rng.uniform((3.0, 2.6, 2.3), (4.6, 3.6, 2.6))
    source = rng.uniform((0.3, 0.3, 0.9), (0.8, 0.8, 1.3))
    return size, source, _ears(rng, size, source, places)


def _ears(rng: np.random.Generator, size: Array, source: Array, places: int) -> list[Array]:
    """Places at the height of ears, 0.8 m or more from the loudspeaker."""
    found: list[Array] = []
    while len(found) < places:
        at = rng.uniform((0.4, 0.4, 1.1), (size[0] - 0.4, size[1] - 0.4, 1.3))
        if np.linalg.norm(at - source) > 0.8:
            found.append(at)
    return found


def _low_passed(x: Array) -> Array:
    hz = np.fft.rfftfreq(2 * len(x), 1 / RATE_HZ)
    gain = 1 / (1 + (hz / TOP_HZ) ** 16)
    passed = np.fft.irfft(np.fft.rfft(x, 2 * len(x)) * gain)[: len(x)]
    return np.concatenate((np.zeros(LEAD), passed))


def t20_of(power: Array) -> float:
    """From 5 to 25 dB below the start of the backward integral, least squares. [s]"""
    left = np.cumsum(power[::-1])[::-1]
    level = 10 * np.log10(np.maximum(left / left[0], 1e-30))
    fit = np.flatnonzero((level <= -5) & (level >= -25))
    return float(-60 / RATE_HZ / np.polyfit(fit, level[fit], 1)[0])


KINDS = {
    "waves": waves,
    "waves, octaves beside it far shorter": lambda *how: waves(*how, uneven=True),
    "images, another tail at each place": images,
    "images, one tail at all places": lambda *how: images(*how, shared=True),
}


def read(kind: str, t60_s: float, places: int, rooms: int, seed: int = 1) -> Read:
    """Read many rooms of a kind as a visit would."""
    rng = np.random.default_rng([seed, places, list(KINDS).index(kind)])
    at_places, to_own, means, held = [], [], [], []
    longer, held_everywhere, widths = [], [], []
    for _ in range(rooms):
        room = KINDS[kind](rng, t60_s, places)
        positions = [_position(x, k, rng) for k, x in enumerate(room.responses)]
        octaves = [_octave(position.octaves) for position in positions]
        at_places += [octave.t20_s and octave.t20_s / room.t20_s for octave in octaves]
        pairs = zip(octaves, room.own_s, strict=False)
        to_own += [octave.t20_s / own for octave, own in pairs if octave.t20_s]
        bands = _with_single_modes(band_means(positions, 1), TRANSITION_HZ)
        mean = next(band.t20 for band in bands if band.band_hz == BAND_HZ)
        if mean is not None:
            means.append(mean.value / room.t20_s)
            held.append(abs(mean.value - room.t20_s) <= 2 * mean.u)
            widths.append(2 * mean.u / mean.value)
            longer.append(room.everywhere_s / room.t20_s)
            held_everywhere.append(abs(mean.value - room.everywhere_s) <= 2 * mean.u)
    known = [ratio for ratio in at_places if ratio is not None]
    off = np.abs(np.array(to_own) - 1) if to_own else np.array([np.nan])
    return Read(
        kind=kind,
        t60_s=t60_s,
        places=places,
        rooms=rooms,
        given=len(known) / len(at_places),
        place_sd=float(np.std(known)),
        to_own=(float(np.median(to_own or [np.nan])), float(np.percentile(off, 95))),
        means=(float(np.mean(means)), *(float(p) for p in np.percentile(means, (5, 95)))),
        held=float(np.mean(held)),
        printed=float(np.median(widths)),
        short=_short(means, held),
        longer=float(np.mean(longer)),
        held_everywhere=float(np.mean(held_everywhere)),
    )


def _short(ratios: list[float], held: list[bool]) -> tuple[int, int]:
    inside = [ok for ratio, ok in zip(ratios, held, strict=True) if ratio <= SHORT]
    return len(inside), sum(inside)


def through_a_sweep(low_hz: float, seconds: float, draws: int) -> tuple[float, float]:
    """T20 at 125 Hz of decays of 0.6 s that a sweep brought back, against the decay itself: median,
    and standard deviation over the draws. [%]"""
    from scipy.signal import fftconvolve

    import takes
    from roomcheck.measure import Sweep

    sweep = Sweep(low_hz=low_hz, high_hz=20_000, seconds=seconds, rate_hz=takes.RATE_HZ)
    played = takes.lay_out(sweep, silence_s=2, level_dbfs=0)
    sound = np.concatenate([played.samples()[:, 0], np.zeros(2 * takes.RATE_HZ)])
    off = []
    for seed in range(draws):
        rng = np.random.default_rng([7, seed])
        room, truth = takes.true_room(rng, 0.6)
        heard = 0.1 * fftconvolve(sound, room)[: len(sound)]
        response, _ = takes.heard(heard + 2e-5 * rng.standard_normal(len(heard)), played)
        t20_s = _octave(decays(response)).t20_s
        if t20_s is not None:
            off.append(100 * (t20_s / truth[BAND_HZ][0] - 1))
    return float(np.median(off)), float(np.std(off))


def between_octaves(by_octave_s: tuple[float, float, float], corner_hz: float) -> float:
    """T20 of the 125 Hz octave where T runs evenly from 63 to 250 Hz and a small loudspeaker falls
    off below its corner as Butterworth's fourth order does, over T at 125 Hz. [1]"""
    low, high = band_edges_hz(BAND_HZ)
    f, t = np.linspace(low, high, 400), np.arange(3 * RATE_HZ) / RATE_HZ
    there_s = np.interp(np.log(f), np.log((63.0, 125.0, 250.0)), by_octave_s)
    loud = 1 / (1 + (corner_hz / f) ** 8)
    return t20_of(loud @ np.exp(-NEPERS * np.outer(1 / there_s, t))) / by_octave_s[1]


def _position(x: Array, k: int, rng: np.random.Generator) -> PositionDecays:
    noise = 10 ** (NOISE_DB / 20) * np.abs(x).max() * rng.standard_normal(len(x))
    octaves = decays(ImpulseResponse(samples=x + noise, rate_hz=RATE_HZ))
    return PositionDecays(source="S1", microphone=f"P{k}", take=f"P{k}", octaves=octaves, thirds=())


def _octave(octaves: tuple[BandDecay, ...]) -> BandDecay:
    return next(octave for octave in octaves if octave.band_hz == BAND_HZ)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--rooms", type=int, default=30)
    parser.add_argument("--seed", type=int, default=1)
    args = parser.parse_args()
    for kind in KINDS:
        for t60_s in (0.4, 0.6):
            for places in (1, 3, 6):
                print(read(kind, t60_s, places, args.rooms, args.seed), flush=True)


if __name__ == "__main__":
    main()
