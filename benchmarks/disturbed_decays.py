"""How decays are read where the record or the room is odd: bursts, knocks, humps, steps, noise that
sinks, coupled rooms.

Each case is a Gaussian decay of known rate in the octaves from 250 Hz to 8 kHz (so far as the rate
carries them) with white noise, to which something is added. The truth is what the same draw does
without noise, without what was added and without any filter. Coupled rooms are no disturbance:
there the truth is the draw's own two slopes.

A value is *supported* where the decay curve of the draw has fallen 5 dB below the end of the fit
before anything begins, and the same draw without the disturbance is given that number.

    python benchmarks/disturbed_decays.py                 600 cases, seeds of the family 1
    python benchmarks/disturbed_decays.py --cases 120 --family 7
"""

from __future__ import annotations

import argparse
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from scipy.signal import butter, sosfiltfilt

from roomcheck.analyse import BandDecay, decays
from roomcheck.measure.signal.signals import ImpulseResponse
from roomcheck.standards.iec_61260_1_2014 import band_edges_hz

Array = NDArray[np.float64]
Rng = np.random.Generator

BANDS_HZ = (250.0, 500.0, 1000.0, 2000.0, 4000.0, 8000.0)
NEPERS = 6 * np.log(10)
OFF = 0.25
"""A value further off than this is wrong. [1]"""

BELOW_FIT_DB = {"t20_s": -30.0, "t30_s": -40.0}
"""How far the decay curve has to be down when the disturbance begins. [dB]"""

RATES_HZ = (16_000, 44_100, 48_000, 96_000)


@dataclass(frozen=True, kw_only=True)
class Case:
    """A response with something in it, and what it would be without."""

    kind: str
    rate_hz: int
    clean: Array
    """Decay and noise, (frames,)."""
    disturbed: Array
    """The same with what was added, (frames,)."""
    truth: dict[float, dict[str, float]]
    """T20 and T30 by octave [s]."""
    supported: dict[float, dict[str, bool]]
    """Whether the decay had fallen far enough when the disturbance began."""


@dataclass(kw_only=True)
class Room:
    """What a case starts from."""

    rate_hz: int
    t60_s: float
    seconds: float
    inr_db: float
    rng: Rng

    def time_s(self) -> Array:
        return np.arange(int(self.seconds * self.rate_hz)) / self.rate_hz

    def noise(self) -> Array:
        return self.rng.standard_normal(int(self.seconds * self.rate_hz))

    def falls_to_s(self, level_db: float) -> float:
        """When the envelope has fallen so far."""
        return -level_db / 60 * self.t60_s


Added = tuple[Array, float]
"""What is added to the samples, and when it begins [s]."""


def burst(room: Room) -> Added:
    """A noise that comes and goes, as a cough or a door does."""
    begin = room.falls_to_s(room.rng.uniform(-50, -8))
    over_db, lasts_s = room.rng.uniform(8, 30), room.rng.uniform(0.03, 0.6)
    level_db = -60 * begin / room.t60_s + over_db
    t = room.time_s() - begin
    shape = (t >= 0) * np.exp(-3 * np.maximum(t - lasts_s, 0) / room.t60_s * np.log(10))
    return room.noise() * shape * 10 ** (level_db / 20), begin


def knock(room: Room) -> Added:
    """A knock that the room answers as it answers the loudspeaker."""
    begin = room.falls_to_s(room.rng.uniform(-45, -10))
    over_db = room.rng.uniform(6, 25)
    t = room.time_s() - begin
    shape = (t >= 0) * 10 ** (-3 * np.maximum(t, 0) / room.t60_s)
    level_db = -60 * begin / room.t60_s + over_db
    return room.noise() * shape * 10 ** (level_db / 20), begin


