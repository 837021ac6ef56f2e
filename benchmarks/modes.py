"""Modes of made-up rooms: damped sinusoids at known places, noise, overlapping pairs; what
roomcheck says of them.

    python benchmarks/modes.py [ROOMS]

Every room has 8 to 16 modes from 20 to 170 Hz with decays of 0.2 to 1.2 s, a third of them in pairs
less than a bandwidth apart, heard at 1, 3 or 6 positions through white noise. The whole chain is
used: a response with a lead-in and a direct sound goes in, a list of modes comes out.
"""

from __future__ import annotations

import math
import sys
from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from roomcheck.analyse import Modes, RoomMode
from roomcheck.analyse.modes.modes import room_modes
from roomcheck.geometry import Room
from roomcheck.measure import ImpulseResponse

RATE_HZ, LEAD_S, SECONDS = 8000, 0.05, 2.5
TOP_HZ = 180.0
ROOM = Room(
    corners=((0, 0), (4.0, 0), (4.2, 3.0), (0, 3.1)), height_m=2.4, wall_names=("a", "b", "c", "d")
)
"""No rectangle, so that nothing but the sound says which modes there are."""

NEPER60 = 3 * math.log(10)
CLEAR_DB, WEAK_DB = 25.0, 5.0

Array = NDArray[np.float64]


@dataclass(frozen=True)
class TrueMode:
    """What was put in.

    Attributes
    ----------
    frequency_hz, decay_s : float
    range_db : float
        Spectral peak over the noise's mean, both of the whole record, mean over the positions. [dB]
    apart : float
        Distance to the next mode over the larger of both bandwidths, 2.2 / T. [1]
    """

    frequency_hz: float
    decay_s: float
    range_db: float
    apart: float


@dataclass(frozen=True)
class Outcome:
    """A true mode and what was found of it; None where nothing within a bandwidth was."""

    true: TrueMode
    found: RoomMode | None
    positions: int

    @property
    def easy(self) -> bool:
        return self.true.range_db >= CLEAR_DB and self.true.apart >= 1

    @property
    def off_hz(self) -> float:
        assert self.found is not None
        return self.found.frequency_hz - self.true.frequency_hz

    @property
    def off_decay(self) -> float:
        assert self.found is not None
        return self.found.decay_s / self.true.decay_s - 1

    @property
    def in_sd(self) -> tuple[float, float]:
        """Errors of frequency and decay over the uncertainties that were printed."""
        assert self.found is not None
        return (
            self.off_hz / self.found.frequency_u_hz,
            (self.found.decay_s - self.true.decay_s) / self.found.decay_u_s,
        )


def made_up(rng: np.random.Generator) -> tuple[list[ImpulseResponse], list[TrueMode]]:
    """One room's responses, and its modes by rising frequency."""
    positions = int(rng.choice([1, 3, 6]))
    f, decay = _places(rng)
    amplitude = (
        rng.normal(size=(len(f), positions)) + 1j * rng.normal(size=(len(f), positions))
    ) / math.sqrt(2)
    amplitude *= 10 ** (rng.uniform(-15, 5, len(f)) / 20)[:, None]
    t = np.arange(int(SECONDS * RATE_HZ)) / RATE_HZ
    pole = np.exp((2j * np.pi * f - NEPER60 / decay)[None, :] * t[:, None])
    signal = (pole @ amplitude).real
    peak = np.mean(np.abs(amplitude) ** 2, axis=1) * (decay / NEPER60 / 2 * RATE_HZ) ** 2
    quiet_db = rng.uniform(20, 50)
    noise = math.sqrt(float(np.median(peak)) / len(t)) * 10 ** (-quiet_db / 20)
    ranges = 10 * np.log10(peak / (noise**2 * len(t)))
    lead = int(LEAD_S * RATE_HZ)
    responses = []
    for channel in signal.T:
        x = noise * rng.normal(size=lead + len(t))
        x[lead:] += channel
        x[lead] += 12 * np.abs(channel).max()
        responses.append(ImpulseResponse(samples=x, rate_hz=RATE_HZ))
    width = 2.2 / decay
    true = [
        TrueMode(
            float(f[k]),
            float(decay[k]),
            float(ranges[k]),
            min(abs(f[k] - f[n]) / max(width[k], width[n]) for n in range(len(f)) if n != k),
        )
        for k in range(len(f))
    ]
    return responses, true


