"""The exponential sweep: what is played."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from roomcheck.facts import Fact, fact
from roomcheck.measure.kinds import Signal

FADE_IN_OCTAVES = 1 / 8
FADE_OUT_OCTAVES = 1 / 24


@dataclass(frozen=True, slots=True, eq=False, init=False)
class Sweep:
    r"""A tone that rises by equal intervals in equal times.

    .. math:: x(t) = \sin\bigl(2\pi f_1 L\,(e^{t/L} - 1)\bigr), \qquad L = T/\ln(f_2/f_1)

    with ends faded by half a cosine (an eighth of an octave below, a twenty-fourth above). Its peak
    is full scale: the level is the player's.

    Raises
    ------
    ValueError
        Unless 0 < `low_hz` < `high_hz` <= `rate_hz` / 2 and `seconds` holds a hundred samples.

    References
    ----------
    A. Farina, "Simultaneous measurement of impulse response and distortion with a swept-sine
    technique", 108th AES Convention, 2000, as quoted in open sweep code.

    Examples
    --------
    >>> sweep = Sweep(low_hz=20, high_hz=20_000, seconds=10, rate_hz=48_000)
    >>> sweep.samples.shape, round(sweep.harmonic_advance_s(2), 5)
    ((480000,), 1.00343)
    """

    low_hz: float
    """Instantaneous frequency at the start [Hz]."""
    high_hz: float
    """Instantaneous frequency at the end [Hz]."""
    seconds: float
    """Length [s]."""
    rate_hz: int
    """Sampling rate [Hz]."""
    samples: NDArray[np.float64]
    """Peak 1, read-only: (frames,) [1]."""

    def __init__(self, *, low_hz: float, high_hz: float, seconds: float, rate_hz: int) -> None:
        if int(rate_hz) != rate_hz or rate_hz <= 0:
            raise ValueError(f"rate_hz: {rate_hz}, needed a whole number above 0")
        if not 0 < low_hz < high_hz <= rate_hz / 2:
            raise ValueError(
                f"low_hz, high_hz: {low_hz}, {high_hz}, needed 0 < low_hz < high_hz <= "
                f"{rate_hz / 2:g} (half the rate)"
            )
        if not (math.isfinite(seconds) and seconds * rate_hz >= 100):
            raise ValueError(f"seconds: {seconds}, needed at least a hundred samples")
        frames = round(seconds * rate_hz)
        _hold(self, float(low_hz), float(high_hz), float(seconds), int(rate_hz))
        L, t = self.constant_s, np.arange(frames) / rate_hz
        x = np.sin(2 * np.pi * low_hz * L * np.expm1(t / L))
        _fade(
            x,
            round(FADE_IN_OCTAVES * self.octave_s * rate_hz),
            round(FADE_OUT_OCTAVES * self.octave_s * rate_hz),
        )
        x.flags.writeable = False
        object.__setattr__(self, "samples", x)

    @classmethod
    def of_samples(cls, samples: ArrayLike, rate_hz: int) -> Sweep:
        """Somebody else's exponential sweep, from its own samples.

        Band and speed are read off the signal; the response is divided by these very samples.

        Parameters
        ----------
        samples : (frames,)
            The sweep as it was played, with or without silence around it. [1]
        rate_hz : int
            [Hz]

        Raises
        ------
        ValueError
            `samples` is not one-dimensional, or no steadily rising tone.
        """
        from roomcheck.measure.signal.foreign import read_sweep

        x = np.array(samples, dtype=np.float64)
        if x.ndim != 1:
            raise ValueError(f"samples: shape {x.shape}, needed (frames,)")
        low_hz, high_hz, seconds, x = read_sweep(x, rate_hz)
        return cls.known(
            samples=x, low_hz=low_hz, high_hz=high_hz, seconds=seconds, rate_hz=int(rate_hz)
        )

    @classmethod
    def known(
        cls,
        *,
        samples: NDArray[np.float64],
        low_hz: float,
        high_hz: float,
        seconds: float,
        rate_hz: int,
    ) -> Sweep:
        """A sweep from its samples, (frames,), of which everything else is known already."""
        sweep = object.__new__(cls)
        _hold(sweep, low_hz, high_hz, seconds, rate_hz)
        samples.flags.writeable = False
        object.__setattr__(sweep, "samples", samples)
        return sweep

    @property
    def signal(self) -> Fact[Signal]:
        """What it is, for reports and for comparing two visits."""
        return fact(
            Signal.SWEEP,
            low_hz=self.low_hz,
            high_hz=self.high_hz,
            seconds=self.seconds,
            rate_hz=self.rate_hz,
        )

    @property
    def constant_s(self) -> float:
        """L: the time in which the frequency grows e-fold. [s]"""
        return self.seconds / math.log(self.high_hz / self.low_hz)

    @property
    def octave_s(self) -> float:
        """Time spent in an octave, L ln 2. [s]"""
        return self.constant_s * math.log(2)

    def harmonic_advance_s(self, order: int) -> float:
        """How far ahead of the direct sound a harmonic's response lands, L ln n. [s]"""
        return self.constant_s * math.log(order)

    def time_at_s(self, frequency_hz: float) -> float:
        """When the sweep passes a frequency. [s]"""
        return self.constant_s * math.log(frequency_hz / self.low_hz)


def _hold(sweep: Sweep, low_hz: float, high_hz: float, seconds: float, rate_hz: int) -> None:
    for name, value in (
        ("low_hz", low_hz),
        ("high_hz", high_hz),
        ("seconds", seconds),
        ("rate_hz", rate_hz),
    ):
        object.__setattr__(sweep, name, value)


def _fade(x: NDArray[np.float64], first: int, last: int) -> None:
    """Half a cosine over the first and last frames, in place."""
    first, last = min(first, len(x) // 4), min(last, len(x) // 4)
    x[:first] *= (1 - np.cos(np.pi * np.arange(first) / first)) / 2 if first else 1
    x[len(x) - last :] *= (1 + np.cos(np.pi * np.arange(1, last + 1) / last)) / 2 if last else 1