def hump(room: Room) -> Added:
    """A slow swelling, begun where it comes within 6 dB of the decay."""
    level_db = room.rng.uniform(-50, -20)
    width_s = room.t60_s * room.rng.uniform(0.15, 0.8)
    at = room.falls_to_s(level_db) + width_s * room.rng.uniform(0.5, 2.0)
    t = room.time_s()
    power_db = level_db - 10 * np.log10(np.e) * 0.5 * ((t - at) / width_s) ** 2
    over = np.flatnonzero(power_db > -60 * t / room.t60_s - 6)
    begin = float(t[over[0]]) if over.size else room.seconds
    return room.noise() * 10 ** (power_db / 20), begin


def noise_step(room: Room) -> Added:
    """A machine that switches on, and perhaps off again."""
    level_db = room.rng.uniform(-50, -18)
    begin = room.falls_to_s(level_db - room.rng.uniform(-6, 15))
    lasts_s = room.rng.choice([room.seconds, room.rng.uniform(0.2, 1.0) * room.t60_s])
    t = room.time_s() - begin
    return room.noise() * ((t >= 0) & (t < lasts_s)) * 10 ** (level_db / 20), begin


def swept(room: Room) -> Added:
    """A click during the sweep: deconvolved, each octave hears it at another time, for long."""
    level_db = room.rng.uniform(-45, -15)
    begin, octave_s = (
        room.falls_to_s(level_db) * room.rng.uniform(0.4, 1.5),
        room.rng.uniform(0.2, 1.0),
    )
    n = int(room.seconds * room.rate_hz)
    hz = np.fft.rfftfreq(n, 1 / room.rate_hz)
    high = min(16_000.0, 0.45 * room.rate_hz)
    late_s = begin + octave_s * np.log2(high / np.clip(hz, 20, high))
    chirp = np.fft.irfft(np.where(hz > 0, np.exp(-2j * np.pi * np.cumsum(late_s) * hz[1]), 0), n)
    loud = np.abs(chirp).max() or 1.0
    return chirp / loud * 10 ** (level_db / 20), begin


def sinking(room: Room) -> Added:
    """A noise that sinks slowly from the start on, as what the loudspeaker leaves behind or a fan
    that runs out."""
    level_db = room.rng.uniform(-50, -28)
    slow_s = room.t60_s * room.rng.uniform(6, 25)
    begin = room.falls_to_s(level_db + 6)
    return room.noise() * 10 ** (level_db / 20 - 3 * room.time_s() / slow_s), begin


def gain_step(room: Room) -> Added:
    """An amplifier or a gate that changes its gain, as a share of what is there. Sooner than 0.12 s
    it would be what a strong direct sound does."""
    begin = max(room.falls_to_s(room.rng.uniform(-45, -8)), 0.12)
    change_db = room.rng.choice([-1, 1]) * room.rng.uniform(6, 20)
    shape = (room.time_s() >= begin) * (10 ** (change_db / 20) - 1)
    return shape, begin


ADDED: dict[str, Callable[[Room], Added]] = {
    "burst": burst,
    "knock": knock,
    "hump": hump,
    "noise steps": noise_step,
    "click during the sweep": swept,
    "noise sinks": sinking,
    "gain steps": gain_step,
}

COUPLED = "coupled rooms"
STRAIGHT = "straight"
KINDS = (*ADDED, COUPLED, STRAIGHT)