def _places(rng: np.random.Generator) -> tuple[Array, Array]:
    count = int(rng.integers(8, 17))
    f: list[float] = []
    decay: list[float] = []
    while len(f) < count:
        at, t = float(rng.uniform(20, 170)), float(rng.uniform(0.2, 1.2))
        if any(abs(at - g) < 1.3 * max(2.2 / t, 2.2 / u) for g, u in zip(f, decay, strict=True)):
            count -= rng.random() < 0.02
            continue
        f.append(at)
        decay.append(t)
    for k in rng.choice(len(f), len(f) // 6, replace=False):
        beside = float(rng.uniform(0.8, 1.25)) * decay[k]
        f.append(f[k] + float(rng.uniform(0.35, 1.0)) * 2.2 / min(decay[k], beside))
        decay.append(beside)
    order = np.argsort(f)
    return np.array(f)[order], np.array(decay)[order]


def heard(responses: list[ImpulseResponse]) -> Modes:
    """What roomcheck says of them."""
    return room_modes(responses, room=ROOM, transition_hz=TOP_HZ, speed_m_s=343.2)


def outcomes(rooms: int, seed: int = 5) -> Iterator[Outcome]:
    """Every mode of some rooms that stands 5 dB or more over the noise, with what was found of it,
    one to one."""
    from scipy.optimize import linear_sum_assignment

    rng = np.random.default_rng(seed)
    for _ in range(rooms):
        responses, true = made_up(rng)
        found = heard(responses).found
        off = np.array(
            [[abs(m.frequency_hz - t.frequency_hz) * t.decay_s / 2.2 for m in found] for t in true]
        )
        pair = (
            dict(zip(*linear_sum_assignment(np.minimum(off, 10)), strict=True))
            if len(found)
            else {}
        )
        for i, mode in enumerate(true):
            if mode.range_db >= WEAK_DB:
                j = pair.get(i)
                near = j is not None and off[i, j] <= 1
                yield Outcome(mode, found[j] if j is not None and near else None, len(responses))


@dataclass(frozen=True)
class Share:
    """How many of some modes held what was promised: of clear ones the modes, of others their two
    numbers apart."""

    name: str
    modes: int
    given: int
    held_pct: float
    worst_hz: float
    worst_decay_pct: float
    rms_sd: float


def shares(found: list[Outcome]) -> list[Share]:
    """Clear modes against 0.5 Hz and 10 %; the rest against twice the printed uncertainty."""
    groups = {
        "25 dB or more, a bandwidth or more from the next": [o for o in found if o.easy],
        "25 dB or more, closer": [
            o for o in found if o.true.range_db >= CLEAR_DB and o.true.apart < 1
        ],
        "15 to 25 dB": [o for o in found if 15 <= o.true.range_db < CLEAR_DB],
        "5 to 15 dB": [o for o in found if WEAK_DB <= o.true.range_db < 15],
    }
    return [_share(name, group) for name, group in groups.items()]


def _share(name: str, group: list[Outcome]) -> Share:
    given = [o for o in group if o.found is not None]
    held = [share for o in given for share in holds(o)]
    return Share(
        name=name,
        modes=len(group),
        given=len(given),
        held_pct=100 * sum(held) / max(len(held), 1),
        worst_hz=max((abs(o.off_hz) for o in given), default=0.0),
        worst_decay_pct=max((100 * abs(o.off_decay) for o in given), default=0.0),
        rms_sd=math.sqrt(np.mean([sd**2 for o in given for sd in o.in_sd])) if given else 0.0,
    )


def holds(outcome: Outcome) -> tuple[bool, ...]:
    """Whether a given mode is as near as was promised: a clear one, or frequency and decay of
    another one."""
    if outcome.easy:
        return (abs(outcome.off_hz) <= 0.5 and abs(outcome.off_decay) <= 0.1,)
    return tuple(abs(sd) <= 2 for sd in outcome.in_sd)


def main() -> None:
    rooms = int(sys.argv[1]) if len(sys.argv) > 1 else 100
    for share in shares(list(outcomes(rooms))):
        print(
            f"{share.name}: {share.modes} modes, {share.given} given, {share.held_pct:.1f} % of "
            f"these hold; worst {share.worst_hz:.2f} Hz, {share.worst_decay_pct:.0f} %; rms "
            f"{share.rms_sd:.2f} of what is printed"
        )


if __name__ == "__main__":
    main()
