"""Signals: what is played and what the room answers."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from roomcheck.facts import Fact, fact
from roomcheck.geometry import Point
from roomcheck.measure.kinds import Record, Signal, Take

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import ArrayLike, NDArray


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """What a record can carry, where that is less than a sweep by a measuring microphone can."""

    why: Fact[Record]
    """What kind of record it is."""
    low_hz: float
    """Lowest octave whose decay it carries [Hz]."""
    high_hz: float
    """Highest octave whose decay it carries [Hz]."""
    indicative: bool = True
    """Its decay times are no better than a survey."""
    notes: tuple[Fact[Record], ...] = ()
    """What else limits it."""


LOSSY = Limits(why=fact(Record.LOSSY, low_hz=500.0, high_hz=2000.0), low_hz=500.0, high_hz=2000.0)
"""Common practice: T20 of 500 Hz to 2 kHz is indicative, reflections and clarity are not."""

IMPULSE = Limits(why=fact(Record.IMPULSE), low_hz=125.0, high_hz=8000.0)
"""Common practice: T20 from 250 Hz to 4 kHz, nothing below 125 Hz, no clarity for acceptance."""


@dataclass(frozen=True, slots=True, eq=False, init=False)
class ImpulseResponse:
    """What a room makes of a click.

    Raises
    ------
    ValueError
        `samples` is not one-dimensional, or `rate_hz` is not above 0.
    """

    samples: NDArray[np.float64]
    """Sound pressure, relative unless calibrated; read-only: (frames,) [1]."""
    rate_hz: int
    """Sampling rate [Hz]."""
    limits: Limits | None
    """What it can carry; None: everything."""

    def __init__(self, *, samples: ArrayLike, rate_hz: int, limits: Limits | None = None) -> None:
        import numpy as np

        held = np.array(samples, dtype=np.float64)
        if held.ndim != 1:
            raise ValueError(f"samples: shape {held.shape}, needed (frames,)")
        if rate_hz <= 0:
            raise ValueError(f"rate_hz: {rate_hz}, needed above 0")
        held.flags.writeable = False
        object.__setattr__(self, "samples", held)
        object.__setattr__(self, "rate_hz", int(rate_hz))
        object.__setattr__(self, "limits", limits)

    @property
    def seconds(self) -> float:
        """Length [s]."""
        return len(self.samples) / self.rate_hz


@dataclass(frozen=True, slots=True, kw_only=True)
class BandRange:
    """How far a band's response stands above its noise."""

    band_hz: float
    """Nominal octave mid-band frequency [Hz]."""
    range_db: float | None
    """Peak to noise; None where the record holds no noise [dB]."""
    lacking_db: float
    """What T20 needs more; 0 where it has enough [dB]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Buzz:
    """Something that sounds far above the sweep while it passes one frequency."""

    frequency_hz: float
    """Where the sweep was [Hz]."""
    over_db: float
    """Over what is left while the sweep is elsewhere [dB]."""
    under_db: float
    """Re all that sounded at that moment [dB]."""
    in_step: float
    """How much it beats with the sweep's own period; about 1 for a knock or noise [1]."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PassedOver:
    """A newer take of the same pair that must be repeated."""

    take: str
    """Its path within the job folder."""
    reasons: tuple[Fact[Take], ...]
    """Why it must be repeated."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Unread:
    """A take of a visit that cannot be read."""

    take: str
    """The path of its facts within the job folder."""
    why: str
    """Text of the error."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TakeCheck:
    """Whether a take may be kept."""

    keep: bool
    """Whether it may be kept."""
    reasons: tuple[Fact[Take], ...]
    """Why it must be repeated; empty where it is kept."""
    warnings: tuple[Fact[Take], ...]
    """What to know of a take that is kept."""
    peak_dbfs: float
    """Highest sample [dB re full scale]."""
    noise_dbfs: float | None
    """RMS before and after the sweep; None where the record holds none [dB re full scale]."""
    bands: tuple[BandRange, ...] = ()
    """Octaves that the sweep covers."""
    harmonics_db: float | None = None
    """Second to fifth harmonic over the linear response, median of the octaves 500 Hz to 4 kHz;
    None where they are below the noise [dB]."""
    drift_ppm: float | None = None
    """Recorder's clock against the player's; None without markers [1e-6]."""
    buzzes: tuple[Buzz, ...] | None = None
    """What rattled; None where it was not looked for."""
    overruled: tuple[Fact[Take], ...] = ()
    """Reasons to repeat it, of a take that a person keeps all the same."""
    passed_over: tuple[PassedOver, ...] = ()
    """Newer takes of the same pair that may not be kept."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Measurement:
    """One response between a source and a microphone."""

    source: str
    """Name of the job's source."""
    microphone: str
    """Name of the job's microphone position."""
    take: str
    """File it came from, within the job folder."""
    response: ImpulseResponse
    check: TakeCheck
    flight_s: float | None = None
    """From a loopback channel to the first arrival; None where there was none, and delays count
    from the direct sound [s]."""
    signal: Fact[Signal] | None = None
    """What was played; None where only the answer is known."""
    swept_hz: tuple[float, float] | None = None
    """Where the sweep began and ended; None where that is not known [Hz]."""
    direction: str | None = None
    """Which way the source pointed, or where it stood, if several are averaged."""
    stood_m: tuple[Point, Point] | None = None
    """Where source and microphone stood, by the job when the take came in [m]."""