def case_of(kind: str, seed: int) -> Case:
    """One case; the seed decides everything else."""
    rng = np.random.default_rng(seed)
    t60_s = float(np.exp(rng.uniform(np.log(0.3), np.log(3.0))))
    room = Room(
        rate_hz=int(rng.choice(RATES_HZ)),
        t60_s=t60_s,
        seconds=float(rng.uniform(1.2, 2.2)) * t60_s + 0.4,
        inr_db=float(rng.uniform(45, 70)),
        rng=rng,
    )
    envelope = np.exp(-NEPERS * room.time_s() / t60_s)
    if kind == COUPLED:
        share = 10 ** rng.uniform(-2.5, -0.8)
        slower_s = t60_s * rng.uniform(1.6, 4.0)
        room.seconds = 1.3 * slower_s + 0.4
        t = room.time_s()
        envelope = (1 - share) * np.exp(-NEPERS * t / t60_s) + share * np.exp(
            -NEPERS * t / slower_s
        )
    decay, parts = _decay(room, envelope)
    clean = decay + 10 ** (-room.inr_db / 20) * room.noise()
    begin, disturbed = room.seconds, clean
    if kind in ADDED:
        added, begin = ADDED[kind](room)
        added = added * clean if kind == "gain steps" else _in_bands(room, added, begin)
        disturbed = clean + added
    truth, supported = {}, {}
    for band_hz, part in parts.items():
        truth[band_hz], supported[band_hz] = _truth(part, room.rate_hz, begin)
    return Case(
        kind=kind,
        rate_hz=room.rate_hz,
        clean=clean,
        disturbed=disturbed,
        truth=truth,
        supported=supported,
    )


def _decay(room: Room, envelope: Array) -> tuple[Array, dict[float, Array]]:
    spectrum = np.fft.rfft(room.noise())
    hz = np.fft.rfftfreq(len(envelope), 1 / room.rate_hz)
    total, parts = np.zeros(len(envelope)), {}
    for band_hz in (31.5, 63.0, 125.0, *BANDS_HZ, 16_000.0):
        low, high = band_edges_hz(band_hz)
        part = np.fft.irfft(np.where((hz >= low) & (hz < high), spectrum, 0), len(envelope))
        part *= np.sqrt(envelope)
        total += part
        if band_hz in BANDS_HZ and high <= room.rate_hz / 2:
            parts[band_hz] = part
    return total, parts


def _in_bands(room: Room, added: Array, begin_s: float) -> Array:
    """Half of what disturbs is broad, half leaves the low or the high octaves alone."""
    choice = room.rng.uniform()
    if choice < 0.5:
        return added
    kind = "low" if choice < 0.75 else "high"
    edge_hz = float(room.rng.choice([700.0, 1400.0, 2800.0]))
    return sosfiltfilt(butter(4, edge_hz, kind, fs=room.rate_hz, output="sos"), added)


