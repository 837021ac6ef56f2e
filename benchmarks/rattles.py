"""Made-up takes in which something buzzes at one note, and takes in which nothing does.

    python benchmarks/rattles.py [TAKES]

A loose panel is a resonance of Q 25 that knocks against its frame once a period while it swings far
enough.
"""

from __future__ import annotations

import math
import sys
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.signal import fftconvolve, lfilter

from roomcheck.measure import Sweep, TakeCheck
from roomcheck.measure.checks.listening import Decisions, listen
from roomcheck.measure.files.audio import Audio
from roomcheck.measure.files.played import Played

RATE_HZ = 48_000
SWEEP = Sweep(low_hz=40, high_hz=20_000, seconds=6, rate_hz=RATE_HZ)
SWEEP_LEVEL = 0.1

Array = NDArray[np.float64]


def loose_panel(sweep: Sweep, f_hz: float, level_dbfs: float, rng: np.random.Generator) -> Array:
    """What the panel sends out while the sweep runs; `level_dbfs` is the peak of its knocks.
    (frames,)"""
    w = 2 * math.pi * f_hz / sweep.rate_hz
    r = math.exp(-w / 50)
    swing = lfilter([1 - r], [1, -2 * r * math.cos(w), r * r], sweep.samples)
    past = np.maximum(swing / np.abs(swing).max() - 0.6, 0)
    knocks = np.zeros(len(past))
    on = np.flatnonzero((past[1:] > 0) & (past[:-1] == 0))
    knocks[on] = rng.uniform(0.5, 1.0, len(on))
    knock = rng.standard_normal(480) * np.exp(-np.arange(480) / sweep.rate_hz / 0.002)
    buzz = fftconvolve(knocks, knock)[: len(past)]
    return np.asarray(buzz / np.abs(buzz).max() * 10 ** (level_dbfs / 20))


def room(rng: np.random.Generator, t_s: float) -> Array:
    """A Gaussian decay after a direct sound, of unit energy. (frames,)"""
    n = int(1.3 * t_s * RATE_HZ)
    h = rng.standard_normal(n) * 10 ** (-3 * np.arange(n) / RATE_HZ / t_s)
    h[0] += math.sqrt(float(np.sum(h**2)))
    return np.asarray(h / math.sqrt(float(np.sum(h**2))))


def take(
    rng: np.random.Generator,
    *,
    buzz_hz: float | None = None,
    buzz_dbfs: float = -45.0,
    noise_dbfs: float = -75.0,
    speaker: Callable[[Array], Array] = lambda x: x,
    knock_hz: float | None = None,
) -> TakeCheck:
    """The check of one take; the sweep is recorded at -20 dB."""
    lead, tail = RATE_HZ // 2, 2 * RATE_HZ
    h = room(rng, float(rng.uniform(0.3, 0.9)))
    played = np.concatenate([np.zeros(lead), SWEEP.samples, np.zeros(tail)])
    sent = SWEEP_LEVEL * speaker(played)
    if buzz_hz is not None:
        sent[lead : lead + len(SWEEP.samples)] += loose_panel(SWEEP, buzz_hz, buzz_dbfs, rng)
    y = fftconvolve(sent, h)[: len(played)] + 10 ** (noise_dbfs / 20) * rng.standard_normal(
        len(played)
    )
    if knock_hz is not None:
        begin = lead + int(SWEEP.time_at_s(knock_hz) * RATE_HZ)
        y[begin : begin + 2400] += 0.02 * rng.standard_normal(2400) * np.exp(-np.arange(2400) / 480)
    audio = Audio(y.astype(np.float32)[:, None], RATE_HZ, False, "take.wav")
    return listen(audio, Played(sweep=SWEEP), Decisions())[1]


@dataclass(frozen=True)
class Found:
    """How often something was found.

    Attributes
    ----------
    worst_pct : float
        Largest error of the note. [%]
    """

    name: str
    takes: int
    found: int
    worst_pct: float


SPEAKERS: dict[str, Callable[[Array], Array]] = {
    "clean loudspeaker": lambda x: x,
    "1 % distortion": lambda x: x + 0.02 * x**2 + 0.03 * x**3,
    "30 % distortion, orders 2, 3 and 5": lambda x: x + 0.5 * x**2 + 0.3 * x**3 + x**5,
    "cut off at 0.6 of its peak": lambda x: np.clip(x, -0.6, 0.6),
}


BUZZES = ((-45.0, -75.0), (-55.0, -75.0), (-55.0, -90.0))
"""Peak of the knocks and RMS of the noise. [dB re full scale]"""


def buzzing(count: int, level_dbfs: float, noise_dbfs: float = -75.0, seed: int = 3) -> Found:
    """Takes in which something buzzes between 60 and 300 Hz."""
    rng = np.random.default_rng(seed)
    hits, worst = 0, 0.0
    for _ in range(count):
        f = float(60 * 5 ** rng.random())
        check = take(rng, buzz_hz=f, buzz_dbfs=level_dbfs, noise_dbfs=noise_dbfs)
        near = [b for b in check.buzzes or () if abs(b.frequency_hz / f - 1) < 0.1]
        hits += bool(near)
        worst = max([worst, *(100 * abs(b.frequency_hz / f - 1) for b in near[:1])])
    name = (
        f"knocks {-20 - level_dbfs:.0f} dB below the sweep, noise {-20 - noise_dbfs:.0f} dB below "
        "it"
    )
    return Found(name, count, hits, worst)


def quiet(count: int, name: str, seed: int = 4) -> Found:
    """Takes in which nothing buzzes, through one kind of loudspeaker, in noise of several
    levels."""
    rng = np.random.default_rng(seed)
    checks = [
        take(rng, speaker=SPEAKERS[name], noise_dbfs=float(rng.uniform(-90, -55)))
        for _ in range(count)
    ]
    return Found(name, count, sum(bool(check.buzzes) for check in checks), 0.0)


def main() -> None:
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 20
    for found in (
        *(buzzing(count, *levels) for levels in BUZZES),
        *(quiet(count, name) for name in SPEAKERS),
    ):
        print(f"{found.name}: {found.found} of {found.takes}, note within {found.worst_pct:.1f} %")


if __name__ == "__main__":
    main()