def _truth(part: Array, rate_hz: int, begin_s: float) -> tuple[dict[str, float], dict[str, bool]]:
    energy = np.cumsum(part[::-1] ** 2)[::-1]
    step = max(rate_hz // 12_000, 1)
    db = 10 * np.log10(np.maximum(energy[::step] / energy[0], 1e-30))
    t = np.arange(len(db)) * step / rate_hz
    at_begin = float(np.interp(begin_s, t, db))
    times, far = {}, {}
    for number, to_db in (("t20_s", -25), ("t30_s", -35)):
        inside = (db <= -5) & (db >= to_db)
        times[number] = float(-60 / np.polyfit(t[inside], db[inside], 1)[0])
        far[number] = at_begin <= BELOW_FIT_DB[number] or begin_s >= t[-1]
    return times, far


@dataclass
class Tally:
    """What became of the values of one kind of case."""

    given: int = 0
    wrong: int = 0
    supported: int = 0
    supported_given: int = 0
    errors: list[float] = field(default_factory=list)
    worst: list[tuple[float, str]] = field(default_factory=list)

    def add(self, other: Tally) -> None:
        self.given += other.given
        self.wrong += other.wrong
        self.supported += other.supported
        self.supported_given += other.supported_given
        self.errors += other.errors
        self.worst += other.worst

    def __str__(self) -> str:
        p95 = np.percentile(np.abs(self.errors), 95) if self.errors else float("nan")
        share = 100 * self.supported_given / self.supported if self.supported else float("nan")
        return (
            f"given {self.given}, off by more than 25 %: {self.wrong}; "
            f"supported {self.supported}, of them given {share:.1f} %; 95th percentile {p95:.1f} %"
        )


def judged(case: Case, label: str = "") -> Tally:
    """Both analyses of a case, against its truth."""
    tally = Tally()
    plain = {
        band.band_hz: band
        for band in decays(ImpulseResponse(samples=case.clean, rate_hz=case.rate_hz))
    }
    odd = {
        band.band_hz: band
        for band in decays(ImpulseResponse(samples=case.disturbed, rate_hz=case.rate_hz))
    }
    for band_hz, truth in case.truth.items():
        for number, true_s in truth.items():
            value = getattr(odd[band_hz], number)
            if case.supported[band_hz][number] and getattr(plain[band_hz], number) is not None:
                tally.supported += 1
                tally.supported_given += value is not None
            if value is None:
                continue
            off = value / true_s - 1
            tally.given += 1
            tally.errors.append(100 * off)
            if abs(off) > OFF:
                tally.wrong += 1
                tally.worst.append(
                    (
                        abs(off),
                        f"{case.kind} {label} {band_hz:g} {number} {value:.2f} for {true_s:.2f}: {_facts(odd[band_hz])}",
                    )
                )
    return tally


def _facts(band: BandDecay) -> str:
    return "; ".join(band.reasons)


def run(cases: int, family: int, kinds: tuple[str, ...] = KINDS) -> dict[str, Tally]:
    """So many cases, the kinds in turn; another family gives other seeds throughout."""
    tallies = {kind: Tally() for kind in kinds}
    for i in range(cases):
        kind = kinds[i % len(kinds)]
        seed = 1_000_000 * family + i
        tallies[kind].add(judged(case_of(kind, seed), str(seed)))
    return tallies


def slow_humps(draws: int, seed: int = 77) -> dict[str, Tally]:
    """A swelling of 0.1 to 0.4 s that only the octave of 250 Hz has, 34 to 40 dB below the start,
    in decays of 0.8 to 1.4 s: T20 and T30 of that octave."""
    import decay_truth

    rng = np.random.default_rng(seed)
    tallies = {"t20_s": Tally(), "t30_s": Tally()}
    for k in range(draws):
        t60_s = rng.uniform(0.8, 1.4)
        drawn = decay_truth.draw(1000 * seed + k, 2.2, decay_truth.exponential(t60_s))
        rate_hz, t = decay_truth.RATE_HZ, np.arange(len(drawn.samples)) / decay_truth.RATE_HZ
        at_s, width_s, level_db = rng.uniform((0.45, 0.1, -40), (1.1, 0.4, -34))
        spectrum = np.fft.rfft(rng.standard_normal(len(t)))
        hz = np.fft.rfftfreq(len(t), 1 / rate_hz)
        swelling = np.fft.irfft(np.where((hz > 170) & (hz < 370), spectrum, 0), len(t))
        swelling *= 10 ** (level_db / 20) * np.exp(-0.5 * ((t - at_s) / width_s) ** 2)
        x = drawn.samples + swelling + 1e-3 * rng.standard_normal(len(t))
        (band,) = (
            band
            for band in decays(ImpulseResponse(samples=x, rate_hz=rate_hz))
            if band.band_hz == 250
        )
        for number, tally in tallies.items():
            value = getattr(band, number)
            if value is not None:
                off = value / drawn.truth[250.0][number] - 1
                tally.given += 1
                tally.errors.append(100 * off)
                tally.wrong += abs(off) > OFF
    return tallies


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--cases", type=int, default=600)
    parser.add_argument("--family", type=int, default=1)
    parser.add_argument("--only", nargs="*", default=list(KINDS), choices=list(KINDS))
    parser.add_argument("--worst", type=int, default=0)
    args = parser.parse_args()
    whole = Tally()
    for kind, tally in run(args.cases, args.family, tuple(args.only)).items():
        print(f"{kind:24} {tally}", flush=True)
        whole.add(tally)
    print(f"{'all':24} {whole}")
    for _, said in sorted(whole.worst, reverse=True)[: args.worst]:
        print(said)


if __name__ == "__main__":
    main()
